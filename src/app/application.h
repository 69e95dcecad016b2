/* The program: windows, files given to it, shortcuts. */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

#define DWN_TYPE_APPLICATION (dwn_application_get_type ())
G_DECLARE_FINAL_TYPE (DwnApplication, dwn_application, DWN, APPLICATION, GtkApplication)

DwnApplication *dwn_application_new (void);

/* Gives the display our style sheet, as the program does when it starts. */
void dwn_application_add_style (void);

G_END_DECLS
