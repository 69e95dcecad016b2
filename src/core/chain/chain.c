/* The graph is checked and ordered once, when it is built; what comes after walks arrays. */
#include "core/chain/chain-private.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

#include "core/chain/power.h"

#define MAX_PARTS 512
#define MAX_OUTLETS 64
#define MAX_STATES 16

typedef struct {
  DwnChain values; /* first, so that the public pointer is also ours */
  gatomicrefcount ref_count;
  DwnPart *part;
  const DwnPartType **type;
  DwnEdge *edge;
  const DwnCableType **cable;
  guint *index;        /* antennas, outlets, order, firsts in one block */
  int *port_edge;      /* in_edge, then out_edge */
  guint *antenna_bits; /* per part */
  gboolean *powered;   /* per part */
  double *shift_db;    /* per part: own gain over the type's largest */
  DwnResponse **pass;  /* per part: own response by input, or NULL */
} OwnedChain;

G_DEFINE_QUARK (dwn-chain-error-quark, dwn_chain_error)

static const DwnPartType antenna_type = { .kind = DWN_PART_ANTENNA, .n_in = 0, .n_out = 1 };

static const OwnedChain *
owned (const DwnChain *chain)
{
  return (const OwnedChain *) chain;
}

static const DwnPartType *
type_of (const DwnChain *chain, guint part)
{
  return chain->type[part] != NULL ? chain->type[part] : &antenna_type;
}

static gboolean fail_part (const DwnPart *part, DwnChainError code, GError **error,
                           const char *format, ...) G_GNUC_PRINTF (4, 5);

static gboolean
fail_part (const DwnPart *part, DwnChainError code, GError **error, const char *format, ...)
{
  va_list args;

  va_start (args, format);
  g_autofree char *what = g_strdup_vprintf (format, args);
  va_end (args);
  g_set_error (error, DWN_CHAIN_ERROR, code, _("part “%s”: %s"),
               part->id != NULL ? part->id : "", what);
  return FALSE;
}

/* Parts */

static gboolean
check_figure (const DwnPart *part, const char *name, double value, double min, double max,
              GError **error)
{
  if (isnan (value) || (value >= min && value <= max))
    return TRUE;
  return fail_part (part, DWN_CHAIN_ERROR_LIMIT, error, _("%s %g is outside %g to %g"), name, value,
                    min, max);
}

static gboolean
check_figures (const DwnPart *part, GError **error)
{
  double max_gain_db = part->kind == DWN_PART_ATTENUATOR ? 0 : 80;

  return check_figure (part, "gain_db", part->gain_db, -100, max_gain_db, error)
         && check_figure (part, "noise_figure_db", part->noise_figure_db, 0, 50, error)
         && check_figure (part, "max_output_dbm", part->max_output_dbm, -100, 60, error)
         && check_figure (part, "price", part->price, 0, 1e9, error)
         && check_figure (part, "feed_ohm", part->feed_ohm, 1, 10000, error)
         && check_figure (part, "below_top_m", part->below_top_m, 0, 1000, error);
}

static gboolean
resolve_part (OwnedChain *chain, guint k, GError **error)
{
  const DwnPart *part = &chain->part[k];

  if (part->id == NULL || *part->id == '\0')
    return fail_part (part, DWN_CHAIN_ERROR_ID, error, _("every part needs an id"));
  for (guint j = 0; j < k; j++)
    if (chain->part[j].id == part->id) /* both interned */
      return fail_part (part, DWN_CHAIN_ERROR_ID, error, _("two parts have this id"));
  if (!check_figures (part, error))
    return FALSE;
  if (part->kind == DWN_PART_ANTENNA)
    return part->pattern != NULL
           || fail_part (part, DWN_CHAIN_ERROR_TYPE, error, _("an antenna needs a pattern"));

  const char *id = part->type != NULL ? part->type : "";
  chain->type[k] = dwn_part_list_find (chain->values.list, id);
  if (chain->type[k] == NULL)
    return fail_part (part, DWN_CHAIN_ERROR_TYPE, error, _("there is no type of part “%s”"), id);
  if (chain->type[k]->kind != part->kind)
    return fail_part (part, DWN_CHAIN_ERROR_TYPE, error, _("“%s” is of kind %s, not %s"), id,
                      dwn_part_kind_id (chain->type[k]->kind), dwn_part_kind_id (part->kind));
  return TRUE;
}

