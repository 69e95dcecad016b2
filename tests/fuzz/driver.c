/* Replays a corpus through a fuzz target where no fuzzing engine is linked: every file of the
 * folder named on the command line is one TAP case, which passes when the target returns. */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#include <glib.h>

int LLVMFuzzerTestOneInput (const uint8_t *data, size_t size);

static char **
corpus_files (const char *folder)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GDir) dir = g_dir_open (folder, 0, &error);
  g_autoptr (GPtrArray) names = g_ptr_array_new ();

  if (dir == NULL)
    g_error ("%s", error->message);
  for (const char *name = g_dir_read_name (dir); name != NULL; name = g_dir_read_name (dir))
    g_ptr_array_add (names, g_build_filename (folder, name, NULL));
  g_ptr_array_add (names, NULL);
  return (char **) g_ptr_array_free (g_steal_pointer (&names), FALSE);
}

int
main (int argc, char **argv)
{
  if (argc != 2)
    {
      fprintf (stderr, "usage: %s CORPUS-FOLDER\n", argv[0]);
      return 2;
    }

  g_auto (GStrv) files = corpus_files (argv[1]);
  guint n = g_strv_length (files);

  printf ("1..%u\n", n);
  if (n == 0)
    return EXIT_FAILURE;
  for (guint i = 0; i < n; i++)
    {
      g_autoptr (GError) error = NULL;
      g_autofree char *bytes = NULL;
      g_autofree char *base = g_path_get_basename (files[i]);
      gsize size;

      if (!g_file_get_contents (files[i], &bytes, &size, &error))
        g_error ("%s", error->message);
      LLVMFuzzerTestOneInput ((const uint8_t *) bytes, size);
      printf ("ok %u %s\n", i + 1, base);
      fflush (stdout);
    }
  return EXIT_SUCCESS;
}
