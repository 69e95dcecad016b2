/* Lines of a text file of someone else's, one at a time, in bounded memory: from a file, from
 * memory, or from a member of a zip file without unpacking it. */
#pragma once

#include <gio/gio.h>

G_BEGIN_DECLS

#define DWN_LINE_MAX (1024 * 1024)                      /* bytes of one line */
#define DWN_MEMBER_MAX (G_GUINT64_CONSTANT (8) << 30) /* bytes that a zip member unpacks to */

#define DWN_LINES_ERROR (dwn_lines_error_quark ())
GQuark dwn_lines_error_quark (void);
typedef enum {
  DWN_LINES_ERROR_BINARY,   /* holds a zero byte, or is UTF-16 */
  DWN_LINES_ERROR_TOO_LONG, /* a line over DWN_LINE_MAX, or a member over DWN_MEMBER_MAX */
  DWN_LINES_ERROR_ARCHIVE,  /* not a zip file, damaged, encrypted, or no such member */
  DWN_LINES_ERROR_UNSAFE,   /* a zip file with links, or names that lead out of it */
} DwnLinesError;

/* Where text comes from. @bytes NULL: the file at @path. Otherwise @path is only a name. */
typedef struct {
  const char *path;
  GBytes *bytes;
} DwnInput;

/* Returns: (transfer full): the first bytes of the input, at most @most; NULL with @error. */
GBytes *dwn_input_peek (const DwnInput *input, gsize most, GError **error);

/* TRUE where @head, the first bytes of an input, are those of a zip file. */
gboolean dwn_input_is_zip (GBytes *head);

/* Returns: (transfer full): names of the regular files in a zip file; NULL with @error, also
 * where the file holds links or names with "..", a leading "/", a drive or a backslash. */
char **dwn_input_members (const DwnInput *input, GError **error);

typedef struct _DwnLines DwnLines;

/* Opens a text, or with @member (nullable) the member of a zip file with exactly that name.
 * Returns: (transfer full): NULL with @error. */
DwnLines *dwn_lines_open (const DwnInput *input, const char *member, GError **error);
void dwn_lines_free (DwnLines *lines);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnLines, dwn_lines_free)

/* The next line, without its end (LF, CR LF or the end of the file) and without a byte-order
 * mark. It is UTF-8: a line that is not is taken for Latin-1 and converted. @line belongs to
 * @lines, may be written to, and lives until the next call.
 * Returns: FALSE at the end, and with @error set where the text cannot be read. */
gboolean dwn_lines_next (DwnLines *lines, char **line, gsize *length, GError **error);

/* Number of the line last read, from 1. */
guint dwn_lines_number (const DwnLines *lines);

/* Base name of the file, with the member's after a colon; interned. What errors begin with. */
const char *dwn_lines_name (const DwnLines *lines);

/* Number of the first line that was not UTF-8; 0 where all were. */
guint dwn_lines_first_latin1 (const DwnLines *lines);

/* Bytes read from the input so far (packed ones of a zip file), for a progress bar. */
guint64 dwn_lines_consumed (const DwnLines *lines);

G_END_DECLS
