/* A line above the plan that says what happened, with at most two ways to answer it. One at a time:
 * a new notice takes the place of the one before. */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

#define DWN_TYPE_NOTICE (dwn_notice_get_type ())
G_DECLARE_FINAL_TYPE (DwnNotice, dwn_notice, DWN, NOTICE, GtkBox)

#define DWN_NOTICE_BUTTONS 2

typedef struct {
  const char *caption; /* with a mnemonic */
  const char *action;  /* a detailed action name; the notice goes once it was called */
} DwnNoticeButton;

/* Returns: (transfer floating): takes no room until it says something. */
GtkWidget *dwn_notice_new (void);

/* @topic is what the notice is about, for dwn_notice_close(). @n_buttons of @buttons, two at most.
 * @closing (nullable): a detailed action for whoever only closes it. */
void dwn_notice_show (DwnNotice *self, const char *topic, const char *text, guint n_buttons,
                      const DwnNoticeButton *buttons, const char *closing);
/* Takes the notice away where it is about @topic (NULL: about anything). */
void dwn_notice_close (DwnNotice *self, const char *topic);
/* (nullable) (transfer none): what the notice is about; NULL: there is none. */
const char *dwn_notice_topic (DwnNotice *self);

G_END_DECLS
