#include <glib/gi18n-lib.h>
#include <math.h>

#include "draw/plan-explain.h"
#include "words/diagnosis-words.h"
#include "words/remedy-words.h"

#define DOT " \xC2\xB7 "
/* A step that does less has no column of its own. */
#define SMALL_DB 0.5
/* Cables and small parts together do, and what the antenna's feed reflects. */
#define GROUP_DB 1.5
#define FEED_DB 3.0
/* A part of any kind that loses this much is worth a column. */
#define LARGE_DB 3.0

/* One column: the steps from first to last stand in it, and `of` gives it its name. */
typedef struct {
  guint first, last, of;
  double cable_m;
} Column;

typedef struct {
  const DwnPlanView *view;
  const DwnWording *wording;
  const DwnDiagnosis *diagnosis;
  DwnPlanStaircase *out;
  GArray *columns; /* Column */
} Stairs;

static const char *
keep (Stairs *self, char *text)
{
  const char *kept = text == NULL ? NULL : g_string_chunk_insert (self->out->strings, text);

  g_free (text);
  return kept;
}

/* Columns */

static const DwnLossStep *
step_at (const Stairs *self, guint k)
{
  return &self->diagnosis->step[k];
}

static Column *
last_column (const Stairs *self)
{
  return &g_array_index (self->columns, Column, self->columns->len - 1);
}

static double
cable_m (const Stairs *self, guint k)
{
  return step_at (self, k)->kind == DWN_LOSS_CABLE
         ? self->view->findings.plan->gear->edge[step_at (self, k)->index].length_m : 0.0;
}

static void
open_column (Stairs *self, guint k)
{
  const Column column = { k, k, k, cable_m (self, k) };

  g_array_append_val (self->columns, column);
}

static void
join_column (Stairs *self, guint k)
{
  last_column (self)->last = k;
  last_column (self)->cable_m += cable_m (self, k);
}

/* Parts that installers talk of; the rest goes with the cable. */
static gboolean
is_major (const Stairs *self, const DwnLossStep *step)
{
  if (step->kind != DWN_LOSS_PART)
    return FALSE;
  switch (self->view->findings.plan->gear->part[step->index].kind)
    {
    case DWN_PART_AMPLIFIER:
    case DWN_PART_SPLITTER:
    case DWN_PART_TAP:
    case DWN_PART_COMBINER:
    case DWN_PART_FILTER:
    case DWN_PART_ATTENUATOR:
    case DWN_PART_EQUALISER:
    case DWN_PART_SWITCH:
    case DWN_PART_OUTLET:
      return TRUE;
    case DWN_PART_ANTENNA:
    case DWN_PART_BALUN:
    case DWN_PART_INSERTER:
    case DWN_PART_SURGE:
    case DWN_PART_PLATE:
    case DWN_PART_JOINT:
    default:
      return fabs (step->gain_db) >= LARGE_DB;
    }
}

static double
column_db (const Stairs *self, const Column *column)
{
  double sum_db = 0.0;

  for (guint k = column->first; k <= column->last; k++)
    sum_db += step_at (self, k)->gain_db;
  return sum_db;
}

static gboolean
is_outlet (const Stairs *self, const DwnLossStep *step)
{
  return step->kind == DWN_LOSS_PART
         && self->view->findings.plan->gear->part[step->index].kind == DWN_PART_OUTLET;
}

/* May the last column, cables and small parts, go with the major part @k that follows it? The
 * outlet takes its cable with it; others only what is small. An amplifier stands alone. */
static gboolean
goes_with (const Stairs *self, guint k)
{
  const DwnLossStep *major = step_at (self, k);
  const Column *before = last_column (self);
  DwnLossKind kind = step_at (self, before->of)->kind;

  if ((kind != DWN_LOSS_CABLE && kind != DWN_LOSS_PART) || is_major (self, step_at (self, before->of)))
    return FALSE;
  if (is_outlet (self, major))
    return TRUE;
  return fabs (column_db (self, before)) < GROUP_DB && major->gain_db < 0.0;
}

