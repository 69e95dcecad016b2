#include "core/chain/products.h"

#include <math.h>
#include <string.h>

/* Two frequencies nearer than this are one; rasters are in steps of at least 1/7 MHz. */
#define SAME_MHZ 1e-3

/* What multiplies up to three lines. */
typedef struct {
  guint16 line[3];
  float weight;
} Term;

typedef struct {
  double mhz, half_mhz;
  GArray *second, *third; /* (element-type Term) */
} Channel;

typedef struct {
  DwnProducts values; /* first, so that the public pointer is also ours */
  guint *line;
  int *channel_of;
  gboolean *has;      /* second, then third */
  double *line_mhz;
  Channel *channel;
  /* Channels by frequency: those with a centre of at least k MHz begin at sorted[from[k]]. */
  guint *sorted, *from;
  double widest_mhz;  /* half of the widest channel */
  double highest_mhz; /* centre of the highest one; less than 0: there is none */
} Products;

#define MAX_MHZ 6000

static guint
line_at (Products *self, double mhz)
{
  guint k = 0;

  while (k < self->values.n_lines && fabs (self->line_mhz[k] - mhz) > SAME_MHZ)
    k++;
  if (k == self->values.n_lines)
    self->line_mhz[self->values.n_lines++] = mhz;
  return k;
}

static int
channel_at (Products *self, const DwnCarrier *carrier)
{
  guint k = 0;
  double half_mhz = carrier->bandwidth_mhz / 2.0;

  while (k < self->values.n_channels
         && (fabs (self->channel[k].mhz - carrier->mhz) > SAME_MHZ
             || fabs (self->channel[k].half_mhz - half_mhz) > SAME_MHZ))
    k++;
  if (k == self->values.n_channels)
    {
      self->channel[self->values.n_channels++] = (Channel) {
        .mhz = carrier->mhz, .half_mhz = half_mhz,
        .second = g_array_new (FALSE, FALSE, sizeof (Term)),
        .third = g_array_new (FALSE, FALSE, sizeof (Term)),
      };
    }
  return (int) k;
}

/* 1 inside, 0.5 on the edge, 0 outside. */
static float
share_within (const Channel *channel, double mhz)
{
  double inside_mhz = channel->half_mhz - fabs (mhz - channel->mhz);

  return inside_mhz > SAME_MHZ ? 1.0f : inside_mhz >= -SAME_MHZ ? 0.5f : 0.0f;
}

static int
lower_first (gconstpointer a, gconstpointer b, gpointer data)
{
  const Channel *channel = data;
  double x = channel[*(const guint *) a].mhz, y = channel[*(const guint *) b].mhz;

  return (x > y) - (x < y);
}

static void
sort_channels (Products *self)
{
  guint n = self->values.n_channels, c = 0;

  self->sorted = g_new (guint, n + 1);
  self->from = g_new (guint, MAX_MHZ + 1);
  for (guint k = 0; k < n; k++)
    {
      self->sorted[k] = k;
      self->widest_mhz = MAX (self->widest_mhz, self->channel[k].half_mhz);
    }
  if (n > 0)
    g_qsort_with_data (self->sorted, (int) n, sizeof *self->sorted, lower_first, self->channel);
  self->highest_mhz = n > 0 ? fmin (self->channel[self->sorted[n - 1]].mhz, MAX_MHZ) : -1.0;
  for (guint mhz = 0; mhz <= MAX_MHZ; mhz++)
    {
      while (c < n && self->channel[self->sorted[c]].mhz < mhz)
        c++;
      self->from[mhz] = c;
    }
}

/* Puts a product into every channel in which it falls. */
static void
place (Products *self, double mhz, gboolean third, const Term *term)
{
  double low_mhz = mhz - self->widest_mhz - SAME_MHZ, high_mhz = mhz + self->widest_mhz + SAME_MHZ;

  if (low_mhz > self->highest_mhz)
    return; /* most sums are */
  for (guint k = self->from[(guint) MAX (low_mhz, 0.0)]; k < self->values.n_channels; k++)
    {
      Channel *channel = &self->channel[self->sorted[k]];
      float share = share_within (channel, mhz);

      if (channel->mhz > high_mhz)
        break;
      if (share == 0.0f)
        continue;
      Term placed = *term;
      placed.weight *= share;
      g_array_append_val (third ? channel->third : channel->second, placed);
    }
}

static void
place_alone (Products *self, guint16 a)
{
  double mhz = self->line_mhz[a];

  place (self, 2.0 * mhz, FALSE, &(Term) { { a, a, 0 }, (float) DWN_HARMONIC_UNDER_SUM });
  place (self, 3.0 * mhz, TRUE, &(Term) { { a, a, a }, (float) DWN_THIRD_HARMONIC_UNDER_TWO_TONE });
}

/* 2 f0 ± f1, either way round; a is taken twice. */
static void
place_twice (Products *self, guint16 a, guint16 b)
{
  double twice_mhz = 2.0 * self->line_mhz[a], once_mhz = self->line_mhz[b];
  const Term term = { { a, a, b }, 1.0f };

  place (self, twice_mhz + once_mhz, TRUE, &term);
  place (self, fabs (twice_mhz - once_mhz), TRUE, &term);
}

