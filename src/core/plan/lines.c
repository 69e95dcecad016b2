#include "core/plan/lines.h"

#include <archive.h>
#include <archive_entry.h>
#include <errno.h>
#include <glib/gi18n-lib.h>
#include <string.h>

#define CHUNK_BYTES (64 * 1024)

/* One open input. Text is read from @stream, or unpacked by @archive, which reads @stream. */
struct _DwnLines {
  const char *name;
  GInputStream *stream;
  struct archive *archive;
  guint8 packed[CHUNK_BYTES]; /* what @archive was last given */
  guint64 consumed, unpacked;
  GByteArray *buffer;         /* [start, buffer->len) is not yet handed out */
  gsize start;
  gboolean at_end;
  char *converted;            /* the last line that was Latin-1 */
  guint number, first_latin1;
};

G_DEFINE_QUARK (dwn-lines-error-quark, dwn_lines_error)

static GInputStream *
open_stream (const DwnInput *input, GError **error)
{
  if (input->bytes != NULL)
    return g_memory_input_stream_new_from_bytes (input->bytes);

  g_autoptr (GFile) file = g_file_new_for_path (input->path);
  GFileInputStream *stream = g_file_read (file, NULL, error);

  /* GIO's messages do not always say which file. */
  if (stream == NULL)
    g_prefix_error (error, "%s: ", input->path);
  return (GInputStream *) stream;
}

GBytes *
dwn_input_peek (const DwnInput *input, gsize most, GError **error)
{
  g_return_val_if_fail (input != NULL && input->path != NULL, NULL);

  g_autoptr (GInputStream) stream = open_stream (input, error);
  g_autofree guint8 *head = g_malloc (most);
  gsize got;

  if (stream == NULL)
    return NULL;
  if (!g_input_stream_read_all (stream, head, most, &got, NULL, error))
    {
      g_prefix_error (error, "%s: ", input->path);
      return NULL;
    }
  return g_bytes_new_take (g_steal_pointer (&head), got);
}

gboolean
dwn_input_is_zip (GBytes *head)
{
  gsize size;
  const char *bytes = g_bytes_get_data (head, &size);

  /* "PK" and the mark of a member, or of an empty file's directory. */
  return size >= 4
         && (memcmp (bytes, "PK\003\004", 4) == 0 || memcmp (bytes, "PK\005\006", 4) == 0);
}

static la_ssize_t
read_packed_cb (struct archive *archive, void *data, const void **block)
{
  DwnLines *lines = data;
  g_autoptr (GError) error = NULL;
  gssize got
    = g_input_stream_read (lines->stream, lines->packed, sizeof lines->packed, NULL, &error);

  if (got < 0)
    {
      archive_set_error (archive, EIO, "%s", error->message);
      return ARCHIVE_FATAL;
    }
  lines->consumed += (guint64) got;
  *block = lines->packed;
  return got;
}

/* The directory at the end of a zip file says what its members are, links among them. */
static la_int64_t
seek_packed_cb (struct archive *archive, void *data, la_int64_t offset, int whence)
{
  DwnLines *lines = data;
  GSeekable *seekable = G_SEEKABLE (lines->stream);
  GSeekType type = whence == SEEK_SET ? G_SEEK_SET : whence == SEEK_CUR ? G_SEEK_CUR : G_SEEK_END;

  if (!g_seekable_seek (seekable, offset, type, NULL, NULL))
    return ARCHIVE_FATAL;
  return g_seekable_tell (seekable);
}

static gboolean
archive_failed (const DwnLines *lines, GError **error)
{
  const char *why = archive_error_string (lines->archive);

  g_set_error (error, DWN_LINES_ERROR, DWN_LINES_ERROR_ARCHIVE,
               _("%s: cannot be unpacked (%s); a whole zip file without a password would be right"),
               lines->name, why != NULL ? why : _("damaged"));
  return FALSE;
}

static gboolean
open_archive (DwnLines *lines, GError **error)
{
  lines->archive = archive_read_new ();
  archive_read_support_format_zip (lines->archive);
  archive_read_set_callback_data (lines->archive, lines);
  archive_read_set_read_callback (lines->archive, read_packed_cb);
  if (G_IS_SEEKABLE (lines->stream) && g_seekable_can_seek (G_SEEKABLE (lines->stream)))
    archive_read_set_seek_callback (lines->archive, seek_packed_cb);
  if (archive_read_open1 (lines->archive) != ARCHIVE_OK)
    return archive_failed (lines, error);
  return TRUE;
}

