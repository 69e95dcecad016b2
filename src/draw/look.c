#include "draw/look.h"

#include <math.h>

static DwnColour
from_hex (guint32 rgb)
{
  return (DwnColour) { (double) (rgb >> 16 & 0xff) / 255.0, (double) (rgb >> 8 & 0xff) / 255.0,
                       (double) (rgb & 0xff) / 255.0, 1.0 };
}

DwnLook
dwn_look_light (void)
{
  return (DwnLook) {
    .foreground = from_hex (0x2e3436), .ground = from_hex (0xffffff),
    .window = from_hex (0xf6f5f4), .card = from_hex (0xffffff),
    .blue = from_hex (0x1d5b97), .orange = from_hex (0xb45512),
    .quiet = 0.78, .family = g_intern_static_string ("Cantarell"), .base = DWN_LOOK_BASE_PX,
  };
}

DwnLook
dwn_look_dark (void)
{
  return (DwnLook) {
    .foreground = from_hex (0xeeeeec), .ground = from_hex (0x2d2d2d),
    .window = from_hex (0x353535), .card = from_hex (0x3a3a3a),
    .blue = from_hex (0x96c5ef), .orange = from_hex (0xe98f49),
    .quiet = 0.76, .family = g_intern_static_string ("Cantarell"), .base = DWN_LOOK_BASE_PX,
  };
}

DwnLook
dwn_look_paper (void)
{
  return (DwnLook) {
    .foreground = from_hex (0x111111), .ground = from_hex (0xffffff),
    .window = from_hex (0xffffff), .card = from_hex (0xffffff),
    .blue = from_hex (0x184e82), .orange = from_hex (0xb5530f),
    .quiet = 0.80, .hatch = TRUE, .family = g_intern_static_string ("Cantarell"), .base = 9.4,
  };
}

DwnLook
dwn_look_high_contrast (gboolean dark)
{
  DwnLook look = dark ? dwn_look_dark () : dwn_look_light ();

  look.foreground = from_hex (dark ? 0xffffff : 0x000000);
  look.ground = look.window = look.card = from_hex (dark ? 0x000000 : 0xffffff);
  look.blue = from_hex (dark ? 0xaed4f7 : 0x0f4478);
  look.orange = from_hex (dark ? 0xf5a55f : 0x98430a);
  look.quiet = 1.0;
  return look;
}

void
dwn_look_set_font (DwnLook *look, const PangoFontDescription *font, double units_per_pt,
                   double text_scale)
{
  g_return_if_fail (look != NULL);
  g_return_if_fail (font != NULL);
  g_return_if_fail (units_per_pt > 0 && text_scale > 0);

  PangoFontMask set = pango_font_description_get_set_fields (font);

  if (set & PANGO_FONT_MASK_FAMILY)
    look->family = g_intern_string (pango_font_description_get_family (font));
  if (set & PANGO_FONT_MASK_SIZE && pango_font_description_get_size (font) > 0)
    {
      gboolean absolute = pango_font_description_get_size_is_absolute (font);
      double size = pango_units_to_double (pango_font_description_get_size (font));

      look->base = size * (absolute ? 1.0 : units_per_pt);
    }
  look->base *= text_scale;
}

double
dwn_look_unit (const DwnLook *look)
{
  g_return_val_if_fail (look != NULL, (double) NAN);

  return look->base / DWN_LOOK_BASE_PX;
}

DwnColour
dwn_look_quiet (const DwnLook *look)
{
  return dwn_colour_alpha (look->foreground, look->quiet);
}

DwnColour
dwn_look_blue (const DwnLook *look)
{
  return look->mono ? look->foreground : look->blue;
}

DwnColour
dwn_look_orange (const DwnLook *look)
{
  return look->mono ? look->foreground : look->orange;
}

DwnColour
dwn_colour_alpha (DwnColour colour, double alpha)
{
  colour.alpha *= alpha;
  return colour;
}

static double
blend (double over, double under, double alpha)
{
  return over * alpha + under * (1.0 - alpha);
}

DwnColour
dwn_colour_over (DwnColour over, DwnColour under)
{
  return (DwnColour) { blend (over.red, under.red, over.alpha),
                       blend (over.green, under.green, over.alpha),
                       blend (over.blue, under.blue, over.alpha), 1.0 };
}

/* IEC 61966-2-1 transfer function with the threshold that WCAG 2.1 prints; the two thresholds in
 * use (0.03928 and 0.04045) give the same result for every 8-bit value. */
static double
linear_light (double value)
{
  return value <= 0.03928 ? value / 12.92 : pow ((value + 0.055) / 1.055, 2.4);
}

double
dwn_colour_luminance (DwnColour colour)
{
  return 0.2126 * linear_light (colour.red) + 0.7152 * linear_light (colour.green)
         + 0.0722 * linear_light (colour.blue);
}

double
dwn_colour_contrast (DwnColour a, DwnColour b)
{
  double la = dwn_colour_luminance (a), lb = dwn_colour_luminance (b);

  return (fmax (la, lb) + 0.05) / (fmin (la, lb) + 0.05);
}

/* CIE 15: L* = 116 f(Y/Yn) − 16, with the straight piece below (6/29)^3. */
double
dwn_colour_lightness (DwnColour colour)
{
  double y = dwn_colour_luminance (colour);

  return y > 216.0 / 24389.0 ? 116.0 * cbrt (y) - 16.0 : y * 24389.0 / 27.0;
}
