#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

#include "core/chain/power.h"
#include "draw/plan-view.h"
#include "words/diagnosis-words.h"

/* Other stations are spoken of when they make this share of the noise. */
#define SAID_SHARE 0.05

/* Built up while drawing; index arrays are by part of the gear. */
typedef struct {
  const DwnPlanView *view;
  const DwnChain *gear;
  DwnPlanGear *out;
  GArray *nodes, *edges, *columns; /* of the drawing */
  int *node_of_part;
} Builder;

static const char *
keep (Builder *self, char *text)
{
  const char *kept = g_string_chunk_insert (self->out->strings, text != NULL ? text : "");

  g_free (text);
  return kept;
}

/* Too small for a symbol with a name: what it does is in the figures. */
static gboolean
is_small (const DwnPart *part)
{
  return part->kind == DWN_PART_BALUN || part->kind == DWN_PART_PLATE || part->kind == DWN_PART_JOINT;
}

static gboolean
is_hidden (const Builder *self, guint k)
{
  return !self->view->every_part && is_small (&self->gear->part[k]);
}

static DwnGearSymbol
antenna_symbol (const DwnPart *part)
{
  if (strstr (part->type, "lpda") != NULL)
    return DWN_GEAR_LOG_PERIODIC;
  if (strstr (part->type, "bowtie") != NULL || strstr (part->type, "screen") != NULL
      || strstr (part->type, "corner") != NULL)
    return DWN_GEAR_PANEL;
  if (strstr (part->type, "dipole") != NULL || strstr (part->type, "loop") != NULL
      || strstr (part->type, "turnstile") != NULL || strstr (part->type, "telescopic") != NULL)
    return DWN_GEAR_DIPOLE;
  return DWN_GEAR_YAGI;
}

static DwnGearSymbol
symbol_of (const DwnChain *gear, guint k)
{
  switch (gear->part[k].kind)
    {
    case DWN_PART_ANTENNA:
      return antenna_symbol (&gear->part[k]);
    case DWN_PART_COMBINER:
      return gear->type[k]->hybrid ? DWN_GEAR_HYBRID : DWN_GEAR_COMBINER;
    case DWN_PART_FILTER:
    case DWN_PART_EQUALISER:
      return DWN_GEAR_FILTER;
    case DWN_PART_AMPLIFIER:
      return DWN_GEAR_AMPLIFIER;
    case DWN_PART_INSERTER:
      return DWN_GEAR_INSERTER;
    case DWN_PART_SURGE:
      return DWN_GEAR_SURGE;
    case DWN_PART_SPLITTER:
      return DWN_GEAR_SPLITTER;
    case DWN_PART_TAP:
      return DWN_GEAR_TAP;
    case DWN_PART_ATTENUATOR:
      return DWN_GEAR_ATTENUATOR;
    case DWN_PART_SWITCH:
      return DWN_GEAR_SWITCH;
    case DWN_PART_OUTLET:
      return DWN_GEAR_OUTLET;
    case DWN_PART_BALUN:
      return DWN_GEAR_BALUN;
    case DWN_PART_PLATE:
      return DWN_GEAR_PLATE;
    case DWN_PART_JOINT:
    default:
      return DWN_GEAR_JOINT;
    }
}

/* What stands over a column of figures. */
static const char *
short_name (const DwnWording *wording, DwnPartKind kind)
{
  if (kind == DWN_PART_INSERTER)
    return dwn_word (wording, N_("Inserter"));
  if (kind == DWN_PART_SURGE)
    return dwn_word (wording, N_("Block"));
  return dwn_word_part_kind (wording, kind);
}

