/* Diagnosis and remedies: sums against the budget's, each "without" and each remedy against a
 * budget of the plan written by hand with that change, causes on plans built to have them. */
#include <math.h>
#include <string.h>

#include "core/chain/power.h"
#include "core/plan/document.h"
#include "core/study/remedies.h"

#define SITE "name='Test' lat='44' lon='-75' height-m='9.1'"
#define ON_MAST "<site " SITE "/>"

/* A plan of few parts, as XML; NULL parts are the usual ones. */
typedef struct {
  const char *site, *stations, *gear, *paths;
} Draft;

#define NORTH "<station id='s' name='S' system='atsc1' rf='24' lat='44.5' lon='-75' erp-kw='100'"
/* A quiet, honest chain: an antenna straight at the station, 15 m of cable, one set. */
#define ANTENNA(type, aim) "<part id='a' kind='antenna' type='" type "' on-mast='yes' polarisation='h'" \
                           " aim-deg='" aim "'/>"
#define TV "<part id='tv' kind='outlet' type='tuner-atsc'/>"
#define PLAIN_GEAR "<gear>" ANTENNA ("yagi-uhf-20", "0") TV \
                   "<join from='a' to='tv' cable='series-6' length-m='15'/></gear>"

typedef struct {
  DwnTables *tables;
  DwnPlan *plan;
  DwnFields *fields;
  DwnBudgetBase *base;
  DwnBudget *budget;
} Bench;

static void
bench_open_plan (Bench *bench)
{
  g_autoptr (GError) error = NULL;

  bench->fields = dwn_fields_new (bench->plan, NULL, &error);
  g_assert_no_error (error);
  bench->base = dwn_budget_base_new (bench->plan, bench->fields, bench->tables);
  bench->budget = dwn_budget_new (bench->base, bench->plan->aims->aim_deg);
}

static void
bench_open (Bench *bench, const Draft *draft)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *text = g_strdup_printf (
    "<downlead version='1.0'>%s<services><service id='s' name='S' wanted='must'/>"
    "<service id='t' name='T' wanted='must'/></services><stations>%s</stations>%s%s</downlead>",
    draft->site != NULL ? draft->site : ON_MAST,
    draft->stations != NULL ? draft->stations : NORTH " haat-m='300' services='s'/>",
    draft->gear != NULL ? draft->gear : PLAIN_GEAR, draft->paths != NULL ? draft->paths : "");
  g_autoptr (GBytes) bytes = g_bytes_new (text, strlen (text));

  bench->tables = dwn_tables_new (&error);
  g_assert_no_error (error);
  bench->plan = dwn_plan_read (bytes, "draft", bench->tables->parts, bench->tables->catalogue, NULL, &error);
  g_assert_no_error (error);
  bench_open_plan (bench);
}

static void
bench_close (Bench *bench)
{
  dwn_budget_unref (bench->budget);
  dwn_budget_base_unref (bench->base);
  dwn_fields_unref (bench->fields);
  dwn_plan_unref (bench->plan);
  dwn_tables_unref (bench->tables);
}

static double
margin_of (const Draft *draft)
{
  Bench bench;

  bench_open (&bench, draft);
  double margin_db = bench.budget->reception[0].margin_db;
  bench_close (&bench);
  return margin_db;
}

/* 40 km as the crow flies at 44°: 0.36° of latitude. Level ground with a wall of @wall_m at 34 km. */
static char *
ridge_path (double wall_m)
{
  GString *text = g_string_new ("<paths><profile station='s' length-m='55556'><heights-dm>");

  for (int i = 0; i <= 200; i++)
    g_string_append_printf (text, "%d ", (int) (10.0 * (100.0 + (i > 168 && i < 174 ? wall_m : 0.0))));
  g_string_append (text, "</heights-dm></profile></paths>");
  return g_string_free (text, FALSE);
}

/* Sums */

static void
check_sums (const Bench *bench, guint station, guint outlet)
{
  g_autoptr (DwnDiagnosis) diagnosis = dwn_diagnose (bench->base, bench->plan->aims->aim_deg, station, outlet);
  const DwnReception *r = &bench->budget->reception[(gsize) station * bench->budget->n_outlets + outlet];
  double level_dbm = 0.0, need_dbm = 0.0;

  for (guint k = 0; k < diagnosis->n_steps; k++)
    {
      const DwnLossStep *step = &diagnosis->step[k];

      level_dbm += step->gain_db;
      g_assert_cmpfloat_with_epsilon (step->level_dbm, level_dbm, 1e-9);
      if (!isnan (step->enough_dbm))
        g_assert_cmpfloat_with_epsilon (step->level_dbm - step->enough_dbm, r->margin_db, 1e-9);
    }
  g_assert_cmpfloat_with_epsilon (level_dbm, r->level_dbm, 1e-8);
  for (guint k = 0; k < DWN_N_NEEDS; k++)
    need_dbm += diagnosis->need_db[k];
  g_assert_cmpfloat_with_epsilon (need_dbm, r->level_dbm - r->margin_db, 1e-9);
}

