#include "core/study/visits.h"

#include <math.h>
#include <string.h>

#include "core/study/house.h"

#define DAY_LENGTH 10 /* of YYYY-MM-DD */
/* What leaves or a fade have to take to be worth a word (common practice, no source). */
#define WORTH_A_WORD_DB 1.0
#define FADE_WORTH_A_WORD_DB 4.0
/* Interference that costs half a decibel, and noise of the surroundings that is
 * most of all noise. */
#define COUNTING_SHARE 0.1
#define RULING_SHARE 0.5

/* Moved */

static int
compare_days (const DwnReading *a, const DwnReading *b)
{
  return strncmp (a->when, b->when, DAY_LENGTH);
}

static gboolean
is_at_outlet (const DwnPlan *plan, const DwnReading *reading)
{
  int part = dwn_chain_find (plan->gear, reading->where);

  return part >= 0 && plan->gear->part[part].kind == DWN_PART_OUTLET;
}

static gboolean
is_of (const DwnReading *reading, const char *station)
{
  return g_str_equal (reading->station, station);
}

/* Is @a the better one to stand for the station? */
static gboolean
is_newer (const DwnPlan *plan, const DwnReading *a, const DwnReading *b)
{
  int days = compare_days (a, b);

  return days > 0 || (days == 0 && is_at_outlet (plan, a) && !is_at_outlet (plan, b));
}

static int
find_now (const DwnPlan *plan, const char *station)
{
  const DwnReadings *readings = plan->readings;
  int now = -1;

  for (guint k = 0; k < readings->n; k++)
    if (is_of (&readings->reading[k], station)
        && (now < 0 || is_newer (plan, &readings->reading[k], &readings->reading[now])))
      now = (int) k;
  return now;
}

static int
find_before (const DwnReadings *readings, guint now)
{
  const DwnReading *latest = &readings->reading[now];
  int before = -1;

  for (guint k = 0; k < readings->n; k++)
    {
      const DwnReading *reading = &readings->reading[k];

      if (is_of (reading, latest->station) && g_str_equal (reading->where, latest->where)
          && compare_days (reading, latest) < 0
          && (before < 0 || compare_days (reading, &readings->reading[before]) > 0))
        before = (int) k;
    }
  return before;
}

DwnMoved *
dwn_moved_new (const DwnPlan *plan)
{
  const DwnReadings *readings = plan->readings;
  DwnMoved *moved = g_new (DwnMoved, MAX (plan->stations->n, 1));

  for (guint i = 0; i < plan->stations->n; i++)
    {
      int now = find_now (plan, plan->stations->station[i].id);
      int before = now >= 0 ? find_before (readings, (guint) now) : -1;

      moved[i] = (DwnMoved) { now, before, (double) NAN, (double) NAN };
      if (before < 0)
        continue;
      moved[i].level_moved_db = readings->reading[now].level_dbm - readings->reading[before].level_dbm;
      moved[i].cn_moved_db = readings->reading[now].cn_db - readings->reading[before].cn_db;
    }
  return moved;
}

/* Fading */

static double
leaves_db (const DwnPlan *plan, const DwnFields *fields, const DwnTables *tables, guint station)
{
  DwnHouseWay way;

  dwn_house_way_init (&way, plan, fields, station, fmax (plan->site->height_m, 1.0));
  way.leaves = TRUE;
  double on_db = dwn_house_sum (tables, plan->site, &way).db;
  way.leaves = FALSE;
  return on_db - dwn_house_sum (tables, plan->site, &way).db;
}

/* Do trees or a roof stand towards the station? Both take more when they are wet. */
static gboolean
gets_wet (const DwnPlan *plan, double bearing_deg)
{
  for (guint i = 0; i < plan->site->n_losses; i++)
    {
      const DwnHouseLoss *loss = &plan->site->loss[i];

      if ((loss->kind == DWN_HOUSE_TREES || loss->kind == DWN_HOUSE_ROOF || loss->leaves)
          && dwn_house_faces (loss, bearing_deg))
        return TRUE;
    }
  return FALSE;
}

static guint
fades_when (const DwnPlan *plan, const DwnFields *fields, const DwnTables *tables, guint station,
            const DwnReception *reception)
{
  const DwnField *field = &fields->field[(gsize) station * fields->n_antennas + reception->antenna];
  guint when = 0;

  if (!plan->method->leaves && leaves_db (plan, fields, tables, station) >= WORTH_A_WORD_DB)
    when |= DWN_FADES_WITH_LEAVES;
  if (gets_wet (plan, fields->arrival[station].bearing_deg))
    when |= DWN_FADES_WET;
  if (field->median - field->wanted >= FADE_WORTH_A_WORD_DB)
    when |= DWN_FADES_IN_CALM;
  if (reception->interference_share >= COUNTING_SHARE)
    when |= DWN_FADES_IN_HEAT;
  if (reception->ambient_share >= RULING_SHARE)
    when |= DWN_FADES_WITH_NOISE;
  return when;
}

static int
compare_chances (gconstpointer a, gconstpointer b)
{
  const DwnFading *x = a, *y = b;

  return x->chance < y->chance ? -1 : x->chance > y->chance ? 1 : (int) x->station - (int) y->station;
}

GArray *
dwn_fading (const DwnPlan *plan, const DwnFields *fields, const DwnBudget *budget,
            const DwnTables *tables)
{
  GArray *list = g_array_new (FALSE, FALSE, sizeof (DwnFading));

  g_return_val_if_fail (fields->n == plan->stations->n && budget->n_stations == fields->n, list);

  for (guint i = 0; i < fields->n && budget->n_outlets > 0; i++)
    {
      const DwnReception *reception
        = &budget->reception[(gsize) i * budget->n_outlets + budget->weakest[i]];

      if (dwn_station_wanted (&plan->stations->station[i], plan->services) == DWN_WANTED_NO
          || !(reception->chance >= DWN_CHANCE_TRIAL)
          || (reception->margin_db >= DWN_MARGIN_FINISHED_DB && budget->held[i]))
        continue;
      const DwnFading fading = { i, reception->margin_db, reception->chance,
                                 fades_when (plan, fields, tables, i, reception) };
      g_array_append_val (list, fading);
    }
  g_array_sort (list, compare_chances);
  return list;
}
