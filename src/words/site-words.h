/* What has to be said at the house: checks to tick, cautions. */
#pragma once

#include "core/terrain/terrain.h"
#include "words/sentences.h"

G_BEGIN_DECLS

/* All return (transfer full) (element-type utf8), free with g_ptr_array_unref(). */

/* What to tick off, by mount and gear. */
GPtrArray *dwn_word_checks (const DwnWording *wording, const DwnFindings *findings);

/* What can hurt at this mount; the local code and licensed practice decide. Pango markup. */
GPtrArray *dwn_word_cautions (const DwnWording *wording, const DwnPlan *plan);

/* What the elevation tiles did not know; NULL where they knew all. (transfer full) */
char *dwn_word_gaps (const DwnWording *wording, const DwnTerrainGaps *gaps);
/* "ITU-R P.1812" of "p1812"; the id itself where there is no such model. */
const char *dwn_word_path_model (const DwnWording *wording, const char *id);
/* "mast", "wall", "chimney", "attic", "indoors". */
const char *dwn_word_mount (const DwnWording *wording, DwnMount mount);

G_END_DECLS
