#include "core/study/compare.h"

#include <math.h>

#include "core/chain/head.h"
#include "core/study/change.h"
#include "core/study/parts-list.h"

static const DwnComparedSide nothing = { -1, (double) NAN, (double) NAN, (double) NAN, FALSE };

static DwnComparedSide
side_of_station (const DwnComparand *of, int station)
{
  const DwnBudget *budget = of->budget;

  if (station < 0 || budget->n_outlets == 0)
    return nothing;
  const DwnReception *weakest
    = &budget->reception[(gsize) station * budget->n_outlets + budget->weakest[station]];
  return (DwnComparedSide) { station, weakest->margin_db, weakest->sigma_db, weakest->chance,
                             budget->held[station] };
}

static DwnComparedSide
side_of_service (const DwnComparand *of, const char *id)
{
  int service = dwn_services_find (of->plan->services, id);

  return service < 0 ? nothing
                     : side_of_station (of, dwn_best_station (of->plan, of->budget, (guint) service));
}

static gboolean
has_row (const GArray *rows, const char *id, gboolean is_service)
{
  for (guint k = 0; k < rows->len; k++)
    {
      const DwnComparedRow *row = &g_array_index (rows, DwnComparedRow, k);
      if (row->is_service == is_service && g_str_equal (row->id, id))
        return TRUE;
    }
  return FALSE;
}

static DwnWanted
mark_of (const DwnPlan *plan, const char *service)
{
  int i = dwn_services_find (plan->services, service);

  return i < 0 ? DWN_WANTED_NO : plan->services->service[i].wanted;
}

/* Appends those of @of that both name not yet. */
static void
append_services (GArray *rows, const DwnComparand *of, const DwnComparand *const both[2])
{
  const DwnServices *services = of->plan->services;

  for (guint s = 0; s < services->n; s++)
    {
      const char *id = services->service[s].id;
      DwnComparedRow row = { id, services->service[s].name, TRUE, DWN_WANTED_NO, { nothing, nothing } };

      if (has_row (rows, id, TRUE))
        continue;
      row.wanted = MAX (mark_of (both[0]->plan, id), mark_of (both[1]->plan, id));
      for (guint k = 0; k < 2; k++)
        row.side[k] = side_of_service (both[k], id);
      g_array_append_val (rows, row);
    }
}

/* The stations of @of that carry no service have a row of their own. */
static void
append_stations (GArray *rows, const DwnComparand *of, const DwnComparand *const both[2])
{
  const DwnStations *stations = of->plan->stations;

  for (guint i = 0; i < stations->n; i++)
    {
      const DwnStation *station = &stations->station[i];
      DwnComparedRow row = { station->id, station->name, FALSE, DWN_WANTED_NO, { nothing, nothing } };

      if (station->n_services > 0 || has_row (rows, station->id, FALSE))
        continue;
      for (guint k = 0; k < 2; k++)
        row.side[k] = side_of_station (both[k], dwn_stations_find (both[k]->plan->stations, station->id));
      g_array_append_val (rows, row);
    }
}

/* Must before liked before the rest; otherwise the order stays. */
static DwnComparedRow *
sort_rows (const GArray *rows, guint *n_wanted)
{
  DwnComparedRow *sorted = g_new0 (DwnComparedRow, MAX (rows->len, 1));
  guint n = 0;

  for (int mark = DWN_WANTED_MUST; mark >= DWN_WANTED_NO; mark--)
    {
      *n_wanted = mark == DWN_WANTED_NO ? n : 0;
      for (guint k = 0; k < rows->len; k++)
        if ((int) g_array_index (rows, DwnComparedRow, k).wanted == mark)
          sorted[n++] = g_array_index (rows, DwnComparedRow, k);
    }
  return sorted;
}

static void
sum_rows (const DwnComparison *comparison, guint side, DwnComparedSum *sum)
{
  guint n_counted = comparison->n_wanted > 0 ? comparison->n_wanted : comparison->n;

  for (guint k = 0; k < comparison->n; k++)
    {
      const DwnComparedSide *here = &comparison->row[k].side[side];
      gboolean is_wanted = k < comparison->n_wanted;

      if (!here->held)
        continue;
      sum->held_wanted += is_wanted ? 1 : 0;
      sum->held_extra += is_wanted ? 0 : 1;
      sum->only_here += is_wanted && !comparison->row[k].side[1 - side].held ? 1 : 0;
      if (k < n_counted && !(here->margin_db >= sum->weakest_margin_db))
        {
          sum->weakest_margin_db = here->margin_db;
          sum->weakest_row = (int) k;
        }
    }
}

