/* A head is built in three steps: each antenna with what stands behind it gives an end; ends are
 * joined until as many are left as the trunk has downleads; the trunk's parts are copied behind
 * them. */
#include "core/chain/head.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

#include "core/chain/wiring.h"

#define MAX_JOINED 3 /* antennas that a plan's head joins */

/* One frequency for each band, at which antennas are compared. */
static const double band_mhz[DWN_N_BANDS] = { 70, 195, 550 };

static const char *const arrangement_id[DWN_N_ARRANGEMENTS] = {
  [DWN_ARRANGEMENT_ONE] = "one",
  [DWN_ARRANGEMENT_SPLIT_BY_BAND] = "split-by-band",
  [DWN_ARRANGEMENT_CHANNEL_FILTERS] = "channel-filters",
  [DWN_ARRANGEMENT_HYBRID] = "hybrid",
  [DWN_ARRANGEMENT_TWO_TUNERS] = "two-tuners",
  [DWN_ARRANGEMENT_SWITCH] = "switch",
  [DWN_ARRANGEMENT_ROTATOR] = "rotator",
};

/* An output of the new wiring where something is to be connected. */
typedef struct {
  guint part, port;
  DwnBandGain gain;             /* best of the antennas behind it */
  const char *pass;
  DwnEdge tail;                 /* the cable that led on from there; none: joined directly */
} End;

typedef struct {
  const DwnChain *old;
  const DwnPartList *list;
  DwnWiring *wiring;
  GError **error;

  /* In the old chain. */
  guint n_old;             /* antennas that reach an outlet */
  guint old_antenna[DWN_CHAIN_MOST_ANTENNAS]; /* their parts */
  int meeting;             /* the part where they have met; -1: not before the outlets */
  guint first;             /* of the trunk */
  guint first_port;
  const DwnEdge *entry;    /* (nullable) the cable that leads to it from where they have met */
  gboolean *in_trunk;
  guint *copy;             /* index in the new wiring of each part of the trunk */
} Head;

const char *
dwn_arrangement_id (DwnArrangement arrangement)
{
  g_return_val_if_fail ((guint) arrangement < DWN_N_ARRANGEMENTS, NULL);

  return arrangement_id[arrangement];
}

gboolean
dwn_arrangement_from_id (const char *id, DwnArrangement *arrangement)
{
  g_return_val_if_fail (id != NULL && arrangement != NULL, FALSE);

  for (guint k = 0; k < DWN_N_ARRANGEMENTS; k++)
    if (strcmp (arrangement_id[k], id) == 0)
      {
        *arrangement = (DwnArrangement) k;
        return TRUE;
      }
  return FALSE;
}

/* Which arrangement is it? */

/* Do two inputs of @part bring different antennas? */
static gboolean
joins_antennas (const DwnChain *chain, guint part)
{
  guint seen = 0;

  for (guint i = chain->in_first[part]; i < chain->in_first[part + 1]; i++)
    {
      if (chain->in_edge[i] < 0)
        continue;
      guint bits = dwn_chain_antennas_of (chain, chain->edge[chain->in_edge[i]].from_part);
      if (seen != 0 && (bits & ~seen) != 0)
        return TRUE;
      seen |= bits;
    }
  return FALSE;
}

static gboolean
joins_as (const DwnChain *chain, DwnArrangement arrangement, guint part)
{
  DwnPartKind kind = chain->part[part].kind;

  switch (arrangement)
    {
    case DWN_ARRANGEMENT_ROTATOR:
      return chain->part[part].rotator;
    case DWN_ARRANGEMENT_SWITCH:
      return kind == DWN_PART_SWITCH && joins_antennas (chain, part);
    case DWN_ARRANGEMENT_TWO_TUNERS:
      return kind == DWN_PART_OUTLET && joins_antennas (chain, part);
    case DWN_ARRANGEMENT_HYBRID:
      return kind == DWN_PART_COMBINER && chain->type[part]->hybrid && joins_antennas (chain, part);
    case DWN_ARRANGEMENT_CHANNEL_FILTERS:
      return kind == DWN_PART_COMBINER && !isnan (chain->type[part]->edge_mhz)
             && joins_antennas (chain, part);
    case DWN_ARRANGEMENT_SPLIT_BY_BAND:
      return kind != DWN_PART_ANTENNA && joins_antennas (chain, part);
    case DWN_ARRANGEMENT_ONE:
      return TRUE;
    }
  g_return_val_if_reached (FALSE);
}

