/* Pages composed from the top down. */
#include "draw/paper.h"

#include <math.h>

#include "example.h"
#include "ink.h"

#define WIDTH 400.0
#define HEIGHT 300.0

typedef struct {
  PangoContext *text;
  DwnLook look;
  DwnPaper *paper;
} Page;

static Page
new_page (gboolean right_to_left)
{
  Page page = { .text = dwn_example_text (), .look = dwn_look_paper () };

  page.look.right_to_left = right_to_left;
  page.paper = dwn_paper_new (&page.look, page.text, WIDTH, HEIGHT);
  return page;
}

static DwnScene *
finish (Page *page)
{
  g_object_unref (page->text);
  return dwn_paper_finish (page->paper);
}

static const DwnPaperColumn columns[] = {
  { "Station" }, { "Transmitter", 0, TRUE }, { "RF", 1 }, { "Read", 0.5 },
};

static const DwnPaperCell cells[] = {
  { .text = "Larkfield", .bold = TRUE, .has_mark = TRUE, .mark = { DWN_BAND_UHF, 0.99, TRUE } },
  { .text = "Hollin Top, 64 km", .small = TRUE }, { .text = "21", .bold = TRUE }, { .n_boxes = 2 },
  { .text = "Quoin", .has_mark = TRUE, .mark = { DWN_BAND_HIGH_VHF, 0.96, TRUE } },
  { .text = "Skerrow, 33 km", .small = TRUE }, { .text = "11", .bold = TRUE }, { .n_boxes = 2 },
};

static const DwnPaperTable table = {
  .n_columns = G_N_ELEMENTS (columns), .n_rows = 2, .columns = columns, .cells = cells,
  .row_height = 17,
};

/* A page that uses everything, 34 points from the edge. */
static double
compose (Page *page)
{
  static const char *const checks[] = { "Drip loop before the entry", "All outlets read" };
  DwnPlace place = { DWN_PAPER_MARGIN, DWN_PAPER_MARGIN, WIDTH - 2 * DWN_PAPER_MARGIN };
  DwnTextStyle title = dwn_paper_style (page->paper, DWN_SIZE_TITLE, TRUE, FALSE);
  DwnTextStyle small = dwn_paper_style (page->paper, DWN_SIZE_SMALL, FALSE, TRUE);
  DwnTextStyle figure = dwn_paper_style (page->paper, DWN_SIZE_FIGURE, TRUE, FALSE);
  DwnPaperPiece pieces[] = { { "93°", figure, 0 }, { "true", small, 6 } };

  place.y = dwn_paper_pair (page->paper, place, "Ferncote, Upper Sallow", &title, "planned",
                            &small);
  place.y = dwn_paper_rule (page->paper, place, DWN_RULE_TITLE);
  place.y = dwn_paper_pieces (page->paper, place, pieces, G_N_ELEMENTS (pieces));
  place.y = dwn_paper_table (page->paper, place, &table);
  place.y = dwn_paper_checks (page->paper, place, checks, G_N_ELEMENTS (checks), 14);
  place.y = dwn_paper_blank (page->paper, place, "Installed by");
  dwn_paper_share (page->paper, place, 6, 0.62, 0.9);
  return place.y + 8;
}

static void
test_inside_margins (gconstpointer data)
{
  Page page = new_page (GPOINTER_TO_INT (data));
  double bottom = compose (&page);
  g_autoptr (DwnScene) scene = finish (&page);
  DwnRect ink = dwn_ink_of (scene, DWN_LAYER_ALL);

  g_assert_cmpfloat (ink.x, >=, DWN_PAPER_MARGIN - 2);
  g_assert_cmpfloat (ink.x + ink.width, <=, WIDTH - DWN_PAPER_MARGIN + 2);
  g_assert_cmpfloat (ink.y, >=, DWN_PAPER_MARGIN);
  g_assert_cmpfloat (ink.y + ink.height, <=, ceil (bottom)); /* ink comes in whole points */
  /* It reaches from margin to margin: the rules do. */
  g_assert_cmpfloat (ink.width, >, WIDTH - 2 * DWN_PAPER_MARGIN - 2);
}

