/* What the tests of the window share: the example plan, and how to wait and look around. */
#pragma once

#include <gtk/gtk.h>

#include "app/document.h"
#include "app/window.h"

G_BEGIN_DECLS

/* The example, open in a document. Both (transfer full). */
void example_open (DwnTables **tables, DwnDocument **document);

/* Removes a folder and all that is in it. */
void example_remove (const char *folder);

/* Lets the main loop do what waits now. */
void example_settle (void);

/* Is this its accessible name? NULL: any is. */
gboolean example_is_called (GtkWidget *widget, const char *name);

/* The first widget of @type in or under @widget; with a @name (nullable) the first so called. */
GtkWidget *example_find (GtkWidget *widget, GType type, const char *name);

/* One window for all: the toolkit may ask a window for its pointer half a second after it is gone. */
GtkWidget *example_window (void);

/* Shows @panel in it, and takes it away again with what example_open() gave. */
void example_show (GtkWidget *panel);
void example_take_away (DwnTables *tables, DwnDocument *document);

/* Shows @window and waits for what follows its first frame. */
void example_present (DwnWindow *window);

/* One panel of the example: the fixture of tests that need no more of the window. */
typedef struct {
  DwnTables *tables;
  DwnDocument *document;
  GtkWidget *panel;
} ExamplePanel;
void example_panel_show (ExamplePanel *example, GtkWidget *(*make) (DwnDocument *document));
void example_panel_close (ExamplePanel *example, gconstpointer data);

/* The example in a window of the program: the fixture of many tests. */
typedef struct {
  DwnTables *tables;
  DwnDocument *document;
  DwnWindow *window;
} ExampleWindow;
void example_window_open (ExampleWindow *example, gconstpointer data);
void example_window_close (ExampleWindow *example, gconstpointer data);

G_END_DECLS