/* Cables and small parts gather until a major part comes. */
static void
add_gear_step (Stairs *self, guint k)
{
  const DwnLossStep *step = step_at (self, k), *before = step_at (self, last_column (self)->of);
  gboolean in_gear = before->kind == DWN_LOSS_CABLE || before->kind == DWN_LOSS_PART
                     || before->kind == DWN_LOSS_OTHERS;

  if (is_major (self, step))
    {
      if (goes_with (self, k))
        {
          join_column (self, k);
          last_column (self)->of = k;
        }
      else
        open_column (self, k);
    }
  else if (in_gear && !is_major (self, before))
    join_column (self, k);
  else if (in_gear && step->kind != DWN_LOSS_CABLE && fabs (step->gain_db) < SMALL_DB)
    join_column (self, k);
  else
    open_column (self, k);
}

/* A gathering of almost nothing before an amplifier goes with what comes before it. */
static void
fold_small (Stairs *self)
{
  for (guint c = self->columns->len; c-- > 1;)
    {
      Column *column = &g_array_index (self->columns, Column, c);
      Column *before = column - 1;
      DwnLossKind kind = step_at (self, column->of)->kind;
      gboolean gear = kind == DWN_LOSS_CABLE || (kind == DWN_LOSS_PART && !is_major (self, step_at (self, column->of)));

      if (!(gear && fabs (column_db (self, column)) < SMALL_DB)
          && !(is_outlet (self, step_at (self, column->of)) && column->first == column->last))
        continue;
      if (is_outlet (self, step_at (self, column->of)) && step_at (self, before->of)->kind == DWN_LOSS_ANTENNA)
        continue;
      before->last = column->last;
      before->cable_m += column->cable_m;
      g_array_remove_index (self->columns, c);
    }
}

/* Does step @k go into the column before it? */
static gboolean
joins_path (const Stairs *self, guint k)
{
  const DwnLossStep *step = step_at (self, k);
  DwnLossKind before = step_at (self, last_column (self)->of)->kind;

  switch (step->kind)
    {
    case DWN_LOSS_FADING:
      return before == DWN_LOSS_TERRAIN || before == DWN_LOSS_CURVES || before == DWN_LOSS_HORIZON;
    case DWN_LOSS_AIM:
    case DWN_LOSS_POLARISATION:
      return fabs (step->gain_db) < SMALL_DB;
    case DWN_LOSS_FEED:
      return step->gain_db > -FEED_DB;
    case DWN_LOSS_BEAM:
    case DWN_LOSS_READING:
    case DWN_LOSS_HOUSE:
    case DWN_LOSS_OTHERS:
      return fabs (step->gain_db) < SMALL_DB;
    case DWN_LOSS_POWER:
    case DWN_LOSS_FREE_SPACE:
    case DWN_LOSS_HORIZON:
    case DWN_LOSS_RIDGE:
    case DWN_LOSS_TERRAIN:
    case DWN_LOSS_CURVES:
    case DWN_LOSS_ANTENNA:
    case DWN_LOSS_CABLE:
    case DWN_LOSS_PART:
    default:
      return FALSE;
    }
}

static void
gather_columns (Stairs *self)
{
  open_column (self, 0);
  for (guint k = 1; k < self->diagnosis->n_steps; k++)
    {
      DwnLossKind kind = step_at (self, k)->kind;

      if (kind == DWN_LOSS_CABLE || kind == DWN_LOSS_PART)
        add_gear_step (self, k);
      else if (joins_path (self, k))
        join_column (self, k);
      else
        open_column (self, k);
    }
  fold_small (self);
}

/* Their words */

static gboolean
has_kind (const Stairs *self, const Column *column, DwnLossKind kind)
{
  for (guint k = column->first; k <= column->last; k++)
    if (step_at (self, k)->kind == kind)
      return TRUE;
  return FALSE;
}

static const char *
column_name (Stairs *self, const Column *column)
{
  const DwnLossStep *step = step_at (self, column->of);

  /* Where small parts lead a column, its cable names it. */
  if (step->kind == DWN_LOSS_PART && !is_major (self, step) && column->cable_m > 0.0)
    return dwn_word (self->wording, N_("Cable"));
  return keep (self, dwn_word_loss_name (self->wording, &self->view->findings, self->diagnosis, step));
}

