#include "core/terrain/hgt.h"

#include <archive.h>
#include <archive_entry.h>
#include <glib/gi18n-lib.h>
#include <string.h>

#define MOST_MEMBERS 64
#define ARCHIVE_BLOCK_BYTES 65536
#define GZIP_TRAILER_BYTES 4

/* Samples on a side: one degree at 3 and at 1 arc-second, both edges included. Under libFuzzer, to
 * which a tile of 1201 would leave a few hundred tries a second, small ones instead. */
#ifdef FUZZING_BUILD_MODE_UNSAFE_FOR_PRODUCTION
static const guint sides[] = { 5, 9 };
#else
static const guint sides[] = { 1201, 3601 };
#endif

/* A file on disk or bytes in hand; exactly one of path and bytes is set. */
typedef struct {
  const char *path;
  GBytes *bytes;
  const char *name; /* for messages and for the degree cell */
  DwnHgtPacking packing;
} Source;

typedef struct archive Archive;

static void
free_archive (Archive *archive)
{
  archive_read_free (archive);
}

G_DEFINE_AUTOPTR_CLEANUP_FUNC (Archive, free_archive)

static gboolean
parse_degrees (const char *digits, int n_digits, int *degrees)
{
  *degrees = 0;
  for (int i = 0; i < n_digits; i++)
    {
      if (!g_ascii_isdigit (digits[i]))
        return FALSE;
      *degrees = *degrees * 10 + g_ascii_digit_value (digits[i]);
    }
  return TRUE;
}

gboolean
dwn_hgt_parse_name (const char *name, int *south_deg, int *west_deg)
{
  g_return_val_if_fail (name != NULL, FALSE);

  char north_south = g_ascii_toupper (name[0]);

  if ((north_south != 'N' && north_south != 'S') || !parse_degrees (name + 1, 2, south_deg))
    return FALSE;

  char east_west = g_ascii_toupper (name[3]);

  if ((east_west != 'E' && east_west != 'W') || !parse_degrees (name + 4, 3, west_deg))
    return FALSE;
  if (north_south == 'S')
    *south_deg = -*south_deg;
  if (east_west == 'W')
    *west_deg = -*west_deg;
  return *south_deg >= -90 && *south_deg < 90 && *west_deg >= -180 && *west_deg < 180;
}

static gboolean
has_ending (const char *name, const char *ending)
{
  gsize name_length = strlen (name);
  gsize length = strlen (ending);

  return name_length > length && g_ascii_strcasecmp (name + name_length - length, ending) == 0;
}

gboolean
dwn_hgt_match (const char *name, DwnHgtPacking *packing)
{
  g_return_val_if_fail (name != NULL, FALSE);

  if (has_ending (name, ".hgt"))
    *packing = DWN_HGT_PLAIN;
  else if (has_ending (name, ".zip"))
    *packing = DWN_HGT_ZIP;
  else if (has_ending (name, ".hgt.gz"))
    *packing = DWN_HGT_GZIP;
  else
    return FALSE;
  return TRUE;
}

static gsize
tile_bytes (guint side)
{
  return (gsize) side * side * sizeof (gint16);
}

static gboolean
parse_size (const Source *source, guint64 n_bytes, guint *side, GError **error)
{
  for (gsize i = 0; i < G_N_ELEMENTS (sides); i++)
    if (n_bytes == tile_bytes (sides[i]))
      {
        *side = sides[i];
        return TRUE;
      }
  g_set_error (error, DWN_TERRAIN_ERROR, DWN_TERRAIN_ERROR_SIZE,
               _("%s: holds %.0f bytes of heights; a tile has %.0f (3 arc-seconds) or %.0f "
                 "(1 arc-second), fetch it again"),
               source->name, (double) n_bytes, (double) tile_bytes (sides[0]),
               (double) tile_bytes (sides[1]));
  return FALSE;
}

static void
set_grid (DwnTileGrid *grid, guint side, int south_deg, int west_deg)
{
  *grid = (DwnTileGrid) {
    .west_deg = west_deg,
    .north_deg = south_deg + 1.0,
    .lon_step_deg = 1.0 / (side - 1),
    .lat_step_deg = 1.0 / (side - 1),
    .columns = side,
    .rows = side,
    .registration = DWN_REGISTRATION_POINT,
  };
}

