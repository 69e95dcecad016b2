#include "core/study/change.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#include "core/chain/power.h"
#include "core/chain/wiring.h"

/* Inserting, swapping and taking out inserters settles in a few rounds. */
#define MOST_ROUNDS 8
/* Two voltages are the same within 15 % (power.h). */
#define SAME_VOLTS 0.15

const char *
dwn_change_id (DwnChangeKind kind)
{
  static const char *const ids[DWN_N_CHANGES] = {
    "supply", "connect-band", "attenuator", "less-gain", "no-amplifier", "detach", "fewer-splits",
    "filter", "trap", "distribution", "aim", "turn-elements", "amplifier", "mast-amplifier", "cable",
    "antenna", "raise", "outdoors", "own-downlead",
  };

  g_return_val_if_fail ((guint) kind < DWN_N_CHANGES, NULL);
  return ids[kind];
}

gboolean
dwn_change_moves (const DwnChange *change)
{
  return change->kind == DWN_CHANGE_RAISE || change->kind == DWN_CHANGE_OUTDOORS
         || change->kind == DWN_CHANGE_OWN_DOWNLEAD;
}

static gboolean
refuse (GError **error, const char *part)
{
  g_set_error (error, DWN_CHAIN_ERROR, DWN_CHAIN_ERROR_PORT,
               _("the change does not fit the gear at “%s”"), part != NULL ? part : "");
  return FALSE;
}

/* Wiring */

static int
find_part (const DwnWiring *wiring, const char *id)
{
  for (guint k = 0; k < wiring->parts->len; k++)
    if (g_strcmp0 (g_array_index (wiring->parts, DwnPart, k).id, id) == 0)
      return (int) k;
  return -1;
}

/* Index of the edge into @port of the part called @id, -1 where there is none. */
static int
edge_into (const DwnWiring *wiring, const char *id, guint port)
{
  int part = find_part (wiring, id);
  const DwnEdge *edge = part < 0 ? NULL : dwn_wiring_edge_into (wiring, (guint) part, port);

  return edge == NULL ? -1 : (int) (edge - (const DwnEdge *) (gpointer) wiring->edges->data);
}

static DwnPart
part_of_type (const DwnPartType *type, gboolean on_mast)
{
  DwnPart part;

  dwn_part_init (&part);
  part.id = part.type = g_intern_string (type->id);
  part.kind = type->kind;
  part.on_mast = on_mast;
  return part;
}

/* @part as one of @type comes from the shop. */
static void
retype (DwnPart *part, const DwnPartType *type)
{
  DwnPart fresh = part_of_type (type, part->on_mast);

  fresh.id = part->id;
  *part = fresh;
}

/* Power for one amplifier */

static const DwnPartType *
inserter_of_volts (const DwnPartList *list, double volts)
{
  guint n;
  const DwnPartType *const *types = dwn_part_list_types (list, &n);

  for (guint k = 0; k < n; k++)
    if (types[k]->kind == DWN_PART_INSERTER && fabs (types[k]->volts - volts) <= SAME_VOLTS * volts)
      return types[k];
  return NULL;
}

/* Behind the cable that leads away from the amplifier. */
static gboolean
insert_supply (DwnWiring *wiring, const DwnPartList *list, guint amplifier)
{
  const DwnPartType *own = dwn_part_list_find (list, dwn_wiring_part (wiring, amplifier)->type);
  const DwnPartType *type = inserter_of_volts (list, own->volts);
  const DwnEdge *edge = dwn_wiring_edge_from (wiring, amplifier, 0);

  if (type == NULL || edge == NULL)
    return FALSE;
  DwnPart inserter = part_of_type (type, FALSE);
  dwn_wiring_insert (wiring, (guint) (edge - (const DwnEdge *) (gpointer) wiring->edges->data),
                     &inserter, TRUE);
  return TRUE;
}

/* One step nearer to a wiring in which @amplifier gets what it needs and no inserter is too many:
 * @removes says which one may go. TRUE where something was done. */
