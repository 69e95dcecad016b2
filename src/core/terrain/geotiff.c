#include "core/terrain/geotiff.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/terrain/geotiff-keys.h"

#define MOST_STEPS_A_SIDE 200000
#define WINDOW_SIDE 2048
#define WINDOW_SAMPLES (WINDOW_SIDE * WINDOW_SIDE)
/* Neither LZW nor deflate packs tighter than this; a file that claims so is not worth the memory
 * (deflate: 1032, zlib technical details; LZW: strings of 4,096 bytes at most in 12 bits). */
#define BEST_PACKING 4096
#define INT16_VOID G_MININT16

struct _DwnGeotiff {
  GInputStream *stream;
  char *name;
  TIFF *tiff;
  char *complaint; /* libtiff's first one */
  DwnTileGrid grid;
  guint16 bits;
  guint16 format;
  guint16 compression;
  gboolean tiled;
  guint block_columns;
  guint block_rows;
  double nodata; /* NaN where the file names none */
};

/* Part of the image that is being decoded, and where its samples go. */
typedef struct {
  guint column, row;
  guint columns, rows;
  gint16 *whole; /* one of the two is NULL */
  float *fraction;
} Window;

/* libtiff reads through the stream, so that files and bytes are one to it, nothing is mapped and
 * the handlers, process-wide otherwise, are our own. */

static tmsize_t
read_cb (thandle_t handle, void *buffer, tmsize_t n_bytes)
{
  DwnGeotiff *self = handle;
  gsize n_read = 0;

  if (n_bytes < 0
      || !g_input_stream_read_all (self->stream, buffer, (gsize) n_bytes, &n_read, NULL, NULL))
    return -1;
  return (tmsize_t) n_read;
}

static tmsize_t
write_cb (thandle_t handle, void *buffer, tmsize_t n_bytes)
{
  return -1;
}

static toff_t
seek_cb (thandle_t handle, toff_t offset, int whence)
{
  DwnGeotiff *self = handle;
  GSeekType type = whence == SEEK_END ? G_SEEK_END : whence == SEEK_CUR ? G_SEEK_CUR : G_SEEK_SET;

  if (offset > (toff_t) G_MAXINT64
      || !g_seekable_seek (G_SEEKABLE (self->stream), (goffset) offset, type, NULL, NULL))
    return (toff_t) -1;
  return (toff_t) g_seekable_tell (G_SEEKABLE (self->stream));
}

static toff_t
size_cb (thandle_t handle)
{
  DwnGeotiff *self = handle;
  GSeekable *seekable = G_SEEKABLE (self->stream);
  goffset before = g_seekable_tell (seekable);
  goffset size = 0;

  if (g_seekable_seek (seekable, 0, G_SEEK_END, NULL, NULL))
    size = g_seekable_tell (seekable);
  g_seekable_seek (seekable, before, G_SEEK_SET, NULL, NULL);
  return (toff_t) size;
}

static int
close_cb (thandle_t handle)
{
  return 0;
}

G_GNUC_PRINTF (4, 0)
static int
complaint_cb (TIFF *tiff, void *user_data, const char *module, const char *format, va_list args)
{
  DwnGeotiff *self = user_data;

  if (self->complaint == NULL)
    self->complaint = g_strdup_vprintf (format, args);
  return 1;
}

G_GNUC_PRINTF (4, 0)
static int
warning_cb (TIFF *tiff, void *user_data, const char *module, const char *format, va_list args)
{
  return 1;
}

static gboolean
refuse_file (const DwnGeotiff *self, GError **error)
{
  g_set_error (error, DWN_TERRAIN_ERROR, DWN_TERRAIN_ERROR_CORRUPT,
               _("%s: is not a readable TIFF file (%s); fetch it again"), self->name,
               self->complaint != NULL ? self->complaint : "?");
  return FALSE;
}

static gboolean
open_tiff (DwnGeotiff *self, GError **error)
{
  TIFFOpenOptions *options = TIFFOpenOptionsAlloc ();

  if (options == NULL)
    return refuse_file (self, error);
  TIFFOpenOptionsSetMaxSingleMemAlloc (options, DWN_GEOTIFF_BLOCK_BYTES);
  TIFFOpenOptionsSetErrorHandlerExtR (options, complaint_cb, self);
  TIFFOpenOptionsSetWarningHandlerExtR (options, warning_cb, self);
  self->tiff = TIFFClientOpenExt (self->name, "rm", self, read_cb, write_cb, seek_cb, close_cb,
                                  size_cb, NULL, NULL, options);
  TIFFOpenOptionsFree (options);
  return self->tiff != NULL || refuse_file (self, error);
}

