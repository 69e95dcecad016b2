#include "synthetic.h"

#include <archive.h>
#include <archive_entry.h>
#include <gio/gio.h>
#include <glib/gstdio.h>
#include <math.h>
#include <string.h>
#include <tiffio.h>

#define ARCHIVE_MOST_BYTES (64 * 1024 * 1024)

void
synthetic_folder_init (SyntheticFolder *folder)
{
  g_autoptr (GError) error = NULL;

  folder->path = g_dir_make_tmp ("downlead-terrain-XXXXXX", &error);
  g_assert_no_error (error);
}

static void
remove_tree (const char *path)
{
  g_autoptr (GDir) dir = g_dir_open (path, 0, NULL);

  for (const char *name = dir != NULL ? g_dir_read_name (dir) : NULL; name != NULL;
       name = g_dir_read_name (dir))
    {
      g_autofree char *inner = g_build_filename (path, name, NULL);

      if (g_file_test (inner, G_FILE_TEST_IS_SYMLINK))
        g_assert_cmpint (g_unlink (inner), ==, 0);
      else
        remove_tree (inner);
    }
  g_assert_cmpint (g_remove (path), ==, 0);
}

void
synthetic_folder_clear (SyntheticFolder *folder)
{
  remove_tree (folder->path);
  g_clear_pointer (&folder->path, g_free);
}

char *
synthetic_folder_file (const SyntheticFolder *folder, const char *name)
{
  return g_build_filename (folder->path, name, NULL);
}

GBytes *
synthetic_hgt (int south_deg, int west_deg, guint side, SyntheticHeight height)
{
  gint16 *samples = g_new (gint16, (gsize) side * side);

  for (guint row = 0; row < side; row++)
    for (guint column = 0; column < side; column++)
      {
        double height_m = height (south_deg + 1.0 - row / (side - 1.0),
                                  west_deg + column / (side - 1.0));

        samples[row * side + column] = GINT16_TO_BE ((gint16) lrint (height_m));
      }
  return g_bytes_new_take (samples, (gsize) side * side * sizeof *samples);
}

void
synthetic_write (const SyntheticFolder *folder, const char *name, GBytes *bytes)
{
  g_autofree char *path = synthetic_folder_file (folder, name);
  g_autoptr (GError) error = NULL;

  g_file_set_contents (path, g_bytes_get_data (bytes, NULL), (gssize) g_bytes_get_size (bytes),
                       &error);
  g_assert_no_error (error);
}

static void
write_member (struct archive *archive, const SyntheticMember *member)
{
  struct archive_entry *entry = archive_entry_new ();
  gsize size = member->bytes != NULL ? g_bytes_get_size (member->bytes) : 0;

  archive_entry_set_pathname (entry, member->name);
  archive_entry_set_perm (entry, 0644);
  archive_entry_set_filetype (entry, member->link != NULL ? AE_IFLNK : AE_IFREG);
  archive_entry_set_size (entry, (la_int64_t) size);
  if (member->link != NULL)
    archive_entry_set_symlink (entry, member->link);
  g_assert_cmpint (archive_write_header (archive, entry), ==, ARCHIVE_OK);
  if (size > 0)
    g_assert_cmpint (archive_write_data (archive, g_bytes_get_data (member->bytes, NULL), size),
                     ==, (int) size);
  archive_entry_free (entry);
}

GBytes *
synthetic_archive (const SyntheticMember *members, gsize n, gboolean gzip)
{
  struct archive *archive = archive_write_new ();
  void *buffer = g_malloc (ARCHIVE_MOST_BYTES);
  gsize used = 0;

  if (gzip)
    {
      archive_write_add_filter_gzip (archive);
      archive_write_set_format_raw (archive);
    }
  else
    archive_write_set_format_zip (archive);
  archive_write_set_bytes_in_last_block (archive, 1);
  g_assert_cmpint (archive_write_open_memory (archive, buffer, ARCHIVE_MOST_BYTES, &used), ==,
                   ARCHIVE_OK);
  for (gsize i = 0; i < n; i++)
    write_member (archive, &members[i]);
  g_assert_cmpint (archive_write_close (archive), ==, ARCHIVE_OK);
  archive_write_free (archive);
  return g_bytes_new_take (g_realloc (buffer, used), used);
}

/* GeoTIFF. */

