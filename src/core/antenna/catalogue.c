#include "core/antenna/catalogue.h"

#include <errno.h>
#include <math.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#include "core/antenna/pattern-table.h"
#include "core/antenna/stack.h"
#include "core/antenna/thin-wire.h"
#include "core/data/data.h"

#define LIST "antennas/catalogue.tsv"
#define OWN_SUFFIX ".antenna"
#define HEAD_BYTES 4096

typedef struct {
  DwnCatalogueEntry entry; /* owns its strings */
  DwnAntenna *antenna;     /* NULL until asked for */
} Item;

struct _DwnCatalogue {
  gatomicrefcount refs;
  GPtrArray *items; /* (element-type Item) */
  GHashTable *by_id;
  GPtrArray *warnings;
  GMutex lock;      /* of the antennas of the items */
};

static void
item_free (gpointer data)
{
  Item *item = data;

  g_free ((char *) item->entry.id);
  g_free ((char *) item->entry.name);
  g_free ((char *) item->entry.file);
  g_clear_pointer (&item->antenna, dwn_antenna_unref);
  g_free (item);
}

static void
add_item (DwnCatalogue *self, const DwnCatalogueEntry *entry)
{
  Item *item = g_new0 (Item, 1);

  item->entry = *entry;
  item->entry.id = g_strdup (entry->id);
  item->entry.name = g_strdup (entry->name);
  item->entry.file = g_strdup (entry->file);
  g_ptr_array_add (self->items, item);
  g_hash_table_insert (self->by_id, (char *) item->entry.id,
                       GUINT_TO_POINTER (self->items->len - 1));
}

/* A line of the list: id, file, design band in MHz, name; tabs between. */
static gboolean
add_listed (DwnCatalogue *self, const char *line, guint number, GError **error)
{
  g_auto (GStrv) fields = g_strsplit (line, "\t", -1);
  DwnCatalogueEntry entry = { 0 };

  if (g_strv_length (fields) != 5 || !dwn_antenna_id_is_valid (fields[0])
      || !dwn_antenna_text_number (fields[2], &entry.design_low_mhz)
      || !dwn_antenna_text_number (fields[3], &entry.design_high_mhz))
    {
      g_set_error (error, DWN_ANTENNA_ERROR, DWN_ANTENNA_ERROR_SYNTAX,
                   _("%s:%u: a line has id, file, low and high MHz and name, with tabs between"),
                   LIST, number);
      return FALSE;
    }
  if (g_hash_table_contains (self->by_id, fields[0]))
    {
      g_set_error (error, DWN_ANTENNA_ERROR, DWN_ANTENNA_ERROR_SYNTAX,
                   _("%s:%u: the id %s stands here a second time"), LIST, number, fields[0]);
      return FALSE;
    }
  entry.id = fields[0];
  entry.file = fields[1];
  entry.name = fields[4];
  add_item (self, &entry);
  return TRUE;
}

static gboolean
check_always_there (const DwnCatalogue *self, GError **error)
{
  static const char *const ids[] = { DWN_ANTENNA_DIPOLE, DWN_ANTENNA_BT419, DWN_ANTENNA_OET69 };

  for (gsize i = 0; i < G_N_ELEMENTS (ids); i++)
    if (!g_hash_table_contains (self->by_id, ids[i]))
      {
        g_set_error (error, DWN_ANTENNA_ERROR, DWN_ANTENNA_ERROR_MISSING,
                     _("%s: the antenna %s must stand in the list"), LIST, ids[i]);
        return FALSE;
      }
  return TRUE;
}

static gboolean
add_own (DwnCatalogue *self, GError **error)
{
  g_autoptr (GBytes) bytes = dwn_data_lookup (LIST, NULL, error);
  g_auto (GStrv) lines = bytes != NULL ? dwn_antenna_text_lines (bytes, LIST, error) : NULL;

  if (lines == NULL)
    return FALSE;
  for (guint i = 0; lines[i] != NULL; i++)
    if (lines[i][0] != '\0' && lines[i][0] != '#' && !add_listed (self, lines[i], i + 1, error))
      return FALSE;
  return check_always_there (self, error);
}

char *
dwn_catalogue_personal_folder (void)
{
  return g_build_filename (g_get_user_data_dir (), "downlead", "antennas", NULL);
}

