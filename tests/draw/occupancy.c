/* The grid of taken cells: the same answers as looking at every cell. */
#include "draw/occupancy.h"

typedef struct {
  const char *name;
  DwnRect taken, asked;
  gboolean any;
  guint count;
} RectCase;

/* Cells of 2 in a page of 300 × 100: counted by hand. Rectangles touch the cells of both ends. */
static const RectCase rect_cases[] = {
  { "same", { 10, 10, 3, 3 }, { 10, 10, 3, 3 }, TRUE, 4 },
  { "apart", { 10, 10, 3, 3 }, { 20, 10, 3, 3 }, FALSE, 0 },
  { "neighbouring-cell", { 10, 10, 3, 3 }, { 14, 10, 3, 3 }, FALSE, 0 },
  { "same-cell", { 10, 10, 3, 3 }, { 13.5, 10, 0, 0 }, TRUE, 1 },
  { "across-words", { 100, 10, 100, 1 }, { 120, 10, 40, 1 }, TRUE, 21 },
  { "in-second-word", { 130, 10, 4, 0 }, { 0, 0, 299, 99 }, TRUE, 3 },
  { "last-column", { 299, 10, 0, 0 }, { 290, 0, 9, 50 }, TRUE, 1 },
  { "partly-off-page", { -20, -20, 25, 25 }, { 0, 0, 10, 10 }, TRUE, 9 },
  { "off-page", { 400, 10, 10, 10 }, { 0, 0, 299, 99 }, FALSE, 0 },
  { "ask-off-page", { 10, 10, 10, 10 }, { -50, -50, 10, 10 }, FALSE, 0 },
};

static void
test_rect (gconstpointer data)
{
  const RectCase *rect = data;
  g_autoptr (DwnOccupancy) grid = dwn_occupancy_new (300, 100, 2);

  dwn_occupancy_take (grid, &rect->taken);
  g_assert_cmpint (dwn_occupancy_any (grid, &rect->asked), ==, rect->any);
  g_assert_cmpuint (dwn_occupancy_count (grid, &rect->asked), ==, rect->count);
}

/* A line leaves no hole that a small rectangle across it could slip through. */
static void
test_line (void)
{
  g_autoptr (DwnOccupancy) grid = dwn_occupancy_new (300, 100, 2);

  dwn_occupancy_take_line (grid, 10, 5, 250, 95);
  for (guint i = 0; i <= 100; i++)
    {
      DwnRect probe = { 10 + 2.4 * i - 1, 5 + 0.9 * i - 1, 2, 2 };

      g_assert_true (dwn_occupancy_any (grid, &probe));
    }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  for (gsize i = 0; i < G_N_ELEMENTS (rect_cases); i++)
    {
      g_autofree char *path = g_strconcat ("/draw/occupancy/rect/", rect_cases[i].name, NULL);

      g_test_add_data_func (path, &rect_cases[i], test_rect);
    }
  g_test_add_func ("/draw/occupancy/line", test_line);
  return g_test_run ();
}
