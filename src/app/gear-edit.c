#include "app/gear-edit.h"

#include <glib/gi18n.h>
#include <math.h>

#include "core/chain/wiring.h"
#include "words/sentences.h"

/* A cable to one more outlet where there is none to take as a model: across a room or two. */
#define NEW_CABLE_M 10.0

G_DEFINE_QUARK (dwn-gear-edit-error-quark, dwn_gear_edit_error)

static gpointer refuse (GError **error, DwnGearEditError code, const char *format, ...) G_GNUC_PRINTF (3, 4);

static gpointer
refuse (GError **error, DwnGearEditError code, const char *format, ...)
{
  va_list args;

  va_start (args, format);
  g_autofree char *text = g_strdup_vprintf (format, args);
  va_end (args);
  g_set_error_literal (error, DWN_GEAR_EDIT_ERROR, code, text);
  return NULL;
}

const char *
dwn_gear_part_name (const DwnChain *gear, guint part)
{
  const DwnPart *own = &gear->part[part];

  if (own->name != NULL)
    return own->name;
  return own->kind == DWN_PART_ANTENNA ? dwn_word_pattern (&dwn_wording_metric, own->pattern) : _(gear->type[part]->name);
}

/* Back to a plan ------------------------------------------------------------------------------ */

static double
aim_of (const DwnPlan *plan, const char *id, double otherwise_deg)
{
  for (guint a = 0; a < plan->gear->n_antennas; a++)
    if (plan->gear->part[plan->gear->antenna[a]].id == id) /* both interned */
      return plan->aims->aim_deg[a];
  return otherwise_deg;
}

/* @aim_deg: of antennas that were not there before. */
static DwnPlan *
with_chain (const DwnPlan *plan, const DwnChain *chain, double aim_deg)
{
  g_autofree double *deg = g_new0 (double, chain->n_antennas + 1);

  for (guint a = 0; a < chain->n_antennas; a++)
    deg[a] = aim_of (plan, chain->part[chain->antenna[a]].id, aim_deg);
  g_autoptr (DwnAims) aims = dwn_aims_new (chain->n_antennas, deg);
  return dwn_plan_with_gear (plan, chain, aims);
}

static DwnPlan *
finish (const DwnPlan *plan, const DwnWiring *wiring, GError **error)
{
  g_autoptr (DwnChain) chain = dwn_wiring_build (wiring, plan->gear->list, error);

  return chain != NULL ? with_chain (plan, chain, 0.0) : NULL;
}

/* Ports ---------------------------------------------------------------------------------------- */

static guint
count_used (const int *edge, const guint *first, guint part)
{
  guint n = 0;

  for (guint p = first[part]; p < first[part + 1]; p++)
    n += edge[p] >= 0;
  return n;
}

static guint
used_inputs (const DwnChain *gear, guint part)
{
  return count_used (gear->in_edge, gear->in_first, part);
}

static guint
used_outputs (const DwnChain *gear, guint part)
{
  return count_used (gear->out_edge, gear->out_first, part);
}

/* The first edge there, −1: none. */
static int
first_edge (const int *edge, const guint *first, guint part)
{
  for (guint p = first[part]; p < first[part + 1]; p++)
    if (edge[p] >= 0)
      return edge[p];
  return -1;
}

static int
edge_before (const DwnChain *gear, guint part)
{
  return first_edge (gear->in_edge, gear->in_first, part);
}

static int
edge_behind (const DwnChain *gear, guint part)
{
  return first_edge (gear->out_edge, gear->out_first, part);
}

/* Values --------------------------------------------------------------------------------------- */

DwnPlan *
dwn_gear_with_part (const DwnPlan *plan, guint part, const DwnPart *values, GError **error)
{
  g_return_val_if_fail (part < plan->gear->n_parts && values != NULL, NULL);

  g_autoptr (DwnWiring) wiring = dwn_wiring_new (plan->gear);
  DwnPart *own = dwn_wiring_part (wiring, part);
  const DwnPart before = *own;

  *own = *values;
  own->id = before.id;
  own->kind = before.kind;
  own->type = before.type;
  own->pattern = before.pattern;
  return finish (plan, wiring, error);
}