static gboolean
mend_supply (DwnWiring *wiring, const DwnChain *chain, const char *amplifier, gboolean *inserted)
{
  g_autoptr (DwnPower) power = dwn_power_new (chain);
  int amp = dwn_chain_find (chain, amplifier);

  for (guint k = 0; k < power->n_findings; k++)
    {
      const DwnPowerFinding *finding = &power->finding[k];

      if (finding->fault == DWN_POWER_VOLTS && (int) finding->part == amp && finding->supply >= 0)
        {
          const DwnPartType *type = inserter_of_volts (chain->list, finding->limit);
          if (type == NULL)
            return FALSE;
          retype (dwn_wiring_part (wiring, (guint) finding->supply), type);
          return TRUE;
        }
      if (finding->fault == DWN_POWER_IDLE)
        {
          dwn_wiring_remove (wiring, finding->part);
          return TRUE;
        }
    }
  if (amp < 0 || power->powered[amp] || *inserted)
    return FALSE;
  *inserted = TRUE;
  return insert_supply (wiring, chain->list, (guint) amp);
}

/* Mends until nothing is left to mend. @amplifier NULL: only takes out what feeds nothing. */
static gboolean
feed (DwnWiring *wiring, const DwnPartList *list, const char *amplifier, GError **error)
{
  gboolean inserted = FALSE;

  for (guint round = 0; round < MOST_ROUNDS; round++)
    {
      g_autoptr (DwnChain) chain = dwn_wiring_build (wiring, list, error);

      if (chain == NULL)
        return FALSE;
      if (!mend_supply (wiring, chain, amplifier != NULL ? amplifier : "", &inserted))
        break;
    }
  if (amplifier == NULL)
    return TRUE;
  g_autoptr (DwnChain) chain = dwn_wiring_build (wiring, list, error);
  if (chain == NULL)
    return FALSE;
  g_autoptr (DwnPower) power = dwn_power_new (chain);
  int amp = dwn_chain_find (chain, amplifier);
  return (amp >= 0 && power->powered[amp]) || refuse (error, amplifier);
}

/* The changes in the gear */

/* The part that the change names; NULL with @error: it is not there. */
static DwnPart *
part_to_change (DwnWiring *wiring, const DwnChange *change, GError **error)
{
  int part = find_part (wiring, change->part);

  if (part >= 0)
    return dwn_wiring_part (wiring, (guint) part);
  refuse (error, change->part);
  return NULL;
}

static gboolean
change_supply (DwnWiring *wiring, const DwnPartList *list, const DwnChange *change, GError **error)
{
  DwnPart *part = part_to_change (wiring, change, error);

  if (part == NULL)
    return FALSE;
  part->unpowered = FALSE;
  return feed (wiring, list, change->part, error);
}

static gboolean
exchange_inputs (DwnWiring *wiring, const DwnChange *change, GError **error)
{
  int part = find_part (wiring, change->part);
  DwnEdge *one = part < 0 ? NULL : dwn_wiring_edge_into (wiring, (guint) part, change->port);
  DwnEdge *other = part < 0 ? NULL : dwn_wiring_edge_into (wiring, (guint) part, change->other);

  if (one == NULL && other == NULL)
    return refuse (error, change->part);
  if (one != NULL)
    one->to_port = change->other;
  if (other != NULL)
    other->to_port = change->port;
  return TRUE;
}

/* The cable stays on the antenna's side. */
static gboolean
put_before (DwnWiring *wiring, const DwnChange *change, GError **error)
{
  int edge = edge_into (wiring, change->part, change->port);
  int part = find_part (wiring, change->part);

  if (edge < 0 || change->type->n_in != 1 || change->type->n_out < 1)
    return refuse (error, change->part);
  DwnPart inserted = part_of_type (change->type, dwn_wiring_part (wiring, (guint) part)->on_mast);
  inserted.pass = change->pass;
  dwn_wiring_insert (wiring, (guint) edge, &inserted, TRUE);
  return TRUE;
}

static gboolean
turn_down (DwnWiring *wiring, const DwnChange *change, GError **error)
{
  DwnPart *part = part_to_change (wiring, change, error);

  if (part == NULL)
    return FALSE;
  part->gain_db = change->to;
  return TRUE;
}

static gboolean
take_out (DwnWiring *wiring, const DwnPartList *list, const DwnChange *change, GError **error)
{
  int part = find_part (wiring, change->part);

  if (part < 0)
    return refuse (error, change->part);
  dwn_wiring_remove (wiring, (guint) part);
  return feed (wiring, list, NULL, error);
}

/* Cables that lead away move up to the first outputs. */
static guint
close_ranks (DwnWiring *wiring, guint part, guint n_out)
{
  guint used = 0;

  for (guint out = 0; out < n_out; out++)
    {
      DwnEdge *edge = dwn_wiring_edge_from (wiring, part, out);

      if (edge != NULL)
        edge->from_port = used++;
    }
  return used;
}

