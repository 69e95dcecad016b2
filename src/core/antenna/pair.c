#include "core/antenna/pair.h"

#include <math.h>

#include <glib/gi18n-lib.h>

#define LIGHT_M_MHZ 299.792458 /* speed of light in m · MHz */
#define STACK_FLOOR_DB (-40.0)
#define STACK_STEP_MHZ 6.0
#define STACK_N_AZIMUTHS 360
#define STACK_N_ELEVATIONS 181
#define STACK_MAX_SPACING_M 100.0
#define STACK_MAX_FREQUENCIES 2000
#define LEAST_SEPARATION_M 1.0

static double
amplitude_of_db (double level_db)
{
  return pow (10.0, level_db / 20.0);
}

static double
db_of_power (double power)
{
  return 10.0 * log10 (power);
}

DwnPairGain
dwn_pair_sum (double first_db, double second_db)
{
  double a = amplitude_of_db (first_db), b = amplitude_of_db (second_db);

  return (DwnPairGain){ db_of_power (a * a + b * b), db_of_power ((a + b) * (a + b)),
                        db_of_power ((a - b) * (a - b)) };
}

DwnPairGain
dwn_pair_hybrid (double first_db, double second_db)
{
  double half_db = db_of_power (2.0);

  return dwn_pair_sum (first_db - half_db, second_db - half_db);
}

double
dwn_pair_hybrid_at (double first_db, double second_db, double q)
{
  double a = amplitude_of_db (first_db), b = amplitude_of_db (second_db);

  if (!(q >= 0.0 && q <= 1.0))
    return (double) NAN;
  return db_of_power (MAX (a * a + b * b - 2.0 * a * b * cos (G_PI * (1.0 - q)), 0.0) / 2.0);
}

double
dwn_stack_spacing_m (double beamwidth_deg, double mhz)
{
  if (!(beamwidth_deg > 0.0 && beamwidth_deg <= 180.0 && mhz > 0.0))
    return (double) NAN;
  return LIGHT_M_MHZ / mhz / (2.0 * sin (beamwidth_deg / 2.0 * G_PI / 180.0));
}

double
dwn_stack_null_spacing_m (double off_deg, double mhz, double wanted_m)
{
  double across = fabs (sin (off_deg * G_PI / 180.0));
  double first_m, order;

  if (!(across > 1e-9 && mhz > 0.0 && wanted_m > 0.0))
    return (double) NAN;
  first_m = LIGHT_M_MHZ / mhz / (2.0 * across);
  order = MAX (round ((wanted_m / first_m - 1.0) / 2.0), 0.0);
  return (2.0 * order + 1.0) * first_m;
}

double
dwn_pair_separation_m (DwnStack direction, double lower_mhz)
{
  double wave_m = LIGHT_M_MHZ / lower_mhz;

  if (!(lower_mhz > 0.0))
    return (double) NAN;
  return MAX (direction == DWN_STACK_VERTICAL ? wave_m / 2.0 : wave_m, LEAST_SEPARATION_M);
}

double
dwn_pair_isolation_db (DwnStack direction, double spacing_m, double mhz, double towards_dbi)
{
  double waves = spacing_m * mhz / LIGHT_M_MHZ;

  if (!(mhz > 0.0 && waves >= 1.0))
    return (double) NAN;
  return direction == DWN_STACK_VERTICAL ? 28.0 + 40.0 * log10 (waves)
                                         : 20.0 * log10 (4.0 * G_PI * waves) - towards_dbi;
}

/* Power of two equal sources over one of them, where the one is @path_m nearer. */
static double
array_db (double path_m, double mhz)
{
  double factor = cos (G_PI * path_m * mhz / LIGHT_M_MHZ);

  return db_of_power (2.0) + MAX (db_of_power (factor * factor), STACK_FLOOR_DB);
}

/* The pattern's own frequencies and others between them: the array factor moves with each. */
static GArray *
stack_axis (const DwnPattern *pattern)
{
  GArray *mhz = g_array_new (FALSE, FALSE, sizeof (double));

  for (gsize f = 0; f < pattern->n_mhz; f++)
    {
      double next_mhz = f + 1 < pattern->n_mhz ? pattern->mhz[f + 1] : pattern->mhz[f];

      g_array_append_val (mhz, pattern->mhz[f]);
      for (double at = pattern->mhz[f] + STACK_STEP_MHZ;
           at < next_mhz && mhz->len < STACK_MAX_FREQUENCIES; at += STACK_STEP_MHZ)
        g_array_append_val (mhz, at);
    }
  return mhz;
}

