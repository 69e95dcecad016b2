/* Coordinates as pasted. The expected figures follow from the text itself: degrees plus minutes
 * over 60 plus seconds over 3600; each form that a standard defines names it. */
#include "core/geo/coordinates.h"

#include <locale.h>
#include <math.h>
#include <string.h>

typedef struct {
  const char *text;
  double lat_deg, lon_deg;
} Reading;

static const Reading readings[] = {
  /* Plain, as on the command line */
  { "44.28,-71.69", 44.28, -71.69 },
  { "44,-71", 44, -71 },
  { "44,28", 44, 28 },
  { "+44.28,-071.69", 44.28, -71.69 },
  { "-.5,.25", -0.5, 0.25 },
  { "90,180", 90, 180 },
  { "-90,-180", -90, -180 },
  { "0,0", 0, 0 },
  { "-0,-0", 0, 0 },
  { "44.28 -71.69", 44.28, -71.69 },
  { "44.28 71.69", 44.28, 71.69 },
  { "\t44.28 ,\n -71.69 ", 44.28, -71.69 },
  { "\xef\xbb\xbf" "44.28,-71.69", 44.28, -71.69 },
  { "44.28;-71.69", 44.28, -71.69 },
  { "44.28/-71.69", 44.28, -71.69 },
  /* As a phone's map copies them */
  { "(44.28000, -71.69000)", 44.28, -71.69 },
  { "[44.28, -71.69]", 44.28, -71.69 },
  { "44°16'48.0\"N 71°41'24.0\"W", 44.28, -71.69 },
  { "44.280000° N, 71.690000° W", 44.28, -71.69 },
  { "44.28000°,-71.69000°", 44.28, -71.69 },
  { "lat=44.28&lon=-71.69", 44.28, -71.69 },
  { "Lat: 44.28, Lon: -71.69", 44.28, -71.69 },
  { "Lat. 44.28 Long. -71.69", 44.28, -71.69 },
  { "longitude -71.69 latitude 44.28", 44.28, -71.69 },
  { "lat 44.28 N lon 71.69 W", 44.28, -71.69 },
  /* Degrees, minutes, seconds with every mark in use */
  { "44° 16′ 48″ N 71° 41′ 24″ W", 44.28, -71.69 },
  { "44º16’48”N, 71º41’24”W", 44.28, -71.69 },
  { "44˚16´48''S 71˚41´24''E", -44.28, 71.69 },
  { "44°16ʹ48ʺN 71°41ʹ24ʺW", 44.28, -71.69 },
  { "44° 16.8' N 71° 41.4' W", 44.28, -71.69 },
  { "44 deg 16 min 48 sec N 71 deg 41 min 24 sec W", 44.28, -71.69 },
  { "44°16'48\" -71°41'24\"", 44.28, -71.69 },
  { "-0°30'0\" 0°15'", -0.5, 0.25 },
  { "44° 71°", 44, 71 },
  /* Without marks */
  { "44 16 48 N 71 41 24 W", 44.28, -71.69 },
  { "N 44 16 48, W 71 41 24", 44.28, -71.69 },
  { "N44 16 48 W71 41 24", 44.28, -71.69 },
  { "44 16.8 -71 41.4", 44.28, -71.69 },
  { "44 16 48 71 41 24", 44.28, 71.69 },
  { "44 30 71 15", 44.5, 71.25 },
  { "44:16:48 -71:41:24", 44.28, -71.69 },
  { "44-16-48.0 N 71-41-24.0 W", 44.28, -71.69 },
  { "44\u201116\u201148 N 71\u201141\u201124 W", 44.28, -71.69 },
  /* Hemispheres */
  { "44.28N71.69W", 44.28, -71.69 },
  { "n44.28w71.69", 44.28, -71.69 },
  { "W 71.69 N 44.28", 44.28, -71.69 },
  { "71.69 W, 44.28 S", -44.28, -71.69 },
  { "71.69 W 44.28", 44.28, -71.69 },
  { "44.28 71.69 W", 44.28, -71.69 },
  { "N 44.28 71.69", 44.28, 71.69 },
  { "33,5° Süd 151,25° Ost", -33.5, 151.25 },
  { "44,28 Nord 71,69 Ouest", 44.28, -71.69 },
  { "44,28 norte, 71,69 oeste", 44.28, -71.69 },
  { "12,5 sur 3,25 este", -12.5, 3.25 },
  /* Minus signs of word processors, and spaces that do not break */
  { "44.28, \u221271.69", 44.28, -71.69 },
  { "44.28, \u201371.69", 44.28, -71.69 },
  { "44.28\u00a0N\u00a071.69\u00a0W", 44.28, -71.69 },
  /* Decimal commas where only one reading holds */
  { "44,28 -71,69", 44.28, -71.69 },
  { "44,28; -71,69", 44.28, -71.69 },
  { "44,28, -71,69", 44.28, -71.69 },
  { "44,28,-71,69", 44.28, -71.69 },
  { "44,28,71,69", 44.28, 71.69 },
  { "44,28/71,69", 44.28, 71.69 },
  { "44,28 N 71,69 W", 44.28, -71.69 },
  { "44°16'48,5\"N 71°41'24,5\"W", 44 + 16 / 60.0 + 48.5 / 3600, -71 - 41 / 60.0 - 24.5 / 3600 },
  /* RFC 5870, its own examples in section 6 and 3.4 */
  { "geo:13.4125,103.8667", 13.4125, 103.8667 },
  { "geo:48.2010,16.3695,183", 48.2010, 16.3695 },
  { "geo:48.198634,16.371648;crs=wgs84;u=40", 48.198634, 16.371648 },
  { "geo:66,30;u=6.500;FOo=this%2dthat", 66, 30 },
  { "GEO:90,-22.43;crs=WGS84", 90, -22.43 },
  { " geo:44.28,-71.69?z=11", 44.28, -71.69 },
  { "geo:0,0?q=44.28,-71.69(The house)", 44.28, -71.69 },
  /* ISO 6709, annex H: decimal degrees */
  { "+44.28-071.69/", 44.28, -71.69 },
  { "-44.28+071.69/", -44.28, 71.69 },
};

