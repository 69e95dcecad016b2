/* Shared by the files of this room that walk over the ground. */
#pragma once

#include "core/terrain/terrain.h"
#include "core/terrain/tile-index.h"
#include "core/terrain/track.h"

G_BEGIN_DECLS

/* The mean earth, good enough for curvature (ITU-R P.452 uses the same figure). */
#define DWN_EARTH_RADIUS_M 6371000.0

/* Reads heights for one caller and keeps hold of the window it used last. */
typedef struct {
  DwnTerrain *terrain;
  const DwnTileIndex *index;
  DwnTileFile *file; /* (nullable): of the window in hand */
  DwnTile *tile;
  guint first_column;
  guint first_row;
} DwnSampler;

void dwn_sampler_init (DwnSampler *sampler, DwnTerrain *terrain);
void dwn_sampler_clear (DwnSampler *sampler);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (DwnSampler, dwn_sampler_clear)

/* Like dwn_terrain_height_m(); @filled becomes TRUE where a void was bridged, otherwise FALSE. */
double dwn_sampler_height_m (DwnSampler *sampler, const DwnLatLon *at, gboolean *filled);

/* Step of the finest tile at @at; NaN where there is none. Decodes nothing. */
double dwn_sampler_step_m (const DwnSampler *sampler, const DwnLatLon *at);

/* Counts what a walk does not see. */
typedef struct {
  const DwnTileIndex *index;
  DwnTerrainGaps *gaps; /* (nullable): then nothing is counted */
  GHashTable *absent;   /* set of cell names */
  guint last_cell;
} DwnGapCounter;

void dwn_gap_counter_init (DwnGapCounter *counter, const DwnSampler *sampler,
                           DwnTerrainGaps *gaps);
void dwn_gap_counter_add (DwnGapCounter *counter, const DwnLatLon *at, double distance_m,
                          double height_m, gboolean filled);
/* Writes the cells into the gaps. */
void dwn_gap_counter_finish (DwnGapCounter *counter);

/* Used by the sampler: the finished index and the windows of files. */
const DwnTileIndex *dwn_terrain_get_index (DwnTerrain *terrain);
DwnTile *dwn_terrain_get_window (DwnTerrain *terrain, DwnTileFile *file, guint64 window,
                                 guint first_column, guint first_row);

G_END_DECLS