static gboolean
name_is_safe (const char *name)
{
  if (name == NULL || *name == '\0' || *name == '/' || strpbrk (name, "\\:") != NULL)
    return FALSE;

  g_auto (GStrv) parts = g_strsplit (name, "/", -1);
  return !g_strv_contains ((const char *const *) parts, "..");
}

/* Steps to the next regular file. Returns its name, or NULL at the end and with @error. */
static const char *
next_member (DwnLines *lines, GError **error)
{
  struct archive_entry *entry;
  int status;

  while ((status = archive_read_next_header (lines->archive, &entry)) == ARCHIVE_OK
         || status == ARCHIVE_WARN)
    {
      const char *name = archive_entry_pathname_utf8 (entry);

      if (name == NULL)
        name = archive_entry_pathname (entry);
      if (name_is_safe (name) && archive_entry_filetype (entry) == AE_IFDIR)
        continue;
      if (name_is_safe (name) && archive_entry_filetype (entry) == AE_IFREG
          && archive_entry_hardlink (entry) == NULL && archive_entry_symlink (entry) == NULL)
        return name;
      g_set_error (error, DWN_LINES_ERROR, DWN_LINES_ERROR_UNSAFE,
                   _("%s: the member \"%s\" is a link or leads out of the zip file; plain files "
                     "would be right"), lines->name, name != NULL ? name : "");
      return NULL;
    }
  if (status != ARCHIVE_EOF)
    archive_failed (lines, error);
  return NULL;
}

static DwnLines *
new_lines (const DwnInput *input, const char *member, GError **error)
{
  GInputStream *stream = open_stream (input, error);
  if (stream == NULL)
    return NULL;

  g_autofree char *base = g_path_get_basename (input->path);
  g_autofree char *name = member != NULL ? g_strconcat (base, ":", member, NULL) : g_strdup (base);
  DwnLines *lines = g_new0 (DwnLines, 1);

  lines->name = g_intern_string (name);
  lines->stream = stream;
  lines->buffer = g_byte_array_new ();
  return lines;
}

char **
dwn_input_members (const DwnInput *input, GError **error)
{
  g_return_val_if_fail (input != NULL && input->path != NULL, NULL);

  g_autoptr (DwnLines) lines = new_lines (input, NULL, error);
  g_autoptr (GStrvBuilder) names = g_strv_builder_new ();
  g_autoptr (GError) problem = NULL;
  const char *name;

  if (lines == NULL || !open_archive (lines, error))
    return NULL;
  while ((name = next_member (lines, &problem)) != NULL)
    g_strv_builder_add (names, name);
  if (problem != NULL)
    {
      g_propagate_error (error, g_steal_pointer (&problem));
      return NULL;
    }
  return g_strv_builder_end (names);
}

static gboolean
find_member (DwnLines *lines, const char *member, GError **error)
{
  g_autoptr (GError) problem = NULL;
  const char *name;

  while ((name = next_member (lines, &problem)) != NULL)
    if (strcmp (name, member) == 0)
      return TRUE;
  if (problem != NULL)
    g_propagate_error (error, g_steal_pointer (&problem));
  else
    g_set_error (error, DWN_LINES_ERROR, DWN_LINES_ERROR_ARCHIVE,
                 _("%s: there is no such member in the zip file"), lines->name);
  return FALSE;
}

DwnLines *
dwn_lines_open (const DwnInput *input, const char *member, GError **error)
{
  g_return_val_if_fail (input != NULL && input->path != NULL, NULL);

  g_autoptr (DwnLines) lines = new_lines (input, member, error);

  if (lines == NULL)
    return NULL;
  if (member != NULL && (!open_archive (lines, error) || !find_member (lines, member, error)))
    return NULL;
  return g_steal_pointer (&lines);
}

void
dwn_lines_free (DwnLines *lines)
{
  g_return_if_fail (lines != NULL);

  if (lines->archive != NULL)
    archive_read_free (lines->archive);
  g_object_unref (lines->stream);
  g_byte_array_unref (lines->buffer);
  g_free (lines->converted);
  g_free (lines);
}

static gssize
read_chunk (DwnLines *lines, guint8 *chunk, GError **error)
{
  gssize got;

  if (lines->archive == NULL)
    {
      got = g_input_stream_read (lines->stream, chunk, CHUNK_BYTES, NULL, error);
      if (got < 0)
        g_prefix_error (error, "%s: ", lines->name);
      lines->consumed += (guint64) MAX (got, 0);
      return got;
    }
  got = archive_read_data (lines->archive, chunk, CHUNK_BYTES);
  if (got < 0)
    {
      archive_failed (lines, error);
      return -1;
    }
  lines->unpacked += (guint64) got;
  if (lines->unpacked > DWN_MEMBER_MAX)
    {
      g_set_error (error, DWN_LINES_ERROR, DWN_LINES_ERROR_TOO_LONG,
                   _("%s: unpacks to more than 8 GiB; a licence table has less"), lines->name);
      return -1;
    }
  return got;
}

