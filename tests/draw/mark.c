/* The station mark: shape, fill and second outline are seen in the pixels. */
#include <math.h>

#include "draw/mark.h"

#define SIZE 81
#define CENTRE 40.5
#define RADIUS 16.0

/* Share of ink, 0 to 1, in the pixels of a rectangle. */
static double
ink_share (cairo_surface_t *image, int x, int y, int width, int height)
{
  const unsigned char *pixels;
  int stride = cairo_image_surface_get_stride (image);
  double sum = 0;

  cairo_surface_flush (image);
  pixels = cairo_image_surface_get_data (image);
  for (int row = y; row < y + height; row++)
    for (int column = x; column < x + width; column++)
      sum += 255 - pixels[row * stride + column * 4];
  return sum / (255.0 * width * height);
}

static cairo_surface_t *
paint (DwnBand band, double chance, gboolean wanted)
{
  cairo_surface_t *image = cairo_image_surface_create (CAIRO_FORMAT_RGB24, SIZE, SIZE);
  cairo_t *cr = cairo_create (image);
  DwnMark mark = { band, chance, wanted };
  DwnColour black = { 0, 0, 0, 1 }, white = { 1, 1, 1, 1 };

  cairo_set_source_rgb (cr, 1, 1, 1);
  cairo_paint (cr);
  dwn_mark_paint (&mark, cr, CENTRE, CENTRE, RADIUS, black, white);
  cairo_destroy (cr);
  return image;
}

typedef struct {
  const char *name;
  double chance;
  DwnChanceClass expected;
  double above, below; /* ink just above and just below the middle */
} FillCase;

/* The limits are those of the design: dependable from 90 %, worth a trial from 50 %. */
static const FillCase fill_cases[] = {
  { "certain", 1.0, DWN_CHANCE_DEPENDABLE, 1, 1 },
  { "ninety", 0.9, DWN_CHANCE_DEPENDABLE, 1, 1 },
  { "just-under-ninety", 0.899, DWN_CHANCE_WORTH_A_TRIAL, 0, 1 },
  { "fifty", 0.5, DWN_CHANCE_WORTH_A_TRIAL, 0, 1 },
  { "just-under-fifty", 0.499, DWN_CHANCE_UNLIKELY, 0, 0 },
  { "none", 0.0, DWN_CHANCE_UNLIKELY, 0, 0 },
  { "unknown", NAN, DWN_CHANCE_UNKNOWN, 0, 0 },
};

static void
test_fill (gconstpointer data)
{
  const FillCase *fill = data;
  cairo_surface_t *image = paint (DWN_BAND_UHF, fill->chance, FALSE);

  g_assert_cmpint (dwn_chance_class (fill->chance), ==, fill->expected);
  g_assert_cmpfloat_with_epsilon (ink_share (image, 37, 33, 7, 5), fill->above, 0.01);
  g_assert_cmpfloat_with_epsilon (ink_share (image, 37, 43, 7, 5), fill->below, 0.01);
  cairo_surface_destroy (image);
}

/* The three bands must be told apart by their outline alone: what of the box around a mark is
 * ink differs (circle π/4, diamond 1/2, triangle less than 1/2 and nothing in its upper corners).
 */
static void
test_shapes (void)
{
  cairo_surface_t *circle = paint (DWN_BAND_UHF, 1, FALSE);
  cairo_surface_t *diamond = paint (DWN_BAND_HIGH_VHF, 1, FALSE);
  cairo_surface_t *triangle = paint (DWN_BAND_LOW_VHF, 1, FALSE);

  /* At 45° from the centre, 13 px out: inside the circle (16), outside the diamond (14.4 = 20.3 /
   * √2 less a stroke), and for the triangle inside below (its base ends 11 px below) and outside
   * above. */
  g_assert_cmpfloat (ink_share (circle, 50, 50, 2, 2), >, 0.9);
  g_assert_cmpfloat (ink_share (diamond, 53, 53, 2, 2), <, 0.05);
  g_assert_cmpfloat (ink_share (triangle, 49, 49, 2, 2), >, 0.9);
  g_assert_cmpfloat (ink_share (triangle, 50, 29, 2, 2), <, 0.05);
  g_assert_cmpfloat (ink_share (circle, 50, 29, 2, 2), >, 0.9);
  /* Straight below the centre a triangle ends before the others do. */
  g_assert_cmpfloat (ink_share (triangle, 39, 55, 3, 3), <, 0.05);
  g_assert_cmpfloat (ink_share (diamond, 39, 55, 3, 3), >, 0.9);
  cairo_surface_destroy (circle);
  cairo_surface_destroy (diamond);
  cairo_surface_destroy (triangle);
}