static gboolean
split_less (DwnWiring *wiring, const DwnPartList *list, const DwnChange *change, GError **error)
{
  int part = find_part (wiring, change->part);
  const DwnPartType *old = part < 0 ? NULL
    : dwn_part_list_find (list, dwn_wiring_part (wiring, (guint) part)->type);
  guint used = old == NULL ? 0 : close_ranks (wiring, (guint) part, old->n_out);

  if (used == 0 || used > (change->type == NULL ? 1 : change->type->n_out))
    return refuse (error, change->part);
  if (change->type == NULL)
    dwn_wiring_remove (wiring, (guint) part);
  else
    retype (dwn_wiring_part (wiring, (guint) part), change->type);
  return TRUE;
}

static gboolean
turn_elements (DwnWiring *wiring, const DwnChange *change, GError **error)
{
  DwnPart *part = part_to_change (wiring, change, error);

  if (part == NULL)
    return FALSE;
  part->polarisation = change->polarisation;
  return TRUE;
}

static gboolean
swap_amplifier (DwnWiring *wiring, const DwnPartList *list, const DwnChange *change, GError **error)
{
  DwnPart *part = part_to_change (wiring, change, error);

  if (part == NULL)
    return FALSE;
  retype (part, change->type);
  return feed (wiring, list, change->part, error);
}

static gboolean
put_on_mast (DwnWiring *wiring, const DwnPartList *list, const DwnChange *change, GError **error)
{
  int edge = edge_into (wiring, change->part, change->port);

  if (edge < 0)
    return refuse (error, change->part);
  DwnPart amplifier = part_of_type (change->type, TRUE);
  guint at = dwn_wiring_insert (wiring, (guint) edge, &amplifier, FALSE);
  return feed (wiring, list, dwn_wiring_part (wiring, at)->id, error);
}

static gboolean
change_cable (DwnWiring *wiring, const DwnChange *change, GError **error)
{
  int part = find_part (wiring, change->part);
  DwnEdge *edge = part < 0 ? NULL : dwn_wiring_edge_into (wiring, (guint) part, change->port);

  if (edge == NULL || edge->cable == NULL)
    return refuse (error, change->part);
  edge->cable = g_intern_string (change->cable->id);
  edge->age_years = 0.0;
  return TRUE;
}

static gboolean
change_antenna (DwnWiring *wiring, const DwnChange *change, GError **error)
{
  DwnPart *part = part_to_change (wiring, change, error);

  if (part == NULL)
    return FALSE;
  if (part->kind != DWN_PART_ANTENNA)
    return refuse (error, change->part);
  part->type = g_intern_string (change->pattern->id);
  part->pattern = change->pattern;
  part->price = change->pattern->price;
  part->name = NULL;
  part->wind_m2 = (double) NAN;
  return TRUE;
}

static gboolean
rewire (DwnWiring *wiring, const DwnPartList *list, const DwnChange *change, GError **error)
{
  switch (change->kind)
    {
    case DWN_CHANGE_SUPPLY:
      return change_supply (wiring, list, change, error);
    case DWN_CHANGE_CONNECT_BAND:
      return exchange_inputs (wiring, change, error);
    case DWN_CHANGE_ATTENUATOR:
    case DWN_CHANGE_FILTER:
    case DWN_CHANGE_TRAP:
    case DWN_CHANGE_DISTRIBUTION:
      return put_before (wiring, change, error);
    case DWN_CHANGE_LESS_GAIN:
      return turn_down (wiring, change, error);
    case DWN_CHANGE_NO_AMPLIFIER:
    case DWN_CHANGE_DETACH:
      return take_out (wiring, list, change, error);
    case DWN_CHANGE_FEWER_SPLITS:
      return split_less (wiring, list, change, error);
    case DWN_CHANGE_TURN_ELEMENTS:
      return turn_elements (wiring, change, error);
    case DWN_CHANGE_AMPLIFIER:
      return swap_amplifier (wiring, list, change, error);
    case DWN_CHANGE_MAST_AMPLIFIER:
      return put_on_mast (wiring, list, change, error);
    case DWN_CHANGE_CABLE:
      return change_cable (wiring, change, error);
    case DWN_CHANGE_ANTENNA:
      return change_antenna (wiring, change, error);
    case DWN_CHANGE_AIM:
    case DWN_CHANGE_RAISE:
    case DWN_CHANGE_OUTDOORS:
    case DWN_CHANGE_OWN_DOWNLEAD:
    default:
      return refuse (error, change->part);
    }
}

