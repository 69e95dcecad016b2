/* One file of elevation on disk, of whatever kind, and the windows in which it is decoded. */
#pragma once

#include "core/terrain/tile.h"

G_BEGIN_DECLS

typedef struct {
  char *path;
  char *name;           /* last part of path, for messages */
  DwnTileGrid grid;
  guint window_columns; /* steps, not samples, of a window: neighbours share an edge */
  guint window_rows;
  guint number;         /* within its folder */
  gboolean overlapped;  /* a finer file knows part of the same ground */
  int broken;           /* atomic: 1 once its heights turned out not to decode */
} DwnTileFile;

/* TRUE where the ending of @name promises elevation. */
gboolean dwn_tile_file_match (const char *name);

/* Reads the headers. Returns: (transfer full): NULL with @error set where the file is refused. */
DwnTileFile *dwn_tile_file_probe (const char *path, GError **error);
void dwn_tile_file_free (DwnTileFile *file);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnTileFile, dwn_tile_file_free)

/* The window that holds a position among the nodes: its number and its first column and row. */
guint64 dwn_tile_file_find_window (const DwnTileFile *file, double column, double row,
                                   guint *first_column, guint *first_row);

/* Decodes the window that begins at (@first_column, @first_row).
 * Returns: (transfer full): NULL with @error set where it does not decode. */
DwnTile *dwn_tile_file_read (const DwnTileFile *file, guint first_column, guint first_row,
                             GError **error);

G_END_DECLS