static gboolean
refuse_layout (DwnGeotiff *self, const char *what, const char *remedy, GError **error)
{
  g_set_error (error, DWN_TERRAIN_ERROR, DWN_TERRAIN_ERROR_UNSUPPORTED, _("%s: %s; %s"),
               self->name, what, remedy);
  return FALSE;
}

static gboolean
is_known_sample (const DwnGeotiff *self)
{
  if (self->bits == 16)
    return self->format == SAMPLEFORMAT_INT || self->format == SAMPLEFORMAT_UINT;
  return self->bits == 32 && self->format == SAMPLEFORMAT_IEEEFP;
}

static gboolean
is_known_compression (const DwnGeotiff *self)
{
  return self->compression == COMPRESSION_NONE || self->compression == COMPRESSION_LZW
         || self->compression == COMPRESSION_DEFLATE
         || self->compression == COMPRESSION_ADOBE_DEFLATE;
}

static gboolean
read_samples_kind (DwnGeotiff *self, GError **error)
{
  guint16 bands = 1;
  guint16 orientation = ORIENTATION_TOPLEFT;

  TIFFGetFieldDefaulted (self->tiff, TIFFTAG_SAMPLESPERPIXEL, &bands);
  TIFFGetFieldDefaulted (self->tiff, TIFFTAG_ORIENTATION, &orientation);
  TIFFGetFieldDefaulted (self->tiff, TIFFTAG_BITSPERSAMPLE, &self->bits);
  TIFFGetFieldDefaulted (self->tiff, TIFFTAG_SAMPLEFORMAT, &self->format);
  TIFFGetFieldDefaulted (self->tiff, TIFFTAG_COMPRESSION, &self->compression);
  if (bands != 1 || orientation != ORIENTATION_TOPLEFT)
    return refuse_layout (self, _("is a picture, not one band of heights"),
                          _("use the elevation file itself"), error);
  if (!is_known_sample (self))
    return refuse_layout (self, _("its heights are not 16-bit integers or 32-bit floats"),
                          _("convert it (gdal_translate -ot Float32 in.tif out.tif)"), error);
  if (!is_known_compression (self))
    return refuse_layout (self, _("its compression is not read here"),
                          _("convert it (gdal_translate -co COMPRESS=DEFLATE in.tif out.tif)"),
                          error);
  return TRUE;
}

static gsize
sample_bytes (const DwnGeotiff *self)
{
  return self->bits / 8;
}

static gboolean
check_size (DwnGeotiff *self, guint64 columns, guint64 rows, GError **error)
{
  guint64 image_bytes = columns * rows * sample_bytes (self);
  guint64 packing = self->compression == COMPRESSION_NONE ? 1 : BEST_PACKING;

  if (columns < 2 || rows < 2 || columns > MOST_STEPS_A_SIDE || rows > MOST_STEPS_A_SIDE)
    {
      g_set_error (error, DWN_TERRAIN_ERROR, DWN_TERRAIN_ERROR_SIZE,
                   _("%s: has %.0f × %.0f samples; 2 to %d on a side are read, cut it up"),
                   self->name, (double) columns, (double) rows, MOST_STEPS_A_SIDE);
      return FALSE;
    }
  if (size_cb (self) >= image_bytes / packing)
    return TRUE;
  g_set_error (error, DWN_TERRAIN_ERROR, DWN_TERRAIN_ERROR_SIZE,
               _("%s: is too short for the %.0f × %.0f samples it declares; fetch it again"),
               self->name, (double) columns, (double) rows);
  return FALSE;
}

static void
read_block_shape (DwnGeotiff *self, guint32 columns, guint32 rows)
{
  guint32 width = columns;
  guint32 height = rows;

  self->tiled = TIFFIsTiled (self->tiff) != 0;
  if (self->tiled)
    {
      TIFFGetField (self->tiff, TIFFTAG_TILEWIDTH, &width);
      TIFFGetField (self->tiff, TIFFTAG_TILELENGTH, &height);
    }
  else
    {
      TIFFGetFieldDefaulted (self->tiff, TIFFTAG_ROWSPERSTRIP, &height);
      height = MIN (height, rows);
    }
  self->block_columns = width;
  self->block_rows = height;
}

static gsize
block_bytes (const DwnGeotiff *self)
{
  return (gsize) self->block_columns * self->block_rows * sample_bytes (self);
}

