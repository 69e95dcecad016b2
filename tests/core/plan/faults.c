/* What saving and reading a plan do when the system refuses: a message that names the file, the
 * file on disk and the plan in memory as they were, and a second try that works. */
#include <errno.h>
#include <glib/gstdio.h>
#include <libxml/parser.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "core/plan/document.h"

/* The user of Debian's base-passwd who owns nothing; root could write everywhere. */
#define NOBODY_UID 65534

typedef struct {
  DwnPartList *parts;
  DwnCatalogue *catalogue;
  DwnPlan *old, *new;
  char *folder, *path;
} Fixture;

static void
set_up (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  const char *demo = g_test_get_filename (G_TEST_DIST, "..", "data", "demo",
                                          "thistledown.downlead", NULL);

  fixture->parts = dwn_part_list_new (&error);
  g_assert_no_error (error);
  fixture->catalogue = dwn_catalogue_new (&error);
  g_assert_no_error (error);
  fixture->old = dwn_plan_load (demo, fixture->parts, fixture->catalogue, NULL, &error);
  g_assert_no_error (error);
  fixture->new = dwn_plan_with_wanted (fixture->old, "quillon", DWN_WANTED_LIKE);
  fixture->folder = g_dir_make_tmp ("downlead-XXXXXX", &error);
  g_assert_no_error (error);
  fixture->path = g_build_filename (fixture->folder, "house.downlead", NULL);
  g_assert_true (dwn_plan_save (fixture->old, fixture->catalogue, fixture->path, &error));
}

static void
tear_down (Fixture *fixture, gconstpointer data)
{
  g_autofree char *command = g_strdup_printf ("rm -rf '%s'", fixture->folder);

  g_assert_cmpint (system (command), ==, 0);
  g_free (fixture->path);
  g_free (fixture->folder);
  dwn_plan_unref (fixture->old);
  dwn_plan_unref (fixture->new);
  dwn_part_list_unref (fixture->parts);
  dwn_catalogue_unref (fixture->catalogue);
}

static gboolean
holds (const Fixture *fixture, const char *path, const DwnPlan *plan)
{
  g_autoptr (GBytes) wanted = dwn_plan_write (plan, fixture->catalogue);
  g_autofree char *text = NULL;
  gsize size;

  if (!g_file_get_contents (path, &text, &size, NULL))
    return FALSE;
  g_autoptr (GBytes) found = g_bytes_new (text, size);
  return g_bytes_equal (found, wanted);
}

/* One try that must fail with a message naming the file, leaving the plan in memory as it was. */
static void
assert_refused (const Fixture *fixture)
{
  g_autoptr (GBytes) before = dwn_plan_write (fixture->new, fixture->catalogue);
  g_autoptr (GError) error = NULL;

  g_assert_false (dwn_plan_save (fixture->new, fixture->catalogue, fixture->path, &error));
  g_assert_nonnull (error);
  g_assert_nonnull (strstr (error->message, "house.downlead"));
  g_autoptr (GBytes) after = dwn_plan_write (fixture->new, fixture->catalogue);
  g_assert_true (g_bytes_equal (before, after));
}

static void
assert_second_try (const Fixture *fixture)
{
  g_autoptr (GError) error = NULL;

  g_assert_true (dwn_plan_save (fixture->new, fixture->catalogue, fixture->path, &error));
  g_assert_no_error (error);
  g_assert_true (holds (fixture, fixture->path, fixture->new));
}

static void
assert_child_succeeded (pid_t child)
{
  int status;

  g_assert_cmpint (child, >, 0);
  g_assert_cmpint (waitpid (child, &status, 0), ==, child);
  g_assert_true (WIFEXITED (status));
  g_assert_cmpint (WEXITSTATUS (status), ==, 0);
}

