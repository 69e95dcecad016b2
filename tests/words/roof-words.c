/* Sentences about aiming, learning, trouble and what was built, untranslated: what a person needs in
 * them is there, and nothing is left to be filled in. */
#include <math.h>
#include <string.h>

#include "core/plan/document.h"
#include "words/aim-words.h"
#include "words/built-words.h"
#include "words/learn-words.h"
#include "words/symptom-words.h"

static void
assert_says (const char *text, const char *part)
{
  if (strstr (text, part) == NULL || strchr (text, '{') != NULL)
    g_error ("\"%s\" lacks \"%s\", or something is not filled in", text, part);
}

static void
test_compass (void)
{
  const DwnCompassAim west = { 60.0, 74.1, -14.1, 0.1, FALSE }, east = { 60.0, 48.6, 11.4, 0.01, TRUE };
  g_autofree char *one = dwn_word_compass_aim (&dwn_wording_script, &west, "2026-05-14");
  g_autofree char *two = dwn_word_compass_aim (&dwn_wording_script, &east, "2032-05-14");

  assert_says (one, "74");
  assert_says (one, "14.1\xC2\xB0 west on 2026-05-14, going 0.1\xC2\xB0 east a year");
  assert_says (one, "steel");
  assert_says (two, "11.4\xC2\xB0 east on 2032-05-14, standing still");
  assert_says (two, "not made for that year");
}

/* 1793548800 is 2026-11-01 16:00 UTC: nine in the morning in Denver once the clocks went back. */
static void
test_sun (void)
{
  g_autoptr (GTimeZone) zone = g_time_zone_new_identifier ("America/Denver");
  const DwnSunMoment over = { 1793548800.0, FALSE, { 120.0, 22.0, 22.1 } };
  const DwnSunMoment opposite = { 1793548829.0, TRUE, { 120.0, 22.0, 22.1 } };
  g_autofree char *local = dwn_word_sun_moment (&dwn_wording_script, &over, zone);
  g_autofree char *shadow = dwn_word_sun_moment (&dwn_wording_script, &opposite, NULL);

  assert_says (local, "09:00: the sun stands over the aim, 22\xC2\xB0 high");
  assert_says (shadow, "16:00 UTC");
  assert_says (shadow, "shadow of the mast points along the boom");
}

static void
test_turn_and_tilt (void)
{
  g_autofree char *right = dwn_word_turn (&dwn_wording_script, 350.0, 36.0);
  g_autofree char *left = dwn_word_turn (&dwn_wording_script, 36.0, 350.0);
  g_autofree char *up = dwn_word_tilt (&dwn_wording_script, 7.2);

  assert_says (right, "turn 46\xC2\xB0 clockwise");
  assert_says (left, "turn 46\xC2\xB0 anticlockwise");
  assert_says (up, "up by 7\xC2\xB0");
  g_assert_null (dwn_word_tilt (&dwn_wording_script, 0.0));
  g_assert_null (dwn_word_tilt (&dwn_wording_script, (double) NAN));
}

static const char document[] =
  "<downlead version='1.0'><site name='Test' lat='44' lon='-75' height-m='9.1'/><stations>"
  "<station id='n' name='Ostermere' system='atsc1' rf='24' lat='44.3' lon='-75' erp-kw='100' haat-m='300'/>"
  "</stations><gear><part id='a' kind='antenna' type='lpda-uhf' on-mast='yes'/>"
  "<part id='supply' kind='inserter' type='inserter-5' place='loft, beside the hatch'/>"
  "<part id='tv1' kind='outlet' type='tuner-atsc' name='Kitchen'/><join from='a' to='supply'/>"
  "<join from='supply' to='tv1'/></gear><readings><reading station='n' where='tv1' level-dbm='-60'/>"
  "</readings></downlead>";

typedef struct {
  DwnTables *tables;
  DwnPlan *plan;
} Bench;

static void
bench_open (Bench *bench)
{
  g_autoptr (GBytes) bytes = g_bytes_new_static (document, sizeof document - 1);
  g_autoptr (GError) error = NULL;

  bench->tables = dwn_tables_new (&error);
  g_assert_no_error (error);
  bench->plan = dwn_plan_read (bytes, "plan", bench->tables->parts, bench->tables->catalogue, NULL, &error);
  g_assert_no_error (error);
}

static void
bench_close (Bench *bench)
{
  dwn_plan_unref (bench->plan);
  dwn_tables_unref (bench->tables);
}

static void
test_causes (void)
{
  Bench bench;

  bench_open (&bench);
  for (guint kind = 0; kind < DWN_N_LEARNED_KINDS; kind++)
    for (int sign = -1; sign <= 1; sign += 2)
      {
        const DwnLearnedCause cause = { .id = "x", .kind = (DwnLearnedKind) kind, .band = DWN_BAND_UHF, .from_deg = 70.0,
                                 .to_deg = 80.0, .part = 2, .estimate = sign * 8.0, .sd = 1.0,
                                 .low = sign * 8.0 - 2.0, .high = sign * 8.0 + 2.0, .chance = 0.92 };
        g_autofree char *text = dwn_word_learned_cause (&dwn_wording_script, bench.plan, &cause);
        g_autofree char *cure = dwn_word_cause_cure (&dwn_wording_script, &cause);

        assert_says (text, "8");
        assert_says (text, "92");
        /* The range is of the size that is said: from 6 to 10 in either direction. */
        g_assert_true (strstr (text, "6") < strstr (text, "10"));
        g_assert_true (g_ascii_isupper (text[0]));
        g_assert_cmpstr (cure, !=, "");
      }
  bench_close (&bench);
}

