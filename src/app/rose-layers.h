/* Pictures of the rose that are kept: what stands still is painted once, what follows a drag is
 * small. Measured with 400 stations: everything anew takes 34 ms a frame, this 2. */
#pragma once

#include "app/scene-view.h"

G_BEGIN_DECLS

typedef struct _DwnRoseLayers DwnRoseLayers;

DwnRoseLayers *dwn_rose_layers_new (void);
void dwn_rose_layers_free (DwnRoseLayers *layers);

/* Lays all of @view out for @width × @height and paints what stands still, @scale pixels a unit. */
void dwn_rose_layers_lay_out (DwnRoseLayers *layers, const DwnPlanView *view, const DwnLook *look,
                              PangoContext *text, int width, int height, int scale);
/* Only aims have changed since: what marks, card and rim's figures say follows, names stay. */
void dwn_rose_layers_follow (DwnRoseLayers *layers, const DwnPlanView *view, const DwnLook *look,
                             PangoContext *text);
/* The same for the aims alone, which is what a frame has time for. */
void dwn_rose_layers_move (DwnRoseLayers *layers, const DwnPlanView *view, const DwnLook *look,
                           PangoContext *text);
void dwn_rose_layers_snapshot (DwnRoseLayers *layers, GtkSnapshot *snapshot);

/* What can be met, of everything but the aims: as laid out last. (nullable) */
const DwnScene *dwn_rose_layers_scene (DwnRoseLayers *layers);
/* The region at a point, aims where they are now. (nullable) */
const DwnRegion *dwn_rose_layers_hit (DwnRoseLayers *layers, double x, double y);
/* The handle of an antenna, where it is now. (nullable) */
const DwnRegion *dwn_rose_layers_handle (DwnRoseLayers *layers, guint antenna);

G_END_DECLS