static void
copy_part (DwnPart *part, const DwnPart *from)
{
  *part = *from;
  part->id = g_intern_string (from->id);
  part->type = g_intern_string (from->type);
  part->name = g_intern_string (from->name);
  part->pass = g_intern_string (from->pass);
  part->place = g_intern_string (from->place);
  if (part->kind == DWN_PART_ANTENNA && from->pattern != NULL)
    part->pattern = dwn_pattern_ref (from->pattern);
  else
    part->pattern = NULL;
}

static double
largest_gain_db (const DwnPartType *type)
{
  double largest_db = -G_MAXDOUBLE;

  for (guint i = 0; i < type->n_in; i++)
    for (guint o = 0; o < type->n_out; o++)
      for (guint k = 0; k < type->gain[i][o].n; k++)
        largest_db = MAX (largest_db, type->gain[i][o].db[k]);
  return largest_db;
}

static gboolean
own_figures (OwnedChain *chain, guint k, GError **error)
{
  const DwnPart *part = &chain->part[k];
  const DwnPartType *type = chain->type[k];
  GError *why = NULL;

  if (!isnan (part->gain_db)
      && (part->kind == DWN_PART_AMPLIFIER || part->kind == DWN_PART_ATTENUATOR))
    chain->shift_db[k] = part->gain_db - largest_gain_db (type);
  if (part->pass == NULL || part->kind == DWN_PART_ANTENNA)
    return TRUE;
  chain->pass[k] = dwn_pass_parse (part->pass, type, &why);
  if (chain->pass[k] != NULL)
    return TRUE;
  fail_part (part, DWN_CHAIN_ERROR_LIMIT, error, "%s", why->message);
  g_error_free (why);
  return FALSE;
}

static gboolean
take_parts (OwnedChain *chain, guint n, const DwnPart *parts, GError **error)
{
  for (guint k = 0; k < n; k++)
    copy_part (&chain->part[k], &parts[k]);
  for (guint k = 0; k < n; k++)
    if (!resolve_part (chain, k, error) || !own_figures (chain, k, error))
      return FALSE;
  return TRUE;
}

/* Antennas and outlets */

static gboolean
list_kind (OwnedChain *chain, DwnPartKind kind, guint max, guint *list, guint *n, GError **error)
{
  *n = 0;
  for (guint k = 0; k < chain->values.n_parts; k++)
    if (chain->part[k].kind == kind)
      {
        if (*n == max)
          return fail_part (&chain->part[k], DWN_CHAIN_ERROR_LIMIT, error,
                            _("more than %u of kind %s"), max, dwn_part_kind_id (kind));
        list[(*n)++] = k;
      }
  return TRUE;
}

/* Edges */

