/* A GeoTIFF read while libtiff gets its first n larger allocations and no more: an error that names
 * the file or the whole image, never a crash and never other heights. libtiff lets a program bring
 * its own _TIFFmalloc() and _TIFFrealloc(), and calls them for whatever depends on the file.
 * Small ones succeed: libtiff 4.5 itself does not look whether they did when its own list of tags
 * grows by one that it does not know, and GLib gives up there as well. */
#include <glib/gstdio.h>
#include <string.h>
#include <sys/wait.h>
#include <tiffio.h>
#include <unistd.h>

#include "core/terrain/geotiff.h"

#include "synthetic.h"

#define COLUMNS 70
#define ROWS 300

/* Where each stripe stands, the buffers and what the decoders remember are larger. */
#define LARGE_BYTES 2048

static gint allocations_left = G_MAXINT;

static gboolean
take_allocation (tmsize_t size)
{
  return size < LARGE_BYTES || g_atomic_int_add (&allocations_left, -1) > 0;
}

void *
_TIFFmalloc (tmsize_t size)
{
  return size > 0 && take_allocation (size) ? malloc ((size_t) size) : NULL;
}

void *
_TIFFrealloc (void *memory, tmsize_t size)
{
  return take_allocation (size) ? realloc (memory, (size_t) size) : NULL;
}

typedef struct {
  const char *name;
  guint bits, format, compression, predictor, tile_side;
} Layout;

static const Layout layouts[] = {
  { "stripes", 16, SAMPLEFORMAT_INT, COMPRESSION_NONE, 1, 0 },
  { "lzw-tiles", 16, SAMPLEFORMAT_INT, COMPRESSION_LZW, 2, 64 },
  { "lzw-stripes", 16, SAMPLEFORMAT_UINT, COMPRESSION_LZW, 1, 0 },
  { "deflate", 16, SAMPLEFORMAT_INT, COMPRESSION_ADOBE_DEFLATE, 2, 0 },
  { "float-deflate", 32, SAMPLEFORMAT_IEEEFP, COMPRESSION_ADOBE_DEFLATE, 3, 0 },
};

/* Too rough to be packed into little. */
static double
height_m (double lat_deg, double lon_deg)
{
  guint column = (guint) (1000.0 * (lon_deg - 11.0) + 0.5);
  guint row = (guint) (1000.0 * (50.0 - lat_deg) + 0.5);

  return 100.0 + (double) ((column * 2654435761u + row * 2246822519u) >> 16) / 64.0;
}

static DwnTile *
read_file (const char *path, GError **error)
{
  g_autoptr (GFile) file = g_file_new_for_path (path);
  g_autoptr (GInputStream) stream = G_INPUT_STREAM (g_file_read (file, NULL, error));
  g_autoptr (DwnGeotiff) geotiff = stream != NULL ? dwn_geotiff_open (stream, "hill.tif", error)
                                                  : NULL;

  return geotiff != NULL ? dwn_geotiff_read (geotiff, 0, 0, COLUMNS, ROWS, error) : NULL;
}

static gboolean
is_same (const DwnTile *a, const DwnTile *b)
{
  for (guint row = 0; row < ROWS; row++)
    for (guint column = 0; column < COLUMNS; column++)
      {
        gboolean filled_a = FALSE, filled_b = FALSE;
        double a_m = dwn_tile_height_m (a, column, row, &filled_a);
        double b_m = dwn_tile_height_m (b, column, row, &filled_b);

        if (memcmp (&a_m, &b_m, sizeof a_m) != 0 || filled_a != filled_b)
          return FALSE;
      }
  return TRUE;
}

enum { CHILD_REFUSED, CHILD_READ, CHILD_WITHOUT_ERROR, CHILD_OTHER_HEIGHTS };

/* The child's own exit status. */
static int
read_with_allocations (const char *path, const DwnTile *whole, gint n)
{
  g_autoptr (GError) error = NULL;

  g_atomic_int_set (&allocations_left, n);
  g_autoptr (DwnTile) tile = read_file (path, &error);
  g_atomic_int_set (&allocations_left, G_MAXINT);
  if (tile == NULL)
    return error != NULL && strstr (error->message, "hill.tif") != NULL ? CHILD_REFUSED
                                                                        : CHILD_WITHOUT_ERROR;
  return is_same (tile, whole) ? CHILD_READ : CHILD_OTHER_HEIGHTS;
}

static int
status_of_child (const char *path, const DwnTile *whole, gint n)
{
  int status;
  pid_t child = fork ();

  g_assert_cmpint (child, >=, 0);
  if (child == 0)
    _exit (read_with_allocations (path, whole, n));
  g_assert_cmpint (waitpid (child, &status, 0), ==, child);
  if (!WIFEXITED (status) || WEXITSTATUS (status) > CHILD_READ)
    g_error ("with %d allocations: wait status %#x", n, (guint) status);
  return WEXITSTATUS (status);
}

static void
test_layout (gconstpointer data)
{
  const Layout *layout = data;
  const SyntheticTiff tiff = {
    .west_deg = 11.0, .north_deg = 50.0, .lon_step_deg = 0.001, .lat_step_deg = 0.001,
    .columns = COLUMNS, .rows = ROWS, .bits = layout->bits, .format = layout->format,
    .compression = layout->compression, .predictor = layout->predictor,
    .tile_side = layout->tile_side, .stripe_rows = 1, .nodata = "105",
  };
  g_auto (SyntheticFolder) folder;
  g_autoptr (GError) error = NULL;
  gint n = 0;

  synthetic_folder_init (&folder);
  synthetic_write_tiff (&folder, "hill.tif", &tiff, height_m);
  g_autofree char *path = synthetic_folder_file (&folder, "hill.tif");
  g_autoptr (DwnTile) whole = read_file (path, &error);
  g_assert_no_error (error);
  while (n < 5000 && status_of_child (path, whole, n) == CHILD_REFUSED)
    n++;
  g_test_message ("%d allocations are enough", n);
  /* At least the buffer of what is packed wants it. */
  g_assert_cmpint (n, >=, 1);
  g_assert_cmpint (n, <, 5000);
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  for (guint i = 0; i < G_N_ELEMENTS (layouts); i++)
    {
      g_autofree char *path = g_strdup_printf ("/geotiff-memory/%s", layouts[i].name);
      g_test_add_data_func (path, &layouts[i], test_layout);
    }
  return g_test_run ();
}
