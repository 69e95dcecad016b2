#include "core/plan/xml.h"

#include <errno.h>
#include <glib/gi18n-lib.h>
#include <libxml/parser.h>
#include <math.h>
#include <string.h>

#define DOCUMENT_MAX_BYTES (256 * 1024 * 1024)
#define TAGS_MAX 1000000    /* opening and closing; 50,000 stations have a quarter of it */
#define ATTRIBUTES_MAX 1000 /* of one element: libxml2 compares each with each */

G_DEFINE_QUARK (dwn-document-error-quark, dwn_document_error)

/* What the parser complained of first. */
typedef struct {
  char *message;
  int line;
  gboolean has_type_declaration;
} Complaint;

static void
complain_cb (void *user_data, xmlError *xml_error)
{
  Complaint *complaint = user_data;

  if (complaint->message == NULL && xml_error->level >= XML_ERR_ERROR)
    {
      complaint->message = g_strchomp (g_strdup (xml_error->message != NULL ? xml_error->message : ""));
      complaint->line = xml_error->line;
    }
}

static void
type_declaration_cb (void *user_data, const xmlChar *name, const xmlChar *public_id,
                     const xmlChar *system_id)
{
  xmlParserCtxt *parser = user_data;
  Complaint *complaint = parser->_private;

  complaint->has_type_declaration = TRUE;
  complaint->line = xmlSAX2GetLineNumber (parser);
  xmlStopParser (parser);
}

static void
set_parse_error (GError **error, const char *file, const Complaint *complaint, gsize size)
{
  if (size == 0)
    g_set_error (error, DWN_DOCUMENT_ERROR, DWN_DOCUMENT_ERROR_SYNTAX,
                 _("%s:1: the file is empty; an XML document was expected"), file);
  else if (complaint->has_type_declaration)
    g_set_error (error, DWN_DOCUMENT_ERROR, DWN_DOCUMENT_ERROR_SYNTAX,
                 _("%s:%d: a document type declaration (<!DOCTYPE …>) is not accepted; remove it"),
                 file, complaint->line);
  else
    g_set_error (error, DWN_DOCUMENT_ERROR, DWN_DOCUMENT_ERROR_SYNTAX,
                 _("%s:%d: not well-formed XML: %s"), file, MAX (complaint->line, 1),
                 complaint->message != NULL ? complaint->message : _("the document ends early"));
}

static xmlDoc *
parse (GBytes *bytes, Complaint *complaint)
{
  gsize size;
  const char *text = g_bytes_get_data (bytes, &size);

  if (size == 0)
    return NULL;
  /* Set first, so that a parser for which there is no memory complains to us too. */
  xmlSetStructuredErrorFunc (complaint, complain_cb);
  xmlParserCtxt *parser = xmlNewParserCtxt ();
  if (parser == NULL)
    {
      xmlSetStructuredErrorFunc (NULL, NULL);
      return NULL;
    }
  parser->_private = complaint;
  parser->sax->internalSubset = type_declaration_cb;
  xmlDoc *doc = xmlCtxtReadMemory (parser, text, (int) size, NULL, NULL,
                                   XML_PARSE_NONET | XML_PARSE_BIG_LINES | XML_PARSE_NOCDATA
                                   | XML_PARSE_COMPACT);
  xmlSetStructuredErrorFunc (NULL, NULL);
  xmlFreeParserCtxt (parser);
  return doc;
}

/* A hostile document within the limit of its size can still grow fortyfold as a tree, or hold an
 * element whose attributes take hours to compare. Every < begins a tag, and every attribute of it
 * has an = before the next <. Returns the number of the line where it is too much, or 0. */
static guint
find_excess (const char *text, gsize size)
{
  guint line = 1, tags = 0, attributes = 0;

  for (gsize i = 0; i < size; i++)
    switch (text[i])
      {
      case '\n':
        line++;
        break;
      case '<':
        attributes = 0;
        if (++tags > TAGS_MAX)
          return line;
        break;
      case '=':
        if (++attributes > ATTRIBUTES_MAX)
          return line;
        break;
      default:
        break;
      }
  return 0;
}

