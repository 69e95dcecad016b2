/* The elements of a plan, each with its own file. */
#pragma once

#include "core/plan/plan.h"
#include "core/plan/station-xml.h"

G_BEGIN_DECLS

/* Each reader returns (transfer full), or NULL with @error. */
DwnSite *dwn_site_read_xml (const DwnXmlContext *context, xmlNode *node, const DwnPartList *list,
                            GError **error);
void dwn_site_write_xml (xmlTextWriter *writer, const DwnSite *site);
DwnMethod *dwn_method_read_xml (const DwnXmlContext *context, xmlNode *node, GError **error);
void dwn_method_write_xml (xmlTextWriter *writer, const DwnMethod *method);
DwnPaths *dwn_paths_read_xml (const DwnXmlContext *context, xmlNode *node, GError **error);
void dwn_paths_write_xml (xmlTextWriter *writer, const DwnPaths *paths);
DwnReadings *dwn_readings_read_xml (const DwnXmlContext *context, xmlNode *node, GError **error);
void dwn_readings_write_xml (xmlTextWriter *writer, const DwnReadings *readings);

/* <gear> while it is read: patterns and types are found when the whole document is known. */
typedef struct {
  GArray *parts;  /* DwnPart, pattern still NULL */
  GArray *aims;   /* double, one an antenna */
  GArray *edges;  /* DwnEdge */
  GArray *lines;  /* guint, of each part, for errors */
} DwnGearDraft;
void dwn_gear_draft_init (DwnGearDraft *draft);
void dwn_gear_draft_clear (DwnGearDraft *draft);
gboolean dwn_gear_draft_read_xml (DwnGearDraft *draft, const DwnXmlContext *context, xmlNode *node,
                                  GError **error);
typedef DwnPattern *(*DwnPatternFinder) (gpointer user_data, const char *id, GError **error);
DwnChain *dwn_gear_draft_finish (DwnGearDraft *draft, const DwnXmlContext *context,
                                 const DwnPartList *list, DwnPatternFinder find,
                                 gpointer user_data, DwnAims **aims, GError **error);
void dwn_gear_write_xml (xmlTextWriter *writer, const DwnChain *gear, const DwnAims *aims);

G_END_DECLS
