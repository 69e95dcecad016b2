/* The pattern of an antenna as a widget, with its figures as description. */
#pragma once

#include "app/scene-view.h"

G_BEGIN_DECLS

#define DWN_TYPE_ANTENNA_PLOT (dwn_antenna_plot_get_type ())
G_DECLARE_FINAL_TYPE (DwnAntennaPlot, dwn_antenna_plot, DWN, ANTENNA_PLOT, GtkWidget)

/* @size_px: the least, for type of the usual size; it would like half as much again. */
GtkWidget *dwn_antenna_plot_new (int size_px);

/* @pattern and @other (each nullable) are kept. */
void dwn_antenna_plot_show (DwnAntennaPlot *self, const DwnWording *wording, const DwnPattern *pattern,
                            const DwnPattern *other, double mhz);

/* "9.5 dBi, 54° wide, 15 dB front to back"; with what the feed reflects where that is 0.1 dB or more.
 * Returns: (transfer full). */
char *dwn_antenna_figures (const DwnWording *wording, const DwnPattern *pattern, double mhz);

G_END_DECLS