DwnArrangement
dwn_chain_arrangement (const DwnChain *chain)
{
  static const DwnArrangement by_rank[] = {
    DWN_ARRANGEMENT_ROTATOR, DWN_ARRANGEMENT_SWITCH, DWN_ARRANGEMENT_TWO_TUNERS,
    DWN_ARRANGEMENT_HYBRID, DWN_ARRANGEMENT_CHANNEL_FILTERS, DWN_ARRANGEMENT_SPLIT_BY_BAND,
  };

  g_return_val_if_fail (chain != NULL, DWN_ARRANGEMENT_ONE);

  for (guint r = 0; r < G_N_ELEMENTS (by_rank); r++)
    for (guint part = 0; part < chain->n_parts; part++)
      if (joins_as (chain, by_rank[r], part))
        return by_rank[r];
  return DWN_ARRANGEMENT_ONE;
}

/* Choosing types */

static double
difference (double a, double b)
{
  return isnan (a) || isnan (b) ? 0 : fabs (a - b);
}

/* The type of @like's kind with @n_in inputs whose figures are nearest to it; NULL: none. */
static const DwnPartType *
nearest_type (const DwnPartList *list, const DwnPartType *like, guint n_in)
{
  guint n;
  const DwnPartType *const *type = dwn_part_list_types (list, &n);
  const DwnPartType *nearest = NULL;
  double least = G_MAXDOUBLE;

  for (guint k = 0; k < n; k++)
    {
      if (type[k]->kind != like->kind || type[k]->n_in != n_in || type[k]->n_out != like->n_out)
        continue;
      double mhz = band_mhz[DWN_BAND_UHF];
      double far = difference (dwn_response_db (&type[k]->noise_figure, mhz),
                               dwn_response_db (&like->noise_figure, mhz))
                   + difference (dwn_response_db (&type[k]->gain[n_in - 1][0], mhz),
                                 dwn_response_db (&like->gain[like->n_in - 1][0], mhz))
                   + difference (type[k]->sensitivity_dbm, like->sensitivity_dbm)
                   + difference (type[k]->level_min_dbm, like->level_min_dbm)
                   + 100 * difference (type[k]->volts, like->volts);
      if (far < least)
        {
          least = far;
          nearest = type[k];
        }
    }
  return nearest;
}

static gboolean
suits (const DwnPartType *type, DwnArrangement arrangement, guint n_in)
{
  gboolean by_channel = !isnan (type->edge_mhz);

  if (arrangement == DWN_ARRANGEMENT_SWITCH)
    return type->kind == DWN_PART_SWITCH && type->n_in >= n_in;
  return type->kind == DWN_PART_COMBINER && type->n_in == n_in
         && type->hybrid == (arrangement == DWN_ARRANGEMENT_HYBRID)
         && by_channel == (arrangement == DWN_ARRANGEMENT_CHANNEL_FILTERS);
}

static const DwnPartType *
smallest_splitter (const DwnPartList *list, guint n_outlets)
{
  guint n;
  const DwnPartType *const *type = dwn_part_list_types (list, &n);
  const DwnPartType *best = NULL;

  for (guint k = 0; k < n; k++)
    if (type[k]->kind == DWN_PART_SPLITTER && type[k]->n_out >= n_outlets
        && (best == NULL || type[k]->n_out < best->n_out))
      best = type[k];
  return best;
}

static const guint order_of_three[][MAX_JOINED] = {
  { 0, 1, 2 }, { 1, 0, 2 }, { 0, 2, 1 }, { 1, 2, 0 }, { 2, 0, 1 }, { 2, 1, 0 },
};

/* How well @type joins ends by band when end k goes to input input[k]: the sum over bands of the
 * best that comes out. */
