/* Friis generalised to a graph: instead of one noise factor, every point keeps the gain from each
 * antenna and the noise that the gear itself made so far. H. T. Friis, "Noise Figures of Radio
 * Receivers", Proc. IRE 32 (1944), is the case of one antenna and no branches. */
#include "core/chain/cascade.h"

#include <math.h>

#include "core/chain/chain-private.h"

#define UNKNOWN_RETURN_LOSS_DB 10.0

double
dwn_ratio_of_db (double db)
{
  return exp (db * (G_LN10 / 10)); /* three times as fast as pow (10, db / 10) */
}

double
dwn_chain_part_ratio (const DwnChain *chain, guint part, guint in, guint out, double mhz,
                      guint state)
{
  if (chain->part[part].kind == DWN_PART_SWITCH
      && dwn_chain_switch_input (chain, part, state) != in)
    {
      double isolation_db = chain->type[part]->isolation_db;
      return isnan (isolation_db) ? 0 : dwn_ratio_of_db (-isolation_db);
    }
  return dwn_ratio_of_db (dwn_chain_part_gain_db (chain, part, in, out, mhz));
}

static gboolean
makes_noise_of_its_own (const DwnChain *chain, guint part)
{
  return chain->part[part].kind == DWN_PART_AMPLIFIER && chain->powered[part];
}

/* Adds what comes through input @in. */
static void
add_input (DwnPoint *out, const DwnPoint *in, double ratio, guint n_antennas)
{
  double *gain = (double *) out->gain;

  for (guint a = 0; a < n_antennas; a++)
    gain[a] += ratio * in->gain[a];
  out->chain_noise += ratio * in->chain_noise;
}

static void
fill_output (DwnCascade *cascade, const DwnChain *chain, guint part, guint port, guint state)
{
  DwnPoint *out = (DwnPoint *) &cascade->out[chain->out_first[part] + port];
  guint first = chain->in_first[part], n_in = chain->in_first[part + 1] - first;
  double connected = 0, largest = 0;

  for (guint i = 0; i < n_in; i++)
    {
      double ratio = dwn_chain_part_ratio (chain, part, i, port, cascade->mhz, state);

      largest = MAX (largest, ratio);
      if (chain->in_edge[first + i] < 0)
        continue;
      connected += ratio;
      add_input (out, &cascade->edge[chain->in_edge[first + i]], ratio, cascade->n_antennas);
    }
  if (makes_noise_of_its_own (chain, part))
    out->chain_noise += largest
                        * (dwn_ratio_of_db (dwn_chain_part_noise_figure_db (chain, part,
                                                                            cascade->mhz)) - 1);
  else
    out->chain_noise += MAX (1 - connected, 0);
}

/* What an antenna's feed reflects does not reach the cable, nor does the noise that comes with it;
 * like any passive part of gain g it adds 1 − g. */
static void
fill_antenna (DwnCascade *cascade, const DwnChain *chain, guint a)
{
  guint part = chain->antenna[a];
  DwnPoint *out = (DwnPoint *) &cascade->out[chain->out_first[part]];
  double ratio = dwn_ratio_of_db (dwn_chain_part_gain_db (chain, part, 0, 0, cascade->mhz));

  ((double *) out->gain)[a] = ratio;
  out->chain_noise = 1 - ratio;
}

static void
fill_edge (DwnCascade *cascade, const DwnChain *chain, guint e)
{
  const DwnEdge *edge = &chain->edge[e];
  DwnPoint *end = (DwnPoint *) &cascade->edge[e];
  double ratio = 1;

  if (chain->cable[e] != NULL)
    ratio = dwn_ratio_of_db (-dwn_chain_edge_loss_db (chain, e, cascade->mhz));
  add_input (end, &cascade->out[chain->out_first[edge->from_part] + edge->from_port], ratio,
             cascade->n_antennas);
  end->chain_noise += 1 - ratio;
}

static void
fill_part (DwnCascade *cascade, const DwnChain *chain, guint part, guint state)
{
  for (guint o = chain->out_first[part]; o < chain->out_first[part + 1]; o++)
    {
      if (chain->part[part].kind != DWN_PART_ANTENNA)
        fill_output (cascade, chain, part, o - chain->out_first[part], state);
      if (chain->out_edge[o] >= 0)
        fill_edge (cascade, chain, (guint) chain->out_edge[o]);
    }
}

