/* Wind and clearances against worked examples of makers, codes and tables of the trade. */
#include "core/study/mount.h"

#include <math.h>

#include "../../common/edges.h"
#include "example-plan.h"

#define MPH 0.44704
#define PA_A_LBF_FT2 47.88025898

static DwnMountRules
load_rules (void)
{
  g_autoptr (GError) error = NULL;
  DwnMountRules rules;

  dwn_mount_rules_load (&rules, &error);
  g_assert_no_error (error);
  return rules;
}

/* q = 0.00256 V² lb/ft² (ASCE 7, before the code's factors). */
static void
test_pressure_us (void)
{
  static const struct { double mph, lbf_ft2; } cases[] = { { 70, 12.5 }, { 90, 20.7 }, { 115, 33.9 } };
  DwnMountRules rules = load_rules ();

  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    g_assert_cmpfloat_with_epsilon (dwn_wind_pressure_pa (&rules, cases[i].mph * MPH) / PA_A_LBF_FT2,
                                    cases[i].lbf_ft2, 0.06);
  g_assert_true (isnan (dwn_wind_pressure_pa (&rules, -1.0)));
}

/* Table 1609.3.1 of the International Building Code (2012): ultimate and nominal speeds, mph. */
static void
test_ultimate (void)
{
  static const struct { double ultimate, nominal; } cases[] = {
    { 100, 78 }, { 110, 85 }, { 120, 93 }, { 130, 101 }, { 140, 108 }, { 150, 116 },
  };
  DwnMountRules rules = load_rules ();

  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    g_assert_cmpfloat_with_epsilon (dwn_wind_allowable_m_per_s (&rules, cases[i].ultimate * MPH) / MPH,
                                    cases[i].nominal, 0.8);
}

/* EN 60728-11, as several makers quote it: 800, 1100 and 1250 N/m². */
static void
test_pressure_eu (void)
{
  DwnMountRules rules = load_rules ();

  g_assert_cmpfloat (dwn_wind_pressure_eu_pa (&rules, 20.0, FALSE), ==, 800.0);
  g_assert_cmpfloat (dwn_wind_pressure_eu_pa (&rules, 20.1, FALSE), ==, 1100.0);
  g_assert_cmpfloat (dwn_wind_pressure_eu_pa (&rules, 9.0, TRUE), ==, 1250.0);
}

/* Own moment of tubes at 800 Pa, drag 1.2: a mast maker's table (60 and 76 mm), rounded to N·m, and
 * a parts dealer's worked example (42 mm, 2 m: 80.64 N, 80.64 N·m). */
