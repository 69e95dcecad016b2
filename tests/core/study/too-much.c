/* Too much signal in the budget: what nobody wants, products, limits; and ripple in its spread.
 * Powers are worked by hand from the field: E − 20 log10 f − 77.216 + 2.15 dBi of a half-wave dipole,
 * products from the definition of the intercepts (f1 + f2: P1 + P2 − OIP2). */
#include <math.h>

#include "core/plan/document.h"
#include "core/study/budget.h"

typedef struct {
  DwnTables *tables;
  DwnPlan *plan;
  DwnBudget *budget;
} House;

#define STATION(rf, kw)                                                                               \
  "<station id='s" rf "' name='S' system='atsc1' rf='" rf "' lat='44.2' lon='-75' erp-kw='" kw "'"     \
  " haat-m='300'/>"

static void
house_open (House *house, const char *carriers, const char *stations, const char *parts,
            const char *joins)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *text = g_strdup_printf (
    "<downlead version='1.0'><site name='Test' lat='44' lon='-75'>%s</site><stations>%s</stations>"
    "<gear><part id='a' kind='antenna' type='dipole' aim-deg='0'/>%s"
    "<part id='tv' kind='outlet' type='tuner-atsc'/>%s</gear></downlead>", carriers, stations, parts,
    joins);
  g_autoptr (GBytes) bytes = g_bytes_new (text, strlen (text));

  house->tables = dwn_tables_new (&error);
  g_assert_no_error (error);
  house->plan = dwn_plan_read (bytes, "house", house->tables->parts, house->tables->catalogue, NULL,
                               &error);
  g_assert_no_error (error);
  g_autoptr (DwnFields) fields = dwn_fields_new (house->plan, NULL, &error);
  g_assert_no_error (error);
  g_autoptr (DwnBudgetBase) base = dwn_budget_base_new (house->plan, fields, house->tables);
  house->budget = dwn_budget_new (base, house->plan->aims->aim_deg);
}

static void
house_close (House *house)
{
  dwn_budget_unref (house->budget);
  dwn_plan_unref (house->plan);
  dwn_tables_unref (house->tables);
}

static double
power_dbm (double field_dbuv_m, double mhz)
{
  return field_dbuv_m - 20.0 * log10 (mhz) - 77.216 + 2.15;
}

static double
spurious_dbm (const DwnReception *reception)
{
  return reception->noise_dbm + 10.0 * log10 (reception->spurious_share);
}

#define AMP_20 "<part id='amp' kind='amplifier' type='dist-amp-20'/>"
#define TRAP "<part id='trap' kind='filter' type='fm-trap'/>"
#define ROW "<join from='a' to='amp'/><join from='amp' to='tv'/>"
#define TRAP_ROW "<join from='a' to='trap'/><join from='trap' to='amp'/><join from='amp' to='tv'/>"
#define TWO_FM                                                                                        \
  "<carrier mhz='98.1' field-dbuv-m='85'/><carrier mhz='102.9' field-dbuv-m='85' bearing-deg='0'/>"

/* 98.1 + 102.9 = 201 MHz, the middle of RF channel 11: FM overload as in every installer's manual. */
static void
test_fm_sum (void)
{
  House with, without, trapped;
  const double gain_db = 20.0, oip2_dbm = 50.0; /* the amplifier's, data/chain/parts.ini */
  double expected_dbm = power_dbm (85.0, 98.1) + power_dbm (85.0, 102.9) + 2.0 * gain_db - oip2_dbm;

  house_open (&with, TWO_FM, STATION ("11", "2"), AMP_20, ROW);
  house_open (&without, "", STATION ("11", "2"), AMP_20, ROW);
  house_open (&trapped, TWO_FM, STATION ("11", "2"), TRAP AMP_20, TRAP_ROW);
  const DwnReception *bad = with.budget->reception, *good = without.budget->reception;

  g_assert_cmpfloat_with_epsilon (spurious_dbm (bad), expected_dbm, 0.01);
  g_assert_cmpint (bad->limit, ==, DWN_LIMIT_OVERLOAD);
  g_assert_cmpuint (bad->headroom_part, ==, (guint) dwn_chain_find (with.plan->gear, "amp"));
  g_assert_cmpfloat (good->spurious_share, ==, 0.0);
  g_assert_cmpfloat (good->margin_db - bad->margin_db, >, 6.0);
  /* The trap ahead of the amplifier takes 20 dB from each, 40 from their product. */
  g_assert_cmpfloat (trapped.budget->reception->margin_db, >, good->margin_db - 1.0);
  house_close (&with);
  house_close (&without);
  house_close (&trapped);
}

/* Products lose behind the amplifier what the station's signal loses: each television has them as far
 * below it. And a station of half a kilowatt is one. */