static double
band_score (const DwnPartType *type, const End *end, guint n, const guint *input)
{
  double sum = 0;

  for (guint band = 0; band < DWN_N_BANDS; band++)
    {
      double best = -G_MAXDOUBLE;

      for (guint k = 0; k < n; k++)
        best = MAX (best, end[k].gain.dbi[band]
                            + dwn_response_db (&type->gain[input[k]][0], band_mhz[band]));
      sum += best;
    }
  return sum;
}

static const guint *
best_inputs (const DwnPartType *type, const End *end, guint n, double *score)
{
  const guint *best = order_of_three[0];
  guint n_orders = n < 3 ? 2 : G_N_ELEMENTS (order_of_three); /* the first two swap two inputs */

  *score = -G_MAXDOUBLE;
  for (guint k = 0; k < n_orders; k++)
    {
      double candidate = band_score (type, end, n, order_of_three[k]);

      if (candidate > *score)
        {
          *score = candidate;
          best = order_of_three[k];
        }
    }
  return best;
}

static const DwnPartType *
best_combiner (const Head *head, DwnArrangement arrangement, const End *end, guint n)
{
  guint n_types;
  const DwnPartType *const *type = dwn_part_list_types (head->list, &n_types);
  const DwnPartType *best = NULL;
  double most = -G_MAXDOUBLE, score;

  for (guint k = 0; k < n_types; k++)
    if (suits (type[k], arrangement, n))
      {
        best_inputs (type[k], end, n, &score);
        if (best != NULL && (arrangement != DWN_ARRANGEMENT_SPLIT_BY_BAND || score <= most))
          continue;
        best = type[k];
        most = score;
      }
  if (best == NULL)
    g_set_error (head->error, DWN_CHAIN_ERROR, DWN_CHAIN_ERROR_TYPE,
                 _("the list of parts has nothing that joins %u antennas as “%s”"), n,
                 arrangement_id[arrangement]);
  return best;
}

/* Joining ends */

/* By the cable that led on from @end and, spliced to it, @more (nullable). */
static void
join_end (Head *head, const End *end, guint to, guint port, const DwnEdge *more)
{
  DwnEdge cable = dwn_edge_spliced (&end->tail, more);

  dwn_wiring_join (head->wiring, end->part, end->port, to, port, &cable);
}

static void
merge_gains (End *into, const End *end, guint n)
{
  into->gain = end[0].gain;
  for (guint k = 1; k < n; k++)
    into->gain = dwn_chain_band_gain_of_both (&into->gain, &end[k].gain);
}

static gboolean
join_ends (Head *head, DwnArrangement arrangement, const End *end, guint n, End *joined)
{
  const DwnPartType *type = best_combiner (head, arrangement, end, n);
  const guint *input = order_of_three[0];
  double score;

  if (type == NULL)
    return FALSE;
  if (arrangement == DWN_ARRANGEMENT_SPLIT_BY_BAND)
    input = best_inputs (type, end, n, &score);

  End result = { .part = dwn_wiring_add_type (head->wiring, type, type->id) };
  dwn_wiring_part (head->wiring, result.part)->on_mast = arrangement != DWN_ARRANGEMENT_SWITCH;
  merge_gains (&result, end, n);
  for (guint k = 0; k < n; k++)
    join_end (head, &end[k], result.part, input[k], NULL);
  if (arrangement == DWN_ARRANGEMENT_CHANNEL_FILTERS)
    {
      g_autofree char *pass = g_strdup_printf ("%s;%s", end[0].pass, end[1].pass);
      dwn_wiring_part (head->wiring, result.part)->pass = g_intern_string (pass);
    }
  *joined = result;
  return TRUE;
}

/* Reading the old chain */

static gboolean
fail (Head *head, const char *what)
{
  g_set_error_literal (head->error, DWN_CHAIN_ERROR, DWN_CHAIN_ERROR_LIMIT, what);
  return FALSE;
}

