/* A pattern is a table over frequency and azimuth, read with straight lines in dB between the
 * nodes. The advisor asks for millions of gains, so evenly spaced azimuths, which nearly all
 * patterns have, are found by division instead of by search. */
#include "core/antenna/pattern.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#define OUTSIDE_BAND_DB_PER_OCTAVE 12.0
#define FIELD_FLOOR 0.01 /* −40 dB; a deeper null is not kept on a real mast */
#define REAR_FROM_DEG 120.0
#define REAR_TO_DEG 240.0
#define BEAMWIDTH_STEP_DEG 0.25

typedef struct {
  DwnPattern values; /* first, so that the public pointer is also ours */
  gatomicrefcount refs;
  double azimuth_step_deg; /* 0 where the azimuths are not evenly spaced from 0 */
} OwnedPattern;

/* Where a value lies on a rising axis: value = (1 − weight) · axis[low] + weight · axis[high]. */
typedef struct {
  gsize low, high;
  double weight;
} Bracket;

G_DEFINE_QUARK (dwn-pattern-error-quark, dwn_pattern_error)
G_DEFINE_BOXED_TYPE (DwnPattern, dwn_pattern, dwn_pattern_ref, dwn_pattern_unref)

static double
between (const Bracket *at, double low, double high)
{
  return low + at->weight * (high - low);
}

/* Keeps the end values beyond the ends. */
static Bracket
bracket_on_axis (const double *axis, gsize n, double value)
{
  gsize low = 0, high = n - 1;

  if (value <= axis[0])
    return (Bracket){ 0, 0, 0.0 };
  if (value >= axis[n - 1])
    return (Bracket){ n - 1, n - 1, 0.0 };
  while (high - low > 1)
    {
      gsize middle = low + (high - low) / 2;

      if (axis[middle] <= value)
        low = middle;
      else
        high = middle;
    }
  return (Bracket){ low, high, (value - axis[low]) / (axis[high] - axis[low]) };
}

static double
wrapped_deg (double azimuth_deg)
{
  double wrapped;

  if (azimuth_deg >= 0.0 && azimuth_deg < 360.0)
    return azimuth_deg;
  wrapped = azimuth_deg - 360.0 * floor (azimuth_deg / 360.0);
  return wrapped < 360.0 ? wrapped : 0.0; /* −1e-300 rounds up to 360 */
}

/* @azimuth_deg in [0, 360). The circle closes: the last node's neighbour is the first. */
static Bracket
bracket_on_circle (const DwnPattern *pattern, double azimuth_deg)
{
  const double *axis = pattern->azimuth_deg;
  gsize n = pattern->n_azimuth;
  double step_deg = ((const OwnedPattern *) pattern)->azimuth_step_deg;
  double past_deg;

  if (step_deg > 0.0)
    {
      gsize low = MIN ((gsize) (azimuth_deg / step_deg), n - 1);

      return (Bracket){ low, low + 1 < n ? low + 1 : 0, azimuth_deg / step_deg - (double) low };
    }
  if (azimuth_deg >= axis[0] && azimuth_deg < axis[n - 1])
    return bracket_on_axis (axis, n, azimuth_deg);
  past_deg = azimuth_deg - axis[n - 1];
  if (past_deg < 0.0)
    past_deg += 360.0;
  return (Bracket){ n - 1, 0, past_deg / (360.0 - axis[n - 1] + axis[0]) };
}

/* What an antenna loses outside the frequencies it is known at. */
static double
outside_band_db (const DwnPattern *pattern, double mhz)
{
  double first_mhz = pattern->mhz[0];
  double last_mhz = pattern->mhz[pattern->n_mhz - 1];

  if (mhz < first_mhz)
    return OUTSIDE_BAND_DB_PER_OCTAVE * log2 (first_mhz / mhz);
  if (mhz > last_mhz)
    return OUTSIDE_BAND_DB_PER_OCTAVE * log2 (mhz / last_mhz);
  return 0.0;
}

static double
node_gain_dbi (const DwnPattern *pattern, const Bracket *mhz, gsize azimuth)
{
  const double *low = pattern->gain_dbi + mhz->low * pattern->n_azimuth;
  const double *high = pattern->gain_dbi + mhz->high * pattern->n_azimuth;

  return between (mhz, low[azimuth], high[azimuth]);
}

/* Inside the band; @azimuth_deg in [0, 360). */
static double
table_gain_dbi (const DwnPattern *pattern, const Bracket *mhz, double azimuth_deg)
{
  Bracket azimuth = bracket_on_circle (pattern, azimuth_deg);

  return between (&azimuth, node_gain_dbi (pattern, mhz, azimuth.low),
                  node_gain_dbi (pattern, mhz, azimuth.high));
}

