/* The plan as a file: `.downlead`, XML. data/plan.rng documents the format; this reader is the
 * authority. Errors are DWN_DOCUMENT_ERROR, "FILE:LINE: what is wrong; what would be right". */
#pragma once

#include "core/antenna/catalogue.h"
#include "core/plan/document-error.h"
#include "core/plan/plan.h"

G_BEGIN_DECLS

/* The format that this program writes. Older ones migrate on reading; a newer minor is read with
 * warnings, a newer major refused. 0.9 had `azimuth-deg` for an antenna's aim. */
#define DWN_DOCUMENT_MAJOR 1
#define DWN_DOCUMENT_MINOR 0

/* @parts and @catalogue name what the plan's parts and antennas are; an antenna that the program
 * does not carry stands in the plan itself. @warnings (nullable) (element-type utf8).
 * Returns: (transfer full), or NULL with @error. */
DwnPlan *dwn_plan_load (const char *path, const DwnPartList *parts, DwnCatalogue *catalogue,
                        GPtrArray *warnings, GError **error);
DwnPlan *dwn_plan_read (GBytes *bytes, const char *file, const DwnPartList *parts,
                        DwnCatalogue *catalogue, GPtrArray *warnings, GError **error);

/* Returns: (transfer full): the document, the same bytes in every locale; NULL where there is not
 * memory enough for it. */
GBytes *dwn_plan_write (const DwnPlan *plan, DwnCatalogue *catalogue);

/* Atomic and durable: after a crash at any instant @path is the old or the new plan, whole. Where
 * there was one before, it is kept as PATH~. */
gboolean dwn_plan_save (const DwnPlan *plan, DwnCatalogue *catalogue, const char *path,
                        GError **error);

G_END_DECLS
