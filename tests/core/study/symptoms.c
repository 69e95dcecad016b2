/* Troubleshooting: the trade's rows (TRADE.md, section A: symptom, first suspicion, test), what a plan
 * knows, one question at a time, and synthetic faults whose answers are drawn from the table. */
#include "core/study/symptoms.h"

#include <math.h>
#include <string.h>

#include "example-plan.h"

static DwnSymptoms *
load (void)
{
  g_autoptr (GError) error = NULL;
  DwnSymptoms *symptoms = dwn_symptoms_new (&error);

  g_assert_no_error (error);
  return symptoms;
}

static void
answer (const DwnSymptoms *symptoms, DwnAnswer *answers, const char *id, DwnAnswer value)
{
  int question = dwn_symptoms_find_question (symptoms, id);

  g_assert_cmpint (question, >=, 0);
  answers[question] = value;
}

/* A row of the trade's table: what is seen (up to three), what is suspected (one of up to three), and
 * the test that the trade names, which must be among those that a question to it leads to. */
static const struct {
  const char *name, *seen[3], *suspected[3], *test;
} rows[] = {
  { "nothing", { "seen-nothing" }, { "power", "amplifier" }, "test-volts" },
  { "all-weak-worse-high", { "seen-all-weak", "seen-high" }, { "water" }, "test-antenna-port" },
  { "overload", { "seen-all-weak", "plan-overload", "read-dirty" }, { "overload" }, "test-pad" },
  { "vhf-only", { "seen-vhf" }, { "noise", "fm" }, "test-breakers" },
  { "one-channel-level-fine", { "seen-one-channel", "read-dirty" }, { "multipath", "cochannel" },
    "test-half-wave" },
  { "wind", { "seen-wind" }, { "loose", "leaves" }, "test-shake" },
  { "rain-all", { "seen-rain", "seen-all-weak" }, { "water" }, "test-antenna-port" },
  { "dusk-hot", { "seen-hot", "seen-one-channel" }, { "cochannel" }, "test-later" },
  { "spring", { "seen-spring" }, { "leaves" }, "test-higher" },
  { "one-outlet", { "seen-one-outlet" }, { "leg" }, "test-swap" },
  { "storm", { "seen-storm", "seen-nothing" }, { "amplifier", "power" }, "test-bypass" },
  { "clicks", { "seen-clicks" }, { "noise" }, "test-breakers" },
  { "knife-edge", { "seen-knock" }, { "margin" }, "test-higher" },
};

/* The test that tells the suspected cause from the average of the others best of all tests is the
 * trade's, or as good within a tenth. */
static gboolean
is_its_test (const DwnSymptoms *symptoms, const char *test, guint cause)
{
  int named = dwn_symptoms_find_question (symptoms, test);
  double best = 0.0;

  g_assert_cmpint (named, >=, 0);
  for (guint q = 0; q < symptoms->n_questions; q++)
    if (symptoms->question[q].kind == DWN_QUESTION_TEST)
      best = fmax (best, dwn_symptoms_weight (symptoms, q, DWN_ANSWER_YES, cause));
  return dwn_symptoms_weight (symptoms, (guint) named, DWN_ANSWER_YES, cause) >= 0.4 * best;
}

static void
test_row (gconstpointer data)
{
  guint r = GPOINTER_TO_UINT (data);
  g_autoptr (DwnSymptoms) symptoms = load ();
  g_autofree DwnAnswer *answers = g_new0 (DwnAnswer, symptoms->n_questions);
  gboolean right = FALSE;

  for (guint s = 0; s < 3 && rows[r].seen[s] != NULL; s++)
    answer (symptoms, answers, rows[r].seen[s], DWN_ANSWER_YES);
  g_autoptr (DwnSuspicion) suspicion = dwn_suspicion_new (symptoms, answers);
  const char *first = symptoms->cause[suspicion->order[0]].id;
  for (guint s = 0; s < 3 && rows[r].suspected[s] != NULL; s++)
    right = right || g_str_equal (first, rows[r].suspected[s]);
  if (!right)
    g_test_message ("first is %s", first);
  g_assert_true (right);
  g_assert_true (is_its_test (symptoms, rows[r].test,
                              (guint) dwn_symptoms_find_cause (symptoms, rows[r].suspected[0])));
}

/* Bayes by hand: two causes of chance 0.75 and 0.25, a yes of 0.2 and 0.9: 0.15 against 0.225, that
 * is 0.4 and 0.6; of a no 0.6 against 0.025. */
