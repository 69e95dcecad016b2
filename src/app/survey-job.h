/* Draws the profiles of a plan from the elevation tiles, off the main thread. */
#pragma once

#include "app/document.h"
#include "core/study/place.h"

G_BEGIN_DECLS

/* Surveys @plan from the tiles in @folder. @callback, on the main thread, gets the outcome from
 * dwn_survey_finish(); @source is kept until then. Returns: (transfer full): the task, to ask how
 * far it is. */
GTask *dwn_survey_begin (GObject *source, const DwnPlan *plan, const char *folder, GCancellable *cancellable,
                         GAsyncReadyCallback callback, gpointer user_data);
/* How far it is, 0 to 1. */
double dwn_survey_fraction (GTask *task);
/* Returns: (transfer full): the plan with its profiles; NULL with @error. @message (transfer full)
 * (nullable) says what the tiles did not know. */
DwnPlan *dwn_survey_finish (GAsyncResult *result, char **message, GError **error);

/* The same for spots within 50 m of the house: what the antenna would have there. */
void dwn_spots_begin (GObject *source, DwnDocument *document, const char *folder, GCancellable *cancellable,
                      GAsyncReadyCallback callback);
DwnSpots *dwn_spots_finish (GAsyncResult *result, GError **error); /* (transfer full) */

G_END_DECLS
