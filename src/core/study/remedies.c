#include "core/study/remedies-private.h"

#include "core/chain/power.h"
#include "core/data/ini.h"

#define EFFORT_FILE "study/remedies.ini"
/* Both together are worth a line where they bring this much more than either. */
#define TOGETHER_DB 1.0

static gboolean
read_efforts (DwnEfforts *efforts, GError **error)
{
  g_autoptr (DwnIni) ini = dwn_ini_new_from_data (EFFORT_FILE, error);

  if (ini == NULL)
    return FALSE;
  for (guint k = 0; k < DWN_N_CHANGES; k++)
    if (!dwn_ini_number (ini, "effort", dwn_change_id ((DwnChangeKind) k), 0.01, 1000.0,
                         &efforts->hours[k], error))
      return FALSE;
  return dwn_ini_number (ini, "effort", "climb", 0.0, 1000.0, &efforts->climb, error)
         && dwn_ini_number (ini, "effort", "metre", 0.0, 1000.0, &efforts->metre, error);
}

/* Effort */

static gboolean
is_outdoors (const DwnPlan *plan)
{
  return plan->site->mount != DWN_MOUNT_ATTIC && plan->site->mount != DWN_MOUNT_INDOORS;
}

static gboolean
is_part_on_mast (const DwnPlan *plan, const DwnChange *change)
{
  int part = change->part == NULL ? -1 : dwn_chain_find (plan->gear, change->part);

  return part >= 0 && plan->gear->part[part].on_mast;
}

/* Does the cable into the change's port come from the mast? */
static gboolean
is_cable_on_mast (const DwnPlan *plan, const DwnChange *change)
{
  const DwnChain *gear = plan->gear;
  int part = dwn_chain_find (gear, change->part);
  int edge = part < 0 ? -1 : gear->in_edge[gear->in_first[part] + change->port];

  return edge >= 0 && gear->part[gear->edge[edge].from_part].on_mast;
}

static gboolean
needs_climb (const DwnPlan *plan, const DwnChange *change)
{
  if (change->kind == DWN_CHANGE_OUTDOORS)
    return TRUE;
  if (!is_outdoors (plan))
    return FALSE;
  switch (change->kind)
    {
    case DWN_CHANGE_RAISE:
    case DWN_CHANGE_OWN_DOWNLEAD:
    case DWN_CHANGE_MAST_AMPLIFIER:
      return TRUE;
    case DWN_CHANGE_CABLE:
      return is_cable_on_mast (plan, change);
    case DWN_CHANGE_SUPPLY:
      return FALSE;
    case DWN_CHANGE_CONNECT_BAND:
    case DWN_CHANGE_ATTENUATOR:
    case DWN_CHANGE_LESS_GAIN:
    case DWN_CHANGE_NO_AMPLIFIER:
    case DWN_CHANGE_DETACH:
    case DWN_CHANGE_FEWER_SPLITS:
    case DWN_CHANGE_FILTER:
    case DWN_CHANGE_TRAP:
    case DWN_CHANGE_DISTRIBUTION:
    case DWN_CHANGE_AIM:
    case DWN_CHANGE_TURN_ELEMENTS:
    case DWN_CHANGE_AMPLIFIER:
    case DWN_CHANGE_ANTENNA:
    case DWN_CHANGE_OUTDOORS:
    default:
      return is_part_on_mast (plan, change);
    }
}

static double
effort_h (const DwnEfforts *efforts, const DwnChange *change, gboolean climb)
{
  double hours = efforts->hours[change->kind] + (climb ? efforts->climb : 0.0);

  if (change->kind == DWN_CHANGE_RAISE)
    hours += efforts->metre * fmax (change->to - change->from, 0.0);
  return hours;
}

/* Trying */

/* What readings said of a station's field stays true when the antenna moves; where none was taken,
 * the prediction's own uncertainty is that of the new path. */
static DwnFields *
fields_after_move (const DwnRemedySearch *search, const DwnPlan *plan)
{
  g_autoptr (DwnFields) predicted = dwn_fields_new (plan, search->cancellable, NULL);

  if (predicted == NULL)
    return NULL;
  g_autofree DwnFieldShift *shift = g_new (DwnFieldShift, predicted->n);
  for (guint i = 0; i < predicted->n; i++)
    {
      const DwnArrival *old = &search->base->fields->arrival[i], *new = &predicted->arrival[i];
      gboolean was_read = old->read_shift_db != 0.0 || !isnan (old->house_sd_db);

      shift[i] = (DwnFieldShift) { old->read_shift_db, was_read ? old->sd_db : new->sd_db,
                                   old->house_sd_db };
    }
  return dwn_fields_shifted (predicted, shift);
}

