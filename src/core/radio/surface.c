#include "core/radio/surface.h"

#include <math.h>

/* Below this the slopes around a node do not differ and count alike (Akima's own threshold). */
#define SAME_SLOPE 1e-7

/* A line of nodes along one axis of the grid, for the steps that are the same along both. */
typedef struct {
  gsize n;          /* nodes of the given grid */
  const double *at; /* their places */
} Axis;

/* Arrays over the given grid and one more node on each side: first all of x, then the next y. */
struct _DwnSurface {
  gsize n_x, n_y; /* with the added nodes */
  double *x, *y;
  double *z;
  double *z_x, *z_y; /* first derivatives */
  double *z_xy;
};

/* While it is built: differences between neighbouring nodes, beyond the grid continued on a
 * straight line. */
typedef struct {
  Axis x, y;
  double *slope_x; /* [n_y][n_x + 3]: k + 1 is left of node k, k + 2 right of it */
  double *slope_y; /* [n_x][n_y + 3] */
  double *twist;   /* [n_y + 1][n_x + 1]: second difference of the cell below left of node (j, i) */
} Differences;

/* How far the added cell reaches, and how its outer slope is made of the two continued ones. */
typedef struct {
  double step;
  double near_weight, far_weight;
} Border;

/* slope[k + 2] lies between nodes k and k + 1; two more follow on each side. */
static void
line_slopes (const Axis *axis, const double *z, gsize stride, double *slope)
{
  gsize n = axis->n;

  for (gsize k = 0; k + 1 < n; k++)
    slope[k + 2] = (z[(k + 1) * stride] - z[k * stride]) / (axis->at[k + 1] - axis->at[k]);
  slope[1] = 2 * slope[2] - slope[3];
  slope[0] = 2 * slope[1] - slope[2];
  slope[n + 1] = 2 * slope[n] - slope[n - 1];
  slope[n + 2] = 2 * slope[n + 1] - slope[n];
}

/* Share of the left slope in the derivative at a node; @slope points to the four slopes around
 * it. The side on which the slopes differ less counts more. */
static double
left_share (const double *slope)
{
  double change_right = fabs (slope[3] - slope[2]);
  double change_left = fabs (slope[1] - slope[0]);
  double sum = change_left + change_right;

  return sum < SAME_SLOPE ? 0.5 : change_right / sum;
}

static void
fill_twist (Differences *d)
{
  gsize n_x = d->x.n, n_y = d->y.n, row = n_x + 1;

  for (gsize j = 1; j < n_y; j++)
    {
      double *twist = d->twist + j * row;

      for (gsize i = 1; i < n_x; i++)
        twist[i] = (d->slope_y[i * (n_y + 3) + j + 1] - d->slope_y[(i - 1) * (n_y + 3) + j + 1])
                   / (d->x.at[i] - d->x.at[i - 1]);
      twist[0] = 2 * twist[1] - twist[2];
      twist[n_x] = 2 * twist[n_x - 1] - twist[n_x - 2];
    }
  for (gsize i = 0; i < row; i++)
    {
      d->twist[i] = 2 * d->twist[row + i] - d->twist[2 * row + i];
      d->twist[n_y * row + i] = 2 * d->twist[(n_y - 1) * row + i] - d->twist[(n_y - 2) * row + i];
    }
}

static gsize
node_index (const DwnSurface *surface, gsize i, gsize j)
{
  return (j + 1) * surface->n_x + i + 1;
}

static void
fill_derivatives (DwnSurface *surface, const Differences *d)
{
  gsize row = d->x.n + 1;

  for (gsize j = 0; j < d->y.n; j++)
    for (gsize i = 0; i < d->x.n; i++)
      {
        const double *slope_x = d->slope_x + j * (d->x.n + 3) + i;
        const double *slope_y = d->slope_y + i * (d->y.n + 3) + j;
        const double *twist = d->twist + j * row + i;
        double left = left_share (slope_x), below = left_share (slope_y);
        gsize k = node_index (surface, i, j);

        surface->z_x[k] = left * slope_x[1] + (1 - left) * slope_x[2];
        surface->z_y[k] = below * slope_y[1] + (1 - below) * slope_y[2];
        surface->z_xy[k] = below * (left * twist[0] + (1 - left) * twist[1])
                           + (1 - below) * (left * twist[row] + (1 - left) * twist[row + 1]);
      }
}