static gboolean
take_edge (OwnedChain *chain, guint e, GError **error)
{
  DwnEdge *edge = &chain->edge[e];
  const DwnChain *values = &chain->values;

  edge->cable = g_intern_string (edge->cable);
  if (edge->from_part >= values->n_parts || edge->to_part >= values->n_parts)
    {
      g_set_error (error, DWN_CHAIN_ERROR, DWN_CHAIN_ERROR_PORT,
                   _("connection %u ends at a part that is not there"), e + 1);
      return FALSE;
    }
  const DwnPart *from = &chain->part[edge->from_part], *to = &chain->part[edge->to_part];
  if (edge->from_port >= type_of (values, edge->from_part)->n_out)
    return fail_part (from, DWN_CHAIN_ERROR_PORT, error, _("has no output %u"),
                      edge->from_port + 1);
  if (edge->to_port >= type_of (values, edge->to_part)->n_in)
    return fail_part (to, DWN_CHAIN_ERROR_PORT, error, _("has no input %u"), edge->to_port + 1);
  if (!(edge->length_m >= 0 && edge->length_m <= 10000))
    return fail_part (to, DWN_CHAIN_ERROR_LIMIT, error,
                      _("a cable of %g m leads to it; 0 to 10000 m are possible"), edge->length_m);
  if (!(edge->age_years >= 0 && edge->age_years <= 100) || !(fabs (edge->warmer_k) <= 100))
    return fail_part (to, DWN_CHAIN_ERROR_LIMIT, error,
                      _("the cable that leads to it is older than 100 years, or more than 100 K "
                        "from 20 °C"));
  if (edge->cable != NULL)
    chain->cable[e] = dwn_part_list_find_cable (values->list, edge->cable);
  if (edge->cable != NULL && chain->cable[e] == NULL)
    return fail_part (to, DWN_CHAIN_ERROR_TYPE, error, _("there is no type of cable “%s”"),
                      edge->cable);
  return TRUE;
}

static gboolean
occupy (const DwnPart *part, const char *side, int *slot, guint port, guint e, GError **error)
{
  if (*slot >= 0)
    return fail_part (part, DWN_CHAIN_ERROR_PORT, error, _("two cables on %s %u"), side, port + 1);
  *slot = (int) e;
  return TRUE;
}

static gboolean
take_edges (OwnedChain *chain, guint n, const DwnEdge *edges, GError **error)
{
  int *in_edge = (int *) chain->values.in_edge, *out_edge = (int *) chain->values.out_edge;

  if (n > 0)
    memcpy (chain->edge, edges, n * sizeof *edges);
  for (guint e = 0; e < n; e++)
    {
      const DwnEdge *edge = &chain->edge[e];

      if (!take_edge (chain, e, error))
        return FALSE;
      guint out = chain->values.out_first[edge->from_part] + edge->from_port;
      guint in = chain->values.in_first[edge->to_part] + edge->to_port;
      if (!occupy (&chain->part[edge->from_part], _("output"), &out_edge[out], edge->from_port, e,
                   error)
          || !occupy (&chain->part[edge->to_part], _("input"), &in_edge[in], edge->to_port, e,
                      error))
        return FALSE;
    }
  return TRUE;
}

/* Each part after those that feed it; among the free ones the plan's order decides. */
static gboolean
order_parts (OwnedChain *chain, guint *order, GError **error)
{
  const DwnChain *values = &chain->values;
  guint n = values->n_parts, done = 0;
  g_autofree guint *waits_for = g_new0 (guint, n + 1);

  for (guint e = 0; e < values->n_edges; e++)
    waits_for[chain->edge[e].to_part]++;
  while (done < n)
    {
      guint k = 0;

      while (k < n && waits_for[k] != 0)
        k++;
      if (k == n)
        break;
      waits_for[k] = G_MAXUINT; /* placed */
      order[done++] = k;
      for (guint o = values->out_first[k]; o < values->out_first[k + 1]; o++)
        if (values->out_edge[o] >= 0)
          waits_for[chain->edge[values->out_edge[o]].to_part]--;
    }
  for (guint k = 0; k < n && done < n; k++)
    if (waits_for[k] != G_MAXUINT)
      return fail_part (&chain->part[k], DWN_CHAIN_ERROR_LOOP, error,
                        _("the cables lead in a circle back to it"));
  return TRUE;
}

static void
collect_antennas (OwnedChain *chain)
{
  const DwnChain *values = &chain->values;

  for (guint a = 0; a < values->n_antennas; a++)
    chain->antenna_bits[values->antenna[a]] = 1u << a;
  for (guint k = 0; k < values->n_parts; k++)
    {
      guint part = values->order[k];

      for (guint i = values->in_first[part]; i < values->in_first[part + 1]; i++)
        {
          int e = values->in_edge[i];

          if (e >= 0)
            chain->antenna_bits[part] |= chain->antenna_bits[chain->edge[e].from_part];
        }
    }
}

