/* The allowed antennas towards every station, worked out once for all rungs. */
#include "core/antenna/stack.h"
#include "core/study/advice-private.h"

/* The price that the plan has for this antenna, otherwise its own. */
static double
price_of (const DwnPlan *plan, const DwnPattern *pattern)
{
  DwnStackId stack;
  gboolean two = dwn_stack_id_parse (pattern->id, &stack);
  const char *id = two ? stack.of : pattern->id;

  for (guint k = 0; k < plan->gear->n_parts; k++)
    {
      const DwnPart *part = &plan->gear->part[k];
      if (part->kind == DWN_PART_ANTENNA && g_str_equal (part->type, id)
          && !isnan (part->price))
        return two ? 2.0 * part->price : part->price;
    }
  return pattern->price;
}

static void
fill_part (DwnArmoury *armoury, const DwnPlan *plan, guint k, const DwnPattern *pattern)
{
  DwnPart *part = &armoury->part[k];

  dwn_part_init (part);
  part->type = g_intern_string (pattern->id);
  part->kind = DWN_PART_ANTENNA;
  part->pattern = dwn_pattern_ref (pattern);
  part->price = price_of (plan, pattern);
}

static double
ratio_of_db (double db)
{
  return exp (db * (G_LN10 / 10.0));
}

static void
fill_station (DwnArmoury *armoury, const DwnPlan *plan, const DwnFields *fields, guint k, guint i)
{
  const DwnPattern *pattern = armoury->part[k].pattern;
  const DwnArrival *arrival = &fields->arrival[i];
  double mhz = plan->stations->station[i].mhz;
  DwnOutlook outlook = dwn_outlook (pattern, arrival, mhz);
  gsize own = (gsize) k * armoury->n_stations + i;
  double most = 0.0;

  armoury->feed[own] = ratio_of_db (-dwn_pattern_mismatch_db (pattern, mhz));
  for (guint aim = 0; aim < armoury->n_aims; aim++)
    {
      gsize at = dwn_armoury_at (armoury, k * armoury->n_aims + aim) + i;
      DwnPointing pointing = dwn_pointing (pattern, &outlook, mhz,
                                           arrival->bearing_deg - dwn_armoury_aim_deg (armoury, aim));

      armoury->gain[at] = ratio_of_db (pointing.gain_dbi);
      armoury->sd_db[at] = pointing.pattern_sd_db;
      armoury->line[at] = (float) (armoury->gain[at] * armoury->feed[own]);
      most = fmax (most, (double) armoury->line[at]);
    }
  armoury->most_line[own] = most;
  armoury->most_line_of_all[i] = MAX (armoury->most_line_of_all[i], most);
}

/* The most and the least that any aim of a block lets through. */
static void
fill_blocks (DwnArmoury *armoury, guint k, guint i)
{
  for (guint aim = 0; aim < armoury->n_aims; aim++)
    {
      float line = armoury->line[dwn_armoury_at (armoury, k * armoury->n_aims + aim) + i];
      gsize at = dwn_armoury_block (armoury, k * armoury->n_blocks + aim / DWN_BLOCK_AIMS) + i;
      gboolean first = aim % DWN_BLOCK_AIMS == 0;

      armoury->block_most[at] = first ? line : MAX (line, armoury->block_most[at]);
      armoury->block_least[at] = first ? line : MIN (line, armoury->block_least[at]);
    }
}

/* How station @i comes in while a rotator looks at each of the stations. */
static void
fill_looks (DwnArmoury *armoury, const DwnPlan *plan, const DwnFields *fields, guint k, guint i)
{
  const DwnPattern *pattern = armoury->part[k].pattern;
  const DwnArrival *arrival = fields->arrival;
  double mhz = plan->stations->station[i].mhz;
  DwnOutlook outlook = dwn_outlook (pattern, &arrival[i], mhz);

  for (guint at = 0; at < armoury->n_stations; at++)
    {
      gsize own = dwn_armoury_look (armoury, k, at) + i;
      DwnPointing pointing = dwn_pointing (pattern, &outlook, mhz,
                                           arrival[i].bearing_deg - arrival[at].bearing_deg);

      armoury->look_gain[own] = ratio_of_db (pointing.gain_dbi);
      armoury->look_sd_db[own] = pointing.pattern_sd_db;
    }
}

static void
allocate (DwnArmoury *armoury)
{
  gsize stations = (gsize) armoury->n * armoury->n_stations, size = stations * armoury->n_aims;
  gsize blocks = stations * armoury->n_blocks;

  armoury->part = g_new0 (DwnPart, armoury->n);
  armoury->band = g_new (DwnBandGain, armoury->n);
  armoury->gain = g_new (double, size + 1);
  armoury->sd_db = g_new (double, size + 1);
  armoury->line = g_new (float, size + 1);
  armoury->block_most = g_new (float, 2 * blocks + 1);
  armoury->block_least = armoury->block_most + blocks;
  armoury->feed = g_new (double, 2 * stations + 1);
  armoury->most_line = armoury->feed + stations;
  armoury->most_line_of_all = g_new0 (double, armoury->n_stations + 1);
  armoury->look_gain = g_new (double, 2 * stations * armoury->n_stations + 1);
  armoury->look_sd_db = armoury->look_gain + stations * armoury->n_stations;
}

gboolean
dwn_armoury_init (DwnArmoury *armoury, const DwnPlan *plan, const DwnFields *fields, guint step_deg,
                  guint n, const DwnPattern *const *pattern, GCancellable *cancellable,
                  GError **error)
{
  *armoury = (DwnArmoury) { .n = n, .n_stations = plan->stations->n, .step_deg = step_deg,
                            .n_aims = 360 / step_deg };
  armoury->n_blocks = (armoury->n_aims + DWN_BLOCK_AIMS - 1) / DWN_BLOCK_AIMS;
  allocate (armoury);
  for (guint k = 0; k < n; k++)
    {
      fill_part (armoury, plan, k, pattern[k]);
      armoury->band[k] = dwn_chain_band_gain (pattern[k]);
    }
  for (guint k = 0; k < n; k++)
    {
      if (g_cancellable_set_error_if_cancelled (cancellable, error))
        return FALSE;
      for (guint i = 0; i < armoury->n_stations; i++)
        {
          fill_station (armoury, plan, fields, k, i);
          fill_blocks (armoury, k, i);
          fill_looks (armoury, plan, fields, k, i);
        }
    }
  return TRUE;
}

void
dwn_armoury_clear (DwnArmoury *armoury)
{
  for (guint k = 0; armoury->part != NULL && k < armoury->n; k++)
    dwn_pattern_unref ((DwnPattern *) armoury->part[k].pattern);
  g_free (armoury->part);
  g_free (armoury->band);
  g_free (armoury->gain);
  g_free (armoury->sd_db);
  g_free (armoury->line);
  g_free (armoury->block_most);
  g_free (armoury->feed);
  g_free (armoury->most_line_of_all);
  g_free (armoury->look_gain);
}
