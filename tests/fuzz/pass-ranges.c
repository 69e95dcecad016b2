/* Ranges of a channel filter, as a plan's file gives them. Not by way of a chain: that would keep
 * every string for good. */
#include <stdint.h>

#include "core/chain/chain-private.h"

int LLVMFuzzerTestOneInput (const uint8_t *data, size_t size);

static const char parts[] =
  "[part filter]\nkind=combiner\nname=F\nsource=t\ninputs=2\ngain=-1.5\nstop-db=-25\nedge-mhz=12\n";

int
LLVMFuzzerTestOneInput (const uint8_t *data, size_t size)
{
  g_autoptr (GBytes) bytes = g_bytes_new_static (parts, sizeof parts - 1);
  g_autoptr (DwnPartList) list = dwn_part_list_new_from_bytes (bytes, "parts.ini", NULL);
  g_autoptr (GString) pass = g_string_new_len ((const char *) data, (gssize) size);
  g_autoptr (GError) error = NULL;
  g_autofree DwnResponse *response = dwn_pass_parse (pass->str,
                                                     dwn_part_list_find (list, "filter"), &error);

  g_assert_true ((response == NULL) == (error != NULL));
  for (double mhz = 50; response != NULL && mhz < 900; mhz += 3)
    for (guint in = 0; in < 2; in++)
      {
        double db = dwn_response_db (&response[in], mhz);
        g_assert_true (db <= -1.5 + 1e-9 && db >= -25 - 1e-9);
      }
  return 0;
}
