#include "core/study/learn.h"

#include "core/data/ini.h"

#define RULES_FILE "study/learn.ini"

static const char *const kind_ids[] = { "site", "cable", "gain", "aim", "outlet" };

const char *
dwn_learned_kind_id (DwnLearnedKind kind)
{
  g_return_val_if_fail (kind < G_N_ELEMENTS (kind_ids), NULL);

  return kind_ids[kind];
}

static const struct {
  const char *group, *key;
  gsize offset;
  double min, max;
} fields[] = {
  { "reading", "meter-sd-db", offsetof (DwnLearnRules, meter_sd_db), 0.1, 20 },
  { "reading", "day-sd-db", offsetof (DwnLearnRules, day_sd_db), 0, 20 },
  { "reading", "cn-sd-db", offsetof (DwnLearnRules, cn_sd_db), 0, 20 },
  { "reading", "bars-sd-db", offsetof (DwnLearnRules, bars_sd_db), 0, 20 },
  { "reading", "slip-chance", offsetof (DwnLearnRules, slip_chance), 1e-6, 0.5 },
  { "reading", "slip-sd-db", offsetof (DwnLearnRules, slip_sd_db), 1, 100 },
  { "reading", "least-dbm", offsetof (DwnLearnRules, least_dbm), -150, 0 },
  { "prediction", "mast-share", offsetof (DwnLearnRules, mast_share), 0, 1 },
  { "site", "gap-deg", offsetof (DwnLearnRules, gap_deg), 1, 180 },
};

static gboolean
read_cause (const DwnIni *ini, DwnLearnedKind kind, DwnLearnRule *rule, GError **error)
{
  const char *group = kind_ids[kind];

  if (!dwn_ini_number (ini, group, "chance", 1e-6, 0.5, &rule->chance, error))
    return FALSE;
  if (kind == DWN_LEARNED_AIM)
    return dwn_ini_number (ini, group, "usual-sd-deg", 0.1, 30, &rule->usual_sd, error)
           && dwn_ini_number (ini, group, "fault-sd-deg", 10, 60, &rule->fault_sd, error);
  return dwn_ini_number (ini, group, "usual-sd-db", 0.01, 20, &rule->usual_sd, error)
         && dwn_ini_number (ini, group, "fault-db", -50, 50, &rule->fault, error)
         && dwn_ini_number (ini, group, "fault-sd-db", 0.1, 50, &rule->fault_sd, error);
}

static gboolean
rules_of_ini (DwnLearnRules *rules, const DwnIni *ini, GError **error)
{
  *rules = (DwnLearnRules) { 0 };
  for (gsize i = 0; i < G_N_ELEMENTS (fields); i++)
    if (!dwn_ini_number (ini, fields[i].group, fields[i].key, fields[i].min, fields[i].max,
                         (double *) G_STRUCT_MEMBER_P (rules, fields[i].offset), error))
      return FALSE;
  for (guint kind = 0; kind < DWN_N_LEARNED_KINDS; kind++)
    if (!read_cause (ini, (DwnLearnedKind) kind, &rules->cause[kind], error))
      return FALSE;
  return TRUE;
}

gboolean
dwn_learn_rules_parse (DwnLearnRules *rules, GBytes *bytes, const char *name, GError **error)
{
  g_autoptr (DwnIni) ini = dwn_ini_new (bytes, name, error);

  return ini != NULL && rules_of_ini (rules, ini, error);
}

gboolean
dwn_learn_rules_load (DwnLearnRules *rules, GError **error)
{
  g_autoptr (DwnIni) ini = dwn_ini_new_from_data (RULES_FILE, error);

  return ini != NULL && rules_of_ini (rules, ini, error);
}
