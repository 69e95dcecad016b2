/* Inks and colours: legible, and apart in grey. */
#include <math.h>

#include "draw/look.h"

/* WCAG 2.1, success criterion 1.4.3: text and its background. */
#define LEAST_CONTRAST 4.5

typedef struct {
  const char *name;
  DwnLook look;
} LookCase;

static void
assert_legible (DwnColour text, const DwnLook *look)
{
  g_assert_cmpfloat (dwn_colour_contrast (dwn_colour_over (text, look->ground), look->ground), >=,
                     LEAST_CONTRAST);
  g_assert_cmpfloat (dwn_colour_contrast (dwn_colour_over (text, look->window), look->window), >=,
                     LEAST_CONTRAST);
  g_assert_cmpfloat (dwn_colour_contrast (dwn_colour_over (text, look->card), look->card), >=,
                     LEAST_CONTRAST);
}

static void
test_legible (gconstpointer data)
{
  const LookCase *look_case = data;

  assert_legible (look_case->look.foreground, &look_case->look);
  assert_legible (dwn_look_quiet (&look_case->look), &look_case->look);
  assert_legible (look_case->look.blue, &look_case->look);
  assert_legible (look_case->look.orange, &look_case->look);
}

/* The grammar of the drawings: blue and orange differ by 8 to 15 in lightness. */
static void
test_apart_in_grey (gconstpointer data)
{
  const LookCase *look_case = data;
  double apart = fabs (dwn_colour_lightness (look_case->look.blue)
                       - dwn_colour_lightness (look_case->look.orange));

  g_assert_cmpfloat (apart, >=, 8.0);
  g_assert_cmpfloat (apart, <=, 15.0);
}

/* WCAG 2.1: black on white is 21:1. #767676 on white is the lightest grey that reaches 4.5:1, at
 * 4.54:1 (WebAIM, "Contrast and Color Accessibility"). */
static void
test_contrast (void)
{
  DwnColour white = { 1, 1, 1, 1 }, black = { 0, 0, 0, 1 };
  DwnColour grey = { 0x76 / 255.0, 0x76 / 255.0, 0x76 / 255.0, 1 };

  g_assert_cmpfloat_with_epsilon (dwn_colour_contrast (white, black), 21.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (dwn_colour_contrast (grey, white), 4.54, 0.005);
}

/* CIE L* of white is 100, of black 0; of a grey that reflects 18 % of the light 49.5 (CIE 15:
 * 116 · cbrt(0.18) − 16 = 49.496, worked separately). */
static void
test_lightness (void)
{
  double value = 1.055 * pow (0.18, 1 / 2.4) - 0.055;
  DwnColour white = { 1, 1, 1, 1 }, black = { 0, 0, 0, 1 }, grey = { value, value, value, 1 };

  g_assert_cmpfloat_with_epsilon (dwn_colour_lightness (white), 100.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (dwn_colour_lightness (black), 0.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (dwn_colour_lightness (grey), 49.496, 0.001);
}

static void
test_over (void)
{
  DwnColour half_black = { 0, 0, 0, 0.5 }, white = { 1, 1, 1, 1 };
  DwnColour mixed = dwn_colour_over (half_black, white);

  g_assert_cmpfloat_with_epsilon (mixed.red, 0.5, 1e-12);
  g_assert_cmpfloat_with_epsilon (mixed.alpha, 1.0, 1e-12);
}

/* 11 pt at 96 dpi are 14.67 px, the size at which u is 1 px. */
static void
test_unit (void)
{
  DwnLook look = dwn_look_light ();
  PangoFontDescription *font = pango_font_description_from_string ("Sans 22");

  g_assert_cmpfloat_with_epsilon (dwn_look_unit (&look), 1.0, 1e-9);
  dwn_look_set_font (&look, font, 96.0 / 72.0, 1.0);
  g_assert_cmpfloat_with_epsilon (dwn_look_unit (&look), 2.0, 1e-9);
  g_assert_cmpstr (look.family, ==, "Sans");
  dwn_look_set_font (&look, font, 96.0 / 72.0, 1.5);
  g_assert_cmpfloat_with_epsilon (dwn_look_unit (&look), 3.0, 1e-9);
  pango_font_description_free (font);
}

static void
test_mono (void)
{
  DwnLook look = dwn_look_paper ();

  look.mono = TRUE;
  g_assert_cmpfloat (dwn_look_blue (&look).blue, ==, look.foreground.blue);
  g_assert_cmpfloat (dwn_look_orange (&look).red, ==, look.foreground.red);
}

static void
add_look (const char *what, GTestDataFunc test, const LookCase *look_case)
{
  g_autofree char *path = g_strconcat ("/draw/look/", what, "/", look_case->name, NULL);

  g_test_add_data_func (path, look_case, test);
}

int
main (int argc, char **argv)
{
  const LookCase cases[] = {
    { "light", dwn_look_light () },
    { "dark", dwn_look_dark () },
    { "paper", dwn_look_paper () },
    { "high-contrast", dwn_look_high_contrast (FALSE) },
    { "high-contrast-dark", dwn_look_high_contrast (TRUE) },
  };

  g_test_init (&argc, &argv, NULL);
  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      add_look ("legible", test_legible, &cases[i]);
      add_look ("apart-in-grey", test_apart_in_grey, &cases[i]);
    }
  g_test_add_func ("/draw/look/contrast", test_contrast);
  g_test_add_func ("/draw/look/lightness", test_lightness);
  g_test_add_func ("/draw/look/over", test_over);
  g_test_add_func ("/draw/look/unit", test_unit);
  g_test_add_func ("/draw/look/mono", test_mono);
  return g_test_run ();
}