/* Every station at every outlet of the demo: two antennas, ridges, a wood, an amplifier. */
static void
test_sums_of_demo (void)
{
  g_autoptr (GError) error = NULL;
  Bench bench;

  bench.tables = dwn_tables_new (&error);
  g_assert_no_error (error);
  bench.plan = dwn_plan_load (
    g_test_get_filename (G_TEST_DIST, "..", "data", "demo", "thistledown.downlead", NULL),
    bench.tables->parts, bench.tables->catalogue, NULL, &error);
  g_assert_no_error (error);
  bench_open_plan (&bench);
  for (guint i = 0; i < bench.plan->stations->n; i++)
    for (guint o = 0; o < bench.budget->n_outlets; o++)
      check_sums (&bench, i, o);
  bench_close (&bench);
}

/* 100 kW over a half-wave dipole are 80 dBm + 2.15 dB; the path loses 32.45 + 20 log10 of km and
 * MHz (ITU-R P.525). */
static void
test_first_steps (void)
{
  const Draft draft = { 0 };
  Bench bench;

  bench_open (&bench, &draft);
  g_autoptr (DwnDiagnosis) diagnosis = dwn_diagnose (bench.base, bench.plan->aims->aim_deg, 0, 0);
  double km = bench.fields->arrival[0].distance_m / 1000.0, mhz = bench.plan->stations->station[0].mhz;
  g_assert_cmpint (diagnosis->step[0].kind, ==, DWN_LOSS_POWER);
  g_assert_cmpfloat_with_epsilon (diagnosis->step[0].gain_db, 80.0 + 2.15, 0.02);
  g_assert_cmpint (diagnosis->step[1].kind, ==, DWN_LOSS_FREE_SPACE);
  g_assert_cmpfloat_with_epsilon (diagnosis->step[1].gain_db, -(32.45 + 20.0 * log10 (km * mhz)), 0.02);
  bench_close (&bench);
}

/* Causes */

#define SET "<part id='tv' kind='outlet' type='tuner-atsc'/>"
#define CHAIN(middle, joins) "<gear>" ANTENNA ("yagi-uhf-20", "0") middle SET joins "</gear>"
#define AMPLIFIED(extra, supply, joins) \
  CHAIN ("<part id='amp' kind='amplifier' type='mast-amp-25-3' on-mast='yes' " extra "/>" supply, joins)
#define SUPPLIED_JOINS \
  "<join from='a' to='amp'/><join from='amp' to='ins' cable='series-6' length-m='15'/><join from='ins' to='tv'/>"
#define WEAK " erp-kw='1' haat-m='300' services='s'/>"

static const struct {
  const char *name;
  DwnCause cause;
  Draft draft;
} cause_cases[] = {
  { "distance", DWN_CAUSE_DISTANCE,
    { .stations = "<station id='s' name='S' system='atsc1' rf='24' lat='45.5' lon='-75' erp-kw='5'"
                  " haat-m='100' services='s'/>" } },
  { "building", DWN_CAUSE_BUILDING,
    { .site = "<site name='Test' lat='44' lon='-75' height-m='6' mount='attic'>"
              "<loss name='roof' from-deg='0' to-deg='0' low-vhf-db='15' high-vhf-db='20' uhf-db='30' sd-db='4'/>"
              "</site>" } },
  { "off-beam", DWN_CAUSE_OFF_BEAM,
    { .gear = "<gear>" ANTENNA ("yagi-uhf-40", "75") TV
              "<join from='a' to='tv' cable='series-6' length-m='5'/></gear>" } },
  { "crossed", DWN_CAUSE_CROSSED,
    { .stations = NORTH " haat-m='300' polarisation='v' services='s'/>",
      .gear = "<gear>" ANTENNA ("yagi-uhf-20", "0") TV
              "<join from='a' to='tv' cable='series-6' length-m='5'/></gear>" } },
  { "wrong-band", DWN_CAUSE_WRONG_BAND,
    { .stations = "<station id='s' name='S' system='atsc1' rf='8' lat='44.3' lon='-75' erp-kw='20'"
                  " haat-m='300' services='s'/>" } },
  { "wrong-input", DWN_CAUSE_WRONG_BAND, /* of a band combiner */
    { .gear = CHAIN ("<part id='c' kind='combiner' type='diplexer-vhf-uhf'/>",
                     "<join from='a' to='c' to-port='1'/><join from='c' to='tv'/>") } },
  { "cable", DWN_CAUSE_CABLE,
    { .gear = "<gear>" ANTENNA ("yagi-uhf-20", "0") TV
              "<join from='a' to='tv' cable='series-59' length-m='120'/></gear>" } },
  { "cable-before-amplifier", DWN_CAUSE_CABLE,
    { .gear = CHAIN ("<part id='amp' kind='amplifier' type='dist-amp-20'/>",
                     "<join from='a' to='amp' cable='series-59' length-m='100'/><join from='amp' to='tv'/>") } },
  { "splitting", DWN_CAUSE_SPLITTING,
    { .gear = CHAIN ("<part id='x' kind='splitter' type='splitter-8'/><part id='y' kind='splitter' type='splitter-8'/>",
                     "<join from='a' to='x' cable='series-6' length-m='10'/><join from='x' to='y'/>"
                     "<join from='y' to='tv'/>") } },
  { "overload", DWN_CAUSE_OVERLOAD,
    { .stations = "<station id='s' name='S' system='atsc1' rf='24' lat='44.05' lon='-75' erp-kw='500'"
                  " haat-m='300' services='s'/>",
      .gear = AMPLIFIED ("", "<part id='ins' kind='inserter' type='inserter-12'/>", SUPPLIED_JOINS) } },
  { "noise", DWN_CAUSE_NOISE,
    { .site = "<site name='Test' lat='44' lon='-75' height-m='9.1' area='city'/>",
      .stations = "<station id='s' name='S' system='atsc1' rf='3' lat='44.3' lon='-75' erp-kw='1'"
                  " haat-m='300' services='s'/>",
      .gear = "<gear>" ANTENNA ("yagi-low-vhf-5", "0") TV "<join from='a' to='tv' cable='series-6' length-m='15'/></gear>" } },
  { "interference", DWN_CAUSE_INTERFERENCE,
    { .stations = NORTH " haat-m='300' services='s'/>"
                  "<station id='o' name='O' system='atsc1' rf='24' lat='43.6' lon='-75' erp-kw='900' haat-m='400'/>",
      .gear = "<gear>" ANTENNA ("dipole", "0") TV "<join from='a' to='tv' cable='series-6' length-m='5'/></gear>" } },
  { "switched-off", DWN_CAUSE_NO_POWER,
    { .gear = AMPLIFIED ("unpowered='yes'", "<part id='ins' kind='inserter' type='inserter-12'/>", SUPPLIED_JOINS) } },
  { "no-inserter", DWN_CAUSE_NO_POWER,
    { .gear = AMPLIFIED ("", "", "<join from='a' to='amp'/>"
                                 "<join from='amp' to='tv' cable='series-6' length-m='15'/>") } },
  { "unconnected", DWN_CAUSE_UNCONNECTED, { .gear = "<gear>" ANTENNA ("yagi-uhf-20", "0") TV "</gear>" } },
};

