/* GeoTIFF in every layout that is read, and the refusals. The files are written here by libtiff,
 * with heights that follow a formula. */
#include "core/terrain/geotiff.h"

#include <glib/gstdio.h>
#include <math.h>
#include <string.h>
#include <tiffio.h>

#include "synthetic.h"

#define COLUMNS 101
#define ROWS 83

/* Whole metres at steps of a thousandth of a degree, different in every node. */
static double
whole_m (double lat_deg, double lon_deg)
{
  return 100.0 + rint (1000.0 * (lon_deg - 11.0)) + 40.0 * rint (1000.0 * (50.0 - lat_deg));
}

/* Not whole, exact in a float. */
static double
fraction_m (double lat_deg, double lon_deg)
{
  return whole_m (lat_deg, lon_deg) + 0.125;
}

static const SyntheticTiff usual = {
  .west_deg = 11.0,
  .north_deg = 50.0,
  .lon_step_deg = 0.001,
  .lat_step_deg = 0.001,
  .columns = COLUMNS,
  .rows = ROWS,
};

typedef struct {
  const char *name;
  guint bits, format;
  guint compression, predictor;
  guint tile_side;
  gboolean area, big_endian, matrix;
} Layout;

static const Layout layouts[] = {
  { "int16-stripes", 16, SAMPLEFORMAT_INT, COMPRESSION_NONE, 1, 0 },
  { "int16-stripes-big-endian", 16, SAMPLEFORMAT_INT, COMPRESSION_NONE, 1, 0, FALSE, TRUE },
  { "int16-tiles", 16, SAMPLEFORMAT_INT, COMPRESSION_NONE, 1, 32 },
  { "int16-area", 16, SAMPLEFORMAT_INT, COMPRESSION_NONE, 1, 0, TRUE },
  { "int16-matrix", 16, SAMPLEFORMAT_INT, COMPRESSION_NONE, 1, 0, FALSE, FALSE, TRUE },
  { "int16-area-matrix", 16, SAMPLEFORMAT_INT, COMPRESSION_NONE, 1, 0, TRUE, FALSE, TRUE },
  { "int16-deflate", 16, SAMPLEFORMAT_INT, COMPRESSION_ADOBE_DEFLATE, 1, 0 },
  { "int16-deflate-2", 16, SAMPLEFORMAT_INT, COMPRESSION_ADOBE_DEFLATE, 2, 0 },
  { "int16-deflate-2-tiles", 16, SAMPLEFORMAT_INT, COMPRESSION_ADOBE_DEFLATE, 2, 48, TRUE },
  { "int16-lzw", 16, SAMPLEFORMAT_INT, COMPRESSION_LZW, 1, 0 },
  { "int16-lzw-2", 16, SAMPLEFORMAT_INT, COMPRESSION_LZW, 2, 0 },
  { "int16-lzw-2-tiles-big-endian", 16, SAMPLEFORMAT_INT, COMPRESSION_LZW, 2, 64, FALSE, TRUE },
  { "uint16-stripes", 16, SAMPLEFORMAT_UINT, COMPRESSION_NONE, 1, 0 },
  { "uint16-lzw-2-tiles", 16, SAMPLEFORMAT_UINT, COMPRESSION_LZW, 2, 16, TRUE },
  { "float32-stripes", 32, SAMPLEFORMAT_IEEEFP, COMPRESSION_NONE, 1, 0 },
  { "float32-tiles-big-endian", 32, SAMPLEFORMAT_IEEEFP, COMPRESSION_NONE, 1, 32, FALSE, TRUE },
  { "float32-deflate-2", 32, SAMPLEFORMAT_IEEEFP, COMPRESSION_ADOBE_DEFLATE, 2, 0 },
  { "float32-deflate-3", 32, SAMPLEFORMAT_IEEEFP, COMPRESSION_ADOBE_DEFLATE, 3, 0 },
  { "float32-deflate-3-tiles", 32, SAMPLEFORMAT_IEEEFP, COMPRESSION_ADOBE_DEFLATE, 3, 64, TRUE },
  { "float32-lzw-3", 32, SAMPLEFORMAT_IEEEFP, COMPRESSION_LZW, 3, 0 },
  { "float32-lzw-3-tiles-big-endian", 32, SAMPLEFORMAT_IEEEFP, COMPRESSION_LZW, 3, 32, TRUE, TRUE },
};