static gboolean
set_grid_by_name (const Source *source, guint side, DwnTileGrid *grid, GError **error)
{
  int south_deg, west_deg;

  if (!dwn_hgt_parse_name (source->name, &south_deg, &west_deg))
    {
      g_set_error (error, DWN_TERRAIN_ERROR, DWN_TERRAIN_ERROR_NAME,
                   _("%s: the name does not say which degree it holds; it should begin with the "
                     "south-west corner, like N44W072"), source->name);
      return FALSE;
    }
  set_grid (grid, side, south_deg, west_deg);
  return TRUE;
}

/* Streams: plain files and the trailer of a .gz. */

static GInputStream *
open_stream (const Source *source, GError **error)
{
  g_autoptr (GFile) file = NULL;

  if (source->bytes != NULL)
    return g_memory_input_stream_new_from_bytes (source->bytes);
  file = g_file_new_for_path (source->path);
  return G_INPUT_STREAM (g_file_read (file, NULL, error));
}

static gboolean
read_stream (const Source *source, goffset offset, GSeekType whence, void *buffer, gsize n_bytes,
             goffset *size, GError **error)
{
  g_autoptr (GInputStream) stream = open_stream (source, error);
  gsize n_read = 0;

  if (stream == NULL || !g_seekable_seek (G_SEEKABLE (stream), 0, G_SEEK_END, NULL, error))
    return FALSE;
  if (size != NULL)
    *size = g_seekable_tell (G_SEEKABLE (stream));
  if (n_bytes == 0)
    return TRUE;
  if (!g_seekable_seek (G_SEEKABLE (stream), offset, whence, NULL, error)
      || !g_input_stream_read_all (stream, buffer, n_bytes, &n_read, NULL, error))
    return FALSE;
  if (n_read == n_bytes)
    return TRUE;
  g_set_error (error, DWN_TERRAIN_ERROR, DWN_TERRAIN_ERROR_SIZE,
               _("%s: ends early; fetch it again"), source->name);
  return FALSE;
}

static gboolean
probe_plain (const Source *source, DwnTileGrid *grid, GError **error)
{
  goffset size = 0;
  guint side;

  return read_stream (source, 0, G_SEEK_SET, NULL, 0, &size, error)
         && parse_size (source, (guint64) size, &side, error)
         && set_grid_by_name (source, side, grid, error);
}

/* The last four bytes of a gzip file tell what it unpacks to, modulo 2³² (RFC 1952 §2.3.1); that
 * it is so shows when it is read. */
static gboolean
probe_gzip (const Source *source, DwnTileGrid *grid, GError **error)
{
  guint8 trailer[GZIP_TRAILER_BYTES];
  goffset size = 0;
  guint side;

  if (!read_stream (source, 0, G_SEEK_SET, NULL, 0, &size, error))
    return FALSE;
  if (size < GZIP_TRAILER_BYTES)
    return parse_size (source, (guint64) size, &side, error);
  if (!read_stream (source, -GZIP_TRAILER_BYTES, G_SEEK_END, trailer, sizeof trailer, NULL, error))
    return FALSE;

  guint64 unpacked = trailer[0] | trailer[1] << 8 | trailer[2] << 16 | (guint64) trailer[3] << 24;

  return parse_size (source, unpacked, &side, error)
         && set_grid_by_name (source, side, grid, error);
}

/* Archives. */

static gboolean
refuse_archive (const Source *source, Archive *archive, GError **error)
{
  const char *reason = archive_error_string (archive);

  g_set_error (error, DWN_TERRAIN_ERROR, DWN_TERRAIN_ERROR_CORRUPT,
               _("%s: cannot be unpacked (%s); fetch it again"), source->name,
               reason != NULL ? reason : "?");
  return FALSE;
}

static Archive *
open_archive (const Source *source, GError **error)
{
  g_autoptr (Archive) archive = archive_read_new ();
  int status;

  if (source->packing == DWN_HGT_ZIP)
    archive_read_support_format_zip (archive);
  else
    {
      archive_read_support_filter_gzip (archive);
      archive_read_support_format_raw (archive);
    }
  if (source->bytes != NULL)
    status = archive_read_open_memory (archive, g_bytes_get_data (source->bytes, NULL),
                                       g_bytes_get_size (source->bytes));
  else
    status = archive_read_open_filename (archive, source->path, ARCHIVE_BLOCK_BYTES);
  if (status == ARCHIVE_OK)
    return g_steal_pointer (&archive);
  refuse_archive (source, archive, error);
  return NULL;
}

