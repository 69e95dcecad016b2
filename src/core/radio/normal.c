#include "core/radio/normal.h"

#include <math.h>

#define LARGEST_STEPS 50
#define SMALLEST_SHARE 1e-300 /* smaller ones run out of erfc () */

double
dwn_normal_share (double z)
{
  return 0.5 * erfc (-z / G_SQRT2);
}

/* Newton's method in the logarithm of the lower tail, where the curve is so nearly a parabola that
 * it closes in from any start on the left of the middle. */
static double
lower_quantile (double share)
{
  double z = -sqrt (fmax (-2 * log (2 * share), 0));
  double step = 1;

  for (int i = 0; i < LARGEST_STEPS && fabs (step) > 1e-15 * fabs (z); i++)
    {
      double tail = dwn_normal_share (z);
      double density = exp (-0.5 * z * z) / sqrt (2 * G_PI);

      step = log (tail / share) * tail / density;
      z -= step;
    }
  return z;
}

double
dwn_normal_quantile (double share)
{
  if (!(share >= 0 && share <= 1))
    return (double) NAN;
  if (share == 0 || share == 1)
    return share == 0 ? (double) -INFINITY : (double) INFINITY;
  if (share == 0.5)
    return 0;
  return share < 0.5 ? lower_quantile (fmax (share, SMALLEST_SHARE))
                     : -lower_quantile (1 - share);
}
