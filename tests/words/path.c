/* The sentences about the prediction, the house and another place, in the form that scripts get. They
 * are held against what the figures put in mean; the figures are invented. */
#include <math.h>
#include <string.h>

#include "core/plan/document.h"
#include "words/path-words.h"
#include "words/place-words.h"

static DwnTables *tables;

static DwnPlan *
plan_of (const char *site, const char *paths)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *text = g_strdup_printf (
    "<downlead version='1.0'><site lat='44' lon='-75' height-m='9.1'>%s</site>"
    "<services><service id='s' name='Vennor' wanted='must'/></services>"
    "<stations><station id='north' name='North' system='atsc1' rf='20' lat='44.4' lon='-75'"
    " erp-kw='100' haat-m='300' services='s'/></stations>%s"
    "<gear><part id='a' kind='antenna' type='bt419' on-mast='yes' aim-deg='0'/>"
    "<part id='tv' kind='outlet' type='tuner-atsc'/>"
    "<join from='a' to='tv' cable='series-6' length-m='20'/></gear></downlead>", site, paths);
  g_autoptr (GBytes) bytes = g_bytes_new (text, strlen (text));
  DwnPlan *plan = dwn_plan_read (bytes, "words", tables->parts, tables->catalogue, NULL, &error);

  g_assert_no_error (error);
  return plan;
}

static const DwnProfile somewhere = { 0 };

#define BLOCKED                                                                                \
  .sd_db = 11, .model = &dwn_path_model_p1812, .path_class = DWN_PATH_BLOCKED,                 \
  .profile = &somewhere, .house_sd_db = (double) NAN
#define UNKNOWN                                                                                \
  .sd_db = 8, .model = &dwn_path_model_curves, .path_class = DWN_PATH_UNKNOWN,                 \
  .house_sd_db = (double) NAN

static const struct {
  const char *name;
  DwnArrival arrival;
  const char *says;
} predictions[] = {
  { "both-sides",
    { BLOCKED, .spread_low_db = -6.2, .low_model = &dwn_path_model_itm, .spread_high_db = 3.04,
      .high_model = &dwn_path_model_curves },
    "Predicted by ITU-R P.1812 over the profile of the ground, uncertain by 11.0 dB since something "
    "stands in the way; by ITM it would be 6.2 dB less, by the field-strength charts 3.0 dB more." },
  { "below",
    { BLOCKED, .spread_low_db = -14, .low_model = &dwn_path_model_itm, .spread_high_db = 0.4,
      .high_model = &dwn_path_model_curves },
    "Predicted by ITU-R P.1812 over the profile of the ground, uncertain by 11.0 dB since something "
    "stands in the way; by ITM it would be 14.0 dB less." },
  { "above",
    { BLOCKED, .spread_high_db = 5, .high_model = &dwn_path_model_curves },
    "Predicted by ITU-R P.1812 over the profile of the ground, uncertain by 11.0 dB since something "
    "stands in the way; by the field-strength charts it would be 5.0 dB more." },
  { "agree",
    { BLOCKED, .spread_low_db = -0.3, .low_model = &dwn_path_model_itm },
    "Predicted by ITU-R P.1812 over the profile of the ground, uncertain by 11.0 dB since something "
    "stands in the way; the other models agree within 1 dB." },
  { "no-profile",
    { UNKNOWN },
    "Predicted by the field-strength charts over average ground, for there is no profile, uncertain by "
    "8.0 dB since the ground is not known." },
  { "no-height",
    { UNKNOWN, .haat_assumed = TRUE },
    "Predicted by the field-strength charts over average ground, for there is no profile, uncertain by "
    "8.0 dB since not even the height of the transmitter is on file." },
  { "read",
    { .sd_db = 2.5, .model = &dwn_path_model_p1812, .path_class = DWN_PATH_BLOCKED,
      .profile = &somewhere, .house_sd_db = 0, .read_shift_db = -4.25, .spread_low_db = -6.2,
      .low_model = &dwn_path_model_itm },
    "Predicted by ITU-R P.1812 over the profile of the ground and moved by -4.2 dB to what was read "
    "here; uncertain by 2.5 dB, and the other models no longer count." },
};