static const DwnEdge *
edge_out (const DwnChain *chain, guint part)
{
  int e = chain->out_first[part + 1] > chain->out_first[part]
            ? chain->out_edge[chain->out_first[part]] : -1;

  return e >= 0 ? &chain->edge[e] : NULL;
}

/* The first part that every antenna reaches, where all that they reach comes after it. */
static int
find_meeting (const DwnChain *chain, guint all)
{
  g_autofree gboolean *after = g_new0 (gboolean, chain->n_parts);
  int meeting = -1;

  for (guint k = 0; k < chain->n_parts; k++)
    {
      guint part = chain->order[k];

      if (dwn_chain_antennas_of (chain, part) != all)
        continue;
      if (meeting < 0)
        meeting = (int) part;
      else if (!after[part])
        return -1;
      after[part] = TRUE;
      for (guint o = chain->out_first[part]; o < chain->out_first[part + 1]; o++)
        if (chain->out_edge[o] >= 0)
          after[chain->edge[chain->out_edge[o]].to_part] = TRUE;
    }
  return meeting >= 0 && chain->part[meeting].kind == DWN_PART_OUTLET ? -1 : meeting;
}

/* Is the part that @edge leads to one that stands behind a single antenna? */
static gboolean
is_behind (const Head *head, const DwnEdge *edge)
{
  guint part = edge->to_part;
  const DwnPartType *type = head->old->type[part];

  if (head->meeting >= 0 && head->n_old > 1)
    return (int) part != head->meeting && type->n_in == 1 && type->n_out == 1;
  return type->kind == DWN_PART_BALUN;
}

/* The last part behind old antenna @a, and the cable that leads on. */
static const DwnEdge *
last_behind (const Head *head, guint a, guint *last)
{
  const DwnEdge *edge = edge_out (head->old, head->old_antenna[a]);

  *last = head->old_antenna[a];
  while (edge != NULL && is_behind (head, edge))
    {
      *last = edge->to_part;
      edge = edge_out (head->old, *last);
    }
  return edge;
}

static gboolean
find_antennas (Head *head)
{
  const DwnChain *old = head->old;
  guint all = 0;

  for (guint o = 0; o < old->n_outlets; o++)
    all |= dwn_chain_antennas_of (old, old->outlet[o]);
  for (guint a = 0; a < old->n_antennas; a++)
    if ((all >> a & 1) != 0)
      head->old_antenna[head->n_old++] = old->antenna[a];
  head->meeting = find_meeting (old, all);
  return all != 0 || fail (head, _("no antenna is connected to any outlet"));
}

/* @first and all that it feeds. Outlets stay whatever happens, so that their numbers do. */
static void
mark_trunk (Head *head, guint first)
{
  const DwnChain *old = head->old;

  for (guint k = 0; k < old->n_parts; k++)
    head->in_trunk[k] = k == first || old->part[k].kind == DWN_PART_OUTLET;
  for (guint k = 0; k < old->n_parts; k++)
    {
      guint part = old->order[k];

      for (guint o = old->out_first[part]; o < old->out_first[part + 1]; o++)
        if (head->in_trunk[part] && old->out_edge[o] >= 0)
          head->in_trunk[old->edge[old->out_edge[o]].to_part] = TRUE;
    }
}

/* A combiner or switch goes with the head; an amplifier with several inputs stays. */
static gboolean
find_trunk (Head *head)
{
  gboolean met = head->n_old > 1 && head->meeting >= 0;
  guint last;

  if (met && head->old->part[head->meeting].kind == DWN_PART_AMPLIFIER)
    {
      head->first = (guint) head->meeting;
      mark_trunk (head, head->first);
      return TRUE;
    }
  head->entry = met ? edge_out (head->old, (guint) head->meeting) : last_behind (head, 0, &last);
  if (head->entry == NULL)
    return fail (head, _("nothing is connected behind the antennas"));
  head->first = head->entry->to_part;
  head->first_port = head->entry->to_port;
  mark_trunk (head, head->first);
  return TRUE;
}

/* Antennas */

