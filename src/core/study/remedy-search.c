/* What there is to try. Each sort of change has a function that lists its possibilities on the
 * station's way; all of them are made and budgeted, and the best of each sort is kept. */
#include "core/study/remedies-private.h"

#include "core/study/advice.h"

/* A part that loses more than this lets the wrong channels through. */
#define OUT_OF_BAND_DB 3.0
/* A joint that loses more has another leg. */
#define SPLITTING_JOINT_DB 2.0
/* Cables shorter than this are nobody's work. */
#define LONG_CABLE_M 3.0
/* So many dB less in one go. */
static const double turn_down_db[] = { 3.0, 6.0, 10.0 };
/* A mast grows by a tube's length or two. */
static const double rises_m[] = { 2.0, 4.0 };
#define TALLEST_M 60.0
/* An antenna of its own is for a station that the others do not look at. */
#define ELSEWHERE_DEG 10.0
#define MOST_TRAPS 3

static DwnChange
change_at (DwnChangeKind kind, const char *part, guint port)
{
  return (DwnChange) { .kind = kind, .part = part, .port = port };
}

/* Keeps the best of @changes. */
static void
try_best (DwnRemedySearch *self, const GArray *changes)
{
  DwnRemedy best = { 0 };

  for (guint k = 0; k < changes->len && !g_cancellable_is_cancelled (self->cancellable); k++)
    {
      DwnRemedy remedy;

      if (dwn_remedy_try (self, self->plan, self->fields, &g_array_index (changes, DwnChange, k),
                          &remedy)
          && (best.plan == NULL || dwn_remedy_is_better (&remedy, &best)))
        {
          dwn_remedy_clear (&best);
          best = remedy;
        }
      else
        dwn_remedy_clear (&remedy);
    }
  if (best.plan != NULL)
    g_array_append_val (self->remedies, best);
}

static GArray *
changes_new (void)
{
  return g_array_new (FALSE, FALSE, sizeof (DwnChange));
}

/* The station's way through the gear */

static const DwnLossStep *
next_step (const DwnRemedySearch *self, guint *k, DwnLossKind kind)
{
  for (; *k < self->diagnosis->n_steps; (*k)++)
    if (self->diagnosis->step[*k].kind == kind)
      return &self->diagnosis->step[(*k)++];
  return NULL;
}

/* The next part of @kind on the way, from step *k on. */
static const DwnPart *
next_part (const DwnRemedySearch *self, guint *k, DwnPartKind kind, const DwnLossStep **step)
{
  const DwnChain *gear = self->plan->gear;

  while ((*step = next_step (self, k, DWN_LOSS_PART)) != NULL)
    if (gear->part[(*step)->index].kind == kind)
      return &gear->part[(*step)->index];
  return NULL;
}

/* The input by which the way comes into @part: the one whose cable comes from what is before it. */
static guint
input_on_way (const DwnRemedySearch *self, guint part)
{
  const DwnChain *gear = self->plan->gear;
  guint first = gear->in_first[part], n = gear->in_first[part + 1] - first, best = 0;
  double most = -(double) INFINITY;

  for (guint port = 0; port < n; port++)
    {
      int edge = gear->in_edge[first + port];
      guint from = edge < 0 ? 0 : gear->edge[edge].from_part;
      guint antennas = edge < 0 ? 0 : dwn_chain_antennas_of (gear, from);
      double gain_db = dwn_chain_part_gain_db (gear, part, port, 0,
                                               self->plan->stations->station[self->station].mhz);

      if ((antennas & (1u << self->antenna)) != 0 && gain_db > most)
        {
          most = gain_db;
          best = port;
        }
    }
  return best;
}

static const DwnPart *
first_amplifier (const DwnRemedySearch *self, guint *port)
{
  const DwnLossStep *step;
  guint k = 0;
  const DwnPart *part = next_part (self, &k, DWN_PART_AMPLIFIER, &step);

  if (part != NULL)
    *port = input_on_way (self, (guint) step->index);
  return part;
}

/* Where something put in protects all that can be overloaded: the first amplifier, otherwise the
 * tuner. */
static const char *
first_active (const DwnRemedySearch *self, guint *port)
{
  const DwnPart *amplifier = first_amplifier (self, port);

  if (amplifier != NULL)
    return amplifier->id;
  *port = self->diagnosis->reception.port;
  return self->plan->gear->part[self->plan->gear->outlet[self->outlet]].id;
}

