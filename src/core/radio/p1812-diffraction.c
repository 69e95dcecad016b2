/* ITU-R P.1812-8, §4.3: delta-Bullington diffraction. */
#include "core/radio/p1812-private.h"

#include <math.h>

#include "core/radio/knife-edge.h"

/* A smooth path and the antennas above it. */
typedef struct {
  double total_km;
  double hte_m, hre_m;
  double ap_km;
  double f_ghz, wavelength_m;
  double omega;
  gboolean vertical;
} Sphere;

/* A path to take Bullington's method over; @g_m NULL is ground of height zero. */
typedef struct {
  const DwnP1812Terrain *terrain;
  const double *g_m;
  double hts_m, hrs_m;
  double bend_per_km; /* 500 / ap: the earth's bulge is that times d1 d2, in metres */
  double wavelength_m;
} Bullington;

static double
top_m (const Bullington *b, gsize i)
{
  double d_km = b->terrain->d_km[i];
  double bulge_m = b->bend_per_km * d_km * (b->terrain->total_km - d_km);

  return (b->g_m != NULL ? b->g_m[i] : 0) + bulge_m;
}

/* Largest ν of the path, for one that nothing blocks (15). */
static double
largest_parameter (const Bullington *b)
{
  double total_km = b->terrain->total_km;
  double worst = -INFINITY;

  for (gsize i = 1; i + 1 < b->terrain->n; i++)
    {
      double d_km = b->terrain->d_km[i];
      double rest_km = total_km - d_km;
      double line_m = (b->hts_m * rest_km + b->hrs_m * d_km) / total_km;

      worst = MAX (worst, (top_m (b, i) - line_m) / sqrt (d_km * rest_km));
    }
  return worst * sqrt (0.002 * total_km / b->wavelength_m);
}

/* ν of the edge that stands where the steepest lines of sight from both ends meet (18, 20). */
static double
edge_parameter (const Bullington *b, double steepest_t, double steepest_r)
{
  double total_km = b->terrain->total_km;
  double d_km = (b->hrs_m - b->hts_m + steepest_r * total_km) / (steepest_t + steepest_r);
  double rest_km = total_km - d_km;
  double over_m = b->hts_m + steepest_t * d_km
                  - (b->hts_m * rest_km + b->hrs_m * d_km) / total_km;

  return over_m * sqrt (0.002 * total_km / (b->wavelength_m * d_km * rest_km));
}

/* The steepest lines of sight from both ends over the samples from @first up to @last, or what they
 * were before. A sample is divided by only where it is steeper: this loop is where the time goes. */
static void
find_steepest (const Bullington *b, gsize first, gsize last, double *steepest_t, double *steepest_r)
{
  const DwnP1812Terrain *terrain = b->terrain;
  double from_t = *steepest_t, from_r = *steepest_r;

  for (gsize i = first; i <= last; i++)
    {
      double d_km = terrain->d_km[i];
      double rest_km = terrain->total_km - d_km;
      double top = top_m (b, i);

      if (top - b->hts_m > from_t * d_km)
        from_t = (top - b->hts_m) / d_km;
      if (top - b->hrs_m > from_r * rest_km)
        from_r = (top - b->hrs_m) / rest_km;
    }
  *steepest_t = from_t;
  *steepest_r = from_r;
}

/* The samples between the ends on either side of @d_km. */
static void
find_around (const Bullington *b, double d_km, double *steepest_t, double *steepest_r)
{
  const DwnP1812Terrain *terrain = b->terrain;
  gsize low = 0, high = terrain->n - 1;

  while (high - low > 1)
    {
      gsize middle = low + (high - low) / 2;

      if (terrain->d_km[middle] <= d_km)
        low = middle;
      else
        high = middle;
    }
  find_steepest (b, MAX (low, 1), MIN (high, terrain->n - 2), steepest_t, steepest_r);
}

/* Over ground of height zero the slope from an antenna at height h, e (D − d) − h / d with the
 * earth's bulge e per km², is greatest where d is the root of h / e, so only the samples next to
 * that place come into question. */
static void
find_steepest_smooth (const Bullington *b, double *steepest_t, double *steepest_r)
{
  find_around (b, sqrt (b->hts_m / b->bend_per_km), steepest_t, steepest_r);
  find_around (b, b->terrain->total_km - sqrt (b->hrs_m / b->bend_per_km), steepest_t, steepest_r);
}

/* §4.3.1 */
static double
bullington_loss_db (const Bullington *b)
{
  const DwnP1812Terrain *terrain = b->terrain;
  double steepest_t = -INFINITY, steepest_r = -INFINITY;
  double nu, edge_db;

  if (b->g_m == NULL && b->hts_m > 0 && b->hrs_m > 0)
    find_steepest_smooth (b, &steepest_t, &steepest_r);
  else
    find_steepest (b, 1, terrain->n - 2, &steepest_t, &steepest_r);
  if (steepest_t < (b->hrs_m - b->hts_m) / terrain->total_km)
    nu = largest_parameter (b);
  else
    nu = edge_parameter (b, steepest_t, steepest_r);
  edge_db = dwn_knife_edge_loss_db (nu);
  return edge_db + (1 - exp (-edge_db / 6)) * (10 + 0.02 * terrain->total_km);
}