static void
test_prediction (gconstpointer data)
{
  gsize i = GPOINTER_TO_SIZE (data);
  g_autoptr (DwnPlan) plan = plan_of ("", "");
  const DwnFields fields = { .n = 1, .arrival = &predictions[i].arrival };
  g_autofree char *text = dwn_word_prediction (&dwn_wording_script, plan, &fields, 0);

  g_assert_cmpstr (text, ==, predictions[i].says);
}

/* A profile with gaps is none, and that is why. */
static void
test_gaps (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnPlan) plan = plan_of ("", "<paths><profile station='north' length-m='44433'><heights-dm>"
                                          "1000 -32768 1000 1000</heights-dm></profile></paths>");
  g_autoptr (DwnFields) fields = dwn_fields_new (plan, NULL, &error);
  g_assert_no_error (error);
  g_autofree char *text = dwn_word_prediction (&dwn_wording_script, plan, fields, 0);

  g_assert_nonnull (strstr (text, "charts over average ground, for the stored profile has gaps"));
  g_assert_true (fields->arrival[0].model == &dwn_path_model_curves);
}

static void
test_house (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnPlan) plan = plan_of (
    "<loss name='wood' uhf-db='12' sd-db='4' from-deg='300' to-deg='60'/>"
    "<loss kind='roof' of='metal'/><loss kind='trees' depth-m='60' from-deg='90' to-deg='180'/>"
    "<loss kind='building' of='efficient' sd-db='9'/>", "");
  g_autoptr (DwnFields) fields = dwn_fields_new (plan, NULL, &error);
  g_assert_no_error (error);
  g_autofree char *text = dwn_word_house (&dwn_wording_script, plan, fields, tables, 0);
  g_autofree char *trees = dwn_word_house_term (&dwn_wording_script, tables, &plan->site->loss[2]);

  /* The roof's figures are those of the data file; what stands to the south-east is not named. */
  g_assert_true (g_str_has_prefix (text, "wood 12.0 \302\261 4.0 dB, Metal roof 20.0 \302\261 5.0 dB, "
                                         "thermally efficient building "));
  g_assert_null (strstr (text, "trees"));
  g_assert_cmpstr (trees, ==, "trees, 60 m deep");
}

static void
test_seasons (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnPlan) bare = plan_of ("<loss kind='roof' of='tile'/>", "");
  g_autoptr (DwnPlan) leafy = plan_of ("<loss name='wood' uhf-db='8' leaves='yes'/>", "");
  const double aim_deg[] = { 0 };
  g_autoptr (DwnFields) b = dwn_fields_new (bare, NULL, &error), l = dwn_fields_new (leafy, NULL, &error);
  g_autoptr (DwnSeasons) without = dwn_seasons_new (bare, b, tables, aim_deg);
  g_autoptr (DwnSeasons) with = dwn_seasons_new (leafy, l, tables, aim_deg);
  g_autofree char *none = dwn_word_seasons (&dwn_wording_script, bare, without);
  g_autofree char *some = dwn_word_seasons (&dwn_wording_script, leafy, with);

  g_assert_cmpstr (none, ==, "");
  g_assert_true (g_str_has_prefix (some, "With leaves on the trees Vennor has 8.0 dB less margin"));
}

typedef struct {
  double margin_db, chance;
  DwnPathClass class;
  double field_dbuv_m;
} Step;