static gboolean
check_axis (const char *id, const char *what, const double *axis, gsize n,
            double least, double most, GError **error)
{
  for (gsize i = 0; i < n; i++)
    {
      if (!(axis[i] >= least && axis[i] <= most))
        {
          g_set_error (error, DWN_PATTERN_ERROR, DWN_PATTERN_ERROR_RANGE,
                       _("%s: %s %g is outside %g to %g"), id, what, axis[i], least, most);
          return FALSE;
        }
      if (i > 0 && axis[i] <= axis[i - 1])
        {
          g_set_error (error, DWN_PATTERN_ERROR, DWN_PATTERN_ERROR_ORDER,
                       _("%s: %s %g stands after %g; values must rise"),
                       id, what, axis[i], axis[i - 1]);
          return FALSE;
        }
    }
  return TRUE;
}

static gboolean
check_finite (const char *id, const char *what, const double *values_db, gsize n, GError **error)
{
  for (gsize i = 0; i < n; i++)
    if (!(fabs (values_db[i]) <= DWN_PATTERN_MAX_ABS_DB))
      {
        g_set_error (error, DWN_PATTERN_ERROR, DWN_PATTERN_ERROR_RANGE,
                     _("%s: %s %g dB is outside ±%g dB"), id, what, values_db[i],
                     DWN_PATTERN_MAX_ABS_DB);
        return FALSE;
      }
  return TRUE;
}

static gboolean
check_mismatch (const char *id, const double *loss_db, gsize n, GError **error)
{
  for (gsize i = 0; loss_db != NULL && i < n; i++)
    if (!isnan (loss_db[i]) && !(loss_db[i] >= 0.0 && loss_db[i] <= DWN_PATTERN_MAX_ABS_DB))
      {
        g_set_error (error, DWN_PATTERN_ERROR, DWN_PATTERN_ERROR_RANGE,
                     _("%s: mismatch %g dB is outside 0 to %g"), id, loss_db[i],
                     DWN_PATTERN_MAX_ABS_DB);
        return FALSE;
      }
  return TRUE;
}

static gboolean
check_values (const DwnPattern *values, const char *id, GError **error)
{
  if (values->n_mhz == 0 || values->n_azimuth == 0)
    {
      g_set_error (error, DWN_PATTERN_ERROR, DWN_PATTERN_ERROR_EMPTY,
                   _("%s: a pattern needs at least one frequency and one azimuth"), id);
      return FALSE;
    }
  if (!check_axis (id, _("frequency in MHz"), values->mhz, values->n_mhz,
                   DWN_PATTERN_MIN_MHZ, DWN_PATTERN_MAX_MHZ, error)
      || !check_axis (id, _("azimuth"), values->azimuth_deg, values->n_azimuth,
                      0.0, nextafter (360.0, 0.0), error)
      || !check_axis (id, _("elevation"), values->elevation_deg, values->n_elevation,
                      -90.0, 90.0, error))
    return FALSE;
  return check_finite (id, _("gain"), values->gain_dbi, values->n_mhz * values->n_azimuth, error)
         && check_finite (id, _("elevation gain"), values->elevation_db,
                          values->n_mhz * values->n_elevation, error)
         && check_mismatch (id, values->mismatch_db, values->n_mhz, error);
}

static double
even_step_deg (const DwnPattern *values)
{
  double step_deg = 360.0 / (double) values->n_azimuth;

  for (gsize i = 0; i < values->n_azimuth; i++)
    if (values->azimuth_deg[i] != (double) i * step_deg)
      return 0.0;
  return step_deg;
}

static double *
copied (const double *values, gsize n)
{
  return values != NULL && n > 0 ? g_memdup2 (values, n * sizeof *values) : NULL;
}

DwnPattern *
dwn_pattern_new (const DwnPattern *values, GError **error)
{
  OwnedPattern *self;

  g_return_val_if_fail (values != NULL, NULL);

  if (!check_values (values, values->id != NULL ? values->id : "", error))
    return NULL;
  self = g_new0 (OwnedPattern, 1);
  g_atomic_ref_count_init (&self->refs);
  self->azimuth_step_deg = even_step_deg (values);
  self->values = *values;
  self->values.id = g_strdup (values->id != NULL ? values->id : "");
  self->values.name = g_strdup (values->name != NULL ? values->name : self->values.id);
  self->values.source = g_strdup (values->source != NULL ? values->source : "");
  self->values.mhz = copied (values->mhz, values->n_mhz);
  self->values.azimuth_deg = copied (values->azimuth_deg, values->n_azimuth);
  self->values.gain_dbi = copied (values->gain_dbi, values->n_mhz * values->n_azimuth);
  self->values.elevation_deg = copied (values->elevation_deg, values->n_elevation);
  self->values.elevation_db = copied (values->elevation_db,
                                      values->n_mhz * values->n_elevation);
  self->values.mismatch_db = copied (values->mismatch_db, values->n_mhz);
  return &self->values;
}