static void
test_cause (gconstpointer data)
{
  guint row = GPOINTER_TO_UINT (data);
  Bench bench;

  bench_open (&bench, &cause_cases[row].draft);
  g_autoptr (DwnDiagnosis) diagnosis = dwn_diagnose (bench.base, bench.plan->aims->aim_deg, 0, 0);
  g_assert_cmpstr (dwn_cause_id (diagnosis->chief), ==, dwn_cause_id (cause_cases[row].cause));
  g_assert_cmpstr (dwn_cause_id (cause_cases[row].cause), !=, "none");
  if (cause_cases[row].cause != DWN_CAUSE_UNCONNECTED)
    check_sums (&bench, 0, 0);
  bench_close (&bench);
}

static void
test_ridge (void)
{
  g_autofree char *path = ridge_path (250.0);
  const Draft draft = { .paths = path,
    .stations = NORTH " agl-m='150' services='s'/>" };
  Bench bench;

  bench_open (&bench, &draft);
  g_autoptr (DwnDiagnosis) diagnosis = dwn_diagnose (bench.base, bench.plan->aims->aim_deg, 0, 0);
  g_assert_cmpstr (dwn_cause_id (diagnosis->chief), ==, "ridge");
  check_sums (&bench, 0, 0);
  bench_close (&bench);
}

/* Where all is well nothing is to blame. */
static void
test_no_cause (void)
{
  const Draft draft = { .gear = "<gear>" ANTENNA ("yagi-uhf-20", "0") TV "<join from='a' to='tv'/></gear>",
    .stations = "<station id='s' name='S' system='atsc1' rf='24' lat='44.3' lon='-75' erp-kw='100' haat-m='300'"
                " services='s'/>" };
  DwnCause causes[DWN_MOST_NAMED];
  Bench bench;

  bench_open (&bench, &draft);
  g_autoptr (DwnDiagnosis) diagnosis = dwn_diagnose (bench.base, bench.plan->aims->aim_deg, 0, 0);
  g_assert_cmpfloat (diagnosis->reception.chance, >, 0.99);
  g_assert_cmpfloat (diagnosis->taken_db[diagnosis->chief], <, 1.0);
  g_assert_cmpuint (dwn_diagnosis_name_causes (diagnosis, causes), ==, 1);
  bench_close (&bench);
}

/* What would be without a loss, against a plan written without it */

static double
without_db (const Draft *draft, DwnLossKind kind)
{
  Bench bench;
  double margin_db = (double) NAN;

  bench_open (&bench, draft);
  g_autoptr (DwnDiagnosis) diagnosis = dwn_diagnose (bench.base, bench.plan->aims->aim_deg, 0, 0);
  for (guint k = 0; k < diagnosis->n_steps; k++)
    if (diagnosis->step[k].kind == kind && !isnan (diagnosis->step[k].without_margin_db))
      margin_db = diagnosis->step[k].without_margin_db;
  bench_close (&bench);
  return margin_db;
}

static void
test_without_aim (void)
{
  const Draft off = { .gear = "<gear>" ANTENNA ("yagi-uhf-20", "40") TV "<join from='a' to='tv'/></gear>" };
  const Draft on = { .gear = "<gear>" ANTENNA ("yagi-uhf-20", "0") TV "<join from='a' to='tv'/></gear>" };

  g_assert_cmpfloat_with_epsilon (without_db (&off, DWN_LOSS_AIM), margin_of (&on), 1e-6);
}

