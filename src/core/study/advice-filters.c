/* Which channels each of two antennas brings where channel filters join them. */
#include "core/study/advice-private.h"

#include <stdlib.h>

/* Beyond the outermost wanted channels a filter lets everything through that television uses. */
#define LOWEST_MHZ 40.0
#define HIGHEST_MHZ 900.0

typedef struct {
  double low_mhz, high_mhz;
} Block;

static int
compare_blocks (const void *a, const void *b)
{
  const Block *x = a, *y = b;

  return (x->low_mhz > y->low_mhz) - (x->low_mhz < y->low_mhz);
}

/* The wanted channels, each once, rising. */
static GArray *
wanted_blocks (const DwnAdvisor *advisor)
{
  GArray *blocks = g_array_new (FALSE, FALSE, sizeof (Block));

  for (guint j = 0; j < advisor->goal.n_stations; j++)
    {
      const DwnStation *station = &advisor->plan->stations->station[advisor->goal.station[j]];
      DwnChannel channel;
      gboolean known = !dwn_channel_find (station->system, station->rf, &channel, NULL);
      Block block = { channel.low_mhz, channel.high_mhz };

      for (guint k = 0; !known && k < blocks->len; k++)
        known = g_array_index (blocks, Block, k).low_mhz == block.low_mhz;
      if (!known)
        g_array_append_val (blocks, block);
    }
  g_array_sort (blocks, compare_blocks);
  return blocks;
}

/* How much a filter's slope needs; NaN where the list of parts has no channel filters. */
static double
slope_mhz (const DwnAdvisor *advisor)
{
  guint n;
  const DwnPartType *const *type = dwn_part_list_types (advisor->plan->gear->list, &n);

  for (guint k = 0; k < n; k++)
    if (type[k]->kind == DWN_PART_COMBINER && type[k]->n_in == 2 && !isnan (type[k]->edge_mhz))
      return type[k]->edge_mhz;
  return (double) NAN;
}

/* Is there room for slopes below block @k? */
static gboolean
has_room (const GArray *blocks, guint k, double slope_mhz)
{
  return k == 0 || k == blocks->len
         || g_array_index (blocks, Block, k).low_mhz - g_array_index (blocks, Block, k - 1).high_mhz
            >= slope_mhz;
}

static const char *
range_text (double low_mhz, double high_mhz)
{
  char low[G_ASCII_DTOSTR_BUF_SIZE], high[G_ASCII_DTOSTR_BUF_SIZE];
  g_autofree char *text = g_strdup_printf ("%s-%s", g_ascii_formatd (low, sizeof low, "%.6g", low_mhz),
                                           g_ascii_formatd (high, sizeof high, "%.6g", high_mhz));

  return g_intern_string (text);
}

/* Blocks @first (not the lowest) up to before @end go to the second antenna. */
static DwnWire
wire_of (const GArray *blocks, guint first, guint end)
{
  DwnWire wire = { .arrangement = DWN_ARRANGEMENT_CHANNEL_FILTERS, .n = 2 };
  const char *below = range_text (LOWEST_MHZ, g_array_index (blocks, Block, first - 1).high_mhz);
  const char *above = end == blocks->len ? ""
    : range_text (g_array_index (blocks, Block, end).low_mhz, HIGHEST_MHZ);
  g_autofree char *rest = g_strconcat (below, *above != '\0' ? " " : "", above, NULL);
  double high_mhz = end == blocks->len ? HIGHEST_MHZ : g_array_index (blocks, Block, end - 1).high_mhz;

  wire.pass[0] = g_intern_string (rest);
  wire.pass[1] = range_text (g_array_index (blocks, Block, first).low_mhz, high_mhz);
  return wire;
}

GArray *
dwn_advisor_channel_wires (const DwnAdvisor *advisor)
{
  g_autoptr (GArray) blocks = wanted_blocks (advisor);
  GArray *wires = g_array_new (FALSE, FALSE, sizeof (DwnWire));
  double slope = slope_mhz (advisor);

  /* A run from the lowest on is the rest of one that reaches the top, the other way round. */
  for (guint first = 1; !isnan (slope) && first < blocks->len; first++)
    for (guint end = first + 1; end <= blocks->len; end++)
      {
        if (!has_room (blocks, first, slope) || !has_room (blocks, end, slope))
          continue;
        DwnWire wire = wire_of (blocks, first, end);
        g_array_append_val (wires, wire);
      }
  return wires;
}
