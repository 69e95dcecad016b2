/* What the tests of the importers share: imports from texts and files, and zip files made on the
 * spot. */
#pragma once

#include <archive.h>
#include <archive_entry.h>
#include <math.h>
#include <string.h>

#include "core/geo/geodesic.h"
#include "core/plan/import-private.h"

/* The house of data/README.md's check values. */
static const DwnLatLon house G_GNUC_UNUSED = { 44.28, -71.69 };

static inline DwnInput
text_input (const char *name, const char *text)
{
  return (DwnInput) { name, g_bytes_new (text, strlen (text)) };
}

static inline void
clear_inputs (DwnInput *inputs, guint n)
{
  for (guint i = 0; i < n; i++)
    if (inputs[i].bytes != NULL)
      g_bytes_unref (inputs[i].bytes);
}

/* Imports one text that was given a name; everywhere, in October 2013. */
static inline DwnImport *
import_text (DwnImportFormat format, const char *text, gssize length, GError **error)
{
  const DwnImportOptions options = { .today = "2013-10-01" };
  DwnInput input = { "list.txt", g_bytes_new (text, length < 0 ? strlen (text) : (gsize) length) };
  DwnImport *import
    = dwn_import_inputs (format, 1, &input, NULL, &options, NULL, NULL, NULL, error);

  g_bytes_unref (input.bytes);
  return import;
}

static inline const DwnStation *
find_station (const DwnImport *import, const char *id)
{
  int at = dwn_stations_find (import->stations, id);

  if (at < 0)
    g_error ("no station %s", id);
  return &import->stations->station[at];
}

static inline const DwnImportSkip *
find_skip (const DwnImport *import, guint line)
{
  for (guint i = 0; i < import->n_skipped; i++)
    if (import->skipped[i].line == line)
      return &import->skipped[i];
  g_error ("line %u is not listed", line);
}

/* Of the first warning with that code; 0 where there is none. */
static inline guint
warning_count (const DwnImport *import, DwnImportWarningCode code)
{
  for (guint i = 0; i < import->n_warnings; i++)
    if (import->warnings[i].code == code)
      return import->warnings[i].count;
  return 0;
}

static inline void
assert_says (const char *text, const char *part)
{
  if (strstr (text, part) == NULL)
    g_error ("\"%s\" does not say \"%s\"", text, part);
}

/* Writes a zip file of @n members; a name that begins with ">" is a link to what follows. */
static inline GBytes *
make_zip (guint n, const char *const *names, const char *const *texts)
{
  gsize room = 64 * 1024, used = 0;
  for (guint i = 0; i < n; i++)
    room += 2 * strlen (texts[i]) + 1024;
  char *buffer = g_malloc (room);
  struct archive *archive = archive_write_new ();

  archive_write_set_format_zip (archive);
  archive_write_open_memory (archive, buffer, room, &used);
  for (guint i = 0; i < n; i++)
    {
      struct archive_entry *entry = archive_entry_new ();
      gboolean is_link = *names[i] == '>';

      archive_entry_set_pathname (entry, is_link ? "facility.dat" : names[i]);
      archive_entry_set_filetype (entry, is_link ? AE_IFLNK : AE_IFREG);
      archive_entry_set_perm (entry, 0644);
      archive_entry_set_size (entry, is_link ? 0 : (la_int64_t) strlen (texts[i]));
      if (is_link)
        archive_entry_set_symlink (entry, names[i] + 1);
      archive_write_header (archive, entry);
      if (!is_link)
        archive_write_data (archive, texts[i], strlen (texts[i]));
      archive_entry_free (entry);
    }
  archive_write_close (archive);
  archive_write_free (archive);
  return g_bytes_new_take (buffer, used);
}