static void
test_without_house (void)
{
  const Draft house = { .site = "<site " SITE "><loss name='wood' from-deg='300' to-deg='60' low-vhf-db='1'"
                                " high-vhf-db='2' uhf-db='11' sd-db='3'/></site>" };
  const Draft bare = { 0 };

  g_assert_cmpfloat_with_epsilon (without_db (&house, DWN_LOSS_HOUSE), margin_of (&bare), 1e-9);
}

static void
test_without_cable (void)
{
  const Draft with = { 0 };
  const Draft bare = { .gear = "<gear>" ANTENNA ("yagi-uhf-20", "0") TV "<join from='a' to='tv'/></gear>" };

  g_assert_cmpfloat_with_epsilon (without_db (&with, DWN_LOSS_CABLE), margin_of (&bare), 1e-9);
}

static void
test_without_splitter (void)
{
  const Draft split = { .gear = CHAIN ("<part id='x' kind='splitter' type='splitter-4'/>",
                                       "<join from='a' to='x' cable='series-6' length-m='15'/>"
                                       "<join from='x' from-port='3' to='tv'/>") };
  const Draft bare = { 0 };

  g_assert_cmpfloat_with_epsilon (without_db (&split, DWN_LOSS_PART), margin_of (&bare), 1e-9);
}

static void
test_without_ridge (void)
{
  g_autofree char *wall = ridge_path (250.0), *level = ridge_path (0.0);
  const Draft ridge = { .paths = wall, .stations = NORTH " agl-m='150' services='s'/>" };
  const Draft plain = { .paths = level, .stations = NORTH " agl-m='150' services='s'/>" };

  /* Fading goes with the path too; the median of both plans is what the step is about. */
  Bench a, b;
  bench_open (&a, &ridge);
  bench_open (&b, &plain);
  double fading_db = (a.fields->field[0].median - a.fields->field[0].wanted)
                     - (b.fields->field[0].median - b.fields->field[0].wanted);
  g_assert_cmpfloat_with_epsilon (without_db (&ridge, DWN_LOSS_RIDGE),
                                  b.budget->reception[0].margin_db - fading_db, 1e-6);
  bench_close (&a);
  bench_close (&b);
}

/* Remedies, each against a plan written by hand with that change */

static const DwnRemedy *
find_remedy (const DwnRemedies *remedies, DwnChangeKind kind)
{
  for (guint k = 0; k < remedies->n; k++)
    if (remedies->remedy[k].n_changes == 1 && remedies->remedy[k].change[0].kind == kind)
      return &remedies->remedy[k];
  return NULL;
}

static DwnRemedies *
remedies_of (const Bench *bench)
{
  g_autoptr (GError) error = NULL;
  DwnRemedies *remedies = dwn_remedies_new (bench->base, bench->plan->aims->aim_deg, 0, 0, NULL, &error);

  g_assert_no_error (error);
  return remedies;
}

/* @by_hand: the draft with the change that the remedy says it makes. */
static void
check_remedy (const Draft *draft, DwnChangeKind kind, Draft (*by_hand) (const DwnRemedy *remedy))
{
  Bench bench;

  bench_open (&bench, draft);
  g_autoptr (DwnRemedies) remedies = remedies_of (&bench);
  const DwnRemedy *remedy = find_remedy (remedies, kind);
  g_assert_nonnull (remedy);
  Draft edited = by_hand (remedy);
  g_assert_cmpfloat (remedy->gain_db, >=, DWN_REMEDY_LEAST_DB);
  g_assert_cmpfloat_with_epsilon (remedy->gain_db, margin_of (&edited) - bench.budget->reception[0].margin_db,
                                  1e-9);
  g_free ((char *) edited.gear);
  g_free ((char *) edited.site);
  bench_close (&bench);
}

static Draft
other_aim (const DwnRemedy *remedy)
{
  return (Draft) { .gear = g_strdup_printf (
    "<gear><part id='a' kind='antenna' type='yagi-uhf-20' on-mast='yes' polarisation='h' aim-deg='%.0f'/>" TV
    "<join from='a' to='tv' cable='series-6' length-m='15'/></gear>", remedy->change[0].to) };
}

static void
test_aim (void)
{
  const Draft draft = { .gear = "<gear>" ANTENNA ("yagi-uhf-20", "30") TV
                                "<join from='a' to='tv' cable='series-6' length-m='15'/></gear>" };

  check_remedy (&draft, DWN_CHANGE_AIM, other_aim);
}

static Draft
other_height (const DwnRemedy *remedy)
{
  return (Draft) { .gear = g_strdup (PLAIN_GEAR), .site = g_strdup_printf (
    "<site name='Test' lat='44' lon='-75' height-m='%.17g'/>", remedy->change[0].to) };
}

static void
test_raise (void)
{
  const Draft draft = { 0 };

  check_remedy (&draft, DWN_CHANGE_RAISE, other_height);
}