/* A file that may not grow past some bytes fails in write() as a full disk does. */
static void
test_full_disk (Fixture *fixture, gconstpointer data)
{
  static const rlim_t room_bytes[] = { 0, 1, 100, 2000 };

  for (guint i = 0; i < G_N_ELEMENTS (room_bytes); i++)
    {
      struct rlimit all, little;

      g_assert_cmpint (getrlimit (RLIMIT_FSIZE, &all), ==, 0);
      little = all;
      little.rlim_cur = room_bytes[i];
      signal (SIGXFSZ, SIG_IGN);
      g_assert_cmpint (setrlimit (RLIMIT_FSIZE, &little), ==, 0);
      g_autoptr (GError) error = NULL;
      gboolean saved = dwn_plan_save (fixture->new, fixture->catalogue, fixture->path, &error);
      /* What the test prints may be a file too. */
      g_assert_cmpint (setrlimit (RLIMIT_FSIZE, &all), ==, 0);
      g_assert_false (saved);
      g_assert_nonnull (strstr (error->message, "house.downlead"));
      g_assert_true (holds (fixture, fixture->path, fixture->old));
    }
  assert_second_try (fixture);
}

static void
test_vanished_folder (Fixture *fixture, gconstpointer data)
{
  g_autofree char *away = g_strconcat (fixture->folder, "-away", NULL);

  g_assert_cmpint (g_rename (fixture->folder, away), ==, 0);
  assert_refused (fixture);
  g_assert_cmpint (g_rename (away, fixture->folder), ==, 0);
  g_assert_true (holds (fixture, fixture->path, fixture->old));
  assert_second_try (fixture);
}

static void
test_folder_in_the_way (Fixture *fixture, gconstpointer data)
{
  g_assert_cmpint (g_remove (fixture->path), ==, 0);
  g_assert_cmpint (g_mkdir (fixture->path, 0755), ==, 0);
  assert_refused (fixture);
  g_assert_cmpint (g_rmdir (fixture->path), ==, 0);
  assert_second_try (fixture);
}

/* In a folder that may be read, not written, nothing changes; once it may be, saving works. */
static void
test_read_only_folder (Fixture *fixture, gconstpointer data)
{
  g_assert_cmpint (g_chmod (fixture->folder, 0555), ==, 0);
  pid_t child = fork ();
  if (child == 0)
    {
      if (geteuid () == 0 && setuid (NOBODY_UID) != 0)
        _exit (2);
      assert_refused (fixture);
      _exit (0);
    }
  assert_child_succeeded (child);
  g_assert_true (holds (fixture, fixture->path, fixture->old));
  g_assert_cmpint (g_chmod (fixture->folder, 0755), ==, 0);
  assert_second_try (fixture);
}

static void
test_unreadable (Fixture *fixture, gconstpointer data)
{
  g_assert_cmpint (g_chmod (fixture->folder, 0755), ==, 0);
  g_assert_cmpint (g_chmod (fixture->path, 0), ==, 0);
  pid_t child = fork ();
  if (child == 0)
    {
      g_autoptr (GError) error = NULL;

      if (geteuid () == 0 && setuid (NOBODY_UID) != 0)
        _exit (2);
      g_assert_null (dwn_plan_load (fixture->path, fixture->parts, fixture->catalogue, NULL,
                                    &error));
      g_assert_nonnull (strstr (error->message, "house.downlead"));
      _exit (0);
    }
  assert_child_succeeded (child);
}

/* Somebody else's file of the same name is kept beside ours, not lost. */
static void
test_replaced (Fixture *fixture, gconstpointer data)
{
  g_autofree char *previous = g_strconcat (fixture->path, "~", NULL);
  g_autofree char *text = NULL;

  g_assert_true (g_file_set_contents (fixture->path, "another program's", -1, NULL));
  assert_second_try (fixture);
  g_assert_true (g_file_get_contents (previous, &text, NULL, NULL));
  g_assert_cmpstr (text, ==, "another program's");
}

static gint allocations_left;

static gboolean
take_allocation (void)
{
  return g_atomic_int_add (&allocations_left, -1) > 0;
}