static gboolean
check_size (GBytes *bytes, const char *file, GError **error)
{
  gsize size;
  const char *text = g_bytes_get_data (bytes, &size);
  guint line;

  if (size > DOCUMENT_MAX_BYTES)
    {
      g_set_error (error, DWN_DOCUMENT_ERROR, DWN_DOCUMENT_ERROR_SYNTAX,
                   _("%s: %u MiB; a document of ours has at most 256 MiB"), file,
                   (guint) (size >> 20));
      return FALSE;
    }
  line = find_excess (text, size);
  if (line == 0)
    return TRUE;
  g_set_error (error, DWN_DOCUMENT_ERROR, DWN_DOCUMENT_ERROR_SYNTAX,
               _("%s:%u: more than %d tags, or than %d attributes of one; a document of ours has "
                 "fewer"), file, line, TAGS_MAX, ATTRIBUTES_MAX);
  return FALSE;
}

xmlDoc *
dwn_xml_parse (GBytes *bytes, const char *file, const char *root, GError **error)
{
  Complaint complaint = { 0 };
  gsize size = g_bytes_get_size (bytes);

  if (!check_size (bytes, file, error))
    return NULL;

  xmlDoc *doc = parse (bytes, &complaint);
  if (doc == NULL || complaint.has_type_declaration)
    {
      set_parse_error (error, file, &complaint, size);
      xmlFreeDoc (doc);
      doc = NULL;
    }
  else if (!dwn_xml_is (xmlDocGetRootElement (doc), root))
    {
      xmlNode *top = xmlDocGetRootElement (doc);
      g_set_error (error, DWN_DOCUMENT_ERROR, DWN_DOCUMENT_ERROR_SYNTAX,
                   _("%s:%ld: the document begins with <%s>; <%s> was expected"), file,
                   xmlGetLineNo (top), (const char *) top->name, root);
      xmlFreeDoc (doc);
      doc = NULL;
    }
  g_free (complaint.message);
  return doc;
}

static char *
place_text (const DwnXmlContext *context, const xmlNode *node, const char *format, va_list args)
{
  g_autofree char *text = g_strdup_vprintf (format, args);

  return g_strdup_printf ("%s:%ld: %s", context->file, xmlGetLineNo ((xmlNode *) node), text);
}

void
dwn_xml_error (GError **error, DwnDocumentError code, const DwnXmlContext *context,
               const xmlNode *node, const char *format, ...)
{
  va_list args;

  va_start (args, format);
  g_autofree char *text = place_text (context, node, format, args);
  va_end (args);
  g_set_error_literal (error, DWN_DOCUMENT_ERROR, code, text);
}

void
dwn_xml_warn (const DwnXmlContext *context, const xmlNode *node, const char *format, ...)
{
  va_list args;

  if (context->warnings == NULL)
    return;
  va_start (args, format);
  g_ptr_array_add (context->warnings, place_text (context, node, format, args));
  va_end (args);
}

gboolean
dwn_xml_parse_number (const char *text, double *value)
{
  char *end;

  errno = 0;
  if (text[0] == '\0' || g_ascii_isspace (text[0]) || strpbrk (text, "xX") != NULL)
    return FALSE;
  *value = g_ascii_strtod (text, &end);
  return *end == '\0' && isfinite (*value);
}

static gboolean
in_range (const DwnXmlContext *context, const xmlNode *node, const DwnXmlField *field,
          const char *text, double *value, GError **error)
{
  if (!dwn_xml_parse_number (text, value))
    {
      dwn_xml_error (error, DWN_DOCUMENT_ERROR_RANGE, context, node,
                     _("%s=\"%.40s\" of <%s> is not a number; write one with a decimal point"),
                     field->name, text, (const char *) node->name);
      return FALSE;
    }
  if (*value < field->min || *value > field->max)
    {
      dwn_xml_error (error, DWN_DOCUMENT_ERROR_RANGE, context, node,
                     _("%s=\"%.40s\" of <%s> is outside %g to %g"), field->name, text,
                     (const char *) node->name, field->min, field->max);
      return FALSE;
    }
  return TRUE;
}

static gboolean
read_number (const DwnXmlContext *context, const xmlNode *node, const DwnXmlField *field,
             const char *text, gpointer member, GError **error)
{
  double value;

  if (!in_range (context, node, field, text, &value, error))
    return FALSE;
  if (field->kind == DWN_FIELD_NUMBER)
    *(double *) member = value;
  else if (floor (value) == value)
    *(int *) member = (int) value;
  else
    {
      dwn_xml_error (error, DWN_DOCUMENT_ERROR_RANGE, context, node,
                     _("%s=\"%.40s\" of <%s> is not a whole number"), field->name, text,
                     (const char *) node->name);
      return FALSE;
    }
  return TRUE;
}

