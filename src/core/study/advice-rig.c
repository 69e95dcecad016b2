/* Wiring the antennas of the armoury in every way that an arrangement allows. Which input an
 * antenna goes to depends on where it has its gain, so many share one rig. */
#include "core/study/advice-private.h"

#include <string.h>

#define MOST_RIGS (DWN_NO_RIG - 1)

static const char *const antenna_ids[DWN_RUNG_ANTENNAS] = { "antenna1", "antenna2", "antenna3" };

DwnPlan *
dwn_advisor_wire (const DwnAdvisor *advisor, const DwnWire *wire, const guint *antenna,
                  const double *aim_deg)
{
  DwnPart parts[DWN_RUNG_ANTENNAS];

  for (guint a = 0; a < wire->n; a++)
    {
      parts[a] = advisor->armoury.part[antenna[a]];
      parts[a].id = antenna_ids[a];
      parts[a].on_mast = TRUE;
      parts[a].below_top_m = advisor->below_top_m[a];
      parts[a].polarisation = advisor->polarisation[a];
      parts[a].pass = wire->pass[a];
    }
  g_autoptr (DwnChain) gear = dwn_chain_with_head (advisor->plan->gear, wire->arrangement, wire->n,
                                                   parts, NULL);
  if (gear == NULL)
    return NULL;
  g_autoptr (DwnAims) aims = dwn_aims_new (wire->n, aim_deg);
  return dwn_plan_with_gear (advisor->plan, gear, aims);
}

DwnRig *
dwn_rig_new (const DwnAdvisor *advisor, const DwnWire *wire, DwnPlan *plan)
{
  DwnRig *rig = g_new0 (DwnRig, 1);
  guint n = wire->n;

  rig->wire = *wire;
  rig->n = n;
  rig->turns = wire->arrangement == DWN_ARRANGEMENT_ROTATOR;
  rig->plan = dwn_plan_ref (plan);
  rig->base = dwn_budget_base_new (plan, advisor->fields[n], advisor->tables);
  rig->lying = g_new (double, (gsize) rig->base->n * n + 1);
  rig->feed = g_new (double, (gsize) rig->base->n * n + 1);
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
  g_free (rig->lying);
  g_free (rig->feed);
  g_free (rig);
}

/* Tells tuples of antennas that are wired alike from others. */
typedef struct {
  const DwnAdvisor *advisor;
  const DwnWire *wire;
  const DwnPartType *amplifier; /* NULL: the trunk does not begin with one of several inputs */
  gboolean in_order;            /* which of two is the first does not matter */
} Sorter;

/* Does it matter which of two antennas is the first? Not where nothing of the plan's own stands
 * behind one of them and filters do not tell them apart. */
static gboolean
order_matters (const DwnAdvisor *advisor, DwnArrangement arrangement)
{
  return advisor->plan->gear->n_antennas > 1 || arrangement == DWN_ARRANGEMENT_CHANNEL_FILTERS;
}

static Sorter
sorter_of (const DwnAdvisor *advisor, const DwnWire *wire)
{
  Sorter sorter = { .advisor = advisor, .wire = wire };

  sorter.in_order = !order_matters (advisor, wire->arrangement);
  if (wire->arrangement == DWN_ARRANGEMENT_SPLIT_BY_BAND)
    sorter.amplifier = dwn_chain_head_amplifier (advisor->plan->gear);
  return sorter;
}

static gboolean
is_candidate (const Sorter *sorter, const guint *antenna)
{
  guint n_alike = sorter->wire->arrangement == DWN_ARRANGEMENT_SPLIT_BY_BAND
                  ? sorter->wire->n : dwn_arrangement_base (sorter->wire->arrangement);

  for (guint a = 1; sorter->in_order && a < n_alike; a++)
    if (antenna[a] < antenna[a - 1])
      return FALSE;
  return TRUE;
}

static gboolean
is_barred (const DwnAdvisor *advisor, const DwnRung *barred, guint n, const guint *antenna)
{
  if (barred == NULL || barred->n_antennas != n)
    return FALSE;
  for (guint a = 0; a < n; a++)
    if (advisor->armoury.part[antenna[a]].pattern != barred->pattern[a])
      return FALSE;
  return TRUE;
}

static guint64
choice_of (const Sorter *sorter, guint n, const DwnBandGain *gain)
{
  return dwn_chain_band_choice (sorter->advisor->plan->gear->list, sorter->amplifier, n, gain);
}

/* The choice for the last of @n antennas with what the others give together; asked for so often that
 * the advisor keeps it. */