static void
test_tube (void)
{
  static const struct { double diameter_m, free_m, moment_nm, tolerance; } cases[] = {
    { 0.060, 0.5, 7, 0.8 },   { 0.060, 1.2, 41, 0.6 },  { 0.060, 2.0, 115, 0.6 },
    { 0.060, 3.0, 259, 0.6 }, { 0.076, 1.0, 36, 0.6 },  { 0.076, 2.0, 146, 0.6 },
    { 0.076, 3.0, 328, 0.6 }, { 0.042, 2.0, 80.64, 1e-9 },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    g_assert_cmpfloat_with_epsilon (
      dwn_tube_moment_nm (800.0, 1.2, cases[i].diameter_m, cases[i].free_m), cases[i].moment_nm,
      cases[i].tolerance);
  g_assert_cmpfloat_with_epsilon (dwn_tube_force_n (800.0, 1.2, 0.042, 2.0), 80.64, 1e-9);
}

/* Opens a plan with this mast; the antenna, at its top, catches @wind_m2. */
static DwnMountStudy *
study (Example *example, const char *mount, const char *mast, double top_below_m, double wind_m2)
{
  DwnMountRules rules = load_rules ();
  char below[G_ASCII_DTOSTR_BUF_SIZE], area[G_ASCII_DTOSTR_BUF_SIZE];
  g_autofree char *site = g_strdup_printf ("height-m='9' mount='%s'><mast %s/>", mount, mast);
  g_autofree char *gear = g_strdup_printf (
    "<gear><part id='a' kind='antenna' type='yagi-uhf-10' below-top-m='%s' wind-m2='%s'/>"
    "<part id='tv' kind='outlet' type='tuner-atsc'/><join from='a' to='tv'/></gear>",
    g_ascii_dtostr (below, sizeof below, top_below_m), g_ascii_dtostr (area, sizeof area, wind_m2));

  example_open (example, site, gear, "");
  return dwn_mount_study_new (example->plan, &rules);
}

static const DwnMountFinding *
finding (const DwnMountStudy *self, DwnMountCode code)
{
  for (guint i = 0; i < self->findings->len; i++)
    {
      const DwnMountFinding *f = &g_array_index (self->findings, DwnMountFinding, i);
      if (f->code == code)
        return f;
    }
  return NULL;
}

/* A mast maker's worked example: 740 N at 1.2 m on a 60 mm tube make 929 N·m at the clamp. */
static void
test_worked_example (void)
{
  Example e;
  g_autoptr (DwnMountStudy) self = study (&e, "mast", "rule='eu' free-m='1.2' clamped-m='0.5'"
                                          " diameter-m='0.06' mast-nm='1565' bracket-nm='900'",
                                          0.0, 740.0 / 800.0);

  g_assert_cmpfloat_with_epsilon (self->load[0].force_n, 740.0, 1e-6);
  g_assert_cmpfloat_with_epsilon (self->moment_nm, 929.0, 1.0);
  g_assert_null (finding (self, DWN_MOUNT_MAST_BENDS));
  g_assert_cmpfloat (finding (self, DWN_MOUNT_BRACKET_BENDS)->limit, ==, 900.0);
  g_assert_null (finding (self, DWN_MOUNT_PROOF));
  g_assert_null (finding (self, DWN_MOUNT_CLAMP_SHORT));
  g_assert_null (finding (self, DWN_MOUNT_WIND_ASSUMED));
  example_close (&e);
}

/* Over 1650 N·m an engineer has to prove it (EN 60728-11): 900 N at 2 m are more, 700 N less. */
static void
test_proof (void)
{
  Example e, less;
  g_autoptr (DwnMountStudy) self = study (&e, "mast", "rule='eu' free-m='2' diameter-m='0.048'", 0.0,
                                          900.0 / 800.0);
  g_autoptr (DwnMountStudy) light = study (&less, "mast", "rule='eu' free-m='2' diameter-m='0.048'",
                                           0.0, 700.0 / 800.0);

  g_assert_cmpfloat (finding (self, DWN_MOUNT_PROOF)->limit, ==, 1650.0);
  g_assert_null (finding (light, DWN_MOUNT_PROOF));
  g_assert_nonnull (finding (self, DWN_MOUNT_NO_RATING));
  example_close (&e);
  example_close (&less);
}

/* 115 mph ultimate loads a mast as about 89 mph of allowable-stress design do, never as 115. */
static void
test_never_mixed (void)
{
  Example e, ultimate;
  g_autoptr (DwnMountStudy) allowable = study (&e, "mast", "rule='us' free-m='2' diameter-m='0.04'"
                                               " wind-m-per-s='39.82'", 0.0, 0.1);
  g_autoptr (DwnMountStudy) turned = study (&ultimate, "mast", "rule='us' free-m='2'"
                                            " diameter-m='0.04' wind-m-per-s='51.41'"
                                            " wind-ultimate='yes'", 0.0, 0.1);

  g_assert_cmpfloat_with_epsilon (turned->pressure_pa / allowable->pressure_pa, 1.0, 0.001);
  g_assert_cmpfloat_with_epsilon (finding (turned, DWN_MOUNT_ULTIMATE)->value / MPH, 89.0, 0.2);
  g_assert_null (finding (allowable, DWN_MOUNT_ULTIMATE));
  example_close (&e);
  example_close (&ultimate);
}

/* Half an inch of ice all round (TIA-222) makes an 1.66 in tube 2.66 in thick. */
static void
test_ice (void)
{
  Example bare, iced;
  g_autoptr (DwnMountStudy) without = study (&bare, "mast", "rule='us' free-m='3' diameter-m='0.042164'",
                                             0.0, 0.1);
  g_autoptr (DwnMountStudy) with = study (&iced, "mast", "rule='us' free-m='3' diameter-m='0.042164'"
                                          " ice-m='0.0127'", 0.0, 0.1);
  DwnMountRules rules = load_rules ();

  g_assert_cmpfloat_with_epsilon (with->mast_moment_nm / without->mast_moment_nm, 2.66 / 1.66, 0.001);
  g_assert_cmpfloat (with->load[0].force_n, >, 2.0 * without->load[0].force_n);
  /* 56 lb/ft³: a ring of 1.66 in inside and 2.66 in outside is 3.393 in², 1.319 lb/ft. */
  g_assert_cmpfloat_with_epsilon (dwn_tube_ice_kg (&rules, 0.0127, 0.042164, 0.3048) / 0.45359237,
                                  1.319, 0.003);
  example_close (&bare);
  example_close (&iced);
}

/* The trade's rules: guys above 10 ft, chimneys 10 ft and 1 1/4 in, two people from 15 ft, twice
 * the length to power lines, a sixth clamped (manuals of antenna makers; EN 60728-11). */
static void
test_clearances (void)
{
  static const struct {
    const char *mount, *mast;
    DwnMountCode code;
    gboolean found;
  } cases[] = {
    { "mast", "free-m='3.1' diameter-m='0.05'", DWN_MOUNT_GUY, TRUE },
    { "mast", "free-m='3.0' diameter-m='0.05'", DWN_MOUNT_GUY, FALSE },
    { "mast", "free-m='6' diameter-m='0.05' guyed='yes'", DWN_MOUNT_GUY, FALSE },
    { "chimney", "free-m='3.2' diameter-m='0.05'", DWN_MOUNT_CHIMNEY_TALL, TRUE },
    { "mast", "free-m='3.2' diameter-m='0.05'", DWN_MOUNT_CHIMNEY_TALL, FALSE },
    { "chimney", "free-m='2' diameter-m='0.025'", DWN_MOUNT_CHIMNEY_THIN, TRUE },
    { "chimney", "free-m='2' diameter-m='0.032'", DWN_MOUNT_CHIMNEY_THIN, FALSE },
    { "mast", "free-m='4' clamped-m='0.6' diameter-m='0.05'", DWN_MOUNT_TWO_PEOPLE, TRUE },
    { "mast", "free-m='3' clamped-m='0.6' diameter-m='0.05'", DWN_MOUNT_TWO_PEOPLE, FALSE },
    { "mast", "free-m='3' clamped-m='0.5' diameter-m='0.05'", DWN_MOUNT_CLAMP_SHORT, TRUE },
    { "mast", "free-m='3' clamped-m='0.6' diameter-m='0.05'", DWN_MOUNT_CLAMP_SHORT, FALSE },
    { "mast", "free-m='3' clamped-m='1' diameter-m='0.05' line-m='11.9'", DWN_MOUNT_LINE_NEAR, TRUE },
    { "mast", "free-m='3' clamped-m='1' diameter-m='0.05' line-m='12.1'", DWN_MOUNT_LINE_NEAR, FALSE },
    { "mast", "free-m='3' diameter-m='0.05' roof-m='1.2'", DWN_MOUNT_ROOF_NEAR, TRUE },
    { "mast", "free-m='3' diameter-m='0.05' roof-m='1.6'", DWN_MOUNT_ROOF_NEAR, FALSE },
    { "mast", "line-m='5'", DWN_MOUNT_NOT_DESCRIBED, TRUE },
    { "attic", "free-m='6' diameter-m='0.01' line-m='1'", DWN_MOUNT_LINE_NEAR, FALSE },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      Example e;
      g_autoptr (DwnMountStudy) self = study (&e, cases[i].mount, cases[i].mast, 0.0, 0.05);

      g_assert_cmpint (finding (self, cases[i].code) != NULL, ==, cases[i].found);
      example_close (&e);
    }
}

/* An antenna whose area nobody knows has the usual one of each band it is made for (study/mount.ini). */
static void
test_usual_area (void)
{
  static const struct {
    const char *type;
    gboolean low_vhf, high_vhf, uhf;
  } cases[] = {
    { "yagi-uhf-10", FALSE, FALSE, TRUE },
    { "lpda-uhf", FALSE, FALSE, TRUE }, /* at 57 MHz its gain would do, but nothing of it gets out */
    { "lpda-high-vhf-uhf", FALSE, TRUE, TRUE }, { "lpda-all", TRUE, TRUE, TRUE },
  };
  DwnMountRules rules = load_rules ();

  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      Example e;
      g_autofree char *gear = g_strdup_printf (
        "<gear><part id='a' kind='antenna' type='%s'/><part id='tv' kind='outlet' type='tuner-atsc'/>"
        "<join from='a' to='tv'/></gear>", cases[i].type);

      example_open (&e, "height-m='9' mount='mast'><mast rule='eu' free-m='1' diameter-m='0.05'/>", gear, "");
      g_autoptr (DwnMountStudy) self = dwn_mount_study_new (e.plan, &rules);
      double area_m2 = cases[i].low_vhf * rules.antenna_m2[DWN_BAND_LOW_VHF]
                       + cases[i].high_vhf * rules.antenna_m2[DWN_BAND_HIGH_VHF]
                       + cases[i].uhf * rules.antenna_m2[DWN_BAND_UHF];

      g_assert_cmpfloat_with_epsilon (finding (self, DWN_MOUNT_WIND_ASSUMED)->value, area_m2, 1e-12);
      g_assert_cmpfloat_with_epsilon (self->load[0].force_n, 800 * area_m2, 1e-9);
      example_close (&e);
    }
}