static void
fill_azimuths (const DwnPattern *pattern, const double *path_m, double combiner_db, double mhz,
               double *gain_dbi)
{
  double ahead_db = array_db (0.0, mhz);

  dwn_pattern_sample (pattern, mhz, STACK_N_AZIMUTHS, gain_dbi);
  for (int i = 0; i < STACK_N_AZIMUTHS; i++)
    gain_dbi[i] += (path_m != NULL ? array_db (path_m[i], mhz) : ahead_db) - combiner_db;
}

static void
fill_elevations (const DwnPattern *pattern, const double *path_m, double mhz, double *elevation_db)
{
  double ahead_db = array_db (0.0, mhz);

  for (int i = 0; i < STACK_N_ELEVATIONS; i++)
    {
      elevation_db[i] = dwn_pattern_elevation_db (pattern, i - 90.0, mhz);
      if (path_m != NULL)
        elevation_db[i] += array_db (path_m[i], mhz) - ahead_db;
    }
}

/* By how much one of the two is nearer to what lies so far off the boresight. */
static double *
paths_new (double spacing_m, guint n, double first_deg)
{
  double *path_m = g_new (double, n);

  for (guint i = 0; i < n; i++)
    path_m[i] = spacing_m * sin ((first_deg + i) * G_PI / 180.0);
  return path_m;
}

static DwnPattern *
stacked (const DwnPattern *pattern, DwnStack direction, double spacing_m, double combiner_db,
         const GArray *mhz, GError **error)
{
  g_autofree double *azimuth_deg = g_new (double, STACK_N_AZIMUTHS);
  g_autofree double *elevation_deg = g_new (double, STACK_N_ELEVATIONS);
  g_autofree double *gain_dbi = g_new (double, (gsize) mhz->len * STACK_N_AZIMUTHS);
  g_autofree double *elevation_db = g_new (double, (gsize) mhz->len * STACK_N_ELEVATIONS);
  g_autofree double *mismatch_db = g_new (double, mhz->len);
  DwnPattern values = *pattern;
  gboolean above = direction == DWN_STACK_VERTICAL;
  g_autofree double *beside_m = above ? NULL : paths_new (spacing_m, STACK_N_AZIMUTHS, 0.0);
  g_autofree double *above_m = above ? paths_new (spacing_m, STACK_N_ELEVATIONS, -90.0) : NULL;

  for (int i = 0; i < STACK_N_AZIMUTHS; i++)
    azimuth_deg[i] = i;
  for (int i = 0; i < STACK_N_ELEVATIONS; i++)
    elevation_deg[i] = i - 90.0;
  for (guint f = 0; f < mhz->len; f++)
    {
      double at_mhz = g_array_index (mhz, double, f);

      fill_azimuths (pattern, beside_m, combiner_db, at_mhz, gain_dbi + (gsize) f * STACK_N_AZIMUTHS);
      fill_elevations (pattern, above_m, at_mhz, elevation_db + (gsize) f * STACK_N_ELEVATIONS);
      mismatch_db[f] = dwn_pattern_mismatch_db (pattern, at_mhz);
    }
  values.n_mhz = mhz->len;
  values.mhz = (const double *) (gconstpointer) mhz->data;
  values.n_azimuth = STACK_N_AZIMUTHS;
  values.azimuth_deg = azimuth_deg;
  values.gain_dbi = gain_dbi;
  values.n_elevation = STACK_N_ELEVATIONS;
  values.elevation_deg = elevation_deg;
  values.elevation_db = elevation_db;
  values.mismatch_db = mismatch_db;
  return dwn_pattern_new (&values, error);
}

DwnPattern *
dwn_pair_stack (const DwnPattern *pattern, DwnStack direction, double spacing_m,
                double combiner_db, GError **error)
{
  g_autoptr (GArray) mhz = NULL;

  g_return_val_if_fail (pattern != NULL, NULL);

  if (!(spacing_m > 0.0 && spacing_m <= STACK_MAX_SPACING_M && combiner_db >= 0.0))
    {
      g_set_error (error, DWN_PATTERN_ERROR, DWN_PATTERN_ERROR_RANGE,
                   _("a stack %g m apart behind a combiner of %g dB cannot be; "
                     "write 0 to %g m and a loss that is not negative"),
                   spacing_m, combiner_db, STACK_MAX_SPACING_M);
      return NULL;
    }
  mhz = stack_axis (pattern);
  return stacked (pattern, direction, spacing_m, combiner_db, mhz, error);
}