/* Cables on ports that @n do not have move to free ones below. */
static void
move_down (DwnWiring *wiring, guint part, guint n, gboolean outputs)
{
  for (guint e = 0; e < wiring->edges->len; e++)
    {
      DwnEdge *edge = &g_array_index (wiring->edges, DwnEdge, e);
      guint *port = outputs ? &edge->from_port : &edge->to_port;
      guint free_port = 0;

      if ((outputs ? edge->from_part : edge->to_part) != part || *port < n)
        continue;
      while (outputs ? dwn_wiring_edge_from (wiring, part, free_port) != NULL
                     : dwn_wiring_edge_into (wiring, part, free_port) != NULL)
        free_port++;
      *port = free_port;
    }
}

static gboolean
has_room (const DwnChain *gear, guint part, const DwnPartType *type, GError **error)
{
  guint n_in = used_inputs (gear, part), n_out = used_outputs (gear, part);

  if (type->n_in < n_in)
    refuse (error, DWN_GEAR_EDIT_ERROR_PORTS, _("%s has too few inputs: %u are in use"), _(type->name), n_in);
  else if (type->n_out < n_out)
    refuse (error, DWN_GEAR_EDIT_ERROR_PORTS, _("%s has too few outputs: %u are in use"), _(type->name), n_out);
  return type->n_in >= n_in && type->n_out >= n_out;
}

DwnPlan *
dwn_gear_with_type (const DwnPlan *plan, guint part, const char *type_id, GError **error)
{
  g_return_val_if_fail (part < plan->gear->n_parts && type_id != NULL, NULL);

  const DwnPartType *type = dwn_part_list_find (plan->gear->list, type_id);
  g_return_val_if_fail (type != NULL && type->kind == plan->gear->part[part].kind, NULL);
  if (!has_room (plan->gear, part, type, error))
    return NULL;

  g_autoptr (DwnWiring) wiring = dwn_wiring_new (plan->gear);
  DwnPart *own = dwn_wiring_part (wiring, part);
  own->type = g_intern_string (type->id);
  own->gain_db = own->noise_figure_db = own->max_output_dbm = own->price = (double) NAN;
  if (isnan (type->stop_db))
    own->pass = NULL;
  move_down (wiring, part, type->n_in, FALSE);
  move_down (wiring, part, type->n_out, TRUE);
  return finish (plan, wiring, error);
}

DwnPlan *
dwn_gear_with_pattern (const DwnPlan *plan, guint part, const DwnPattern *pattern, GError **error)
{
  g_return_val_if_fail (part < plan->gear->n_parts && pattern != NULL, NULL);
  g_return_val_if_fail (plan->gear->part[part].kind == DWN_PART_ANTENNA, NULL);

  g_autoptr (DwnWiring) wiring = dwn_wiring_new (plan->gear);
  DwnPart *own = dwn_wiring_part (wiring, part);

  own->pattern = pattern;
  own->type = g_intern_string (pattern->id);
  own->price = pattern->price;
  return finish (plan, wiring, error);
}

DwnPlan *
dwn_gear_with_cable (const DwnPlan *plan, guint e, const char *cable, double length_m, GError **error)
{
  g_return_val_if_fail (e < plan->gear->n_edges, NULL);

  g_autoptr (DwnWiring) wiring = dwn_wiring_new (plan->gear);
  DwnEdge *edge = &g_array_index (wiring->edges, DwnEdge, e);

  edge->cable = g_intern_string (cable);
  edge->length_m = cable != NULL ? length_m : 0.0;
  return finish (plan, wiring, error);
}

/* Insert --------------------------------------------------------------------------------------- */

/* Indoors whatever stands before it. */
static gboolean
lives_indoors (DwnPartKind kind)
{
  return kind == DWN_PART_INSERTER || kind == DWN_PART_SPLITTER || kind == DWN_PART_TAP
         || kind == DWN_PART_PLATE || kind == DWN_PART_EQUALISER || kind == DWN_PART_SURGE;
}