static void
test_wanted (gconstpointer data)
{
  DwnBand band = (DwnBand) GPOINTER_TO_UINT (data);
  cairo_surface_t *image = paint (band, 1, TRUE), *plain = paint (band, 1, FALSE);
  DwnMark wanted = { band, 1, TRUE }, not_wanted = { band, 1, FALSE };
  int edge = (int) (CENTRE + dwn_mark_body (band, RADIUS) + RADIUS * 0.3);
  int y = band == DWN_BAND_LOW_VHF ? 40 : 39;

  g_assert_cmpfloat (dwn_mark_reach (&wanted, RADIUS), >,
                     dwn_mark_reach (&not_wanted, RADIUS) + RADIUS * 0.5);
  /* Ground between the two outlines. */
  if (band == DWN_BAND_UHF)
    g_assert_cmpfloat (ink_share (image, edge, y, 2, 3), <, 0.05);
  g_assert_cmpfloat (ink_share (image, 0, 0, SIZE, SIZE), >, ink_share (plain, 0, 0, SIZE, SIZE));
  cairo_surface_destroy (image);
  cairo_surface_destroy (plain);
}

/* Nothing is painted beyond what dwn_mark_reach() promises, but for the mitre of its stroke. */
static void
test_reach (gconstpointer data)
{
  DwnBand band = (DwnBand) GPOINTER_TO_UINT (data);
  cairo_rectangle_t page = { -100, -100, 200, 200 };
  cairo_surface_t *recording = cairo_recording_surface_create (CAIRO_CONTENT_COLOR_ALPHA, &page);
  cairo_t *cr = cairo_create (recording);
  DwnMark mark = { band, 0.7, TRUE };
  DwnColour black = { 0, 0, 0, 1 }, white = { 1, 1, 1, 1 };
  double x, y, width, height, reach = dwn_mark_reach (&mark, 5.6) + 1.2;

  dwn_mark_paint (&mark, cr, 0, 0, 5.6, black, white);
  cairo_recording_surface_ink_extents (recording, &x, &y, &width, &height);
  g_assert_cmpfloat (x, >=, -reach);
  g_assert_cmpfloat (y, >=, -reach);
  g_assert_cmpfloat (x + width, <=, reach);
  g_assert_cmpfloat (y + height, <=, reach);
  cairo_destroy (cr);
  cairo_surface_destroy (recording);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  for (gsize i = 0; i < G_N_ELEMENTS (fill_cases); i++)
    {
      g_autofree char *path = g_strconcat ("/draw/mark/fill/", fill_cases[i].name, NULL);

      g_test_add_data_func (path, &fill_cases[i], test_fill);
    }
  for (guint band = 0; band < DWN_N_BANDS; band++)
    {
      g_autofree char *wanted = g_strdup_printf ("/draw/mark/wanted/%s",
                                                 dwn_band_id ((DwnBand) band));
      g_autofree char *reach = g_strdup_printf ("/draw/mark/reach/%s",
                                                dwn_band_id ((DwnBand) band));

      g_test_add_data_func (wanted, GUINT_TO_POINTER (band), test_wanted);
      g_test_add_data_func (reach, GUINT_TO_POINTER (band), test_reach);
    }
  g_test_add_func ("/draw/mark/shapes", test_shapes);
  return g_test_run ();
}