static gboolean
points_outside (const char *member)
{
  g_auto (GStrv) parts = g_strsplit_set (member, "/\\", -1);

  return member[0] == '/' || member[0] == '\\' || strchr (member, ':') != NULL
         || g_strv_contains ((const char *const *) parts, "..");
}

/* Nothing is written to disk here, so such a member could do no harm; but an archive that tries is
 * not a tile to be trusted. */
static gboolean
check_member (const Source *source, struct archive_entry *entry, GError **error)
{
  const char *member = archive_entry_pathname (entry);
  gboolean is_link = archive_entry_filetype (entry) == AE_IFLNK
                     || archive_entry_hardlink (entry) != NULL;

  if (member == NULL || (!is_link && !points_outside (member)))
    return TRUE;
  g_set_error (error, DWN_TERRAIN_ERROR, DWN_TERRAIN_ERROR_UNSAFE,
               _("%s: the member %s points outside the archive; get the tile from a source you "
                 "trust"), source->name, member);
  return FALSE;
}

static gboolean
is_tile_member (struct archive_entry *entry)
{
  const char *member = archive_entry_pathname (entry);

  if (member == NULL || archive_entry_filetype (entry) != AE_IFREG || !has_ending (member, ".hgt"))
    return FALSE;

  g_autofree char *base = g_path_get_basename (member);

  return base[0] != '.'; /* some packers add a "._" shadow of each file */
}

static gboolean
set_grid_by_member (const Source *source, struct archive_entry *entry, DwnTileGrid *grid,
                    GError **error)
{
  g_autofree char *base = g_path_get_basename (archive_entry_pathname (entry));
  int south_deg, west_deg, own_south_deg, own_west_deg;
  Source member = *source;
  guint side;

  if (!parse_size (source, archive_entry_size_is_set (entry)
                           ? (guint64) archive_entry_size (entry) : 0, &side, error))
    return FALSE;
  if (dwn_hgt_parse_name (source->name, &own_south_deg, &own_west_deg)
      && dwn_hgt_parse_name (base, &south_deg, &west_deg)
      && (south_deg != own_south_deg || west_deg != own_west_deg))
    {
      g_set_error (error, DWN_TERRAIN_ERROR, DWN_TERRAIN_ERROR_NAME,
                   _("%s: holds %s, another degree than its own name says; rename it after what "
                     "it holds"), source->name, base);
      return FALSE;
    }
  if (!dwn_hgt_parse_name (source->name, &own_south_deg, &own_west_deg))
    member.name = base;
  return set_grid_by_name (&member, side, grid, error);
}

static gboolean
refuse_members (const Source *source, guint n_tiles, GError **error)
{
  g_set_error (error, DWN_TERRAIN_ERROR, DWN_TERRAIN_ERROR_UNSUPPORTED,
               n_tiles == 0 ? _("%s: holds no .hgt file; one tile in each zip is read")
                            : _("%s: holds several .hgt files; one tile in each zip is read"),
               source->name);
  return FALSE;
}

/* Looks at every member; @position is the place of the tile among them. */
static gboolean
probe_zip (const Source *source, DwnTileGrid *grid, guint *position, GError **error)
{
  g_autoptr (Archive) archive = open_archive (source, error);
  struct archive_entry *entry;
  guint n_tiles = 0;
  int status = ARCHIVE_OK;

  if (archive == NULL)
    return FALSE;
  for (guint i = 0; i < MOST_MEMBERS; i++)
    {
      status = archive_read_next_header (archive, &entry);
      if (status != ARCHIVE_OK && status != ARCHIVE_WARN)
        break;
      if (!check_member (source, entry, error))
        return FALSE;
      if (!is_tile_member (entry))
        continue;
      *position = i;
      if (n_tiles++ == 0 && !set_grid_by_member (source, entry, grid, error))
        return FALSE;
    }
  if (status != ARCHIVE_EOF && status != ARCHIVE_OK && status != ARCHIVE_WARN)
    return refuse_archive (source, archive, error);
  return n_tiles == 1 || refuse_members (source, n_tiles, error);
}

