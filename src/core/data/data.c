#include "core/data/data.h"

#include <glib/gi18n-lib.h>

#include "downlead-data.h"

#define RESOURCE_PREFIX "/io/github/downlead/data/"
#define OVERRIDE_MAX_BYTES (64 * 1024 * 1024)

/* Naming the resource keeps the linker from dropping it from the library. */
static gpointer
find_resource (gpointer data)
{
  return downlead_data_get_resource ();
}

/* GLib 2.74 sets compiled-in resources up at the first call; a second thread that calls meanwhile
 * is given NULL. */
static GResource *
data_resource (void)
{
  static GOnce once = G_ONCE_INIT;

  return g_once (&once, find_resource, NULL);
}

char *
dwn_data_override_path (const char *name)
{
  g_return_val_if_fail (name != NULL, NULL);

  return g_build_filename (g_get_user_data_dir (), "downlead", "data", name, NULL);
}

GBytes *
dwn_data_read_file (const char *path, GError **error)
{
  g_return_val_if_fail (path != NULL, NULL);

  if (g_file_test (path, G_FILE_TEST_IS_DIR))
    {
      g_set_error (error, G_FILE_ERROR, G_FILE_ERROR_ISDIR, _("%s: is a folder; a file was expected"), path);
      return NULL;
    }
  g_autoptr (GMappedFile) file = g_mapped_file_new (path, FALSE, error);
  return file != NULL ? g_mapped_file_get_bytes (file) : NULL;
}

static GBytes *
read_override (const char *path, GError **error)
{
  g_autoptr (GBytes) bytes = dwn_data_read_file (path, error);

  if (bytes == NULL)
    return NULL;
  if (g_bytes_get_size (bytes) > OVERRIDE_MAX_BYTES)
    {
      g_set_error (error, G_IO_ERROR, G_IO_ERROR_MESSAGE_TOO_LARGE,
                   "%s: larger than 64 MiB; a data file of the program's has a few kB", path);
      return NULL;
    }
  return g_steal_pointer (&bytes);
}

GBytes *
dwn_data_lookup (const char *name, gboolean *overridden, GError **error)
{
  g_return_val_if_fail (name != NULL, NULL);

  g_autofree char *own = dwn_data_override_path (name);
  gboolean exists = g_file_test (own, G_FILE_TEST_EXISTS);

  if (overridden != NULL)
    *overridden = exists;
  if (exists)
    return read_override (own, error);

  g_autofree char *resource_path = g_strconcat (RESOURCE_PREFIX, name, NULL);
  return g_resource_lookup_data (data_resource (), resource_path,
                                 G_RESOURCE_LOOKUP_FLAGS_NONE, error);
}

static void
collect_overrides (const char *folder, GPtrArray *names)
{
  g_autofree char *resource_path = g_strconcat (RESOURCE_PREFIX, folder, NULL);
  g_auto (GStrv) children = g_resource_enumerate_children (data_resource (), resource_path,
                                                           G_RESOURCE_LOOKUP_FLAGS_NONE, NULL);

  for (char **child = children; child != NULL && *child != NULL; child++)
    {
      g_autofree char *name = g_strconcat (folder, *child, NULL);
      g_autofree char *own = dwn_data_override_path (name);

      if (g_str_has_suffix (name, "/"))
        collect_overrides (name, names);
      else if (g_file_test (own, G_FILE_TEST_EXISTS))
        g_ptr_array_add (names, g_steal_pointer (&name));
    }
}

static int
compare_names (gconstpointer a, gconstpointer b)
{
  return strcmp (*(char *const *) a, *(char *const *) b);
}

char **
dwn_data_overrides (void)
{
  GPtrArray *names = g_ptr_array_new ();

  collect_overrides ("", names);
  g_ptr_array_sort (names, compare_names);
  g_ptr_array_add (names, NULL);
  return (char **) g_ptr_array_free (names, FALSE);
}