/* Rules follow the country's broadcast system; an area that is not known is said to be assumed. */
static void
test_from_plan (void)
{
  Example e;
  g_autoptr (DwnMountStudy) self = study (&e, "mast", "free-m='2' diameter-m='0.04'", 0.5, 0.0);

  g_assert_cmpint (self->rule, ==, DWN_SAFETY_US);
  g_assert_cmpfloat (self->load[0].arm_m, ==, 1.5);
  g_assert_true (self->load[0].assumed);
  g_assert_cmpint (finding (self, DWN_MOUNT_WIND_ASSUMED)->antenna, ==, 0);
  /* The document keeps the mast. */
  g_autoptr (GBytes) bytes = dwn_plan_write (e.plan, e.tables->catalogue);
  g_autoptr (DwnPlan) again = dwn_plan_read (bytes, "again", e.tables->parts, e.tables->catalogue, NULL,
                                             NULL);
  g_assert_nonnull (again);
  g_assert_cmpfloat (again->site->mast.diameter_m, ==, 0.04);
  g_assert_cmpfloat (again->site->mast.line_m, ==, 0.0);
  example_close (&e);
}

/* Least conductors: NEC 810.21 (H) and (J); EN 60728-11. Square millimetres of AWG n by its
 * definition, 0.127 mm · 92^((36 − n) / 39). */