static char *
antenna_name (const Builder *self, guint k)
{
  const DwnWording *wording = self->view->wording;
  guint a = 0;

  while (self->gear->antenna[a] != k)
    a++;
  g_autofree char *name = dwn_word_antenna (wording, self->gear, a);
  g_autofree char *aim = dwn_word_bearing (wording, self->view->findings.aim_deg[a]);
  char *text = self->gear->part[k].rotator ? g_strdup (name) : g_strconcat (name, " ", aim, NULL);

  if (g_ascii_islower (text[0]))
    text[0] = g_ascii_toupper (text[0]);
  return text;
}

static char *
outlet_name (const Builder *self, guint k)
{
  guint o = 0;

  while (self->gear->outlet[o] != k)
    o++;
  return g_strdup_printf (dwn_word (self->view->wording, N_("Outlet %u")), o + 1);
}

static char *
name_of (const Builder *self, guint k)
{
  const DwnPart *part = &self->gear->part[k];

  if (part->kind == DWN_PART_ANTENNA)
    return antenna_name (self, k);
  if (part->name != NULL)
    return g_strdup (part->name);
  if (part->kind == DWN_PART_OUTLET)
    return outlet_name (self, k);
  if (part->kind == DWN_PART_AMPLIFIER && part->on_mast)
    return g_strdup (dwn_word (self->view->wording, N_("Mast amplifier")));
  return g_strdup (dwn_word_part_kind (self->view->wording, part->kind));
}

/* At which frequency gains are written: the selected station's, or the middle of UHF. */
static double
shown_mhz (const DwnPlanView *view)
{
  return view->station >= 0 ? view->findings.plan->stations->station[view->station].mhz : 545.0;
}

/* The bands that input @in of a combiner lets through, as a word. */
static const char *
input_bands (const Builder *self, guint k, guint in)
{
  static const double middle_mhz[DWN_N_BANDS] = { 69.0, 195.0, 545.0 };
  const guint uhf = 1u << DWN_BAND_UHF;
  guint passed = 0;

  for (guint band = 0; band < DWN_N_BANDS; band++)
    if (dwn_chain_part_gain_db (self->gear, k, in, 0, middle_mhz[band]) > -6.0)
      passed |= 1u << band;
  if (passed == uhf)
    return dwn_word (self->view->wording, N_("UHF"));
  return passed != 0 && (passed & uhf) == 0 ? dwn_word (self->view->wording, N_("VHF")) : "";
}

/* One line an input, in the order in which the cables come in. */
static char *
combiner_text (const Builder *self, guint k)
{
  GString *text = g_string_new (NULL);

  for (guint e = 0; e < self->gear->n_edges; e++)
    if (self->gear->edge[e].to_part == k)
      g_string_append_printf (text, "%s%s", text->len > 0 ? "\n" : "",
                              input_bands (self, k, self->gear->edge[e].to_port));
  return g_string_free (text, FALSE);
}

static char *
text_in_symbol (const Builder *self, guint k)
{
  const DwnWording *wording = self->view->wording;
  double mhz = shown_mhz (self->view);

  switch (self->gear->part[k].kind)
    {
    case DWN_PART_AMPLIFIER:
    case DWN_PART_ATTENUATOR:
      return dwn_word_signed (wording, dwn_chain_part_gain_db (self->gear, k, 0, 0, mhz), 0);
    case DWN_PART_SPLITTER:
      return g_strdup_printf ("1 : %u", self->gear->type[k]->n_out);
    case DWN_PART_COMBINER:
      return self->gear->type[k]->hybrid ? NULL : combiner_text (self, k);
    default:
      return NULL;
    }
}

/* The number of the first check that is about part @k itself, or about cable @e. */
static const char *
fault_at (Builder *self, guint k, int e)
{
  const GArray *checks = self->view->checks;

  for (guint i = 0; checks != NULL && i < checks->len; i++)
    {
      const DwnCheck *check = &g_array_index (checks, DwnCheck, i);
      int edge = check->code == DWN_CHECK_POWER ? check->power.edge : -1;
      gboolean here = e >= 0 ? edge == e : edge < 0 && check->part == (int) k;

      if (here)
        return keep (self, g_strdup_printf ("%u", i + 1));
    }
  return NULL;
}