/* The value of @key among the first lines of a file in our own format; NULL where there is none.
 * Only the head of the file is looked at: patterns may be long, and listing must be cheap. */
static char *
head_value (const char *head, const char *key)
{
  g_auto (GStrv) lines = g_strsplit (head, "\n", -1);
  gsize length = strlen (key);

  for (char **line = lines; *line != NULL; line++)
    if (strncmp (*line, key, length) == 0 && (*line)[length] == ' ')
      return g_strstrip (g_strdup (*line + length));
  return NULL;
}

static char *
read_head (const char *path, GError **error)
{
  g_autoptr (GFile) file = g_file_new_for_path (path);
  g_autoptr (GFileInputStream) stream = g_file_read (file, NULL, error);
  char *head = g_malloc0 (HEAD_BYTES);
  gsize size;

  if (stream != NULL
      && g_input_stream_read_all (G_INPUT_STREAM (stream), head, HEAD_BYTES - 1, &size, NULL,
                                  error))
    return head;
  g_free (head);
  return NULL;
}

static gboolean
is_our_format (const char *head)
{
  return g_str_has_prefix (head, DWN_ANTENNA_FORMAT " ")
         || g_str_has_prefix (head, "\xef\xbb\xbf" DWN_ANTENNA_FORMAT " ");
}

static void
add_personal_file (DwnCatalogue *self, const char *folder, const char *file_name)
{
  g_autofree char *path = g_build_filename (folder, file_name, NULL);
  g_autoptr (GError) error = NULL;
  g_autofree char *head = read_head (path, &error);
  gboolean ours = head != NULL && is_our_format (head);
  g_autofree char *id = ours ? head_value (head, "id") : dwn_antenna_id_of_file (file_name);
  g_autofree char *name = ours ? head_value (head, "name") : NULL;
  const DwnCatalogueEntry entry = { id, name != NULL ? name : file_name, (double) NAN,
                                    (double) NAN, TRUE, path };

  if (head == NULL)
    g_ptr_array_add (self->warnings, g_strdup (error->message));
  else if (id == NULL || !dwn_antenna_id_is_valid (id))
    g_ptr_array_add (self->warnings,
                     g_strdup_printf (_("%s: no valid id; use up to 64 of a-z 0-9 - . _"), path));
  else if (g_hash_table_contains (self->by_id, id))
    g_ptr_array_add (self->warnings,
                     g_strdup_printf (_("%s: there is already an antenna %s; choose another id"),
                                      path, id));
  else
    add_item (self, &entry);
}

static int
compare_names (gconstpointer a, gconstpointer b)
{
  return strcmp (*(char *const *) a, *(char *const *) b);
}

static void
add_personal (DwnCatalogue *self)
{
  g_autofree char *folder = dwn_catalogue_personal_folder ();
  g_autoptr (GDir) dir = g_dir_open (folder, 0, NULL);
  g_autoptr (GPtrArray) names = g_ptr_array_new_with_free_func (g_free);
  const char *name;

  while (dir != NULL && (name = g_dir_read_name (dir)) != NULL)
    if (name[0] != '.' && !g_str_has_suffix (name, "~"))
      g_ptr_array_add (names, g_strdup (name));
  /* The order of a directory differs from one disk to another. */
  g_ptr_array_sort (names, compare_names);
  for (guint i = 0; i < names->len; i++)
    add_personal_file (self, folder, g_ptr_array_index (names, i));
}

DwnCatalogue *
dwn_catalogue_new (GError **error)
{
  DwnCatalogue *self = g_new0 (DwnCatalogue, 1);

  g_atomic_ref_count_init (&self->refs);
  self->items = g_ptr_array_new_with_free_func (item_free);
  self->by_id = g_hash_table_new (g_str_hash, g_str_equal);
  self->warnings = g_ptr_array_new_with_free_func (g_free);
  g_mutex_init (&self->lock);
  if (!add_own (self, error))
    {
      g_ptr_array_add (self->warnings, NULL);
      dwn_catalogue_unref (self);
      return NULL;
    }
  add_personal (self);
  g_ptr_array_add (self->warnings, NULL);
  return self;
}