static void
test_by_hand (void)
{
  static const char table[] = "[seen-q]\ntext = Q?\nelse = 0.2\nb = 0.9\n"
                              "[test-slow]\ntext = S?\nminutes = 60\nelse = 0.1\na = 0.9\n"
                              "[test-quick]\ntext = T?\nminutes = 5\nelse = 0.15\na = 0.9\n"
                              "[cause-a]\nname = A\nchance = 0.75\ncure = C\nsource = S\n"
                              "[cause-b]\nname = B\nchance = 0.25\ncure = C\nsource = S\n";
  g_autoptr (GBytes) bytes = g_bytes_new_static (table, sizeof table - 1);
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnSymptoms) symptoms = dwn_symptoms_new_from_bytes (bytes, "table", &error);
  DwnAnswer answers[3] = { DWN_ANSWER_YES, DWN_ANSWER_NONE, DWN_ANSWER_NONE };

  g_assert_no_error (error);
  g_autoptr (DwnSuspicion) yes = dwn_suspicion_new (symptoms, answers);
  g_assert_cmpstr (symptoms->cause[yes->order[0]].id, ==, "b");
  g_assert_cmpfloat_with_epsilon (yes->chance[0], 0.6, 1e-6);
  g_assert_cmpfloat_with_epsilon (yes->chance[1], 0.4, 1e-6);
  /* Both tests separate about as well: the quicker one; a yes speaks for a, the second. */
  g_assert_cmpstr (symptoms->question[yes->test].id, ==, "test-quick");
  g_assert_false (yes->test_yes_first);
  g_assert_cmpint (yes->next, ==, yes->test);
  answers[0] = DWN_ANSWER_NO;
  g_autoptr (DwnSuspicion) no = dwn_suspicion_new (symptoms, answers);
  g_assert_cmpstr (symptoms->cause[no->order[0]].id, ==, "a");
  g_assert_cmpfloat_with_epsilon (no->chance[0], 0.6 / 0.625, 1e-6);
  g_assert_cmpint (no->next, ==, -1);
  /* Weight: 0.9 over 0.75 · 0.2 + 0.25 · 0.9. */
  g_assert_cmpfloat_with_epsilon (dwn_symptoms_weight (symptoms, 0, DWN_ANSWER_YES, 1), 0.9 / 0.375, 1e-6);
  g_assert_cmpfloat (dwn_symptoms_weight (symptoms, 0, DWN_ANSWER_NONE, 1), ==, 1.0);
}

/* Draws a cause by its chance and answers whatever is asked by its column, question after question.
 * The right cause comes first in at least 80 % of the houses, after few questions. */
static void
test_asking (void)
{
  GRand *rand = g_rand_new_with_seed (8);
  g_autoptr (DwnSymptoms) symptoms = load ();
  guint n = 1000, n_right = 0, n_asked = 0;

  for (guint house = 0; house < n; house++)
    {
      g_autofree DwnAnswer *answers = g_new0 (DwnAnswer, symptoms->n_questions);
      guint cause = (guint) g_rand_int_range (rand, 0, (int) symptoms->n_causes);
      DwnSuspicion *suspicion;

      for (guint q = 0; q < symptoms->n_questions; q++)
        if (symptoms->question[q].kind == DWN_QUESTION_PLAN)
          answers[q] = g_rand_double (rand) < symptoms->question[q].yes[cause] ? DWN_ANSWER_YES
                                                                               : DWN_ANSWER_NO;
      for (suspicion = dwn_suspicion_new (symptoms, answers); suspicion->next >= 0;
           suspicion = dwn_suspicion_new (symptoms, answers))
        {
          guint next = (guint) suspicion->next;

          g_assert_cmpint (answers[next], ==, DWN_ANSWER_NONE);
          answers[next] = g_rand_double (rand) < symptoms->question[next].yes[cause] ? DWN_ANSWER_YES
                                                                                     : DWN_ANSWER_NO;
          n_asked++;
          dwn_suspicion_free (suspicion);
        }
      n_right += suspicion->order[0] == cause;
      dwn_suspicion_free (suspicion);
    }
  g_test_message ("right first in %.1f %%, %.1f questions each", 100.0 * n_right / n,
                  (double) n_asked / n);
  g_assert_cmpfloat ((double) n_right / n, >=, 0.8);
  g_assert_cmpfloat ((double) n_asked / n, <=, 12.0);
  g_rand_free (rand);
}

static DwnAnswer
answered (const DwnSymptoms *symptoms, const DwnAnswer *answers, const char *id)
{
  return answers[dwn_symptoms_find_question (symptoms, id)];
}

static void
ask (const DwnSymptoms *symptoms, const Example *e, int station, DwnAnswer *answers)
{
  DwnLearnRules rules;
  g_autoptr (DwnBudgetBase) base = dwn_budget_base_new (e->plan, e->fields, e->tables);
  g_autoptr (DwnBudget) budget = dwn_budget_new (base, e->plan->aims->aim_deg);

  g_assert_true (dwn_learn_rules_load (&rules, NULL));
  g_autoptr (DwnLearned) learned = dwn_learn (e->plan, e->fields, e->tables, &rules);
  dwn_symptoms_ask_plan (symptoms, e->plan, e->fields, budget, e->tables, learned, station, answers);
}

