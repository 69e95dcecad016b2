/* Notices when another program changes or takes away the file of a document's plan. What counts is
 * what the file holds: our own saving, and a file that was written anew as it was, are no news. */
#pragma once

#include "app/document.h"

G_BEGIN_DECLS

typedef struct _DwnDiskWatch DwnDiskWatch;

/* @state is news only where it differs from what was told before. */
typedef void (*DwnDiskFunc) (DwnDiskState state, gpointer user_data);

/* Keeps a reference to @document, and follows it from file to file. */
DwnDiskWatch *dwn_disk_watch_new (DwnDocument *document, DwnDiskFunc changed, gpointer user_data);
void dwn_disk_watch_free (DwnDiskWatch *self);

/* Looks now, for file systems that do not tell: when the window is turned to again. */
void dwn_disk_watch_look (DwnDiskWatch *self);

G_END_DECLS
