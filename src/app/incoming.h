/* What a file is that somebody drops on the window, opens or names on the command line: known by
 * what it begins with, and by its name where that says nothing. */
#pragma once

#include <gio/gio.h>

G_BEGIN_DECLS

typedef enum {
  DWN_INCOMING_UNKNOWN,
  DWN_INCOMING_PLAN,
  DWN_INCOMING_STATIONS, /* a licence text, licence tables, a CSV, a station list */
  DWN_INCOMING_READINGS, /* a CSV of a meter */
  DWN_INCOMING_PATTERN,  /* of an antenna, in any form that dwn_antenna_load() reads */
  DWN_INCOMING_TILE,     /* elevation */
  DWN_INCOMING_TILES,    /* a folder of elevation tiles */
} DwnIncoming;

/* A file that is not there counts as a plan where its name says so, and as unknown otherwise. */
DwnIncoming dwn_incoming_of (const char *path);

/* Copies the elevation tiles at @paths (NULL-terminated) into @folder, which is made where it is
 * missing. A tile that is there already, byte for byte or under its own path, counts as copied;
 * another file of that name is left alone and is an error, as is one that is no tile. Takes long: not
 * for the main thread. Returns: how many are in place; fewer than given with @error of the first. */
guint dwn_incoming_copy_tiles (const char *const *paths, const char *folder, GCancellable *cancellable,
                               GError **error);

/* Where tiles go while no folder was chosen. Returns: (transfer full). */
char *dwn_incoming_tile_folder (void);

G_END_DECLS