static DwnBudget *
budget_of (const DwnRemedySearch *search, const DwnPlan *plan, const DwnFields *fields)
{
  g_autoptr (DwnBudgetBase) base = dwn_budget_base_new (plan, fields, search->tables);

  return dwn_budget_new (base, plan->aims->aim_deg);
}

static const DwnReception *
reception_in (const DwnRemedySearch *search, const DwnBudget *budget)
{
  return &budget->reception[(gsize) search->station * budget->n_outlets + search->outlet];
}

static gboolean
counts (const DwnRemedySearch *search, guint i)
{
  const DwnPlan *plan = search->plan;

  if (i == search->station)
    return FALSE;
  return !search->any_wanted
         || dwn_station_wanted (&plan->stations->station[i], plan->services) != DWN_WANTED_NO;
}

static void
compare_held (const DwnRemedySearch *search, const DwnBudget *before, const DwnBudget *after,
              DwnRemedy *remedy)
{
  g_autoptr (GArray) won = g_array_new (FALSE, FALSE, sizeof (guint));
  g_autoptr (GArray) lost = g_array_new (FALSE, FALSE, sizeof (guint));

  for (guint i = 0; i < before->n_stations; i++)
    {
      if (!counts (search, i) || before->held[i] == after->held[i])
        continue;
      g_array_append_val (after->held[i] ? won : lost, i);
    }
  remedy->n_won = won->len;
  remedy->n_lost = lost->len;
  remedy->won = (guint *) g_array_free (g_steal_pointer (&won), FALSE);
  remedy->lost = (guint *) g_array_free (g_steal_pointer (&lost), FALSE);
}

static guint
count_power_faults (const DwnChain *gear)
{
  g_autoptr (DwnPower) power = dwn_power_new (gear);

  return power->n_findings;
}

gboolean
dwn_remedy_try (const DwnRemedySearch *search, const DwnPlan *plan, const DwnFields *fields,
                const DwnChange *change, DwnRemedy *remedy)
{
  gboolean climb = needs_climb (plan, change);

  *remedy = (DwnRemedy) { .n_changes = 1, .change = { *change }, .climb = climb,
                          .effort_h = effort_h (&search->efforts, change, climb) };
  remedy->plan = dwn_change_apply (plan, change, NULL);
  if (remedy->plan == NULL || remedy->plan->gear->n_outlets != plan->gear->n_outlets
      || count_power_faults (remedy->plan->gear) > search->power_faults)
    return FALSE;
  remedy->fields = dwn_change_moves (change) || fields != search->fields
                   ? fields_after_move (search, remedy->plan)
                   : dwn_fields_ref (fields);
  if (remedy->fields == NULL)
    return FALSE;
  const DwnBudget *before = search->before;
  g_autoptr (DwnBudget) after = budget_of (search, remedy->plan, remedy->fields);
  remedy->reception = *reception_in (search, after);
  remedy->gain_db = remedy->reception.margin_db - reception_in (search, before)->margin_db;
  compare_held (search, before, after, remedy);
  return remedy->gain_db >= DWN_REMEDY_LEAST_DB;
}

void
dwn_remedy_clear (DwnRemedy *remedy)
{
  g_clear_pointer (&remedy->plan, dwn_plan_unref);
  g_clear_pointer (&remedy->fields, dwn_fields_unref);
  g_free ((gpointer) remedy->won);
  g_free ((gpointer) remedy->lost);
  remedy->won = remedy->lost = NULL;
}

/* Ranking */

gboolean
dwn_remedy_is_better (const DwnRemedy *a, const DwnRemedy *b)
{
  if (a->n_lost != b->n_lost)
    return a->n_lost < b->n_lost;
  return a->gain_db * b->effort_h > b->gain_db * a->effort_h;
}

static int
compare_remedies (gconstpointer a, gconstpointer b)
{
  const DwnRemedy *x = a, *y = b;

  if ((x->n_lost > 0) != (y->n_lost > 0))
    return x->n_lost > 0 ? 1 : -1;
  double left = x->gain_db * y->effort_h, right = y->gain_db * x->effort_h;
  return left > right ? -1 : left < right;
}

