/* The user's own files stand in place of the program's; nothing is fallen back on silently. */
#include "core/data/data.h"

#include <glib/gstdio.h>
#include <unistd.h>

/* Writes @text where the user's own @name stands. */
static void
write_own (const char *name, const char *text)
{
  g_autofree char *path = dwn_data_override_path (name);
  g_autofree char *folder = g_path_get_dirname (path);
  g_autoptr (GError) error = NULL;

  g_assert_cmpint (g_mkdir_with_parents (folder, 0700), ==, 0);
  g_file_set_contents (path, text, -1, &error);
  g_assert_no_error (error);
}

static void
remove_own (const char *name)
{
  g_autofree char *path = dwn_data_override_path (name);

  g_assert_cmpint (g_remove (path), ==, 0);
}

static char *
text_of (const char *name, gboolean *own)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GBytes) bytes = dwn_data_lookup (name, own, &error);

  g_assert_no_error (error);
  return g_strndup (g_bytes_get_data (bytes, NULL), g_bytes_get_size (bytes));
}

static void
test_own_goes_first (void)
{
  gboolean own = FALSE;

  write_own ("chain/parts.ini", "mine\n");
  g_autofree char *mine = text_of ("chain/parts.ini", &own);
  g_assert_cmpstr (mine, ==, "mine\n");
  g_assert_true (own);

  remove_own ("chain/parts.ini");
  g_autofree char *shipped = text_of ("chain/parts.ini", &own);
  g_assert_cmpstr (shipped, !=, "mine\n");
  g_assert_false (own);
}

/* Sorted, folders within folders too, and only what the program would read. */
static void
test_overrides (void)
{
  g_auto (GStrv) none = dwn_data_overrides ();
  g_assert_cmpuint (g_strv_length (none), ==, 0);

  write_own ("study/symptoms.ini", "");
  write_own ("chain/parts.ini", "");
  write_own ("chain/unknown.ini", "");
  g_auto (GStrv) names = dwn_data_overrides ();
  g_assert_cmpuint (g_strv_length (names), ==, 2);
  g_assert_cmpstr (names[0], ==, "chain/parts.ini");
  g_assert_cmpstr (names[1], ==, "study/symptoms.ini");

  remove_own ("study/symptoms.ini");
  remove_own ("chain/parts.ini");
  remove_own ("chain/unknown.ini");
}

static void
test_folder_in_its_place (void)
{
  g_autofree char *path = dwn_data_override_path ("chain/parts.ini");
  g_autoptr (GError) error = NULL;
  gboolean own = FALSE;

  g_assert_cmpint (g_mkdir_with_parents (path, 0700), ==, 0);
  g_assert_null (dwn_data_lookup ("chain/parts.ini", &own, &error));
  g_assert_nonnull (error);
  g_assert_nonnull (strstr (error->message, path));
  g_assert_true (own);
  g_assert_cmpint (g_rmdir (path), ==, 0);
}

static void
test_too_large (void)
{
  g_autofree char *path = dwn_data_override_path ("chain/parts.ini");
  g_autoptr (GError) error = NULL;

  write_own ("chain/parts.ini", "");
  g_assert_cmpint (truncate (path, 64 * 1024 * 1024 + 1), ==, 0);
  g_assert_null (dwn_data_lookup ("chain/parts.ini", NULL, &error));
  g_assert_error (error, G_IO_ERROR, G_IO_ERROR_MESSAGE_TOO_LARGE);
  g_assert_nonnull (strstr (error->message, "larger than 64 MiB"));

  g_assert_cmpint (truncate (path, 64 * 1024 * 1024), ==, 0);
  g_autoptr (GBytes) bytes = dwn_data_lookup ("chain/parts.ini", NULL, NULL);
  g_assert_nonnull (bytes);
  remove_own ("chain/parts.ini");
}

static void
test_read_file (void)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *path = dwn_data_override_path ("chain/parts.ini");

  write_own ("chain/parts.ini", "whole");
  g_autoptr (GBytes) bytes = dwn_data_read_file (path, &error);
  g_assert_no_error (error);
  g_assert_cmpmem (g_bytes_get_data (bytes, NULL), g_bytes_get_size (bytes), "whole", 5);
  remove_own ("chain/parts.ini");

  g_autofree char *folder = g_path_get_dirname (path);
  g_assert_null (dwn_data_read_file (folder, &error));
  g_assert_error (error, G_FILE_ERROR, G_FILE_ERROR_ISDIR);
  g_assert_true (g_str_has_prefix (error->message, folder));
}

static void
test_unknown (void)
{
  g_autoptr (GError) error = NULL;

  g_assert_null (dwn_data_lookup ("chain/unknown.ini", NULL, &error));
  g_assert_error (error, G_RESOURCE_ERROR, G_RESOURCE_ERROR_NOT_FOUND);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, G_TEST_OPTION_ISOLATE_DIRS, NULL);
  g_test_add_func ("/data/own-goes-first", test_own_goes_first);
  g_test_add_func ("/data/overrides", test_overrides);
  g_test_add_func ("/data/folder-in-its-place", test_folder_in_its_place);
  g_test_add_func ("/data/too-large", test_too_large);
  g_test_add_func ("/data/read-file", test_read_file);
  g_test_add_func ("/data/unknown", test_unknown);
  return g_test_run ();
}