/* Switches */

static guint
connected_inputs (const DwnChain *chain, guint part)
{
  guint n = 0;

  for (guint i = chain->in_first[part]; i < chain->in_first[part + 1]; i++)
    n += chain->in_edge[i] >= 0;
  return n;
}

static gboolean
count_states (OwnedChain *chain, GError **error)
{
  guint n = 1;

  for (guint k = 0; k < chain->values.n_parts; k++)
    if (chain->part[k].kind == DWN_PART_SWITCH)
      {
        n *= MAX (connected_inputs (&chain->values, k), 1);
        if (n > MAX_STATES)
          return fail_part (&chain->part[k], DWN_CHAIN_ERROR_LIMIT, error,
                            _("the switches can stand in more than %d ways"), MAX_STATES);
      }
  chain->values.n_states = n;
  return TRUE;
}

/* Supplies */

static void
find_powered (OwnedChain *chain)
{
  g_autoptr (DwnPower) power = dwn_power_new (&chain->values);

  for (guint k = 0; k < chain->values.n_parts; k++)
    chain->powered[k] = (power->powered[k] || chain->part[k].supplied) && !chain->part[k].unpowered;
}

/* Building */

static void
free_chain (OwnedChain *chain)
{
  for (guint k = 0; k < chain->values.n_parts; k++)
    {
      if (chain->part[k].pattern != NULL)
        dwn_pattern_unref ((DwnPattern *) chain->part[k].pattern);
      g_free (chain->pass[k]);
    }
  dwn_part_list_unref ((DwnPartList *) chain->values.list);
  g_free (chain->part);
  g_free (chain->type);
  g_free (chain->edge);
  g_free (chain->cable);
  g_free (chain->index);
  g_free (chain->port_edge);
  g_free (chain->antenna_bits);
  g_free (chain->powered);
  g_free (chain->shift_db);
  g_free (chain->pass);
  g_free (chain);
}

static OwnedChain *
allocate (const DwnPartList *list, guint n_parts, guint n_edges)
{
  OwnedChain *chain = g_new0 (OwnedChain, 1);

  g_atomic_ref_count_init (&chain->ref_count);
  chain->part = g_new0 (DwnPart, n_parts);
  chain->type = g_new0 (const DwnPartType *, n_parts);
  chain->edge = g_new0 (DwnEdge, n_edges);
  chain->cable = g_new0 (const DwnCableType *, n_edges);
  chain->antenna_bits = g_new0 (guint, n_parts);
  chain->powered = g_new0 (gboolean, n_parts);
  chain->shift_db = g_new0 (double, n_parts);
  chain->pass = g_new0 (DwnResponse *, n_parts);
  chain->values = (DwnChain) {
    .n_parts = n_parts, .part = chain->part, .type = chain->type,
    .n_edges = n_edges, .edge = chain->edge, .cable = chain->cable, .powered = chain->powered,
    .list = dwn_part_list_ref (list),
  };
  return chain;
}

/* Once the types are known: how many ports there are, and where each part's begin. */
static void
number_ports (OwnedChain *chain)
{
  guint n = chain->values.n_parts;
  guint *in_first = chain->index + DWN_CHAIN_MOST_ANTENNAS + MAX_OUTLETS + n;
  guint *out_first = in_first + n + 1;

  for (guint k = 0; k < n; k++)
    {
      in_first[k + 1] = in_first[k] + type_of (&chain->values, k)->n_in;
      out_first[k + 1] = out_first[k] + type_of (&chain->values, k)->n_out;
    }
  chain->port_edge = g_new (int, in_first[n] + out_first[n] + 1);
  for (guint p = 0; p < in_first[n] + out_first[n]; p++)
    chain->port_edge[p] = -1;
  chain->values.in_first = in_first;
  chain->values.out_first = out_first;
  chain->values.in_edge = chain->port_edge;
  chain->values.out_edge = chain->port_edge + in_first[n];
}

