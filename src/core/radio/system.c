#include "core/radio/system.h"

#include <math.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#include "core/data/ini.h"

#define GUARD_PREFIX "gi="
#define MAX_GUARD_US 10000.0

typedef struct {
  double bandwidth_hz;
  double max_dbm, several_max_dbm;
  double guard_us;
  GArray *modes; /* of DwnMode */
  guint ordinary; /* index of the ordinary mode */
} System;

/* One published row: what is asked beside these channels by wanted level. */
typedef struct {
  guint wanted, undesired; /* bit per DwnSystem */
  GArray *offsets;         /* of double, whole numbers */
  GArray *at_dbm, *ratio_db;
} Ratio;

struct _DwnSystemTable {
  System system[DWN_N_SYSTEMS];
  GArray *ratios; /* of Ratio */
  GStringChunk *strings;
};

static void
clear_ratio (gpointer data)
{
  Ratio *ratio = data;

  g_clear_pointer (&ratio->offsets, g_array_unref);
  g_clear_pointer (&ratio->at_dbm, g_array_unref);
  g_clear_pointer (&ratio->ratio_db, g_array_unref);
}

static void
clear_table (gpointer data)
{
  DwnSystemTable *table = data;

  for (gsize i = 0; i < DWN_N_SYSTEMS; i++)
    g_array_unref (table->system[i].modes);
  g_array_unref (table->ratios);
  g_string_chunk_free (table->strings);
}

static gboolean
read_mode (DwnSystemTable *table, const DwnIni *ini, const char *group, const char *id,
           System *system, GError **error)
{
  const char *source = dwn_ini_string (ini, group, "source", error);
  DwnMode mode = { 0 };

  if (source == NULL
      || !dwn_ini_number (ini, group, "gauss", -20, 60, &mode.gauss_db, error)
      || !dwn_ini_optional_number (ini, group, "rice", -20, 60, &mode.rice_db, error)
      || !dwn_ini_optional_number (ini, group, "rayleigh", -20, 60, &mode.rayleigh_db, error)
      || !dwn_ini_number (ini, group, "min-dbm", -130, 0, &mode.min_level_dbm, error)
      || !dwn_ini_flag (ini, group, "from-memory", &mode.from_memory, error))
    return FALSE;
  mode.id = g_string_chunk_insert_const (table->strings, id);
  mode.source = g_string_chunk_insert_const (table->strings, source);
  g_array_append_val (system->modes, mode);
  return TRUE;
}

static gboolean
read_system (const DwnIni *ini, const char *group, System *system, GError **error)
{
  double bandwidth_mhz;

  if (!dwn_ini_number (ini, group, "bandwidth-mhz", 0.1, 20, &bandwidth_mhz, error)
      || !dwn_ini_number (ini, group, "max-dbm", -60, 30, &system->max_dbm, error)
      || !dwn_ini_number (ini, group, "several-max-dbm", -60, 30, &system->several_max_dbm, error)
      || !dwn_ini_number (ini, group, "guard-us", 0, MAX_GUARD_US, &system->guard_us, error)
      || dwn_ini_string (ini, group, "source", error) == NULL)
    return FALSE;
  system->bandwidth_hz = bandwidth_mhz * 1e6;
  return TRUE;
}

/* Systems between commas. */
static gboolean
read_systems (const DwnIni *ini, const char *group, const char *key, guint *bits, GError **error)
{
  const char *text = dwn_ini_string (ini, group, key, error);
  g_auto (GStrv) ids = text == NULL ? NULL : g_strsplit (text, ",", -1);

  *bits = 0;
  for (char **id = ids; id != NULL && *id != NULL; id++)
    {
      g_autoptr (GError) reason = NULL;
      DwnSystem system;

      if (!dwn_system_from_id (g_strstrip (*id), &system, &reason))
        {
          dwn_ini_refuse (ini, group, key, error, "%s", reason->message);
          return FALSE;
        }
      *bits |= 1u << system;
    }
  return ids != NULL;
}

static gboolean
check_ratio (const DwnIni *ini, const char *group, const Ratio *ratio, GError **error)
{
  for (guint i = 0; i < ratio->offsets->len; i++)
    {
      double offset = g_array_index (ratio->offsets, double, i);

      if (offset != floor (offset))
        {
          dwn_ini_refuse (ini, group, "offsets", error, _("%g is not a whole number"), offset);
          return FALSE;
        }
    }
  for (guint i = 1; i < ratio->at_dbm->len; i++)
    if (!(g_array_index (ratio->at_dbm, double, i) > g_array_index (ratio->at_dbm, double, i - 1)))
      {
        dwn_ini_refuse (ini, group, "at-dbm", error, _("the levels have to rise"));
        return FALSE;
      }
  if (ratio->at_dbm->len != ratio->ratio_db->len)
    {
      dwn_ini_refuse (ini, group, "ratio", error,
                      _("there have to be %u ratios, one for each level"), ratio->at_dbm->len);
      return FALSE;
    }
  return TRUE;
}