static const DwnPartType *const *
types_of (const DwnRemedySearch *self, guint *n)
{
  return dwn_part_list_types (self->plan->gear->list, n);
}

static gboolean
is_trap (const DwnPartType *type)
{
  return type->kind == DWN_PART_FILTER && !isnan (type->edge_mhz);
}

static gboolean
is_mast_amplifier (const DwnPartType *type)
{
  return type->kind == DWN_PART_AMPLIFIER && type->n_out == 1 && type->dc_out[0] == DWN_DC_NEED;
}

/* Supply and wiring */

static void
try_supply (DwnRemedySearch *self)
{
  g_autoptr (GArray) changes = changes_new ();
  const DwnLossStep *step;
  const DwnPart *part;
  guint k = 0;

  while ((part = next_part (self, &k, DWN_PART_AMPLIFIER, &step)) != NULL)
    if (!self->plan->gear->powered[step->index])
      {
        DwnChange change = change_at (DWN_CHANGE_SUPPLY, part->id, 0);
        g_array_append_val (changes, change);
      }
  try_best (self, changes);
}

/* An input that lets the channel through better. */
static void
add_exchanges (const DwnRemedySearch *self, const DwnLossStep *step, GArray *changes)
{
  const DwnChain *gear = self->plan->gear;
  guint part = (guint) step->index, port = input_on_way (self, part);
  double mhz = self->plan->stations->station[self->station].mhz;

  for (guint other = 0; other < gear->type[part]->n_in; other++)
    {
      DwnChange change = change_at (DWN_CHANGE_CONNECT_BAND, gear->part[part].id, port);

      change.other = other;
      if (dwn_chain_part_gain_db (gear, part, other, 0, mhz)
          > dwn_chain_part_gain_db (gear, part, port, 0, mhz) + OUT_OF_BAND_DB)
        g_array_append_val (changes, change);
    }
}

static void
try_exchanges (DwnRemedySearch *self)
{
  static const DwnPartKind kinds[] = { DWN_PART_COMBINER, DWN_PART_AMPLIFIER };
  g_autoptr (GArray) changes = changes_new ();

  for (guint i = 0; i < G_N_ELEMENTS (kinds); i++)
    {
      const DwnLossStep *step;
      guint k = 0;

      while (next_part (self, &k, kinds[i], &step) != NULL)
        add_exchanges (self, step, changes);
    }
  try_best (self, changes);
}

/* Too much */

static void
try_types_before (DwnRemedySearch *self, DwnChangeKind kind, const char *part, guint port,
                  gboolean (*fits) (const DwnPartType *type))
{
  g_autoptr (GArray) changes = changes_new ();
  guint n;
  const DwnPartType *const *types = types_of (self, &n);

  for (guint k = 0; k < n; k++)
    if (fits (types[k]) && types[k]->n_in == 1)
      {
        DwnChange change = change_at (kind, part, port);

        change.type = types[k];
        g_array_append_val (changes, change);
      }
  try_best (self, changes);
}

static gboolean
is_attenuator (const DwnPartType *type)
{
  return type->kind == DWN_PART_ATTENUATOR;
}

static gboolean
is_filter (const DwnPartType *type)
{
  return type->kind == DWN_PART_FILTER && !is_trap (type);
}

static gboolean
is_distribution_amplifier (const DwnPartType *type)
{
  return type->kind == DWN_PART_AMPLIFIER && type->n_out == 1 && type->dc_out[0] != DWN_DC_NEED;
}

static void
try_before_active (DwnRemedySearch *self)
{
  guint port;
  const char *part = first_active (self, &port);

  try_types_before (self, DWN_CHANGE_ATTENUATOR, part, port, is_attenuator);
  try_types_before (self, DWN_CHANGE_FILTER, part, port, is_filter);
}

/* Gain of an amplifier as it stands in the plan. */
static double
own_gain_db (const DwnRemedySearch *self, guint part)
{
  const DwnPartType *type = self->plan->gear->type[part];
  double most = -(double) INFINITY;

  if (!isnan (self->plan->gear->part[part].gain_db))
    return self->plan->gear->part[part].gain_db;
  for (guint i = 0; i < type->n_in; i++)
    for (guint n = 0; n < type->gain[i][0].n; n++)
      most = fmax (most, type->gain[i][0].db[n]);
  return most;
}