/* The declared size is not believed: reading stops one byte after what the grid needs. */
static gboolean
read_member (const Source *source, Archive *archive, guint8 *buffer, gsize n_bytes, GError **error)
{
  gsize n_read = 0;
  la_ssize_t n = 0;
  guint8 beyond;

  while (n_read < n_bytes)
    {
      n = archive_read_data (archive, buffer + n_read, n_bytes - n_read);
      if (n <= 0)
        break;
      n_read += (gsize) n;
    }
  if (n >= 0 && n_read == n_bytes)
    n = archive_read_data (archive, &beyond, 1);
  if (n < 0)
    return refuse_archive (source, archive, error);
  if (n_read == n_bytes && n == 0)
    return TRUE;
  g_set_error (error, DWN_TERRAIN_ERROR, DWN_TERRAIN_ERROR_SIZE,
               _("%s: does not unpack to the size it declares; fetch it again"), source->name);
  return FALSE;
}

static gboolean
read_archive (const Source *source, guint position, guint8 *buffer, gsize n_bytes, GError **error)
{
  g_autoptr (Archive) archive = open_archive (source, error);
  struct archive_entry *entry;

  if (archive == NULL)
    return FALSE;
  for (guint i = 0; i <= position; i++)
    {
      int status = archive_read_next_header (archive, &entry);

      if (status != ARCHIVE_OK && status != ARCHIVE_WARN)
        return refuse_archive (source, archive, error);
    }
  return read_member (source, archive, buffer, n_bytes, error);
}

static gboolean
probe_source (const Source *source, DwnTileGrid *grid, guint *position, GError **error)
{
  *position = 0;
  switch (source->packing)
    {
    case DWN_HGT_ZIP:
      return probe_zip (source, grid, position, error);
    case DWN_HGT_GZIP:
      return probe_gzip (source, grid, error);
    case DWN_HGT_PLAIN:
    default:
      return probe_plain (source, grid, error);
    }
}

static DwnTile *
read_source (const Source *source, GError **error)
{
  DwnTileGrid grid;
  guint position;

  if (!probe_source (source, &grid, &position, error))
    return NULL;

  gsize n_samples = (gsize) grid.columns * grid.rows;
  g_autofree gint16 *samples = g_new (gint16, n_samples);
  gsize n_bytes = n_samples * sizeof *samples;

  if (source->packing == DWN_HGT_PLAIN)
    {
      if (!read_stream (source, 0, G_SEEK_SET, samples, n_bytes, NULL, error))
        return NULL;
    }
  else if (!read_archive (source, position, (guint8 *) samples, n_bytes, error))
    return NULL;

  for (gsize i = 0; i < n_samples; i++)
    samples[i] = GINT16_FROM_BE (samples[i]);
  return dwn_tile_new_take_int16 (&grid, g_steal_pointer (&samples));
}

static gboolean
set_packing (Source *source, GError **error)
{
  if (dwn_hgt_match (source->name, &source->packing))
    return TRUE;
  g_set_error (error, DWN_TERRAIN_ERROR, DWN_TERRAIN_ERROR_NAME,
               _("%s: should end in .hgt, .hgt.zip, .zip or .hgt.gz"), source->name);
  return FALSE;
}

gboolean
dwn_hgt_probe (const char *path, DwnTileGrid *grid, GError **error)
{
  g_return_val_if_fail (path != NULL && grid != NULL, FALSE);

  g_autofree char *name = g_path_get_basename (path);
  Source source = { .path = path, .name = name };
  guint position;

  return set_packing (&source, error) && probe_source (&source, grid, &position, error);
}

DwnTile *
dwn_hgt_read (const char *path, GError **error)
{
  g_return_val_if_fail (path != NULL, NULL);

  g_autofree char *name = g_path_get_basename (path);
  Source source = { .path = path, .name = name };

  return set_packing (&source, error) ? read_source (&source, error) : NULL;
}

DwnTile *
dwn_hgt_read_bytes (const char *name, GBytes *bytes, GError **error)
{
  g_return_val_if_fail (name != NULL && bytes != NULL, NULL);

  Source source = { .bytes = bytes, .name = name };

  return set_packing (&source, error) ? read_source (&source, error) : NULL;
}