static Draft
other_cable (const DwnRemedy *remedy)
{
  return (Draft) { .gear = g_strdup_printf ("<gear>" ANTENNA ("yagi-uhf-20", "0") TV
    "<join from='a' to='tv' cable='%s' length-m='60'/></gear>", remedy->change[0].cable->id) };
}

static void
test_cable (void)
{
  const Draft draft = { .gear = "<gear>" ANTENNA ("yagi-uhf-20", "0") TV
                                "<join from='a' to='tv' cable='series-59' length-m='60'/></gear>" };

  check_remedy (&draft, DWN_CHANGE_CABLE, other_cable);
}

static Draft
with_mast_amplifier (const DwnRemedy *remedy)
{
  const char *amplifier = remedy->change[0].type->id;
  gboolean five_volts = g_str_equal (amplifier, "mast-amp-20-2")
                        || g_str_equal (amplifier, "mast-amp-uhf-694");
  const char *inserter = five_volts ? "inserter-5" : "inserter-12";

  return (Draft) { .gear = g_strdup_printf (
    "<gear>" ANTENNA ("yagi-uhf-20", "0") "<part id='amp' kind='amplifier' type='%s' on-mast='yes'/>"
    "<part id='ins' kind='inserter' type='%s'/>" TV "<join from='a' to='amp'/>"
    "<join from='amp' to='ins' cable='series-6' length-m='15'/><join from='ins' to='tv'/></gear>",
    amplifier, inserter) };
}

static void
test_mast_amplifier (void)
{
  const Draft draft = { 0 };

  check_remedy (&draft, DWN_CHANGE_MAST_AMPLIFIER, with_mast_amplifier);
}

static Draft
other_antenna (const DwnRemedy *remedy)
{
  return (Draft) { .gear = g_strdup_printf (
    "<gear><part id='a' kind='antenna' type='%s' on-mast='yes' polarisation='h' aim-deg='0'/>" TV
    "<join from='a' to='tv' cable='series-6' length-m='15'/></gear>", remedy->change[0].pattern->id) };
}

static void
test_antenna (void)
{
  const Draft draft = { .gear = "<gear>" ANTENNA ("dipole", "0") TV
                                "<join from='a' to='tv' cable='series-6' length-m='15'/></gear>" };

  check_remedy (&draft, DWN_CHANGE_ANTENNA, other_antenna);
}

static Draft
without_splitter (const DwnRemedy *remedy)
{
  g_assert_null (remedy->change[0].type);
  return (Draft) { .gear = g_strdup ("<gear>" ANTENNA ("yagi-uhf-20", "0") TV
                                     "<join from='a' to='tv' cable='series-6' length-m='25'/></gear>") };
}

static void
test_fewer_splits (void)
{
  const Draft draft = { .gear = CHAIN ("<part id='x' kind='splitter' type='splitter-4'/>",
                                       "<join from='a' to='x' cable='series-6' length-m='15'/>"
                                       "<join from='x' from-port='3' to='tv' cable='series-6' length-m='10'/>") };

  check_remedy (&draft, DWN_CHANGE_FEWER_SPLITS, without_splitter);
}

static Draft
turned_elements (const DwnRemedy *remedy)
{
  g_assert_cmpint (remedy->change[0].polarisation, ==, DWN_POLARISATION_VERTICAL);
  return (Draft) { .stations = NORTH " haat-m='300' polarisation='v' services='s'/>", .gear = g_strdup (
    "<gear><part id='a' kind='antenna' type='yagi-uhf-20' on-mast='yes' polarisation='v' aim-deg='0'/>" TV
    "<join from='a' to='tv' cable='series-6' length-m='15'/></gear>") };
}

static void
test_turn_elements (void)
{
  const Draft draft = { .stations = NORTH " haat-m='300' polarisation='v' services='s'/>" };

  check_remedy (&draft, DWN_CHANGE_TURN_ELEMENTS, turned_elements);
}

static Draft
out_of_attic (const DwnRemedy *remedy)
{
  return (Draft) { .gear = g_strdup (PLAIN_GEAR), .site = g_strdup_printf (
    "<site name='Test' lat='44' lon='-75' mount='mast' height-m='%.17g'>"
    "<loss name='wood' from-deg='300' to-deg='60' low-vhf-db='1' high-vhf-db='2' uhf-db='3' sd-db='3'/></site>",
    remedy->change[0].to) };
}

/* The roof goes, the wood stays. */
static void
test_outdoors (void)
{
  const Draft draft = { .site =
    "<site name='Test' lat='44' lon='-75' height-m='6' mount='attic'>"
    "<loss name='roof' from-deg='0' to-deg='0' low-vhf-db='5' high-vhf-db='7' uhf-db='9' sd-db='3'/>"
    "<loss name='wood' from-deg='300' to-deg='60' low-vhf-db='1' high-vhf-db='2' uhf-db='3' sd-db='3'/></site>" };

  check_remedy (&draft, DWN_CHANGE_OUTDOORS, out_of_attic);
}

#define STRONG "<station id='s' name='S' system='atsc1' rf='24' lat='44.05' lon='-75' erp-kw='500' haat-m='300' services='s'/>"
#define OVERLOADED AMPLIFIED ("", "<part id='ins' kind='inserter' type='inserter-12'/>", SUPPLIED_JOINS)