static void
test_two_outlets (void)
{
  House house;

  house_open (&house, TWO_FM, STATION ("11", "0.5"),
              AMP_20 "<part id='split' kind='splitter' type='splitter-2'/>"
              "<part id='tv2' kind='outlet' type='tuner-atsc'/>",
              "<join from='a' to='amp'/><join from='amp' to='split'/><join from='split' to='tv'/>"
              "<join from='split' from-port='2' to='tv2' cable='series-59' length-m='40'/>");
  const DwnReception *far = &house.budget->reception[0], *near = &house.budget->reception[1];

  g_assert_cmpuint (house.budget->n_outlets, ==, 2);
  g_assert_cmpfloat (near->level_dbm - far->level_dbm, >, 3.0);
  g_assert_cmpfloat (near->spurious_share, >, 0.1);
  g_assert_cmpfloat_with_epsilon (near->level_dbm - spurious_dbm (near),
                                  far->level_dbm - spurious_dbm (far), 1e-6);
  house_close (&house);
}

/* Straight on the tuner: 98.1 MHz at 100 dBµV/m and the station's own signal against the limit of its
 * input (-8 dBm, data/chain/parts.ini). */
static void
test_tuner_alone (void)
{
  House house;

  house_open (&house, "<carrier mhz='98.1' field-dbuv-m='120'/>", STATION ("11", "2"), "",
              "<join from='a' to='tv'/>");
  const DwnReception *reception = house.budget->reception;
  const DwnPartType *tuner = dwn_part_list_find (house.tables->parts, "tuner-atsc");
  double total_mw = pow (10.0, power_dbm (120.0, 98.1) / 10.0) + pow (10.0, reception->level_dbm / 10.0);

  g_assert_cmpfloat_with_epsilon (reception->headroom_db,
                                  tuner->max_input_dbm - 10.0 * log10 (total_mw), 0.05);
  house_close (&house);
}

/* On a rotator an antenna hears each station as it would fixed on it: what the amplifier then gets of
 * both, and how far that is from its limit. */
static void
test_rotator (void)
{
  static const char stations[] =
    "<station id='n' name='N' system='atsc1' rf='20' lat='44.2' lon='-75' erp-kw='900' haat-m='300'/>"
    "<station id='e' name='E' system='atsc1' rf='30' lat='44' lon='-74.7' erp-kw='300' haat-m='300'/>";
  House turning, fixed[2];
  static const char *const antenna[] = { "rotator='yes' aim-deg='0'", "aim-deg='0'", "aim-deg='90'" };
  double headroom_db[3][2];

  for (guint k = 0; k < 3; k++)
    {
      House *house = k == 0 ? &turning : &fixed[k - 1];
      g_autofree char *parts = g_strdup_printf (
        "<part id='b' kind='antenna' type='lpda-uhf' %s/>" AMP_20
        "<part id='tv2' kind='outlet' type='tuner-atsc'/>", antenna[k]);

      house_open (house, TWO_FM, stations, parts,
                  "<join from='a' to='tv'/><join from='b' to='amp'/><join from='amp' to='tv2'/>");
      /* The first outlet is that of the amplifier. */
      for (guint i = 0; i < 2; i++)
        {
          const DwnReception *reception = &house->budget->reception[i * house->budget->n_outlets];
          const DwnChain *gear = house->plan->gear;
          double aim_deg = k == 0 ? 90.0 * i : k == 1 ? 0.0 : 90.0;

          headroom_db[k][i] = reception->headroom_db;
          g_assert_cmpstr (gear->part[gear->antenna[reception->antenna]].id, ==, "b");
          /* Aimed at the station it has all its pattern's gain. */
          if (aim_deg == 90.0 * i)
            g_assert_cmpfloat_with_epsilon (
              reception->antenna_dbi,
              dwn_pattern_gain_dbi (gear->part[gear->antenna[reception->antenna]].pattern, 0.0,
                                    house->plan->stations->station[i].mhz), 0.01);
        }
      house_close (house);
    }
  g_assert_cmpfloat_with_epsilon (headroom_db[0][0], headroom_db[1][0], 1e-3);
  /* From the house the other stands at 89.9°. */
  g_assert_cmpfloat_with_epsilon (headroom_db[0][1], headroom_db[2][1], 1e-2);
  g_assert_cmpfloat (fabs (headroom_db[0][0] - headroom_db[0][1]), >, 1.0);
}

/* The limit that is named is the largest share of what stands against the signal, by more than
 * half (budget.h), wherever on the way from none to too much. */