/* One block: the cascade, its points, their gains. */
static DwnCascade *
allocate (const DwnChain *chain)
{
  guint n_out = chain->out_first[chain->n_parts];
  guint n_points = n_out + chain->n_edges;
  gsize points = sizeof (DwnCascade), gains = points + n_points * sizeof (DwnPoint);
  char *block = g_malloc0 (gains + (gsize) n_points * chain->n_antennas * sizeof (double));
  DwnCascade *cascade = (DwnCascade *) (gpointer) block;
  DwnPoint *point = (DwnPoint *) (gpointer) (block + points);
  double *gain = (double *) (gpointer) (block + gains);

  for (guint p = 0; p < n_points; p++)
    point[p].gain = gain + (gsize) p * chain->n_antennas;
  cascade->n_antennas = chain->n_antennas;
  cascade->n_points = n_points;
  cascade->out = point;
  cascade->out_first = chain->out_first;
  cascade->edge = point + n_out;
  return cascade;
}

DwnCascade *
dwn_cascade_new (const DwnChain *chain, double mhz, guint state)
{
  g_return_val_if_fail (chain != NULL, NULL);
  g_return_val_if_fail (state < chain->n_states, NULL);
  g_return_val_if_fail (mhz > 0, NULL);

  DwnCascade *cascade = allocate (chain);

  cascade->mhz = mhz;
  cascade->state = state;
  cascade->chain = dwn_chain_ref (chain);
  for (guint a = 0; a < chain->n_antennas; a++)
    fill_antenna (cascade, chain, a);
  for (guint k = 0; k < chain->n_parts; k++)
    fill_part (cascade, chain, chain->order[k], state);
  return cascade;
}

void
dwn_cascade_free (DwnCascade *cascade)
{
  if (cascade == NULL)
    return;
  dwn_chain_unref ((DwnChain *) cascade->chain);
  g_free (cascade);
}

const DwnPoint *
dwn_cascade_input (const DwnCascade *cascade, const DwnChain *chain, guint part, guint port)
{
  g_return_val_if_fail (cascade != NULL && chain != NULL && part < chain->n_parts, NULL);
  g_return_val_if_fail (port < chain->in_first[part + 1] - chain->in_first[part], NULL);

  int edge = chain->in_edge[chain->in_first[part] + port];
  return edge >= 0 ? &cascade->edge[edge] : NULL;
}

/* Ways */

static double
db (double ratio)
{
  return 10 * log10 (ratio);
}

/* What the step ends with, for antenna @a and with @added noise on top. */
static void
sum_up (DwnStep *step, const DwnPoint *point, guint n_antennas, guint a, double added)
{
  double noise = point->chain_noise + added;

  for (guint k = 0; k < n_antennas; k++)
    noise += point->gain[k];
  step->cumulative_gain_db = db (point->gain[a]);
  step->cumulative_noise_figure_db = db (noise / point->gain[a]);
}

/* The input of @part through which most of antenna @a's signal reaches @out; -1 where none does. */
static int
best_input (const DwnCascade *cascade, const DwnChain *chain, guint part, guint out, guint a)
{
  guint first = chain->in_first[part];
  double most = 0;
  int best = -1;

  for (guint i = 0; first + i < chain->in_first[part + 1]; i++)
    {
      const DwnPoint *in = dwn_cascade_input (cascade, chain, part, i);

      if (in == NULL)
        continue;
      double gain = in->gain[a];
      if (chain->part[part].kind != DWN_PART_OUTLET)
        gain *= dwn_chain_part_ratio (chain, part, i, out, cascade->mhz, cascade->state);
      if (gain > most)
        {
          most = gain;
          best = (int) i;
        }
    }
  return best;
}