/* @edge, @second and @third: places of the outermost three nodes. */
static Border
border_of (double edge, double second, double third)
{
  double a = 1 / fabs (second - edge), b = 1 / fabs (third - second);
  double near_weight = b * (3 * a + b);
  double far_weight = 2 * a * (a - b) + near_weight;
  double sum = near_weight + far_weight;

  return (Border) { second - third, near_weight / sum, far_weight / sum };
}

/* Adds one node at each end of a line. @along and @across are the derivatives along the line and
 * across it; all point to the first node of the given grid. */
static void
extend_line (const Axis *axis, const double *slope, gsize stride, double *z, double *along,
             double *across, double *twist)
{
  gsize n = axis->n;
  Border first = border_of (axis->at[0], axis->at[1], axis->at[2]);
  Border last = border_of (axis->at[n - 1], axis->at[n - 2], axis->at[n - 3]);
  gsize end = (n - 1) * stride;

  z[-(gssize) stride] = z[0] + slope[1] * first.step;
  along[-(gssize) stride] = first.near_weight * slope[1] + first.far_weight * slope[0];
  across[-(gssize) stride] = 2 * across[0] - across[stride];
  twist[-(gssize) stride] = 2 * twist[0] - twist[stride];

  z[end + stride] = z[end] + slope[n + 1] * last.step;
  along[end + stride] = last.near_weight * slope[n + 1] + last.far_weight * slope[n + 2];
  across[end + stride] = 2 * across[end] - across[end - stride];
  twist[end + stride] = 2 * twist[end] - twist[end - stride];
}

/* The corner of the added cells: the sides continued, and the twist of the cell. */
static void
fill_corner (DwnSurface *surface, const Differences *d, gboolean right, gboolean top)
{
  gsize n_x = surface->n_x;
  gsize i = right ? n_x - 1 : 0, inner_i = right ? n_x - 2 : 1;
  gsize j = top ? surface->n_y - 1 : 0, inner_j = top ? surface->n_y - 2 : 1;
  gsize corner = j * n_x + i;
  gsize side_x = inner_j * n_x + i, side_y = j * n_x + inner_i, inner = inner_j * n_x + inner_i;
  double twist = d->twist[(top ? d->y.n : 0) * (d->x.n + 1) + (right ? d->x.n : 0)];
  double *fields[] = { surface->z, surface->z_x, surface->z_y, surface->z_xy };

  for (gsize f = 0; f < G_N_ELEMENTS (fields); f++)
    fields[f][corner] = fields[f][side_x] + fields[f][side_y] - fields[f][inner];
  surface->z[corner] += twist * (surface->x[i] - surface->x[inner_i])
                        * (surface->y[j] - surface->y[inner_j]);
}

static void
fill_axis (double *extended, const Axis *axis)
{
  gsize n = axis->n;
  const double *at = axis->at;

  for (gsize k = 0; k < n; k++)
    extended[k + 1] = at[k];
  extended[0] = at[0] + border_of (at[0], at[1], at[2]).step;
  extended[n + 1] = at[n - 1] + border_of (at[n - 1], at[n - 2], at[n - 3]).step;
}

static void
build (DwnSurface *surface, const Differences *d)
{
  gsize n_x = surface->n_x;

  fill_axis (surface->x, &d->x);
  fill_axis (surface->y, &d->y);
  fill_derivatives (surface, d);
  for (gsize j = 0; j < d->y.n; j++)
    {
      gsize k = node_index (surface, 0, j);

      extend_line (&d->x, d->slope_x + j * (d->x.n + 3), 1, surface->z + k, surface->z_x + k,
                   surface->z_y + k, surface->z_xy + k);
    }
  for (gsize i = 0; i < d->x.n; i++)
    {
      gsize k = node_index (surface, i, 0);

      extend_line (&d->y, d->slope_y + i * (d->y.n + 3), n_x, surface->z + k, surface->z_y + k,
                   surface->z_x + k, surface->z_xy + k);
    }
  for (int corner = 0; corner < 4; corner++)
    fill_corner (surface, d, corner & 1, corner & 2);
}

