/* The station that comes off worst at every part, against the budget and against each other. */
#include <math.h>

#include "core/study/levels.h"
#include "example-plan.h"

typedef struct {
  Example example;
  DwnBudgetBase *base;
  DwnBudget *budget;
  DwnWorst *worst;
} Fixture;

static void
set_up (Fixture *fixture, gconstpointer data)
{
  example_open (&fixture->example, "height-m='10'>", EXAMPLE_GEAR, "");
  fixture->base = dwn_budget_base_new (fixture->example.plan, fixture->example.fields, fixture->example.tables);
  fixture->budget = dwn_budget_new (fixture->base, fixture->example.plan->aims->aim_deg);
  fixture->worst = dwn_levels_worst (fixture->base, fixture->budget);
}

static void
tear_down (Fixture *fixture, gconstpointer data)
{
  g_free (fixture->worst);
  dwn_budget_unref (fixture->budget);
  dwn_budget_base_unref (fixture->base);
  example_close (&fixture->example);
}

static guint
part (Fixture *fixture, const char *id)
{
  return (guint) dwn_chain_find (fixture->example.plan->gear, id);
}

/* No station has less to spare there on any way than the one that is named, and that one has it. */
static void
test_least (Fixture *fixture, gconstpointer data)
{
  const DwnBudget *budget = fixture->budget;
  guint n_parts = fixture->example.plan->gear->n_parts;
  g_autofree double *least_db = g_new (double, n_parts);

  for (guint k = 0; k < n_parts; k++)
    least_db[k] = (double) INFINITY;
  for (guint i = 0; i < budget->n_stations; i++)
    for (guint o = 0; o < budget->n_outlets; o++)
      {
        g_autoptr (GArray) levels = dwn_levels_along (fixture->base, budget, i, o, 0.0);
        double needed_db = budget->reception[i * budget->n_outlets + o].needed_db;

        g_assert_nonnull (levels);
        for (guint s = 0; s < levels->len; s++)
          {
            const DwnLevelStep *step = &g_array_index (levels, DwnLevelStep, s);
            if (!step->is_edge)
              least_db[step->index] = fmin (least_db[step->index], step->cn_db - needed_db);
          }
      }
  for (guint k = 0; k < n_parts; k++)
    g_assert_cmpfloat_with_epsilon (fixture->worst[k].spare_db, least_db[k], 1e-9);
}

/* Where only one service is wanted only its station counts, even if it is the first in the list. */
static void
test_first_wanted (void)
{
  static const char text[] =
    "<downlead version='1.0'><site name='Test' lat='44' lon='-75' height-m='10'/><services>"
    "<service id='near' name='Near' wanted='must'/><service id='far' name='Far'/></services><stations>"
    "<station id='near' name='Near' system='atsc1' rf='20' lat='44.2' lon='-75' erp-kw='500'"
    " haat-m='300' services='near'/>"
    "<station id='far' name='Far' system='atsc1' rf='30' lat='45' lon='-75' erp-kw='5'"
    " haat-m='100' services='far'/></stations>"
    "<gear><part id='a' kind='antenna' type='dipole' aim-deg='0'/>"
    "<part id='tv' kind='outlet' type='tuner-atsc'/><join from='a' to='tv'/></gear></downlead>";
  g_autoptr (GBytes) bytes = g_bytes_new_static (text, strlen (text));
  g_autoptr (DwnTables) tables = dwn_tables_new (NULL);
  g_autoptr (DwnPlan) plan = dwn_plan_read (bytes, "two", tables->parts, tables->catalogue, NULL, NULL);
  g_autoptr (DwnFields) fields = dwn_fields_new (plan, NULL, NULL);
  g_autoptr (DwnBudgetBase) base = dwn_budget_base_new (plan, fields, tables);
  g_autoptr (DwnBudget) budget = dwn_budget_new (base, plan->aims->aim_deg);
  g_autofree DwnWorst *worst = dwn_levels_worst (base, budget);

  for (guint k = 0; k < plan->gear->n_parts; k++)
    g_assert_cmpint (worst[k].station, ==, 0);
}

