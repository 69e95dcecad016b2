#include "core/radio/channel.h"

#include <string.h>

#include <glib/gi18n-lib.h>

/* A run of channels that follow one another in number and in frequency. */
typedef struct {
  const char *prefix, *suffix;
  int first, last;
  double low_mhz; /* lower edge of the first */
} Run;

typedef struct {
  const char *id;
  double width_mhz;
  double offset_mhz; /* of the centre from the middle of the channel */
  const Run *runs;
  gsize n_runs;
  const char *range; /* for error texts */
} Plan;

typedef struct {
  gsize n;
  DwnChannel *channel;
} Table;

/* 47 CFR 73.603 (a). 37 is kept for radio astronomy and 38 to 69 have been given up to mobile
 * services; older lists still carry them. */
static const Run us_runs[] = {
  { "", "", 2, 4, 54 },
  { "", "", 5, 6, 76 },
  { "", "", 7, 13, 174 },
  { "", "", 14, 69, 470 },
};

/* Two countries' numbers for the same blocks of Band III meet in the 7 MHz systems. A bare number
 * is the European one (ITU Region 1 plan, E5 = 174 to 181 MHz; "E5" is understood too). Of the
 * Australian numbers, 10 to 12 name the same blocks, 9A names a block of its own, and 6 to 9,
 * which lie one block lower, are written with AU in front. UHF 28 to 51 is Australian only: the
 * European plan has no 7 MHz channels there. */
static const Run dvb_7_mhz_runs[] = {
  { "", "", 5, 12, 174 },
  { "AU", "", 6, 9, 174 },
  { "", "A", 9, 9, 202 },
  { "", "", 28, 51, 526 },
};

/* Centre 306 + 8n MHz; 49 to 60 have gone to mobile services and stand in older lists. */
static const Run dvb_8_mhz_runs[] = { { "", "", 21, 60, 470 } };

/* ARIB STD-B31: 13 is 470 to 476 MHz, the carrier lies 1/7 MHz above the middle. */
static const Run japan_runs[] = { { "", "", 13, 62, 470 } };

/* ABNT NBR 15601: numbers as in the US from 7 on, the carrier as in Japan. */
static const Run brazil_runs[] = {
  { "", "", 7, 13, 174 },
  { "", "", 14, 69, 470 },
};

#define RANGE_US N_ ("2 to 69")
#define RANGE_7_MHZ N_ ("5 to 12, 9A, 28 to 51, and AU6 to AU9 for the Australian numbers 6 to 9")

static const Plan plans[DWN_N_SYSTEMS] = {
  [DWN_SYSTEM_ATSC1] = { "atsc1", 6, 0, us_runs, G_N_ELEMENTS (us_runs), RANGE_US },
  [DWN_SYSTEM_ATSC3] = { "atsc3", 6, 0, us_runs, G_N_ELEMENTS (us_runs), RANGE_US },
  [DWN_SYSTEM_DVBT7] = { "dvbt7", 7, 0, dvb_7_mhz_runs, G_N_ELEMENTS (dvb_7_mhz_runs),
                         RANGE_7_MHZ },
  [DWN_SYSTEM_DVBT8] = { "dvbt8", 8, 0, dvb_8_mhz_runs, 1, N_ ("21 to 60") },
  [DWN_SYSTEM_DVBT2_7] = { "dvbt2-7", 7, 0, dvb_7_mhz_runs, G_N_ELEMENTS (dvb_7_mhz_runs),
                           RANGE_7_MHZ },
  [DWN_SYSTEM_DVBT2_8] = { "dvbt2-8", 8, 0, dvb_8_mhz_runs, 1, N_ ("21 to 60") },
  [DWN_SYSTEM_ISDBT_JP] = { "isdbt-jp", 6, 1.0 / 7, japan_runs, 1, N_ ("13 to 62") },
  [DWN_SYSTEM_ISDBT_BR] = { "isdbt-br", 6, 1.0 / 7, brazil_runs, G_N_ELEMENTS (brazil_runs),
                            N_ ("7 to 69") },
};

static const char *const band_ids[DWN_N_BANDS] = {
  [DWN_BAND_LOW_VHF] = "low-vhf",
  [DWN_BAND_HIGH_VHF] = "high-vhf",
  [DWN_BAND_UHF] = "uhf",
};

G_DEFINE_QUARK (dwn-channel-error-quark, dwn_channel_error)

static DwnChannel
channel_of_run (const Plan *plan, const Run *run, int number)
{
  DwnChannel channel = { .low_mhz = run->low_mhz + plan->width_mhz * (number - run->first) };

  g_snprintf (channel.rf, sizeof channel.rf, "%s%d%s", run->prefix, number, run->suffix);
  channel.high_mhz = channel.low_mhz + plan->width_mhz;
  channel.centre_mhz = channel.low_mhz + plan->width_mhz / 2 + plan->offset_mhz;
  channel.band = dwn_band_of_mhz (channel.centre_mhz);
  return channel;
}

static int
compare_frequency (gconstpointer a, gconstpointer b, gpointer user_data)
{
  const DwnChannel *x = a, *y = b;

  return (x->centre_mhz > y->centre_mhz) - (x->centre_mhz < y->centre_mhz);
}

