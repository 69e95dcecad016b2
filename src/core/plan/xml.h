/* Reading and writing our XML: a table describes an element's attributes once, for both ways. */
#pragma once

#include <gio/gio.h>
#include <libxml/tree.h>
#include <libxml/xmlwriter.h>

#include "core/plan/document-error.h"

G_BEGIN_DECLS

typedef enum {
  DWN_FIELD_STRING,   /* const char *, interned; absent: left as it is */
  DWN_FIELD_NUMBER,   /* double, finite; absent: left as it is; NaN is not written */
  DWN_FIELD_INTEGER,  /* int or guint */
  DWN_FIELD_BOOLEAN,  /* gboolean, "yes" or "no"; FALSE is not written */
  DWN_FIELD_CHOICE,   /* an enum, by the two functions */
} DwnFieldKind;

typedef struct {
  const char *name;     /* of the attribute */
  DwnFieldKind kind;
  gsize offset;         /* of the member in the struct */
  gboolean required;
  double min, max;      /* numbers and integers, both ends allowed */
  const char *(*id_of) (int value);            /* choices; NULL or "" is not written */
  gboolean (*value_of) (const char *id, int *value);
  const char *choices;  /* for the error text: "mast, wall, chimney" */
} DwnXmlField;

/* Where a reader is, for its errors. */
typedef struct {
  const char *file;      /* as the user knows it */
  GPtrArray *warnings;   /* (nullable) (element-type utf8): what was passed over */
} DwnXmlContext;

/* Parses @bytes. No network, no external entities; a document type declaration is refused, so no
 * entity can be defined at all. At most 256 MiB. @root: the element that must stand at the top.
 * Returns: (transfer full): NULL with @error "FILE:LINE: …". */
xmlDoc *dwn_xml_parse (GBytes *bytes, const char *file, const char *root, GError **error);

/* Sets an error that begins with the file and the line of @node. */
void dwn_xml_error (GError **error, DwnDocumentError code, const DwnXmlContext *context,
                    const xmlNode *node, const char *format, ...) G_GNUC_PRINTF (5, 6);
/* Adds a warning in the same form. */
void dwn_xml_warn (const DwnXmlContext *context, const xmlNode *node, const char *format, ...)
  G_GNUC_PRINTF (3, 4);

/* Reads the attributes of @node into @target. Attributes that the table does not know, other than
 * those in the NULL-terminated @also (nullable), are warned of. */
gboolean dwn_xml_read_fields (const DwnXmlContext *context, const xmlNode *node,
                              const DwnXmlField *fields, gsize n, const char *const *also,
                              gpointer target, GError **error);
void dwn_xml_write_fields (xmlTextWriter *writer, const DwnXmlField *fields, gsize n,
                           gconstpointer source);

/* (nullable) (transfer full). */
char *dwn_xml_attribute (const xmlNode *node, const char *name);
void dwn_xml_write_attribute (xmlTextWriter *writer, const char *name, const char *value);

/* Next element after @node (itself included); NULL at the end. */
xmlNode *dwn_xml_element (xmlNode *node);
gboolean dwn_xml_is (const xmlNode *node, const char *name);

/* A list of numbers in the text of @node, separated by white space.
 * Returns: (transfer full) (element-type double), NULL with @error. */
GArray *dwn_xml_read_numbers (const DwnXmlContext *context, const xmlNode *node, double min,
                              double max, GError **error);
/* With 17 digits, locale-free. */
void dwn_xml_append_number (GString *text, double value);
/* Strict: the whole text is one finite number with a point. */
gboolean dwn_xml_parse_number (const char *text, double *value);

/* Writes the root element of a document and all in it. */
typedef void (*DwnXmlWrite) (xmlTextWriter *writer, gconstpointer what);

/* The document that @write makes of @what, indented by two spaces, behind its declaration.
 * Returns: (transfer full): NULL where there is not memory enough, never a part of it. */
GBytes *dwn_xml_write (DwnXmlWrite write, gconstpointer what);

/* Puts @bytes to the disk in place of the file at @path, whole or not at all, and durably.
 * @bytes NULL: what dwn_xml_write() gave; sets G_FILE_ERROR_NOMEM. */
gboolean dwn_xml_save (GBytes *bytes, const char *path, GError **error);

G_END_DECLS
