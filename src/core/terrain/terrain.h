/* The ground: a folder of elevation tiles of the user's, read as they are needed.
 *
 * Heights are metres above mean sea level as the files have them. Understood are SRTM tiles of 1
 * and 3 arc-seconds (N44W072.hgt, the same in .hgt.zip, .zip or .hgt.gz) and GeoTIFF in geographic
 * coordinates, in the folder and its subfolders. Where several tiles hold a place the one with the
 * finest steps wins, and the next coarser one stands in for its voids. All functions may be called
 * from several threads at once; the first call reads the headers of all files, so make it off the
 * main thread. */
#pragma once

#include "core/geo/lat-lon.h"
#include "core/geo/profile.h"
#include "core/terrain/tile.h"

G_BEGIN_DECLS

#define DWN_TERRAIN_CACHE_BYTES (256 * 1024 * 1024)
#define DWN_TERRAIN_HAAT_RADIALS 8

typedef struct _DwnTerrain DwnTerrain;

/* What a walk over the ground could not see. Zero-initialised before use, cleared after. */
typedef struct {
  gsize n_samples;
  gsize n_missing;      /* no tile, or a wide void: NaN in the result */
  gsize n_interpolated; /* height drawn across a small void */
  double first_m;       /* least and greatest distance of a missing sample from the start of its */
  double last_m;        /*   path or radial; NaN where none is missing */
  char **absent_cells;  /* (nullable): degree cells that lack a tile there, "N44W073", sorted */
} DwnTerrainGaps;

void dwn_terrain_gaps_clear (DwnTerrainGaps *gaps);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (DwnTerrainGaps, dwn_terrain_gaps_clear)

/* Lists the files in @folder; opens none yet.
 * Returns: (transfer full): NULL with @error set where the folder cannot be listed. A folder
 * without a tile is no error: everything is then unknown. */
DwnTerrain *dwn_terrain_open (const char *folder, GError **error);
DwnTerrain *dwn_terrain_ref (DwnTerrain *terrain);
void dwn_terrain_unref (DwnTerrain *terrain);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnTerrain, dwn_terrain_unref)

/* Bound of the decoded tiles that are kept, DWN_TERRAIN_CACHE_BYTES at first. The tile in hand
 * stays whatever its size. */
void dwn_terrain_set_cache_bytes (DwnTerrain *terrain, gsize bytes);
gsize dwn_terrain_get_cached_bytes (DwnTerrain *terrain);

/* The number of usable tile files. */
gsize dwn_terrain_count_tiles (DwnTerrain *terrain);

/* Returns: (transfer full): a line for every file that was refused so far, with the reason and
 * what would help; empty where all is well. */
char **dwn_terrain_dup_problems (DwnTerrain *terrain);

/* Ground height in metres; NaN where no tile knows it, and outside ±90°. */
double dwn_terrain_height_m (DwnTerrain *terrain, const DwnLatLon *at);

/* Step of the finest tile that holds @at, the smaller of both directions; NaN where none does.
 * Decodes nothing. */
double dwn_terrain_step_m (DwnTerrain *terrain, const DwnLatLon *at);

/* Heights along the geodesic, @from the transmitter @to the house, evenly spaced by at most
 * @max_step_m (INFINITY for no wish of one's own) and at most the step of the finest tile on the
 * way; never more than 20,001 samples (so that a wish of centimetres ends somewhere). Samples
 * nobody knows are NaN.
 * Returns: (transfer full): NULL with @error set for coincident or far (over 1,000 km) places and
 * when cancelled (G_IO_ERROR_CANCELLED). @gaps is nullable. */
DwnProfile *dwn_terrain_profile (DwnTerrain *terrain, const DwnLatLon *from, const DwnLatLon *to,
                                 double max_step_m, DwnTerrainGaps *gaps,
                                 GCancellable *cancellable, GError **error);

/* Mean ground height in metres along @bearing_deg between two distances, sampled every 100 m at
 * most. NaN where less than nine tenths of it is known. @gaps is nullable. */
double dwn_terrain_mean_m (DwnTerrain *terrain, const DwnLatLon *at, double bearing_deg,
                           double from_m, double to_m, DwnTerrainGaps *gaps);

/* Height of an antenna, @antenna_amsl_m above mean sea level, above average terrain: mean over the
 * 8 radials at 0, 45 … 315° of the height above the ground from 3 to 16 km (47 CFR 73.313 (d)).
 * @radial_m (nullable) takes the height along each radial. NaN where a radial is unknown. */
double dwn_terrain_haat_m (DwnTerrain *terrain, const DwnLatLon *at, double antenna_amsl_m,
                           double radial_m[DWN_TERRAIN_HAAT_RADIALS], DwnTerrainGaps *gaps);

/* Skyline seen from @height_agl_m above the ground at @at, out to 100 km on an earth of 4/3 the
 * radius: for bearing i · 360 / @n_bearings the elevation of the horizon (degrees, negative below
 * the horizontal) and the distance at which it stands (either output nullable). NaN where nothing
 * on the radial is known. Samples are a tile's step apart near by and further out a
 * four-hundredth of the distance.
 * Returns: FALSE with @error set when cancelled or where the ground at the place is not known. */
gboolean dwn_terrain_skyline (DwnTerrain *terrain, const DwnLatLon *at, double height_agl_m,
                              gsize n_bearings, double *elevation_deg, double *distance_m,
                              DwnTerrainGaps *gaps, GCancellable *cancellable, GError **error);

G_END_DECLS