static Draft
attenuated (const DwnRemedy *remedy)
{
  return (Draft) { .stations = STRONG, .gear = g_strdup_printf (
    "<gear>" ANTENNA ("yagi-uhf-20", "0") "<part id='att' kind='attenuator' type='%s'/>"
    "<part id='amp' kind='amplifier' type='mast-amp-25-3' on-mast='yes'/>"
    "<part id='ins' kind='inserter' type='inserter-12'/>" TV "<join from='a' to='att'/><join from='att' to='amp'/>"
    "<join from='amp' to='ins' cable='series-6' length-m='15'/><join from='ins' to='tv'/></gear>",
    remedy->change[0].type->id) };
}

static Draft
turned_down (const DwnRemedy *remedy)
{
  return (Draft) { .stations = STRONG, .gear = g_strdup_printf (
    "<gear>" ANTENNA ("yagi-uhf-20", "0") "<part id='amp' kind='amplifier' type='mast-amp-25-3' on-mast='yes'"
    " gain-db='%.17g'/><part id='ins' kind='inserter' type='inserter-12'/>" TV SUPPLIED_JOINS "</gear>",
    remedy->change[0].to) };
}

/* The inserter that feeds nothing any more goes too. */
static Draft
without_amplifier (const DwnRemedy *remedy)
{
  g_assert_cmpuint (remedy->plan->gear->n_parts, ==, 2);
  return (Draft) { .stations = STRONG, .gear = g_strdup (PLAIN_GEAR) };
}

static void
test_overload (void)
{
  const Draft draft = { .stations = STRONG, .gear = OVERLOADED };

  check_remedy (&draft, DWN_CHANGE_ATTENUATOR, attenuated);
  check_remedy (&draft, DWN_CHANGE_LESS_GAIN, turned_down);
  check_remedy (&draft, DWN_CHANGE_NO_AMPLIFIER, without_amplifier);
}

/* FM stations close by: what an amplifier makes of them falls into channels 7 to 13, and a trap
 * ahead of it helps (the trade's usual mistakes; 88 to 108 MHz taken twice is 176 to 216). */
#define FM_SITE "<site name='Test' lat='44' lon='-75' height-m='9.1'><carrier group='fm-near'/></site>"
#define CHANNEL_10 "<station id='s' name='S' system='atsc1' rf='10' lat='44.3' lon='-75' erp-kw='20' haat-m='300'" \
                   " services='s'/>"
#define FM_GEAR(filter, joins) \
  "<gear>" ANTENNA ("yagi-high-vhf-5", "0") filter "<part id='amp' kind='amplifier' type='mast-amp-25-3'" \
  " on-mast='yes'/><part id='ins' kind='inserter' type='inserter-12'/>" TV joins \
  "<join from='amp' to='ins' cable='series-6' length-m='15'/><join from='ins' to='tv'/></gear>"

static Draft
filtered (const DwnRemedy *remedy)
{
  return (Draft) { .site = g_strdup (FM_SITE), .stations = CHANNEL_10, .gear = g_strdup_printf (
    FM_GEAR ("<part id='f' kind='filter' type='%s' on-mast='yes'/>",
             "<join from='a' to='f'/><join from='f' to='amp'/>"), remedy->change[0].type->id) };
}

static void
test_filter (void)
{
  const Draft draft = { .site = FM_SITE, .stations = CHANNEL_10,
                        .gear = FM_GEAR ("", "<join from='a' to='amp'/>") };
  Bench bench;

  bench_open (&bench, &draft);
  check_sums (&bench, 0, 0);
  g_autoptr (DwnDiagnosis) diagnosis = dwn_diagnose (bench.base, bench.plan->aims->aim_deg, 0, 0);
  g_assert_cmpstr (dwn_cause_id (diagnosis->chief), ==, "overload");
  bench_close (&bench);
  check_remedy (&draft, DWN_CHANGE_FILTER, filtered);
}

static Draft
right_input (const DwnRemedy *remedy)
{
  g_assert_cmpuint (remedy->change[0].port, ==, 0);
  g_assert_cmpuint (remedy->change[0].other, ==, 1);
  return (Draft) { .gear = g_strdup (CHAIN ("<part id='c' kind='combiner' type='diplexer-vhf-uhf'/>",
                                            "<join from='a' to='c' to-port='2'/><join from='c' to='tv'/>")) };
}

static void
test_right_input (void)
{
  const Draft draft = { .gear = CHAIN ("<part id='c' kind='combiner' type='diplexer-vhf-uhf'/>",
                                       "<join from='a' to='c' to-port='1'/><join from='c' to='tv'/>") };

  check_remedy (&draft, DWN_CHANGE_CONNECT_BAND, right_input);
}