static void
add_node (Builder *self, guint k)
{
  const DwnPart *part = &self->gear->part[k];
  char *text = text_in_symbol (self, k);
  DwnGearNode node = {
    .id = k,
    .symbol = symbol_of (self->gear, k),
    .name = keep (self, name_of (self, k)),
    .text = text != NULL ? keep (self, text) : NULL,
    .mains = part->kind == DWN_PART_INSERTER
             ? dwn_word (self->view->wording, N_("mains, do not unplug")) : NULL,
    .indoors = !part->on_mast,
    .small = is_small (part),
    .fault = fault_at (self, k, -1),
  };

  self->node_of_part[k] = (int) self->nodes->len;
  g_array_append_val (self->nodes, node);
}

/* Where an edge arrives, hidden parts passed over. */
typedef struct {
  guint part;
  double volts;
  const char *fault;
} Reach;

static gboolean
follow (Builder *self, guint e, const DwnPower *power, Reach *reach)
{
  const DwnEdge *edge = &self->gear->edge[e];
  guint next = edge->to_part;

  if (!isnan (power->edge_volts[e]))
    reach->volts = power->edge_volts[e];
  if (reach->fault == NULL)
    reach->fault = fault_at (self, 0, (int) e);
  if (!is_hidden (self, next))
    {
      reach->part = next;
      return TRUE;
    }
  for (guint onward = 0; onward < self->gear->n_edges; onward++)
    if (self->gear->edge[onward].from_part == next)
      return follow (self, onward, power, reach);
  return FALSE;
}

static const char *
dc_text (Builder *self, double volts)
{
  g_autofree char *number = dwn_word_number (self->view->wording, volts, 0);

  return keep (self, g_strdup_printf (dwn_word (self->view->wording, N_("%s V DC")), number));
}

/* The whole cable from the symbol with a name that @e comes from or passes, to the next one, marks
 * on the way included. @end: what it reaches. */
static double
run_length_m (const Builder *self, guint e, guint *end)
{
  const DwnChain *gear = self->gear;
  double length_m = 0.0;
  int at = (int) e;

  while (is_small (&gear->part[gear->edge[at].from_part])
         && gear->in_edge[gear->in_first[gear->edge[at].from_part]] >= 0)
    at = gear->in_edge[gear->in_first[gear->edge[at].from_part]];
  for (;;)
    {
      length_m += gear->edge[at].cable != NULL ? gear->edge[at].length_m : 0.0;
      *end = gear->edge[at].to_part;
      if (!is_small (&gear->part[*end]) || gear->out_edge[gear->out_first[*end]] < 0)
        return length_m;
      at = gear->out_edge[gear->out_first[*end]];
    }
}

static void
add_edge (Builder *self, guint e, const DwnPower *power)
{
  Reach reach = { .volts = (double) NAN };

  if (is_hidden (self, self->gear->edge[e].from_part) || !follow (self, e, power, &reach))
    return;
  guint end;
  double length_m = run_length_m (self, e, &end);
  gboolean first_piece = !is_small (&self->gear->part[self->gear->edge[e].from_part]);
  gboolean to_outlet = self->gear->part[reach.part].kind == DWN_PART_OUTLET;
  char *length = length_m > 0.0 ? dwn_word_length (self->view->wording, length_m) : NULL;
  DwnGearEdge edge = {
    .from = (guint) self->node_of_part[self->gear->edge[e].from_part],
    .to = (guint) self->node_of_part[reach.part],
    .length = length != NULL && first_piece && self->gear->part[end].kind != DWN_PART_OUTLET
                ? keep (self, g_strdup (length)) : NULL,
    .dc = isnan (reach.volts) ? 0 : -1,
    .dc_text = isnan (reach.volts) ? NULL : dc_text (self, reach.volts),
    .id = e,
    .fault = reach.fault,
  };

  if (to_outlet && length != NULL)
    g_array_index (self->nodes, DwnGearNode, edge.to).detail = keep (self, g_strdup (length));
  g_free (length);
  g_array_append_val (self->edges, edge);
}