DwnBandGain
dwn_chain_band_gain (const DwnPattern *pattern)
{
  DwnBandGain gain;

  for (guint band = 0; band < DWN_N_BANDS; band++)
    gain.dbi[band] = dwn_pattern_max_gain_dbi (pattern, band_mhz[band])
                     - dwn_pattern_mismatch_db (pattern, band_mhz[band]);
  return gain;
}

DwnBandGain
dwn_chain_band_gain_of_both (const DwnBandGain *a, const DwnBandGain *b)
{
  DwnBandGain both;

  for (guint band = 0; band < DWN_N_BANDS; band++)
    both.dbi[band] = MAX (a->dbi[band], b->dbi[band]);
  return both;
}

/* New antenna @k with a copy of what stood behind the old one. */
static void
add_antenna (Head *head, const DwnPart *antenna, gboolean rotator, guint k, End *end)
{
  DwnPart part = *antenna;

  part.rotator = rotator;
  part.on_mast = TRUE;
  *end = (End) { .part = dwn_wiring_add (head->wiring, &part) };
  end->gain = dwn_chain_band_gain (antenna->pattern);
  end->pass = antenna->pass;
  if (head->old == NULL)
    return;

  guint old = k < head->n_old ? k : 0;
  const DwnEdge *edge = edge_out (head->old, head->old_antenna[old]);
  for (; edge != NULL && is_behind (head, edge); edge = edge_out (head->old, edge->to_part))
    {
      guint next = dwn_wiring_add (head->wiring, &head->old->part[edge->to_part]);
      dwn_wiring_join (head->wiring, end->part, 0, next, 0, edge);
      end->part = next;
    }
  /* Where the antennas did not meet, this cable is the trunk's and not the antenna's. */
  if (edge != NULL && head->n_old > 1 && head->meeting >= 0)
    end->tail = *edge;
}

/* Trunk */

static guint
copy_part (Head *head, guint old)
{
  return head->copy[old] = dwn_wiring_add (head->wiring, &head->old->part[old]);
}

static void
copy_edges (Head *head)
{
  for (guint e = 0; e < head->old->n_edges; e++)
    {
      const DwnEdge *edge = &head->old->edge[e];

      if (head->in_trunk[edge->from_part] && head->in_trunk[edge->to_part])
        dwn_wiring_join (head->wiring, head->copy[edge->from_part], edge->from_port,
                         head->copy[edge->to_part], edge->to_port, edge);
    }
}

static void
copy_trunk (Head *head)
{
  for (guint k = 0; k < head->old->n_parts; k++)
    if (head->in_trunk[k])
      copy_part (head, k);
  copy_edges (head);
}

static void
retype (Head *head, guint part, guint n_in)
{
  DwnPart *own = dwn_wiring_part (head->wiring, part);
  const DwnPartType *type = dwn_part_list_find (head->list, own->type);
  const DwnPartType *other = type->n_in == n_in ? NULL : nearest_type (head->list, type, n_in);

  if (other != NULL)
    own->type = g_intern_string (other->id);
}

/* An outlet that no second downlead reaches any more has one input. */
static void
copy_single_trunk (Head *head)
{
  copy_trunk (head);
  for (guint o = 0; o < head->old->n_outlets; o++)
    if (head->in_trunk[head->old->outlet[o]])
      retype (head, head->copy[head->old->outlet[o]], 1);
}

/* Of an amplifier where several antennas met one remains. */
static void
keep_one_input (Head *head, guint part, guint *port)
{
  if (dwn_wiring_part (head->wiring, part)->kind != DWN_PART_AMPLIFIER)
    return;
  retype (head, part, 1);
  *port = 0;
}

static gboolean
finish_single (Head *head, const End *end)
{
  guint port = head->first_port;

  copy_single_trunk (head);
  if (head->n_old > 1)
    keep_one_input (head, head->copy[head->first], &port);
  join_end (head, end, head->copy[head->first], port, head->entry);
  return TRUE;
}

/* The trunk begins with an amplifier that has an input for each antenna. */
static gboolean
finish_at_inputs (Head *head, const End *end, guint n)
{
  double score;
  const guint *input = best_inputs (head->old->type[head->first], end, n, &score);

  copy_single_trunk (head);
  for (guint k = 0; k < n; k++)
    join_end (head, &end[k], head->copy[head->first], input[k], head->entry);
  return TRUE;
}