static void
try_less_gain (DwnRemedySearch *self)
{
  g_autoptr (GArray) turned = changes_new (), gone = changes_new ();
  const DwnLossStep *step;
  const DwnPart *part;
  guint k = 0;

  while ((part = next_part (self, &k, DWN_PART_AMPLIFIER, &step)) != NULL)
    {
      const DwnPartType *type = self->plan->gear->type[step->index];
      DwnChange change = change_at (DWN_CHANGE_LESS_GAIN, part->id, 0);

      change.from = own_gain_db (self, (guint) step->index);
      for (guint d = 0; d < G_N_ELEMENTS (turn_down_db); d++)
        {
          change.to = change.from - turn_down_db[d];
          if (!isnan (type->range_min_db) && change.to >= type->range_min_db)
            g_array_append_val (turned, change);
        }
      change.kind = DWN_CHANGE_NO_AMPLIFIER;
      if (type->n_in == 1 && type->n_out == 1)
        g_array_append_val (gone, change);
    }
  try_best (self, turned);
  try_best (self, gone);
}

/* Power of a station at the terminals, for order only. */
static double
terminals_mw (const DwnRemedySearch *self, guint i)
{
  gsize at = (gsize) i * self->base->n_antennas + self->antenna;
  const DwnPart *part = &self->plan->gear->part[self->plan->gear->antenna[self->antenna]];
  double off_deg = self->fields->arrival[i].bearing_deg - self->plan->aims->aim_deg[self->antenna];
  double mhz = self->plan->stations->station[i].mhz;

  return self->base->median_mw[at]
         * pow (10.0, dwn_pattern_gain_dbi (part->pattern, part->rotator ? 0.0 : off_deg, mhz) / 10.0);
}

/* "40-470 484-1000": all but one channel, the trap's slopes outside it. */
static const char *
all_but (const DwnPartType *trap, const DwnChannel *channel)
{
  char low[G_ASCII_DTOSTR_BUF_SIZE], high[G_ASCII_DTOSTR_BUF_SIZE];
  g_autofree char *pass = NULL;

  g_ascii_formatd (low, sizeof low, "%.3f", channel->low_mhz - trap->edge_mhz);
  g_ascii_formatd (high, sizeof high, "%.3f", channel->high_mhz + trap->edge_mhz);
  pass = g_strdup_printf ("40-%s %s-1000", low, high);
  return g_intern_string (pass);
}

static void
add_trap (const DwnRemedySearch *self, const DwnPartType *type, guint station, GArray *changes)
{
  const DwnStation *other = &self->plan->stations->station[station];
  DwnChannel channel;
  guint port;
  DwnChange change = change_at (DWN_CHANGE_TRAP, first_active (self, &port), 0);

  if (!dwn_channel_find (other->system, other->rf, &channel, NULL))
    return;
  change.port = port;
  change.type = type;
  change.rf = other->rf;
  change.from = channel.low_mhz;
  change.to = channel.high_mhz;
  change.pass = all_but (type, &channel);
  g_array_append_val (changes, change);
}

/* The strongest stations on other channels. */
static void
find_strongest (const DwnRemedySearch *self, guint n, int *strongest)
{
  for (guint t = 0; t < n; t++)
    strongest[t] = -1;
  for (guint i = 0; i < self->plan->stations->n; i++)
    {
      int put = (int) i;

      if (g_str_equal (self->plan->stations->station[i].rf,
                       self->plan->stations->station[self->station].rf))
        continue;
      for (guint t = 0; t < n && put >= 0; t++)
        if (strongest[t] < 0
            || terminals_mw (self, (guint) put) > terminals_mw (self, (guint) strongest[t]))
          {
            int moved = strongest[t];
            strongest[t] = put;
            put = moved;
          }
    }
}

static void
try_traps (DwnRemedySearch *self)
{
  g_autoptr (GArray) changes = changes_new ();
  int strongest[MOST_TRAPS];
  guint n;
  const DwnPartType *const *types = types_of (self, &n);

  find_strongest (self, MOST_TRAPS, strongest);
  for (guint k = 0; k < n; k++)
    for (guint t = 0; is_trap (types[k]) && t < MOST_TRAPS; t++)
      if (strongest[t] >= 0)
        add_trap (self, types[k], (guint) strongest[t], changes);
  try_best (self, changes);
}