static const TIFFFieldInfo geo_fields[] = {
  { 33550, TIFF_VARIABLE2, TIFF_VARIABLE2, TIFF_DOUBLE, FIELD_CUSTOM, TRUE, TRUE,
    (char *) "ModelPixelScale" },
  { 33922, TIFF_VARIABLE2, TIFF_VARIABLE2, TIFF_DOUBLE, FIELD_CUSTOM, TRUE, TRUE,
    (char *) "ModelTiepoint" },
  { 34264, TIFF_VARIABLE2, TIFF_VARIABLE2, TIFF_DOUBLE, FIELD_CUSTOM, TRUE, TRUE,
    (char *) "ModelTransformation" },
  { 34735, TIFF_VARIABLE2, TIFF_VARIABLE2, TIFF_SHORT, FIELD_CUSTOM, TRUE, TRUE,
    (char *) "GeoKeyDirectory" },
  { 42113, TIFF_VARIABLE, TIFF_VARIABLE, TIFF_ASCII, FIELD_CUSTOM, TRUE, FALSE,
    (char *) "NoData" },
};

static guint
or_else (guint value, guint usual)
{
  return value != 0 ? value : usual;
}

static void
add_key (guint16 *keys, guint16 key, guint value)
{
  guint n = keys[3]++;

  if (value == 0)
    {
      keys[3]--;
      return;
    }
  keys[4 + 4 * n] = key;
  keys[4 + 4 * n + 1] = 0;
  keys[4 + 4 * n + 2] = 1;
  keys[4 + 4 * n + 3] = (guint16) value;
}

static void
set_georeference (TIFF *file, const SyntheticTiff *tiff)
{
  guint16 keys[4 + 4 * 5] = { 1, 1, 0, 0 };
  double shift = tiff->area ? 0.5 : 0.0;
  double west_deg = tiff->west_deg - shift * tiff->lon_step_deg;
  double north_deg = tiff->north_deg + shift * tiff->lat_step_deg;
  double scale[3] = { tiff->lon_step_deg, tiff->lat_step_deg, 0 };
  double tie[6] = { 0, 0, 0, west_deg, north_deg, 0 };
  double matrix[16] = { tiff->lon_step_deg, 0, 0, west_deg,
                        0, tiff->south_up ? tiff->lat_step_deg : -tiff->lat_step_deg, 0, north_deg,
                        0, 0, 0, 0, 0, 0, 0, 1 };

  add_key (keys, 1024, or_else (tiff->model_type, 2));
  add_key (keys, 1025, tiff->area ? 1 : 2);
  add_key (keys, 2048, or_else (tiff->geographic_type, 4326));
  add_key (keys, 3072, tiff->projected_type);
  add_key (keys, 4099, tiff->vertical_units);
  TIFFSetField (file, 34735, 4u + 4u * keys[3], keys);
  if (tiff->matrix || tiff->south_up)
    TIFFSetField (file, 34264, 16u, matrix);
  else
    {
      TIFFSetField (file, 33550, 3u, scale);
      TIFFSetField (file, 33922, 6u, tie);
    }
}

static void
set_layout (TIFF *file, const SyntheticTiff *tiff)
{
  TIFFMergeFieldInfo (file, geo_fields, G_N_ELEMENTS (geo_fields));
  TIFFSetField (file, TIFFTAG_IMAGEWIDTH, tiff->columns);
  TIFFSetField (file, TIFFTAG_IMAGELENGTH, tiff->rows);
  TIFFSetField (file, TIFFTAG_BITSPERSAMPLE, or_else (tiff->bits, 16));
  TIFFSetField (file, TIFFTAG_SAMPLEFORMAT, or_else (tiff->format, SAMPLEFORMAT_INT));
  TIFFSetField (file, TIFFTAG_SAMPLESPERPIXEL, or_else (tiff->bands, 1));
  TIFFSetField (file, TIFFTAG_PLANARCONFIG, PLANARCONFIG_CONTIG);
  TIFFSetField (file, TIFFTAG_PHOTOMETRIC, PHOTOMETRIC_MINISBLACK);
  TIFFSetField (file, TIFFTAG_COMPRESSION, or_else (tiff->compression, COMPRESSION_NONE));
  if (tiff->predictor > 1)
    TIFFSetField (file, TIFFTAG_PREDICTOR, tiff->predictor);
  if (tiff->tile_side > 0)
    {
      TIFFSetField (file, TIFFTAG_TILEWIDTH, tiff->tile_side);
      TIFFSetField (file, TIFFTAG_TILELENGTH, tiff->tile_side);
    }
  else
    TIFFSetField (file, TIFFTAG_ROWSPERSTRIP, or_else (tiff->stripe_rows, 7));
  if (tiff->nodata != NULL)
    TIFFSetField (file, 42113, tiff->nodata);
  if (!tiff->without_keys)
    set_georeference (file, tiff);
}

