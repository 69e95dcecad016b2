/* What the house takes from the field before an antenna has it: roof, walls, houses around, trees.
 * Each is a term of its own with an uncertainty of its own. */
#pragma once

#include "core/study/fields.h"
#include "core/study/tables.h"

G_BEGIN_DECLS

/* How a wave comes in, as far as the house minds. */
typedef struct {
  double bearing_deg;    /* of the station, true */
  double elevation_deg;  /* at which it arrives */
  double mhz;
  DwnBand band;
  double antenna_agl_m;
  gboolean leaves;       /* are they on */
} DwnHouseWay;

typedef struct {
  double db;    /* >= 0 */
  double sd_db;
} DwnHouseShare;

/* How station @station of the plan comes to an antenna @antenna_agl_m above the ground, in the
 * season that the plan's method names. @fields: of the plan. */
void dwn_house_way_init (DwnHouseWay *way, const DwnPlan *plan, const DwnFields *fields,
                         guint station, double antenna_agl_m);

/* What one term takes. FALSE with a share of 0 where it does not stand towards that bearing or is
 * gone with the leaves.
 *
 * - A roof the tables do not know counts as the roof of unknown build.
 * - A building: ITU-R P.2109-2 at the angle at which the wave arrives; under 80 MHz as at 80. Its
 *   spread is whole at any percentile: it is one of buildings as much as of places in them.
 * - Clutter: ITU-R P.2108-1 §3.1, of an antenna under its top; the prediction is then for that top
 *   (dwn_house_field_agl_m()). Its spread is what a fifth more or less of height makes.
 * - Trees: the wave goes through them (P.833-9 §2.1) and over their tops (a knife edge at the first
 *   of them, P.526-15 eq. (31), from far away), and the powers add. */
gboolean dwn_house_term (const DwnTables *tables, const DwnHouseLoss *term, const DwnHouseWay *way,
                         DwnHouseShare *share);

/* All terms together: losses add, uncertainties in squares. */
DwnHouseShare dwn_house_sum (const DwnTables *tables, const DwnSite *site, const DwnHouseWay *way);

/* Does any term change with the leaves? */
gboolean dwn_house_has_seasons (const DwnSite *site);

G_END_DECLS
