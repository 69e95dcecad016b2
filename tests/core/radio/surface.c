#include "core/radio/surface.h"

#include <math.h>

static const double x[] = { 0, 1, 3, 4, 7 };
static const double y[] = { -2, 0, 1, 5 };

/* What Akima's paper promises: the surface passes through its nodes, and where the nodes lie on
 * z = a + b x + c y + d x y it is that surface; beyond the grid too where d = 0 (with d the added
 * cells would have to be as wide as the outermost ones). */
static double
plane (double at_x, double at_y, double twist)
{
  return 3 - 2 * at_x + 0.5 * at_y + twist * at_x * at_y;
}

static DwnSurface *
plane_surface (double twist)
{
  double z[G_N_ELEMENTS (x) * G_N_ELEMENTS (y)];

  for (gsize j = 0; j < G_N_ELEMENTS (y); j++)
    for (gsize i = 0; i < G_N_ELEMENTS (x); i++)
      z[j * G_N_ELEMENTS (x) + i] = plane (x[i], y[j], twist);
  return dwn_surface_new (G_N_ELEMENTS (x), x, G_N_ELEMENTS (y), y, z);
}

static void
test_nodes (void)
{
  double z[G_N_ELEMENTS (x) * G_N_ELEMENTS (y)];

  for (gsize k = 0; k < G_N_ELEMENTS (z); k++)
    z[k] = (double) (k * k % 7);

  g_autoptr (DwnSurface) surface = dwn_surface_new (G_N_ELEMENTS (x), x, G_N_ELEMENTS (y), y, z);
  for (gsize j = 0; j < G_N_ELEMENTS (y); j++)
    for (gsize i = 0; i < G_N_ELEMENTS (x); i++)
      g_assert_cmpfloat_with_epsilon (dwn_surface_at (surface, x[i], y[j]),
                                      z[j * G_N_ELEMENTS (x) + i], 1e-12);
}

static void
test_plane (void)
{
  g_autoptr (DwnSurface) flat = plane_surface (0);
  g_autoptr (DwnSurface) twisted = plane_surface (0.25);

  for (double at_y = -8; at_y <= 12; at_y += 0.5)
    for (double at_x = -5; at_x <= 15; at_x += 0.5)
      {
        g_assert_cmpfloat_with_epsilon (dwn_surface_at (flat, at_x, at_y), plane (at_x, at_y, 0),
                                        1e-9);
        if (at_x >= 0 && at_x <= 7 && at_y >= -2 && at_y <= 5)
          g_assert_cmpfloat_with_epsilon (dwn_surface_at (twisted, at_x, at_y),
                                          plane (at_x, at_y, 0.25), 1e-9);
      }
}

static const double bumps[] = { 0, 4, 1, 9, 2, 5, 0, 3, 8, 1, 7, 2, 6, 0, 4, 3, 3, 9, 1, 8 };

/* No direction is preferred: turned round along either axis, or with the axes changed over, it is the
 * same surface, between the nodes and beyond them. */
static void
test_symmetry (void)
{
  enum { N_X = G_N_ELEMENTS (x), N_Y = G_N_ELEMENTS (y) };
  double back_x[N_X], back_y[N_Y], mirrored_x[N_X * N_Y], mirrored_y[N_X * N_Y], changed[N_X * N_Y];

  for (gsize j = 0; j < N_Y; j++)
    for (gsize i = 0; i < N_X; i++)
      {
        back_x[i] = -x[N_X - 1 - i];
        back_y[j] = -y[N_Y - 1 - j];
        mirrored_x[j * N_X + i] = bumps[j * N_X + N_X - 1 - i];
        mirrored_y[j * N_X + i] = bumps[(N_Y - 1 - j) * N_X + i];
        changed[i * N_Y + j] = bumps[j * N_X + i];
      }
  g_autoptr (DwnSurface) surface = dwn_surface_new (N_X, x, N_Y, y, bumps);
  g_autoptr (DwnSurface) in_x = dwn_surface_new (N_X, back_x, N_Y, y, mirrored_x);
  g_autoptr (DwnSurface) in_y = dwn_surface_new (N_X, x, N_Y, back_y, mirrored_y);
  g_autoptr (DwnSurface) over = dwn_surface_new (N_Y, y, N_X, x, changed);

  for (double at_y = -5; at_y <= 8; at_y += 0.25)
    for (double at_x = -3; at_x <= 10; at_x += 0.25)
      {
        double z = dwn_surface_at (surface, at_x, at_y), epsilon = 1e-9 * (1 + fabs (z));

        g_assert_cmpfloat_with_epsilon (dwn_surface_at (in_x, -at_x, at_y), z, epsilon);
        g_assert_cmpfloat_with_epsilon (dwn_surface_at (in_y, at_x, -at_y), z, epsilon);
        g_assert_cmpfloat_with_epsilon (dwn_surface_at (over, at_y, at_x), z, epsilon);
      }
}

/* Neighbouring cells meet without a kink: the slopes on both sides of a node are one. */
static void
test_smooth (void)
{
  g_autoptr (DwnSurface) surface = dwn_surface_new (G_N_ELEMENTS (x), x, G_N_ELEMENTS (y), y,
                                                    bumps);
  const double step = 1e-6;

  for (gsize i = 0; i < G_N_ELEMENTS (x); i++)
    {
      double before = dwn_surface_at (surface, x[i] - step, 0.4);
      double at = dwn_surface_at (surface, x[i], 0.4);
      double after = dwn_surface_at (surface, x[i] + step, 0.4);

      g_assert_cmpfloat_with_epsilon ((at - before) / step, (after - at) / step, 1e-3);
    }
}

static void
test_unknown_place (void)
{
  static const double flat[9] = { 1, 1, 1, 1, 1, 1, 1, 1, 1 };
  g_autoptr (DwnSurface) surface = dwn_surface_new (3, x, 3, y, flat);

  g_assert_true (isnan (dwn_surface_at (surface, (double) NAN, 0)));
  g_assert_true (isnan (dwn_surface_at (surface, 0, (double) NAN)));
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);

  g_test_add_func ("/surface/nodes", test_nodes);
  g_test_add_func ("/surface/plane", test_plane);
  g_test_add_func ("/surface/symmetry", test_symmetry);
  g_test_add_func ("/surface/smooth", test_smooth);
  g_test_add_func ("/surface/unknown-place", test_unknown_place);

  return g_test_run ();
}