static void
test_conductors (void)
{
  static const struct { const char *id; int awg; double square_mm; } expected[] = {
    { "us-copper", 10, 0 }, { "us-aluminium", 8, 0 }, { "us-clad-steel", 17, 0 }, { "us-rod", 6, 0 },
    { "eu-copper", 0, 16 }, { "eu-aluminium", 0, 25 }, { "eu-steel", 0, 50 }, { "eu-bonding", 0, 4 },
  };
  g_autoptr (GArray) us = dwn_conductors (DWN_SAFETY_US, NULL);
  g_autoptr (GArray) eu = dwn_conductors (DWN_SAFETY_EU, NULL);

  g_assert_cmpuint (us->len + eu->len, ==, G_N_ELEMENTS (expected));
  for (guint i = 0; i < us->len + eu->len; i++)
    {
      const DwnConductor *c = i < us->len ? &g_array_index (us, DwnConductor, i)
                                          : &g_array_index (eu, DwnConductor, i - us->len);
      double diameter_mm = 0.127 * pow (92.0, (36 - expected[i].awg) / 39.0);
      double square_mm = expected[i].awg > 0 ? G_PI * diameter_mm * diameter_mm / 4.0
                                             : expected[i].square_mm;

      g_assert_cmpstr (c->id, ==, expected[i].id);
      g_assert_cmpfloat_with_epsilon (c->square_mm, square_mm, 0.01);
      g_assert_cmpstr (c->source, !=, "");
    }
}