/* Losses */

static void
try_detach (DwnRemedySearch *self)
{
  g_autoptr (GArray) changes = changes_new ();
  const DwnLossStep *step;
  const DwnPart *part;
  guint k = 0;

  while ((part = next_part (self, &k, DWN_PART_JOINT, &step)) != NULL)
    if (step->gain_db < -SPLITTING_JOINT_DB)
      {
        DwnChange change = change_at (DWN_CHANGE_DETACH, part->id, 0);
        g_array_append_val (changes, change);
      }
  try_best (self, changes);
}

static guint
outputs_used (const DwnChain *gear, guint part)
{
  guint used = 0;

  for (guint o = gear->out_first[part]; o < gear->out_first[part + 1]; o++)
    used += gear->out_edge[o] >= 0 ? 1 : 0;
  return used;
}

static void
add_smaller_splitters (const DwnRemedySearch *self, const DwnLossStep *step, GArray *changes)
{
  const DwnChain *gear = self->plan->gear;
  guint used = outputs_used (gear, (guint) step->index), n;
  const DwnPartType *const *types = types_of (self, &n);
  DwnChange change = change_at (DWN_CHANGE_FEWER_SPLITS, gear->part[step->index].id, 0);

  if (used == gear->type[step->index]->n_out)
    return;
  if (used == 1)
    g_array_append_val (changes, change);
  for (guint k = 0; k < n; k++)
    if (types[k]->kind == DWN_PART_SPLITTER && types[k]->n_out >= used
        && types[k]->n_out < gear->type[step->index]->n_out)
      {
        change.type = types[k];
        g_array_append_val (changes, change);
      }
}

static void
try_splitters (DwnRemedySearch *self)
{
  g_autoptr (GArray) changes = changes_new ();
  const DwnLossStep *step;
  const DwnPart *part, *first = NULL;
  guint k = 0;

  while ((part = next_part (self, &k, DWN_PART_SPLITTER, &step)) != NULL)
    {
      first = first == NULL ? part : first;
      add_smaller_splitters (self, step, changes);
    }
  try_best (self, changes);
  if (first != NULL)
    try_types_before (self, DWN_CHANGE_DISTRIBUTION, first->id, 0, is_distribution_amplifier);
}

static void
add_cables (const DwnRemedySearch *self, const DwnEdge *edge, GArray *changes)
{
  const DwnChain *gear = self->plan->gear;
  double mhz = self->plan->stations->station[self->station].mhz;
  const DwnCableType *own = dwn_part_list_find_cable (gear->list, edge->cable);
  guint n;
  const DwnCableType *const *cables = dwn_part_list_cables (gear->list, &n);
  DwnChange change = change_at (DWN_CHANGE_CABLE, gear->part[edge->to_part].id, edge->to_port);

  change.from = edge->length_m;
  for (guint k = 0; k < n; k++)
    if (dwn_cable_loss_db (cables[k], edge->length_m, mhz) < dwn_cable_loss_db (own, edge->length_m, mhz))
      {
        change.cable = cables[k];
        g_array_append_val (changes, change);
      }
  change.cable = own;
  if (edge->age_years > 0.0)
    g_array_append_val (changes, change);
}

static void
try_cables (DwnRemedySearch *self)
{
  g_autoptr (GArray) changes = changes_new ();
  const DwnLossStep *step;
  guint k = 0;

  while ((step = next_step (self, &k, DWN_LOSS_CABLE)) != NULL)
    if (self->plan->gear->edge[step->index].length_m >= LONG_CABLE_M)
      add_cables (self, &self->plan->gear->edge[step->index], changes);
  try_best (self, changes);
}

/* Amplifiers at the mast */

static void
try_other_amplifier (DwnRemedySearch *self)
{
  g_autoptr (GArray) changes = changes_new ();
  const DwnLossStep *step;
  const DwnPart *part;
  guint k = 0, n;
  const DwnPartType *const *types = types_of (self, &n);

  while ((part = next_part (self, &k, DWN_PART_AMPLIFIER, &step)) != NULL)
    for (guint t = 0; is_mast_amplifier (self->plan->gear->type[step->index]) && t < n; t++)
      if (is_mast_amplifier (types[t]) && types[t] != self->plan->gear->type[step->index]
          && types[t]->n_in == self->plan->gear->type[step->index]->n_in)
        {
          DwnChange change = change_at (DWN_CHANGE_AMPLIFIER, part->id, 0);

          change.type = types[t];
          g_array_append_val (changes, change);
        }
  try_best (self, changes);
}