static gboolean
build (OwnedChain *chain, const DwnPart *parts, const DwnEdge *edges, GError **error)
{
  DwnChain *values = &chain->values;

  chain->index = g_new0 (guint, DWN_CHAIN_MOST_ANTENNAS + MAX_OUTLETS
                                + 3 * (gsize) values->n_parts + 2);
  guint *antenna = chain->index, *outlet = antenna + DWN_CHAIN_MOST_ANTENNAS;
  guint *order = outlet + MAX_OUTLETS;
  values->antenna = antenna;
  values->outlet = outlet;
  values->order = order;
  if (!take_parts (chain, values->n_parts, parts, error)
      || !list_kind (chain, DWN_PART_ANTENNA, DWN_CHAIN_MOST_ANTENNAS, antenna,
                     &values->n_antennas, error)
      || !list_kind (chain, DWN_PART_OUTLET, MAX_OUTLETS, outlet, &values->n_outlets, error))
    return FALSE;
  number_ports (chain);
  if (!take_edges (chain, values->n_edges, edges, error) || !order_parts (chain, order, error)
      || !count_states (chain, error))
    return FALSE;
  collect_antennas (chain);
  find_powered (chain);
  return TRUE;
}

DwnChain *
dwn_chain_new (const DwnPartList *list, guint n_parts, const DwnPart *parts, guint n_edges,
               const DwnEdge *edges, GError **error)
{
  g_return_val_if_fail (list != NULL, NULL);
  g_return_val_if_fail (n_parts == 0 || parts != NULL, NULL);
  g_return_val_if_fail (n_edges == 0 || edges != NULL, NULL);

  if (n_parts > MAX_PARTS || n_edges > MAX_PARTS * DWN_MAX_PORTS)
    {
      g_set_error (error, DWN_CHAIN_ERROR, DWN_CHAIN_ERROR_LIMIT,
                   _("more than %d parts between antennas and televisions"), MAX_PARTS);
      return NULL;
    }
  OwnedChain *chain = allocate (list, n_parts, n_edges);
  if (build (chain, parts, edges, error))
    return &chain->values;
  free_chain (chain);
  return NULL;
}

DwnChain *
dwn_chain_ref (const DwnChain *chain)
{
  OwnedChain *mine = (OwnedChain *) chain;

  g_return_val_if_fail (chain != NULL, NULL);

  g_atomic_ref_count_inc (&mine->ref_count);
  return &mine->values;
}

void
dwn_chain_unref (DwnChain *chain)
{
  g_return_if_fail (chain != NULL);

  OwnedChain *mine = (OwnedChain *) chain;
  if (g_atomic_ref_count_dec (&mine->ref_count))
    free_chain (mine);
}

int
dwn_chain_find (const DwnChain *chain, const char *part_id)
{
  g_return_val_if_fail (chain != NULL && part_id != NULL, -1);

  for (guint k = 0; k < chain->n_parts; k++)
    if (strcmp (chain->part[k].id, part_id) == 0)
      return (int) k;
  return -1;
}

void
dwn_part_init (DwnPart *part)
{
  double unknown = (double) NAN;

  *part = (DwnPart) {
    .gain_db = unknown, .noise_figure_db = unknown, .max_output_dbm = unknown, .price = unknown,
    .wind_m2 = unknown, .feed_ohm = unknown,
  };
}

/* Figures */

#define LINE_OHM 75.0

double
dwn_feed_mismatch_db (double feed_ohm)
{
  double reflected = (feed_ohm - LINE_OHM) / (feed_ohm + LINE_OHM);

  return feed_ohm > 0 ? -10 * log10 (1 - reflected * reflected) : (double) NAN;
}

/* What an antenna reflects: what its pattern says, and what its terminals do without a balun. */
static double
antenna_loss_db (const DwnChain *chain, guint part, double mhz)
{
  double loss_db = dwn_pattern_mismatch_db (chain->part[part].pattern, mhz);
  int edge = chain->out_edge[chain->out_first[part]];

  if (!isnan (chain->part[part].feed_ohm)
      && (edge < 0 || chain->part[chain->edge[edge].to_part].kind != DWN_PART_BALUN))
    loss_db += dwn_feed_mismatch_db (chain->part[part].feed_ohm);
  return loss_db;
}