static const struct {
  const char *name;
  Step step[4]; /* 0, 2, 4, 6 m */
  const char *says;
} raises[] = {
  { "through", { { 1, 0.52, DWN_PATH_BLOCKED }, { 4, 0.7, DWN_PATH_BLOCKED },
                 { 10, 0.92, DWN_PATH_GRAZING }, { 10.4, 0.93, DWN_PATH_GRAZING } },
    "4 m more mast bring 9.0 dB: nothing stands above the straight line any more. From 4 m on it is "
    "dependable." },
  { "not-enough", { { -9, 0.2, DWN_PATH_BLOCKED }, { -8, 0.22, DWN_PATH_BLOCKED },
                    { -7, 0.25, DWN_PATH_BLOCKED }, { -6, 0.29, DWN_PATH_BLOCKED } },
    "6 m more mast bring 3.0 dB: what stands in the way is as high as before, but seen less steeply. "
    "The chance rises to 29 % at most." },
  { "free", { { 12, 0.95, DWN_PATH_CLEAR }, { 12.3, 0.95, DWN_PATH_CLEAR },
              { 12.6, 0.95, DWN_PATH_CLEAR }, { 12.8, 0.95, DWN_PATH_CLEAR } },
    "Up to 6 m more mast bring less than 1 dB." },
  { "cable", { { 12, 0.95, DWN_PATH_BLOCKED, 60 }, { 12, 0.95, DWN_PATH_BLOCKED, 60.5 },
               { 11.9, 0.95, DWN_PATH_BLOCKED, 61 }, { 11.9, 0.95, DWN_PATH_BLOCKED, 61.5 } },
    "Up to 6 m more mast bring 1.5 dB of field, and the longer downlead takes most of that." },
  { "held", { { 12, 0.95, DWN_PATH_GRAZING }, { 14, 0.97, DWN_PATH_CLEAR },
              { 14, 0.97, DWN_PATH_CLEAR }, { 14, 0.97, DWN_PATH_CLEAR } },
    "2 m more mast bring 2.0 dB: the first Fresnel zone is then free." },
};

static void
test_raise (gconstpointer data)
{
  gsize i = GPOINTER_TO_SIZE (data);
  const double rise_m[] = { 0, 2, 4, 6 };
  DwnPlaceView view[4] = { 0 };
  const DwnRaise raise = { .n = 4, .n_stations = 1, .rise_m = rise_m, .view = view };

  for (guint k = 0; k < 4; k++)
    view[k] = (DwnPlaceView) { .margin_db = raises[i].step[k].margin_db,
                               .chance = raises[i].step[k].chance,
                               .field_dbuv_m = raises[i].step[k].field_dbuv_m,
                               .path_class = raises[i].step[k].class };
  g_autofree char *text = dwn_word_raise (&dwn_wording_script, &raise, 0);
  g_assert_cmpstr (text, ==, raises[i].says);
}

static void
test_spots (void)
{
  const DwnSpot more[] = { { .sum = { 2, 0, -3 } }, { .east_m = 30, .north_m = 40, .sum = { 2, 0, 1 } } };
  const DwnSpot held[] = { { .sum = { 2, 0, -3 } }, { .north_m = -20, .sum = { 3, 0, 9 } } };
  const DwnSpots none = { .n = 1, .spot = more, .best = 0, .gain_db = 0 };
  const DwnSpots gain = { .n = 2, .spot = more, .best = 1, .gain_db = 4 };
  const DwnSpots service = { .n = 2, .spot = held, .best = 1, .gain_db = 12 };
  g_autofree char *n = dwn_word_spots (&dwn_wording_script, &none);
  g_autofree char *g = dwn_word_spots (&dwn_wording_script, &gain);
  g_autofree char *s = dwn_word_spots (&dwn_wording_script, &service);

  g_assert_cmpstr (n, ==, "No spot within 50 m brings the weakest service 1 dB more than this one.");
  g_assert_cmpstr (g, ==, "50 m to the north-east the weakest service would have 4.0 dB more.");
  g_assert_cmpstr (s, ==, "20 m to the south 3 services would be dependable instead of 2.");
}

#define ADD_TABLE(table, prefix, function)                                       \
  for (gsize i = 0; i < G_N_ELEMENTS (table); i++)                               \
    {                                                                            \
      g_autofree char *path = g_strconcat (prefix, table[i].name, NULL);         \
      g_test_add_data_func (path, GSIZE_TO_POINTER (i), function);               \
    }

int
main (int argc, char **argv)
{
  g_autoptr (GError) error = NULL;
  int status;

  g_test_init (&argc, &argv, NULL);
  tables = dwn_tables_new (&error);
  g_assert_no_error (error);
  ADD_TABLE (predictions, "/words/prediction/", test_prediction)
  g_test_add_func ("/words/gaps", test_gaps);
  g_test_add_func ("/words/house", test_house);
  g_test_add_func ("/words/seasons", test_seasons);
  ADD_TABLE (raises, "/words/raise/", test_raise)
  g_test_add_func ("/words/spots", test_spots);
  status = g_test_run ();
  dwn_tables_unref (tables);
  return status;
}
