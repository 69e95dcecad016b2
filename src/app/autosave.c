#include "app/autosave.h"

#include <errno.h>
#include <glib/gstdio.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "core/plan/document.h"

#define DELAY_MS 2000
#define SUFFIX ".downlead"
#define ORIGIN ".origin"
#define PRIVATE_FILE 0600
#define PRIVATE_FOLDER 0700

struct _DwnAutosave {
  DwnDocument *document;
  char *path;
  guint delay;
  gulong handler;
  GThread *writer; /* NULL: none began */
};

typedef struct {
  DwnPlan *plan;
  DwnTables *tables;
  char *path, *origin;
} Copy;

static void
copy_free (gpointer data)
{
  Copy *copy = data;

  dwn_plan_unref (copy->plan);
  dwn_tables_unref (copy->tables);
  g_free (copy->path);
  g_free (copy->origin);
  g_free (copy);
}

static char *
folder_path (void)
{
  return g_build_filename (g_get_user_state_dir (), "downlead", "unsaved", NULL);
}

static char *
origin_path (const char *path)
{
  return g_strconcat (path, ORIGIN, NULL);
}

static gboolean
write_file (const char *path, const char *bytes, gsize size, GError **error)
{
  return g_file_set_contents_full (path, bytes, (gssize) size,
                                   G_FILE_SET_CONTENTS_CONSISTENT | G_FILE_SET_CONTENTS_DURABLE,
                                   PRIVATE_FILE, error);
}

/* The origin first: a copy without one would be recovered as a plan of no file. */
static gboolean
write_copy (const Copy *copy, GError **error)
{
  g_autoptr (GBytes) bytes = dwn_plan_write (copy->plan, copy->tables->catalogue);
  g_autofree char *folder = g_path_get_dirname (copy->path);
  g_autofree char *origin = origin_path (copy->path);
  gsize size;

  if (bytes == NULL)
    {
      g_set_error (error, G_FILE_ERROR, G_FILE_ERROR_NOMEM, "%s: %s", copy->path,
                   g_strerror (ENOMEM));
      return FALSE;
    }
  if (g_mkdir_with_parents (folder, PRIVATE_FOLDER) != 0)
    {
      g_set_error (error, G_FILE_ERROR, g_file_error_from_errno (errno), "%s: %s", folder,
                   g_strerror (errno));
      return FALSE;
    }
  if (copy->origin != NULL && !write_file (origin, copy->origin, strlen (copy->origin), error))
    return FALSE;

  const char *data = g_bytes_get_data (bytes, &size);
  return write_file (copy->path, data, size, error);
}

/* Waits for what is being written, so that nothing lands after it was taken away. */
static void
finish (DwnAutosave *self)
{
  g_clear_pointer (&self->writer, g_thread_join);
}

static Copy *
copy_new (DwnAutosave *self)
{
  Copy *copy = g_new0 (Copy, 1);
  GFile *file = dwn_document_file (self->document);

  copy->plan = dwn_plan_ref (dwn_document_plan (self->document));
  copy->tables = dwn_tables_ref (dwn_document_tables (self->document));
  copy->path = g_strdup (self->path);
  copy->origin = file != NULL ? g_file_get_uri (file) : NULL;
  return copy;
}

/* A copy that could not be written is said in the log: saving itself will say why. */
static gpointer
write_thread (gpointer data)
{
  g_autoptr (GError) error = NULL;

  if (!write_copy (data, &error))
    g_message ("%s", error->message);
  copy_free (data);
  return NULL;
}

static gboolean
write_cb (gpointer data)
{
  DwnAutosave *self = data;

  self->delay = 0;
  finish (self); /* the one before: long done, but for a drive that sleeps */
  self->writer = g_thread_new ("autosave", write_thread, copy_new (self));
  return G_SOURCE_REMOVE;
}

static void
begin (DwnAutosave *self)
{
  g_clear_handle_id (&self->delay, g_source_remove);
  self->delay = g_timeout_add (DELAY_MS, write_cb, self);
}

static void
changed_cb (DwnAutosave *self)
{
  if (dwn_document_is_modified (self->document))
    {
      begin (self);
      return;
    }
  g_clear_handle_id (&self->delay, g_source_remove);
  finish (self);
  dwn_autosave_discard (self->path);
}

DwnAutosave *
dwn_autosave_new (DwnDocument *document)
{
  DwnAutosave *self = g_new0 (DwnAutosave, 1);
  g_autofree char *folder = folder_path ();
  g_autofree char *unique = g_uuid_string_random ();
  g_autofree char *name = g_strdup_printf ("%d-%s" SUFFIX, (int) getpid (), unique);

  self->document = g_object_ref (document);
  self->path = g_build_filename (folder, name, NULL);
  self->handler = g_signal_connect_swapped (document, "changed", G_CALLBACK (changed_cb), self);
  return self;
}

void
dwn_autosave_adopt (DwnAutosave *self, const char *path)
{
  g_autofree char *from = origin_path (path), *to = origin_path (self->path);

  g_rename (from, to);
  g_rename (path, self->path);
}

gboolean
dwn_autosave_flush (DwnAutosave *self, GError **error)
{
  finish (self);
  g_clear_handle_id (&self->delay, g_source_remove);
  if (!dwn_document_is_modified (self->document))
    return TRUE;
  Copy *copy = copy_new (self);
  gboolean done = write_copy (copy, error);
  copy_free (copy);
  return done;
}

const char *
dwn_autosave_path (DwnAutosave *self)
{
  return self->path;
}

void
dwn_autosave_free (DwnAutosave *self)
{
  g_signal_handler_disconnect (self->document, self->handler);
  g_clear_handle_id (&self->delay, g_source_remove);
  finish (self);
  dwn_autosave_discard (self->path);
  g_clear_object (&self->document);
  g_free (self->path);
  g_free (self);
}

/* "1234-….downlead": is there still a process 1234? */
static gboolean
is_orphan (const char *name)
{
  char *end;
  long process = strtol (name, &end, 10);

  if (!g_str_has_suffix (name, SUFFIX) || end == name || *end != '-' || process <= 0)
    return FALSE;
  return process != (long) getpid () && kill ((pid_t) process, 0) != 0 && errno == ESRCH;
}

GPtrArray *
dwn_autosave_orphans (void)
{
  GPtrArray *paths = g_ptr_array_new_with_free_func (g_free);
  g_autofree char *folder = folder_path ();
  g_autoptr (GDir) dir = g_dir_open (folder, 0, NULL);
  const char *name;

  while (dir != NULL && (name = g_dir_read_name (dir)) != NULL)
    if (is_orphan (name))
      g_ptr_array_add (paths, g_build_filename (folder, name, NULL));
  return paths;
}

GFile *
dwn_autosave_origin (const char *path)
{
  g_autofree char *origin = origin_path (path);
  g_autofree char *uri = NULL;

  return g_file_get_contents (origin, &uri, NULL, NULL) ? g_file_new_for_uri (uri) : NULL;
}

void
dwn_autosave_discard (const char *path)
{
  g_autofree char *origin = origin_path (path);

  g_unlink (path);
  g_unlink (origin);
}