static DwnGeotiff *
open_written (const SyntheticFolder *folder, const SyntheticTiff *tiff, SyntheticHeight height,
              GError **error)
{
  synthetic_write_tiff (folder, "a.tif", tiff, height);

  g_autofree char *path = synthetic_folder_file (folder, "a.tif");

  return dwn_geotiff_open_path (path, error);
}

static void
assert_heights (const DwnTile *tile, SyntheticHeight height)
{
  const DwnTileGrid *grid = dwn_tile_get_grid (tile);

  for (guint row = 0; row < grid->rows; row++)
    for (guint column = 0; column < grid->columns; column++)
      g_assert_cmpfloat (dwn_tile_sample_m (tile, column, row), ==,
                         height (dwn_tile_grid_lat_deg (grid, row),
                                 dwn_tile_grid_lon_deg (grid, column)));
}

static void
test_layout (gconstpointer data)
{
  const Layout *layout = data;
  SyntheticHeight height = layout->bits == 32 ? fraction_m : whole_m;
  SyntheticTiff tiff = usual;
  g_auto (SyntheticFolder) folder;
  g_autoptr (GError) error = NULL;

  synthetic_folder_init (&folder);
  tiff.bits = layout->bits;
  tiff.format = layout->format;
  tiff.compression = layout->compression;
  tiff.predictor = layout->predictor;
  tiff.tile_side = layout->tile_side;
  tiff.area = layout->area;
  tiff.big_endian = layout->big_endian;
  tiff.matrix = layout->matrix;

  g_autoptr (DwnGeotiff) geotiff = open_written (&folder, &tiff, height, &error);

  g_assert_no_error (error);

  const DwnTileGrid *grid = dwn_geotiff_get_grid (geotiff);

  g_assert_cmpuint (grid->columns, ==, COLUMNS);
  g_assert_cmpuint (grid->rows, ==, ROWS);
  g_assert_cmpfloat_with_epsilon (grid->west_deg, 11.0, 1e-12);
  g_assert_cmpfloat_with_epsilon (grid->north_deg, 50.0, 1e-12);
  g_assert_cmpint (grid->registration, ==, layout->area ? DWN_REGISTRATION_AREA
                                                        : DWN_REGISTRATION_POINT);

  g_autoptr (DwnTile) tile = dwn_geotiff_read (geotiff, 0, 0, COLUMNS, ROWS, &error);

  g_assert_no_error (error);
  assert_heights (tile, height);
}

/* Any part, wherever it cuts through tiles or stripes. */
static void
test_window (gconstpointer data)
{
  SyntheticTiff tiff = usual;
  g_auto (SyntheticFolder) folder;
  g_autoptr (GError) error = NULL;
  static const guint parts[][4] = {
    { 0, 0, 2, 2 }, { 30, 31, 5, 40 }, { 99, 81, 2, 2 }, { 32, 32, 32, 32 }, { 5, 0, 96, 83 },
  };

  synthetic_folder_init (&folder);
  tiff.tile_side = GPOINTER_TO_UINT (data);

  g_autoptr (DwnGeotiff) geotiff = open_written (&folder, &tiff, whole_m, &error);

  g_assert_no_error (error);
  for (gsize i = 0; i < G_N_ELEMENTS (parts); i++)
    {
      g_autoptr (DwnTile) tile = dwn_geotiff_read (geotiff, parts[i][0], parts[i][1], parts[i][2],
                                                   parts[i][3], &error);

      g_assert_no_error (error);
      g_assert_cmpuint (dwn_tile_get_grid (tile)->columns, ==, parts[i][2]);
      assert_heights (tile, whole_m);
    }
}

static double
with_void_m (double lat_deg, double lon_deg)
{
  double height_m = whole_m (lat_deg, lon_deg);

  return height_m > 1000.0 && height_m < 1010.0 ? 7777.0 : height_m;
}

/* The same, reckoned by column and row. */
static gsize
count_expected_voids (void)
{
  gsize n = 0;

  for (guint row = 0; row < ROWS; row++)
    for (guint column = 0; column < COLUMNS; column++)
      n += 100 + column + 40 * row > 1000 && 100 + column + 40 * row < 1010;
  return n;
}

