#pragma once

#include <pango/pangocairo.h>

#include "draw/builder.h"
#include "draw/scene.h"

G_BEGIN_DECLS

typedef enum {
  DWN_ITEM_PATH,
  DWN_ITEM_TEXT,
  DWN_ITEM_MARK,
  DWN_ITEM_CLIP_BEGIN,
  DWN_ITEM_CLIP_END,
  DWN_ITEM_SCENE,
} DwnItemKind;

typedef struct {
  DwnItemKind kind;
  DwnInk ink;           /* path */
  cairo_path_t *path;   /* path, clip */
  PangoLayout *text;
  DwnColour colour;     /* text, mark */
  DwnColour halo;       /* text; the ground of a mark */
  double size;          /* width of a halo, radius of a mark, scale of a scene */
  double x, y;          /* baseline of the first line, centre of a mark, corner of a scene */
  DwnMark mark;
  DwnScene *scene;
} DwnItem;

struct _DwnScene {
  double width, height;
  DwnColour ground;
  GArray *items[DWN_N_LAYERS];   /* of DwnItem */
  DwnRect extents[DWN_N_LAYERS]; /* empty: width < 0 */
  GArray *regions;               /* of DwnRegion */
};

DwnScene *dwn_scene_alloc (double width, double height, DwnColour ground);

G_END_DECLS