static gboolean
read_ratio (DwnSystemTable *table, const DwnIni *ini, const char *group, GError **error)
{
  Ratio ratio = { 0 };
  gboolean read
    = read_systems (ini, group, "wanted", &ratio.wanted, error)
      && read_systems (ini, group, "undesired", &ratio.undesired, error)
      && (ratio.offsets = dwn_ini_numbers (ini, group, "offsets", -100, 100, error)) != NULL
      && (ratio.at_dbm = dwn_ini_numbers (ini, group, "at-dbm", -130, 30, error)) != NULL
      && (ratio.ratio_db = dwn_ini_numbers (ini, group, "ratio", -100, 60, error)) != NULL
      && dwn_ini_string (ini, group, "source", error) != NULL
      && check_ratio (ini, group, &ratio, error);

  if (read)
    g_array_append_val (table->ratios, ratio);
  else
    clear_ratio (&ratio);
  return read;
}

/* "SYSTEM", "SYSTEM MODE" or "ratio NAME". */
static gboolean
read_group (DwnSystemTable *table, const DwnIni *ini, const char *group, GError **error)
{
  g_auto (GStrv) words = g_strsplit (group, " ", 2);
  g_autoptr (GError) reason = NULL;
  DwnSystem system;

  if (strcmp (words[0], "ratio") == 0)
    return read_ratio (table, ini, group, error);
  if (!dwn_system_from_id (words[0], &system, &reason))
    {
      dwn_ini_refuse (ini, group, NULL, error, _("neither \"ratio NAME\" nor a system; %s"),
                      reason->message);
      return FALSE;
    }
  if (words[1] == NULL)
    return read_system (ini, group, &table->system[system], error);
  return read_mode (table, ini, group, words[1], &table->system[system], error);
}

static const DwnMode *
find_mode (const System *system, const char *id, gsize length)
{
  for (guint i = 0; i < system->modes->len; i++)
    {
      const DwnMode *mode = &g_array_index (system->modes, DwnMode, i);

      if (strlen (mode->id) == length && strncmp (mode->id, id, length) == 0)
        return mode;
    }
  return NULL;
}

/* Every system has to be there, and its ordinary mode. */
static gboolean
check_complete (DwnSystemTable *table, const DwnIni *ini, GError **error)
{
  for (gsize i = 0; i < DWN_N_SYSTEMS; i++)
    {
      System *system = &table->system[i];
      const char *id = dwn_system_id ((DwnSystem) i);
      const char *ordinary = dwn_ini_string (ini, id, "mode", error);

      if (ordinary == NULL)
        return FALSE;

      const DwnMode *mode = find_mode (system, ordinary, strlen (ordinary));
      if (mode == NULL)
        {
          dwn_ini_refuse (ini, id, "mode", error, _("there is no group [%s %s]"), id, ordinary);
          return FALSE;
        }
      system->ordinary = (guint) (mode - &g_array_index (system->modes, DwnMode, 0));
    }
  return TRUE;
}

static DwnSystemTable *
table_of_ini (const DwnIni *ini, GError **error)
{
  g_autoptr (DwnSystemTable) table = g_atomic_rc_box_new0 (DwnSystemTable);
  gsize n;
  const char *const *groups = dwn_ini_groups (ini, &n);

  table->strings = g_string_chunk_new (1024);
  table->ratios = g_array_new (FALSE, FALSE, sizeof (Ratio));
  g_array_set_clear_func (table->ratios, clear_ratio);
  for (gsize i = 0; i < DWN_N_SYSTEMS; i++)
    table->system[i].modes = g_array_new (FALSE, FALSE, sizeof (DwnMode));

  for (gsize i = 0; i < n; i++)
    if (!read_group (table, ini, groups[i], error))
      return NULL;
  if (!check_complete (table, ini, error))
    return NULL;
  return g_steal_pointer (&table);
}

DwnSystemTable *
dwn_system_table_new (GError **error)
{
  g_autoptr (DwnIni) ini = dwn_ini_new_from_data ("radio/systems.ini", error);

  return ini == NULL ? NULL : table_of_ini (ini, error);
}

DwnSystemTable *
dwn_system_table_new_from_bytes (GBytes *bytes, const char *name, GError **error)
{
  g_autoptr (DwnIni) ini = dwn_ini_new (bytes, name, error);

  return ini == NULL ? NULL : table_of_ini (ini, error);
}

DwnSystemTable *
dwn_system_table_ref (const DwnSystemTable *table)
{
  return g_atomic_rc_box_acquire ((DwnSystemTable *) table);
}

void
dwn_system_table_unref (DwnSystemTable *table)
{
  g_atomic_rc_box_release_full (table, clear_table);
}

double
dwn_system_bandwidth_hz (const DwnSystemTable *table, DwnSystem system)
{
  g_return_val_if_fail (table != NULL && system < DWN_N_SYSTEMS, (double) NAN);

  return table->system[system].bandwidth_hz;
}