static void
test_nodata (gconstpointer data)
{
  SyntheticTiff tiff = usual;
  g_auto (SyntheticFolder) folder;
  g_autoptr (GError) error = NULL;

  synthetic_folder_init (&folder);
  tiff.bits = GPOINTER_TO_UINT (data) == SAMPLEFORMAT_IEEEFP ? 32 : 16;
  tiff.format = GPOINTER_TO_UINT (data);
  tiff.nodata = " 7.777e3 ";

  g_autoptr (DwnGeotiff) geotiff = open_written (&folder, &tiff, with_void_m, &error);

  g_assert_no_error (error);

  g_autoptr (DwnTile) tile = dwn_geotiff_read (geotiff, 0, 0, COLUMNS, ROWS, &error);

  g_assert_no_error (error);
  g_assert_cmpuint (dwn_tile_count_voids (tile), ==, count_expected_voids ());
}

/* Whole metres at steps of a ten-thousandth of a degree; no two neighbours alike. */
static double
checks_m (double lat_deg, double lon_deg)
{
  return fmod (rint (10000.0 * (lon_deg - 11.0)), 97.0)
         + 83.0 * fmod (rint (10000.0 * (50.0 - lat_deg)), 89.0);
}

/* Above what one piece may have, windows: squares of whole tiles, or bands of whole stripes. */
static void
test_large (gconstpointer data)
{
  guint tile_side = GPOINTER_TO_UINT (data);
  SyntheticTiff tiff = usual;
  g_auto (SyntheticFolder) folder;
  g_autoptr (GError) error = NULL;
  guint columns, rows;

  synthetic_folder_init (&folder);
  tiff.lon_step_deg = tiff.lat_step_deg = 0.0001;
  tiff.columns = 4200;
  tiff.rows = 4100;
  tiff.tile_side = tile_side;
  tiff.stripe_rows = 100;

  g_autoptr (DwnGeotiff) geotiff = open_written (&folder, &tiff, checks_m, &error);

  g_assert_no_error (error);
  dwn_geotiff_get_window (geotiff, &columns, &rows);
  g_assert_cmpuint (columns, ==, tile_side > 0 ? 2048 : 4200);
  g_assert_cmpuint (rows, ==, tile_side > 0 ? 2048 : 1000);

  g_autoptr (DwnTile) tile = dwn_geotiff_read (geotiff, 4200 - columns, 4100 - rows, columns, rows,
                                               &error);

  g_assert_no_error (error);
  assert_heights (tile, checks_m);
}

typedef struct {
  const char *name;
  DwnTerrainError code;
  const char *remedy; /* what the message must say */
  SyntheticTiff change;
} Refusal;

static const Refusal refusals[] = {
  { "projected", DWN_TERRAIN_ERROR_PROJECTED, "gdalwarp -t_srs EPSG:4326",
    { .model_type = 1, .projected_type = 32633 } },
  { "projected-names-it", DWN_TERRAIN_ERROR_PROJECTED, "EPSG:32633",
    { .model_type = 1, .projected_type = 32633 } },
  { "geocentric", DWN_TERRAIN_ERROR_PROJECTED, "EPSG:4326", { .model_type = 3 } },
  { "nad27", DWN_TERRAIN_ERROR_PROJECTED, "EPSG:4267", { .geographic_type = 4267 } },
  { "feet", DWN_TERRAIN_ERROR_UNSUPPORTED, "metres", { .vertical_units = 9002 } },
  { "no-georeference", DWN_TERRAIN_ERROR_UNSUPPORTED, "where on earth", { .without_keys = TRUE } },
  { "south-up", DWN_TERRAIN_ERROR_CORRUPT, "south up", { .south_up = TRUE } },
  { "picture", DWN_TERRAIN_ERROR_UNSUPPORTED, "one band", { .bands = 3 } },
  { "eight-bits", DWN_TERRAIN_ERROR_UNSUPPORTED, "-ot Float32",
    { .bits = 8, .format = SAMPLEFORMAT_UINT } },
  { "packbits", DWN_TERRAIN_ERROR_UNSUPPORTED, "COMPRESS=DEFLATE",
    { .compression = COMPRESSION_PACKBITS } },
  { "off-the-earth", DWN_TERRAIN_ERROR_CORRUPT, "outside the earth", { .north_deg = 95.0 } },
};

static double
low_m (double lat_deg, double lon_deg)
{
  return 7.0;
}

