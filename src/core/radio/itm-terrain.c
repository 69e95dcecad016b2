/* ITM: what the profile says about the path. */
#include "core/radio/itm-private.h"

#include <math.h>
#include <string.h>

/* The irregularity is taken from at most so many points, whatever the profile has, and a tenth of
 * them at either end. */
#define MOST_POINTS 245
#define MOST_TENTH 25
#define N_BINS 128

/* Evenly spaced heights. */
typedef struct {
  const double *z_m;
  int n; /* intervals */
  double step_m;
} Ground;

/* Four sums at a time, for one addition has to wait for the last. */
static double
sum_of (const double *values, gsize n)
{
  double sum[4] = { 0, 0, 0, 0 };
  gsize i = 0;

  for (; i + 4 <= n; i += 4)
    {
      sum[0] += values[i];
      sum[1] += values[i + 1];
      sum[2] += values[i + 2];
      sum[3] += values[i + 3];
    }
  for (; i < n; i++)
    sum[0] += values[i];
  return (sum[0] + sum[1]) + (sum[2] + sum[3]);
}

double
dwn_itm_mean_height_m (const double *z_m, gsize n_intervals)
{
  gsize tenth = (gsize) (0.1 * (double) n_intervals);
  double all_m = sum_of (z_m, n_intervals + 1);
  double ends_m = sum_of (z_m, tenth) + sum_of (z_m + n_intervals + 1 - tenth, tenth);

  return (all_m - ends_m) / (double) (n_intervals - 2 * tenth + 1);
}

/* Sum of @n values, each times its own place, of which the first is at @from. */
static double
moment_of (const double *values, int n, double from)
{
  double sum[2] = { 0, 0 };
  int i = 0;

  for (; i + 2 <= n; i += 2)
    {
      sum[0] += values[i] * (from + i);
      sum[1] += values[i + 1] * (from + i + 1);
    }
  if (i < n)
    sum[0] += values[i] * (from + i);
  return sum[0] + sum[1];
}

/* Straight line by least squares through the heights between two distances, and its height at both
 * ends of the profile. The distances are cut to whole steps. */
static void
fit_line (const Ground *ground, double from_m, double to_m, double *near_m, double *far_m)
{
  const double *z_m = ground->z_m;
  int first = (int) fdim (from_m / ground->step_m, 0);
  int last = ground->n - (int) fdim (ground->n, to_m / ground->step_m);

  if (last <= first)
    {
      first = (int) fdim (first, 1);
      last = ground->n - (int) fdim (ground->n, last + 1);
    }

  double length = last - first;
  double from_middle = -0.5 * length;
  double middle = last + from_middle;
  int within = last - first - 1;
  double sum = 0.5 * (z_m[first] + z_m[last]) + sum_of (z_m + first + 1, (gsize) within);
  double moment = 0.5 * (z_m[first] - z_m[last]) * from_middle
                  + moment_of (z_m + first + 1, within, from_middle + 1);

  double mean_m = sum / length;
  double slope_m = moment * 12 / ((length * length + 2) * length);

  *near_m = mean_m - slope_m * middle;
  *far_m = mean_m + slope_m * (ground->n - middle);
}

/* Distances are summed up step by step: what comes out is later cut to whole steps, and the sum
 * decides on which side of a step it falls. A sample is divided by only where it is the highest so
 * far: this loop is where the time goes. */
static void
find_horizons (DwnItmPath *path, const Ground *ground)
{
  const double *z_m = ground->z_m;
  double step_m = ground->step_m;
  double tx_m = z_m[0] + path->h_m[0];
  double rx_m = z_m[ground->n] + path->h_m[1];
  double bend = 1 / (2 * path->earth_m);
  double behind_m = 0, ahead_m = path->d_m;
  double tx_rad = (rx_m - tx_m) / path->d_m - path->d_m * bend;
  double rx_rad = (tx_m - rx_m) / path->d_m - path->d_m * bend;
  double tx_horizon_m = path->d_m, rx_horizon_m = path->d_m;

  for (int i = 1; i < ground->n; i++)
    {
      behind_m += step_m;
      ahead_m -= step_m;
      if (G_UNLIKELY (z_m[i] - tx_m > (tx_rad + behind_m * bend) * behind_m))
        {
          tx_rad = (z_m[i] - tx_m) / behind_m - behind_m * bend;
          tx_horizon_m = behind_m;
        }
      if (G_UNLIKELY (z_m[i] - rx_m > (rx_rad + ahead_m * bend) * ahead_m))
        {
          rx_rad = (z_m[i] - rx_m) / ahead_m - ahead_m * bend;
          rx_horizon_m = ahead_m;
        }
    }
  path->horizon_rad[0] = tx_rad;
  path->horizon_rad[1] = rx_rad;
  path->horizon_m[0] = tx_horizon_m;
  path->horizon_m[1] = rx_horizon_m;
}

