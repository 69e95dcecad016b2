/* The catalogue, the program's own and the user's, with search and a look at the pattern at any RF
 * channel or frequency. */
#pragma once

#include "app/scene-view.h"

G_BEGIN_DECLS

#define DWN_TYPE_ANTENNA_BROWSER (dwn_antenna_browser_get_type ())
G_DECLARE_FINAL_TYPE (DwnAntennaBrowser, dwn_antenna_browser, DWN, ANTENNA_BROWSER, GtkBox)

/* Its buttons call antennas.back, antennas.take, antennas.sheet and antennas.import, of an
 * ancestor's making. */
GtkWidget *dwn_antenna_browser_new (DwnDocument *document);

/* Reads the catalogue anew and marks the antenna @id (nullable: the first). @current (nullable) is
 * the one that would be replaced: its pattern is drawn beside. */
void dwn_antenna_browser_open (DwnAntennaBrowser *self, const char *id, const DwnPattern *current);

/* The chosen one. (nullable) (transfer none). */
const DwnPattern *dwn_antenna_browser_pattern (DwnAntennaBrowser *self);

/* Leaves in the list what contains every word of @text; gives how many that are. */
guint dwn_antenna_browser_search (DwnAntennaBrowser *self, const char *text);

/* Shows patterns at an RF channel, or at MHz. FALSE where @text is neither. */
gboolean dwn_antenna_browser_look_at (DwnAntennaBrowser *self, gboolean rf, const char *text);
double dwn_antenna_browser_mhz (DwnAntennaBrowser *self);

/* Says what happened, or why not; "": nothing. */
void dwn_antenna_browser_say (DwnAntennaBrowser *self, const char *text);

G_END_DECLS