static DwnStep
part_step (const DwnCascade *cascade, const DwnChain *chain, guint part, guint in, guint out,
           guint a)
{
  double mhz = cascade->mhz;
  DwnStep step = { .index = part, .in_port = in, .out_port = out };

  step.noise_figure_db = dwn_chain_part_noise_figure_db (chain, part, mhz);
  if (chain->part[part].kind == DWN_PART_OUTLET)
    {
      sum_up (&step, dwn_cascade_input (cascade, chain, part, in), cascade->n_antennas, a,
              dwn_ratio_of_db (step.noise_figure_db) - 1);
      return step;
    }
  step.gain_db = db (dwn_chain_part_ratio (chain, part, in, out, mhz, cascade->state));
  if (!makes_noise_of_its_own (chain, part))
    step.noise_figure_db = -step.gain_db;
  sum_up (&step, &cascade->out[chain->out_first[part] + out], cascade->n_antennas, a, 0);
  return step;
}

static DwnStep
edge_step (const DwnCascade *cascade, const DwnChain *chain, guint e, guint a)
{
  DwnStep step = { .is_edge = TRUE, .index = e };

  step.noise_figure_db = dwn_chain_edge_loss_db (chain, e, cascade->mhz);
  step.gain_db = -step.noise_figure_db;
  sum_up (&step, &cascade->edge[e], cascade->n_antennas, a, 0);
  return step;
}

static void
reverse (GArray *steps)
{
  for (guint k = 0; k < steps->len / 2; k++)
    {
      DwnStep *a = &g_array_index (steps, DwnStep, k);
      DwnStep *b = &g_array_index (steps, DwnStep, steps->len - 1 - k);
      DwnStep kept = *a;

      *a = *b;
      *b = kept;
    }
}

GArray *
dwn_cascade_way (const DwnCascade *cascade, const DwnChain *chain, guint antenna, guint outlet)
{
  g_return_val_if_fail (cascade != NULL && chain != NULL, NULL);
  g_return_val_if_fail (antenna < chain->n_antennas && outlet < chain->n_outlets, NULL);

  guint part = chain->outlet[outlet], out = 0;
  g_autoptr (GArray) steps = g_array_new (FALSE, FALSE, sizeof (DwnStep));

  while (part != chain->antenna[antenna])
    {
      int in = best_input (cascade, chain, part, out, antenna);

      if (in < 0)
        return NULL;
      guint e = (guint) chain->in_edge[chain->in_first[part] + (guint) in];
      DwnStep of_part = part_step (cascade, chain, part, (guint) in, out, antenna);
      DwnStep of_edge = edge_step (cascade, chain, e, antenna);
      g_array_append_val (steps, of_part);
      g_array_append_val (steps, of_edge);
      part = chain->edge[e].from_part;
      out = chain->edge[e].from_port;
    }
  DwnStep first = part_step (cascade, chain, part, 0, 0, antenna);
  g_array_append_val (steps, first);
  reverse (steps);
  return g_steal_pointer (&steps);
}

/* Onwards */

/* Gains from one output onwards: @out per output port and @edge per edge. */
static void
spread (const DwnChain *chain, guint part, guint port, double mhz, guint state, double *out,
        double *edge)
{
  memset (out, 0, chain->out_first[chain->n_parts] * sizeof *out);
  for (guint k = 0; k < chain->n_parts; k++)
    {
      guint at = chain->order[k];
      guint n_in = chain->in_first[at + 1] - chain->in_first[at];

      for (guint o = 0; o < chain->out_first[at + 1] - chain->out_first[at]; o++)
        {
          double sum = at == part && o == port ? 1 : 0;
          int leads = chain->out_edge[chain->out_first[at] + o];

          for (guint i = 0; i < n_in; i++)
            {
              int from = chain->in_edge[chain->in_first[at] + i];
              if (from >= 0 && edge[from] > 0)
                sum += edge[from] * dwn_chain_part_ratio (chain, at, i, o, mhz, state);
            }
          out[chain->out_first[at] + o] = sum;
          if (leads >= 0)
            edge[leads] = sum > 0 ? sum * dwn_ratio_of_db (-dwn_chain_edge_loss_db (chain,
                                                                                  (guint) leads,
                                                                                  mhz))
                                  : 0;
        }
    }
}

void
dwn_chain_onward (const DwnChain *chain, guint part, guint port, double mhz, guint state,
                  double *sink_gain)
{
  g_return_if_fail (chain != NULL && part < chain->n_parts && sink_gain != NULL);

  g_autofree double *out = g_new (double, chain->out_first[chain->n_parts] + 1);
  g_autofree double *edge = g_new0 (double, chain->n_edges + 1);
  guint sink = 0;

  spread (chain, part, port, mhz, state, out, edge);
  for (guint o = 0; o < chain->n_outlets; o++)
    for (guint i = chain->in_first[chain->outlet[o]]; i < chain->in_first[chain->outlet[o] + 1]; i++)
      sink_gain[sink++] = chain->in_edge[i] >= 0 ? edge[chain->in_edge[i]] : 0;
}