/* What an amplifier of the plan needs; NaN: no supply is needed. */
static double
volts_needed (const DwnChain *gear)
{
  for (guint k = 0; k < gear->n_parts; k++)
    if (gear->part[k].kind == DWN_PART_AMPLIFIER && !isnan (gear->type[k]->volts)
        && gear->type[k]->dc_out[0] == DWN_DC_NEED)
      return gear->type[k]->volts;
  return (double) NAN;
}

static gboolean
is_usual (const DwnPlan *plan, guint part, const DwnPartType *type)
{
  double volts = volts_needed (plan->gear);

  if (type->kind == DWN_PART_INSERTER && !isnan (volts))
    return fabs (type->volts - volts) < 0.15 * volts;
  if (type->kind == DWN_PART_AMPLIFIER) /* on the mast one that is fed through its cable */
    return (type->dc_out[0] == DWN_DC_NEED) == plan->gear->part[part].on_mast;
  return TRUE;
}

const DwnPartType *
dwn_gear_usual_type (const DwnPlan *plan, guint part, DwnPartKind kind)
{
  guint n;
  const DwnPartType *const *types = dwn_part_list_types (plan->gear->list, &n);
  const DwnPartType *any = NULL;

  for (guint i = 0; i < n; i++)
    {
      if (types[i]->kind != kind)
        continue;
      if (is_usual (plan, part, types[i]))
        return types[i];
      any = any != NULL ? any : types[i];
    }
  return any;
}

static DwnPart
new_part (const DwnPartType *type, gboolean on_mast)
{
  DwnPart part;

  dwn_part_init (&part);
  part.id = g_intern_string (dwn_part_kind_id (type->kind));
  part.type = g_intern_string (type->id);
  part.kind = type->kind;
  part.on_mast = on_mast && !lives_indoors (type->kind);
  return part;
}

/* Onto an input or output that is still open. */
static void
append (DwnWiring *wiring, guint part, gboolean behind, const DwnPart *made)
{
  guint index = dwn_wiring_add (wiring, made);

  if (behind)
    dwn_wiring_join (wiring, part, 0, index, 0, NULL);
  else
    dwn_wiring_join (wiring, index, 0, part, 0, NULL);
}

DwnPlan *
dwn_gear_insert (const DwnPlan *plan, guint part, gboolean behind, const DwnPartType *type, GError **error)
{
  g_return_val_if_fail (part < plan->gear->n_parts && type != NULL, NULL);

  const DwnChain *gear = plan->gear;
  const char *name = dwn_gear_part_name (gear, part);
  if (!behind && gear->part[part].kind == DWN_PART_ANTENNA)
    return refuse (error, DWN_GEAR_EDIT_ERROR_END, _("%s is an antenna: nothing comes before it"), name);
  if (behind && gear->part[part].kind == DWN_PART_OUTLET)
    return refuse (error, DWN_GEAR_EDIT_ERROR_END, _("%s is where the wiring ends: nothing comes behind it"), name);

  g_autoptr (DwnWiring) wiring = dwn_wiring_new (gear);
  int edge = behind ? edge_behind (gear, part) : edge_before (gear, part);
  DwnPart made = new_part (type, gear->part[part].on_mast);
  if (edge >= 0)
    dwn_wiring_insert (wiring, (guint) edge, &made, !behind);
  else
    append (wiring, part, behind, &made);
  return finish (plan, wiring, error);
}

/* Remove --------------------------------------------------------------------------------------- */

static gboolean
is_read_there (const DwnPlan *plan, guint part)
{
  for (guint i = 0; i < plan->readings->n; i++)
    if (g_strcmp0 (plan->readings->reading[i].where, plan->gear->part[part].id) == 0)
      return TRUE;
  return FALSE;
}

static DwnPlan *
with_antennas (const DwnPlan *plan, DwnArrangement arrangement, guint n, const DwnPart *antennas,
               double aim_deg, GError **error)
{
  g_autoptr (DwnChain) chain = dwn_chain_with_head (plan->gear, arrangement, n, antennas, error);

  return chain != NULL ? with_chain (plan, chain, aim_deg) : NULL;
}