static gboolean
read_boolean (const DwnXmlContext *context, const xmlNode *node, const DwnXmlField *field,
              const char *text, gboolean *member, GError **error)
{
  if (!g_str_equal (text, "yes") && !g_str_equal (text, "no"))
    {
      dwn_xml_error (error, DWN_DOCUMENT_ERROR_RANGE, context, node,
                     _("%s=\"%.40s\" of <%s>: write yes or no"), field->name, text,
                     (const char *) node->name);
      return FALSE;
    }
  *member = g_str_equal (text, "yes");
  return TRUE;
}

static gboolean
read_choice (const DwnXmlContext *context, const xmlNode *node, const DwnXmlField *field,
             const char *text, int *member, GError **error)
{
  if (field->value_of (text, member))
    return TRUE;
  dwn_xml_error (error, DWN_DOCUMENT_ERROR_RANGE, context, node,
                 _("%s=\"%.40s\" of <%s> is not known; one of %s was expected"), field->name, text,
                 (const char *) node->name, field->choices);
  return FALSE;
}

static gboolean
read_field (const DwnXmlContext *context, const xmlNode *node, const DwnXmlField *field,
            gpointer target, GError **error)
{
  g_autofree char *text = dwn_xml_attribute (node, field->name);
  gpointer member = (char *) target + field->offset;

  if (text == NULL && field->required)
    {
      dwn_xml_error (error, DWN_DOCUMENT_ERROR_MISSING, context, node,
                     _("<%s> has no attribute %s"), (const char *) node->name, field->name);
      return FALSE;
    }
  if (text == NULL)
    return TRUE;
  switch (field->kind)
    {
    case DWN_FIELD_STRING:
      *(const char **) member = g_intern_string (text);
      return TRUE;
    case DWN_FIELD_BOOLEAN:
      return read_boolean (context, node, field, text, member, error);
    case DWN_FIELD_CHOICE:
      return read_choice (context, node, field, text, member, error);
    case DWN_FIELD_NUMBER:
    case DWN_FIELD_INTEGER:
    default:
      return read_number (context, node, field, text, member, error);
    }
}

static gboolean
is_known (const char *name, const DwnXmlField *fields, gsize n, const char *const *also)
{
  for (gsize i = 0; i < n; i++)
    if (g_str_equal (name, fields[i].name))
      return TRUE;
  return also != NULL && g_strv_contains (also, name);
}

gboolean
dwn_xml_read_fields (const DwnXmlContext *context, const xmlNode *node, const DwnXmlField *fields,
                     gsize n, const char *const *also, gpointer target, GError **error)
{
  for (const xmlAttr *attribute = node->properties; attribute != NULL; attribute = attribute->next)
    if (!is_known ((const char *) attribute->name, fields, n, also))
      dwn_xml_warn (context, node, _("<%s> has an attribute %s that is not known; passed over"),
                    (const char *) node->name, (const char *) attribute->name);
  for (gsize i = 0; i < n; i++)
    if (!read_field (context, node, &fields[i], target, error))
      return FALSE;
  return TRUE;
}

static void
write_number (xmlTextWriter *writer, const char *name, double value)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE];

  if (!isnan (value))
    dwn_xml_write_attribute (writer, name, g_ascii_dtostr (text, sizeof text, value));
}

void
dwn_xml_write_fields (xmlTextWriter *writer, const DwnXmlField *fields, gsize n,
                      gconstpointer source)
{
  for (gsize i = 0; i < n; i++)
    {
      const char *name = fields[i].name;
      gconstpointer member = (const char *) source + fields[i].offset;

      switch (fields[i].kind)
        {
        case DWN_FIELD_STRING:
          dwn_xml_write_attribute (writer, name, *(const char *const *) member);
          break;
        case DWN_FIELD_NUMBER:
          write_number (writer, name, *(const double *) member);
          break;
        case DWN_FIELD_INTEGER:
          write_number (writer, name, *(const int *) member);
          break;
        case DWN_FIELD_BOOLEAN:
          dwn_xml_write_attribute (writer, name, *(const gboolean *) member ? "yes" : NULL);
          break;
        case DWN_FIELD_CHOICE:
        default:
          dwn_xml_write_attribute (writer, name, fields[i].id_of (*(const int *) member));
          break;
        }
    }
}

char *
dwn_xml_attribute (const xmlNode *node, const char *name)
{
  xmlChar *value = xmlGetNoNsProp ((xmlNode *) node, (const xmlChar *) name);
  char *copy = value != NULL ? g_strdup ((const char *) value) : NULL;

  xmlFree (value);
  return copy;
}