/* A sound plan; one without a supply, with old cable and a wood; one that is overloaded. */
static void
test_plan (void)
{
  g_autoptr (DwnSymptoms) symptoms = load ();
  g_autofree DwnAnswer *answers = g_new0 (DwnAnswer, symptoms->n_questions);
  Example sound, broken, loud;
  static const char loud_gear[] =
    "<gear><part id='a' kind='antenna' type='lpda-high-vhf-uhf' on-mast='yes' polarisation='h' aim-deg='5'/>"
    "<part id='amp' kind='amplifier' type='mast-amp-20-2' on-mast='yes' max-output-dbm='-60'/>"
    "<part id='supply' kind='inserter' type='inserter-5'/><part id='tv1' kind='outlet' type='tuner-atsc'/>"
    "<join from='a' to='amp'/><join from='amp' to='supply' cable='series-6' length-m='20'/>"
    "<join from='supply' to='tv1'/></gear>";
  static const char bad_gear[] =
    "<gear><part id='a' kind='antenna' type='lpda-high-vhf-uhf' on-mast='yes' polarisation='h' aim-deg='5'/>"
    "<part id='amp' kind='amplifier' type='mast-amp-20-2' on-mast='yes'/>"
    "<part id='tv1' kind='outlet' type='tuner-atsc'/>"
    "<join from='a' to='amp'/><join from='amp' to='tv1' cable='series-6' length-m='20' age-years='15'/></gear>";

  example_open (&sound, "height-m='9.1' area='rural'>", EXAMPLE_GEAR, "");
  example_open (&broken, "height-m='9.1' area='rural'><loss name='wood' from-deg='300' to-deg='60' uhf-db='8'"
                " sd-db='3' leaves='yes'/>", bad_gear, "");
  answer (symptoms, answers, "seen-rain", DWN_ANSWER_YES);
  ask (symptoms, &sound, -1, answers);
  g_assert_cmpint (answered (symptoms, answers, "plan-power"), ==, DWN_ANSWER_NO);
  g_assert_cmpint (answered (symptoms, answers, "plan-overload"), ==, DWN_ANSWER_NO);
  g_assert_cmpint (answered (symptoms, answers, "plan-amplifier"), ==, DWN_ANSWER_YES);
  g_assert_cmpint (answered (symptoms, answers, "plan-outlets"), ==, DWN_ANSWER_YES);
  g_assert_cmpint (answered (symptoms, answers, "plan-old-cable"), ==, DWN_ANSWER_NO);
  g_assert_cmpint (answered (symptoms, answers, "plan-leaves"), ==, DWN_ANSWER_NO);
  g_assert_cmpint (answered (symptoms, answers, "read-weak"), ==, DWN_ANSWER_NONE);
  /* What the person said stays. */
  g_assert_cmpint (answered (symptoms, answers, "seen-rain"), ==, DWN_ANSWER_YES);

  ask (symptoms, &broken, 0, answers);
  g_assert_cmpint (answered (symptoms, answers, "plan-power"), ==, DWN_ANSWER_YES);
  g_assert_cmpint (answered (symptoms, answers, "plan-outlets"), ==, DWN_ANSWER_NO);
  g_assert_cmpint (answered (symptoms, answers, "plan-old-cable"), ==, DWN_ANSWER_YES);
  g_assert_cmpint (answered (symptoms, answers, "plan-leaves"), ==, DWN_ANSWER_YES);
  example_open (&loud, "height-m='9.1' area='rural'>", loud_gear, "");
  ask (symptoms, &loud, 0, answers);
  g_assert_cmpint (answered (symptoms, answers, "plan-overload"), ==, DWN_ANSWER_YES);
  g_assert_cmpint (answered (symptoms, answers, "plan-power"), ==, DWN_ANSWER_NO);
  example_close (&sound);
  example_close (&broken);
  example_close (&loud);
}

/* Readings that say weak, and dirty: levels by the budget's own figures, 15 dB less; C/N 10 dB less
 * than they would give. */