DwnCatalogue *
dwn_catalogue_ref (DwnCatalogue *catalogue)
{
  g_return_val_if_fail (catalogue != NULL, NULL);

  g_atomic_ref_count_inc (&catalogue->refs);
  return catalogue;
}

void
dwn_catalogue_unref (DwnCatalogue *catalogue)
{
  g_return_if_fail (catalogue != NULL);

  if (!g_atomic_ref_count_dec (&catalogue->refs))
    return;
  g_hash_table_unref (catalogue->by_id);
  g_ptr_array_unref (catalogue->items);
  g_ptr_array_unref (catalogue->warnings);
  g_mutex_clear (&catalogue->lock);
  g_free (catalogue);
}

gsize
dwn_catalogue_n (const DwnCatalogue *catalogue)
{
  g_return_val_if_fail (catalogue != NULL, 0);

  return catalogue->items->len;
}

const DwnCatalogueEntry *
dwn_catalogue_entry (const DwnCatalogue *catalogue, gsize i)
{
  g_return_val_if_fail (catalogue != NULL && i < catalogue->items->len, NULL);

  return &((Item *) g_ptr_array_index (catalogue->items, i))->entry;
}

int
dwn_catalogue_find (const DwnCatalogue *catalogue, const char *id)
{
  gpointer index;

  g_return_val_if_fail (catalogue != NULL && id != NULL, -1);

  if (!g_hash_table_lookup_extended (catalogue->by_id, id, NULL, &index))
    return -1;
  return GPOINTER_TO_INT (index);
}

const char *const *
dwn_catalogue_warnings (const DwnCatalogue *catalogue)
{
  g_return_val_if_fail (catalogue != NULL, NULL);

  return (const char *const *) catalogue->warnings->pdata;
}

static DwnAntenna *
read_own (const char *name, GError **error)
{
  g_autoptr (GBytes) bytes = dwn_data_lookup (name, NULL, error);

  return bytes != NULL ? dwn_antenna_parse (bytes, name, error) : NULL;
}

static DwnAntenna *
stacked_antenna (DwnCatalogue *catalogue, const DwnStackId *stack, GError **error)
{
  g_autoptr (DwnAntenna) one = dwn_catalogue_antenna (catalogue, stack->of, error);
  g_autoptr (DwnPattern) pattern = one != NULL ? dwn_stack_pattern (one->pattern, stack->direction,
                                                                    stack->spacing_m, error) : NULL;
  const DwnAntenna values = {
    .pattern = pattern, .feed_ohm = one != NULL ? one->feed_ohm : 0.0, .balun_db = one != NULL ? one->balun_db : 0.0,
  };

  return pattern != NULL ? dwn_antenna_new (&values) : NULL;
}

DwnAntenna *
dwn_catalogue_antenna (DwnCatalogue *catalogue, const char *id, GError **error)
{
  int index = dwn_catalogue_find (catalogue, id);
  g_autoptr (GMutexLocker) locker = NULL;
  DwnStackId stack;
  Item *item;

  if (index < 0 && dwn_stack_id_parse (id, &stack))
    return stacked_antenna (catalogue, &stack, error);
  if (index < 0)
    {
      g_set_error (error, DWN_ANTENNA_ERROR, DWN_ANTENNA_ERROR_UNKNOWN,
                   _("no antenna “%s” in the catalogue"), id);
      return NULL;
    }
  locker = g_mutex_locker_new (&catalogue->lock);
  item = g_ptr_array_index (catalogue->items, index);
  if (item->antenna == NULL)
    item->antenna = item->entry.personal ? dwn_antenna_load (item->entry.file, NULL, error)
                                         : read_own (item->entry.file, error);
  return item->antenna != NULL ? dwn_antenna_ref (item->antenna) : NULL;
}

DwnPattern *
dwn_catalogue_pattern (DwnCatalogue *catalogue, const char *id, GError **error)
{
  g_autoptr (DwnAntenna) antenna = dwn_catalogue_antenna (catalogue, id, error);

  return antenna != NULL ? dwn_pattern_ref (antenna->pattern) : NULL;
}

double
dwn_catalogue_mismatch_db (DwnCatalogue *catalogue, const char *id, double mhz)
{
  g_autoptr (DwnPattern) pattern = dwn_catalogue_pattern (catalogue, id, NULL);

  return pattern != NULL ? dwn_pattern_mismatch_db (pattern, mhz) : (double) NAN;
}