/* What the cable takes more at the upper frequency; straight on the tuner nothing. */
static void
test_slope (void)
{
  Example example;

  example_open (&example, "height-m='10'>",
                "<gear><part id='a' kind='antenna' type='dipole' aim-deg='5'/>"
                "<part id='tv1' kind='outlet' type='tuner-atsc'/>"
                "<part id='b' kind='antenna' type='dipole' aim-deg='5'/>"
                "<part id='tv2' kind='outlet' type='tuner-atsc'/>"
                "<join from='a' to='tv1' cable='series-6' length-m='40'/><join from='b' to='tv2'/></gear>",
                "");
  const DwnChain *gear = example.plan->gear;
  const DwnCableType *cable = dwn_part_list_find_cable (example.tables->parts, "series-6");
  double taken_db = dwn_cable_loss_db (cable, 40, 600) - dwn_cable_loss_db (cable, 40, 500);

  g_assert_cmpfloat_with_epsilon (dwn_outlet_slope_db (gear, 0, 500, 600), -taken_db, 0.02);
  g_assert_cmpfloat_with_epsilon (dwn_outlet_slope_db (gear, 0, 600, 500), taken_db, 0.02);
  g_assert_cmpfloat_with_epsilon (dwn_outlet_slope_db (gear, 1, 500, 600), 0, 0.02);
  example_close (&example);
}

/* The way begins with what the antenna takes out of the field and ends in the tuner with what the budget
 * says of it; on it the level changes by each step's gain and by nothing else. */
static void
test_ends (Fixture *fixture, gconstpointer data)
{
  const DwnBudget *budget = fixture->budget;
  const DwnChain *gear = fixture->example.plan->gear;

  for (guint i = 0; i < budget->n_stations; i++)
    for (guint o = 0; o < budget->n_outlets; o++)
      {
        g_autoptr (GArray) levels = dwn_levels_along (fixture->base, budget, i, o, 0.0);
        const DwnReception *reception = &budget->reception[i * budget->n_outlets + o];
        const DwnLevelStep *first = &g_array_index (levels, DwnLevelStep, 0);
        const DwnLevelStep *last = &g_array_index (levels, DwnLevelStep, levels->len - 1);

        g_assert_cmpuint (first->index, ==, gear->antenna[reception->antenna]);
        g_assert_cmpuint (last->index, ==, gear->outlet[o]);
        g_assert_cmpfloat_with_epsilon (last->level_dbm, reception->level_dbm, 1e-9);
        for (guint s = 1; s < levels->len; s++)
          {
            const DwnLevelStep *before = &g_array_index (levels, DwnLevelStep, s - 1);
            const DwnLevelStep *step = &g_array_index (levels, DwnLevelStep, s);

            g_assert_cmpfloat_with_epsilon (step->level_dbm - before->level_dbm,
                                            step->cumulative_gain_db - before->cumulative_gain_db, 1e-9);
            if (!step->is_edge)
              g_assert_true (step->headroom_db == budget->headroom_db[step->index]
                             || (isnan (step->headroom_db) && isnan (budget->headroom_db[step->index])));
            else
              g_assert_true (isnan (step->headroom_db) && gear->edge[step->index].cable != NULL);
          }
      }
}

static gboolean
holds_all (Fixture *fixture, double aim_deg)
{
  double aim = fmod (aim_deg + 720.0, 360.0);
  g_autoptr (DwnBudget) budget = dwn_budget_new (fixture->base, &aim);

  for (guint i = 0; i < budget->n_stations; i++)
    if (fixture->budget->held[i] && !budget->held[i])
      return FALSE;
  return TRUE;
}

