/* What a person sets once for all plans. */
#pragma once

#include <gio/gio.h>

#include "words/wording.h"

G_BEGIN_DECLS

#define DWN_SETTING_LENGTHS "lengths"
#define DWN_SETTING_LEVELS "levels"
#define DWN_SETTING_PAPER "paper"
#define DWN_SETTING_SCALE "distance-scale"
#define DWN_SETTING_COLUMNS "station-columns"
#define DWN_SETTING_GUIDE "guide"
#define DWN_SETTING_SKYLINE "rose-skyline"
#define DWN_SETTING_SUN "rose-sun"
#define DWN_SETTING_PATTERNS "rose-patterns"
#define DWN_SETTING_ELEVATION "elevation-folder"
#define DWN_SETTING_SIZE "window-size"
#define DWN_SETTING_PANEL "panel"
#define DWN_SETTING_MAXIMIZED "window-maximized"
#define DWN_SETTING_BEARINGS "bearings"
#define DWN_SETTING_REGION "region"
#define DWN_SETTING_NEW_ANTENNA "new-antenna"
#define DWN_SETTING_NEW_CABLE "new-cable"
#define DWN_SETTING_NEW_LENGTH "new-cable-length"
#define DWN_SETTING_NEW_OUTLETS "new-outlets"

/* By the schema that is installed, or the one beside the program where it runs from its build folder.
 * Returns: (transfer full) (nullable): there is none; the program does without settings then. */
GSettings *dwn_settings_new (void);

/* Units by the settings, or by the locale's measurement where they leave it open. */
DwnWording dwn_settings_wording (GSettings *settings);
/* US Letter rather than A4? */
gboolean dwn_settings_letter (GSettings *settings);
/* The broadcast system of a plan that has no station yet. */
DwnSystem dwn_settings_system (GSettings *settings);
/* The system of a territory ("DE", ISO 3166-1), as stations there mostly have it; NULL or unknown: the
 * one that most of the world has. */
DwnSystem dwn_system_of_territory (const char *territory);

G_END_DECLS