static void
test_refusals (void)
{
  static const char bad[] = "[wind-eu]\npressure-low-pa = strong\n";
  g_autoptr (GBytes) bytes = g_bytes_new_static (bad, sizeof bad - 1);
  g_autoptr (GError) error = NULL;
  DwnMountRules rules;

  g_assert_false (dwn_mount_rules_parse (&rules, bytes, "mount.ini", &error));
  g_assert_nonnull (strstr (error->message, "mount.ini:2"));
}

static gboolean
read_file (GBytes *bytes, GError **error)
{
  DwnMountRules rules;

  return dwn_mount_rules_parse (&rules, bytes, "mount.ini", error);
}

/* What people may write into a file of their own. */
static void
test_edges (void)
{
  static const FileEdges edges[] = {
    { "wind-eu", "pressure-low-pa", 100, 10000 }, { "wind-eu", "low-up-to-m", 1, 1000 },
    { "wind-eu", "pressure-high-pa", 100, 10000 }, { "wind-eu", "pressure-exposed-pa", 100, 10000 },
    { "wind-eu", "drag", 0.1, 5 }, { "wind-eu", "proof-from-nm", 1, 1e6 },
    { "wind-us", "pressure-pa-s2-m2", 0.1, 2 }, { "wind-us", "allowable-of-ultimate", 0.1, 1 },
    { "wind-us", "speed-m-s", 1, 120 }, { "wind-us", "drag", 0.1, 5 },
    { "ice", "density-kg-m3", 100, 1000 }, { "ice", "rod-m", 0.001, 1 },
    { "antenna", "low-vhf-m2", 0, 10 }, { "antenna", "high-vhf-m2", 0, 10 },
    { "antenna", "uhf-m2", 0, 10 }, { "mast", "clamped-one-of", 1, 100 },
    { "mast", "guy-above-m", 0.1, 100 }, { "mast", "chimney-above-m", 0.1, 100 },
    { "mast", "chimney-diameter-m", 0.001, 1 }, { "mast", "two-people-m", 0.1, 100 },
    { "mast", "roof-m", 0, 100 }, { "lines", "lengths", 1, 10 }, { "lines", "people-m", 0.1, 100 },
    { "lines", "antenna-m", 0, 100 }, { "ladder", "foot-out-share", 0.1, 1 },
    { "ladder", "above-landing-m", 0, 10 },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (edges); i++)
    edges_check_file ("study/mount.ini", read_file, &edges[i]);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/mount/pressure-us", test_pressure_us);
  g_test_add_func ("/mount/ultimate", test_ultimate);
  g_test_add_func ("/mount/pressure-eu", test_pressure_eu);
  g_test_add_func ("/mount/tube", test_tube);
  g_test_add_func ("/mount/worked-example", test_worked_example);
  g_test_add_func ("/mount/proof", test_proof);
  g_test_add_func ("/mount/never-mixed", test_never_mixed);
  g_test_add_func ("/mount/ice", test_ice);
  g_test_add_func ("/mount/clearances", test_clearances);
  g_test_add_func ("/mount/usual-area", test_usual_area);
  g_test_add_func ("/mount/from-plan", test_from_plan);
  g_test_add_func ("/mount/conductors", test_conductors);
  g_test_add_func ("/mount/refusals", test_refusals);
  g_test_add_func ("/mount/edges", test_edges);
  return g_test_run ();
}
