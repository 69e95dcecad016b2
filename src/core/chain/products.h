/* Where products of second and third order fall. Frequencies do not change while an antenna is
 * turned, so which product lands in which channel is worked out once; how strong it is then is a
 * matter of microseconds. */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

typedef struct {
  double mhz;           /* centre, up to 6000 */
  double bandwidth_mhz; /* of a wanted one: which products land in it; otherwise 0 will do */
  gboolean wanted;      /* products that land in it are to be added up */
} DwnCarrier;

/* Carriers on one frequency are one *line*: their powers add. Wanted carriers with one frequency
 * and bandwidth are one *channel*. Immutable. */
typedef struct {
  guint n_carriers, n_lines, n_channels;
  const guint *line;    /* [n_carriers] */
  const int *channel;   /* [n_carriers]; -1: not wanted */
  /* Per channel: does anything of that order fall there at all. */
  const gboolean *second, *third;
} DwnProducts;

/* All sums and differences of up to three lines; f0 + f1 - f1 lands on f0 and is no product but the
 * gain's compression. One counts whole where its nominal frequency lies in the channel and half on
 * its edge. Takes time and memory by the cube of the lines. */
DwnProducts *dwn_products_new (guint n_carriers, const DwnCarrier *carriers);
void dwn_products_free (DwnProducts *products);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnProducts, dwn_products_free)

/* @line_mw: [n_lines] at an output whose intercepts are 10 log10 (1 / @per_oip2) and
 * 5 log10 (1 / @per_oip3) dBm; 0: it makes none of that order.
 * Fills @channel_mw [n_channels]: the power that lands there, at that output. */
void dwn_products_fill (const DwnProducts *products, const double *line_mw, double per_oip2,
                        double per_oip3, double *channel_mw);

/* Never more than this lands in one channel where all lines together have @total_mw: every product
 * there is, added up, is at most T² of second and 8/3 T³ of third order. */
double dwn_products_bound_mw (double total_mw, double per_oip2, double per_oip3);

/* How much weaker or stronger than a product of two lines the others of its order are, as ratios:
 * a triple beat is 6.02 dB above 2 f0 - f1, 2 f0 6.02 dB below f0 + f1, 3 f0 9.54 dB below
 * 2 f0 - f1 (the power series of textbooks, as in Cripps, RF Power Amplifiers, §9; from memory). */
#define DWN_TRIPLE_OVER_TWO_TONE 4.0
#define DWN_HARMONIC_UNDER_SUM 0.25
#define DWN_THIRD_HARMONIC_UNDER_TWO_TONE (1.0 / 9.0)

G_END_DECLS
