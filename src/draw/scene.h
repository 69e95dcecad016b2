/* A laid-out drawing: what is painted, and where something can be met.
 *
 * A layout function turns data, a look, a text context and a size into a scene; from then on the
 * scene never changes. The same scene is painted on a screen, on paper, into a PDF, SVG or PNG.
 * The mouse and the accessible children both read its regions. */
#pragma once

#include <cairo.h>
#include <glib.h>

G_BEGIN_DECLS

/* Painted in this order. A program that keeps pictures of what stands still keeps one a layer. */
typedef enum {
  DWN_LAYER_STATIC,   /* changes with size and site */
  DWN_LAYER_MOVING,   /* follows a drag */
  DWN_LAYER_STATIONS, /* changes with results */
  DWN_LAYER_OVERLAY,  /* changes with pointer and selection */
} DwnLayer;
#define DWN_N_LAYERS 4
#define DWN_LAYER_ALL ((DwnLayer) DWN_N_LAYERS)

typedef struct {
  double x, y, width, height;
} DwnRect;

typedef enum {
  DWN_REGION_STATION,     /* a mark of one station, or of a mast that several share */
  DWN_REGION_FAN_STATION, /* one station of a mast that is fanned out */
  DWN_REGION_LABEL,       /* what is written beside a mark; id as of the mark */
  DWN_REGION_FIGURE,      /* other text that must stay legible: ring, letter, scale, aim */
  DWN_REGION_AIM,         /* the handle of an antenna; value is its bearing, degrees true */
  DWN_REGION_CARD,        /* the card of the selected station */
  DWN_REGION_PART,        /* a part of the gear chain */
  DWN_REGION_OUTLET,
  DWN_REGION_STEP,        /* a step of the staircase; value is its gain in dB */
  DWN_REGION_REMEDY,      /* value is its gain in dB */
  DWN_REGION_OBSTACLE,    /* a crest on the path; value is metres above the line */
  DWN_REGION_CABLE,       /* of the gear chain; id of the edge */
} DwnRegionKind;

/* @tab_order: place of the region when walking by keyboard, −1 where it is not walked to.
 * @round: the shape is the ellipse within @bounds, otherwise @bounds itself. */
typedef struct {
  DwnRegionKind kind;
  DwnLayer layer;
  guint id;
  DwnRect bounds;
  gboolean round;
  int tab_order;
  double value;
} DwnRegion;

/* Immutable, refcounted (atomically). */
typedef struct _DwnScene DwnScene;

DwnScene *dwn_scene_ref (const DwnScene *scene);
void dwn_scene_unref (DwnScene *scene);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnScene, dwn_scene_unref)

/* Size in units of the surface. */
double dwn_scene_width (const DwnScene *scene);
double dwn_scene_height (const DwnScene *scene);

/* Paints one layer, or all of them in order. The ground is not painted: what lies under a scene is
 * the caller's. Leaves @cr as it was, but for its current path. */
void dwn_scene_paint (const DwnScene *scene, DwnLayer layer, cairo_t *cr);

/* What @layer (or DWN_LAYER_ALL) can touch, lines and halos included; never smaller than the ink.
 * FALSE and an empty @extents (nullable) where it is empty. */
gboolean dwn_scene_extents (const DwnScene *scene, DwnLayer layer, DwnRect *extents);

/* Returns: (transfer none) (array length=n_regions): in order of layers, within one as laid out. */
const DwnRegion *dwn_scene_regions (const DwnScene *scene, guint *n_regions);

/* Returns: (nullable) (transfer none): the region that a pointer at @x, @y meets: of the highest
 * layer, and of several in one layer the one whose centre is nearest. */
const DwnRegion *dwn_scene_hit (const DwnScene *scene, double x, double y);

/* Returns: (nullable) (transfer none): the first region with that kind and id. */
const DwnRegion *dwn_scene_find (const DwnScene *scene, DwnRegionKind kind, guint id);

gboolean dwn_region_contains (const DwnRegion *region, double x, double y);
gboolean dwn_rect_overlaps (const DwnRect *a, const DwnRect *b);

/* Returns: (transfer full): the same drawing, regions included, with @border units of empty page
 * around it. All of it lies in DWN_LAYER_STATIC. */
DwnScene *dwn_scene_inset (const DwnScene *scene, double border);

/* Writes all layers on the scene's ground as one page. The end of @path (.pdf, .svg or .png)
 * chooses the format: one unit of the scene is one point in PDF and SVG, two pixels in PNG. The
 * file is complete and on the disk, or as it was before. Errors: G_IO_ERROR_NOT_SUPPORTED for
 * another ending, G_IO_ERROR_FAILED where cairo fails, G_FILE_ERROR. */
gboolean dwn_scene_write (const DwnScene *scene, const char *path, GError **error);

/* The same page as the bytes of a file; @path is only a name: ".png" will do.
 * Returns: (transfer full): NULL with @error. */
GBytes *dwn_scene_to_bytes (const DwnScene *scene, const char *path, GError **error);

G_END_DECLS
