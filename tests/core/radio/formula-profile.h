/* Profiles made by formula, as the tables of reference cases describe them: sample i of
 * @intervals + 1 stands at x = i × step; the kinds are those of the tables' column `kind`. */
#pragma once

#include "vectors.h"

typedef struct {
  const char *kind;
  double p[4];
  double total_m;
} Formula;

static double
bell (double x, double middle, double width)
{
  double u = (x - middle) / width;

  return exp (-u * u);
}

static double
formula_height_m (const Formula *f, double x)
{
  const double *p = f->p;
  double d = f->total_m;

  if (strcmp (f->kind, "flat") == 0)
    return p[0];
  if (strcmp (f->kind, "ramp") == 0)
    return p[0] + p[1] * x / d;
  if (strcmp (f->kind, "knife") == 0)
    return fabs (x - p[2] * d) < 1e-6 ? p[0] + p[1] : p[0];
  if (strcmp (f->kind, "tri") == 0)
    return p[0] + p[1] * MAX (0, 1 - fabs (x - p[2] * d) / p[3]);
  if (strcmp (f->kind, "gauss") == 0)
    return p[0] + p[1] * bell (x, p[2] * d, p[3]);
  if (strcmp (f->kind, "double") == 0)
    return p[0] + p[1] * bell (x, 0.3 * d, p[3]) + p[2] * bell (x, 0.7 * d, p[3]);
  if (strcmp (f->kind, "sine") == 0)
    return p[0] + p[1] * (1 - cos (2 * G_PI * p[2] * x / d)) / 2;
  if (strcmp (f->kind, "sine2") == 0)
    return p[0] + p[1] * sin (2 * G_PI * x / p[2]) + p[3] * sin (2 * G_PI * x / (p[2] / 3.7));
  g_error ("no formula for %s", f->kind);
}

static OwnProfile *
formula_profile (const Table *table, guint row)
{
  gsize intervals = (gsize) table_number (table, row, "intervals");
  double step_m = table_number (table, row, "step_m");
  Formula formula = { .kind = table_text (table, row, "kind"),
                      .p = { table_number (table, row, "p0"), table_number (table, row, "p1"),
                             table_number (table, row, "p2"), table_number (table, row, "p3") },
                      .total_m = (double) intervals * step_m };
  OwnProfile *own = own_profile_new (intervals + 1);

  own->profile.step_m = step_m;
  for (gsize i = 0; i <= intervals; i++)
    {
      own->distance_m[i] = (double) i * step_m;
      own->height_m[i] = formula_height_m (&formula, own->distance_m[i]);
    }
  return own;
}