static gboolean
finish_split (Head *head, const End *end, guint n)
{
  const DwnPartType *first = head->old->type[head->first];
  End joined;

  if (first->kind == DWN_PART_AMPLIFIER && first->n_in == n)
    return finish_at_inputs (head, end, n);
  return join_ends (head, DWN_ARRANGEMENT_SPLIT_BY_BAND, end, n, &joined)
         && finish_single (head, &joined);
}

/* Two downleads */

static gboolean
is_outlet (const Head *head, guint part)
{
  return head->old->part[part].kind == DWN_PART_OUTLET;
}

static gboolean
copy_outlets (Head *head)
{
  const DwnChain *old = head->old;

  for (guint o = 0; o < old->n_outlets; o++)
    {
      guint outlet = copy_part (head, old->outlet[o]);

      retype (head, outlet, 2);
      if (dwn_part_list_find (head->list, dwn_wiring_part (head->wiring, outlet)->type)->n_in != 2)
        return fail (head, _("the list of parts has no outlet with two inputs"));
    }
  return TRUE;
}

/* All of the trunk but the outlets, which it leads to by their input @branch. */
static void
copy_branch (Head *head, const End *end, guint branch)
{
  const DwnChain *old = head->old;
  guint port = head->first_port;

  for (guint k = 0; k < old->n_parts; k++)
    if (head->in_trunk[k] && !is_outlet (head, k))
      copy_part (head, k);
  for (guint e = 0; e < old->n_edges; e++)
    {
      const DwnEdge *edge = &old->edge[e];

      if (head->in_trunk[edge->from_part])
        dwn_wiring_join (head->wiring, head->copy[edge->from_part], edge->from_port,
                         head->copy[edge->to_part],
                         is_outlet (head, edge->to_part) ? branch : edge->to_port, edge);
    }
  keep_one_input (head, head->copy[head->first], &port);
  join_end (head, end, head->copy[head->first], is_outlet (head, head->first) ? branch : port,
            head->entry);
}

static gboolean
finish_two_tuners (Head *head, const End *end)
{
  if (!copy_outlets (head))
    return FALSE;
  for (guint branch = 0; branch < 2; branch++)
    copy_branch (head, &end[branch], branch);
  return TRUE;
}

/* Does @part belong to the downlead, between mast and distribution? */
static gboolean
is_downlead (const DwnChain *chain, guint part)
{
  DwnPartKind kind = chain->part[part].kind;

  return chain->type[part]->n_out == 1 && kind != DWN_PART_PLATE && kind != DWN_PART_COMBINER
         && kind != DWN_PART_SWITCH;
}

/* Copies the downlead behind @end; @rest and @rest_port: where it led to. */
static End
copy_downlead (Head *head, const End *end, guint *rest, guint *rest_port)
{
  const DwnEdge *edge = head->entry;
  End at = *end;

  *rest = head->first;
  *rest_port = head->first_port;
  while (is_downlead (head->old, *rest))
    {
      guint next = copy_part (head, *rest), port = 0;

      keep_one_input (head, next, &port);
      join_end (head, &at, next, 0, edge);
      at = (End) { .part = next };
      edge = edge_out (head->old, *rest);
      if (edge == NULL)
        break;
      *rest = edge->to_part;
      *rest_port = edge->to_port;
    }
  at.tail = dwn_edge_spliced (&at.tail, edge);
  return at;
}

static gboolean
finish_switch (Head *head, const End *end)
{
  End down[2], joined;
  guint rest, rest_port;

  for (guint k = 0; k < 2; k++)
    down[k] = copy_downlead (head, &end[k], &rest, &rest_port);
  if (is_downlead (head->old, rest))
    return fail (head, _("no outlet is connected behind the downlead"));
  if (!join_ends (head, DWN_ARRANGEMENT_SWITCH, down, 2, &joined))
    return FALSE;
  mark_trunk (head, rest);
  copy_single_trunk (head);
  join_end (head, &joined, head->copy[rest], rest_port, NULL);
  return TRUE;
}