static char *
figure (const Builder *self, double value)
{
  return isnan (value) || isinf (value) ? g_strdup ("\xE2\x80\x93")
                                        : dwn_word_number (self->view->wording, value, 1);
}

static gboolean
has_column (const Builder *self, guint node)
{
  for (guint c = 0; c < self->columns->len; c++)
    if (g_array_index (self->columns, DwnGearColumn, c).node == node)
      return TRUE;
  return FALSE;
}

/* The figures after @k, those of hidden parts behind it included: what goes on from here. */
static void
add_column (Builder *self, const DwnLevelStep *step)
{
  const char **figures = g_new0 (const char *, 3);
  int node = self->node_of_part[step->index];
  gboolean last = self->gear->part[step->index].kind == DWN_PART_OUTLET;

  g_ptr_array_add (self->out->blocks, figures);
  figures[0] = keep (self, dwn_word_level_figure (self->view->wording, step->level_dbm, 1));
  figures[1] = keep (self, figure (self, step->cn_db));
  figures[2] = keep (self, figure (self, step->headroom_db));
  DwnGearColumn column = {
    .node = (guint) node,
    .title = last ? g_array_index (self->nodes, DwnGearNode, node).name
                  : short_name (self->view->wording, self->gear->part[step->index].kind),
    .figures = figures,
    .last = last,
  };
  const DwnWorst *worst = self->view->worst != NULL ? &self->view->worst[step->index] : NULL;
  if (worst != NULL && worst->station >= 0)
    column.span = self->view->findings.plan->stations->station[worst->station].name;
  g_array_append_val (self->columns, column);
}

/* Of the parts that lie off the way that is followed, towards other outlets, marks included. */
static void
add_aside (Builder *self, guint station)
{
  guint n = self->columns->len;

  for (guint o = 0; o < self->view->findings.budget->n_outlets; o++)
    {
      g_autoptr (GArray) levels = dwn_levels_along (self->view->base, self->view->findings.budget, station, o, 0.0);

      for (guint i = 0; levels != NULL && i < levels->len; i++)
        {
          const DwnLevelStep *step = &g_array_index (levels, DwnLevelStep, i);

          if (!step->is_edge && !has_column (self, (guint) self->node_of_part[step->index]))
            add_column (self, step);
        }
    }
  self->out->data.n_aside = self->columns->len - n;
}

static void
summarise (Builder *self, const DwnReception *reception)
{
  const DwnWording *wording = self->view->wording;
  g_autofree char *cn = dwn_word_decibels (wording, reception->cn_db);
  g_autofree char *needed = dwn_word_decibels (wording, reception->needed_db);
  g_autofree char *margin = dwn_word_decibels (wording, reception->margin_db);
  g_autofree char *chance = dwn_word_chance (wording, reception->chance);

  if (reception->interference_share > SAID_SHARE)
    self->out->data.summary = keep (self, g_strdup_printf (
      dwn_word (wording, N_("With the set\xE2\x80\x99s own noise and other stations: C/N %s, needed %s, "
                            "margin %s, chance %s.")), cn, needed, margin, chance));
  else
    self->out->data.summary = keep (self, g_strdup_printf (
      dwn_word (wording, N_("With the set\xE2\x80\x99s own noise: C/N %s, needed %s, margin %s, "
                            "chance %s.")), cn, needed, margin, chance));
}