static void
test_readings (void)
{
  g_autoptr (DwnSymptoms) symptoms = load ();
  g_autofree DwnAnswer *weak = g_new0 (DwnAnswer, symptoms->n_questions);
  g_autofree DwnAnswer *dirty = g_new0 (DwnAnswer, symptoms->n_questions);
  Example e, read_weak, read_dirty;
  DwnExpected expected;
  char level[G_ASCII_DTOSTR_BUF_SIZE];

  example_open (&e, "height-m='9.1' area='rural'>", EXAMPLE_GEAR, "");
  dwn_expect (e.plan, e.fields, e.tables, 0, e.plan->gear->outlet[0], e.plan->aims->aim_deg, FALSE, &expected);
  g_autofree char *short_of = g_strdup_printf ("<reading station='north' where='tv1' level-dbm='%s'/>",
                                               g_ascii_dtostr (level, sizeof level, expected.level_dbm - 15.0));
  g_autofree char *noisy = g_strdup_printf ("<reading station='north' where='tv1' level-dbm='%s' cn-db='14'/>",
                                            g_ascii_dtostr (level, sizeof level, expected.level_dbm));
  example_open (&read_weak, "height-m='9.1' area='rural'>", EXAMPLE_GEAR, short_of);
  example_open (&read_dirty, "height-m='9.1' area='rural'>", EXAMPLE_GEAR, noisy);
  g_assert_cmpfloat (expected.cn_db, >, 24.0);
  ask (symptoms, &read_weak, 0, weak);
  ask (symptoms, &read_dirty, 0, dirty);
  g_assert_cmpint (answered (symptoms, weak, "read-weak"), ==, DWN_ANSWER_YES);
  g_assert_cmpint (answered (symptoms, weak, "read-dirty"), ==, DWN_ANSWER_NONE);
  g_assert_cmpint (answered (symptoms, dirty, "read-weak"), ==, DWN_ANSWER_NO);
  g_assert_cmpint (answered (symptoms, dirty, "read-dirty"), ==, DWN_ANSWER_YES);
  example_close (&e);
  example_close (&read_weak);
  example_close (&read_dirty);
}

static void
test_finding (void)
{
  g_autoptr (DwnSymptoms) symptoms = load ();
  int water = dwn_symptoms_find_cause (symptoms, "water");
  Example e;

  example_open (&e, "height-m='9.1' area='rural'>", EXAMPLE_GEAR,
                "<visit when='2026-05-12' who='A. Person' changed='new plate'/>");
  g_autoptr (DwnPlan) plan = dwn_plan_with_finding (e.plan, "2026-05-12T10:30", &symptoms->cause[water],
                                                    "wet connector");
  g_autoptr (DwnPlan) later = dwn_plan_with_finding (plan, "2026-06-01", &symptoms->cause[water], "again");
  g_assert_cmpuint (plan->readings->n_visits, ==, 1);
  g_assert_cmpstr (plan->readings->visit[0].cause, ==, "water");
  g_assert_cmpstr (plan->readings->visit[0].found, ==, "wet connector");
  g_assert_cmpstr (plan->readings->visit[0].who, ==, "A. Person");
  g_assert_cmpstr (plan->readings->visit[0].changed, ==, "new plate");
  g_assert_cmpuint (later->readings->n_visits, ==, 2);
  example_close (&e);
}

static const struct {
  const char *text, *says;
} bad[] = {
  { "[cause-a]\nname = A\nchance = 2\ncure = C\nsource = S\n", "table:3" },
  { "[cause-a]\nname = A\nchance = 0.5\ncure = C\n", "source" },
  { "[seen-q]\ntext = Q\nelse = 0.1\nnobody = 0.5\n", "no [cause-nobody]" },
  { "[seen-q]\ntext = Q\nelse = 1\n", "table:3" },
  { "[other]\ntext = Q\n", "table:1" },
};

static void
test_bad (gconstpointer data)
{
  guint i = GPOINTER_TO_UINT (data);
  g_autoptr (GBytes) bytes = g_bytes_new_static (bad[i].text, strlen (bad[i].text));
  g_autoptr (GError) error = NULL;

  g_assert_null (dwn_symptoms_new_from_bytes (bytes, "table", &error));
  g_assert_nonnull (error);
  g_assert_nonnull (strstr (error->message, bad[i].says));
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  for (guint r = 0; r < G_N_ELEMENTS (rows); r++)
    {
      g_autofree char *path = g_strdup_printf ("/symptoms/trade/%s", rows[r].name);
      g_test_add_data_func (path, GUINT_TO_POINTER (r), test_row);
    }
  g_test_add_func ("/symptoms/by-hand", test_by_hand);
  g_test_add_func ("/symptoms/asking", test_asking);
  g_test_add_func ("/symptoms/plan", test_plan);
  g_test_add_func ("/symptoms/readings", test_readings);
  g_test_add_func ("/symptoms/finding", test_finding);
  for (guint i = 0; i < G_N_ELEMENTS (bad); i++)
    {
      g_autofree char *path = g_strdup_printf ("/symptoms/bad/%u", i);
      g_test_add_data_func (path, GUINT_TO_POINTER (i), test_bad);
    }
  return g_test_run ();
}
