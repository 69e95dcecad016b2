/* Too much signal: the total power at every amplifier and tuner, and the products of second and
 * third order that land in a channel somebody wants. Stations, FM stations and mobile base
 * stations are all carriers. */
#pragma once

#include "core/chain/cascade.h"
#include "core/chain/products.h"

G_BEGIN_DECLS

/* A place with a limit of total power, or one that makes products: an output of an amplifier, an
 * input of an amplifier or tuner. */
typedef struct {
  guint part, port;
  gboolean input;
  double limit_dbm;          /* NaN: none */
  double oip2_dbm, oip3_dbm; /* NaN: none; always so at inputs */
} DwnLimitPoint;

/* All that does not depend on the carriers' levels. A sink is an input of an outlet: outlet by
 * outlet, port by port. Levels are in mW, since they are added. */
typedef struct {
  guint n_antennas, n_carriers, n_points, n_sinks;
  const DwnLimitPoint *point;
  const DwnCarrier *carrier;
  const double *gain;     /* [n_points][n_carriers][n_antennas], linear */
  const double *transfer; /* [n_points][n_sinks][n_carriers]: gain from the point to the sink;
                           * 0 for what is not wanted and for points that make no products */
} DwnOverload;

/* @state: of the chain's switches. Carriers are copied. Unpowered amplifiers have no limit and make no products. */
DwnOverload *dwn_overload_new (const DwnChain *chain, guint state, guint n_carriers,
                               const DwnCarrier *carriers);
void dwn_overload_free (DwnOverload *overload);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnOverload, dwn_overload_free)

/* @terminal_mw: [n_carriers][n_antennas], what each antenna would deliver into a matched load.
 * Fills level_mw [n_points][n_carriers] and total_mw [n_points]; one carrier heard by two antennas
 * adds by power. */
void dwn_overload_levels (const DwnOverload *overload, const double *terminal_mw, double *level_mw,
                          double *total_mw);

/* dB by which the total stays below the point's limit; NaN where there is none. */
double dwn_overload_headroom_db (const DwnOverload *overload, guint point, double total_mw);

/* Fills product_mw [n_sinks][n_carriers]: the power of all products of second and third order, sums
 * and differences, that land in each wanted carrier's channel, added up over all amplifiers, at
 * the tuner's input (products.h). @workspace: at least dwn_overload_workspace_size() bytes, aligned
 * for doubles. */
gsize dwn_overload_workspace_size (const DwnOverload *overload);
void dwn_overload_products (const DwnOverload *overload, const double *level_mw,
                            double *product_mw, gpointer workspace);

/* One product at the frequency Σ times[k] · f[k]: {1, -1, 0} is f0 - f1, {2, -1, 0} is 2 f0 - f1.
 * A carrier whose times is 0 is not in it. */
typedef struct {
  int times[3];
  guint carrier[3];
  double dbm; /* at the point */
} DwnProduct;

/* The strongest single product that @point makes in the channel of carrier @wanted, to be named in
 * an explanation; FALSE where there is none. Takes time by the cube of the carriers. */
gboolean dwn_overload_strongest (const DwnOverload *overload, const double *level_mw, guint point,
                                 guint wanted, DwnProduct *product);

/* Textbook levels at an output, dBm, from the carriers' levels there and the intercepts. */
double dwn_second_order_dbm (double dbm, double other_dbm, double oip2_dbm); /* f0 ± f1 */
double dwn_harmonic_dbm (double dbm, double oip2_dbm);                       /* 2 f0 */
double dwn_third_order_dbm (double twice_dbm, double once_dbm, double oip3_dbm); /* 2 f0 ± f1 */
double dwn_triple_beat_dbm (double a_dbm, double b_dbm, double c_dbm, double oip3_dbm);
double dwn_third_harmonic_dbm (double dbm, double oip3_dbm);                 /* 3 f0 */
/* What each of @n equal carriers may have where the total may have @total_dbm. */
double dwn_carrier_limit_dbm (double total_dbm, guint n);

G_END_DECLS