static void
add_strip (Builder *self)
{
  const DwnPlanView *view = self->view;
  const DwnBudget *budget = view->findings.budget;

  if (view->station < 0 || budget->n_outlets == 0)
    return;
  guint station = (guint) view->station;
  guint outlet = view->outlet >= 0 ? (guint) view->outlet : budget->weakest[station];
  g_autoptr (GArray) levels = dwn_levels_along (view->base, budget, station, outlet, 0.0);
  if (levels == NULL)
    return;
  const DwnStation *s = &view->findings.plan->stations->station[station];
  g_autofree char *rf = dwn_word_rf (view->wording, s);

  self->out->data.note = keep (self, g_strdup_printf (
    /* Translators: "after each part, for Vennor on RF 35" */
    dwn_word (view->wording, N_("after each part, for %s on %s")), s->name, rf));
  for (guint i = 0; i < levels->len; i++)
    {
      const DwnLevelStep *step = &g_array_index (levels, DwnLevelStep, i);

      if (!step->is_edge && !is_small (&self->gear->part[step->index]))
        add_column (self, step);
    }
  if (view->every_part)
    add_aside (self, station);
  summarise (self, &budget->reception[(gsize) station * budget->n_outlets + outlet]);
}

static void
name_rows (Builder *self)
{
  const DwnWording *wording = self->view->wording;
  const char **rows = g_new0 (const char *, 3);

  g_ptr_array_add (self->out->blocks, rows);
  rows[0] = keep (self, g_strdup_printf (dwn_word (wording, N_("Level, %s")), dwn_word_level_unit (wording)));
  rows[1] = dwn_word (wording, N_("C/N, dB"));
  rows[2] = dwn_word (wording, N_("Headroom, dB"));
  self->out->data.n_rows = 3;
  self->out->data.rows = rows;
  if (self->view->worst != NULL)
    self->out->data.spans = dwn_word (wording, N_("Weakest"));
}

static void
finish (Builder *self)
{
  DwnGearDrawing *data = &self->out->data;

  data->n_nodes = self->nodes->len;
  data->n_edges = self->edges->len;
  data->n_columns = self->columns->len - data->n_aside;
  data->nodes = (DwnGearNode *) (gpointer) self->nodes->data;
  data->edges = (DwnGearEdge *) (gpointer) self->edges->data;
  data->columns = (DwnGearColumn *) (gpointer) self->columns->data;
  g_ptr_array_add (self->out->blocks, g_array_free (self->nodes, FALSE));
  g_ptr_array_add (self->out->blocks, g_array_free (self->edges, FALSE));
  g_ptr_array_add (self->out->blocks, g_array_free (self->columns, FALSE));
  g_free (self->node_of_part);
}

DwnPlanGear *
dwn_plan_gear_new (const DwnPlanView *view)
{
  DwnPlanGear *out = g_new0 (DwnPlanGear, 1);
  const DwnChain *gear = view->findings.plan->gear;
  g_autoptr (DwnPower) power = dwn_power_new (gear);
  Builder self = {
    .view = view, .gear = gear, .out = out,
    .nodes = g_array_new (FALSE, FALSE, sizeof (DwnGearNode)),
    .edges = g_array_new (FALSE, FALSE, sizeof (DwnGearEdge)),
    .columns = g_array_new (FALSE, FALSE, sizeof (DwnGearColumn)),
    .node_of_part = g_new0 (int, gear->n_parts),
  };

  out->strings = g_string_chunk_new (1024);
  out->blocks = g_ptr_array_new_with_free_func (g_free);
  out->data.title = dwn_word (view->wording, N_("Gear chain"));
  out->data.on_mast = dwn_word (view->wording, N_("on the mast"));
  out->data.indoors = dwn_word (view->wording, N_("indoors"));
  for (guint k = 0; k < gear->n_parts; k++)
    if (!is_hidden (&self, k))
      add_node (&self, k);
  for (guint e = 0; e < gear->n_edges; e++)
    add_edge (&self, e, power);
  name_rows (&self);
  add_strip (&self);
  finish (&self);
  return out;
}

void
dwn_plan_gear_free (DwnPlanGear *gear)
{
  g_ptr_array_unref (gear->blocks);
  g_string_chunk_free (gear->strings);
  g_free (gear);
}
