#include "core/geo/profile.h"

#include <gio/gio.h>
#include <glib/gi18n-lib.h>
#include <math.h>

/* A profile counts as evenly spaced when no sample is off by more than this share of a step. */
#define EVEN_EPSILON 1e-6

G_DEFINE_QUARK (dwn-profile-error-quark, dwn_profile_error)

static gboolean
check_distances (gsize n, const double *distance_m, GError **error)
{
  if (n < 2)
    {
      g_set_error (error, DWN_PROFILE_ERROR, DWN_PROFILE_ERROR_TOO_SHORT,
                   _("A profile of %zu samples: at least two are needed, one at each end"), n);
      return FALSE;
    }
  for (gsize i = 0; i < n; i++)
    {
      /* Written so that NaN fails too. */
      gboolean good = i == 0 ? distance_m[0] == 0.0 : distance_m[i] > distance_m[i - 1];

      if (good && isfinite (distance_m[i]))
        continue;
      g_set_error (error, DWN_PROFILE_ERROR, DWN_PROFILE_ERROR_DISTANCE,
                   _("Sample %zu of a profile is at %g m: distances begin at 0 and "
                     "rise from sample to sample"),
                   i + 1, distance_m[i]);
      return FALSE;
    }
  return TRUE;
}

static gboolean
check_heights (gsize n, const double *height_m, const double *clutter_m, GError **error)
{
  for (gsize i = 0; i < n; i++)
    {
      if (!isinf (height_m[i]) && (clutter_m == NULL || isfinite (clutter_m[i])))
        continue;
      g_set_error (error, DWN_PROFILE_ERROR, DWN_PROFILE_ERROR_HEIGHT,
                   _("Sample %zu of a profile: a height of ground or clutter is a "
                     "finite number of metres"),
                   i + 1);
      return FALSE;
    }
  return TRUE;
}

static gboolean
check_zones (gsize n, const guint8 *zone, GError **error)
{
  for (gsize i = 0; zone != NULL && i < n; i++)
    {
      if (zone[i] == DWN_ZONE_COASTAL_LAND || zone[i] == DWN_ZONE_SEA
          || zone[i] == DWN_ZONE_INLAND)
        continue;
      g_set_error (error, DWN_PROFILE_ERROR, DWN_PROFILE_ERROR_ZONE,
                   _("Sample %zu of a profile has zone %u: known are %d sea, %d coastal land, %d inland"),
                   i + 1, (guint) zone[i], DWN_ZONE_SEA, DWN_ZONE_COASTAL_LAND, DWN_ZONE_INLAND);
      return FALSE;
    }
  return TRUE;
}

/* NULL stays NULL. */
static double *
copy_doubles (const double *values, gsize n)
{
  return g_memdup2 (values, n * sizeof *values);
}

/* The one step of samples that are evenly spaced, otherwise 0. */
static double
even_step_m (gsize n, const double *distance_m)
{
  double step_m = distance_m[n - 1] / (double) (n - 1);

  for (gsize i = 1; i < n; i++)
    if (fabs (distance_m[i] - (double) i * step_m) > EVEN_EPSILON * step_m)
      return 0.0;
  return step_m;
}

DwnProfile *
dwn_profile_new (gsize n, const double *distance_m, const double *height_m,
                 const double *clutter_m, const guint8 *zone, GError **error)
{
  g_return_val_if_fail (distance_m != NULL && height_m != NULL, NULL);

  if (!check_distances (n, distance_m, error) || !check_heights (n, height_m, clutter_m, error)
      || !check_zones (n, zone, error))
    return NULL;

  DwnProfile *profile = g_atomic_rc_box_new0 (DwnProfile);

  profile->n = n;
  profile->step_m = even_step_m (n, distance_m);
  profile->distance_m = copy_doubles (distance_m, n);
  profile->height_m = copy_doubles (height_m, n);
  profile->clutter_m = copy_doubles (clutter_m, n);
  profile->zone = g_memdup2 (zone, n * sizeof *zone);
  return profile;
}

DwnProfile *
dwn_profile_ref (const DwnProfile *profile)
{
  g_return_val_if_fail (profile != NULL, NULL);

  return g_atomic_rc_box_acquire ((DwnProfile *) profile);
}

static void
clear_profile (gpointer data)
{
  DwnProfile *profile = data;

  g_free ((double *) profile->distance_m);
  g_free ((double *) profile->height_m);
  g_free ((double *) profile->clutter_m);
  g_free ((guint8 *) profile->zone);
}

void
dwn_profile_unref (DwnProfile *profile)
{
  g_return_if_fail (profile != NULL);

  g_atomic_rc_box_release_full (profile, clear_profile);
}

gboolean
dwn_profile_is_complete (const DwnProfile *profile)
{
  g_return_val_if_fail (profile != NULL, FALSE);

  for (gsize i = 0; i < profile->n; i++)
    if (isnan (profile->height_m[i]))
      return FALSE;
  return TRUE;
}
