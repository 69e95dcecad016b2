/* The parts list as people and spreadsheets read it: quoting by RFC 4180, numbers as in C. */
#include "words/parts-words.h"

#include <math.h>

static const DwnPartsLine lines[] = {
  { DWN_PARTS_PART, "pad-3", "Pad, \"3 dB\"", 2, (double) NAN, (double) NAN, 4.5, 9.0 },
  { DWN_PARTS_CABLE, "series-6", "Series 6 coax", 3, 42.0, 47.0, (double) NAN, (double) NAN },
  { DWN_PARTS_CONNECTOR, "series-6", "Series 6 coax", 6, (double) NAN, (double) NAN, 0.5, 3.0 },
  { DWN_PARTS_TERMINATOR, "", "", 1, (double) NAN, (double) NAN, (double) NAN, (double) NAN },
};

static void
test_csv (void)
{
  const DwnPartsList list = { G_N_ELEMENTS (lines), lines, 12.0, 2 };
  g_autofree char *csv = dwn_parts_csv (&dwn_wording_script, &list);

  g_assert_cmpstr (csv, ==,
                   "item,type,kind,count,laid_m,bought_m,price_each,price\r\n"
                   "\"Pad, \"\"3 dB\"\"\",pad-3,part,2,,,4.5,9\r\n"
                   "Series 6 coax,series-6,cable,3,42,47,,\r\n"
                   "Connector for Series 6 coax,series-6,connector,6,,,0.5,3\r\n"
                   "75 Ω cap,,terminator,1,,,,\r\n"
                   "Total,,total,,,,,12\r\n");
}

static void
test_lines (void)
{
  const DwnPartsList list = { G_N_ELEMENTS (lines), lines, 12.0, 2 };
  g_autoptr (GPtrArray) text = dwn_word_parts (&dwn_wording_script, &list, "$");

  g_assert_cmpuint (text->len, ==, 4);
  g_assert_cmpstr (text->pdata[0], ==, "2 Pad, \"3 dB\"");
  g_assert_cmpstr (text->pdata[1], ==, "1 75 Ω cap");
  g_assert_true (g_str_has_prefix (text->pdata[2], "47"));
  g_assert_true (g_str_has_suffix (text->pdata[2], "Series 6 coax, 6 connectors"));
  g_assert_cmpstr (text->pdata[3], ==, "Total of what has a price: 12.00 $");
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/words/parts/csv", test_csv);
  g_test_add_func ("/words/parts/lines", test_lines);
  return g_test_run ();
}