static gboolean
check_blocks (DwnGeotiff *self, GError **error)
{
  guint64 declared = self->tiled ? TIFFTileSize64 (self->tiff) : TIFFStripSize64 (self->tiff);

  if (self->block_columns > 0 && self->block_rows > 0 && declared <= DWN_GEOTIFF_BLOCK_BYTES
      && declared == block_bytes (self))
    return TRUE;
  return refuse_layout (self, _("its stripes or tiles are too large to decode one at a time"),
                        _("rewrite it (gdal_translate -co TILED=YES in.tif out.tif)"), error);
}

/* The mark of voids as text, which need not end in a zero byte. */
static double
read_nodata (DwnGeotiff *self)
{
  guint32 n = 0;
  const char *text = dwn_geotiff_get_tag (self->tiff, DWN_TIFF_TAG_NODATA, TIFF_ASCII, &n);

  if (text == NULL)
    return (double) NAN;

  g_autofree char *copy = g_strndup (text, n);
  char *end = NULL;
  double value = g_ascii_strtod (copy, &end);

  return end == copy ? (double) NAN : value;
}

static gboolean
read_headers (DwnGeotiff *self, GError **error)
{
  guint32 columns = 0;
  guint32 rows = 0;

  TIFFGetField (self->tiff, TIFFTAG_IMAGEWIDTH, &columns);
  TIFFGetField (self->tiff, TIFFTAG_IMAGELENGTH, &rows);
  if (!dwn_geotiff_read_grid (self->tiff, self->name, columns, rows, &self->grid, error)
      || !read_samples_kind (self, error) || !check_size (self, columns, rows, error))
    return FALSE;
  read_block_shape (self, columns, rows);
  self->nodata = read_nodata (self);
  return check_blocks (self, error);
}

DwnGeotiff *
dwn_geotiff_open (GInputStream *stream, const char *name, GError **error)
{
  g_return_val_if_fail (G_IS_SEEKABLE (stream) && name != NULL, NULL);

  g_autoptr (DwnGeotiff) self = g_new0 (DwnGeotiff, 1);

  self->stream = g_object_ref (stream);
  self->name = g_strdup (name);
  if (!open_tiff (self, error) || !read_headers (self, error))
    return NULL;
  return g_steal_pointer (&self);
}

DwnGeotiff *
dwn_geotiff_open_path (const char *path, GError **error)
{
  g_return_val_if_fail (path != NULL, NULL);

  g_autoptr (GFile) file = g_file_new_for_path (path);
  g_autoptr (GFileInputStream) stream = g_file_read (file, NULL, error);
  g_autofree char *name = g_path_get_basename (path);

  return stream != NULL ? dwn_geotiff_open (G_INPUT_STREAM (stream), name, error) : NULL;
}

void
dwn_geotiff_close (DwnGeotiff *geotiff)
{
  if (geotiff->tiff != NULL)
    TIFFClose (geotiff->tiff);
  g_object_unref (geotiff->stream);
  g_free (geotiff->name);
  g_free (geotiff->complaint);
  g_free (geotiff);
}

const DwnTileGrid *
dwn_geotiff_get_grid (const DwnGeotiff *geotiff)
{
  return &geotiff->grid;
}

static guint
round_up (guint at_least, guint multiple_of, guint at_most)
{
  guint64 rounded = (guint64) (at_least + multiple_of - 1) / multiple_of * multiple_of;

  return (guint) MIN (rounded, at_most);
}

void
dwn_geotiff_get_window (const DwnGeotiff *geotiff, guint *columns, guint *rows)
{
  const DwnTileGrid *grid = &geotiff->grid;
  guint wanted_rows = WINDOW_SIDE;

  *columns = grid->columns;
  *rows = grid->rows;
  if ((guint64) grid->columns * grid->rows <= DWN_GEOTIFF_WHOLE_SAMPLES)
    return;
  if (geotiff->tiled)
    *columns = round_up (WINDOW_SIDE, geotiff->block_columns, grid->columns);
  else
    wanted_rows = MAX (WINDOW_SAMPLES / grid->columns, 2);
  *rows = round_up (wanted_rows, geotiff->block_rows, grid->rows);
}

/* Decoding. */