static DwnPlan *
apply_to_gear (const DwnPlan *plan, const DwnChange *change, GError **error)
{
  g_autoptr (DwnWiring) wiring = dwn_wiring_new (plan->gear);
  g_autoptr (DwnChain) gear = NULL;

  if (rewire (wiring, plan->gear->list, change, error))
    gear = dwn_wiring_build (wiring, plan->gear->list, error);
  return gear == NULL ? NULL : dwn_plan_with_gear (plan, gear, plan->aims);
}

/* The others */

static int
antenna_index (const DwnChain *gear, const char *id)
{
  for (guint a = 0; a < gear->n_antennas; a++)
    if (g_strcmp0 (gear->part[gear->antenna[a]].id, id) == 0)
      return (int) a;
  return -1;
}

static DwnPlan *
apply_aim (const DwnPlan *plan, const DwnChange *change, GError **error)
{
  g_autofree double *aim_deg = g_memdup2 (plan->aims->aim_deg, plan->aims->n * sizeof (double));
  int antenna = antenna_index (plan->gear, change->part);

  if (antenna < 0)
    {
      refuse (error, change->part);
      return NULL;
    }
  aim_deg[antenna] = change->to;
  return dwn_plan_with_aims (plan, plan->aims->n, aim_deg);
}

/* A mast that is described grows above its clamp. */
static DwnPlan *
apply_raise (const DwnPlan *plan, const DwnChange *change)
{
  DwnSite site = *plan->site;
  double rise_m = change->to - site.height_m;

  site.height_m = change->to;
  if (site.mast.free_m > 0.0)
    site.mast.free_m += rise_m;
  if (site.mast.roof_m > 0.0)
    site.mast.roof_m += rise_m;
  return dwn_plan_with_site (plan, &site);
}

/* Roof and walls; of plain figures those that stand all round and have no leaves. Trees and
 * neighbours stay. */
static gboolean
is_of_the_house (const DwnHouseLoss *loss)
{
  if (loss->kind == DWN_HOUSE_FIGURES)
    return fmod (loss->to_deg - loss->from_deg + 720.0, 360.0) == 0.0 && !loss->leaves;
  return loss->kind == DWN_HOUSE_ROOF || loss->kind == DWN_HOUSE_BUILDING;
}

static DwnPlan *
apply_outdoors (const DwnPlan *plan, const DwnChange *change)
{
  DwnSite site = *plan->site;
  g_autofree DwnHouseLoss *left = g_new (DwnHouseLoss, site.n_losses);
  guint n = 0;

  for (guint k = 0; k < site.n_losses; k++)
    if (!is_of_the_house (&site.loss[k]))
      left[n++] = site.loss[k];
  site.n_losses = n;
  site.loss = left;
  site.mount = DWN_MOUNT_MAST;
  site.height_m = change->to;
  return dwn_plan_with_site (plan, &site);
}

/* The splitter that the antenna called @id feeds before anything else gets at its signal; -1. */
static int
splitter_behind (const DwnWiring *wiring, const char *id)
{
  int part = find_part (wiring, id);

  for (guint steps = 0; part >= 0 && steps < wiring->parts->len; steps++)
    {
      const DwnEdge *edge = dwn_wiring_edge_from (wiring, (guint) part, 0);
      DwnPartKind kind = edge == NULL ? DWN_PART_OUTLET : dwn_wiring_part (wiring, edge->to_part)->kind;

      if (kind == DWN_PART_SPLITTER)
        return (int) edge->to_part;
      if (kind == DWN_PART_COMBINER || kind == DWN_PART_AMPLIFIER || kind == DWN_PART_OUTLET)
        return -1;
      part = (int) edge->to_part;
    }
  return -1;
}

/* Does input @in of @part come from the antenna called @id and no other? */
static gboolean
comes_from (const DwnWiring *wiring, guint part, guint in, const char *id)
{
  const DwnEdge *edge = dwn_wiring_edge_into (wiring, part, in);

  for (guint steps = 0; edge != NULL && steps < wiring->parts->len; steps++)
    {
      if (dwn_wiring_part (wiring, edge->from_part)->kind == DWN_PART_ANTENNA)
        return g_str_equal (dwn_wiring_part (wiring, edge->from_part)->id, id);
      edge = dwn_wiring_edge_into (wiring, edge->from_part, 0);
    }
  return FALSE;
}

/* The head splits an antenna for another band between both downleads. Here one is enough: @own's
 * downlead does without it, and without the combiner. */