static const char *
amplifier_detail (Stairs *self, const DwnLossStep *step)
{
  g_autofree char *gain = dwn_word_number (self->wording, step->gain_db, 0);

  if (!self->view->findings.plan->gear->powered[step->index])
    return dwn_word (self->wording, N_("no power"));
  return keep (self, g_strdup_printf (dwn_word (self->wording, N_("%s dB")), gain));
}

static const char *
column_detail (Stairs *self, const Column *column)
{
  const DwnLossStep *step = step_at (self, column->of);
  gboolean is_amplifier = step->kind == DWN_LOSS_PART
    && self->view->findings.plan->gear->part[step->index].kind == DWN_PART_AMPLIFIER;

  if (is_amplifier)
    return amplifier_detail (self, step);
  if (column->cable_m > 0.0 && (is_outlet (self, step) || !is_major (self, step)))
    return keep (self, dwn_word_length (self->wording, column->cable_m));
  if (has_kind (self, column, DWN_LOSS_FADING) && step->kind != DWN_LOSS_FADING)
    return dwn_word (self->wording, N_("and fading"));
  return keep (self, dwn_word_loss_detail (self->wording, &self->view->findings, self->diagnosis, step));
}

/* Is a step of the column among what the sentence names? A part that is overloaded or unpowered is
 * named itself. */
static gboolean
is_cause (const Stairs *self, const Column *column)
{
  const DwnDiagnosis *diagnosis = self->diagnosis;

  for (guint k = column->first; k <= column->last; k++)
    {
      const DwnLossStep *step = step_at (self, k);
      gboolean is_fault = (diagnosis->chief == DWN_CAUSE_OVERLOAD || diagnosis->chief == DWN_CAUSE_NO_POWER)
                          && step->kind == DWN_LOSS_PART && step->index == diagnosis->index;
      gboolean is_loss = step->gain_db <= -SMALL_DB && dwn_diagnosis_names (diagnosis, step->cause)
                         && !(step->kind == DWN_LOSS_FREE_SPACE && diagnosis->chief != DWN_CAUSE_DISTANCE);

      if (is_fault || is_loss)
        return TRUE;
    }
  return FALSE;
}

static void
fill_steps (Stairs *self)
{
  guint n = self->columns->len;
  DwnStair *steps = g_new0 (DwnStair, n);

  for (guint c = 0; c < n; c++)
    {
      const Column *column = &g_array_index (self->columns, Column, c);
      double gain_db = column_db (self, column);

      steps[c] = (DwnStair) {
        .id = column->first,
        .name = column_name (self, column),
        .detail = column_detail (self, column),
        .value = keep (self, dwn_word_signed (self->wording, gain_db, 1)),
        .gain_db = gain_db,
        .cause = is_cause (self, column),
        .enough_dbm = step_at (self, column->last)->enough_dbm,
      };
    }
  self->out->steps = steps;
  self->out->data.steps = steps;
  self->out->data.n_steps = n;
}

static const char *
remedy_text (Stairs *self, const DwnRemedy *remedy)
{
  g_autofree char *text = dwn_word_remedy (self->wording, &self->view->findings, remedy);
  g_autofree char *effect = dwn_word_remedy_effect (self->wording, &self->view->findings, remedy);

  return keep (self, effect == NULL ? g_strdup (text) : g_strconcat (text, "; ", effect, NULL));
}

static void
fill_remedies (Stairs *self, const DwnRemedies *remedies, guint most)
{
  guint n = remedies == NULL ? 0 : MIN (remedies->n, most);
  DwnStairRemedy *lines = g_new0 (DwnStairRemedy, n + 1);

  for (guint k = 0; k < n; k++)
    {
      const DwnRemedy *remedy = &remedies->remedy[k];
      g_autofree char *gain = dwn_word_signed (self->wording, remedy->gain_db, 1);

      lines[k] = (DwnStairRemedy) {
        .id = k,
        .text = remedy_text (self, remedy),
        .gain = keep (self, g_strconcat (gain, "\xC2\xA0", "dB", NULL)),
        .chance = keep (self, dwn_word_chance (self->wording, remedy->reception.chance)),
        .gain_db = remedy->gain_db,
      };
    }
  self->out->remedies = lines;
  self->out->data.remedies = lines;
  self->out->data.n_remedies = n;
}