static void
test_named_limit (void)
{
  guint n[DWN_LIMIT_UNCONNECTED + 1] = { 0 };

  for (guint k = 0; k < 120; k++)
    {
      House house;
      g_autofree char *carriers = g_strdup_printf (
        "<carrier mhz='98.1' field-dbuv-m='%.2f'/><carrier mhz='102.9' field-dbuv-m='%.2f'/>",
        72.0 + 0.1 * k, 72.0 + 0.1 * k);

      house_open (&house, carriers, STATION ("11", "2"), AMP_20, ROW);
      const DwnReception *reception = house.budget->reception;
      double others = reception->interference_share + reception->spurious_share;
      DwnLimit named = others > 0.5 ? DWN_LIMIT_OVERLOAD
                       : reception->ambient_share > 0.5 ? DWN_LIMIT_AMBIENT : DWN_LIMIT_NOISE;

      g_assert_cmpfloat (reception->headroom_db, >, 0.0);
      g_assert_cmpint (reception->limit, ==, named);
      n[named]++;
      house_close (&house);
    }
  g_assert_cmpuint (n[DWN_LIMIT_OVERLOAD], >, 10);
  g_assert_cmpuint (n[DWN_LIMIT_OVERLOAD], <, 110);
}

/* The sum of all carriers counts against the limit: four of one level are 6.02 dB more than one. */
static void
test_composite (void)
{
  House one, four;
  static const char carrier[] = "<carrier mhz='98.1' field-dbuv-m='90'/>";
  static const char four_carriers[] =
    "<carrier mhz='98.1' field-dbuv-m='90'/><carrier mhz='98.1' field-dbuv-m='90'/>"
    "<carrier mhz='98.1' field-dbuv-m='90'/><carrier mhz='98.1' field-dbuv-m='90'/>";

  house_open (&one, carrier, "", AMP_20, ROW);
  house_open (&four, four_carriers, "", AMP_20, ROW);
  guint amp = (guint) dwn_chain_find (one.plan->gear, "amp");
  /* Its limit of 3.7 dBm stands at the output. */
  g_assert_cmpfloat_with_epsilon (one.budget->headroom_db[amp],
                                  3.7 - (power_dbm (90.0, 98.1) + 20.0), 0.01);
  g_assert_cmpfloat_with_epsilon (one.budget->headroom_db[amp] - four.budget->headroom_db[amp],
                                  6.0206, 1e-3);
  house_close (&one);
  house_close (&four);
}

/* 1 kW of ERP at 1 km lays down 106.92 dBµV/m (free space, ITU-R P.525), 20 dB less at 10 km. */
static void
test_known_transmitter (void)
{
  House near, far;

  house_open (&near, "<carrier mhz='98.1' erp-kw='1' distance-m='1000'/>", "", AMP_20, ROW);
  house_open (&far, "<carrier mhz='98.1' erp-kw='1' distance-m='10000'/>", "", AMP_20, ROW);
  guint amp = (guint) dwn_chain_find (near.plan->gear, "amp");
  g_assert_cmpfloat_with_epsilon (near.budget->headroom_db[amp],
                                  3.7 - (power_dbm (106.92, 98.1) + 20.0), 0.02);
  g_assert_cmpfloat_with_epsilon (far.budget->headroom_db[amp] - near.budget->headroom_db[amp], 20.0,
                                  1e-3);
  house_close (&near);
  house_close (&far);
}

/* An assumed group brings as many carriers as the data file names, each with its field; one's own
 * field takes the place of the assumed one. */
static void
test_group (void)
{
  House assumed, own;

  house_open (&assumed, "<carrier group='fm-town'/>", "", AMP_20, ROW);
  house_open (&own, "<carrier group='fm-town' field-dbuv-m='85'/>", "", AMP_20, ROW);
  const DwnCarrierGroup *group = dwn_part_list_find_carriers (assumed.tables->parts, "fm-town");
  guint amp = (guint) dwn_chain_find (own.plan->gear, "amp");
  double sum_mw = 0.0;

  g_assert_nonnull (group);
  for (guint c = 0; c < group->n; c++)
    sum_mw += pow (10.0, (power_dbm (group->field_dbuv_m, group->mhz[c]) + 20.0) / 10.0);
  g_assert_cmpfloat_with_epsilon (assumed.budget->headroom_db[amp], 3.7 - 10.0 * log10 (sum_mw), 0.01);
  g_assert_cmpfloat_with_epsilon (own.budget->headroom_db[amp] - assumed.budget->headroom_db[amp],
                                  group->field_dbuv_m - 85.0, 1e-3);
  house_close (&assumed);
  house_close (&own);
}

/* 2 · 533 − 515 = 551 MHz, RF channel 27: near transmitters three channels off put their
 * product of third order on a third channel. More gain first lifts the wanted station out of
 * the tuner's noise, then drowns it in products. */