DwnSurface *
dwn_surface_new (gsize n_x, const double *x, gsize n_y, const double *y, const double *z)
{
  g_return_val_if_fail (n_x >= DWN_SURFACE_MIN_NODES && n_y >= DWN_SURFACE_MIN_NODES, NULL);
  g_return_val_if_fail (x != NULL && y != NULL && z != NULL, NULL);

  DwnSurface *surface = g_new0 (DwnSurface, 1);
  gsize n = (n_x + 2) * (n_y + 2);

  surface->n_x = n_x + 2;
  surface->n_y = n_y + 2;
  surface->x = g_new (double, n_x + 2);
  surface->y = g_new (double, n_y + 2);
  surface->z = g_new (double, n);
  surface->z_x = g_new (double, n);
  surface->z_y = g_new (double, n);
  surface->z_xy = g_new (double, n);

  g_autofree double *slope_x = g_new (double, n_y * (n_x + 3));
  g_autofree double *slope_y = g_new (double, n_x * (n_y + 3));
  g_autofree double *twist = g_new (double, (n_x + 1) * (n_y + 1));
  Differences d = { { n_x, x }, { n_y, y }, slope_x, slope_y, twist };

  for (gsize j = 0; j < n_y; j++)
    {
      for (gsize i = 0; i < n_x; i++)
        surface->z[node_index (surface, i, j)] = z[j * n_x + i];
      line_slopes (&d.x, z + j * n_x, 1, slope_x + j * (n_x + 3));
    }
  for (gsize i = 0; i < n_x; i++)
    line_slopes (&d.y, z + i, n_x, slope_y + i * (n_y + 3));
  fill_twist (&d);
  build (surface, &d);
  return surface;
}

void
dwn_surface_free (DwnSurface *surface)
{
  if (surface == NULL)
    return;
  g_free (surface->x);
  g_free (surface->y);
  g_free (surface->z);
  g_free (surface->z_x);
  g_free (surface->z_y);
  g_free (surface->z_xy);
  g_free (surface);
}

/* The cell that holds @value, the first or last where it lies beyond. */
static gsize
find_cell (gsize n, const double *at, double value)
{
  gsize low = 0, high = n - 1;

  while (high - low > 1)
    {
      gsize middle = (low + high) / 2;

      if (value >= at[middle])
        low = middle;
      else
        high = middle;
    }
  return low;
}

/* Weights of height and slope at the start of a cell, and at its end (cubic Hermite). */
static void
hermite_weights (double from, double to, double value, double weights[4])
{
  double width = to - from;
  double t = (value - from) / width, s = 1 - t;

  weights[0] = (1 + 2 * t) * s * s;
  weights[1] = t * s * s * width;
  weights[2] = (1 + 2 * s) * t * t;
  weights[3] = -s * t * t * width;
}

double
dwn_surface_at (const DwnSurface *surface, double x, double y)
{
  g_return_val_if_fail (surface != NULL, (double) NAN);

  gsize i = find_cell (surface->n_x, surface->x, x);
  gsize j = find_cell (surface->n_y, surface->y, y);
  double wx[4], wy[4], sum = 0;

  hermite_weights (surface->x[i], surface->x[i + 1], x, wx);
  hermite_weights (surface->y[j], surface->y[j + 1], y, wy);
  for (gsize b = 0; b < 2; b++)
    for (gsize a = 0; a < 2; a++)
      {
        gsize k = (j + b) * surface->n_x + i + a;

        sum += wy[2 * b] * (wx[2 * a] * surface->z[k] + wx[2 * a + 1] * surface->z_x[k]);
        sum += wy[2 * b + 1] * (wx[2 * a] * surface->z_y[k] + wx[2 * a + 1] * surface->z_xy[k]);
      }
  return sum;
}