static void
test_reading (gconstpointer data)
{
  const Reading *r = data;
  g_autoptr (GError) error = NULL;
  DwnLatLon at = { (double) NAN, (double) NAN };

  dwn_lat_lon_parse (r->text, &at, &error);
  g_assert_no_error (error);
  g_assert_cmpfloat_with_epsilon (at.lat_deg, r->lat_deg, 1e-12);
  g_assert_cmpfloat_with_epsilon (at.lon_deg, r->lon_deg, 1e-12);
}

typedef struct {
  const char *text;
  DwnCoordinatesError code;
  const char *says;
} Refusal;

static const Refusal refusals[] = {
  { "", DWN_COORDINATES_ERROR_FORMAT, "44.28,-71.69" },
  { " ", DWN_COORDINATES_ERROR_FORMAT, "44.28,-71.69" },
  { "44.28", DWN_COORDINATES_ERROR_FORMAT, "44.28,-71.69" },
  { "44.28,", DWN_COORDINATES_ERROR_FORMAT, "44.28,-71.69" },
  { ",44.28", DWN_COORDINATES_ERROR_FORMAT, "44.28,-71.69" },
  { "the house", DWN_COORDINATES_ERROR_FORMAT, "44.28,-71.69" },
  { "nan,nan", DWN_COORDINATES_ERROR_FORMAT, "44.28,-71.69" },
  { "1e308,-71", DWN_COORDINATES_ERROR_FORMAT, "44.28,-71.69" },
  { "inf,0", DWN_COORDINATES_ERROR_FORMAT, "44.28,-71.69" },
  { "0x10,0", DWN_COORDINATES_ERROR_FORMAT, "44.28,-71.69" },
  { "44.28,-71.69,445", DWN_COORDINATES_ERROR_FORMAT, "44.28,-71.69" },
  { "44 16 48 -", DWN_COORDINATES_ERROR_FORMAT, "44.28,-71.69" },
  { "44.5.6,-71", DWN_COORDINATES_ERROR_FORMAT, "44.28,-71.69" },
  { "44-71", DWN_COORDINATES_ERROR_FORMAT, "44.28,-71.69" },
  { "44 16 71", DWN_COORDINATES_ERROR_FORMAT, "44.28,-71.69" },
  { "44 16 48 12 N 71 W", DWN_COORDINATES_ERROR_FORMAT, "44.28,-71.69" },
  { "44.5 16 N 71 W", DWN_COORDINATES_ERROR_FORMAT, "44.28,-71.69" },
  { "44' 16° N 71 W", DWN_COORDINATES_ERROR_FORMAT, "44.28,-71.69" },
  { "° °", DWN_COORDINATES_ERROR_FORMAT, "44.28,-71.69" },
  { "N W", DWN_COORDINATES_ERROR_FORMAT, "44.28,-71.69" },
  { "44 N N 71 W", DWN_COORDINATES_ERROR_FORMAT, "44.28,-71.69" },
  { "44 N 71 S", DWN_COORDINATES_ERROR_FORMAT, "longitude" },
  { "71 W 44 E", DWN_COORDINATES_ERROR_FORMAT, "latitude" },
  { "44\xff,-71", DWN_COORDINATES_ERROR_FORMAT, "44.28,-71.69" },
  { "geo:", DWN_COORDINATES_ERROR_FORMAT, "44.28,-71.69" },
  { "geo:44.28", DWN_COORDINATES_ERROR_FORMAT, "44.28,-71.69" },
  { "geo:323482,4306480;crs=EPSG:32618;u=20", DWN_COORDINATES_ERROR_FORMAT, "wgs84" },
  { "95,-71.69", DWN_COORDINATES_ERROR_RANGE, "-90 to 90" },
  { "1e308,0", DWN_COORDINATES_ERROR_RANGE, "-90 to 90" },
  { "95,28", DWN_COORDINATES_ERROR_RANGE, "-90 to 90" },
  { "-71.69 W", DWN_COORDINATES_ERROR_FORMAT, "44.28,-71.69" },
  { "-90.0001,0", DWN_COORDINATES_ERROR_RANGE, "-90 to 90" },
  { "-120.5,44.5", DWN_COORDINATES_ERROR_RANGE, "44.5,-120.5" },
  { "95 N 71 W", DWN_COORDINATES_ERROR_RANGE, "-90 to 90" },
  { "44.28,288.31", DWN_COORDINATES_ERROR_RANGE, "-71.69" },
  { "44.28,1000", DWN_COORDINATES_ERROR_RANGE, "-180 to 180" },
  { "44 60 N 71 W", DWN_COORDINATES_ERROR_RANGE, "below 60" },
  { "44 16 60 N 71 W", DWN_COORDINATES_ERROR_RANGE, "below 60" },
  { "geo:95,0", DWN_COORDINATES_ERROR_RANGE, "-90 to 90" },
  { "44.28 N 71.69 O", DWN_COORDINATES_ERROR_AMBIGUOUS, "E or W" },
  { "44,28 N; 71,69 O", DWN_COORDINATES_ERROR_AMBIGUOUS, "E or W" },
  { "44.28 N -71.69 W", DWN_COORDINATES_ERROR_AMBIGUOUS, "minus" },
  { "44,28,71", DWN_COORDINATES_ERROR_AMBIGUOUS, "44.28,-71.69" },
  { "44,28 30", DWN_COORDINATES_ERROR_AMBIGUOUS, "44.28,-71.69" },
};