/* @antennas: room for DWN_CHAIN_MOST_ANTENNAS. @but: a part that is left out; −1: none. */
static guint
list_antennas (const DwnChain *gear, int but, DwnPart *antennas)
{
  guint n = 0;

  for (guint a = 0; a < gear->n_antennas; a++)
    if ((int) gear->antenna[a] != but)
      antennas[n++] = gear->part[gear->antenna[a]];
  return n;
}

static DwnPlan *
remove_antenna (const DwnPlan *plan, guint part, GError **error)
{
  DwnPart antennas[DWN_CHAIN_MOST_ANTENNAS];
  guint n = list_antennas (plan->gear, (int) part, antennas);
  DwnArrangement arrangement = dwn_chain_arrangement (plan->gear);

  if (n == 0)
    return refuse (error, DWN_GEAR_EDIT_ERROR_LAST,
                   _("It is the only antenna; choose another one in its place instead"));
  if (n == 1)
    arrangement = DWN_ARRANGEMENT_ONE;
  return with_antennas (plan, arrangement, n, antennas, 0.0, error);
}

/* An outlet goes with the plate and joints that only it has. */
static DwnPlan *
remove_outlet (const DwnPlan *plan, guint part, GError **error)
{
  g_autoptr (DwnWiring) wiring = dwn_wiring_new (plan->gear);
  const DwnChain *gear = plan->gear;

  if (gear->n_outlets == 1)
    return refuse (error, DWN_GEAR_EDIT_ERROR_LAST, _("It is the only outlet; a plan needs one"));
  for (;;)
    {
      const DwnEdge *edge = dwn_wiring_edge_into (wiring, part, 0);
      int before = edge != NULL ? (int) edge->from_part : -1;

      dwn_wiring_remove (wiring, part);
      if (before < 0)
        break;
      part = (guint) before - ((guint) before > part);
      DwnPartKind kind = dwn_wiring_part (wiring, part)->kind;
      if (kind != DWN_PART_PLATE && kind != DWN_PART_JOINT)
        break;
    }
  return finish (plan, wiring, error);
}

DwnPlan *
dwn_gear_remove (const DwnPlan *plan, guint part, GError **error)
{
  g_return_val_if_fail (part < plan->gear->n_parts, NULL);

  const DwnChain *gear = plan->gear;
  const char *name = dwn_gear_part_name (gear, part);
  if (is_read_there (plan, part))
    return refuse (error, DWN_GEAR_EDIT_ERROR_USED, _("A reading was taken at %s; take the reading out first"), name);
  if (gear->part[part].kind == DWN_PART_ANTENNA)
    return remove_antenna (plan, part, error);
  if (gear->part[part].kind == DWN_PART_OUTLET)
    return remove_outlet (plan, part, error);
  if (used_outputs (gear, part) > 1)
    return refuse (error, DWN_GEAR_EDIT_ERROR_BRANCH,
                   _("%s feeds %u cables; take outlets away until one is left"), name, used_outputs (gear, part));
  if (used_inputs (gear, part) > 1)
    return refuse (error, DWN_GEAR_EDIT_ERROR_BRANCH,
                   _("%s joins %u cables; take antennas away until one is left"), name, used_inputs (gear, part));

  g_autoptr (DwnWiring) wiring = dwn_wiring_new (gear);
  int before = edge_before (gear, part), behind = edge_behind (gear, part);
  if (before >= 0)
    g_array_index (wiring->edges, DwnEdge, before).to_port = 0; /* where remove looks */
  if (behind >= 0)
    g_array_index (wiring->edges, DwnEdge, behind).from_port = 0;
  dwn_wiring_remove (wiring, part);
  return finish (plan, wiring, error);
}

/* Move ----------------------------------------------------------------------------------------- */

