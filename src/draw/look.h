/* How a drawing looks: two inks, two colours that mean something, one family, one unit. */
#pragma once

#include <glib.h>
#include <pango/pango.h>

G_BEGIN_DECLS

/* sRGB, each 0 to 1; not premultiplied. */
typedef struct {
  double red, green, blue, alpha;
} DwnColour;

/* Sizes of type as a multiple of the base size. There are no others. */
#define DWN_SIZE_SMALL 0.82
#define DWN_SIZE_BASE 1.0
#define DWN_SIZE_TITLE 1.25
#define DWN_SIZE_FIGURE 2.2 /* paper only */

/* Widths of lines in u. */
#define DWN_LINE_HAIR 0.8
#define DWN_LINE_RIM 1.1
#define DWN_LINE_OUTLINE 1.4
#define DWN_LINE_CABLE 1.6

/* The base size, in px, at which one u is one px: 11 pt at 96 dpi. */
#define DWN_LOOK_BASE_PX (11.0 * 96.0 / 72.0)

/* A plain value: copy it, change it, pass it on. Lengths are in the units of the surface it will
 * be painted on: px on a screen, pt on paper. */
typedef struct {
  DwnColour foreground, ground;
  DwnColour window;      /* what stands around the ground; ground itself on paper */
  DwnColour card;        /* of a card that lies on the ground */
  DwnColour blue;        /* what we choose: aim, window, pattern, gain, advised */
  DwnColour orange;      /* what asks for attention: selection, obstacle, shortfall, need */
  double quiet;          /* opacity of quiet text, 0.72 to 1 */
  const char *family;    /* interned */
  double base;           /* base size of type, in units of the surface */
  gboolean hatch;        /* what is orange is hatched too: paper, which may be printed in grey */
  gboolean mono;         /* one ink only; hatches as well */
  gboolean right_to_left;
} DwnLook;

/* Base size 11 pt at 96 dpi on screens and 9.4 pt on paper, family "Cantarell". */
DwnLook dwn_look_light (void);
DwnLook dwn_look_dark (void);
DwnLook dwn_look_paper (void);

/* The same inks at their strongest: no quiet text, black on white or white on black. */
DwnLook dwn_look_high_contrast (gboolean dark);

/* Takes family and size from @font, which may name either an absolute size or points; points are
 * turned into @units_per_pt (96/72 on a screen at 96 dpi, 1 on paper) and into @text_scale (1 is
 * as it is). A part that @font does not set is left as it was. */
void dwn_look_set_font (DwnLook *look, const PangoFontDescription *font, double units_per_pt,
                        double text_scale);

/* The u of every drawing's lengths: base size / 14.67. */
double dwn_look_unit (const DwnLook *look);

/* The foreground as quiet text wears it. */
DwnColour dwn_look_quiet (const DwnLook *look);

/* Blue and orange, or the foreground where the look is mono. */
DwnColour dwn_look_blue (const DwnLook *look);
DwnColour dwn_look_orange (const DwnLook *look);

/* @colour with its opacity multiplied by @alpha. */
DwnColour dwn_colour_alpha (DwnColour colour, double alpha);

/* @over laid on the opaque @under. */
DwnColour dwn_colour_over (DwnColour over, DwnColour under);

/* Relative luminance 0 to 1 and contrast ratio 1 to 21 of two opaque colours: WCAG 2.1,
 * "relative luminance" and "contrast ratio". */
double dwn_colour_luminance (DwnColour colour);
double dwn_colour_contrast (DwnColour a, DwnColour b);

/* CIE 1976 lightness L*, 0 to 100, of an opaque colour. */
double dwn_colour_lightness (DwnColour colour);

G_END_DECLS