/* A wanted service that this plan does not know never works here. */
static double
joint_chance (const DwnComparison *comparison, const DwnComparand *of)
{
  g_autofree guint *services = g_new (guint, MAX (comparison->n_wanted, 1));

  if (comparison->n_wanted == 0 || of->budget->n_outlets == 0)
    return comparison->n_wanted == 0 ? (double) NAN : 0.0;
  for (guint k = 0; k < comparison->n_wanted; k++)
    {
      int service = dwn_services_find (of->plan->services, comparison->row[k].id);
      if (service < 0)
        return 0.0;
      services[k] = (guint) service;
    }
  return dwn_joint_chance (of->plan, of->budget, comparison->n_wanted, services);
}

static void
sum_up (DwnComparison *comparison, const DwnComparand *of, guint side, const DwnTables *tables)
{
  DwnComparedSum *sum = &comparison->sum[side];
  g_autoptr (DwnPartsList) parts = dwn_parts_list_new (of->plan->gear, &tables->parts_rules);

  *sum = (DwnComparedSum) { .weakest_margin_db = (double) NAN, .weakest_row = -1 };
  sum_rows (comparison, side, sum);
  sum->joint_chance = joint_chance (comparison, of);
  sum->cost = parts->total;
  sum->n_unpriced = parts->n_unpriced;
}

DwnComparison *
dwn_comparison_new (const DwnComparand *first, const DwnComparand *second, const DwnTables *tables)
{
  g_return_val_if_fail (first != NULL && second != NULL && tables != NULL, NULL);

  const DwnComparand *const both[2] = { first, second };
  g_autoptr (GArray) rows = g_array_new (FALSE, FALSE, sizeof (DwnComparedRow));
  DwnComparison *comparison = g_new0 (DwnComparison, 1);

  for (guint k = 0; k < 2; k++)
    append_services (rows, both[k], both);
  for (guint k = 0; k < 2; k++)
    append_stations (rows, both[k], both);
  comparison->n = rows->len;
  comparison->row = sort_rows (rows, &comparison->n_wanted);
  for (guint k = 0; k < 2; k++)
    sum_up (comparison, both[k], k, tables);
  return comparison;
}

void
dwn_comparison_free (DwnComparison *comparison)
{
  g_free (comparison->row);
  g_free (comparison);
}

DwnPlan *
dwn_variant_in_attic (const DwnPlan *plan)
{
  DwnSite site = *plan->site;
  g_autofree DwnHouseLoss *losses = g_new (DwnHouseLoss, site.n_losses + 1);
  gboolean has_roof = FALSE;

  for (guint k = 0; k < site.n_losses; k++)
    {
      losses[k] = site.loss[k];
      has_roof |= site.loss[k].kind == DWN_HOUSE_ROOF;
    }
  if (!has_roof)
    dwn_house_loss_init (&losses[site.n_losses++], DWN_HOUSE_ROOF);
  site.loss = losses;
  site.mount = DWN_MOUNT_ATTIC;
  return dwn_plan_with_site (plan, &site);
}

DwnPlan *
dwn_variant_on_mast (const DwnPlan *plan)
{
  const DwnChange change = { .kind = DWN_CHANGE_OUTDOORS, .from = plan->site->height_m,
                             .to = fmax (plan->site->height_m, DWN_SITE_HEIGHT_M) };

  return dwn_change_apply (plan, &change, NULL);
}

DwnPlan *
dwn_variant_one_antenna (const DwnPlan *plan, guint antenna, GError **error)
{
  g_return_val_if_fail (antenna < plan->gear->n_antennas, NULL);

  const DwnPart *part = &plan->gear->part[plan->gear->antenna[antenna]];
  g_autoptr (DwnChain) gear = dwn_chain_with_head (plan->gear, DWN_ARRANGEMENT_ONE, 1, part, error);
  if (gear == NULL)
    return NULL;
  g_autoptr (DwnAims) aims = dwn_aims_new (1, &plan->aims->aim_deg[antenna]);
  return dwn_plan_with_gear (plan, gear, aims);
}