static void
test_gain_has_a_best (void)
{
  double margin_db[20];
  guint best = 0;

  for (guint k = 0; k < G_N_ELEMENTS (margin_db); k++)
    {
      House house;
      g_autofree char *parts = g_strdup_printf (
        "<part id='amp' kind='amplifier' type='dist-amp-10' gain-db='%u' noise-figure-db='2'/>"
        "<part id='long' kind='attenuator' type='attenuator-20'/>", 2 * k);

      house_open (&house, "", STATION ("24", "900") STATION ("21", "900") STATION ("27", "0.02"), parts,
                  "<join from='a' to='amp'/><join from='amp' to='long'/><join from='long' to='tv'/>");
      int weak = dwn_stations_find (house.plan->stations, "s27");
      margin_db[k] = house.budget->reception[weak].margin_db;
      best = margin_db[k] > margin_db[best] ? k : best;
      house_close (&house);
    }
  g_assert_cmpuint (best, >, 0);
  g_assert_cmpuint (best, <, G_N_ELEMENTS (margin_db) - 1);
  g_assert_cmpfloat (margin_db[best], >, margin_db[0] + 3.0);
  g_assert_cmpfloat (margin_db[best], >, margin_db[G_N_ELEMENTS (margin_db) - 1] + 3.0);
  for (guint k = 1; k < G_N_ELEMENTS (margin_db); k++)
    if (k <= best)
      g_assert_cmpfloat (margin_db[k], >=, margin_db[k - 1] - 1e-9);
    else
      g_assert_cmpfloat (margin_db[k], <=, margin_db[k - 1] + 1e-9);
}

/* A dipole of unknown match (10 dB) straight on a tuner (6 dB): |Γ1 Γ2| = 10^-0.8 = 0.1585, of which
 * 8.686 / √2 makes 0.973 dB; with 8 dB of prediction without a profile and 1 dB of pattern the
 * spread is √(64 + 1 + 0.947) = 8.121 dB. On UHF in quiet country external noise adds next to
 * nothing. */
static void
test_ripple_in_spread (void)
{
  House house;

  house_open (&house, "", STATION ("30", "100"), "", "<join from='a' to='tv'/>");
  g_assert_cmpfloat_with_epsilon (house.budget->reception[0].sigma_db, 8.121, 0.01);
  house_close (&house);
}

/* 30 m of cable between them take the ripple's share away again. */
static void
test_cable_damps_ripple (void)
{
  House house;

  house_open (&house, "", STATION ("30", "100"), "",
              "<join from='a' to='tv' cable='series-59' length-m='60'/>");
  g_assert_cmpfloat_with_epsilon (house.budget->reception[0].sigma_db, sqrt (65.0), 0.01);
  house_close (&house);
}

static void
test_refusals (void)
{
  static const struct {
    const char *carrier, *says;
  } bad[] = {
    { "<carrier group='radar'/>", "*radar*parts file*" },
    { "<carrier mhz='98'/>", "*field-dbuv-m*" },
    { "<carrier field-dbuv-m='90'/>", "*mhz*" },
    { "<carrier mhz='98' erp-kw='1'/>", "*distance-m*" },
    { "<carrier mhz='9000' field-dbuv-m='90'/>", "*9000*" },
  };
  g_autoptr (DwnTables) tables = dwn_tables_new (NULL);

  for (gsize k = 0; k < G_N_ELEMENTS (bad); k++)
    {
      g_autoptr (GError) error = NULL;
      g_autofree char *text = g_strdup_printf (
        "<downlead version='1.0'>\n<site lat='44' lon='-75'>\n%s</site></downlead>", bad[k].carrier);
      g_autoptr (GBytes) bytes = g_bytes_new (text, strlen (text));

      g_assert_null (dwn_plan_read (bytes, "house", tables->parts, tables->catalogue, NULL, &error));
      g_assert_cmpuint (error->domain, ==, DWN_DOCUMENT_ERROR);
      g_assert_true (g_str_has_prefix (error->message, "house:3: "));
      g_assert_true (g_pattern_match_simple (bad[k].says, error->message));
    }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/study/too-much/fm-sum", test_fm_sum);
  g_test_add_func ("/study/too-much/two-outlets", test_two_outlets);
  g_test_add_func ("/study/too-much/tuner-alone", test_tuner_alone);
  g_test_add_func ("/study/too-much/rotator", test_rotator);
  g_test_add_func ("/study/too-much/named-limit", test_named_limit);
  g_test_add_func ("/study/too-much/composite", test_composite);
  g_test_add_func ("/study/too-much/known-transmitter", test_known_transmitter);
  g_test_add_func ("/study/too-much/group", test_group);
  g_test_add_func ("/study/too-much/gain-has-a-best", test_gain_has_a_best);
  g_test_add_func ("/study/too-much/ripple", test_ripple_in_spread);
  g_test_add_func ("/study/too-much/cable-damps-ripple", test_cable_damps_ripple);
  g_test_add_func ("/study/too-much/refusals", test_refusals);
  return g_test_run ();
}