DwnPattern *
dwn_pattern_ref (const DwnPattern *pattern)
{
  g_return_val_if_fail (pattern != NULL, NULL);

  g_atomic_ref_count_inc (&((OwnedPattern *) pattern)->refs);
  return (DwnPattern *) pattern;
}

void
dwn_pattern_unref (DwnPattern *pattern)
{
  g_return_if_fail (pattern != NULL);

  if (!g_atomic_ref_count_dec (&((OwnedPattern *) pattern)->refs))
    return;
  g_free ((char *) pattern->id);
  g_free ((char *) pattern->name);
  g_free ((char *) pattern->source);
  g_free ((double *) pattern->mhz);
  g_free ((double *) pattern->azimuth_deg);
  g_free ((double *) pattern->gain_dbi);
  g_free ((double *) pattern->elevation_deg);
  g_free ((double *) pattern->elevation_db);
  g_free ((double *) pattern->mismatch_db);
  g_free (pattern);
}

double
dwn_pattern_gain_dbi (const DwnPattern *pattern, double azimuth_deg, double mhz)
{
  Bracket at;

  g_return_val_if_fail (pattern != NULL, (double) NAN);

  if (!(mhz > 0.0) || !isfinite (azimuth_deg))
    return (double) NAN;
  at = bracket_on_axis (pattern->mhz, pattern->n_mhz, mhz);
  return table_gain_dbi (pattern, &at, wrapped_deg (azimuth_deg)) - outside_band_db (pattern, mhz);
}

void
dwn_pattern_sample (const DwnPattern *pattern, double mhz, gsize n, double *gain_dbi)
{
  Bracket at;
  double loss_db;

  g_return_if_fail (pattern != NULL && gain_dbi != NULL);

  at = bracket_on_axis (pattern->mhz, pattern->n_mhz, mhz);
  loss_db = mhz > 0.0 ? outside_band_db (pattern, mhz) : (double) NAN;
  for (gsize k = 0; k < n; k++)
    gain_dbi[k] = table_gain_dbi (pattern, &at, (double) k * 360.0 / (double) n) - loss_db;
}

double
dwn_pattern_max_gain_dbi (const DwnPattern *pattern, double mhz)
{
  Bracket at;
  double most_dbi = -G_MAXDOUBLE;

  g_return_val_if_fail (pattern != NULL, (double) NAN);

  if (!(mhz > 0.0))
    return (double) NAN;
  /* Straight lines between the nodes: the largest value stands at a node. */
  at = bracket_on_axis (pattern->mhz, pattern->n_mhz, mhz);
  for (gsize i = 0; i < pattern->n_azimuth; i++)
    most_dbi = MAX (most_dbi, node_gain_dbi (pattern, &at, i));
  return most_dbi - outside_band_db (pattern, mhz);
}

double
dwn_pattern_elevation_db (const DwnPattern *pattern, double elevation_deg, double mhz)
{
  Bracket at, up;
  gsize n;

  g_return_val_if_fail (pattern != NULL, (double) NAN);

  if (!(mhz > 0.0) || isnan (elevation_deg))
    return (double) NAN;
  n = pattern->n_elevation;
  if (n == 0)
    return 0.0;
  at = bracket_on_axis (pattern->mhz, pattern->n_mhz, mhz);
  up = bracket_on_axis (pattern->elevation_deg, n, elevation_deg);
  return between (&up,
                  between (&at, pattern->elevation_db[at.low * n + up.low],
                           pattern->elevation_db[at.high * n + up.low]),
                  between (&at, pattern->elevation_db[at.low * n + up.high],
                           pattern->elevation_db[at.high * n + up.high]));
}

double
dwn_pattern_mismatch_db (const DwnPattern *pattern, double mhz)
{
  Bracket at;
  double loss_db;

  g_return_val_if_fail (pattern != NULL, (double) NAN);

  if (!(mhz > 0.0))
    return (double) NAN;
  if (pattern->mismatch_db == NULL)
    return 0.0;
  at = bracket_on_axis (pattern->mhz, pattern->n_mhz, mhz);
  loss_db = between (&at, pattern->mismatch_db[at.low], pattern->mismatch_db[at.high]);
  return isnan (loss_db) ? 0.0 : loss_db;
}

/* Degrees from the boresight to where the gain has fallen by half, walking one way round;
 * 180 where it never does. */