/* An amplifier without its supply against one with it. */
static void
test_supply (void)
{
  const Draft draft = { .gear = AMPLIFIED ("", "", "<join from='a' to='amp'/>"
                                                   "<join from='amp' to='tv' cable='series-6' length-m='15'/>") };
  const Draft off = { .gear = AMPLIFIED ("unpowered='yes'", "", "<join from='a' to='amp'/>"
                                                   "<join from='amp' to='tv' cable='series-6' length-m='15'/>") };
  const Draft fed = { .gear = OVERLOADED };
  Bench bench;

  bench_open (&bench, &draft);
  g_autoptr (DwnRemedies) remedies = remedies_of (&bench);
  const DwnRemedy *remedy = find_remedy (remedies, DWN_CHANGE_SUPPLY);
  g_assert_nonnull (remedy);
  g_assert_cmpfloat_with_epsilon (remedy->gain_db, margin_of (&fed) - margin_of (&off), 1e-9);
  g_autoptr (DwnPower) power = dwn_power_new (remedy->plan->gear);
  g_assert_cmpuint (power->n_findings, ==, 0);
  g_assert_false (remedy->climb);
  bench_close (&bench);
}

/* A supply of the wrong voltage is exchanged, not joined by another. */
static void
test_wrong_supply (void)
{
  const Draft draft = { .gear = AMPLIFIED ("", "<part id='ins' kind='inserter' type='inserter-24'/>", SUPPLIED_JOINS) };
  Bench bench;

  bench_open (&bench, &draft);
  g_autoptr (DwnRemedies) remedies = remedies_of (&bench);
  const DwnRemedy *remedy = find_remedy (remedies, DWN_CHANGE_SUPPLY);
  g_assert_nonnull (remedy);
  g_assert_cmpuint (remedy->plan->gear->n_parts, ==, bench.plan->gear->n_parts);
  g_assert_cmpstr (remedy->plan->gear->part[dwn_chain_find (remedy->plan->gear, "ins")].type, ==, "inserter-12");
  bench_close (&bench);
}

/* Two wanted stations back to back: turning to the weak one loses the other, its own antenna does
 * not. */
#define WEST "<station id='w' name='W' system='atsc1' rf='20' lat='44' lon='-75.6' erp-kw='20' haat-m='200' services='t'/>"
static void
test_others (void)
{
  const Draft draft = { .stations = WEST NORTH " haat-m='300' services='s'/>" };
  Bench bench;
  gboolean seen_losing = FALSE, seen_own = FALSE;

  bench_open (&bench, &draft);
  g_assert_true (bench.budget->held[1]);
  g_assert_false (bench.budget->held[0]);
  g_autoptr (DwnRemedies) remedies = remedies_of (&bench);
  for (guint k = 0; k < remedies->n; k++)
    {
      const DwnRemedy *remedy = &remedies->remedy[k];
      g_autoptr (DwnBudgetBase) base = dwn_budget_base_new (remedy->plan, remedy->fields, bench.tables);
      g_autoptr (DwnBudget) budget = dwn_budget_new (base, remedy->plan->aims->aim_deg);

      g_assert_cmpuint (remedy->n_lost, ==, budget->held[1] ? 0 : 1);
      if (remedy->n_lost == 1)
        g_assert_cmpuint (remedy->lost[0], ==, 1);
      seen_losing |= remedy->change[0].kind == DWN_CHANGE_AIM && remedy->n_lost == 1;
      seen_own |= remedy->change[0].kind == DWN_CHANGE_OWN_DOWNLEAD && remedy->n_lost == 0;
    }
  g_assert_true (seen_losing);
  g_assert_true (seen_own);
  bench_close (&bench);
}

/* First what loses nobody, by gain for effort; then the rest, likewise. */
static void
test_order (void)
{
  const Draft draft = { .stations = WEST NORTH " haat-m='300' services='s'/>" };
  Bench bench;

  bench_open (&bench, &draft);
  g_autoptr (DwnRemedies) remedies = remedies_of (&bench);
  g_assert_cmpuint (remedies->n, >, 3);
  for (guint k = 1; k < remedies->n && remedies->remedy[k].n_changes == 1; k++)
    {
      const DwnRemedy *before = &remedies->remedy[k - 1], *after = &remedies->remedy[k];

      g_assert_true (before->n_lost == 0 || after->n_lost > 0);
      if ((before->n_lost > 0) == (after->n_lost > 0))
        g_assert_cmpfloat (before->gain_db / before->effort_h, >=, after->gain_db / after->effort_h - 1e-12);
    }
  bench_close (&bench);
}

/* On a mast one climbs to turn an antenna; in an attic one does not, but to leave it one does. */
static void
test_climbs (void)
{
  const Draft mast = { .gear = "<gear>" ANTENNA ("yagi-uhf-20", "30") TV "<join from='a' to='tv'/></gear>" };
  Draft attic = mast;
  Bench bench;

  bench_open (&bench, &mast);
  g_autoptr (DwnRemedies) outside = remedies_of (&bench);
  g_assert_true (find_remedy (outside, DWN_CHANGE_AIM)->climb);
  bench_close (&bench);
  attic.site = "<site name='Test' lat='44' lon='-75' height-m='6' mount='attic'>"
               "<loss name='roof' from-deg='0' to-deg='0' low-vhf-db='5' high-vhf-db='7' uhf-db='9' sd-db='3'/></site>";
  bench_open (&bench, &attic);
  g_autoptr (DwnRemedies) inside = remedies_of (&bench);
  g_assert_false (find_remedy (inside, DWN_CHANGE_AIM)->climb);
  g_assert_true (find_remedy (inside, DWN_CHANGE_OUTDOORS)->climb);
  bench_close (&bench);
}

