/* What the files of the window share: its shell (window.c) and what it does with files
 * (window-files.c). */
#pragma once

#include "app/autosave.h"
#include "app/window.h"

G_BEGIN_DECLS

struct _DwnWindow {
  GtkApplicationWindow parent_instance;

  DwnDocument *document;
  DwnAutosave *autosave;
  GtkWidget *title, *subtitle, *undo, *redo, *sheet;
  GtkWidget *pages;            /* the start page, and the plan's once there is one */
  GtkWidget *rose, *panels, *sentence, *trial, *trial_text; /* NULL before there is a plan */
  GtkWidget *preview;          /* NULL: never opened */
  GtkWidget *notice, *notice_text, *notice_button; /* what happened, with a button at most */
  GtkFileChooserNative *chooser;
  guint follow;                /* until the sentence follows a drag */
  gboolean closing;            /* the question about unsaved changes is answered */
};

/* Installs what a menu asks of files: win.open, win.save, win.print, … */
void dwn_window_install_file_actions (GtkWidgetClass *klass);
/* Asks about unsaved changes. TRUE where the window must stay for now. */
gboolean dwn_window_ask_before_closing (DwnWindow *self);

G_END_DECLS