/* A right-to-left page is the mirror image of its frame. */
static void
test_mirrored (void)
{
  Page plain = new_page (FALSE), mirrored = new_page (TRUE);
  DwnPlace place = { 50, 20, 100 };

  dwn_paper_rule (plain.paper, place, DWN_RULE_BLOCK);
  dwn_paper_rule (mirrored.paper, place, DWN_RULE_BLOCK);

  g_autoptr (DwnScene) left = finish (&plain), right = finish (&mirrored);
  DwnRect a, b;

  g_assert_true (dwn_scene_extents (left, DWN_LAYER_ALL, &a));
  g_assert_true (dwn_scene_extents (right, DWN_LAYER_ALL, &b));
  g_assert_cmpfloat_with_epsilon (a.x, WIDTH - b.x - b.width, 0.01);
}

static void
test_measure (void)
{
  Page page = new_page (FALSE);
  double measured, drawn;

  dwn_paper_measure_begin (page.paper);
  measured = compose (&page);
  dwn_paper_measure_end (page.paper);
  drawn = compose (&page);
  g_assert_cmpfloat_with_epsilon (measured, drawn, 1e-9);
  dwn_scene_unref (finish (&page));

  Page empty = new_page (FALSE);
  dwn_paper_measure_begin (empty.paper);
  compose (&empty);
  dwn_paper_measure_end (empty.paper);

  g_autoptr (DwnScene) nothing = finish (&empty);
  g_assert_false (dwn_scene_extents (nothing, DWN_LAYER_ALL, NULL));
}

/* A paragraph in half the width is half as tall again or more, and stays in its column. */
static void
test_paragraph (void)
{
  const char
      *words = "Cray Ridge stands 132 m above the straight line and takes 24 dB; the wood by the "
               "house takes 12 dB more, and an antenna aimed 38° aside gives away 8 dB.";
  Page page = new_page (FALSE);
  DwnTextStyle style = dwn_paper_style (page.paper, DWN_SIZE_BASE, FALSE, FALSE);
  DwnPlace wide = { 20, 10, 300 }, narrow = { 20, 100, 140 };
  double wide_height = dwn_paper_text (page.paper, wide, words, &style) - wide.y;
  double narrow_height = dwn_paper_text (page.paper, narrow, words, &style) - narrow.y;
  g_autoptr (DwnScene) scene = finish (&page);
  DwnRect ink = dwn_ink_of (scene, DWN_LAYER_ALL);

  g_assert_cmpfloat (narrow_height, >, wide_height * 1.5);
  g_assert_cmpfloat (ink.x + ink.width, <=, 322);
}

/* A table that is too wide breaks the lines of the column that may wrap, and grows. */
static void
test_narrow_table (void)
{
  Page page = new_page (FALSE);
  DwnPlace wide = { 10, 10, 380 }, narrow = { 10, 150, 210 };
  double wide_height = dwn_paper_table (page.paper, wide, &table) - wide.y;
  double narrow_height = dwn_paper_table (page.paper, narrow, &table) - narrow.y;
  g_autoptr (DwnScene) scene = finish (&page);

  g_assert_nonnull (scene);
  g_assert_cmpfloat (narrow_height, >, wide_height + 8);
}

/* Another drawing keeps its regions where it is seen. */
static void
test_drawing (void)
{
  Page page = new_page (FALSE);
  g_autoptr (DwnExample) house = dwn_example_house ();
  g_autoptr (DwnScene) rose = dwn_rose_layout (&house->data, &page.look, page.text, 280, 280, NULL);
  const DwnRegion *inner = dwn_scene_find (rose, DWN_REGION_AIM, 0);

  dwn_paper_scene (page.paper, rose, 100, 10);

  g_autoptr (DwnScene) scene = finish (&page);
  const DwnRegion *outer = dwn_scene_find (scene, DWN_REGION_AIM, 0);

  g_assert_nonnull (outer);
  g_assert_cmpfloat_with_epsilon (outer->bounds.x, inner->bounds.x + 100, 1e-9);
  g_assert_cmpfloat_with_epsilon (outer->bounds.y, inner->bounds.y + 10, 1e-9);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_data_func ("/draw/paper/inside-margins/left-to-right", GINT_TO_POINTER (FALSE),
                        test_inside_margins);
  g_test_add_data_func ("/draw/paper/inside-margins/right-to-left", GINT_TO_POINTER (TRUE),
                        test_inside_margins);
  g_test_add_func ("/draw/paper/mirrored", test_mirrored);
  g_test_add_func ("/draw/paper/measure", test_measure);
  g_test_add_func ("/draw/paper/paragraph", test_paragraph);
  g_test_add_func ("/draw/paper/narrow-table", test_narrow_table);
  g_test_add_func ("/draw/paper/drawing", test_drawing);
  return g_test_run ();
}