static gboolean
stands_in_line (const DwnPlan *plan, guint part, GError **error)
{
  const DwnChain *gear = plan->gear;
  const char *name = dwn_gear_part_name (gear, part);
  DwnPartKind kind = gear->part[part].kind;

  if (kind == DWN_PART_ANTENNA || kind == DWN_PART_OUTLET)
    refuse (error, DWN_GEAR_EDIT_ERROR_END,
            kind == DWN_PART_ANTENNA ? _("%s is where the wiring begins; it cannot be moved along it")
                                     : _("%s is where the wiring ends; it cannot be moved along it"), name);
  else if (used_inputs (gear, part) != 1 || used_outputs (gear, part) != 1)
    refuse (error, DWN_GEAR_EDIT_ERROR_BRANCH,
            _("%s has more than one cable on a side; only a part with one in and one out can be moved"), name);
  else
    return TRUE;
  return FALSE;
}

/* The two of them, joined by @middle, exchange places; every cable stays where it lies. */
static void
exchange (DwnWiring *wiring, DwnEdge *first, DwnEdge *middle, DwnEdge *last)
{
  guint one = middle->from_part, other = middle->to_part;
  guint one_in = first->to_port, one_out = middle->from_port;
  guint other_in = middle->to_port, other_out = last->from_port;

  first->to_part = other;
  first->to_port = other_in;
  middle->from_part = other;
  middle->from_port = other_out;
  middle->to_part = one;
  middle->to_port = one_in;
  last->from_part = one;
  last->from_port = one_out;
}

DwnPlan *
dwn_gear_move (const DwnPlan *plan, guint part, gboolean later, GError **error)
{
  g_return_val_if_fail (part < plan->gear->n_parts, NULL);

  const DwnChain *gear = plan->gear;
  if (!stands_in_line (plan, part, error))
    return NULL;
  int before = edge_before (gear, part), behind = edge_behind (gear, part);
  guint other = later ? gear->edge[behind].to_part : gear->edge[before].from_part;
  int beyond = later ? edge_behind (gear, other) : edge_before (gear, other);
  if (beyond < 0)
    return refuse (error, DWN_GEAR_EDIT_ERROR_END,
                   later ? _("%s comes next, and nothing can stand behind it")
                         : _("%s comes before, and nothing can stand before it"),
                   dwn_gear_part_name (gear, other));

  g_autoptr (DwnWiring) wiring = dwn_wiring_new (gear);
  DwnEdge *edges = (DwnEdge *) (gpointer) wiring->edges->data;
  if (later)
    exchange (wiring, &edges[before], &edges[behind], &edges[beyond]);
  else
    exchange (wiring, &edges[beyond], &edges[before], &edges[behind]);
  return finish (plan, wiring, error);
}

/* The edge that leads into the same input, after @part was taken out; −1: it is gone. */
static int
find_edge_into (const DwnWiring *wiring, guint to_part, guint to_port)
{
  for (guint e = 0; e < wiring->edges->len; e++)
    {
      const DwnEdge *edge = &g_array_index (wiring->edges, DwnEdge, e);

      if (edge->to_part == to_part && edge->to_port == to_port)
        return (int) e;
    }
  return -1;
}

DwnPlan *
dwn_gear_move_to (const DwnPlan *plan, guint part, guint edge, gboolean late_end, GError **error)
{
  g_return_val_if_fail (part < plan->gear->n_parts && edge < plan->gear->n_edges, NULL);

  const DwnEdge *target = &plan->gear->edge[edge];
  if (!stands_in_line (plan, part, error))
    return NULL;
  if (target->from_part == part || target->to_part == part)
    return dwn_plan_ref (plan); /* it stands there already */

  g_autoptr (DwnWiring) wiring = dwn_wiring_new (plan->gear);
  const DwnPart moved = *dwn_wiring_part (wiring, part);
  dwn_wiring_remove (wiring, part);
  int found = find_edge_into (wiring, target->to_part - (target->to_part > part), target->to_port);
  g_return_val_if_fail (found >= 0, NULL);
  dwn_wiring_insert (wiring, (guint) found, &moved, late_end);
  return finish (plan, wiring, error);
}

/* Outlets -------------------------------------------------------------------------------------- */

static gboolean
is_of_outlet (DwnPartKind kind)
{
  return kind == DWN_PART_PLATE || kind == DWN_PART_JOINT;
}