static double
half_power_deg (const DwnPattern *pattern, const Bracket *mhz, double direction)
{
  double wanted_dbi = table_gain_dbi (pattern, mhz, 0.0) - 10.0 * log10 (2.0);
  double before_dbi = table_gain_dbi (pattern, mhz, 0.0);

  for (double off_deg = BEAMWIDTH_STEP_DEG; off_deg <= 180.0; off_deg += BEAMWIDTH_STEP_DEG)
    {
      double here_dbi = table_gain_dbi (pattern, mhz, wrapped_deg (direction * off_deg));

      if (here_dbi <= wanted_dbi)
        return off_deg - BEAMWIDTH_STEP_DEG * (wanted_dbi - here_dbi) / (before_dbi - here_dbi);
      before_dbi = here_dbi;
    }
  return 180.0;
}

double
dwn_pattern_beamwidth_deg (const DwnPattern *pattern, double mhz)
{
  Bracket at;

  g_return_val_if_fail (pattern != NULL, (double) NAN);

  if (!(mhz > 0.0))
    return (double) NAN;
  at = bracket_on_axis (pattern->mhz, pattern->n_mhz, mhz);
  return half_power_deg (pattern, &at, 1.0) + half_power_deg (pattern, &at, -1.0);
}

double
dwn_pattern_front_to_back_db (const DwnPattern *pattern, double mhz)
{
  Bracket at;
  double rear_dbi;

  g_return_val_if_fail (pattern != NULL, (double) NAN);

  if (!(mhz > 0.0))
    return (double) NAN;
  at = bracket_on_axis (pattern->mhz, pattern->n_mhz, mhz);
  rear_dbi = MAX (table_gain_dbi (pattern, &at, REAR_FROM_DEG),
                  table_gain_dbi (pattern, &at, REAR_TO_DEG));
  for (gsize i = 0; i < pattern->n_azimuth; i++)
    if (pattern->azimuth_deg[i] > REAR_FROM_DEG && pattern->azimuth_deg[i] < REAR_TO_DEG)
      rear_dbi = MAX (rear_dbi, node_gain_dbi (pattern, &at, i));
  return table_gain_dbi (pattern, &at, 0.0) - rear_dbi;
}

/* Turning moves some nodes across north: the turned axis starts at the first of these. */
static gsize
first_across_north (gsize n, const double *azimuth_deg, double turn_deg)
{
  for (gsize i = 0; i < n; i++)
    if (azimuth_deg[i] + turn_deg >= 360.0)
      return i;
  return 0;
}

/* The file's own figures are checked before they are turned: the error names what stands there. */
static gboolean
check_field (const char *id, gsize n, const double *azimuth_deg, const double *field,
             double rotation_deg, GError **error)
{
  if (!isfinite (rotation_deg))
    {
      g_set_error (error, DWN_PATTERN_ERROR, DWN_PATTERN_ERROR_RANGE,
                   _("%s: the rotation is not a number of degrees"), id);
      return FALSE;
    }
  for (gsize i = 0; i < n; i++)
    if (!(field[i] >= 0.0 && field[i] <= 1.0))
      {
        g_set_error (error, DWN_PATTERN_ERROR, DWN_PATTERN_ERROR_RANGE,
                     _("%s: relative field %g at azimuth %g is outside 0 to 1"),
                     id, field[i], azimuth_deg[i]);
        return FALSE;
      }
  return check_axis (id, _("azimuth"), azimuth_deg, n, 0.0, nextafter (360.0, 0.0), error);
}

DwnPattern *
dwn_pattern_new_relative_field (const char *id, gsize n, const double *azimuth_deg,
                                const double *field, double rotation_deg,
                                const char *source, GError **error)
{
  static const double everywhere_mhz[] = { DWN_PATTERN_MIN_MHZ, DWN_PATTERN_MAX_MHZ };
  g_autofree double *turned_deg = g_new (double, n + 1);
  g_autofree double *gain_db = g_new (double, 2 * n + 1);
  double turn_deg = wrapped_deg (rotation_deg);
  DwnPattern values = { .id = id, .name = id, .source = source, .price = (double) NAN,
                        .n_mhz = 2, .mhz = everywhere_mhz,
                        .n_azimuth = n, .azimuth_deg = turned_deg, .gain_dbi = gain_db };
  gsize first;

  g_return_val_if_fail (n == 0 || (azimuth_deg != NULL && field != NULL), NULL);

  if (!check_field (id, n, azimuth_deg, field, rotation_deg, error))
    return NULL;
  first = first_across_north (n, azimuth_deg, turn_deg);
  for (gsize i = 0; i < n; i++)
    {
      gsize from = (first + i) % n;

      turned_deg[i] = wrapped_deg (azimuth_deg[from] + turn_deg);
      gain_db[i] = gain_db[n + i] = 20.0 * log10 (MAX (field[from], FIELD_FLOOR));
    }
  return dwn_pattern_new (&values, error);
}