/* The first long cable on the way, before any amplifier; where there is no amplifier, the longest
 * that there is. An amplifier goes before it. */
static const DwnEdge *
downlead (const DwnRemedySearch *self)
{
  const DwnChain *gear = self->plan->gear;
  const DwnEdge *longest = NULL;

  for (guint k = 0; k < self->diagnosis->n_steps; k++)
    {
      const DwnLossStep *step = &self->diagnosis->step[k];

      if (step->kind == DWN_LOSS_PART && gear->part[step->index].kind == DWN_PART_AMPLIFIER)
        return NULL;
      if (step->kind != DWN_LOSS_CABLE)
        continue;
      if (gear->edge[step->index].length_m >= LONG_CABLE_M)
        return &gear->edge[step->index];
      if (longest == NULL || gear->edge[step->index].length_m > longest->length_m)
        longest = &gear->edge[step->index];
    }
  return longest;
}

static void
try_mast_amplifier (DwnRemedySearch *self)
{
  const DwnEdge *edge = downlead (self);

  if (edge != NULL)
    try_types_before (self, DWN_CHANGE_MAST_AMPLIFIER, self->plan->gear->part[edge->to_part].id,
                      edge->to_port, is_mast_amplifier);
}

/* Antennas */

static const DwnPart *
own_antenna (const DwnRemedySearch *self)
{
  return &self->plan->gear->part[self->plan->gear->antenna[self->antenna]];
}

static guint
count_lost (const DwnRemedySearch *self, const DwnBudget *budget)
{
  guint lost = 0;

  for (guint i = 0; i < budget->n_stations; i++)
    {
      gboolean counts = i != self->station
        && (!self->any_wanted || dwn_station_wanted (&self->plan->stations->station[i],
                                                     self->plan->services) != DWN_WANTED_NO);
      lost += counts && self->before->held[i] && !budget->held[i] ? 1 : 0;
    }
  return lost;
}

/* Over all whole degrees: the best aim for the station of those that lose nothing, and of all. */
static void
search_aims (const DwnRemedySearch *self, double *keeping_deg, double *best_deg)
{
  g_autofree double *aim_deg = g_memdup2 (self->plan->aims->aim_deg,
                                          self->plan->aims->n * sizeof (double));
  double keeping_db = -(double) INFINITY, best_db = -(double) INFINITY;

  *keeping_deg = *best_deg = aim_deg[self->antenna];
  for (guint degree = 0; degree < 360 && !g_cancellable_is_cancelled (self->cancellable); degree++)
    {
      aim_deg[self->antenna] = degree;
      g_autoptr (DwnBudget) budget = dwn_budget_new (self->base, aim_deg);
      double margin_db = budget->reception[(gsize) self->station * budget->n_outlets
                                           + self->outlet].margin_db;

      if (margin_db > best_db)
        {
          best_db = margin_db;
          *best_deg = degree;
        }
      if (margin_db > keeping_db && count_lost (self, budget) == 0)
        {
          keeping_db = margin_db;
          *keeping_deg = degree;
        }
    }
}

static void
try_aim (DwnRemedySearch *self, double to_deg)
{
  g_autoptr (GArray) changes = changes_new ();
  DwnChange change = change_at (DWN_CHANGE_AIM, own_antenna (self)->id, 0);

  change.from = self->plan->aims->aim_deg[self->antenna];
  change.to = to_deg;
  g_array_append_val (changes, change);
  try_best (self, changes);
}

static void
try_aims (DwnRemedySearch *self)
{
  double keeping_deg, best_deg;

  if (own_antenna (self)->rotator)
    return;
  search_aims (self, &keeping_deg, &best_deg);
  try_aim (self, keeping_deg);
  if (best_deg != keeping_deg)
    try_aim (self, best_deg);
}

