#include "app/disk-watch.h"

/* Programs write a file in several steps; the last one counts. */
#define SETTLE_MS 250

struct _DwnDiskWatch {
  DwnDocument *document;
  GFile *file;             /* NULL: the plan has none */
  GFileMonitor *monitor;   /* NULL: the system has none for that place */
  gulong handler;
  guint settle;
  DwnDiskState told;
  DwnDiskFunc changed;
  gpointer user_data;
};

void
dwn_disk_watch_look (DwnDiskWatch *self)
{
  DwnDiskState state = dwn_document_disk (self->document);

  g_clear_handle_id (&self->settle, g_source_remove);
  if (state == self->told)
    return;
  self->told = state;
  self->changed (state, self->user_data);
}

static gboolean
settled_cb (gpointer data)
{
  DwnDiskWatch *self = data;

  self->settle = 0;
  dwn_disk_watch_look (self);
  return G_SOURCE_REMOVE;
}

static void
event_cb (DwnDiskWatch *self)
{
  g_clear_handle_id (&self->settle, g_source_remove);
  self->settle = g_timeout_add (SETTLE_MS, settled_cb, self);
}

static void
stop (DwnDiskWatch *self)
{
  if (self->monitor != NULL)
    {
      g_signal_handlers_disconnect_by_data (self->monitor, self);
      g_file_monitor_cancel (self->monitor);
    }
  g_clear_object (&self->monitor);
  g_clear_object (&self->file);
  g_clear_handle_id (&self->settle, g_source_remove);
}

/* Another file, or none: nothing was told about it yet. */
static void
follow (DwnDiskWatch *self)
{
  GFile *file = dwn_document_file (self->document);

  stop (self);
  self->told = DWN_DISK_SAME;
  if (file == NULL)
    return;
  self->file = g_object_ref (file);
  self->monitor = g_file_monitor_file (file, G_FILE_MONITOR_WATCH_MOVES, NULL, NULL);
  if (self->monitor != NULL)
    g_signal_connect_swapped (self->monitor, "changed", G_CALLBACK (event_cb), self);
}

static void
document_changed_cb (DwnDiskWatch *self)
{
  GFile *file = dwn_document_file (self->document);
  gboolean same = file == NULL ? self->file == NULL : self->file != NULL && g_file_equal (file, self->file);

  if (!same)
    follow (self);
  else if (self->told != DWN_DISK_SAME)
    dwn_disk_watch_look (self); /* saved or read anew: the answer to what was told */
}

DwnDiskWatch *
dwn_disk_watch_new (DwnDocument *document, DwnDiskFunc changed, gpointer user_data)
{
  DwnDiskWatch *self = g_new0 (DwnDiskWatch, 1);

  self->document = g_object_ref (document);
  self->changed = changed;
  self->user_data = user_data;
  self->handler = g_signal_connect_swapped (document, "changed", G_CALLBACK (document_changed_cb), self);
  follow (self);
  return self;
}

void
dwn_disk_watch_free (DwnDiskWatch *self)
{
  g_signal_handler_disconnect (self->document, self->handler);
  stop (self);
  g_object_unref (self->document);
  g_free (self);
}
