/* What can be wrong with a document of ours. */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

#define DWN_DOCUMENT_ERROR (dwn_document_error_quark ())
GQuark dwn_document_error_quark (void);
typedef enum {
  DWN_DOCUMENT_ERROR_SYNTAX,  /* not XML, not ours, or too large */
  DWN_DOCUMENT_ERROR_VERSION, /* written by a newer program */
  DWN_DOCUMENT_ERROR_MISSING, /* an attribute or element that must be there */
  DWN_DOCUMENT_ERROR_RANGE,   /* a value that cannot be */
  DWN_DOCUMENT_ERROR_REFERENCE, /* names something that is not there, or twice the same id */
} DwnDocumentError;

G_END_DECLS