DwnPattern *
dwn_antenna_resolve (DwnCatalogue *catalogue, const char *id_or_path, GError **error)
{
  g_autoptr (DwnAntenna) antenna = NULL;
  DwnStackId stack;

  g_return_val_if_fail (catalogue != NULL && id_or_path != NULL, NULL);

  if (dwn_catalogue_find (catalogue, id_or_path) >= 0 || dwn_stack_id_parse (id_or_path, &stack))
    return dwn_catalogue_pattern (catalogue, id_or_path, error);
  if (!g_file_test (id_or_path, G_FILE_TEST_EXISTS))
    {
      g_set_error (error, DWN_ANTENNA_ERROR, DWN_ANTENNA_ERROR_UNKNOWN,
                   _("“%s” is neither an antenna of the catalogue nor a file"), id_or_path);
      return NULL;
    }
  antenna = dwn_antenna_load (id_or_path, NULL, error);
  return antenna != NULL ? dwn_pattern_ref (antenna->pattern) : NULL;
}

/* The head of a text, for a look at what kind it is. */
static char *
head_of (GBytes *bytes)
{
  gsize size;
  const char *text = g_bytes_get_data (bytes, &size);

  return text != NULL ? g_strndup (text, MIN (size, HEAD_BYTES)) : g_strdup ("");
}

DwnAntenna *
dwn_antenna_load (const char *path, GPtrArray *warnings, GError **error)
{
  g_autoptr (GBytes) bytes = NULL;
  g_autofree char *head = NULL;

  g_return_val_if_fail (path != NULL, NULL);

  bytes = dwn_data_read_file (path, error);
  if (bytes == NULL)
    return NULL;
  head = head_of (bytes);
  if (is_our_format (head))
    return dwn_antenna_parse (bytes, path, error);
  if (dwn_thin_wire_is_listing (head))
    return dwn_thin_wire_parse (bytes, path, (double) NAN, warnings, error);
  return dwn_pattern_table_parse (bytes, path, warnings, error);
}

/* Its own list says which ids the program keeps for itself. */
static gboolean
check_free_id (const char *id, GError **error)
{
  g_autoptr (DwnCatalogue) catalogue = NULL;
  DwnStackId stack;
  int index;

  if (!dwn_antenna_id_is_valid (id))
    {
      g_set_error (error, DWN_ANTENNA_ERROR, DWN_ANTENNA_ERROR_RANGE,
                   _("“%s” is not an id; use up to 64 of a-z 0-9 - . _"), id);
      return FALSE;
    }
  catalogue = dwn_catalogue_new (error);
  if (catalogue == NULL)
    return FALSE;
  index = dwn_catalogue_find (catalogue, id);
  if (!dwn_stack_id_parse (id, &stack)
      && (index < 0 || dwn_catalogue_entry (catalogue, (gsize) index)->personal))
    return TRUE;
  g_set_error (error, DWN_ANTENNA_ERROR, DWN_ANTENNA_ERROR_RANGE,
               _("%s is an antenna of the program's own; choose another id"), id);
  return FALSE;
}

gboolean
dwn_catalogue_save_personal (const DwnAntenna *antenna, GError **error)
{
  g_autofree char *folder = dwn_catalogue_personal_folder ();
  g_autofree char *text = NULL, *path = NULL, *file_name = NULL;

  g_return_val_if_fail (antenna != NULL, FALSE);

  if (!check_free_id (antenna->pattern->id, error))
    return FALSE;
  if (g_mkdir_with_parents (folder, 0755) != 0)
    {
      g_set_error (error, G_FILE_ERROR, g_file_error_from_errno (errno),
                   _("%s: the folder cannot be made: %s"), folder, g_strerror (errno));
      return FALSE;
    }
  file_name = g_strconcat (antenna->pattern->id, OWN_SUFFIX, NULL);
  path = g_build_filename (folder, file_name, NULL);
  text = dwn_antenna_to_text (antenna);
  return g_file_set_contents_full (path, text, -1,
                                   G_FILE_SET_CONTENTS_CONSISTENT | G_FILE_SET_CONTENTS_DURABLE,
                                   0644, error);
}