static gboolean
decode_block (DwnGeotiff *self, guint block_column, guint block_row, void *buffer, GError **error)
{
  guint first_row = block_row * self->block_rows;
  gsize expected = block_bytes (self);
  tmsize_t n_bytes;

  g_clear_pointer (&self->complaint, g_free);
  if (self->tiled)
    {
      guint32 tile = TIFFComputeTile (self->tiff, block_column * self->block_columns, first_row, 0,
                                      0);

      n_bytes = TIFFReadEncodedTile (self->tiff, tile, buffer, (tmsize_t) expected);
    }
  else
    {
      guint rows = MIN (self->block_rows, self->grid.rows - first_row);

      expected = (gsize) self->block_columns * rows * sample_bytes (self);
      n_bytes = TIFFReadEncodedStrip (self->tiff, block_row, buffer, (tmsize_t) expected);
    }
  if (n_bytes == (tmsize_t) expected)
    return TRUE;
  g_set_error (error, DWN_TERRAIN_ERROR, DWN_TERRAIN_ERROR_CORRUPT,
               _("%s: its heights do not decode (%s); fetch it again"), self->name,
               self->complaint != NULL ? self->complaint : "?");
  return FALSE;
}

static void
copy_int16 (const DwnGeotiff *self, const gint16 *from, gint16 *to, gsize n)
{
  for (gsize i = 0; i < n; i++)
    to[i] = (double) from[i] == self->nodata ? INT16_VOID : from[i];
}

static void
copy_uint16 (const DwnGeotiff *self, const guint16 *from, float *to, gsize n)
{
  for (gsize i = 0; i < n; i++)
    to[i] = (double) from[i] == self->nodata ? NAN : (float) from[i];
}

static void
copy_float (const DwnGeotiff *self, const float *from, float *to, gsize n)
{
  /* The mark is written as text, often with fewer digits than the double needs. */
  float nodata = (float) CLAMP (self->nodata, (double) -G_MAXFLOAT, (double) G_MAXFLOAT);

  for (gsize i = 0; i < n; i++)
    to[i] = from[i] == nodata ? NAN : from[i];
}

/* Copies what the block and the window share. */
static void
copy_block (const DwnGeotiff *self, guint block_column, guint block_row, const void *buffer,
            const Window *window)
{
  guint block_west = block_column * self->block_columns;
  guint block_north = block_row * self->block_rows;
  guint west = MAX (block_west, window->column);
  guint east = MIN (block_west + self->block_columns, window->column + window->columns);
  guint north = MAX (block_north, window->row);
  guint south = MIN (block_north + self->block_rows, window->row + window->rows);

  for (guint row = north; row < south; row++)
    {
      gsize from = (gsize) (row - block_north) * self->block_columns + (west - block_west);
      gsize to = (gsize) (row - window->row) * window->columns + (west - window->column);

      if (window->whole != NULL)
        copy_int16 (self, (const gint16 *) buffer + from, window->whole + to, east - west);
      else if (self->bits == 16)
        copy_uint16 (self, (const guint16 *) buffer + from, window->fraction + to, east - west);
      else
        copy_float (self, (const float *) buffer + from, window->fraction + to, east - west);
    }
}

static gboolean
decode_window (DwnGeotiff *self, const Window *window, GError **error)
{
  g_autofree void *buffer = g_malloc (block_bytes (self));
  guint last_column = (window->column + window->columns - 1) / self->block_columns;
  guint last_row = (window->row + window->rows - 1) / self->block_rows;

  for (guint row = window->row / self->block_rows; row <= last_row; row++)
    for (guint column = window->column / self->block_columns; column <= last_column; column++)
      {
        if (!decode_block (self, column, row, buffer, error))
          return FALSE;
        copy_block (self, column, row, buffer, window);
      }
  return TRUE;
}

DwnTile *
dwn_geotiff_read (DwnGeotiff *geotiff, guint column, guint row, guint columns, guint rows,
                  GError **error)
{
  const DwnTileGrid *grid = &geotiff->grid;

  g_return_val_if_fail (columns >= 2 && columns <= grid->columns - column, NULL);
  g_return_val_if_fail (rows >= 2 && rows <= grid->rows - row, NULL);

  gsize n_samples = (gsize) columns * rows;
  gboolean whole = geotiff->bits == 16 && geotiff->format == SAMPLEFORMAT_INT;
  g_autofree gint16 *heights = whole ? g_new (gint16, n_samples) : NULL;
  g_autofree float *fractions = whole ? NULL : g_new (float, n_samples);
  Window window = { column, row, columns, rows, heights, fractions };
  DwnTileGrid part = *grid;

  if (!decode_window (geotiff, &window, error))
    return NULL;
  part.west_deg = dwn_tile_grid_lon_deg (grid, column);
  part.north_deg = dwn_tile_grid_lat_deg (grid, row);
  part.columns = columns;
  part.rows = rows;
  return whole ? dwn_tile_new_take_int16 (&part, g_steal_pointer (&heights))
               : dwn_tile_new_take_float (&part, g_steal_pointer (&fractions));
}