/* Eq. (34) with the limit under it; @y is the normalised height. */
static double
height_gain_db (double y, double beta, double k)
{
  double b = beta * y;
  double gain_db;

  if (b > 2)
    gain_db = 17.6 * sqrt (b - 1.1) - 5 * log10 (b - 1.1) - 8;
  else
    gain_db = 20 * log10 (b + 0.1 * b * b * b);
  return MAX (gain_db, 2 + 20 * log10 (k));
}

/* First term of the residue series over one kind of ground, eqs. (29) to (36). */
static double
first_term_over_db (const Sphere *sphere, double radius_km, double permittivity,
                    double conductivity_s_m)
{
  double loss_term = 18 * conductivity_s_m / sphere->f_ghz;
  double k = 0.036 / cbrt (radius_km * sphere->f_ghz)
             / sqrt (hypot (permittivity - 1, loss_term));
  if (sphere->vertical)
    k *= hypot (permittivity, loss_term);

  double k2 = k * k;
  double beta = (1 + 1.6 * k2 + 0.67 * k2 * k2) / (1 + 4.5 * k2 + 1.53 * k2 * k2);
  double x = 21.88 * beta * cbrt (sphere->f_ghz / (radius_km * radius_km)) * sphere->total_km;
  double y_per_m = 0.9575 * beta * cbrt (sphere->f_ghz * sphere->f_ghz / radius_km);
  double distance_db = x >= 1.6 ? 11 + 10 * log10 (x) - 17.6 * x
                                : -20 * log10 (x) - 5.6488 * pow (x, 1.425);

  return -distance_db - height_gain_db (y_per_m * sphere->hte_m, beta, k)
         - height_gain_db (y_per_m * sphere->hre_m, beta, k);
}

/* Eq. (28); a kind of ground that the path does not meet is not worked out. */
static double
first_term_db (const Sphere *sphere, double radius_km)
{
  double land_db = 0, sea_db = 0;

  if (sphere->omega < 1)
    land_db = first_term_over_db (sphere, radius_km, 22, 0.003);
  if (sphere->omega > 0)
    sea_db = first_term_over_db (sphere, radius_km, 80, 5);
  return sphere->omega * sea_db + (1 - sphere->omega) * land_db;
}

/* Smallest clearance of the line over the sphere, and where, eqs. (23) and (24). */
static double
sphere_clearance_m (const Sphere *sphere, double *d1_km)
{
  double sum_m = sphere->hte_m + sphere->hre_m;
  double c = (sphere->hte_m - sphere->hre_m) / sum_m;
  double m = 250 * sphere->total_km * sphere->total_km / (sphere->ap_km * sum_m);
  double cosine = 1.5 * c * sqrt (3 * m / ((m + 1) * (m + 1) * (m + 1)));
  double b = 2 * sqrt ((m + 1) / (3 * m))
             * cos (G_PI / 3 + acos (CLAMP (cosine, -1, 1)) / 3);
  double d2_km;

  *d1_km = sphere->total_km / 2 * (1 + b);
  d2_km = sphere->total_km - *d1_km;
  return ((sphere->hte_m - 500 * *d1_km * *d1_km / sphere->ap_km) * d2_km
          + (sphere->hre_m - 500 * d2_km * d2_km / sphere->ap_km) * *d1_km) / sphere->total_km;
}

/* §4.3.2 */
static double
spherical_loss_db (const Sphere *sphere)
{
  double root_sum = sqrt (sphere->hte_m) + sqrt (sphere->hre_m);
  double marginal_km = sqrt (0.002 * sphere->ap_km) * root_sum;
  double ratio = sphere->total_km / root_sum;
  double d1_km, clearance_m, needed_m;

  if (sphere->total_km >= marginal_km)
    return first_term_db (sphere, sphere->ap_km);

  clearance_m = sphere_clearance_m (sphere, &d1_km);
  needed_m = 17.456 * sqrt (d1_km * (sphere->total_km - d1_km) * sphere->wavelength_m
                            / sphere->total_km);
  if (clearance_m > needed_m)
    return 0;
  return (1 - clearance_m / needed_m) * MAX (first_term_db (sphere, 500 * ratio * ratio), 0);
}

void
dwn_p1812_diffraction (const DwnP1812Terrain *terrain, const DwnP1812Path *path, gboolean vertical,
                       double ap_km, DwnP1812Diffraction *out)
{
  Sphere sphere = { .total_km = terrain->total_km,
                    .hte_m = path->hts_m - path->hstd_m, .hre_m = path->hrs_m - path->hsrd_m,
                    .ap_km = ap_km, .f_ghz = path->f_ghz, .wavelength_m = path->wavelength_m,
                    .omega = path->omega, .vertical = vertical };
  Bullington actual = { terrain, terrain->g_m, path->hts_m, path->hrs_m, 500 / ap_km,
                        path->wavelength_m };
  Bullington smooth = { terrain, NULL, sphere.hte_m, sphere.hre_m, 500 / ap_km,
                        path->wavelength_m };

  out->lbulla_db = bullington_loss_db (&actual);
  out->lbulls_db = bullington_loss_db (&smooth);
  out->ldsph_db = spherical_loss_db (&sphere);
  out->ld_db = out->lbulla_db + MAX (out->ldsph_db - out->lbulls_db, 0);
}