const DwnMode *
dwn_system_modes (const DwnSystemTable *table, DwnSystem system, gsize *n)
{
  g_return_val_if_fail (table != NULL && system < DWN_N_SYSTEMS && n != NULL, NULL);

  *n = table->system[system].modes->len;
  return (const DwnMode *) table->system[system].modes->data;
}

/* Splits "NAME gi=28": the mode, and the guard interval or the system's usual one. */
static const DwnMode *
parse_mode (const System *system, const char *text, double *guard_us)
{
  gsize length = text == NULL ? 0 : strcspn (text, " ");

  *guard_us = system->guard_us;
  if (text != NULL && text[length] == ' ')
    {
      const char *guard = text + length + 1;
      char *end;

      if (!g_str_has_prefix (guard, GUARD_PREFIX))
        return NULL;
      guard += strlen (GUARD_PREFIX);
      *guard_us = g_ascii_strtod (guard, &end);
      if (end == guard || *end != '\0' || !(*guard_us >= 0 && *guard_us <= MAX_GUARD_US))
        return NULL;
    }
  if (length == 0)
    return &g_array_index (system->modes, DwnMode, system->ordinary);
  return find_mode (system, text, length);
}

const DwnMode *
dwn_system_mode (const DwnSystemTable *table, DwnSystem system, const char *mode)
{
  g_return_val_if_fail (table != NULL && system < DWN_N_SYSTEMS, NULL);

  double guard_us;

  return parse_mode (&table->system[system], mode, &guard_us);
}

double
dwn_system_needed_cn_db (const DwnSystemTable *table, DwnSystem system, const char *mode,
                         DwnPathClass path)
{
  g_return_val_if_fail (path <= DWN_PATH_BLOCKED, (double) NAN);

  const DwnMode *found = dwn_system_mode (table, system, mode);

  if (found == NULL)
    return (double) NAN;
  if (path == DWN_PATH_BLOCKED && !isnan (found->rayleigh_db))
    return found->rayleigh_db;
  return isnan (found->rice_db) ? found->gauss_db : found->rice_db;
}

DwnLevelWindow
dwn_system_level_window (const DwnSystemTable *table, DwnSystem system, const char *mode)
{
  const double unknown = (double) NAN;
  const DwnMode *found = dwn_system_mode (table, system, mode);

  if (found == NULL)
    return (DwnLevelWindow) { unknown, unknown, unknown };
  return (DwnLevelWindow) { found->min_level_dbm, table->system[system].max_dbm,
                            table->system[system].several_max_dbm };
}

double
dwn_system_guard_us (const DwnSystemTable *table, DwnSystem system, const char *mode)
{
  g_return_val_if_fail (table != NULL && system < DWN_N_SYSTEMS, (double) NAN);

  double guard_us;

  return parse_mode (&table->system[system], mode, &guard_us) == NULL ? (double) NAN : guard_us;
}

static gboolean
has_offset (const Ratio *ratio, int channel_offset)
{
  for (guint i = 0; i < ratio->offsets->len; i++)
    if (g_array_index (ratio->offsets, double, i) == channel_offset)
      return TRUE;
  return FALSE;
}

/* On a line between the levels, held outside them. */
static double
ratio_at_db (const Ratio *ratio, double wanted_dbm)
{
  const double *at = (const double *) ratio->at_dbm->data;
  const double *db = (const double *) ratio->ratio_db->data;
  guint n = ratio->at_dbm->len, i = 1;

  if (!(wanted_dbm > at[0]))
    return db[0];
  while (i < n && wanted_dbm > at[i])
    i++;
  if (i == n)
    return db[n - 1];
  return db[i - 1] + (db[i] - db[i - 1]) * (wanted_dbm - at[i - 1]) / (at[i] - at[i - 1]);
}

double
dwn_system_protection_db (const DwnSystemTable *table, DwnSystem wanted, DwnSystem undesired,
                          int channel_offset, double wanted_dbm)
{
  g_return_val_if_fail (table != NULL, (double) NAN);
  g_return_val_if_fail (wanted < DWN_N_SYSTEMS && undesired < DWN_N_SYSTEMS, (double) NAN);

  double hardest_db = (double) NAN;

  for (guint i = 0; i < table->ratios->len; i++)
    {
      const Ratio *ratio = &g_array_index (table->ratios, Ratio, i);

      if ((ratio->wanted >> wanted & 1) != 0 && (ratio->undesired >> undesired & 1) != 0
          && has_offset (ratio, channel_offset))
        hardest_db = fmax (hardest_db, ratio_at_db (ratio, wanted_dbm));
    }
  return hardest_db;
}

double
dwn_system_interference_share (const DwnSystemTable *table, DwnSystem wanted,
                               DwnSystem undesired, int channel_offset, double wanted_dbm)
{
  if (channel_offset == 0)
    return 1;

  double beside_db = dwn_system_protection_db (table, wanted, undesired, channel_offset,
                                               wanted_dbm);
  double on_db = dwn_system_protection_db (table, wanted, undesired, 0, wanted_dbm);

  return isnan (beside_db) || isnan (on_db) ? 0 : pow (10, (beside_db - on_db) / 10);
}