static void
test_refuse (gconstpointer data)
{
  const Refusal *refusal = data;
  SyntheticTiff tiff = refusal->change;
  g_auto (SyntheticFolder) folder;
  g_autoptr (GError) error = NULL;

  synthetic_folder_init (&folder);
  tiff.columns = COLUMNS;
  tiff.rows = ROWS;
  tiff.west_deg = 11.0;
  tiff.north_deg = tiff.north_deg != 0.0 ? tiff.north_deg : 50.0;
  tiff.lon_step_deg = tiff.lat_step_deg = 0.001;
  g_assert_null (open_written (&folder, &tiff, low_m, &error));
  g_assert_error (error, DWN_TERRAIN_ERROR, (int) refusal->code);
  g_assert_true (g_str_has_prefix (error->message, "a.tif: "));
  g_assert_nonnull (strstr (error->message, refusal->remedy));
}

static GBytes *
written_bytes (const SyntheticTiff *tiff)
{
  g_auto (SyntheticFolder) folder;
  g_autoptr (GError) error = NULL;
  char *data = NULL;
  gsize size;

  synthetic_folder_init (&folder);
  synthetic_write_tiff (&folder, "a.tif", tiff, whole_m);

  g_autofree char *path = synthetic_folder_file (&folder, "a.tif");

  g_file_get_contents (path, &data, &size, &error);
  g_assert_no_error (error);
  return g_bytes_new_take (data, size);
}

/* Opens and decodes the whole; returns FALSE with @error set where either refuses. */
static gboolean
decode (GBytes *bytes, GError **error)
{
  g_autoptr (GInputStream) stream = g_memory_input_stream_new_from_bytes (bytes);
  g_autoptr (DwnGeotiff) geotiff = dwn_geotiff_open (stream, "a.tif", error);
  g_autoptr (DwnTile) tile = NULL;

  if (geotiff == NULL)
    return FALSE;

  const DwnTileGrid *grid = dwn_geotiff_get_grid (geotiff);

  tile = dwn_geotiff_read (geotiff, 0, 0, grid->columns, grid->rows, error);
  return tile != NULL;
}

/* Cut off anywhere: never a crash, never a tile. libtiff writes the directory last, so mostly there
 * is none; where it is there, its values are missing. */
static void
test_truncated (void)
{
  SyntheticTiff tiff = usual;

  tiff.compression = COMPRESSION_LZW;

  g_autoptr (GBytes) whole = written_bytes (&tiff);

  for (gsize length = 0; length < g_bytes_get_size (whole); length += 61)
    {
      g_autoptr (GBytes) part = g_bytes_new_from_bytes (whole, 0, length);
      g_autoptr (GError) error = NULL;

      g_assert_false (decode (part, &error));
      g_assert_cmpuint (error->domain, ==, DWN_TERRAIN_ERROR);
    }
}

/* Heights that are damaged while the headers are whole. */
static void
test_bent (void)
{
  SyntheticTiff tiff = usual;

  tiff.compression = COMPRESSION_ADOBE_DEFLATE;

  g_autoptr (GBytes) whole = written_bytes (&tiff);
  g_autoptr (GByteArray) bent = g_bytes_unref_to_array (g_steal_pointer (&whole));
  g_autoptr (GError) error = NULL;

  memset (bent->data + 20, 0xff, 100);

  g_autoptr (GBytes) bytes = g_bytes_new (bent->data, bent->len);

  g_assert_false (decode (bytes, &error));
  g_assert_error (error, DWN_TERRAIN_ERROR, DWN_TERRAIN_ERROR_CORRUPT);
}

/* Finds a tag's entry in the one directory of a little-endian file and sets its value. */
static GBytes *
with_tag (GBytes *bytes, guint16 tag, guint32 value)
{
  g_autoptr (GByteArray) copy = g_byte_array_new ();
  guint32 offset;
  guint16 n;

  g_byte_array_append (copy, g_bytes_get_data (bytes, NULL), (guint) g_bytes_get_size (bytes));
  memcpy (&offset, copy->data + 4, sizeof offset);
  offset = GUINT32_FROM_LE (offset);
  memcpy (&n, copy->data + offset, sizeof n);
  for (guint i = 0; i < GUINT16_FROM_LE (n); i++)
    {
      guint8 *entry = copy->data + offset + 2 + 12 * i;
      guint32 type_long = GUINT32_TO_LE (1u);

      if ((entry[0] | entry[1] << 8) != tag)
        continue;
      entry[2] = TIFF_LONG;
      entry[3] = 0;
      memcpy (entry + 4, &type_long, sizeof type_long);
      value = GUINT32_TO_LE (value);
      memcpy (entry + 8, &value, sizeof value);
      return g_bytes_new (copy->data, copy->len);
    }
  g_assert_not_reached ();
}

