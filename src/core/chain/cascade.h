/* Signal and noise at every point of the gear, by frequency. */
#pragma once

#include "core/chain/chain.h"

G_BEGIN_DECLS

/* At one point: what a signal at each antenna's terminals becomes, and the noise there. */
typedef struct {
  const double *gain;    /* [n_antennas], linear power gain from what that antenna would deliver
                          * into a matched load: its own mismatch is the first loss */
  double chain_noise;    /* power density made by the gear, in units of k·T0 */
  /* Whole noise there = Σ gain[a] · fa[a] + chain_noise, fa the external noise factor. With one
   * antenna the cascade's noise factor is 1 + chain_noise / gain (Friis). */
} DwnPoint;

/* One frequency, one position of the switches. Rules: an antenna delivers fa (1 with nothing but
 * a room-temperature sky), of which its feed reflects a part; a passive part with gains g_i
 * from its inputs adds 1 − Σ g_i; an active one (F − 1) · g, g the largest gain from any of its
 * inputs; a cable of gain g adds 1 − g. An open input of a passive part counts as terminated at
 * room temperature. The tuner's own F − 1 is not in: what arrives at an outlet is its input;
 * dwn_chain_part_noise_figure_db() has its figure. */
typedef struct {
  guint n_antennas, n_points;
  double mhz;
  /* Point p of part k's output o: out[out_first[k] + o]; of the far end of edge e: edge[e]. */
  const DwnPoint *out;
  const guint *out_first;
  const DwnPoint *edge;
  guint state;
  const DwnChain *chain; /* owned */
} DwnCascade;

/* @state: 0 to chain->n_states − 1. */
DwnCascade *dwn_cascade_new (const DwnChain *chain, double mhz, guint state);
void dwn_cascade_free (DwnCascade *cascade);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnCascade, dwn_cascade_free)

/* What arrives at input @port of part @part; NULL where nothing is connected. */
const DwnPoint *dwn_cascade_input (const DwnCascade *cascade, const DwnChain *chain, guint part,
                                   guint port);

/* The way from antenna @antenna to outlet @outlet with the least loss at this frequency: parts and
 * edges alternately, antenna first, outlet last. For tables and drawings. */
typedef struct {
  gboolean is_edge;
  guint index;        /* of the part or edge */
  guint in_port, out_port; /* of a part */
  double gain_db, noise_figure_db; /* its own; an outlet: 0 and its tuner's */
  /* From the antenna, mismatch included, to after it. The noise figure takes every antenna's
   * noise at room temperature (fa = 1). */
  double cumulative_gain_db, cumulative_noise_figure_db;
} DwnStep;
/* Returns: (transfer full) (element-type DwnStep): NULL where no way exists; for antenna[@antenna]
 * and outlet[@outlet] of the chain. */
GArray *dwn_cascade_way (const DwnCascade *cascade, const DwnChain *chain, guint antenna,
                         guint outlet);

/* Power gain from output @port of @part to each input of an outlet, outlet by outlet, port by port:
 * fills @sink_gain. */
void dwn_chain_onward (const DwnChain *chain, guint part, guint port, double mhz, guint state,
                       double *sink_gain);

/* What reflections at both ends of every cable bring into the level of one antenna's signal, as a
 * variance in dB²: |Γ1 · Γ2| times the cable's gain for the way there and back, phase unknown, which
 * makes 8.686 / √2 of it (the U-shaped distribution of measurement practice), added in squares. The
 * first of them is the antenna's own: it counts by the share that the antenna reflects. */
typedef struct {
  double per_reflected; /* times |Γ|² of the antenna */
  double rest;
} DwnRipple;
/* Fills @ripple [n_edges][n_antennas], of the far end of each edge, along the way with the least loss;
 * NaN where nothing arrives. */
void dwn_cascade_ripple (const DwnCascade *cascade, const DwnChain *chain, DwnRipple *ripple);
/* |Γ|² of an antenna whose feed lets @through of the power pass: the rest; an antenna of which nobody
 * says anything, 1, reflects 10 dB down (common practice, no source). */
double dwn_antenna_reflected (double through);

/* Standard deviation in dB that reflections at both ends of every cable on that way bring into the
 * level: |Γ1 · Γ2| times the cable's gain for the way there and back, phase unknown, which makes
 * 8.686 / √2 of it (the U-shaped distribution of measurement practice), added in squares. An
 * antenna whose mismatch is unknown reflects 10 dB down (common practice, no source). NaN where no
 * way exists. Part of the prediction's error and not to be added to it; it says how much one outlet
 * can differ from what was reckoned. */
double dwn_cascade_ripple_sd_db (const DwnCascade *cascade, const DwnChain *chain, guint antenna,
                                 guint outlet);

G_END_DECLS