/* Ripple */

double
dwn_antenna_reflected (double through)
{
  return through < 1 ? 1 - through : dwn_ratio_of_db (-UNKNOWN_RETURN_LOSS_DB);
}

/* |Γ|² */
static double
part_reflected (const DwnChain *chain, guint part)
{
  double return_loss_db = chain->type[part]->return_loss_db;

  return isnan (return_loss_db) ? 0 : dwn_ratio_of_db (-return_loss_db);
}

/* One cable: what its two ends make of a signal that passes with power gain @gain. */
static void
add_edge_ripple (const DwnChain *chain, guint e, double gain, DwnRipple *ripple)
{
  double scale_db = 20 / G_LN10 / G_SQRT2;
  guint from = chain->edge[e].from_part;
  double made = scale_db * scale_db * part_reflected (chain, chain->edge[e].to_part) * gain * gain;

  if (chain->part[from].kind == DWN_PART_ANTENNA)
    ripple->per_reflected += made;
  else
    ripple->rest += made * part_reflected (chain, from);
}

/* Antenna @a's at the far end of edge @e, from what is known of the edges before it. */
static DwnRipple
edge_ripple (const DwnCascade *cascade, const DwnChain *chain, guint e, guint a,
             const DwnRipple *known)
{
  const DwnEdge *edge = &chain->edge[e];
  const DwnPoint *near = &cascade->out[chain->out_first[edge->from_part] + edge->from_port];
  DwnRipple ripple = { 0, 0 };

  if (!(near->gain[a] > 0))
    return (DwnRipple) { (double) NAN, (double) NAN };
  if (chain->part[edge->from_part].kind != DWN_PART_ANTENNA)
    {
      int in = best_input (cascade, chain, edge->from_part, edge->from_port, a);
      guint before = (guint) chain->in_edge[chain->in_first[edge->from_part] + (guint) MAX (in, 0)];
      ripple = known[before * chain->n_antennas + a];
    }
  add_edge_ripple (chain, e, cascade->edge[e].gain[a] / near->gain[a], &ripple);
  return ripple;
}

void
dwn_cascade_ripple (const DwnCascade *cascade, const DwnChain *chain, DwnRipple *ripple)
{
  g_return_if_fail (cascade != NULL && chain != NULL && ripple != NULL);

  guint n_antennas = chain->n_antennas;

  for (guint k = 0; k < chain->n_parts; k++)
    for (guint o = chain->out_first[chain->order[k]]; o < chain->out_first[chain->order[k] + 1]; o++)
      for (guint a = 0; chain->out_edge[o] >= 0 && a < n_antennas; a++)
        {
          guint e = (guint) chain->out_edge[o];
          ripple[e * n_antennas + a] = edge_ripple (cascade, chain, e, a, ripple);
        }
}

double
dwn_cascade_ripple_sd_db (const DwnCascade *cascade, const DwnChain *chain, guint antenna,
                          guint outlet)
{
  g_return_val_if_fail (cascade != NULL && chain != NULL, (double) NAN);
  g_return_val_if_fail (antenna < chain->n_antennas && outlet < chain->n_outlets, (double) NAN);

  g_autofree DwnRipple *ripple = g_new (DwnRipple, (gsize) chain->n_edges * chain->n_antennas + 1);
  int in = best_input (cascade, chain, chain->outlet[outlet], 0, antenna);

  if (in < 0)
    return (double) NAN;
  dwn_cascade_ripple (cascade, chain, ripple);
  guint e = (guint) chain->in_edge[chain->in_first[chain->outlet[outlet]] + (guint) in];
  const DwnRipple *end = &ripple[e * chain->n_antennas + antenna];
  double through = dwn_ratio_of_db (dwn_chain_part_gain_db (chain, chain->antenna[antenna], 0, 0,
                                                            cascade->mhz));
  return sqrt (end->rest + end->per_reflected * dwn_antenna_reflected (through));
}
