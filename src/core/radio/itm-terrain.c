/* ITM: what the profile says about the path. */
#include "core/radio/itm-private.h"

#include <math.h>

/* The irregularity is taken from at most so many points, whatever the profile has, and a tenth of
 * them at either end. */
#define MOST_POINTS 245
#define MOST_KEPT 25

/* Evenly spaced heights. */
typedef struct {
  const double *z_m;
  int n; /* intervals */
  double step_m;
} Ground;

double
dwn_itm_mean_height_m (const double *z_m, gsize n_intervals)
{
  gsize tenth = (gsize) (0.1 * (double) n_intervals);
  double sum_m = 0;

  for (gsize i = tenth; i <= n_intervals - tenth; i++)
    sum_m += z_m[i];
  return sum_m / (double) (n_intervals - 2 * tenth + 1);
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
  double sum = 0.5 * (z_m[first] + z_m[last]);
  double moment = 0.5 * (z_m[first] - z_m[last]) * from_middle;

  for (int i = first + 1; i < last; i++)
    {
      from_middle++;
      sum += z_m[i];
      moment += z_m[i] * from_middle;
    }

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
  double tx_m = ground->z_m[0] + path->h_m[0];
  double rx_m = ground->z_m[ground->n] + path->h_m[1];
  double bend = 1 / (2 * path->earth_m);
  double behind_m = 0, ahead_m = path->d_m;

  path->horizon_rad[0] = (rx_m - tx_m) / path->d_m - path->d_m * bend;
  path->horizon_rad[1] = (tx_m - rx_m) / path->d_m - path->d_m * bend;
  path->horizon_m[0] = path->horizon_m[1] = path->d_m;
  for (int i = 1; i < ground->n; i++)
    {
      double z_m = ground->z_m[i];

      behind_m += ground->step_m;
      ahead_m -= ground->step_m;
      if (z_m - tx_m > (path->horizon_rad[0] + behind_m * bend) * behind_m)
        {
          path->horizon_rad[0] = (z_m - tx_m) / behind_m - behind_m * bend;
          path->horizon_m[0] = behind_m;
        }
      if (z_m - rx_m > (path->horizon_rad[1] + ahead_m * bend) * ahead_m)
        {
          path->horizon_rad[1] = (z_m - rx_m) / ahead_m - ahead_m * bend;
          path->horizon_m[1] = ahead_m;
        }
    }
}

/* The @k-th largest of @sign times the values, from 1. The largest so far are kept in order: @k is
 * a tenth of @n, so that nearly every value is passed over. */
static double
extreme (const double *values, int n, int k, double sign)
{
  double kept[MOST_KEPT];
  int n_kept = 0;

  for (int i = 0; i < n; i++)
    {
      double value = sign * values[i];
      int place = k - 1;

      if (n_kept < k)
        place = n_kept++;
      else if (value <= kept[k - 1])
        continue;
      for (; place > 0 && kept[place - 1] < value; place--)
        kept[place] = kept[place - 1];
      kept[place] = value;
    }
  return sign * kept[k - 1];
}

/* @n heights from step @start on, @spacing steps apart, by straight lines between the samples. */
static void
resample (const Ground *ground, double start, double spacing, double *heights_m, int n)
{
  for (int j = 0; j < n; j++)
    {
      double at = start + j * spacing;
      int i = MIN ((int) at, ground->n - 1);

      heights_m[j] = ground->z_m[i] + (ground->z_m[i + 1] - ground->z_m[i]) * (at - i);
    }
}

/* Range between the highest and the lowest tenth of the ground over its own straight line, brought
 * from the path's length to the asymptote (ERL 79-ITS 67 eq. 3). */
static double
irregularity_m (const Ground *ground, double from_m, double to_m)
{
  double heights_m[MOST_POINTS];
  double start = from_m / ground->step_m;
  double span = to_m / ground->step_m - start;
  double line_m, far_m, slope_m;
  int tenth, n;

  if (span < 2)
    return 0;
  tenth = CLAMP ((int) (0.1 * (span + 8)), 4, MOST_KEPT);
  n = 10 * tenth - 5;
  resample (ground, start, span / (n - 1), heights_m, n);

  fit_line (&(Ground) { heights_m, n - 1, 1 }, 0, n - 1, &line_m, &far_m);
  slope_m = (far_m - line_m) / (n - 1);
  for (int j = 0; j < n; j++)
    heights_m[j] -= line_m + j * slope_m;
  return (extreme (heights_m, n, tenth, 1) - extreme (heights_m, n, tenth, -1))
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