static void
test_slips_and_pairs (void)
{
  Bench bench;
  const DwnLearnedCause causes[] = { { .kind = DWN_LEARNED_OUTLET, .part = 2 }, { .kind = DWN_LEARNED_AIM, .part = 0 } };
  const DwnLearned learned = { .n_used = 3, .n_causes = 2, .cause = causes, .ordinary_chance = 0.2 };
  const DwnUndecided pair = { 0, 1, -1, 0, 2, 2.5 }, dead = { 0, 2, 0, -1, -1, 0.0 };
  const DwnOutlier outlier = { 0, -27.0, 0.97 };

  bench_open (&bench);
  g_autofree char *next = dwn_word_undecided (&dwn_wording_script, bench.plan, &learned, &pair);
  g_autofree char *none = dwn_word_undecided (&dwn_wording_script, bench.plan, &learned, &dead);
  g_autofree char *slip = dwn_word_outlier (&dwn_wording_script, bench.plan, &outlier);
  g_autofree char *all = dwn_word_learned (&dwn_wording_script, bench.plan, &learned);
  assert_says (next, "Read Ostermere at Kitchen");
  assert_says (none, "a slip in the reading of Ostermere at Kitchen");
  assert_says (none, "Nothing that can be read here");
  assert_says (slip, "27");
  assert_says (slip, "left out");
  assert_says (all, "do not tell");
  bench_close (&bench);
}

static void
test_symptoms (void)
{
  g_autoptr (DwnSymptoms) symptoms = dwn_symptoms_new (NULL);
  g_autofree DwnAnswer *answers = g_new0 (DwnAnswer, symptoms->n_questions);

  answers[dwn_symptoms_find_question (symptoms, "seen-rain")] = DWN_ANSWER_YES;
  answers[dwn_symptoms_find_question (symptoms, "plan-old-cable")] = DWN_ANSWER_YES;
  g_autoptr (DwnSuspicion) suspicion = dwn_suspicion_new (symptoms, answers);
  g_autofree char *text = dwn_word_suspicion (&dwn_wording_script, symptoms, suspicion);
  g_autofree char *test = dwn_word_separating_test (&dwn_wording_script, symptoms, suspicion);
  g_autofree char *finding = dwn_word_finding (&dwn_wording_script, symptoms, answers,
                                               (guint) dwn_symptoms_find_cause (symptoms, "water"));
  g_autoptr (GPtrArray) known = dwn_word_known (&dwn_wording_script, symptoms, answers);

  assert_says (text, "water");
  assert_says (test, "A yes speaks for");
  assert_says (finding, "water or a bad connector");
  assert_says (finding, "rain");
  assert_says (finding, "ten years old");
  g_assert_cmpuint (known->len, ==, 1);
}

static void
test_scan (void)
{
  Bench bench;

  bench_open (&bench);
  for (guint reason = DWN_SCAN_NOTHING; reason < DWN_N_SCAN_REASONS; reason++)
    {
      const DwnScanRow row = { .state = reason >= DWN_SCAN_UNLIKELY ? DWN_SCAN_EXTRA : DWN_SCAN_MISSING,
                               .reason = (DwnScanReason) reason, .limit = DWN_LIMIT_OVERLOAD,
                               .station = reason == DWN_SCAN_UNKNOWN ? -1 : 0, .rf = "24",
                               .chance = 0.71, .found = "24" };
      g_autofree char *text = dwn_word_scan_row (&dwn_wording_script, bench.plan, &row);

      assert_says (text, reason == DWN_SCAN_UNKNOWN ? "24" : "Ostermere");
      assert_says (text, ": ");
    }
  bench_close (&bench);
}

static void
test_built (void)
{
  Bench bench;
  const DwnFading fading = { 0, 2.1, 0.67, DWN_FADES_WITH_LEAVES | DWN_FADES_IN_HEAT };
  const DwnVisit visit = { "2026-05-14T09:00", "A. Person", "field meter", "new plate", "water", "water" };

  bench_open (&bench);
  g_autofree char *text = dwn_word_fading (&dwn_wording_script, bench.plan, &fading);
  g_autoptr (GPtrArray) places = dwn_word_places (&dwn_wording_script, bench.plan->gear);
  g_autoptr (GPtrArray) lines = dwn_word_visit (&dwn_wording_script, &visit);

  assert_says (text, "Ostermere (RF 24)");
  assert_says (text, "2.1 dB");
  assert_says (text, "when leaves come; in hot spells");
  g_assert_cmpuint (places->len, ==, 1);
  assert_says (g_ptr_array_index (places, 0), "loft, beside the hatch. Do not unplug");
  g_assert_cmpuint (lines->len, ==, 3);
  assert_says (g_ptr_array_index (lines, 0), "2026-05-14 \xC2\xB7 A. Person \xC2\xB7 field meter");
  assert_says (g_ptr_array_index (lines, 1), "water");
  assert_says (g_ptr_array_index (lines, 2), "new plate");
  bench_close (&bench);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/words/roof/compass", test_compass);
  g_test_add_func ("/words/roof/sun", test_sun);
  g_test_add_func ("/words/roof/turn-and-tilt", test_turn_and_tilt);
  g_test_add_func ("/words/roof/causes", test_causes);
  g_test_add_func ("/words/roof/slips-and-pairs", test_slips_and_pairs);
  g_test_add_func ("/words/roof/symptoms", test_symptoms);
  g_test_add_func ("/words/roof/scan", test_scan);
  g_test_add_func ("/words/roof/built", test_built);
  return g_test_run ();
}