/* Values dealt out to equal bins between the lowest and the highest, each bin a list. */
typedef struct {
  const double *values;
  guint8 first[N_BINS], next[MOST_POINTS];
} Bins;

#define NO_VALUE G_MAXUINT8 /* ends a list; there are fewer values than that */
#define STRIDE 8 /* neighbours are alike and meet in a bin; one at a time would wait for the last */

static void
bins_init (Bins *bins, const double *values, int n, double lowest, double per_bin)
{
  bins->values = values;
  memset (bins->first, NO_VALUE, sizeof bins->first);
  for (int start = 0; start < STRIDE; start++)
    for (int i = start; i < n; i += STRIDE)
      {
        int bin = (int) ((values[i] - lowest) * per_bin);

        bins->next[i] = bins->first[bin];
        bins->first[bin] = (guint8) i;
      }
}

/* The @k-th value in the order of the bins from @bin on, @direction 1 or −1, counted from 1. Only
 * the values of the bin in which it lies have to be told apart. */
static double
bins_find (const Bins *bins, int bin, int direction, int k)
{
  double found[MOST_POINTS];
  int n = 0, passed = 0;

  for (;; bin += direction)
    {
      for (guint8 i = bins->first[bin]; i != NO_VALUE; i = bins->next[i])
        found[n++] = direction * bins->values[i];
      if (passed + n >= k)
        break;
      passed += n;
      n = 0;
    }
  for (int place = passed; place < k; place++)
    {
      int least = 0;

      for (int i = 1; i < n; i++)
        if (found[i] < found[least])
          least = i;
      if (place + 1 == k)
        return direction * found[least];
      found[least] = found[--n];
    }
  return (double) NAN;
}

/* What lies between the @k-th largest and the @k-th smallest of @n values, which reach from @lowest
 * to @highest. */
static double
inner_range (const double *values, int n, int k, double lowest, double highest)
{
  double per_bin = (N_BINS - 1) / (highest - lowest);
  Bins bins;

  if (!isfinite (per_bin)) /* all the same, or next to it */
    return highest - lowest;
  bins_init (&bins, values, n, lowest, per_bin);
  return bins_find (&bins, N_BINS - 1, -1, k) - bins_find (&bins, 0, 1, k);
}

/* Height at step @at, by a straight line between the samples on either side. */
static double
height_at (const Ground *ground, double at)
{
  int i = MIN ((int) at, ground->n - 1);

  return ground->z_m[i] + (ground->z_m[i + 1] - ground->z_m[i]) * (at - i);
}

/* @n heights from step @start on, @spacing steps apart, by straight lines between the samples;
 * their sum, and their moment about the first. */
static void
resample (const Ground *ground, double start, double spacing, double *heights_m, int n,
          double *sum_m, double *moment_m)
{
  const double *z_m = ground->z_m;
  double sum = 0, moment = 0, place = 0;
  double last_m = height_at (ground, start + (n - 1) * spacing);

  for (int j = 0; j < n - 1; j++, place++)
    {
      double at = start + place * spacing;
      int i = (int) at; /* never the last sample, that is for the last height */
      double height_m = z_m[i] + (z_m[i + 1] - z_m[i]) * (at - i);

      heights_m[j] = height_m;
      sum += height_m;
      moment += height_m * place;
    }
  heights_m[n - 1] = last_m;
  *sum_m = sum + last_m;
  *moment_m = moment + last_m * place;
}

/* Heights as far as they stand above or below their own straight line, and the range that makes. */
static void
level_out (double *heights_m, int n, double from_m, double slope_m, double *lowest_m,
           double *highest_m)
{
  double lowest[2] = { INFINITY, INFINITY }, highest[2] = { -INFINITY, -INFINITY }, place = 0;

  for (int j = 0; j < n - 1; j += 2, place += 2)
    {
      heights_m[j] -= from_m + place * slope_m;
      heights_m[j + 1] -= from_m + (place + 1) * slope_m;
      lowest[0] = MIN (lowest[0], heights_m[j]);
      lowest[1] = MIN (lowest[1], heights_m[j + 1]);
      highest[0] = MAX (highest[0], heights_m[j]);
      highest[1] = MAX (highest[1], heights_m[j + 1]);
    }
  heights_m[n - 1] -= from_m + (n - 1) * slope_m; /* n is odd */
  *lowest_m = MIN (MIN (lowest[0], lowest[1]), heights_m[n - 1]);
  *highest_m = MAX (MAX (highest[0], highest[1]), heights_m[n - 1]);
}

