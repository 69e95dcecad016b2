/* Tables of expected figures and the profiles they belong to. For the tests of this folder. */
#pragma once

#include <math.h>
#include <string.h>

#include "core/geo/profile.h"

/* A comma-separated table: comment lines with #, then the column names, then rows. */
typedef struct {
  char **column;
  GPtrArray *rows; /* of char ** */
} Table;

G_GNUC_UNUSED static Table *
table_load_path (const char *path)
{
  g_autofree char *text = NULL;
  g_autoptr (GError) error = NULL;
  Table *table = g_new0 (Table, 1);

  g_file_get_contents (path, &text, NULL, &error);
  g_assert_no_error (error);
  table->rows = g_ptr_array_new_with_free_func ((GDestroyNotify) g_strfreev);

  g_auto (GStrv) lines = g_strsplit (text, "\n", -1);
  for (char **line = lines; *line != NULL; line++)
    {
      if (**line == '#' || **line == '\0')
        continue;
      if (table->column == NULL)
        table->column = g_strsplit (*line, ",", -1);
      else
        g_ptr_array_add (table->rows, g_strsplit (*line, ",", -1));
    }
  return table;
}

G_GNUC_UNUSED static Table *
table_load (const char *name)
{
  g_autofree char *path = g_test_build_filename (G_TEST_DIST, "data", "vectors", name, NULL);

  return table_load_path (path);
}

G_GNUC_UNUSED static void
table_free (Table *table)
{
  g_strfreev (table->column);
  g_ptr_array_unref (table->rows);
  g_free (table);
}
G_DEFINE_AUTOPTR_CLEANUP_FUNC (Table, table_free)

G_GNUC_UNUSED static const char *
table_text (const Table *table, guint row, const char *column)
{
  char **cells = g_ptr_array_index (table->rows, row);

  for (guint i = 0; table->column[i] != NULL; i++)
    if (strcmp (table->column[i], column) == 0)
      {
        g_assert_cmpuint (i, <, g_strv_length (cells));
        return cells[i];
      }
  g_error ("no column %s", column);
}

G_GNUC_UNUSED static double
table_number (const Table *table, guint row, const char *column)
{
  const char *text = table_text (table, row, column);
  char *end;
  double value = g_ascii_strtod (text, &end);

  if (end == text || *end != '\0')
    g_error ("%s: not a number: %s", column, text);
  return value;
}

/* A profile that owns its arrays, so that these tests need no other room. */
typedef struct {
  DwnProfile profile;
  double *distance_m, *height_m, *clutter_m;
  guint8 *zone;
} OwnProfile;

G_GNUC_UNUSED static OwnProfile *
own_profile_new (gsize n)
{
  OwnProfile *own = g_new0 (OwnProfile, 1);

  own->distance_m = g_new0 (double, n);
  own->height_m = g_new0 (double, n);
  own->profile = (DwnProfile) { .n = n, .distance_m = own->distance_m,
                                .height_m = own->height_m };
  return own;
}

G_GNUC_UNUSED static void
own_profile_add_clutter (OwnProfile *own)
{
  own->profile.clutter_m = own->clutter_m = g_new0 (double, own->profile.n);
}

G_GNUC_UNUSED static void
own_profile_add_zones (OwnProfile *own)
{
  own->profile.zone = own->zone = g_new0 (guint8, own->profile.n);
  memset (own->zone, DWN_ZONE_INLAND, own->profile.n);
}

G_GNUC_UNUSED static void
own_profile_free (OwnProfile *own)
{
  g_free (own->distance_m);
  g_free (own->height_m);
  g_free (own->clutter_m);
  g_free (own->zone);
  g_free (own);
}
G_DEFINE_AUTOPTR_CLEANUP_FUNC (OwnProfile, own_profile_free)

/* Flat ground of @height_m. */
G_GNUC_UNUSED static OwnProfile *
own_profile_flat (double total_m, gsize n, double height_m)
{
  OwnProfile *own = own_profile_new (n);

  for (gsize i = 0; i < n; i++)
    {
      own->distance_m[i] = total_m * (double) i / (double) (n - 1);
      own->height_m[i] = height_m;
    }
  return own;
}