/* Anywhere within the window all that is held stays so; a degree beyond either end something goes. */
static void
test_window (Fixture *fixture, gconstpointer data)
{
  double from_deg, to_deg;
  guint n_held = 0;

  for (guint i = 0; i < fixture->budget->n_stations; i++)
    n_held += fixture->budget->held[i];
  g_assert_cmpuint (n_held, >, 0);
  dwn_aim_window (fixture->base, fixture->example.plan->aims->aim_deg, 0, &from_deg, &to_deg);
  /* The aim is 5°; the window goes over north. */
  g_assert_cmpfloat (from_deg, >, 180);
  g_assert_cmpfloat (to_deg, <, 180);
  for (double aim_deg = from_deg - 360; aim_deg <= to_deg; aim_deg += 1)
    g_assert_true (holds_all (fixture, aim_deg));
  g_assert_false (holds_all (fixture, from_deg - 1));
  g_assert_false (holds_all (fixture, to_deg + 1));
}

/* Noise only gathers on the way: after each part there is no more to spare than before it (Friis). */
static void
test_falls (Fixture *fixture, gconstpointer data)
{
  static const char *const way[] = { "a", "amp", "supply", "split", "tv2" };

  for (guint i = 1; i < G_N_ELEMENTS (way); i++)
    g_assert_cmpfloat (fixture->worst[part (fixture, way[i])].spare_db, <=,
                       fixture->worst[part (fixture, way[i - 1])].spare_db + 1e-9);
  /* 14 m of the same cable leave less than 8 m. */
  g_assert_cmpfloat (fixture->worst[part (fixture, "tv2")].spare_db, <,
                     fixture->worst[part (fixture, "tv1")].spare_db);
}

/* Where nothing is wanted all stations count: here those that carried the wanted service. */
static void
test_none_wanted (Fixture *fixture, gconstpointer data)
{
  g_autoptr (DwnPlan) none = dwn_plan_with_wanted (fixture->example.plan, "s", DWN_WANTED_NO);
  g_autoptr (DwnBudgetBase) base = dwn_budget_base_new (none, fixture->example.fields, fixture->example.tables);
  g_autofree DwnWorst *worst = dwn_levels_worst (base, fixture->budget);

  /* All five carry the service: the same stations count, wanted or not. */
  for (guint k = 0; k < none->gear->n_parts; k++)
    g_assert_cmpint (worst[k].station, ==, fixture->worst[k].station);
}

/* A part that nothing passes has no worst station. */
static void
test_loose (Fixture *fixture, gconstpointer data)
{
  Example example;
  example_open (&example, "height-m='10'>",
                "<gear><part id='a' kind='antenna' type='dipole' aim-deg='5'/>"
                "<part id='tv1' kind='outlet' type='tuner-atsc'/><part id='tv2' kind='outlet' type='tuner-atsc'/>"
                "<join from='a' to='tv1'/></gear>", "");
  g_autoptr (DwnBudgetBase) base = dwn_budget_base_new (example.plan, example.fields, example.tables);
  g_autoptr (DwnBudget) budget = dwn_budget_new (base, example.plan->aims->aim_deg);
  g_autofree DwnWorst *worst = dwn_levels_worst (base, budget);

  g_assert_cmpint (worst[1].station, >=, 0);
  g_assert_cmpint (worst[2].station, ==, -1);
  g_assert_true (isnan (worst[2].spare_db));
  example_close (&example);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
#define ADD(name, function) g_test_add ("/study/levels/" name, Fixture, NULL, set_up, function, tear_down)
  ADD ("least", test_least);
  ADD ("falls", test_falls);
  ADD ("ends", test_ends);
  ADD ("window", test_window);
  ADD ("none-wanted", test_none_wanted);
  ADD ("loose", test_loose);
  g_test_add_func ("/study/levels/first-wanted", test_first_wanted);
  g_test_add_func ("/study/levels/slope", test_slope);
  return g_test_run ();
}