/* Arrangements */

static guint
joined_by (DwnArrangement arrangement)
{
  return arrangement == DWN_ARRANGEMENT_ONE || arrangement == DWN_ARRANGEMENT_ROTATOR ? 1 : 2;
}

/* One more antenna for another band joins each of @n ends. */
static gboolean
join_extra (Head *head, End *end, guint n, const End *extra)
{
  End source = *extra;

  if (n > 1)
    {
      const DwnPartType *type = smallest_splitter (head->list, n);

      if (type == NULL)
        return fail (head, _("the list of parts has no splitter"));
      source.part = dwn_wiring_add_type (head->wiring, type, type->id);
      source.tail = (DwnEdge) { 0 };
      join_end (head, extra, source.part, 0, NULL);
    }
  for (guint k = 0; k < n; k++)
    {
      End pair[2] = { end[k], source };

      pair[1].port = k;
      if (!join_ends (head, DWN_ARRANGEMENT_SPLIT_BY_BAND, pair, 2, &end[k]))
        return FALSE;
    }
  return TRUE;
}

static gboolean
arrange (Head *head, DwnArrangement arrangement, guint n, End *end)
{
  guint base = joined_by (arrangement);
  gboolean two_downleads = arrangement == DWN_ARRANGEMENT_TWO_TUNERS
                           || arrangement == DWN_ARRANGEMENT_SWITCH;

  if (arrangement == DWN_ARRANGEMENT_SPLIT_BY_BAND)
    return finish_split (head, end, n);
  if (arrangement == DWN_ARRANGEMENT_CHANNEL_FILTERS
      && (end[0].pass == NULL || end[1].pass == NULL))
    return fail (head, _("channel filters need to know what each antenna is to bring"));
  if (base == 2 && !two_downleads && !join_ends (head, arrangement, end, 2, &end[0]))
    return FALSE;
  if (n > base && !join_extra (head, end, two_downleads ? 2 : 1, &end[n - 1]))
    return FALSE;
  if (arrangement == DWN_ARRANGEMENT_TWO_TUNERS)
    return finish_two_tuners (head, end);
  return arrangement == DWN_ARRANGEMENT_SWITCH ? finish_switch (head, end)
                                               : finish_single (head, &end[0]);
}

DwnChain *
dwn_chain_with_head (const DwnChain *chain, DwnArrangement arrangement, guint n_antennas,
                     const DwnPart *antennas, GError **error)
{
  g_return_val_if_fail (chain != NULL && antennas != NULL, NULL);
  g_return_val_if_fail ((guint) arrangement < DWN_N_ARRANGEMENTS, NULL);

  g_autoptr (DwnWiring) wiring = dwn_wiring_new (NULL);
  g_autofree gboolean *in_trunk = g_new0 (gboolean, chain->n_parts);
  g_autofree guint *copy = g_new0 (guint, chain->n_parts);
  Head head = {
    .old = chain, .list = chain->list, .wiring = wiring, .error = error, .in_trunk = in_trunk,
    .copy = copy,
  };
  End end[MAX_JOINED];
  guint base = joined_by (arrangement);

  if (n_antennas < base || n_antennas > base + 1)
    {
      g_set_error (error, DWN_CHAIN_ERROR, DWN_CHAIN_ERROR_LIMIT,
                   _("“%s” joins %u or %u antennas, not %u"), arrangement_id[arrangement], base,
                   base + 1, n_antennas);
      return NULL;
    }
  if (!find_antennas (&head) || !find_trunk (&head))
    return NULL;
  for (guint k = 0; k < n_antennas; k++)
    add_antenna (&head, &antennas[k], arrangement == DWN_ARRANGEMENT_ROTATOR && k == 0, k, &end[k]);
  return arrange (&head, arrangement, n_antennas, end)
           ? dwn_wiring_build (wiring, head.list, error) : NULL;
}

/* Choices by band */

