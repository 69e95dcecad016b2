/* Elevation files made up for a test: their heights follow a formula, so that what must come out
 * is known. */
#pragma once

#include <glib.h>

typedef double (*SyntheticHeight) (double lat_deg, double lon_deg);

/* A folder of its own for each test, removed with all it holds. */
typedef struct {
  char *path;
} SyntheticFolder;

void synthetic_folder_init (SyntheticFolder *folder);
void synthetic_folder_clear (SyntheticFolder *folder);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (SyntheticFolder, synthetic_folder_clear)
char *synthetic_folder_file (const SyntheticFolder *folder, const char *name);

/* Bytes of an .hgt of @side × @side samples; heights are rounded to whole metres. */
GBytes *synthetic_hgt (int south_deg, int west_deg, guint side, SyntheticHeight height);
void synthetic_write (const SyntheticFolder *folder, const char *name, GBytes *bytes);

typedef struct {
  const char *name;
  const char *link; /* (nullable): makes the member a symbolic link */
  GBytes *bytes;
} SyntheticMember;

/* A zip of @n members, or with @gzip the bare first one compressed. */
GBytes *synthetic_archive (const SyntheticMember *members, gsize n, gboolean gzip);

/* A GeoTIFF; what is 0 takes the usual value. */
typedef struct {
  double west_deg, north_deg; /* of node (0, 0) */
  double lon_step_deg, lat_step_deg;
  guint columns, rows;
  guint bits;         /* 16 */
  guint format;       /* SAMPLEFORMAT_INT */
  guint compression;  /* COMPRESSION_NONE */
  guint predictor;    /* 1 */
  guint tile_side;    /* 0: stripes */
  guint stripe_rows;  /* 7, which divides no size in use */
  gboolean area;
  gboolean big_endian;
  gboolean matrix;    /* placed by a transformation matrix, not by scale and tie point */
  gboolean south_up;
  guint model_type;      /* 2, geographic */
  guint geographic_type; /* 4326 */
  guint projected_type;  /* none */
  guint vertical_units;  /* none */
  guint bands;           /* 1 */
  const char *nodata;
  gboolean without_keys;
} SyntheticTiff;

void synthetic_write_tiff (const SyntheticFolder *folder, const char *name,
                           const SyntheticTiff *tiff, SyntheticHeight height);
