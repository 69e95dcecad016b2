#include "core/study/advice-private.h"

static gboolean
carries (const DwnStation *station, const DwnService *service)
{
  for (guint s = 0; s < station->n_services; s++)
    if (station->services[s] == service->id)
      return TRUE;
  return FALSE;
}

static void
add_marked (GArray *services, const DwnPlan *plan, DwnWanted mark)
{
  for (guint s = 0; s < plan->services->n; s++)
    if (plan->services->service[s].wanted == mark)
      g_array_append_val (services, s);
}

static guint *
take_services (GArray *services, guint *n, guint *n_words)
{
  *n = services->len;
  *n_words = MAX ((*n + 63) / 64, 1);
  return (guint *) (gpointer) g_array_free (services, FALSE);
}

static void
choose_services (DwnGoal *goal, const DwnPlan *plan)
{
  GArray *judged = g_array_new (FALSE, FALSE, sizeof (guint));
  GArray *extras = g_array_new (FALSE, FALSE, sizeof (guint));

  add_marked (judged, plan, DWN_WANTED_MUST);
  goal->n_must = judged->len;
  add_marked (judged, plan, DWN_WANTED_LIKE);
  goal->all_liked = judged->len == 0;
  add_marked (goal->all_liked ? judged : extras, plan, DWN_WANTED_NO);
  goal->service = take_services (judged, &goal->n, &goal->n_words);
  goal->extra = take_services (extras, &goal->n_extras, &goal->n_extra_words);
}

/* FALSE where the station carries none of the services. */
static gboolean
fill_carried (const DwnPlan *plan, guint station, guint n, const guint *service, guint64 *carried)
{
  gboolean any = FALSE;

  for (guint b = 0; b < n; b++)
    if (carries (&plan->stations->station[station], &plan->services->service[service[b]]))
      {
        carried[b / 64] |= G_GUINT64_CONSTANT (1) << b % 64;
        any = TRUE;
      }
  return any;
}

/* The stations that carry any of the services, and which. */
static guint
choose_stations (const DwnPlan *plan, guint n, const guint *service, guint n_words, guint **station,
                 guint64 **carried)
{
  guint count = 0;

  *station = g_new0 (guint, plan->stations->n + 1);
  *carried = g_new0 (guint64, (gsize) plan->stations->n * n_words + 1);
  for (guint i = 0; i < plan->stations->n; i++)
    if (plan->stations->station[i].erp_kw > 0.0
        && fill_carried (plan, i, n, service, &(*carried)[(gsize) count * n_words]))
      (*station)[count++] = i;
  return count;
}

void
dwn_goal_init (DwnGoal *goal, const DwnPlan *plan)
{
  *goal = (DwnGoal) { 0 };
  choose_services (goal, plan);
  goal->must_mask = g_new0 (guint64, goal->n_words);
  for (guint b = 0; b < goal->n_must; b++)
    goal->must_mask[b / 64] |= G_GUINT64_CONSTANT (1) << b % 64;
  goal->n_stations = choose_stations (plan, goal->n, goal->service, goal->n_words, &goal->station,
                                      &goal->carried);
  goal->n_extra_stations = choose_stations (plan, goal->n_extras, goal->extra, goal->n_extra_words,
                                            &goal->extra_station, &goal->extra_carried);
}

void
dwn_goal_clear (DwnGoal *goal)
{
  g_free (goal->service);
  g_free (goal->station);
  g_free (goal->carried);
  g_free (goal->must_mask);
  g_free (goal->extra);
  g_free (goal->extra_station);
  g_free (goal->extra_carried);
}

static int
compare_numbers (double a, double b)
{
  return (a > b) - (a < b);
}

static int
compare_costs (double a, double b)
{
  if (isnan (a) || isnan (b))
    return isnan (b) - isnan (a);
  return compare_numbers (b, a);
}

int
dwn_merit_compare (const DwnMerit *a, const DwnMerit *b)
{
  if (a->must != b->must)
    return a->must > b->must ? 1 : -1;
  if (a->like != b->like)
    return a->like > b->like ? 1 : -1;
  if (a->half_db != b->half_db)
    return a->half_db > b->half_db ? 1 : -1;
  if (a->window_deg != b->window_deg)
    return a->window_deg > b->window_deg ? 1 : -1;
  if (a->extras != b->extras)
    return a->extras > b->extras ? 1 : -1;
  int by_cost = compare_costs (a->cost, b->cost);
  return by_cost != 0 ? by_cost : compare_numbers (a->margin_db, b->margin_db);
}
