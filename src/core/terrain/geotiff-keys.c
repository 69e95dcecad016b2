#include "core/terrain/geotiff-keys.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#define MOST_KEYS 1000
#define KEY_SHORTS 4
#define ALL_ROUND_SLACK_DEG 0.01
#define FINEST_STEP_DEG 1e-7 /* a centimetre */

/* Key numbers and codes: OGC 19-008r4, annex A and B. */
enum {
  KEY_MODEL_TYPE = 1024,
  KEY_RASTER_TYPE = 1025,
  KEY_GEOGRAPHIC_TYPE = 2048,
  KEY_ANGULAR_UNITS = 2054,
  KEY_PROJECTED_TYPE = 3072,
  KEY_VERTICAL_UNITS = 4099,
};
enum {
  MODEL_PROJECTED = 1,
  MODEL_GEOGRAPHIC = 2,
  RASTER_IS_POINT = 2,
  UNIT_METRE = 9001,
  UNIT_DEGREE = 9102,
  USER_DEFINED = 32767,
};

/* Datums that lie within about two metres of WGS 84 (EPSG codes: EPSG registry, from memory). */
static const guint16 wgs84_like[] = {
  4326, 4979, /* WGS 84 */
  4269, 4617, 4759, 4955, 6318, 6319, /* NAD 83 and its readjustments */
  4258, 4937, /* ETRS 89 */
  4283, 4939, 7843, 7844, /* Australia */
  4167, /* New Zealand */
  4612, 6668, /* Japan */
  4674, /* South America */
  4148, /* South Africa */
  4490, /* China */
  4737, /* Korea */
  9000, 9057, /* ITRF 2014 and WGS 84 (G1762) */
};

typedef struct {
  guint model_type;
  guint raster_type;
  guint geographic_type;
  guint angular_units;
  guint projected_type;
  guint vertical_units;
} GeoKeys;

const void *
dwn_geotiff_get_tag (TIFF *tiff, guint32 tag, TIFFDataType type, guint32 *n)
{
  /* libtiff registers a tag it does not know under the type that the file says. */
  const TIFFField *field = TIFFFindField (tiff, tag, TIFF_ANY);
  const void *values = NULL;

  *n = 0;
  if (field == NULL || TIFFFieldDataType (field) != type || !TIFFFieldPassCount (field)
      || TIFFFieldReadCount (field) != TIFF_VARIABLE2)
    return NULL;
  return TIFFGetField (tiff, tag, n, &values) == 1 && *n > 0 ? values : NULL;
}

static guint *
find_key (GeoKeys *keys, guint key)
{
  switch (key)
    {
    case KEY_MODEL_TYPE:
      return &keys->model_type;
    case KEY_RASTER_TYPE:
      return &keys->raster_type;
    case KEY_GEOGRAPHIC_TYPE:
      return &keys->geographic_type;
    case KEY_ANGULAR_UNITS:
      return &keys->angular_units;
    case KEY_PROJECTED_TYPE:
      return &keys->projected_type;
    case KEY_VERTICAL_UNITS:
      return &keys->vertical_units;
    default:
      return NULL;
    }
}

/* The directory: {version, revision, minor, count}, then {key, tag, count, value} per key. A value
 * stands in place only where tag is 0, as it does for all codes. */
static gboolean
read_keys (TIFF *tiff, const char *name, GeoKeys *keys, GError **error)
{
  guint32 n = 0;
  const guint16 *shorts = dwn_geotiff_get_tag (tiff, DWN_TIFF_TAG_GEO_KEYS, TIFF_SHORT, &n);

  *keys = (GeoKeys) { .angular_units = UNIT_DEGREE, .vertical_units = UNIT_METRE };
  if (shorts == NULL || n < KEY_SHORTS)
    {
      g_set_error (error, DWN_TERRAIN_ERROR, DWN_TERRAIN_ERROR_UNSUPPORTED,
                   _("%s: does not say where on earth it lies; a GeoTIFF with its georeference in "
                     "the file is needed"), name);
      return FALSE;
    }
  if (shorts[0] != 1 || shorts[3] > MOST_KEYS || n < KEY_SHORTS * (1u + shorts[3]))
    {
      g_set_error (error, DWN_TERRAIN_ERROR, DWN_TERRAIN_ERROR_CORRUPT,
                   _("%s: its list of georeference keys is damaged; fetch it again"), name);
      return FALSE;
    }
  for (guint i = 1; i <= shorts[3]; i++)
    {
      const guint16 *entry = shorts + KEY_SHORTS * i;
      guint *value = find_key (keys, entry[0]);

      if (value != NULL && entry[1] == 0)
        *value = entry[3];
    }
  return TRUE;
}

static gboolean
is_near_wgs84 (guint geographic_type)
{
  for (gsize i = 0; i < G_N_ELEMENTS (wgs84_like); i++)
    if (wgs84_like[i] == geographic_type)
      return TRUE;
  return FALSE;
}

