/* Wiring the antennas of the armoury in every way that an arrangement allows. Which input an
 * antenna goes to depends on where it has its gain, so many pairs share one rig. */
#include "core/study/advice-private.h"

static const char *const antenna_ids[DWN_RUNG_ANTENNAS] = { "antenna1", "antenna2", "antenna3" };

DwnPlan *
dwn_advisor_wire (const DwnAdvisor *advisor, DwnArrangement arrangement, guint n,
                  const guint8 *antenna, const double *aim_deg)
{
  DwnPart parts[DWN_RUNG_ANTENNAS];

  for (guint a = 0; a < n; a++)
    {
      parts[a] = advisor->armoury.part[antenna[a]];
      parts[a].id = antenna_ids[a];
      parts[a].on_mast = TRUE;
      parts[a].below_top_m = advisor->below_top_m[a];
      parts[a].polarisation = advisor->polarisation[a];
    }
  g_autoptr (DwnChain) gear = dwn_chain_with_head (advisor->plan->gear, arrangement, n, parts, NULL);
  if (gear == NULL)
    return NULL;
  g_autoptr (DwnAims) aims = dwn_aims_new (n, aim_deg);
  return dwn_plan_with_gear (advisor->plan, gear, aims);
}

/* What makes two wirings the same but for their antennas. */
static char *
signature_of (const DwnChain *gear)
{
  GString *text = g_string_new (NULL);

  for (guint k = 0; k < gear->n_parts; k++)
    {
      const DwnPart *part = &gear->part[k];
      gboolean antenna = part->kind == DWN_PART_ANTENNA;
      g_string_append_printf (text, "%s %s;", antenna ? "" : part->type,
                              part->pass != NULL ? part->pass : "");
    }
  for (guint e = 0; e < gear->n_edges; e++)
    g_string_append_printf (text, "%u.%u-%u.%u;", gear->edge[e].from_part, gear->edge[e].from_port,
                            gear->edge[e].to_part, gear->edge[e].to_port);
  return g_string_free (text, FALSE);
}

DwnRig *
dwn_rig_new (const DwnAdvisor *advisor, DwnArrangement arrangement, guint n, DwnPlan *plan)
{
  DwnRig *rig = g_new0 (DwnRig, 1);

  rig->arrangement = arrangement;
  rig->n = n;
  rig->plan = dwn_plan_ref (plan);
  rig->base = dwn_budget_base_new (plan, advisor->fields[n], advisor->tables);
  rig->tuples = g_array_new (FALSE, FALSE, sizeof (DwnTuple));
  rig->lying = g_new (double, (gsize) rig->base->n * n);
  rig->feed = g_new (double, (gsize) rig->base->n * n);
  for (guint i = 0; i < rig->base->n; i++)
    for (guint a = 0; a < n; a++)
      {
        const DwnPattern *pattern = plan->gear->part[plan->gear->antenna[a]].pattern;
        gsize at = (gsize) i * n + a;

        rig->lying[at] = exp (-rig->base->polarisation_db[at] * (G_LN10 / 10.0));
        rig->feed[at] = exp (-dwn_pattern_mismatch_db (pattern, plan->stations->station[i].mhz)
                             * (G_LN10 / 10.0));
      }
  return rig;
}

void
dwn_rig_free (DwnRig *rig)
{
  dwn_plan_unref (rig->plan);
  dwn_budget_base_unref (rig->base);
  g_array_unref (rig->tuples);
  g_free (rig->lying);
  g_free (rig->feed);
  g_free (rig);
}

static void
add_tuple (const DwnAdvisor *advisor, DwnArrangement arrangement, guint n, const DwnTuple *tuple,
           GHashTable *by_signature, GPtrArray *rigs)
{
  static const double north[DWN_RUNG_ANTENNAS] = { 0 };
  g_autoptr (DwnPlan) plan = dwn_advisor_wire (advisor, arrangement, n, tuple->antenna, north);

  if (plan == NULL)
    return;
  g_autofree char *signature = signature_of (plan->gear);
  DwnRig *rig = g_hash_table_lookup (by_signature, signature);
  if (rig == NULL)
    {
      rig = dwn_rig_new (advisor, arrangement, n, plan);
      g_hash_table_insert (by_signature, g_steal_pointer (&signature), rig);
      g_ptr_array_add (rigs, rig);
    }
  g_array_append_val (rig->tuples, *tuple);
}

/* Does it matter which of two antennas is the first? Not where nothing of the plan's own stands
 * behind one of them. */
static gboolean
order_matters (const DwnAdvisor *advisor)
{
  return advisor->plan->gear->n_antennas > 1;
}

GPtrArray *
dwn_rigs_new (const DwnAdvisor *advisor, DwnArrangement arrangement, guint n)
{
  GPtrArray *rigs = g_ptr_array_new_with_free_func ((GDestroyNotify) dwn_rig_free);
  g_autoptr (GHashTable) by_signature = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, NULL);
  guint many = advisor->armoury.n;

  for (guint first = 0; first < many; first++)
    {
      if (n == 1)
        {
          DwnTuple tuple = { { (guint8) first } };
          add_tuple (advisor, arrangement, n, &tuple, by_signature, rigs);
        }
      for (guint second = order_matters (advisor) ? 0 : first; n == 2 && second < many; second++)
        {
          DwnTuple tuple = { { (guint8) first, (guint8) second } };
          add_tuple (advisor, arrangement, n, &tuple, by_signature, rigs);
        }
    }
  return rigs;
}