static void
test_refusal (gconstpointer data)
{
  const Refusal *r = data;
  g_autoptr (GError) error = NULL;
  DwnLatLon at = { 1, 2 };

  g_assert_false (dwn_lat_lon_parse (r->text, &at, &error));
  g_assert_error (error, DWN_COORDINATES_ERROR, (gint) r->code);
  if (strstr (error->message, r->says) == NULL)
    g_error ("\"%s\" does not say \"%s\"", error->message, r->says);
  g_assert_cmpfloat (at.lat_deg, ==, 1);
  g_assert_cmpfloat (at.lon_deg, ==, 2);
}

static void
test_long_text (void)
{
  g_autofree char *blanks = g_strnfill (1 << 20, ' ');
  g_autofree char *text = g_strconcat ("44,-71", blanks, NULL);
  g_autofree char *digits = g_strnfill (200, '4');
  g_autofree char *marks = g_strnfill (200, '"');
  g_autoptr (GError) first = NULL, second = NULL, third = NULL;
  DwnLatLon at;

  g_assert_false (dwn_lat_lon_parse (text, &at, &first));
  g_assert_error (first, DWN_COORDINATES_ERROR, DWN_COORDINATES_ERROR_FORMAT);
  g_assert_false (dwn_lat_lon_parse (digits, &at, &second));
  g_assert_error (second, DWN_COORDINATES_ERROR, DWN_COORDINATES_ERROR_FORMAT);
  g_assert_false (dwn_lat_lon_parse (marks, &at, &third));
  g_assert_error (third, DWN_COORDINATES_ERROR, DWN_COORDINATES_ERROR_FORMAT);
}

