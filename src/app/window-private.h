/* What the files of the window share: its shell (window.c), what it does with files
 * (window-files.c), with the rose (window-rose.c), and what other programs do to its plan's file (window-disk.c). */
#pragma once

#include "app/autosave.h"
#include "app/disk-watch.h"
#include "app/notice.h"
#include "app/window.h"

G_BEGIN_DECLS

struct _DwnWindow {
  GtkApplicationWindow parent_instance;

  DwnDocument *document;
  DwnAutosave *autosave;
  DwnDiskWatch *disk;
  GtkWidget *title, *subtitle, *undo, *redo, *sheet;
  GtkWidget *pages;            /* the start page, and the plan's once there is one */
  GtkWidget *rose, *panels, *sentence, *trial, *trial_text; /* NULL before there is a plan */
  GtkWidget *guide;            /* the steps of a new plan; NULL before there is one */
  GtkWidget *preview;          /* NULL: never opened */
  GtkWidget *notice;           /* what happened, above the plan */
  GtkFileChooserNative *chooser;
  gboolean seen;               /* its first frame was painted */
  guint fill;                  /* until rose and panels follow */
  gboolean closing;            /* the question about unsaved changes is answered */
};

/* Installs what a menu asks of files: win.open, win.save, win.print, … */
void dwn_window_install_file_actions (GtkWidgetClass *klass);
/* What the menu's Save does. */
void dwn_window_save (DwnWindow *self);
void dwn_window_save_as (DwnWindow *self);
/* Writes a table as CSV: "stations" with what their budgets come to, or the list of "parts". */
gboolean dwn_window_write_table (DwnWindow *self, const char *id, const char *path, GError **error);
/* For the next window: its size and the panel that is shown. */
void dwn_window_remember_size (DwnWindow *self);
/* Asks about unsaved changes. TRUE where the window must stay for now. */
gboolean dwn_window_ask_before_closing (DwnWindow *self);

/* Installs win.reload and win.keep-mine. */
void dwn_window_install_disk_actions (GtkWidgetClass *klass);
/* Begins to follow what others do to the plan's file. */
void dwn_window_watch_disk (DwnWindow *self);
/* Asks before what another program wrote is replaced. TRUE where saving must wait for the answer. */
gboolean dwn_window_ask_before_replacing (DwnWindow *self);

/* Installs win.copy-rose. */
void dwn_window_install_rose_actions (GtkWidgetClass *klass);
/* Makes self->rose, with win.rose-skyline, …, and the menu in its corner. Returns: (transfer
 * floating): to be put into the window. */
GtkWidget *dwn_window_rose_new (DwnWindow *self);
void dwn_window_drop_rose (DwnWindow *self); /* at the window's end */
/* Returns: (transfer full). */
GMenuModel *dwn_window_rose_menu (void);

/* Takes what files are dropped on @widget, by a GtkDropTarget. */
void dwn_window_accept_drops (DwnWindow *self, GtkWidget *widget);

G_END_DECLS