/* The edge at which what belongs to the last outlet alone begins; −1: it is not connected. */
static int
leg_of_last_outlet (const DwnChain *gear)
{
  guint part = gear->outlet[gear->n_outlets - 1];
  int edge = edge_before (gear, part);

  while (edge >= 0 && is_of_outlet (gear->part[gear->edge[edge].from_part].kind))
    edge = edge_before (gear, gear->edge[edge].from_part);
  return edge;
}

/* What the signal is taken from: the nearest part before @edge that has several outputs. */
static int
find_branch (const DwnChain *gear, int edge)
{
  while (edge >= 0)
    {
      guint part = gear->edge[edge].from_part;

      if (gear->out_first[part + 1] - gear->out_first[part] > 1)
        return (int) part;
      edge = edge_before (gear, part);
    }
  return -1;
}

static const DwnPartType *
larger_splitter (const DwnPartList *list, guint n_out)
{
  guint n;
  const DwnPartType *const *types = dwn_part_list_types (list, &n);
  const DwnPartType *best = NULL;

  for (guint i = 0; i < n; i++)
    if (types[i]->kind == DWN_PART_SPLITTER && types[i]->n_out >= n_out
        && (best == NULL || types[i]->n_out < best->n_out))
      best = types[i];
  return best;
}

/* Copies the last outlet with what is its own, from output @port of @from. */
static void
copy_leg (DwnWiring *wiring, const DwnChain *gear, guint from, guint port, const DwnEdge *like, int leg)
{
  const DwnEdge *edge = leg >= 0 ? &gear->edge[leg] : NULL;
  guint source = edge != NULL ? edge->to_part : gear->outlet[gear->n_outlets - 1];

  for (;;)
    {
      DwnPart part = gear->part[source];
      g_autofree char *id = g_strdup_printf ("tv%u", gear->n_outlets + 1);

      part.name = NULL;
      if (part.kind == DWN_PART_OUTLET)
        part.id = g_intern_string (id);
      guint made = dwn_wiring_add (wiring, &part);
      dwn_wiring_join (wiring, from, port, made, 0, like);
      int next = edge_behind (gear, source);
      if (part.kind == DWN_PART_OUTLET || next < 0)
        return;
      from = made;
      port = 0;
      like = &gear->edge[next];
      source = like->to_part;
    }
}

/* Gives @branch a free output, a larger type where it has none. */
static gboolean
make_output (DwnWiring *wiring, const DwnChain *gear, guint branch, guint *port, GError **error)
{
  guint n_out = gear->out_first[branch + 1] - gear->out_first[branch];

  for (*port = 0; *port < n_out; (*port)++)
    if (gear->out_edge[gear->out_first[branch] + *port] < 0)
      return TRUE;
  const DwnPartType *larger = gear->part[branch].kind == DWN_PART_SPLITTER
                                ? larger_splitter (gear->list, n_out + 1) : NULL;
  if (larger == NULL)
    {
      refuse (error, DWN_GEAR_EDIT_ERROR_PORTS,
              _("%s has no output left, and there is no larger one; put a splitter behind one of its outputs"),
              dwn_gear_part_name (gear, branch));
      return FALSE;
    }
  dwn_wiring_part (wiring, branch)->type = g_intern_string (larger->id);
  return TRUE;
}

/* A first splitter, at the far end of the cable that led to the only outlet. */
static gboolean
make_splitter (DwnWiring *wiring, const DwnChain *gear, int leg, guint *splitter)
{
  const DwnPartType *type = larger_splitter (gear->list, 2);

  if (type == NULL)
    return FALSE;
  DwnPart made = new_part (type, FALSE);
  *splitter = dwn_wiring_insert (wiring, (guint) leg, &made, TRUE);
  return TRUE;
}