static const struct {
  DwnLatLon at;
  const char *text;
} written[] = {
  { { 44.28, -71.69 }, "44.28,-71.69" },
  { { -0.00000001, 180 }, "0,180" },
  { { 44.1234567, -100 }, "44.1234567,-100" },
  { { -90, 0.5 }, "-90,0.5" },
};

static void
test_plain (void)
{
  for (gsize i = 0; i < G_N_ELEMENTS (written); i++)
    {
      g_autofree char *text = dwn_lat_lon_format_plain (&written[i].at);
      g_autoptr (GError) error = NULL;
      DwnLatLon back;

      g_assert_cmpstr (text, ==, written[i].text);
      dwn_lat_lon_parse (text, &back, &error);
      g_assert_no_error (error);
      g_assert_cmpfloat_with_epsilon (back.lat_deg, written[i].at.lat_deg, 6e-8);
      g_assert_cmpfloat_with_epsilon (back.lon_deg, written[i].at.lon_deg, 6e-8);
    }
}

/* Where the system has a locale with decimal commas, it makes no difference. */
static void
test_locale (void)
{
  g_autofree char *before = g_strdup (setlocale (LC_ALL, NULL));
  const DwnLatLon house = { 44.28, -71.69 };
  DwnLatLon at;

  if (setlocale (LC_ALL, "de_DE.UTF-8") == NULL)
    g_test_message ("no German locale here: checked in this one only");
  g_autofree char *text = dwn_lat_lon_format_plain (&house);
  g_assert_true (dwn_lat_lon_parse (text, &at, NULL));
  setlocale (LC_ALL, before);
  g_assert_cmpstr (text, ==, "44.28,-71.69");
  g_assert_cmpfloat (at.lat_deg, ==, house.lat_deg);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  for (gsize i = 0; i < G_N_ELEMENTS (readings); i++)
    {
      g_autofree char *path = g_strdup_printf ("/geo/coordinates/reads/%" G_GSIZE_FORMAT, i + 1);
      g_test_add_data_func (path, &readings[i], test_reading);
    }
  for (gsize i = 0; i < G_N_ELEMENTS (refusals); i++)
    {
      g_autofree char *path = g_strdup_printf ("/geo/coordinates/refuses/%" G_GSIZE_FORMAT, i + 1);
      g_test_add_data_func (path, &refusals[i], test_refusal);
    }
  g_test_add_func ("/geo/coordinates/long-text", test_long_text);
  g_test_add_func ("/geo/coordinates/plain", test_plain);
  g_test_add_func ("/geo/coordinates/locale", test_locale);
  return g_test_run ();
}