static guint64
choice_with_last (const Sorter *sorter, guint n, const guint *antenna, const DwnBandGain *both)
{
  const DwnAdvisor *advisor = sorter->advisor;
  gsize size = 1;

  for (guint a = 0; a < n; a++)
    size *= advisor->armoury.n;
  if (advisor->choice[n] == NULL)
    ((DwnAdvisor *) advisor)->choice[n] = g_new0 (guint, size);
  guint *choice = &advisor->choice[n][dwn_tuple_index (&advisor->armoury, n, antenna)];
  if (*choice == 0)
    {
      const DwnBandGain gain[] = { *both, advisor->armoury.band[antenna[n - 1]] };
      *choice = 1 + (guint) choice_of (sorter, 2, gain);
    }
  return *choice;
}

/* The same for antennas that are wired alike. */
static guint64
signature_of (const Sorter *sorter, const guint *antenna)
{
  const DwnBandGain *band = sorter->advisor->armoury.band;
  DwnArrangement arrangement = sorter->wire->arrangement;
  guint n = sorter->wire->n, base = dwn_arrangement_base (arrangement);
  DwnBandGain gain[DWN_RUNG_ANTENNAS];

  for (guint a = 0; a < n; a++)
    gain[a] = band[antenna[a]];
  if (arrangement == DWN_ARRANGEMENT_SPLIT_BY_BAND)
    return choice_of (sorter, n, gain);
  if (n == base)
    return 0;
  if (arrangement == DWN_ARRANGEMENT_TWO_TUNERS || arrangement == DWN_ARRANGEMENT_SWITCH)
    {
      const guint first[] = { antenna[0], antenna[n - 1] }, second[] = { antenna[1], antenna[n - 1] };
      return choice_with_last (sorter, 2, first, &gain[0]) << 32
             | choice_with_last (sorter, 2, second, &gain[1]);
    }
  const DwnBandGain both = dwn_chain_band_gain_of_both (&gain[0], &gain[base - 1]);
  return choice_with_last (sorter, n, antenna, &both);
}

static DwnRig *
build_rig (const DwnAdvisor *advisor, const DwnWire *wire, const guint *antenna)
{
  static const double north[DWN_RUNG_ANTENNAS] = { 0 };
  g_autoptr (DwnPlan) plan = dwn_advisor_wire (advisor, wire, antenna, north);

  return plan != NULL ? dwn_rig_new (advisor, wire, plan) : NULL;
}

static guint16
find_rig (DwnRigs *rigs, const Sorter *sorter, const guint *antenna, GHashTable *by_signature)
{
  g_autofree gint64 *signature = g_new (gint64, 1);
  gpointer known;

  *signature = (gint64) signature_of (sorter, antenna);
  if (g_hash_table_lookup_extended (by_signature, signature, NULL, &known))
    return (guint16) GPOINTER_TO_UINT (known);
  DwnRig *rig = rigs->rigs->len < MOST_RIGS ? build_rig (sorter->advisor, sorter->wire, antenna) : NULL;
  guint16 number = rig != NULL ? (guint16) rigs->rigs->len : DWN_NO_RIG;
  if (rig != NULL)
    {
      rig->number = number;
      rig->rig_of = rigs->rig_of;
      g_ptr_array_add (rigs->rigs, rig);
    }
  g_hash_table_insert (by_signature, g_steal_pointer (&signature), GUINT_TO_POINTER (number));
  return number;
}

/* The next tuple of antennas; FALSE after the last. */
static gboolean
next_tuple (guint *antenna, guint n, guint many)
{
  for (guint a = n; a-- > 0;)
    {
      if (++antenna[a] < many)
        return TRUE;
      antenna[a] = 0;
    }
  return FALSE;
}

static void
free_rig (gpointer rig)
{
  if (rig != NULL)
    dwn_rig_free (rig);
}

void
dwn_rigs_init (DwnRigs *rigs, const DwnAdvisor *advisor, const DwnWire *wire,
               const DwnRung *barred)
{
  g_autoptr (GHashTable) by_signature = g_hash_table_new_full (g_int64_hash, g_int64_equal, g_free,
                                                               NULL);
  Sorter sorter = sorter_of (advisor, wire);
  guint antenna[DWN_RUNG_ANTENNAS] = { 0 };
  gsize size = 1;

  for (guint a = 0; a < wire->n; a++)
    size *= advisor->armoury.n;
  rigs->rigs = g_ptr_array_new_with_free_func (free_rig);
  rigs->rig_of = g_new (guint16, size + 1);
  if (advisor->armoury.n == 0)
    return;
  do
    rigs->rig_of[dwn_tuple_index (&advisor->armoury, wire->n, antenna)] =
      is_candidate (&sorter, antenna) && !is_barred (advisor, barred, wire->n, antenna)
      ? find_rig (rigs, &sorter, antenna, by_signature) : DWN_NO_RIG;
  while (next_tuple (antenna, wire->n, advisor->armoury.n));
}

void
dwn_rigs_clear (DwnRigs *rigs)
{
  g_ptr_array_unref (rigs->rigs);
  g_free (rigs->rig_of);
}
