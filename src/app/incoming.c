#include "app/incoming.h"

#include <glib/gi18n.h>
#include <string.h>

#include "core/antenna/catalogue.h"
#include "core/terrain/hgt.h"
#include "core/terrain/tile-file.h"

#define HEAD_BYTES 512
/* Tables of an antenna are small; station lists of this size are not tried as one. */
#define MOST_PATTERN_BYTES (2 * 1024 * 1024)

static gboolean
ends (const char *name, const char *ending)
{
  gsize n = strlen (name), length = strlen (ending);

  return n > length && g_ascii_strcasecmp (name + n - length, ending) == 0;
}

/* "" where the file cannot be read. */
static void
read_head (const char *path, char head[HEAD_BYTES + 1])
{
  g_autoptr (GFile) file = g_file_new_for_path (path);
  g_autoptr (GFileInputStream) stream = g_file_read (file, NULL, NULL);
  gsize n = 0;

  if (stream != NULL)
    g_input_stream_read_all (G_INPUT_STREAM (stream), head, HEAD_BYTES, &n, NULL, NULL);
  head[n] = '\0';
}

/* A zip holds licence tables or one tile; a tile's is called like it: N44W072. */
static gboolean
is_tile (const char *name)
{
  int south_deg, west_deg;

  return dwn_tile_file_match (name) && (!ends (name, ".zip") || dwn_hgt_parse_name (name, &south_deg, &west_deg));
}

static gboolean
holds_tiles (const char *folder)
{
  g_autoptr (GDir) dir = g_dir_open (folder, 0, NULL);
  const char *name;

  while (dir != NULL && (name = g_dir_read_name (dir)) != NULL)
    if (is_tile (name))
      return TRUE;
  return FALSE;
}

/* Columns that only a meter has, in the first line. */
static gboolean
names_readings (const char *head)
{
  static const char *const columns[] = { "level-db", "level", "cn-db", "mer-db", "ber-before", "ber-after", "lock",
                                         "bars" };
  g_autofree char *line = g_ascii_strdown (head, (gssize) strcspn (head, "\r\n"));

  g_strdelimit (line, " _", '-');
  g_auto (GStrv) fields = g_strsplit_set (line, ",;\t", -1);
  for (guint i = 0; fields[i] != NULL; i++)
    for (guint k = 0; k < G_N_ELEMENTS (columns); k++)
      if (g_str_has_prefix (g_strstrip (fields[i]), columns[k]))
        return TRUE;
  return FALSE;
}

static gboolean
is_pattern (const char *path)
{
  g_autoptr (GFile) file = g_file_new_for_path (path);
  g_autoptr (GFileInfo) info = g_file_query_info (file, G_FILE_ATTRIBUTE_STANDARD_SIZE, 0, NULL, NULL);

  if (info == NULL || g_file_info_get_size (info) > MOST_PATTERN_BYTES)
    return FALSE;
  g_autoptr (DwnAntenna) antenna = dwn_antenna_load (path, NULL, NULL);
  return antenna != NULL;
}

/* What its first line does not tell. */
static DwnIncoming
by_content (const char *path, const char *name, const char *head)
{
  if (strstr (head, "<stations") != NULL || head[0] == '|' || ends (name, ".zip") || ends (name, ".dat"))
    return DWN_INCOMING_STATIONS;
  if (names_readings (head))
    return DWN_INCOMING_READINGS;
  if (is_pattern (path))
    return DWN_INCOMING_PATTERN;
  if (ends (name, ".csv") || ends (name, ".txt") || ends (name, ".tsv"))
    return DWN_INCOMING_STATIONS;
  return DWN_INCOMING_UNKNOWN;
}

DwnIncoming
dwn_incoming_of (const char *path)
{
  g_return_val_if_fail (path != NULL, DWN_INCOMING_UNKNOWN);

  g_autofree char *name = g_path_get_basename (path);
  char head[HEAD_BYTES + 1];

  if (g_file_test (path, G_FILE_TEST_IS_DIR))
    return holds_tiles (path) ? DWN_INCOMING_TILES : DWN_INCOMING_UNKNOWN;
  read_head (path, head);
  if (strstr (head, "<downlead") != NULL || ends (name, ".downlead") || ends (name, ".downlead~"))
    return DWN_INCOMING_PLAN;
  if (is_tile (name))
    return DWN_INCOMING_TILE;
  return by_content (path, name, head);
}

static gboolean
is_same (const char *path, const char *other)
{
  g_autoptr (GMappedFile) a = g_mapped_file_new (path, FALSE, NULL), b = g_mapped_file_new (other, FALSE, NULL);
  gsize n = a != NULL ? g_mapped_file_get_length (a) : 0;

  return n > 0 && b != NULL && g_mapped_file_get_length (b) == n
         && memcmp (g_mapped_file_get_contents (a), g_mapped_file_get_contents (b), n) == 0;
}

static gboolean
copy_tile (const char *path, const char *folder, GCancellable *cancellable, GError **error)
{
  g_autofree char *name = g_path_get_basename (path);
  g_autofree char *to = g_build_filename (folder, name, NULL);
  g_autoptr (DwnTileFile) tile = dwn_tile_file_probe (path, error);

  if (tile == NULL)
    return FALSE;
  if (g_file_test (to, G_FILE_TEST_EXISTS))
    {
      if (is_same (path, to))
        return TRUE;
      g_set_error (error, G_IO_ERROR, G_IO_ERROR_EXISTS, _("%s: another file of that name is in %s; remove it first"),
                   name, folder);
      return FALSE;
    }
  g_autoptr (GFile) source = g_file_new_for_path (path), target = g_file_new_for_path (to);
  return g_file_copy (source, target, G_FILE_COPY_NONE, cancellable, NULL, NULL, error);
}

guint
dwn_incoming_copy_tiles (const char *const *paths, const char *folder, GCancellable *cancellable, GError **error)
{
  g_return_val_if_fail (paths != NULL && folder != NULL, 0);

  guint copied = 0;
  g_autoptr (GError) first = NULL;
  g_autoptr (GFile) place = g_file_new_for_path (folder);

  if (!g_file_make_directory_with_parents (place, NULL, &first) && g_error_matches (first, G_IO_ERROR, G_IO_ERROR_EXISTS))
    g_clear_error (&first);
  for (guint i = 0; paths[i] != NULL; i++)
    copied += copy_tile (paths[i], folder, cancellable, first == NULL ? &first : NULL) ? 1 : 0;
  if (first != NULL)
    g_propagate_error (error, g_steal_pointer (&first));
  return copied;
}

char *
dwn_incoming_tile_folder (void)
{
  return g_build_filename (g_get_user_data_dir (), "downlead", "elevation", NULL);
}