DwnPlan *
dwn_gear_add_outlet (const DwnPlan *plan, GError **error)
{
  const DwnChain *gear = plan->gear;
  int leg = gear->n_outlets > 0 ? leg_of_last_outlet (gear) : -1;

  if (leg < 0)
    return refuse (error, DWN_GEAR_EDIT_ERROR_PORTS, _("No outlet is connected that another could be like"));

  g_autoptr (DwnWiring) wiring = dwn_wiring_new (gear);
  int branch = find_branch (gear, leg);
  guint from, port = 1;
  DwnEdge like = gear->edge[leg];
  if (branch < 0)
    {
      like.length_m = like.cable != NULL ? NEW_CABLE_M : 0.0;
      if (!make_splitter (wiring, gear, leg, &from))
        return refuse (error, DWN_GEAR_EDIT_ERROR_PORTS, _("The list of parts has no splitter"));
    }
  else if (!make_output (wiring, gear, from = (guint) branch, &port, error))
    return NULL;
  copy_leg (wiring, gear, from, port, &like, leg);
  return finish (plan, wiring, error);
}

/* Antennas ------------------------------------------------------------------------------------- */

DwnPlan *
dwn_gear_arrange (const DwnPlan *plan, DwnArrangement arrangement, GError **error)
{
  DwnPart antennas[DWN_CHAIN_MOST_ANTENNAS];
  guint n = list_antennas (plan->gear, -1, antennas);
  gboolean alone = arrangement == DWN_ARRANGEMENT_ONE || arrangement == DWN_ARRANGEMENT_ROTATOR;

  if (n < 2 && !alone)
    return refuse (error, DWN_GEAR_EDIT_ERROR_PORTS, _("It takes a second antenna; add one first"));
  if (n > 1 && alone)
    return refuse (error, DWN_GEAR_EDIT_ERROR_PORTS, _("It takes one antenna; remove the others first"));
  return with_antennas (plan, arrangement, n, antennas, 0.0, error);
}

static const double middle_mhz[DWN_N_BANDS] = { 69.0, 195.0, 545.0 };

/* The band in which it gets most into its line; of several alike the highest. */
static guint
best_band (const DwnPattern *pattern)
{
  guint best = 0;
  double most = -(double) INFINITY;

  for (guint band = 0; band < DWN_N_BANDS; band++)
    {
      double dbi = dwn_pattern_max_gain_dbi (pattern, middle_mhz[band])
                   - dwn_pattern_mismatch_db (pattern, middle_mhz[band]);

      if (dbi >= most)
        {
          most = dbi;
          best = band;
        }
    }
  return best;
}

double
dwn_gear_best_mhz (const DwnPattern *pattern)
{
  return middle_mhz[best_band (pattern)];
}

static const char *
free_id (const DwnChain *gear, const char *stem)
{
  g_autofree char *id = g_strdup (stem);

  for (guint n = 2; dwn_chain_find (gear, id) >= 0; n++)
    {
      g_free (id);
      id = g_strdup_printf ("%s-%u", stem, n);
    }
  return g_intern_string (id);
}

DwnPlan *
dwn_gear_add_antenna (const DwnPlan *plan, const DwnPattern *pattern, double aim_deg, GError **error)
{
  g_return_val_if_fail (pattern != NULL, NULL);

  DwnPart antennas[DWN_CHAIN_MOST_ANTENNAS + 1];
  guint n = list_antennas (plan->gear, -1, antennas);
  gboolean by_band = TRUE;

  for (guint a = 0; a < n; a++)
    by_band &= best_band (antennas[a].pattern) != best_band (pattern);
  dwn_part_init (&antennas[n]);
  antennas[n].id = free_id (plan->gear, "antenna");
  antennas[n].kind = DWN_PART_ANTENNA;
  antennas[n].type = g_intern_string (pattern->id);
  antennas[n].pattern = pattern;
  antennas[n].on_mast = TRUE;
  antennas[n].polarisation = n > 0 ? antennas[0].polarisation : DWN_POLARISATION_HORIZONTAL;
  antennas[n].below_top_m = n * 1.0;
  antennas[n].price = pattern->price;
  DwnArrangement arrangement = n > 1 ? dwn_chain_arrangement (plan->gear)
                               : by_band ? DWN_ARRANGEMENT_SPLIT_BY_BAND : DWN_ARRANGEMENT_HYBRID;
  return with_antennas (plan, arrangement, n + 1, antennas, aim_deg, error);
}
