/* Profiles keep what they are given and refuse what no path can have. */
#include "core/geo/profile.h"

#include <math.h>

static void
test_copies (void)
{
  double distance_m[] = { 0, 90, 200 }, height_m[] = { 445, 430.5, -3 }, clutter_m[] = { 0, 12, 0 };
  guint8 zone[] = { DWN_ZONE_INLAND, DWN_ZONE_COASTAL_LAND, DWN_ZONE_SEA };
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnProfile) profile = dwn_profile_new (3, distance_m, height_m, clutter_m, zone,
                                                    &error);

  g_assert_no_error (error);
  distance_m[1] = height_m[1] = clutter_m[1] = 0;
  zone[1] = 0;

  g_autoptr (DwnProfile) second = dwn_profile_ref (profile);
  g_assert_true (second == profile);
  g_assert_cmpuint (profile->n, ==, 3);
  g_assert_cmpfloat (profile->distance_m[1], ==, 90);
  g_assert_cmpfloat (profile->height_m[1], ==, 430.5);
  g_assert_cmpfloat (profile->clutter_m[1], ==, 12);
  g_assert_cmpuint (profile->zone[1], ==, DWN_ZONE_COASTAL_LAND);
  g_assert_true (dwn_profile_is_complete (profile));
}

static void
test_gap (void)
{
  double distance_m[] = { 0, 1 }, height_m[] = { 5, (double) NAN };
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnProfile) profile = dwn_profile_new (2, distance_m, height_m, NULL, NULL, &error);

  g_assert_no_error (error);
  g_assert_false (dwn_profile_is_complete (profile));
  g_assert_null (profile->clutter_m);
  g_assert_null (profile->zone);
}

typedef struct {
  const char *name;
  gsize n;
  double distance_m[3], height_m[3], clutter_m[3];
  guint8 zone[3];
  DwnProfileError code;
} Refusal;

static const Refusal refusals[] = {
  { "none", 0, { 0 }, { 0 }, { 0 }, { 4 }, DWN_PROFILE_ERROR_TOO_SHORT },
  { "one", 1, { 0 }, { 0 }, { 0 }, { 4 }, DWN_PROFILE_ERROR_TOO_SHORT },
  { "starts-late", 2, { 1, 2 }, { 0, 0 }, { 0, 0 }, { 4, 4 }, DWN_PROFILE_ERROR_DISTANCE },
  { "stands-still", 3, { 0, 5, 5 }, { 0, 0, 0 }, { 0 }, { 4, 4, 4 }, DWN_PROFILE_ERROR_DISTANCE },
  { "turns-back", 3, { 0, 5, 4 }, { 0, 0, 0 }, { 0 }, { 4, 4, 4 }, DWN_PROFILE_ERROR_DISTANCE },
  { "distance-nan", 2, { 0, NAN }, { 0, 0 }, { 0 }, { 4, 4 }, DWN_PROFILE_ERROR_DISTANCE },
  { "distance-infinite", 2, { 0, INFINITY }, { 0 }, { 0 }, { 4, 4 }, DWN_PROFILE_ERROR_DISTANCE },
  { "height-infinite", 2, { 0, 1 }, { 0, -INFINITY }, { 0 }, { 4, 4 }, DWN_PROFILE_ERROR_HEIGHT },
  { "clutter-nan", 2, { 0, 1 }, { 0, 0 }, { NAN, 0 }, { 4, 4 }, DWN_PROFILE_ERROR_HEIGHT },
  { "zone-2", 2, { 0, 1 }, { 0, 0 }, { 0, 0 }, { 4, 2 }, DWN_PROFILE_ERROR_ZONE },
};

static void
test_refusal (gconstpointer data)
{
  const Refusal *r = data;
  g_autoptr (GError) error = NULL;
  DwnProfile *profile = dwn_profile_new (r->n, r->distance_m, r->height_m, r->clutter_m, r->zone,
                                         &error);

  g_assert_error (error, DWN_PROFILE_ERROR, (gint) r->code);
  g_assert_null (profile);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/geo/profile/copies", test_copies);
  g_test_add_func ("/geo/profile/gap", test_gap);
  for (gsize i = 0; i < G_N_ELEMENTS (refusals); i++)
    {
      g_autofree char *path = g_strconcat ("/geo/profile/refuses/", refusals[i].name, NULL);
      g_test_add_data_func (path, &refusals[i], test_refusal);
    }
  return g_test_run ();
}