static void
try_elements (DwnRemedySearch *self)
{
  g_autoptr (GArray) changes = changes_new ();
  DwnPolarisation wave = self->plan->stations->station[self->station].polarisation;
  DwnChange change = change_at (DWN_CHANGE_TURN_ELEMENTS, own_antenna (self)->id, 0);

  change.polarisation = wave;
  if (wave != DWN_POLARISATION_HORIZONTAL && wave != DWN_POLARISATION_VERTICAL)
    return;
  g_array_append_val (changes, change);
  try_best (self, changes);
}

/* Those that the plan allows, otherwise the starter set. */
static GPtrArray *
antennas_to_try (const DwnRemedySearch *self, GError **error)
{
  const DwnMethod *method = self->plan->method;
  g_autoptr (GPtrArray) patterns
    = g_ptr_array_new_with_free_func ((GDestroyNotify) dwn_pattern_unref);

  if (method->n_allowed == 0)
    return dwn_advice_starter_set (self->tables, self->plan->site->mount, error);
  for (guint k = 0; k < method->n_allowed; k++)
    {
      DwnPattern *pattern = dwn_antenna_resolve (self->tables->catalogue, method->allowed[k], error);

      if (pattern == NULL)
        return NULL;
      g_ptr_array_add (patterns, pattern);
    }
  return g_steal_pointer (&patterns);
}

static gboolean
try_antennas (DwnRemedySearch *self, GError **error)
{
  g_autoptr (GArray) changes = changes_new ();
  g_autoptr (GPtrArray) patterns = antennas_to_try (self, error);

  if (patterns == NULL)
    return FALSE;
  for (guint k = 0; k < patterns->len; k++)
    {
      DwnChange change = change_at (DWN_CHANGE_ANTENNA, own_antenna (self)->id, 0);

      change.pattern = g_ptr_array_index (patterns, k);
      if (!g_str_equal (change.pattern->id, own_antenna (self)->pattern->id))
        g_array_append_val (changes, change);
    }
  try_best (self, changes);
  return TRUE;
}

static void
try_heights (DwnRemedySearch *self)
{
  const DwnSite *site = self->plan->site;
  g_autoptr (GArray) changes = changes_new ();
  gboolean inside = site->mount == DWN_MOUNT_ATTIC || site->mount == DWN_MOUNT_INDOORS;

  for (guint k = 0; !inside && k < G_N_ELEMENTS (rises_m); k++)
    {
      DwnChange change = { .kind = DWN_CHANGE_RAISE, .from = site->height_m,
                           .to = site->height_m + rises_m[k] };

      if (change.to <= TALLEST_M)
        g_array_append_val (changes, change);
    }
  if (inside)
    {
      DwnChange change = { .kind = DWN_CHANGE_OUTDOORS, .from = site->height_m,
                           .to = fmax (site->height_m + rises_m[0], DWN_SITE_HEIGHT_M) };
      g_array_append_val (changes, change);
    }
  try_best (self, changes);
}

static void
try_own_downlead (DwnRemedySearch *self)
{
  static const DwnArrangement arrangements[] = { DWN_ARRANGEMENT_SWITCH, DWN_ARRANGEMENT_TWO_TUNERS };
  g_autoptr (GArray) changes = changes_new ();
  double to_deg = self->fields->arrival[self->station].bearing_deg;
  double off_deg = fabs (remainder (to_deg - self->plan->aims->aim_deg[self->antenna], 360.0));

  for (guint k = 0; k < G_N_ELEMENTS (arrangements); k++)
    {
      DwnChange change = change_at (DWN_CHANGE_OWN_DOWNLEAD, own_antenna (self)->id, 0);

      change.arrangement = arrangements[k];
      change.to = fmod (round (to_deg), 360.0);
      if (off_deg >= ELSEWHERE_DEG && !own_antenna (self)->rotator)
        g_array_append_val (changes, change);
    }
  try_best (self, changes);
}

gboolean
dwn_remedy_search_all (DwnRemedySearch *self, GError **error)
{
  static void (*const tries[]) (DwnRemedySearch *self) = {
    try_supply, try_exchanges, try_before_active, try_less_gain, try_traps, try_detach, try_splitters,
    try_cables, try_other_amplifier, try_mast_amplifier, try_aims, try_elements, try_heights,
    try_own_downlead,
  };

  for (guint k = 0; k < G_N_ELEMENTS (tries); k++)
    tries[k] (self);
  return try_antennas (self, error)
         && !g_cancellable_set_error_if_cancelled (self->cancellable, error);
}