static gboolean
go_together (const DwnRemedy *first, const DwnRemedy *second)
{
  return first->n_lost == 0 && second->n_lost == 0
         && first->change[0].kind != DWN_CHANGE_SUPPLY && second->change[0].kind != DWN_CHANGE_SUPPLY;
}

/* The second change made on the plan that has the first, compared with the plan as it was. */
static void
try_together (DwnRemedySearch *search)
{
  const DwnRemedy *first = (const DwnRemedy *) (gpointer) search->remedies->data;
  DwnRemedy both;

  if (search->remedies->len < 2 || !go_together (&first[0], &first[1]))
    return;
  gboolean helps = dwn_remedy_try (search, first[0].plan, first[0].fields, &first[1].change[0], &both);

  both.n_changes = 2;
  both.change[0] = first[0].change[0];
  both.change[1] = first[1].change[0];
  both.effort_h = first[0].effort_h + first[1].effort_h;
  both.climb = first[0].climb || first[1].climb;
  if (helps && both.n_lost == 0
      && both.gain_db >= fmax (first[0].gain_db, first[1].gain_db) + TOGETHER_DB)
    g_array_append_val (search->remedies, both);
  else
    dwn_remedy_clear (&both);
}

/* Refcounted */

static void
remedies_clear (gpointer data)
{
  DwnRemedies *remedies = data;

  for (guint k = 0; k < remedies->n; k++)
    dwn_remedy_clear ((DwnRemedy *) &remedies->remedy[k]);
  g_free ((gpointer) remedies->remedy);
}

static DwnRemedies *
take_remedies (GArray *remedies)
{
  DwnRemedies *taken = g_atomic_rc_box_new0 (DwnRemedies);

  taken->n = remedies->len;
  taken->remedy = (DwnRemedy *) g_array_free (remedies, FALSE);
  return taken;
}

static gboolean
has_wanted (const DwnPlan *plan)
{
  for (guint i = 0; i < plan->stations->n; i++)
    if (dwn_station_wanted (&plan->stations->station[i], plan->services) != DWN_WANTED_NO)
      return TRUE;
  return FALSE;
}

static gboolean
run_search (DwnRemedySearch *search, GError **error)
{
  if (!read_efforts (&search->efforts, error))
    return FALSE;
  if (search->diagnosis->reception.limit == DWN_LIMIT_UNCONNECTED || search->base->n_antennas == 0)
    return TRUE;
  if (!dwn_remedy_search_all (search, error))
    return FALSE;
  g_array_sort (search->remedies, compare_remedies);
  try_together (search);
  return TRUE;
}

DwnRemedies *
dwn_remedies_new (const DwnBudgetBase *base, const double *aim_deg, guint station, guint outlet,
                  GCancellable *cancellable, GError **error)
{
  g_return_val_if_fail (base != NULL && station < base->n, NULL);
  g_return_val_if_fail (outlet < base->plan->gear->n_outlets, NULL);

  g_autoptr (DwnPlan) plan = dwn_plan_with_aims (base->plan, base->n_antennas, aim_deg);
  g_autoptr (DwnDiagnosis) diagnosis = dwn_diagnose (base, aim_deg, station, outlet);
  g_autoptr (DwnBudget) before = dwn_budget_new (base, aim_deg);
  DwnRemedySearch search = {
    .base = base, .plan = plan, .fields = base->fields, .tables = base->tables,
    .diagnosis = diagnosis, .before = before, .station = station, .outlet = outlet,
    .antenna = diagnosis->reception.antenna, .any_wanted = has_wanted (plan),
    .power_faults = count_power_faults (plan->gear),
    .remedies = g_array_new (FALSE, FALSE, sizeof (DwnRemedy)), .cancellable = cancellable,
  };
  gboolean is_complete = run_search (&search, error);
  DwnRemedies *remedies = take_remedies (search.remedies);

  if (is_complete)
    return remedies;
  dwn_remedies_unref (remedies);
  return NULL;
}

DwnRemedies *
dwn_remedies_ref (const DwnRemedies *remedies)
{
  return g_atomic_rc_box_acquire ((gpointer) remedies);
}

void
dwn_remedies_unref (const DwnRemedies *remedies)
{
  g_atomic_rc_box_release_full ((gpointer) remedies, remedies_clear);
}