static void
place_pair (Products *self, guint16 a, guint16 b)
{
  double mhz = self->line_mhz[a], other_mhz = self->line_mhz[b];
  const Term term = { { a, b, 0 }, 1.0f };

  place (self, mhz + other_mhz, FALSE, &term);
  place (self, fabs (mhz - other_mhz), FALSE, &term);
  place_twice (self, a, b);
  place_twice (self, b, a);
}

/* f0 + f1 + f2, and each of them against the other two. */
static void
place_three (Products *self, guint16 a, guint16 b, guint16 c)
{
  const double *mhz = self->line_mhz;
  const Term term = { { a, b, c }, (float) DWN_TRIPLE_OVER_TWO_TONE };

  place (self, mhz[a] + mhz[b] + mhz[c], TRUE, &term);
  place (self, fabs (mhz[a] + mhz[b] - mhz[c]), TRUE, &term);
  place (self, fabs (mhz[a] - mhz[b] + mhz[c]), TRUE, &term);
  place (self, fabs (mhz[b] + mhz[c] - mhz[a]), TRUE, &term);
}

static void
place_all (Products *self)
{
  guint16 n = (guint16) self->values.n_lines;

  for (guint16 a = 0; a < n; a++)
    {
      place_alone (self, a);
      for (guint16 b = 0; b < a; b++)
        {
          place_pair (self, a, b);
          for (guint16 c = 0; c < b; c++)
            place_three (self, a, b, c);
        }
    }
}

DwnProducts *
dwn_products_new (guint n_carriers, const DwnCarrier *carriers)
{
  g_return_val_if_fail (n_carriers == 0 || carriers != NULL, NULL);
  g_return_val_if_fail (n_carriers <= G_MAXUINT16, NULL);

  Products *self = g_new0 (Products, 1);

  self->line = g_new0 (guint, n_carriers + 1);
  self->channel_of = g_new0 (int, n_carriers + 1);
  self->line_mhz = g_new0 (double, n_carriers + 1);
  self->channel = g_new0 (Channel, n_carriers + 1);
  for (guint c = 0; c < n_carriers; c++)
    {
      self->line[c] = line_at (self, carriers[c].mhz);
      self->channel_of[c] = carriers[c].wanted ? channel_at (self, &carriers[c]) : -1;
    }
  sort_channels (self);
  place_all (self);

  guint n_channels = self->values.n_channels;
  self->has = g_new0 (gboolean, 2 * n_channels + 1);
  for (guint c = 0; c < n_channels; c++)
    {
      self->has[c] = self->channel[c].second->len > 0;
      self->has[n_channels + c] = self->channel[c].third->len > 0;
    }
  self->values.n_carriers = n_carriers;
  self->values.line = self->line;
  self->values.channel = self->channel_of;
  self->values.second = self->has;
  self->values.third = self->has + n_channels;
  return &self->values;
}

void
dwn_products_free (DwnProducts *products)
{
  Products *self = (Products *) products;

  if (self == NULL)
    return;
  for (guint c = 0; c < self->values.n_channels; c++)
    {
      g_array_unref (self->channel[c].second);
      g_array_unref (self->channel[c].third);
    }
  g_free (self->line);
  g_free (self->channel_of);
  g_free (self->line_mhz);
  g_free (self->channel);
  g_free (self->has);
  g_free (self->sorted);
  g_free (self->from);
  g_free (self);
}

static double
sum_second (const GArray *terms, const double *mw)
{
  const Term *term = (const Term *) (gpointer) terms->data;
  double sum = 0.0;

  for (guint k = 0; k < terms->len; k++)
    sum += (double) term[k].weight * mw[term[k].line[0]] * mw[term[k].line[1]];
  return sum;
}

static double
sum_third (const GArray *terms, const double *mw)
{
  const Term *term = (const Term *) (gpointer) terms->data;
  double sum = 0.0;

  for (guint k = 0; k < terms->len; k++)
    sum += (double) term[k].weight * mw[term[k].line[0]] * mw[term[k].line[1]]
           * mw[term[k].line[2]];
  return sum;
}

void
dwn_products_fill (const DwnProducts *products, const double *line_mw, double per_oip2,
                   double per_oip3, double *channel_mw)
{
  g_return_if_fail (products != NULL && line_mw != NULL && channel_mw != NULL);

  const Products *self = (const Products *) products;

  for (guint c = 0; c < products->n_channels; c++)
    {
      channel_mw[c] = 0.0;
      if (per_oip2 > 0.0)
        channel_mw[c] += per_oip2 * sum_second (self->channel[c].second, line_mw);
      if (per_oip3 > 0.0)
        channel_mw[c] += per_oip3 * sum_third (self->channel[c].third, line_mw);
    }
}

double
dwn_products_bound_mw (double total_mw, double per_oip2, double per_oip3)
{
  return total_mw * total_mw * (per_oip2 + 8.0 / 3.0 * total_mw * per_oip3);
}