static void *
scarce_malloc (size_t size)
{
  return take_allocation () ? malloc (size) : NULL;
}

static void *
scarce_realloc (void *memory, size_t size)
{
  return take_allocation () ? realloc (memory, size) : NULL;
}

static char *
scarce_strdup (const char *text)
{
  return take_allocation () ? strdup (text) : NULL;
}

/* The parser gets the first n allocations and no more: an error or the whole plan, never a crash,
 * never half a plan. Exits 0 where it failed, 1 where it read the whole. */
static void
read_with_allocations (Fixture *fixture, gint n)
{
  g_autoptr (GError) error = NULL;

  xmlMemSetup (free, scarce_malloc, scarce_realloc, scarce_strdup);
  g_atomic_int_set (&allocations_left, n);
  g_autoptr (DwnPlan) plan = dwn_plan_load (fixture->path, fixture->parts, fixture->catalogue, NULL,
                                            &error);
  g_atomic_int_set (&allocations_left, G_MAXINT);
  if (plan == NULL)
    _exit (error != NULL && strstr (error->message, "house.downlead") != NULL ? 0 : 3);
  _exit (holds (fixture, fixture->path, plan) ? 1 : 4);
}

/* The writer gets the first n allocations and no more: an error and the old file as it was, or the
 * new one whole. Exits as above. */
static void
save_with_allocations (Fixture *fixture, gint n)
{
  g_autoptr (GError) error = NULL;

  xmlMemSetup (free, scarce_malloc, scarce_realloc, scarce_strdup);
  g_atomic_int_set (&allocations_left, n);
  gboolean saved = dwn_plan_save (fixture->new, fixture->catalogue, fixture->path, &error);
  g_atomic_int_set (&allocations_left, G_MAXINT);
  if (saved)
    _exit (holds (fixture, fixture->path, fixture->new) ? 1 : 4);
  if (!holds (fixture, fixture->path, fixture->old))
    _exit (5);
  _exit (error != NULL && strstr (error->message, "house.downlead") != NULL ? 0 : 3);
}

typedef struct {
  void (*try) (Fixture *fixture, gint n_allocations); /* in a process of its own, which exits */
} Scarcity;

static const Scarcity reading = { read_with_allocations }, writing = { save_with_allocations };

static void
test_no_memory (Fixture *fixture, gconstpointer data)
{
  const Scarcity *scarcity = data;
  gboolean every = g_getenv ("DOWNLEAD_LONG_TESTS") != NULL;
  guint n_failed = 0, n_read = 0;

  for (gint n = 0; n_read == 0 && n < 100000; n += every || n < 120 ? 1 : 1 + n / 30)
    {
      int status;
      pid_t child = fork ();
      g_assert_cmpint (child, >=, 0);
      if (child == 0)
        scarcity->try (fixture, n);
      g_assert_cmpint (waitpid (child, &status, 0), ==, child);
      if (!WIFEXITED (status) || WEXITSTATUS (status) > 1)
        g_error ("with %d allocations: wait status %#x", n, (guint) status);
      if (WEXITSTATUS (status) == 0)
        n_failed++;
      else
        n_read++;
    }
  g_assert_cmpuint (n_failed, >, 100);
  g_assert_cmpuint (n_read, >, 0);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
#define ADD(name, function) \
  g_test_add ("/plan/faults/" name, Fixture, NULL, set_up, function, tear_down)
  ADD ("full-disk", test_full_disk);
  ADD ("vanished-folder", test_vanished_folder);
  ADD ("folder-in-the-way", test_folder_in_the_way);
  ADD ("read-only-folder", test_read_only_folder);
  ADD ("unreadable", test_unreadable);
  ADD ("replaced", test_replaced);
  g_test_add ("/plan/faults/no-memory-to-read", Fixture, &reading, set_up,
              test_no_memory, tear_down);
  g_test_add ("/plan/faults/no-memory-to-write", Fixture, &writing, set_up,
              test_no_memory, tear_down);
  return g_test_run ();
}