static Table
table_of_plan (const Plan *plan)
{
  Table table = { 0, NULL };

  for (gsize i = 0; i < plan->n_runs; i++)
    table.n += (gsize) (plan->runs[i].last - plan->runs[i].first + 1);
  table.channel = g_new (DwnChannel, table.n);

  gsize k = 0;
  for (gsize i = 0; i < plan->n_runs; i++)
    for (int number = plan->runs[i].first; number <= plan->runs[i].last; number++)
      table.channel[k++] = channel_of_run (plan, &plan->runs[i], number);

  /* Stable, so that of two numbers for one block the bare one comes first and is the answer to
   * what lies at a frequency. */
  g_qsort_with_data (table.channel, (int) table.n, sizeof *table.channel, compare_frequency, NULL);
  return table;
}

static gpointer
build_tables (gpointer data)
{
  Table *tables = g_new (Table, DWN_N_SYSTEMS);

  for (gsize i = 0; i < DWN_N_SYSTEMS; i++)
    tables[i] = table_of_plan (&plans[i]);
  return tables;
}

static const Table *
table_of_system (DwnSystem system)
{
  static GOnce once = G_ONCE_INIT;
  const Table *tables = g_once (&once, build_tables, NULL);

  return &tables[system];
}

/* What is written in front of a number adds nothing: zeros, and the E of the European plan. */
static const char *
skip_ornament (DwnSystem system, const char *rf)
{
  if (plans[system].runs == dvb_7_mhz_runs && g_ascii_toupper (rf[0]) == 'E'
      && g_ascii_isdigit (rf[1]))
    rf++;
  while (rf[0] == '0' && g_ascii_isdigit (rf[1]))
    rf++;
  return rf;
}

const char *
dwn_system_id (DwnSystem system)
{
  g_return_val_if_fail (system < DWN_N_SYSTEMS, NULL);

  return plans[system].id;
}

gboolean
dwn_system_from_id (const char *id, DwnSystem *system, GError **error)
{
  g_return_val_if_fail (id != NULL && system != NULL, FALSE);

  g_autoptr (GString) known = g_string_new (NULL);

  for (gsize i = 0; i < DWN_N_SYSTEMS; i++)
    {
      if (strcmp (id, plans[i].id) == 0)
        {
          *system = (DwnSystem) i;
          return TRUE;
        }
      g_string_append_printf (known, " %s", plans[i].id);
    }
  g_set_error (error, DWN_CHANNEL_ERROR, DWN_CHANNEL_ERROR_SYSTEM,
               _("there is no broadcast system \"%.40s\"; there are%s"), id, known->str);
  return FALSE;
}

const char *
dwn_band_id (DwnBand band)
{
  g_return_val_if_fail (band < DWN_N_BANDS, NULL);

  return band_ids[band];
}

gboolean
dwn_band_from_id (const char *id, DwnBand *band)
{
  g_return_val_if_fail (id != NULL && band != NULL, FALSE);

  for (gsize i = 0; i < DWN_N_BANDS; i++)
    if (strcmp (id, band_ids[i]) == 0)
      {
        *band = (DwnBand) i;
        return TRUE;
      }
  return FALSE;
}

DwnBand
dwn_band_of_mhz (double mhz)
{
  if (mhz < 110)
    return DWN_BAND_LOW_VHF;
  return mhz < 300 ? DWN_BAND_HIGH_VHF : DWN_BAND_UHF;
}

const char *
dwn_polarisation_id (DwnPolarisation polarisation)
{
  static const char *const ids[] = {
    [DWN_POLARISATION_UNKNOWN] = "",
    [DWN_POLARISATION_HORIZONTAL] = "h",
    [DWN_POLARISATION_VERTICAL] = "v",
    [DWN_POLARISATION_CIRCULAR] = "c",
  };

  g_return_val_if_fail (polarisation < G_N_ELEMENTS (ids), "");

  return ids[polarisation];
}

gboolean
dwn_channel_find (DwnSystem system, const char *rf, DwnChannel *channel, GError **error)
{
  g_return_val_if_fail (system < DWN_N_SYSTEMS, FALSE);
  g_return_val_if_fail (rf != NULL && channel != NULL, FALSE);

  const Table *table = table_of_system (system);
  const char *plain = skip_ornament (system, rf);

  for (gsize i = 0; i < table->n; i++)
    if (g_ascii_strcasecmp (plain, table->channel[i].rf) == 0)
      {
        *channel = table->channel[i];
        return TRUE;
      }
  g_set_error (error, DWN_CHANNEL_ERROR, DWN_CHANNEL_ERROR_RF,
               _("%s has no RF channel \"%.20s\"; it has %s"),
               plans[system].id, rf, _(plans[system].range));
  return FALSE;
}

gboolean
dwn_channel_at (DwnSystem system, double mhz, DwnChannel *channel, GError **error)
{
  g_return_val_if_fail (system < DWN_N_SYSTEMS, FALSE);
  g_return_val_if_fail (channel != NULL, FALSE);

  const Table *table = table_of_system (system);

  for (gsize i = 0; i < table->n; i++)
    if (table->channel[i].low_mhz <= mhz && mhz < table->channel[i].high_mhz)
      {
        *channel = table->channel[i];
        return TRUE;
      }
  g_set_error (error, DWN_CHANNEL_ERROR, DWN_CHANNEL_ERROR_FREQUENCY,
               _("%s has no channel at %g MHz; its channels are %s, between %g and %g MHz"),
               plans[system].id, mhz, _(plans[system].range), table->channel[0].low_mhz,
               table->channel[table->n - 1].high_mhz);
  return FALSE;
}

const DwnChannel *
dwn_system_channels (DwnSystem system, gsize *n)
{
  g_return_val_if_fail (system < DWN_N_SYSTEMS, NULL);
  g_return_val_if_fail (n != NULL, NULL);

  *n = table_of_system (system)->n;
  return table_of_system (system)->channel;
}