/* The two together are the second made on the plan of the first. */
static void
test_together (void)
{
  const Draft draft = { .gear = "<gear>" ANTENNA ("dipole", "50") TV
                                "<join from='a' to='tv' cable='series-59' length-m='40'/></gear>" };
  g_autoptr (GError) error = NULL;
  Bench bench;

  bench_open (&bench, &draft);
  g_autoptr (DwnRemedies) remedies = remedies_of (&bench);
  const DwnRemedy *both = &remedies->remedy[remedies->n - 1];
  g_assert_cmpuint (both->n_changes, ==, 2);
  g_autoptr (DwnPlan) first = dwn_change_apply (bench.plan, &both->change[0], &error);
  g_assert_no_error (error);
  g_autoptr (DwnPlan) second = dwn_change_apply (first, &both->change[1], &error);
  g_assert_no_error (error);
  g_autoptr (DwnFields) fields = dwn_fields_new (second, NULL, &error);
  g_assert_no_error (error);
  g_autoptr (DwnBudgetBase) base = dwn_budget_base_new (second, fields, bench.tables);
  g_autoptr (DwnBudget) budget = dwn_budget_new (base, second->aims->aim_deg);
  g_assert_cmpfloat_with_epsilon (both->gain_db, budget->reception[0].margin_db
                                                 - bench.budget->reception[0].margin_db, 1e-9);
  bench_close (&bench);
}

static void
test_cancelled (void)
{
  const Draft draft = { 0 };
  g_autoptr (GCancellable) cancellable = g_cancellable_new ();
  g_autoptr (GError) error = NULL;
  Bench bench;

  bench_open (&bench, &draft);
  g_cancellable_cancel (cancellable);
  g_assert_null (dwn_remedies_new (bench.base, bench.plan->aims->aim_deg, 0, 0, cancellable, &error));
  g_assert_error (error, G_IO_ERROR, G_IO_ERROR_CANCELLED);
  bench_close (&bench);
}

static void
test_misfit (void)
{
  const Draft draft = { 0 };
  const DwnChange change = { .kind = DWN_CHANGE_NO_AMPLIFIER, .part = "nowhere" };
  g_autoptr (GError) error = NULL;
  Bench bench;

  bench_open (&bench, &draft);
  g_assert_null (dwn_change_apply (bench.plan, &change, &error));
  g_assert_error (error, DWN_CHAIN_ERROR, DWN_CHAIN_ERROR_PORT);
  g_test_expect_message (G_LOG_DOMAIN, G_LOG_LEVEL_CRITICAL, "*station < base->n*");
  g_assert_null (dwn_diagnose (bench.base, bench.plan->aims->aim_deg, 7, 0));
  g_test_assert_expected_messages ();
  bench_close (&bench);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/diagnosis/sums/demo", test_sums_of_demo);
  g_test_add_func ("/diagnosis/sums/first-steps", test_first_steps);
  for (guint k = 0; k < G_N_ELEMENTS (cause_cases); k++)
    {
      g_autofree char *path = g_strconcat ("/diagnosis/cause/", cause_cases[k].name, NULL);
      g_test_add_data_func (path, GUINT_TO_POINTER (k), test_cause);
    }
  g_test_add_func ("/diagnosis/cause/ridge", test_ridge);
  g_test_add_func ("/diagnosis/cause/none", test_no_cause);
  g_test_add_func ("/diagnosis/without/aim", test_without_aim);
  g_test_add_func ("/diagnosis/without/house", test_without_house);
  g_test_add_func ("/diagnosis/without/cable", test_without_cable);
  g_test_add_func ("/diagnosis/without/splitter", test_without_splitter);
  g_test_add_func ("/diagnosis/without/ridge", test_without_ridge);
  g_test_add_func ("/remedies/aim", test_aim);
  g_test_add_func ("/remedies/raise", test_raise);
  g_test_add_func ("/remedies/cable", test_cable);
  g_test_add_func ("/remedies/mast-amplifier", test_mast_amplifier);
  g_test_add_func ("/remedies/antenna", test_antenna);
  g_test_add_func ("/remedies/fewer-splits", test_fewer_splits);
  g_test_add_func ("/remedies/turn-elements", test_turn_elements);
  g_test_add_func ("/remedies/outdoors", test_outdoors);
  g_test_add_func ("/remedies/overload", test_overload);
  g_test_add_func ("/remedies/filter", test_filter);
  g_test_add_func ("/remedies/right-input", test_right_input);
  g_test_add_func ("/remedies/supply", test_supply);
  g_test_add_func ("/remedies/wrong-supply", test_wrong_supply);
  g_test_add_func ("/remedies/others", test_others);
  g_test_add_func ("/remedies/order", test_order);
  g_test_add_func ("/remedies/climbs", test_climbs);
  g_test_add_func ("/remedies/together", test_together);
  g_test_add_func ("/remedies/cancelled", test_cancelled);
  g_test_add_func ("/remedies/misfit", test_misfit);
  return g_test_run ();
}
