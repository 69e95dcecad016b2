#include "core/study/scan-list.h"

#include <math.h>
#include <string.h>

/* Television in the United States ends with this RF channel (47 CFR 73.603). */
#define LAST_US_CHANNEL 36

static const char *const state_ids[] = { "expected", "trial", "found", "missing", "extra" };
static const char *const reason_ids[] = { "", "nothing", "band", "mast", "system", "chance",
                                          "limit",
                                          "list-old", "unexplained", "unlikely", "unknown" };

const char *
dwn_scan_state_id (DwnScanState state)
{
  g_return_val_if_fail (state < G_N_ELEMENTS (state_ids), NULL);

  return state_ids[state];
}

const char *
dwn_scan_reason_id (DwnScanReason reason)
{
  g_return_val_if_fail (reason < G_N_ELEMENTS (reason_ids), NULL);

  return reason_ids[reason];
}

typedef struct {
  const DwnPlan *plan;
  const DwnBudget *budget;
  int outlet;
  const guint *mast;
  GArray *rows;      /* DwnScanRow: one a channel and system, whatever its chance */
} Scan;

static const DwnStation *
station_of (const Scan *self, const DwnScanRow *row)
{
  return &self->plan->stations->station[row->station];
}

static const DwnReception *
reception_of (const Scan *self, guint station)
{
  if (self->budget->n_outlets == 0)
    return NULL;
  guint outlet = self->outlet >= 0 ? (guint) self->outlet : self->budget->weakest[station];
  return &self->budget->reception[(gsize) station * self->budget->n_outlets + outlet];
}

static double
chance_of (const Scan *self, guint station)
{
  const DwnReception *reception = reception_of (self, station);

  return reception != NULL && !isnan (reception->chance) ? reception->chance : 0.0;
}

/* List */

static DwnScanRow *
find_channel (const Scan *self, const DwnStation *station)
{
  for (guint r = 0; r < self->rows->len; r++)
    {
      DwnScanRow *row = &g_array_index (self->rows, DwnScanRow, r);
      const DwnStation *other = station_of (self, row);

      if (other->system == station->system && g_str_equal (other->rf, station->rf))
        return row;
    }
  return NULL;
}

/* Adds the numbers of the station's services that are not there yet. */
static void
add_numbers (const Scan *self, DwnScanRow *row, const DwnStation *station)
{
  g_auto (GStrv) there = g_strsplit (row->on_screen, " ", -1);
  g_autoptr (GString) numbers = g_string_new (row->on_screen);

  for (guint s = 0; s < station->n_services; s++)
    {
      int service = dwn_services_find (self->plan->services, station->services[s]);
      const char *number = service >= 0 ? self->plan->services->service[service].on_screen : "";

      if (number[0] != '\0' && !g_strv_contains ((const char *const *) there, number))
        g_string_append_printf (numbers, "%s%s", numbers->len > 0 ? " " : "", number);
    }
  row->on_screen = g_intern_string (numbers->str);
}

static void
list_station (Scan *self, guint i)
{
  const DwnStation *station = &self->plan->stations->station[i];
  DwnScanRow *row = find_channel (self, station);
  double chance = chance_of (self, i);
  DwnWanted wanted = dwn_station_wanted (station, self->plan->services);

  if (row == NULL)
    {
      const DwnScanRow fresh = { .station = (int) i, .rf = station->rf, .mhz = station->mhz,
                                 .on_screen = "", .chance = chance, .wanted = wanted, .found = "" };

      g_array_append_val (self->rows, fresh);
      row = &g_array_index (self->rows, DwnScanRow, self->rows->len - 1);
    }
  if (chance > row->chance)
    {
      row->station = (int) i;
      row->chance = chance;
    }
  row->wanted = MAX (row->wanted, wanted);
  add_numbers (self, row, station);
}

/* Scan */

/* "7-1" and "7.1" are the same number. */
static gboolean
is_number_of (const char *on_screen, const char *entered)
{
  g_auto (GStrv) numbers = g_strsplit (on_screen, " ", -1);
  g_autofree char *plain = g_strdelimit (g_strdup (entered), "-", '.');

  return g_strv_contains ((const char *const *) numbers, plain);
}

static gboolean
is_on_screen_number (const char *entered)
{
  return strpbrk (entered, ".-") != NULL;
}

static gboolean
is_meant (const DwnScanRow *row, const char *entered)
{
  return is_on_screen_number (entered) ? is_number_of (row->on_screen, entered)
                                       : g_ascii_strcasecmp (row->rf, entered) == 0;
}

/* Of several rows that could be meant the likeliest is; what is none becomes a row of its own. */
static void
enter_found (Scan *self, const char *entered, GArray *unknown)
{
  DwnScanRow *best = NULL;

  if (entered[0] == '\0')
    return;
  for (guint r = 0; r < self->rows->len; r++)
    {
      DwnScanRow *row = &g_array_index (self->rows, DwnScanRow, r);

      if (is_meant (row, entered) && (best == NULL || row->chance > best->chance))
        best = row;
    }
  if (best != NULL)
    {
      best->state = DWN_SCAN_FOUND;
      best->found = g_intern_string (entered);
      return;
    }
  const DwnScanRow extra = { .state = DWN_SCAN_EXTRA, .reason = DWN_SCAN_UNKNOWN, .station = -1,
                             .rf = is_on_screen_number (entered) ? "" : g_intern_string (entered),
                             .on_screen = is_on_screen_number (entered) ? g_intern_string (entered) : "",
                             .mhz = (double) NAN, .chance = (double) NAN,
                             .found = g_intern_string (entered) };
  g_array_append_val (unknown, extra);
}

