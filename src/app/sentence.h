/* The sentence under the rose. Its words change many times a second while somebody drags, so it asks for
 * another height only where they need more lines than it has. */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

#define DWN_TYPE_SENTENCE (dwn_sentence_get_type ())
G_DECLARE_FINAL_TYPE (DwnSentence, dwn_sentence, DWN, SENTENCE, GtkWidget)

/* It asks for three lines, and would like all that it needs, or @most_lines where that is not 0. Where it
 * gets fewer the tooltip has the whole. */
GtkWidget *dwn_sentence_new (guint most_lines);
void dwn_sentence_set_markup (DwnSentence *self, const char *markup);

G_END_DECLS
