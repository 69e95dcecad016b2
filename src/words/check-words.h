/* What a check found, in a sentence that says the cure. */
#pragma once

#include "core/study/check.h"
#include "words/sentences.h"

G_BEGIN_DECLS

/* Returns: (transfer full). */
char *dwn_word_check (const DwnWording *wording, const DwnPlan *plan, const DwnCheck *check);

/* Id of the part, station or service that it is about; "" for the whole plan. */
const char *dwn_check_where (const DwnPlan *plan, const DwnCheck *check);

/* What the user calls a part, or else what it is. */
const char *dwn_word_part_name (const DwnWording *wording, const DwnChain *gear, guint part);

G_END_DECLS
