#include "core/study/house.h"

#include <math.h>

#include "core/radio/clutter.h"
#include "core/radio/knife-edge.h"

#define UNKNOWN_ROOF "unknown"
#define EVERGREEN "evergreen"
/* What somebody standing in the garden may be wrong about a height (common practice, no source). */
#define HEIGHT_SHARE 0.2
static const double speed_of_light_mhz_m = 299.792458;

void
dwn_house_way_init (DwnHouseWay *way, const DwnPlan *plan, const DwnFields *fields, guint station,
                    double antenna_agl_m)
{
  const DwnArrival *arrival = &fields->arrival[station];

  *way = (DwnHouseWay) {
    .bearing_deg = arrival->bearing_deg, .elevation_deg = arrival->elevation_deg,
    .mhz = plan->stations->station[station].mhz, .band = plan->stations->station[station].band,
    .antenna_agl_m = antenna_agl_m, .leaves = plan->method->leaves,
  };
}

static double
or_usual (double value, double usual)
{
  return isnan (value) ? usual : value;
}

static DwnHouseShare
share_of_figures (const DwnHouseLoss *term, const DwnHouseWay *way)
{
  return (DwnHouseShare) { term->loss_db[way->band], 0.0 };
}

static DwnHouseShare
share_of_roof (const DwnTables *tables, const DwnHouseLoss *term, const DwnHouseWay *way)
{
  const DwnRoof *roof = dwn_roof_table_find (tables->roofs, term->of != NULL ? term->of : "");

  if (roof == NULL)
    roof = dwn_roof_table_find (tables->roofs, UNKNOWN_ROOF);
  return roof == NULL ? (DwnHouseShare) { 0.0, 0.0 }
                      : (DwnHouseShare) { roof->loss_db[way->band], roof->sd_db };
}

/* Where the Recommendation ends the figures of its lowest frequency stand in. */
static DwnHouseShare
share_of_building (const DwnHouseLoss *term, const DwnHouseWay *way)
{
  DwnBuilding building = DWN_BUILDING_TRADITIONAL;
  double mhz = fmax (way->mhz, DWN_BUILDING_LOWEST_MHZ);

  dwn_building_from_id (term->of != NULL ? term->of : "", &building);
  return (DwnHouseShare) {
    fmax (dwn_building_entry_loss_db (building, mhz, way->elevation_deg,
                                      or_usual (term->percent, 50.0)), 0.0),
    dwn_building_sd_db (building, mhz),
  };
}

static DwnHouseShare
share_of_clutter (const DwnHouseLoss *term, const DwnHouseWay *way)
{
  DwnClutter clutter = DWN_CLUTTER_SUBURBAN;
  double low_db, high_db, loss_db;

  dwn_clutter_from_id (term->of != NULL ? term->of : "", &clutter);
  double height_m = or_usual (term->height_m, dwn_clutter_height_m (clutter));
  double street_m = or_usual (term->away_m, DWN_CLUTTER_STREET_M);

  loss_db = dwn_clutter_loss_db (clutter, way->mhz, way->antenna_agl_m, height_m, street_m);
  low_db = dwn_clutter_loss_db (clutter, way->mhz, way->antenna_agl_m,
                                height_m * (1.0 - HEIGHT_SHARE), street_m);
  high_db = dwn_clutter_loss_db (clutter, way->mhz, way->antenna_agl_m,
                                 height_m * (1.0 + HEIGHT_SHARE), street_m);
  if (isnan (loss_db)) /* outside 30 MHz to 3 GHz */
    return (DwnHouseShare) { 0.0, 0.0 };
  return (DwnHouseShare) { fmax (loss_db, 0.0), fabs (high_db - low_db) / 2.0 };
}

/* Over the top of the first of the trees; INFINITY where nothing passes over. */
static double
over_trees_db (const DwnHouseLoss *term, const DwnHouseWay *way)
{
  double away_m = or_usual (term->away_m, 0.0);

  if (isnan (term->height_m) || !(away_m > 0.0))
    return (double) INFINITY;
  double line_m = way->antenna_agl_m + away_m * tan (way->elevation_deg * G_PI / 180.0);
  double wavelength_m = speed_of_light_mhz_m / way->mhz;

  return dwn_knife_edge_loss_db ((term->height_m - line_m) * sqrt (2.0 / (wavelength_m * away_m)));
}

static DwnHouseShare
share_of_trees (const DwnTables *tables, const DwnHouseLoss *term, const DwnHouseWay *way)
{
  gboolean leaves = way->leaves || g_strcmp0 (term->of, EVERGREEN) == 0;
  double through_db = isnan (term->depth_m)
    ? dwn_woodland_tree_db (tables->woodland, way->band, leaves)
    : dwn_woodland_loss_db (tables->woodland, way->mhz, term->depth_m, leaves);
  double over_db = over_trees_db (term, way);
  double both_db = -10.0 * log10 (pow (10.0, -through_db / 10.0) + pow (10.0, -over_db / 10.0));
  double loss_db = fmax (both_db, 0.0);

  return (DwnHouseShare) { loss_db, dwn_woodland_sd_db (tables->woodland, loss_db) };
}

static DwnHouseShare
share_of (const DwnTables *tables, const DwnHouseLoss *term, const DwnHouseWay *way)
{
  switch (term->kind)
    {
    case DWN_HOUSE_ROOF:
      return share_of_roof (tables, term, way);
    case DWN_HOUSE_BUILDING:
      return share_of_building (term, way);
    case DWN_HOUSE_CLUTTER:
      return share_of_clutter (term, way);
    case DWN_HOUSE_TREES:
      return share_of_trees (tables, term, way);
    case DWN_HOUSE_FIGURES:
    default:
      return share_of_figures (term, way);
    }
}

gboolean
dwn_house_term (const DwnTables *tables, const DwnHouseLoss *term, const DwnHouseWay *way,
                DwnHouseShare *share)
{
  gboolean fallen = term->kind == DWN_HOUSE_FIGURES && term->leaves && !way->leaves;

  *share = (DwnHouseShare) { 0.0, 0.0 };
  if (fallen || !dwn_house_faces (term, way->bearing_deg))
    return FALSE;
  *share = share_of (tables, term, way);
  share->sd_db = or_usual (term->sd_db, share->sd_db);
  return TRUE;
}

DwnHouseShare
dwn_house_sum (const DwnTables *tables, const DwnSite *site, const DwnHouseWay *way)
{
  DwnHouseShare sum = { 0.0, 0.0 };

  for (guint i = 0; i < site->n_losses; i++)
    {
      DwnHouseShare share;

      dwn_house_term (tables, &site->loss[i], way, &share);
      sum.db += share.db;
      sum.sd_db = hypot (sum.sd_db, share.sd_db);
    }
  return sum;
}

gboolean
dwn_house_has_seasons (const DwnSite *site)
{
  for (guint i = 0; i < site->n_losses; i++)
    if ((site->loss[i].kind == DWN_HOUSE_FIGURES && site->loss[i].leaves)
        || (site->loss[i].kind == DWN_HOUSE_TREES && g_strcmp0 (site->loss[i].of, EVERGREEN) != 0))
      return TRUE;
  return FALSE;
}
