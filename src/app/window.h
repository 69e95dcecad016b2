/* One window, one plan: the rose and its sentence on the left, the panels on the right. */
#pragma once

#include <gtk/gtk.h>

#include "app/document.h"

G_BEGIN_DECLS

#define DWN_TYPE_WINDOW (dwn_window_get_type ())
G_DECLARE_FINAL_TYPE (DwnWindow, dwn_window, DWN, WINDOW, GtkApplicationWindow)

/* Keeps a reference to @document. While that has no plan the window shows how to begin one.
 * @application (nullable) for tests. */
DwnWindow *dwn_window_new (GtkApplication *application, DwnDocument *document);
DwnDocument *dwn_window_document (DwnWindow *self);

/* Id of the panel that is shown; NULL before there is a plan. */
const char *dwn_window_panel (DwnWindow *self);

/* The help page about what is shown: the panel, the rose that has the focus, the page to be printed. */
const char *dwn_window_help (DwnWindow *self);

/* What became of the plan that autosave kept in @path: shown, and kept on until it is saved. */
gboolean dwn_window_recover (DwnWindow *self, const char *path, GError **error);

/* Does with each file what it is for: opens plans, brings in stations and readings, keeps antennas
 * and elevation tiles. What is nothing of ours is said. */
void dwn_window_take_files (DwnWindow *self, GFile *const *files, guint n);

/* Says that something did not work, and why. */
void dwn_window_complain (DwnWindow *self, const char *title, const GError *error);
/* Says what happened, above the plan; @button (nullable) calls @action, a detailed name. */
void dwn_window_notice (DwnWindow *self, const char *text, const char *button, const char *action);

G_END_DECLS