/* A small file that declares an enormous image. */
static void
test_over_large (void)
{
  SyntheticTiff tiff = usual;

  tiff.lon_step_deg = tiff.lat_step_deg = 1e-5;

  g_autoptr (GBytes) whole = written_bytes (&tiff);
  g_autoptr (GBytes) wide = with_tag (whole, TIFFTAG_IMAGEWIDTH, 250000);
  g_autoptr (GBytes) square = with_tag (whole, TIFFTAG_IMAGEWIDTH, 190000);
  g_autoptr (GBytes) narrow = with_tag (whole, TIFFTAG_IMAGEWIDTH, 1);
  g_autoptr (GError) error = NULL;

  g_assert_false (decode (wide, &error));
  g_assert_error (error, DWN_TERRAIN_ERROR, DWN_TERRAIN_ERROR_SIZE);
  g_clear_error (&error);
  g_assert_false (decode (square, &error));
  g_assert_error (error, DWN_TERRAIN_ERROR, DWN_TERRAIN_ERROR_SIZE);
  g_clear_error (&error);
  g_assert_false (decode (narrow, &error));
  g_assert_error (error, DWN_TERRAIN_ERROR, DWN_TERRAIN_ERROR_SIZE);
}

/* One stripe of 80 MB. */
static void
test_large_stripe (void)
{
  SyntheticTiff tiff = usual;
  g_autoptr (GError) error = NULL;

  tiff.lon_step_deg = tiff.lat_step_deg = 0.0001;
  tiff.columns = 8000;
  tiff.rows = 5000;
  tiff.stripe_rows = 5000;
  tiff.compression = COMPRESSION_ADOBE_DEFLATE;

  g_autoptr (GBytes) bytes = written_bytes (&tiff);

  g_assert_false (decode (bytes, &error));
  g_assert_error (error, DWN_TERRAIN_ERROR, DWN_TERRAIN_ERROR_UNSUPPORTED);
  g_assert_nonnull (strstr (error->message, "TILED=YES"));
}

static void
test_no_tiff (void)
{
  g_autoptr (GBytes) text = g_bytes_new_static ("latitude,longitude,height", 25);
  g_autoptr (GError) error = NULL;

  g_assert_false (decode (text, &error));
  g_assert_error (error, DWN_TERRAIN_ERROR, DWN_TERRAIN_ERROR_CORRUPT);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  for (gsize i = 0; i < G_N_ELEMENTS (layouts); i++)
    {
      g_autofree char *path = g_strconcat ("/geotiff/layout/", layouts[i].name, NULL);

      g_test_add_data_func (path, &layouts[i], test_layout);
    }
  g_test_add_data_func ("/geotiff/window/stripes", GUINT_TO_POINTER (0), test_window);
  g_test_add_data_func ("/geotiff/window/tiles", GUINT_TO_POINTER (32), test_window);
  g_test_add_data_func ("/geotiff/nodata/int16", GUINT_TO_POINTER (SAMPLEFORMAT_INT),
                        test_nodata);
  g_test_add_data_func ("/geotiff/nodata/uint16", GUINT_TO_POINTER (SAMPLEFORMAT_UINT),
                        test_nodata);
  g_test_add_data_func ("/geotiff/nodata/float32", GUINT_TO_POINTER (SAMPLEFORMAT_IEEEFP),
                        test_nodata);
  g_test_add_data_func ("/geotiff/large/stripes", GUINT_TO_POINTER (0), test_large);
  g_test_add_data_func ("/geotiff/large/tiles", GUINT_TO_POINTER (256), test_large);
  for (gsize i = 0; i < G_N_ELEMENTS (refusals); i++)
    {
      g_autofree char *path = g_strconcat ("/geotiff/refuse/", refusals[i].name, NULL);

      g_test_add_data_func (path, &refusals[i], test_refuse);
    }
  g_test_add_func ("/geotiff/refuse/truncated", test_truncated);
  g_test_add_func ("/geotiff/refuse/bent", test_bent);
  g_test_add_func ("/geotiff/refuse/over-large", test_over_large);
  g_test_add_func ("/geotiff/refuse/large-stripe", test_large_stripe);
  g_test_add_func ("/geotiff/refuse/no-tiff", test_no_tiff);
  return g_test_run ();
}