static void
keep_on_one_downlead (DwnWiring *wiring, const char *own, const char *last)
{
  int splitter = splitter_behind (wiring, last);

  for (guint out = 0; splitter >= 0 && out < DWN_MAX_PORTS; out++)
    {
      DwnEdge *edge = dwn_wiring_edge_from (wiring, (guint) splitter, out);
      guint other = edge == NULL ? 0 : 1 - edge->to_port;

      if (edge == NULL || edge->to_port > 1 || !comes_from (wiring, edge->to_part, other, own))
        continue;
      const char *combiner = dwn_wiring_part (wiring, edge->to_part)->id;
      guint at = (guint) (edge - (DwnEdge *) (gpointer) wiring->edges->data);
      dwn_wiring_edge_into (wiring, edge->to_part, other)->to_port = 0;
      g_array_remove_index (wiring->edges, at);
      close_ranks (wiring, (guint) splitter, DWN_MAX_PORTS);
      dwn_wiring_remove (wiring, (guint) splitter);
      dwn_wiring_remove (wiring, (guint) find_part (wiring, combiner));
      return;
    }
}

/* The head's antennas keep their ids, though not their order. */
static DwnPlan *
with_aims_by_id (const DwnPlan *plan, const DwnChain *gear, const DwnChange *change)
{
  g_autofree double *aim_deg = g_new (double, gear->n_antennas);

  for (guint a = 0; a < gear->n_antennas; a++)
    {
      int old = antenna_index (plan->gear, gear->part[gear->antenna[a]].id);
      aim_deg[a] = old >= 0 ? plan->aims->aim_deg[old] : change->to;
    }
  g_autoptr (DwnAims) aims = dwn_aims_new (gear->n_antennas, aim_deg);
  return dwn_plan_with_gear (plan, gear, aims);
}

static DwnPlan *
apply_own_downlead (const DwnPlan *plan, const DwnChange *change, GError **error)
{
  const DwnChain *old = plan->gear;
  int antenna = antenna_index (old, change->part);
  DwnPart antennas[3];
  guint n = 0;

  if (antenna < 0 || old->n_antennas > 2)
    {
      refuse (error, change->part);
      return NULL;
    }
  antennas[n++] = old->part[old->antenna[antenna]];
  antennas[n] = antennas[0];
  antennas[n].id = g_intern_string ("own-antenna");
  antennas[n].below_top_m = (isnan (antennas[0].below_top_m) ? 0.0 : antennas[0].below_top_m) + 1.0;
  n++;
  if (old->n_antennas == 2)
    antennas[n++] = old->part[old->antenna[1 - antenna]];
  g_autoptr (DwnChain) head = dwn_chain_with_head (old, change->arrangement, n, antennas, error);
  if (head == NULL)
    return NULL;
  g_autoptr (DwnWiring) wiring = dwn_wiring_new (head);
  if (n == 3)
    keep_on_one_downlead (wiring, antennas[1].id, antennas[2].id);
  g_autoptr (DwnChain) gear = dwn_wiring_build (wiring, old->list, error);
  return gear == NULL ? NULL : with_aims_by_id (plan, gear, change);
}

DwnPlan *
dwn_change_apply (const DwnPlan *plan, const DwnChange *change, GError **error)
{
  g_return_val_if_fail (plan != NULL && change != NULL, NULL);

  switch (change->kind)
    {
    case DWN_CHANGE_AIM:
      return apply_aim (plan, change, error);
    case DWN_CHANGE_RAISE:
      return apply_raise (plan, change);
    case DWN_CHANGE_OUTDOORS:
      return apply_outdoors (plan, change);
    case DWN_CHANGE_OWN_DOWNLEAD:
      return apply_own_downlead (plan, change, error);
    case DWN_CHANGE_SUPPLY:
    case DWN_CHANGE_CONNECT_BAND:
    case DWN_CHANGE_ATTENUATOR:
    case DWN_CHANGE_LESS_GAIN:
    case DWN_CHANGE_NO_AMPLIFIER:
    case DWN_CHANGE_DETACH:
    case DWN_CHANGE_FEWER_SPLITS:
    case DWN_CHANGE_FILTER:
    case DWN_CHANGE_TRAP:
    case DWN_CHANGE_DISTRIBUTION:
    case DWN_CHANGE_TURN_ELEMENTS:
    case DWN_CHANGE_AMPLIFIER:
    case DWN_CHANGE_MAST_AMPLIFIER:
    case DWN_CHANGE_CABLE:
    case DWN_CHANGE_ANTENNA:
    default:
      return apply_to_gear (plan, change, error);
    }
}