static gboolean
check_model (const GeoKeys *keys, const char *name, GError **error)
{
  g_autofree char *system = NULL;

  if (keys->model_type == MODEL_GEOGRAPHIC && is_near_wgs84 (keys->geographic_type))
    return TRUE;
  if (keys->model_type == MODEL_PROJECTED
      && (keys->projected_type == 0 || keys->projected_type == USER_DEFINED))
    system = g_strdup (_("a map projection"));
  else if (keys->model_type == MODEL_PROJECTED)
    system = g_strdup_printf (_("the map projection EPSG:%u"), keys->projected_type);
  else if (keys->model_type == MODEL_GEOGRAPHIC && keys->geographic_type != 0
           && keys->geographic_type != USER_DEFINED)
    system = g_strdup_printf (_("the datum EPSG:%u"), keys->geographic_type);
  else
    system = g_strdup (_("a coordinate system of its own"));
  g_set_error (error, DWN_TERRAIN_ERROR, DWN_TERRAIN_ERROR_PROJECTED,
               _("%s: is in %s; latitude and longitude on WGS 84 are needed: reproject it to "
                 "EPSG:4326 (gdalwarp -t_srs EPSG:4326 in.tif out.tif)"), name, system);
  return FALSE;
}

static gboolean
check_units (const GeoKeys *keys, const char *name, GError **error)
{
  if (keys->angular_units != UNIT_DEGREE)
    {
      g_set_error (error, DWN_TERRAIN_ERROR, DWN_TERRAIN_ERROR_PROJECTED,
                   _("%s: its angles are not in degrees (unit %u): reproject it to EPSG:4326"),
                   name, keys->angular_units);
      return FALSE;
    }
  if (keys->vertical_units != UNIT_METRE)
    {
      g_set_error (error, DWN_TERRAIN_ERROR, DWN_TERRAIN_ERROR_UNSUPPORTED,
                   _("%s: its heights are not in metres (unit %u): convert them"), name,
                   keys->vertical_units);
      return FALSE;
    }
  return TRUE;
}

/* Corner or node (0, 0) and steps, from the scale and one tie point or from the matrix. */
static gboolean
read_placement (TIFF *tiff, double *west_deg, double *north_deg, double *lon_step_deg,
                double *lat_step_deg)
{
  guint32 n_scale, n_tie, n_matrix;
  const double *scale = dwn_geotiff_get_tag (tiff, DWN_TIFF_TAG_PIXEL_SCALE, TIFF_DOUBLE,
                                             &n_scale);
  const double *tie = dwn_geotiff_get_tag (tiff, DWN_TIFF_TAG_TIEPOINT, TIFF_DOUBLE, &n_tie);
  const double *matrix = dwn_geotiff_get_tag (tiff, DWN_TIFF_TAG_TRANSFORMATION, TIFF_DOUBLE,
                                              &n_matrix);

  if (scale != NULL && n_scale >= 2 && tie != NULL && n_tie == 6)
    {
      *lon_step_deg = scale[0];
      *lat_step_deg = scale[1];
      *west_deg = tie[3] - tie[0] * scale[0];
      *north_deg = tie[4] + tie[1] * scale[1];
      return TRUE;
    }
  if (matrix != NULL && n_matrix == 16 && matrix[1] == 0.0 && matrix[4] == 0.0)
    {
      *lon_step_deg = matrix[0];
      *lat_step_deg = -matrix[5];
      *west_deg = matrix[3];
      *north_deg = matrix[7];
      return TRUE;
    }
  return FALSE;
}

/* Written so that NaN and infinity fail. */
static gboolean
is_on_earth (const DwnTileGrid *grid)
{
  double south_deg = dwn_tile_grid_lat_deg (grid, grid->rows - 1);
  double width_deg = grid->lon_step_deg * grid->columns;

  return grid->lon_step_deg >= FINEST_STEP_DEG && grid->lat_step_deg >= FINEST_STEP_DEG
         && width_deg <= 360.0 + ALL_ROUND_SLACK_DEG
         && grid->west_deg >= -360.0 && grid->west_deg <= 360.0
         && grid->north_deg <= 90.0 + ALL_ROUND_SLACK_DEG
         && south_deg >= -90.0 - ALL_ROUND_SLACK_DEG && south_deg < 90.0;
}

gboolean
dwn_geotiff_read_grid (TIFF *tiff, const char *name, guint columns, guint rows, DwnTileGrid *grid,
                       GError **error)
{
  GeoKeys keys;

  if (!read_keys (tiff, name, &keys, error) || !check_model (&keys, name, error)
      || !check_units (&keys, name, error))
    return FALSE;

  *grid = (DwnTileGrid) { .columns = columns, .rows = rows };
  if (!read_placement (tiff, &grid->west_deg, &grid->north_deg, &grid->lon_step_deg,
                       &grid->lat_step_deg))
    {
      g_set_error (error, DWN_TERRAIN_ERROR, DWN_TERRAIN_ERROR_UNSUPPORTED,
                   _("%s: its corner and steps are not given, or it is rotated or placed by "
                     "several points: reproject it to EPSG:4326"), name);
      return FALSE;
    }
  grid->registration = keys.raster_type == RASTER_IS_POINT ? DWN_REGISTRATION_POINT
                                                           : DWN_REGISTRATION_AREA;
  if (grid->registration == DWN_REGISTRATION_AREA)
    {
      /* The corner of the image is the corner of its first cell. */
      grid->west_deg += 0.5 * grid->lon_step_deg;
      grid->north_deg -= 0.5 * grid->lat_step_deg;
    }
  if (is_on_earth (grid))
    {
      grid->west_deg = remainder (grid->west_deg, 360.0);
      return TRUE;
    }
  g_set_error (error, DWN_TERRAIN_ERROR, DWN_TERRAIN_ERROR_CORRUPT,
               _("%s: lies outside the earth or south up; reproject it to EPSG:4326"), name);
  return FALSE;
}