/* Range between the highest and the lowest tenth of the ground over its own straight line, brought
 * from the path's length to the asymptote (ERL 79-ITS 67 eq. 3). */
static double
irregularity_m (const Ground *ground, double from_m, double to_m)
{
  double heights_m[MOST_POINTS];
  double start = from_m / ground->step_m;
  double span = to_m / ground->step_m - start;
  double lowest_m, highest_m, sum_m, moment_m;
  double length, half_ends_m, mean_m, slope_m;
  int tenth, n;

  if (span < 2)
    return 0;
  tenth = CLAMP ((int) (0.1 * (span + 8)), 4, MOST_TENTH);
  n = 10 * tenth - 5;
  resample (ground, start, span / (n - 1), heights_m, n, &sum_m, &moment_m);

  /* The line as fit_line() has it: the two ends count half. */
  length = n - 1;
  half_ends_m = 0.5 * (heights_m[0] + heights_m[n - 1]);
  mean_m = (sum_m - half_ends_m) / length;
  moment_m -= 0.5 * length * sum_m + 0.25 * length * (heights_m[n - 1] - heights_m[0]);
  slope_m = moment_m * 12 / ((length * length + 2) * length);
  level_out (heights_m, n, mean_m - slope_m * length / 2, slope_m, &lowest_m, &highest_m);
  return inner_range (heights_m, n, tenth, lowest_m, highest_m)
         / (1 - 0.8 * exp (-(to_m - from_m) / 50e3));
}

void
dwn_itm_set_horizon (DwnItmPath *path, int end)
{
  double he_m = path->he_m[end];
  double smooth_m = sqrt (2 * he_m * path->earth_m);

  path->horizon_m[end] = smooth_m * exp (-0.07 * sqrt (path->delta_h_m / MAX (he_m, 5)));
  path->horizon_rad[end] = (0.65 * path->delta_h_m * (smooth_m / path->horizon_m[end] - 1)
                            - 2 * he_m) / smooth_m;
}

/* Well within sight the horizons of the profile mean little: they and the heights are taken from
 * the line through the ground. */
static void
measure_within_sight (DwnItmPath *path, const Ground *ground, double from_m, double to_m)
{
  double line_m[2];
  double reach_m;

  fit_line (ground, from_m, to_m, &line_m[0], &line_m[1]);
  path->he_m[0] = path->h_m[0] + fdim (ground->z_m[0], line_m[0]);
  path->he_m[1] = path->h_m[1] + fdim (ground->z_m[ground->n], line_m[1]);
  dwn_itm_set_horizon (path, 0);
  dwn_itm_set_horizon (path, 1);

  reach_m = path->horizon_m[0] + path->horizon_m[1];
  for (int i = 0; i < 2 && reach_m <= path->d_m; i++)
    {
      path->he_m[i] *= (path->d_m / reach_m) * (path->d_m / reach_m);
      dwn_itm_set_horizon (path, i);
    }
}

/* Otherwise each end's height is counted from the ground in front of it. */
static void
measure_to_horizons (DwnItmPath *path, const Ground *ground, double from_m, double to_m)
{
  double near_m, far_m, unused_m;

  fit_line (ground, from_m, 0.9 * path->horizon_m[0], &near_m, &unused_m);
  fit_line (ground, path->d_m - 0.9 * path->horizon_m[1], to_m, &unused_m, &far_m);
  path->he_m[0] = path->h_m[0] + fdim (ground->z_m[0], near_m);
  path->he_m[1] = path->h_m[1] + fdim (ground->z_m[ground->n], far_m);
}

void
dwn_itm_path_measure (DwnItmPath *path, const double *z_m, gsize n_intervals, double step_m)
{
  Ground ground = { z_m, (int) n_intervals, step_m };
  double from_m, to_m;

  path->d_m = ground.n * step_m;
  find_horizons (path, &ground);
  /* Ground under the mast is left out: 15 times its height, but no more than a tenth of the way to
   * the horizon (NTIA 82-100). */
  from_m = MIN (15 * path->h_m[0], 0.1 * path->horizon_m[0]);
  to_m = path->d_m - MIN (15 * path->h_m[1], 0.1 * path->horizon_m[1]);
  path->delta_h_m = irregularity_m (&ground, from_m, to_m);
  if (path->horizon_m[0] + path->horizon_m[1] > 1.5 * path->d_m)
    measure_within_sight (path, &ground, from_m, to_m);
  else
    measure_to_horizons (path, &ground, from_m, to_m);
}