const DwnPartType *
dwn_chain_head_amplifier (const DwnChain *chain)
{
  g_return_val_if_fail (chain != NULL, NULL);

  g_autofree gboolean *in_trunk = g_new0 (gboolean, chain->n_parts);
  Head head = { .old = chain, .list = chain->list, .in_trunk = in_trunk };

  if (!find_antennas (&head) || !find_trunk (&head))
    return NULL;
  const DwnPartType *first = chain->type[head.first];
  return first->kind == DWN_PART_AMPLIFIER && first->n_in > 1 ? first : NULL;
}

guint
dwn_chain_band_choice (const DwnPartList *list, const DwnPartType *amplifier, guint n,
                       const DwnBandGain *gain)
{
  Head head = { .list = list };
  End end[MAX_JOINED] = { 0 };
  double score;
  guint n_types, number = 0;

  g_return_val_if_fail (list != NULL && gain != NULL && n >= 2 && n <= MAX_JOINED, 0);

  for (guint k = 0; k < n; k++)
    end[k].gain = gain[k];
  const DwnPartType *const *types = dwn_part_list_types (list, &n_types);
  const DwnPartType *type = amplifier != NULL && amplifier->n_in == n
                            ? amplifier : best_combiner (&head, DWN_ARRANGEMENT_SPLIT_BY_BAND, end, n);
  if (type == NULL)
    return G_MAXUINT;
  while (number < n_types && types[number] != type)
    number++;
  const guint *input = best_inputs (type, end, n, &score);
  guint order = 0;
  while (order_of_three[order] != input)
    order++;
  return number * (guint) G_N_ELEMENTS (order_of_three) + order;
}

/* The standard gear */

static gboolean
add_outlets (Head *head, const End *from, guint n_outlets, const DwnEdge *cable, const char *tuner)
{
  const DwnPartType *type = dwn_part_list_find (head->list, tuner);
  const DwnPartType *split = smallest_splitter (head->list, n_outlets);
  guint source = from->part;

  if (type == NULL || type->kind != DWN_PART_OUTLET)
    return fail (head, _("the list of parts has no such tuner"));
  if (n_outlets > 1)
    {
      if (split == NULL)
        return fail (head, _("the list of parts has no splitter for so many outlets"));
      source = dwn_wiring_add_type (head->wiring, split, "splitter");
      dwn_wiring_join (head->wiring, from->part, 0, source, 0, cable);
    }
  for (guint k = 0; k < n_outlets; k++)
    {
      g_autofree char *id = g_strdup_printf ("tv%u", k + 1);
      guint outlet = dwn_wiring_add_type (head->wiring, type, id);

      dwn_wiring_join (head->wiring, source, n_outlets > 1 ? k : 0, outlet, 0,
                       n_outlets > 1 ? NULL : cable);
    }
  return TRUE;
}

DwnChain *
dwn_chain_new_standard (const DwnPartList *list, guint n_antennas, const DwnPart *antennas,
                        guint n_outlets, const char *cable, double length_m, const char *tuner,
                        GError **error)
{
  g_return_val_if_fail (list != NULL && antennas != NULL && tuner != NULL, NULL);
  g_return_val_if_fail (n_antennas >= 1 && n_antennas <= MAX_JOINED, NULL);
  g_return_val_if_fail (n_outlets >= 1 && n_outlets <= DWN_MAX_PORTS, NULL);

  g_autoptr (DwnWiring) wiring = dwn_wiring_new (NULL);
  Head head = { .list = list, .wiring = wiring, .error = error };
  DwnEdge downlead = { .cable = cable, .length_m = length_m };
  End end[MAX_JOINED];

  for (guint k = 0; k < n_antennas; k++)
    add_antenna (&head, &antennas[k], antennas[k].rotator, k, &end[k]);
  if (n_antennas > 1
      && !join_ends (&head, DWN_ARRANGEMENT_SPLIT_BY_BAND, end, n_antennas, &end[0]))
    return NULL;
  return add_outlets (&head, &end[0], n_outlets, &downlead, tuner)
           ? dwn_wiring_build (wiring, list, error) : NULL;
}