/* Reasons */

typedef gboolean (*Alike) (const Scan *self, const DwnScanRow *a, const DwnScanRow *b);

static gboolean
any_alike (const Scan *self G_GNUC_UNUSED, const DwnScanRow *a G_GNUC_UNUSED,
           const DwnScanRow *b G_GNUC_UNUSED)
{
  return TRUE;
}

static gboolean
same_band (const Scan *self, const DwnScanRow *a, const DwnScanRow *b)
{
  return station_of (self, a)->band == station_of (self, b)->band;
}

static gboolean
same_mast (const Scan *self, const DwnScanRow *a, const DwnScanRow *b)
{
  return self->mast[a->station] == self->mast[b->station];
}

static gboolean
same_system (const Scan *self, const DwnScanRow *a, const DwnScanRow *b)
{
  return station_of (self, a)->system == station_of (self, b)->system;
}

static gboolean
is_dependable (const DwnScanRow *row)
{
  return row->chance >= DWN_CHANCE_HELD;
}

/* Are this and all that are like it missing, though at least two of them were dependable? Of all
 * channels one is enough. */
static gboolean
all_missing (const Scan *self, const DwnScanRow *row, Alike alike)
{
  guint n = 0;

  for (guint r = 0; r < self->rows->len; r++)
    {
      const DwnScanRow *other = &g_array_index (self->rows, DwnScanRow, r);

      if (!alike (self, row, other))
        continue;
      if (other->state == DWN_SCAN_FOUND)
        return FALSE;
      n += is_dependable (other);
    }
  return n >= (alike == any_alike ? 1 : 2);
}

static gboolean
is_off_the_band (const DwnStation *station)
{
  return (station->system == DWN_SYSTEM_ATSC1 || station->system == DWN_SYSTEM_ATSC3)
         && g_ascii_strtoull (station->rf, NULL, 10) > LAST_US_CHANNEL;
}

static DwnScanReason
reason_of (const Scan *self, DwnScanRow *row)
{
  const DwnReception *reception = reception_of (self, (guint) row->station);

  if (all_missing (self, row, any_alike))
    return DWN_SCAN_NOTHING;
  if (is_off_the_band (station_of (self, row)))
    return DWN_SCAN_LIST_OLD;
  if (all_missing (self, row, same_system))
    return DWN_SCAN_SYSTEM;
  if (all_missing (self, row, same_band))
    return DWN_SCAN_BAND;
  if (all_missing (self, row, same_mast))
    return DWN_SCAN_MAST;
  if (reception != NULL && !is_dependable (row) && reception->limit != DWN_LIMIT_NOISE)
    {
      row->limit = reception->limit;
      return DWN_SCAN_LIMIT;
    }
  return is_dependable (row) ? DWN_SCAN_UNEXPLAINED : DWN_SCAN_CHANCE;
}

/* Rows below 50 % are extras where found and nothing otherwise. */
static void
judge (Scan *self, gboolean scanned)
{
  for (guint r = 0; r < self->rows->len; r++)
    {
      DwnScanRow *row = &g_array_index (self->rows, DwnScanRow, r);

      if (!scanned)
        row->state = is_dependable (row) ? DWN_SCAN_EXPECTED : DWN_SCAN_TRIAL;
      else if (row->state != DWN_SCAN_FOUND)
        {
          row->state = DWN_SCAN_MISSING;
          row->reason = reason_of (self, row);
        }
    }
  for (guint r = self->rows->len; r-- > 0;)
    {
      DwnScanRow *row = &g_array_index (self->rows, DwnScanRow, r);

      if (row->chance >= DWN_CHANCE_TRIAL)
        continue;
      if (row->state == DWN_SCAN_FOUND)
        {
          row->state = DWN_SCAN_EXTRA;
          row->reason = DWN_SCAN_UNLIKELY;
        }
      else
        g_array_remove_index (self->rows, r);
    }
}

static int
compare_rows (gconstpointer a, gconstpointer b)
{
  const DwnScanRow *x = a, *y = b;

  return x->mhz < y->mhz ? -1 : x->mhz > y->mhz ? 1 : x->station - y->station;
}

GArray *
dwn_scan_list (const DwnPlan *plan, const DwnBudget *budget, int outlet, const char *const *found)
{
  g_return_val_if_fail (outlet < (int) budget->n_outlets, NULL);

  g_autofree guint *mast = dwn_masts (plan->stations);
  g_autoptr (GArray) unknown = g_array_new (FALSE, FALSE, sizeof (DwnScanRow));
  Scan scan = { plan, budget, outlet, mast, g_array_new (FALSE, FALSE, sizeof (DwnScanRow)) };

  for (guint i = 0; i < plan->stations->n; i++)
    list_station (&scan, i);
  for (guint k = 0; found != NULL && found[k] != NULL; k++)
    enter_found (&scan, found[k], unknown);
  judge (&scan, found != NULL);
  g_array_sort (scan.rows, compare_rows);
  g_array_append_vals (scan.rows, unknown->data, unknown->len);
  return scan.rows;
}