static void
set_sample (const SyntheticTiff *tiff, void *buffer, gsize index, double height_m)
{
  if (tiff->bits == 32)
    ((float *) buffer)[index] = (float) height_m;
  else if (tiff->bits == 8)
    ((guint8 *) buffer)[index] = (guint8) lrint (height_m);
  else if (tiff->format == SAMPLEFORMAT_UINT)
    ((guint16 *) buffer)[index] = (guint16) lrint (height_m);
  else
    ((gint16 *) buffer)[index] = (gint16) lrint (height_m);
}

/* Predictor 3 stores bytes by significance, whatever the order of the file; the writer of libtiff
 * 4.5 swaps a foreign order all the same (its reader does not), so it is given swapped samples. */
static void
undo_swap (const SyntheticTiff *tiff, guint32 *samples, gsize n)
{
  if (tiff->predictor != 3 || tiff->big_endian == (G_BYTE_ORDER == G_BIG_ENDIAN))
    return;
  for (gsize i = 0; i < n; i++)
    samples[i] = GUINT32_SWAP_LE_BE (samples[i]);
}

/* One tile or stripe; what lies beyond the image repeats its edge. */
static void
fill_block (const SyntheticTiff *tiff, void *buffer, guint first_column, guint first_row,
            guint columns, guint rows, SyntheticHeight height)
{
  guint bands = or_else (tiff->bands, 1);

  for (guint row = 0; row < rows; row++)
    for (guint column = 0; column < columns; column++)
      {
        double lat_deg = tiff->north_deg
                         - MIN (first_row + row, tiff->rows - 1) * tiff->lat_step_deg;
        double lon_deg = tiff->west_deg
                         + MIN (first_column + column, tiff->columns - 1) * tiff->lon_step_deg;

        for (guint band = 0; band < bands; band++)
          set_sample (tiff, buffer, ((gsize) row * columns + column) * bands + band,
                      height (lat_deg, lon_deg));
      }
  undo_swap (tiff, buffer, (gsize) rows * columns * bands);
}

static void
write_tiles (TIFF *file, const SyntheticTiff *tiff, void *buffer, SyntheticHeight height)
{
  guint side = tiff->tile_side;

  for (guint row = 0; row < tiff->rows; row += side)
    for (guint column = 0; column < tiff->columns; column += side)
      {
        fill_block (tiff, buffer, column, row, side, side, height);
        g_assert_cmpint (TIFFWriteTile (file, buffer, column, row, 0, 0), >, 0);
      }
}

static void
write_stripes (TIFF *file, const SyntheticTiff *tiff, void *buffer, SyntheticHeight height)
{
  gsize row_bytes = (gsize) TIFFScanlineSize (file);
  guint stripe_rows = or_else (tiff->stripe_rows, 7);

  for (guint row = 0; row < tiff->rows; row += stripe_rows)
    {
      guint rows = MIN (stripe_rows, tiff->rows - row);

      fill_block (tiff, buffer, 0, row, tiff->columns, rows, height);
      g_assert_cmpint (TIFFWriteEncodedStrip (file, row / stripe_rows, buffer,
                                              (tmsize_t) (row_bytes * rows)), >, 0);
    }
}

void
synthetic_write_tiff (const SyntheticFolder *folder, const char *name, const SyntheticTiff *tiff,
                      SyntheticHeight height)
{
  g_autofree char *path = synthetic_folder_file (folder, name);
  TIFF *file = TIFFOpen (path, tiff->big_endian ? "wb" : "wl");

  g_assert_nonnull (file);
  set_layout (file, tiff);

  gsize block_bytes = (gsize) (tiff->tile_side > 0 ? TIFFTileSize (file) : TIFFStripSize (file));
  g_autofree void *buffer = g_malloc (block_bytes);

  if (tiff->tile_side > 0)
    write_tiles (file, tiff, buffer, height);
  else
    write_stripes (file, tiff, buffer, height);
  TIFFClose (file);
}