double
dwn_chain_part_gain_db (const DwnChain *chain, guint part, guint in, guint out, double mhz)
{
  g_return_val_if_fail (chain != NULL && part < chain->n_parts, (double) NAN);

  const DwnPartType *type = chain->type[part];
  if (type == NULL)
    return -antenna_loss_db (chain, part, mhz);
  if (type->n_out == 0)
    return 0;
  g_return_val_if_fail (in < type->n_in && out < type->n_out, (double) NAN);
  if (type->kind == DWN_PART_AMPLIFIER && !chain->powered[part])
    return -type->unpowered_loss_db;
  const DwnResponse *pass = owned (chain)->pass[part];
  if (pass != NULL)
    return dwn_response_db (&pass[in], mhz);
  return dwn_response_db (&type->gain[in][out], mhz) + owned (chain)->shift_db[part];
}

/* The least loss of a passive part: what its noise figure is where one signal goes through. */
static double
passive_noise_figure_db (const DwnChain *chain, guint part, double mhz)
{
  const DwnPartType *type = chain->type[part];
  double largest_db = -G_MAXDOUBLE;

  for (guint i = 0; i < type->n_in; i++)
    for (guint o = 0; o < type->n_out; o++)
      largest_db = MAX (largest_db, dwn_chain_part_gain_db (chain, part, i, o, mhz));
  return -largest_db;
}

double
dwn_chain_part_noise_figure_db (const DwnChain *chain, guint part, double mhz)
{
  g_return_val_if_fail (chain != NULL && part < chain->n_parts, (double) NAN);

  const DwnPartType *type = chain->type[part];
  const DwnPart *own = &chain->part[part];
  if (type == NULL)
    return antenna_loss_db (chain, part, mhz);
  if (!type->active || (type->kind == DWN_PART_AMPLIFIER && !chain->powered[part]))
    return passive_noise_figure_db (chain, part, mhz);
  return isnan (own->noise_figure_db) ? dwn_response_db (&type->noise_figure, mhz)
                                      : own->noise_figure_db;
}

double
dwn_chain_edge_loss_db (const DwnChain *chain, guint edge, double mhz)
{
  g_return_val_if_fail (chain != NULL && edge < chain->n_edges, (double) NAN);

  const DwnEdge *own = &chain->edge[edge];
  if (chain->cable[edge] == NULL)
    return 0;
  return dwn_cable_loss_aged_db (chain->cable[edge], own->length_m, mhz, 20 + own->warmer_k,
                                 own->age_years);
}

double
dwn_chain_part_max_output_dbm (const DwnChain *chain, guint part)
{
  g_return_val_if_fail (chain != NULL && part < chain->n_parts, (double) NAN);

  if (!isnan (chain->part[part].max_output_dbm))
    return chain->part[part].max_output_dbm;
  return chain->type[part] != NULL ? chain->type[part]->max_output_dbm : (double) NAN;
}

guint
dwn_chain_switch_input (const DwnChain *chain, guint part, guint state)
{
  g_return_val_if_fail (chain != NULL && part < chain->n_parts, 0);
  g_return_val_if_fail (chain->part[part].kind == DWN_PART_SWITCH, 0);

  for (guint k = 0; k < part; k++)
    if (chain->part[k].kind == DWN_PART_SWITCH)
      state /= MAX (connected_inputs (chain, k), 1);
  guint position = state % MAX (connected_inputs (chain, part), 1);

  for (guint p = 0; p < chain->type[part]->n_in; p++)
    if (chain->in_edge[chain->in_first[part] + p] >= 0 && position-- == 0)
      return p;
  return 0;
}

guint
dwn_chain_antennas_of (const DwnChain *chain, guint part)
{
  g_return_val_if_fail (chain != NULL && part < chain->n_parts, 0);

  return owned (chain)->antenna_bits[part];
}
