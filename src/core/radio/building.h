/* What a house takes away from an antenna inside it. */
#pragma once

#include <gio/gio.h>

#include "core/radio/channel.h"

G_BEGIN_DECLS

/* ITU-R P.2109 divides buildings into two: those with foil, coated glass or the like, and the
 * rest. */
typedef enum {
  DWN_BUILDING_TRADITIONAL,
  DWN_BUILDING_EFFICIENT,
} DwnBuilding;
#define DWN_N_BUILDINGS 2

/* Where the Recommendation begins. */
#define DWN_BUILDING_LOWEST_MHZ 80

const char *dwn_building_id (DwnBuilding building); /* "traditional" "efficient" */
gboolean dwn_building_from_id (const char *id, DwnBuilding *building);

/* Entry loss in dB that @probability_pct of the places inside do not exceed, for a wave that comes
 * in @elevation_deg above the horizontal. NaN outside 80 MHz to 100 GHz, 0 to 100 %, ±90°.
 * Recommendation ITU-R P.2109-2 §3. It is a whole building's, not an attic's. */
double dwn_building_entry_loss_db (DwnBuilding building, double mhz, double elevation_deg,
                                   double probability_pct);

/* The same as one figure with its spread: median, and the standard deviation of a normal
 * distribution with the same 10 and 90 % points. Below 80 MHz, where nothing is published, the
 * figures of 80 MHz stand in. NaN unless 0 < @mhz <= 100 GHz. */
double dwn_building_median_db (DwnBuilding building, double mhz);
double dwn_building_sd_db (DwnBuilding building, double mhz);

/* A roof between an attic antenna and the sky, from the data file radio/building.ini. */
typedef struct {
  const char *id;
  const char *name;             /* in English, for lists */
  double loss_db[DWN_N_BANDS];
  double sd_db;
  const char *source;
  gboolean common_practice;     /* no source but the trade */
} DwnRoof;

/* Immutable, refcounted. */
typedef struct _DwnRoofTable DwnRoofTable;
DwnRoofTable *dwn_roof_table_new (GError **error);
/* @name is what errors (DWN_INI_ERROR) call the file. */
DwnRoofTable *dwn_roof_table_new_from_bytes (GBytes *bytes, const char *name, GError **error);
DwnRoofTable *dwn_roof_table_ref (const DwnRoofTable *table);
void dwn_roof_table_unref (DwnRoofTable *table);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnRoofTable, dwn_roof_table_unref)

/* The roofs in the order of the file; they live as long as @table. */
const DwnRoof *dwn_roof_table_roofs (const DwnRoofTable *table, gsize *n);
const DwnRoof *dwn_roof_table_find (const DwnRoofTable *table, const char *id); /* (nullable) */

G_END_DECLS
