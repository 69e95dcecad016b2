/* Profiles as comma-separated text: the rules of profile-csv.h, and each refusal with its line. */
#include "core/geo/profile-csv.h"

#include <math.h>

static DwnProfile *
profile_of (const char *text, GError **error)
{
  g_autoptr (GBytes) bytes = g_bytes_new_static (text, strlen (text));

  return dwn_profile_read_csv (bytes, "path.csv", error);
}

static void
test_four_columns (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnProfile) profile = profile_of ("\xEF\xBB\xBF" "distance_m,height_m,clutter_m,zone\r\n"
                                               "# from the sea inland\r\n"
                                               "0,2.5,0,1\r\n"
                                               "\r\n"
                                               " 30 , -1.5, 4 ,3,\r\n"
                                               "1e2,12,20,4",
                                               &error);

  g_assert_no_error (error);
  g_assert_cmpuint (profile->n, ==, 3);
  g_assert_cmpfloat (profile->distance_m[1], ==, 30);
  g_assert_cmpfloat (profile->distance_m[2], ==, 100);
  g_assert_cmpfloat (profile->height_m[0], ==, 2.5);
  g_assert_cmpfloat (profile->height_m[1], ==, -1.5);
  g_assert_cmpfloat (profile->clutter_m[2], ==, 20);
  g_assert_cmpuint (profile->zone[0], ==, DWN_ZONE_SEA);
  g_assert_cmpuint (profile->zone[1], ==, DWN_ZONE_COASTAL_LAND);
  g_assert_cmpuint (profile->zone[2], ==, DWN_ZONE_INLAND);
}

/* An empty height is a gap, at the end of a line too. */
static void
test_two_columns (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnProfile) profile = profile_of ("0,10\n90,\n180,30\n", &error);

  g_assert_no_error (error);
  g_assert_cmpuint (profile->n, ==, 3);
  g_assert_true (isnan (profile->height_m[1]));
  g_assert_cmpfloat (profile->height_m[2], ==, 30);
  g_assert_null (profile->clutter_m);
  g_assert_null (profile->zone);
  g_assert_false (dwn_profile_is_complete (profile));
}

static void
test_too_many_samples (void)
{
  g_autoptr (GString) text = g_string_new (NULL);
  g_autoptr (GError) error = NULL;

  for (guint i = 0; i <= DWN_PROFILE_CSV_MAX_SAMPLES; i++)
    g_string_append_printf (text, "%u,0\n", i);
  g_assert_null (profile_of (text->str, &error));
  g_assert_error (error, G_IO_ERROR, G_IO_ERROR_INVALID_DATA);
  g_assert_cmpstr (error->message, ==, "path.csv:1000001: more than 1,000,000 samples; take fewer");
}

typedef struct {
  const char *name, *text, *says;
} Refusal;

static const Refusal refusals[] = {
  { "empty", "", "path.csv:1: fewer than two samples*" },
  { "one-sample", "0,1\n", "path.csv:2: fewer than two samples*" },
  { "names-twice", "d,h\n0,1\nd,h\n", "path.csv:3: the distance is not a number*" },
  { "hexadecimal", "0x0,1\n1,1\n", "path.csv:1: the distance is not a number*" },
  { "distance-infinite", "0,1\ninf,1\n", "path.csv:2: the distance is not a number*" },
  { "distance-empty", "0,1\n,1\n", "path.csv:2: the distance is not a number*" },
  { "height-word", "0,1\n\n1,high\n", "path.csv:3: the height is not a number*" },
  { "height-nan", "0,1\n1,nan\n", "path.csv:2: the height is not a number*" },
  { "clutter-word", "0,1,0\n1,1,tree\n", "path.csv:2: the clutter height is not a number*" },
  { "zone-two", "0,1,0,4\n1,1,0,2\n", "path.csv:2: the zone is 1 (sea), 3 (coastal land) or 4 (inland)" },
  { "zone-word", "0,1,0,sea\n", "path.csv:1: the zone is 1 (sea), 3 (coastal land) or 4 (inland)" },
  { "column-lost", "0,1,0\n1,1\n", "path.csv:2: not as many columns as in the first sample*" },
  { "column-gained", "0,1\n1,1,0\n", "path.csv:2: not as many columns as in the first sample*" },
  { "five-columns", "0,1,0,4,9\n", "path.csv:1: more than four columns*" },
  { "turns-back", "0,1\n5,1\n4,1\n", "path.csv:3: Sample 3 of a profile is at 4 m: *" },
  { "begins-late", "5,1\n6,1\n", "path.csv:1: Sample 1 of a profile is at 5 m: *" },
  { "distance-nan", "distance_m,height_m\nnan,1\n0,1\n5,1\n", "path.csv:2: the distance is not a number*" },
  { "distance-1e308", "0,1\n1e308,1\n", "path.csv:2: 1e+308 is outside 0 to 2e+07" },
  { "height-1e308", "0,1\n5,1e308\n", "path.csv:2: 1e+308 is outside -100000 to 100000" },
};

static void
test_refusal (gconstpointer data)
{
  const Refusal *refusal = data;
  g_autoptr (GError) error = NULL;

  g_assert_null (profile_of (refusal->text, &error));
  g_assert_nonnull (error);
  if (!g_pattern_match_simple (refusal->says, error->message))
    g_error ("%s: %s", refusal->name, error->message);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/profile-csv/four-columns", test_four_columns);
  g_test_add_func ("/profile-csv/two-columns", test_two_columns);
  g_test_add_func ("/profile-csv/too-many-samples", test_too_many_samples);
  for (gsize i = 0; i < G_N_ELEMENTS (refusals); i++)
    {
      g_autofree char *path = g_strdup_printf ("/profile-csv/refuses/%s", refusals[i].name);
      g_test_add_data_func (path, &refusals[i], test_refusal);
    }
  return g_test_run ();
}
