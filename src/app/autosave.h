/* A copy of every plan with unsaved changes, so that a crash costs two seconds of work. */
#pragma once

#include "app/document.h"

G_BEGIN_DECLS

/* Copies lie in the user's state folder, one file a document, named after the process that keeps
 * it; beside each, under the same name with ".origin", the address of the file that it belongs in.
 * A copy is complete and on the disk, or as it was before. */

typedef struct _DwnAutosave DwnAutosave;

/* Watches @document (kept): a copy two seconds after a change, none where everything is saved. */
DwnAutosave *dwn_autosave_new (DwnDocument *document);
/* Takes over a copy that a dead process left, with its origin. */
void dwn_autosave_adopt (DwnAutosave *self, const char *path);
/* Writes now what waits to be written; for tests, and before the machine goes down. */
gboolean dwn_autosave_flush (DwnAutosave *self, GError **error);
const char *dwn_autosave_path (DwnAutosave *self);
/* Stops watching and takes the copy away: the plan is saved, or was given up. */
void dwn_autosave_free (DwnAutosave *self);

/* Paths of copies whose process is gone. Returns: (transfer full) (element-type utf8). */
GPtrArray *dwn_autosave_orphans (void);
/* The file that the plan in @path belongs in. Returns: (transfer full) (nullable). */
GFile *dwn_autosave_origin (const char *path);
void dwn_autosave_discard (const char *path);

G_END_DECLS