char *
dwn_word_explain_title (const DwnPlanView *view, const DwnDiagnosis *diagnosis)
{
  const char *name = view->findings.plan->stations->station[diagnosis->station].name;

  if (diagnosis->reception.chance >= DWN_CHANCE_HELD)
    return g_strdup_printf (dwn_word (view->wording, N_("How %s comes in")), name);
  if (diagnosis->reception.chance >= DWN_CHANCE_TRIAL)
    return g_strdup_printf (dwn_word (view->wording, N_("Why %s breaks up")), name);
  return g_strdup_printf (dwn_word (view->wording, N_("Why %s does not come in")), name);
}

static void
fill_words (Stairs *self)
{
  DwnStaircase *data = &self->out->data;
  const DwnReception *r = &self->diagnosis->reception;
  const DwnBudget *budget = self->view->findings.budget;
  const DwnStation *station = &self->view->findings.plan->stations->station[self->diagnosis->station];
  g_autofree char *rf = dwn_word_rf (self->wording, station);
  g_autofree char *chance = dwn_word_chance (self->wording, r->chance);
  g_autofree char *needs = dwn_word_level_figure (self->wording, r->level_dbm - r->margin_db, 1);
  gboolean is_weakest = budget->n_outlets > 1
                        && budget->weakest[self->diagnosis->station] == self->diagnosis->outlet;

  data->title = keep (self, dwn_word_explain_title (self->view, self->diagnosis));
  data->note = keep (self, g_strdup_printf (
    is_weakest ? dwn_word (self->wording, N_("%s \xC2\xB7 outlet %u, the weakest"))
               : dwn_word (self->wording, N_("%s \xC2\xB7 outlet %u")), rf, self->diagnosis->outlet + 1));
  data->intro = keep (self, dwn_word_diagnosis (self->wording, &self->view->findings, self->diagnosis));
  data->unit = dwn_word_level_unit (self->wording);
  data->just_enough = dwn_word (self->wording, N_("just enough"));
  data->margin_title = dwn_word (self->wording, N_("margin"));
  data->margin = keep (self, dwn_word_decibels (self->wording, r->margin_db));
  data->chance = keep (self, g_strdup_printf (dwn_word (self->wording, N_("chance %s")), chance));
  data->needs = keep (self, g_strdup_printf (dwn_word (self->wording, N_("needs %s")), needs));
  data->remedies_title = dwn_word (self->wording, N_("What would help, best for its effort first"));
  data->gain_title = dwn_word (self->wording, N_("gain"));
  data->chance_title = dwn_word (self->wording, N_("chance then"));
}

DwnPlanStaircase *
dwn_plan_staircase_new (const DwnPlanView *view, const DwnDiagnosis *diagnosis,
                        const DwnRemedies *remedies, guint most)
{
  g_return_val_if_fail (view != NULL && diagnosis != NULL, NULL);

  if (isnan (diagnosis->need_db[DWN_NEED_GEAR]) || diagnosis->n_steps < 2)
    return NULL;
  DwnPlanStaircase *staircase = g_new0 (DwnPlanStaircase, 1);
  g_autoptr (GArray) columns = g_array_new (FALSE, FALSE, sizeof (Column));
  Stairs self = { view, view->wording, diagnosis, staircase, columns };

  staircase->strings = g_string_chunk_new (1024);
  gather_columns (&self);
  fill_steps (&self);
  fill_remedies (&self, remedies, most);
  fill_words (&self);
  return staircase;
}

void
dwn_plan_staircase_free (DwnPlanStaircase *staircase)
{
  g_free (staircase->steps);
  g_free (staircase->remedies);
  g_string_chunk_free (staircase->strings);
  g_free (staircase);
}