/* Drops what was handed out and reads on. */
static gboolean
fill (DwnLines *lines, GError **error)
{
  gsize kept = lines->buffer->len - lines->start;

  if (kept > 0 && lines->start > 0)
    memmove (lines->buffer->data, lines->buffer->data + lines->start, kept);
  lines->start = 0;
  g_byte_array_set_size (lines->buffer, (guint) (kept + CHUNK_BYTES));

  gssize got = read_chunk (lines, lines->buffer->data + kept, error);

  g_byte_array_set_size (lines->buffer, (guint) (kept + (gsize) MAX (got, 0)));
  lines->at_end = got == 0;
  return got >= 0;
}

/* Length of the next line including its LF; the rest where no more comes; 0 at the end. */
static gboolean
find_end (DwnLines *lines, gsize *length, GError **error)
{
  gsize searched = 0;

  for (;;)
    {
      gsize have = lines->buffer->len - lines->start;
      const guint8 *from = have > searched ? lines->buffer->data + lines->start : NULL;
      const guint8 *end = from != NULL ? memchr (from + searched, '\n', have - searched) : NULL;

      *length = end != NULL ? (gsize) (end - from) + 1 : have;
      if (*length > DWN_LINE_MAX)
        {
          g_set_error (error, DWN_LINES_ERROR, DWN_LINES_ERROR_TOO_LONG,
                       _("%s:%u: the line is longer than 1 MiB; records of a station list have a "
                         "few hundred characters"), lines->name, lines->number + 1);
          return FALSE;
        }
      if (end != NULL || lines->at_end)
        return TRUE;
      searched = have;
      if (!fill (lines, error))
        return FALSE;
    }
}

static gboolean
refuse_binary (const DwnLines *lines, const char *what, GError **error)
{
  g_set_error (error, DWN_LINES_ERROR, DWN_LINES_ERROR_BINARY,
               _("%s:%u: %s; a text file in UTF-8 would be right"), lines->name, lines->number,
               what);
  return FALSE;
}

/* Strips the byte-order mark and the line's end, and makes it a UTF-8 string. */
static gboolean
clean_line (DwnLines *lines, char **line, gsize *length, GError **error)
{
  if (lines->number == 1 && *length >= 3 && memcmp (*line, "\357\273\277", 3) == 0)
    {
      *line += 3;
      *length -= 3;
    }
  if (lines->number == 1 && *length >= 2
      && (memcmp (*line, "\377\376", 2) == 0 || memcmp (*line, "\376\377", 2) == 0))
    return refuse_binary (lines, _("the file is in UTF-16"), error);
  while (*length > 0 && ((*line)[*length - 1] == '\n' || (*line)[*length - 1] == '\r'))
    (*length)--;
  if (memchr (*line, '\0', *length) != NULL)
    return refuse_binary (lines, _("the file holds zero bytes, it is not text"), error);
  if (g_utf8_validate_len (*line, *length, NULL))
    return TRUE;

  g_free (lines->converted);
  lines->converted = g_convert (*line, (gssize) *length, "UTF-8", "ISO-8859-1", NULL, length,
                                error);
  *line = lines->converted;
  if (lines->first_latin1 == 0)
    lines->first_latin1 = lines->number;
  return lines->converted != NULL;
}

gboolean
dwn_lines_next (DwnLines *lines, char **line, gsize *length, GError **error)
{
  g_return_val_if_fail (lines != NULL && line != NULL && length != NULL, FALSE);

  if (!find_end (lines, length, error) || *length == 0)
    return FALSE;
  lines->number++;

  /* Room for the final zero of a last line that has no end. */
  gboolean has_end = lines->buffer->data[lines->start + *length - 1] == '\n';
  if (!has_end)
    g_byte_array_append (lines->buffer, (const guint8 *) "\n", 1);

  *line = (char *) lines->buffer->data + lines->start;
  lines->start += *length + (has_end ? 0 : 1);
  if (!clean_line (lines, line, length, error))
    return FALSE;
  (*line)[*length] = '\0';
  return TRUE;
}

guint
dwn_lines_number (const DwnLines *lines)
{
  return lines->number;
}

const char *
dwn_lines_name (const DwnLines *lines)
{
  return lines->name;
}

guint
dwn_lines_first_latin1 (const DwnLines *lines)
{
  return lines->first_latin1;
}

guint64
dwn_lines_consumed (const DwnLines *lines)
{
  return lines->consumed;
}
