/* What is said of a hybrid, of a stack, of what is given up: with the study's own figures in it. */
#include "words/advice-words.h"

#include <math.h>
#include <string.h>

#include "core/plan/document.h"

typedef struct {
  DwnTables *tables;
  DwnPlan *plan;
  DwnLadder *ladder;
} Fixture;

static void
fixture_init (Fixture *fixture)
{
  g_autoptr (GError) error = NULL;

  fixture->tables = dwn_tables_new (&error);
  g_assert_no_error (error);
  g_autofree char *path = g_test_build_filename (G_TEST_DIST, "..", "data", "demo", "thistledown.downlead", NULL);
  fixture->plan = dwn_plan_load (path, fixture->tables->parts, fixture->tables->catalogue, NULL, &error);
  g_assert_no_error (error);
  g_autoptr (DwnFields) fields = dwn_fields_new (fixture->plan, NULL, &error);
  g_assert_no_error (error);
  fixture->ladder = dwn_advise (fixture->plan, fields, fixture->tables, NULL, NULL, &error);
  g_assert_no_error (error);
}

static void
fixture_clear (Fixture *fixture)
{
  dwn_ladder_unref (fixture->ladder);
  dwn_plan_unref (fixture->plan);
  dwn_tables_unref (fixture->tables);
}

static void
assert_says (const char *text, const char *what)
{
  if (strstr (text, what) == NULL)
    g_test_message ("“%s” does not say “%s”", text, what);
  g_assert_nonnull (strstr (text, what));
}

static void
assert_says_db (const char *text, double db)
{
  g_autofree char *figure = dwn_word_decibels (&dwn_wording_metric, db);

  assert_says (text, figure);
}

static void
test_phases (gconstpointer data)
{
  const Fixture *fixture = data;

  for (guint r = 0; r < fixture->ladder->n; r++)
    {
      const DwnRung *rung = &fixture->ladder->rung[r];
      g_autofree char *text = dwn_word_phases (&dwn_wording_metric, rung);

      if (rung->arrangement != DWN_ARRANGEMENT_HYBRID)
        {
          g_assert_cmpstr (text, ==, "");
          continue;
        }
      const DwnPhases *widest = dwn_phases_widest (rung->phases, rung->plan, rung->budget);
      assert_says (text, rung->plan->stations->station[widest->station].name);
      assert_says_db (text, widest->worst_db);
      assert_says_db (text, widest->mean_db);
      assert_says_db (text, widest->best_db);
      assert_says_db (text, dwn_phases_cost_db (widest));
    }
}

/* A service that is wanted is either held or named as given up; a rung that holds all gives up none. */
static void
test_given_up (gconstpointer data)
{
  const Fixture *fixture = data;

  for (guint r = 0; r < fixture->ladder->n; r++)
    {
      const DwnRung *rung = &fixture->ladder->rung[r];
      g_autofree char *text = dwn_word_given_up (&dwn_wording_metric, fixture->ladder, rung);
      guint lost = 0;

      for (guint s = 0; s < rung->plan->services->n; s++)
        {
          const DwnService *service = &rung->plan->services->service[s];

          if (service->wanted == DWN_WANTED_NO)
            continue;
          lost += rung->holds[s] ? 0 : 1;
          if (!rung->holds[s])
            assert_says (text, service->name);
          else
            g_assert_null (strstr (text, service->name));
        }
      g_assert_cmpint (*text == '\0', ==, lost == 0);
    }
}

static void
test_sensitivity (gconstpointer data)
{
  const Fixture *fixture = data;

  for (guint r = 0; r < fixture->ladder->n; r++)
    {
      const DwnRung *rung = &fixture->ladder->rung[r];
      g_autofree char *text = dwn_word_sensitivity (&dwn_wording_metric, rung);

      g_assert_cmpint (rung->first_to_fall, >=, 0);
      g_assert_false (g_ascii_isspace (text[0]));
      assert_says (text, rung->plan->stations->station[rung->first_to_fall].name);
    }
}

/* "Parts with a price: 160.00 $." where there is a sum, and nothing where there is none. */
static void
test_cost (gconstpointer data)
{
  const Fixture *fixture = data;

  DwnRung rung = fixture->ladder->rung[0];

  rung.cost = 160.0;
  g_autofree char *priced = dwn_word_rung_cost (&dwn_wording_metric, &rung, "$");
  assert_says (priced, "160.00\xC2\xA0$");
  rung.cost = (double) NAN;
  g_autofree char *unknown = dwn_word_rung_cost (&dwn_wording_metric, &rung, "$");
  g_assert_cmpstr (unknown, ==, "");
}

static void
test_stacked (gconstpointer data)
{
  const Fixture *fixture = data;

  const DwnRung *stacked = fixture->ladder->stacked;
  g_autofree char *text = dwn_word_stacked (&dwn_wording_metric, fixture->ladder);

  g_assert_nonnull (stacked);
  assert_says (text, "Two of ");
  assert_says (text, stacked->pattern[0]->name);
  assert_says (text, stacked->plan->services->service[stacked->service].name);
  DwnLadder without = *fixture->ladder;
  without.stacked = NULL;
  g_autofree char *nothing = dwn_word_stacked (&dwn_wording_metric, &without);
  g_assert_cmpstr (nothing, ==, "");
}

int
main (int argc, char **argv)
{
  Fixture fixture; /* worked out once */

  g_test_init (&argc, &argv, NULL);
  fixture_init (&fixture);
  g_test_add_data_func ("/words/advice/phases", &fixture, test_phases);
  g_test_add_data_func ("/words/advice/given-up", &fixture, test_given_up);
  g_test_add_data_func ("/words/advice/sensitivity", &fixture, test_sensitivity);
  g_test_add_data_func ("/words/advice/cost", &fixture, test_cost);
  g_test_add_data_func ("/words/advice/stacked", &fixture, test_stacked);
  int result = g_test_run ();
  fixture_clear (&fixture);
  return result;
}