void
dwn_xml_write_attribute (xmlTextWriter *writer, const char *name, const char *value)
{
  if (value != NULL && value[0] != '\0')
    xmlTextWriterWriteAttribute (writer, (const xmlChar *) name, (const xmlChar *) value);
}

xmlNode *
dwn_xml_element (xmlNode *node)
{
  while (node != NULL && node->type != XML_ELEMENT_NODE)
    node = node->next;
  return node;
}

gboolean
dwn_xml_is (const xmlNode *node, const char *name)
{
  return node != NULL && g_str_equal ((const char *) node->name, name);
}

GArray *
dwn_xml_read_numbers (const DwnXmlContext *context, const xmlNode *node, double min, double max,
                      GError **error)
{
  xmlChar *content = xmlNodeGetContent (node);
  const char *at = (const char *) content;
  GArray *numbers = g_array_new (FALSE, FALSE, sizeof (double));

  while (at != NULL)
    {
      char *end;

      while (g_ascii_isspace (*at))
        at++;
      if (*at == '\0')
        break;
      /* strtod would take hexadecimal, too; "nan" and "inf" are in no range. */
      double value = g_ascii_strtod (at, &end);
      if (end == at || memchr (at, 'x', (gsize) (end - at)) != NULL
          || memchr (at, 'X', (gsize) (end - at)) != NULL || (*end != '\0' && !g_ascii_isspace (*end)) || !(value >= min && value <= max))
        {
          dwn_xml_error (error, DWN_DOCUMENT_ERROR_RANGE, context, node,
                         _("number %u in <%s> is not one from %g to %g"), numbers->len + 1,
                         (const char *) node->name, min, max);
          g_clear_pointer (&numbers, g_array_unref);
          break;
        }
      g_array_append_val (numbers, value);
      at = end;
    }
  xmlFree (content);
  return numbers;
}

void
dwn_xml_append_number (GString *text, double value)
{
  char digits[G_ASCII_DTOSTR_BUF_SIZE];

  g_string_append (text, g_ascii_dtostr (digits, sizeof digits, value));
}

/* Whatever of the writer finds no memory says so to one of the two handlers, which saves asking
 * each of its functions; some could not tell. */
static void
fail_cb (void *user_data, xmlError *xml_error)
{
  *(gboolean *) user_data = TRUE;
}

static void
fail_in_words_cb (void *user_data, const char *format, ...)
{
  *(gboolean *) user_data = TRUE;
}

static gboolean
write_document (xmlTextWriter *writer, DwnXmlWrite write, gconstpointer what)
{
  if (writer == NULL || xmlTextWriterSetIndent (writer, 1) < 0
      || xmlTextWriterSetIndentString (writer, (const xmlChar *) "  ") < 0
      || xmlTextWriterStartDocument (writer, "1.0", "UTF-8", NULL) < 0)
    return FALSE;
  write (writer, what);
  return xmlTextWriterEndDocument (writer) >= 0;
}

GBytes *
dwn_xml_write (DwnXmlWrite write, gconstpointer what)
{
  g_return_val_if_fail (write != NULL, NULL);

  gboolean failed = FALSE;
  GBytes *bytes = NULL;

  xmlSetStructuredErrorFunc (&failed, fail_cb);
  xmlSetGenericErrorFunc (&failed, fail_in_words_cb);
  xmlBuffer *buffer = xmlBufferCreate ();
  xmlTextWriter *writer = buffer != NULL ? xmlNewTextWriterMemory (buffer, 0) : NULL;
  gboolean good = write_document (writer, write, what);
  /* What the writer still holds goes to the buffer here. */
  if (writer != NULL)
    xmlFreeTextWriter (writer);
  xmlSetStructuredErrorFunc (NULL, NULL);
  xmlSetGenericErrorFunc (NULL, NULL);
  if (good && !failed)
    bytes = g_bytes_new (xmlBufferContent (buffer), (gsize) xmlBufferLength (buffer));
  if (buffer != NULL)
    xmlBufferFree (buffer);
  return bytes;
}

gboolean
dwn_xml_save (GBytes *bytes, const char *path, GError **error)
{
  gsize size;
  const char *text;

  if (bytes == NULL)
    {
      g_set_error (error, G_FILE_ERROR, G_FILE_ERROR_NOMEM, "%s: %s", path, g_strerror (ENOMEM));
      return FALSE;
    }
  text = g_bytes_get_data (bytes, &size);
  return g_file_set_contents_full (path, text, (gssize) size,
                                   G_FILE_SET_CONTENTS_CONSISTENT | G_FILE_SET_CONTENTS_DURABLE,
                                   0666, error);
}
