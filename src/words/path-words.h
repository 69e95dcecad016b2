/* Which model a field comes from, why that one, how sure it is, and how far the others are; what
 * the house takes, term by term; winter and summer. */
#pragma once

#include "core/study/house.h"
#include "core/study/season.h"
#include "words/wording.h"

G_BEGIN_DECLS

/* "ITU-R P.1812", "the field-strength charts". */
const char *dwn_word_model (const DwnWording *wording, const DwnPathModel *model);

/* All return (transfer full); "" where there is nothing to say. */

/* "Predicted by ITU-R P.1812 over the profile of the ground, uncertain by 11.0 dB since something
 * stands in the way; by ITM it would be 6.2 dB less, by the field-strength charts 3.0 dB more." A
 * reading takes the place of both figures, and then that is said. */
char *dwn_word_prediction (const DwnWording *wording, const DwnPlan *plan, const DwnFields *fields,
                           guint station);

/* The second half of it alone: "by ITM it would be 6.2 dB less". */
char *dwn_word_spread (const DwnWording *wording, const DwnArrival *arrival);

/* Its own name, or what it is: "thermally efficient building", "trees, 60 m deep". */
char *dwn_word_house_term (const DwnWording *wording, const DwnTables *tables,
                           const DwnHouseLoss *term);

/* "wood to the south-east 12.0 ± 4.0 dB, roof 3.0 ± 2.0 dB": what stands towards the station, at
 * the top antenna. */
char *dwn_word_house (const DwnWording *wording, const DwnPlan *plan, const DwnFields *fields,
                      const DwnTables *tables, guint station);

/* "With leaves on the trees Vennor has 3.2 dB less margin and a chance of 74 % instead of 91 %.",
 * of the wanted service that loses most. "" where leaves take under half a dB of every one. */
char *dwn_word_seasons (const DwnWording *wording, const DwnPlan *plan, const DwnSeasons *seasons);

G_END_DECLS
