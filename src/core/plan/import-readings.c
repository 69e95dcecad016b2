#include "core/plan/import-readings.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

#include "core/geo/date.h"
#include "core/plan/csv.h"
#include "core/plan/fields.h"
#include "core/plan/import.h"

#define DBM_OF_DBMV 48.75  /* 10 log10 (75 Ω · 1 mW) − 20 log10 (1 mV), TRADE */
#define DBM_OF_DBUV 108.75
#define SKIPS_LISTED 1000

/* Units */

static const char *const unit_ids[] = { "dbm", "dbmv", "dbuv" };

const char *
dwn_reading_unit_id (DwnReadingUnit unit)
{
  g_return_val_if_fail (unit < G_N_ELEMENTS (unit_ids), NULL);

  return unit_ids[unit];
}

gboolean
dwn_reading_unit_from_id (const char *id, DwnReadingUnit *unit)
{
  for (guint i = 0; i < G_N_ELEMENTS (unit_ids); i++)
    if (g_strcmp0 (id, unit_ids[i]) == 0)
      {
        *unit = (DwnReadingUnit) i;
        return TRUE;
      }
  return FALSE;
}

double
dwn_reading_level_dbm (double level, DwnReadingUnit unit)
{
  return unit == DWN_READING_DBMV ? level - DBM_OF_DBMV
         : unit == DWN_READING_DBUV ? level - DBM_OF_DBUV : level;
}

/* Times */

static gboolean
two_digits (const char *text, int most)
{
  return g_ascii_isdigit (text[0]) && g_ascii_isdigit (text[1])
         && (text[0] - '0') * 10 + text[1] - '0' <= most;
}

gboolean
dwn_reading_when_is_valid (const char *when)
{
  g_autofree char *day = g_strndup (when, 10);
  DwnDate date;

  if (!dwn_date_parse (day, &date, NULL))
    return FALSE;
  const char *rest = when + 10;
  if (*rest == '\0')
    return TRUE;
  if ((*rest != 'T' && *rest != ' ') || strlen (rest) < 6 || !two_digits (rest + 1, 23)
      || rest[3] != ':' || !two_digits (rest + 4, 59))
    return FALSE;
  return rest[6] == '\0' || (rest[6] == ':' && strlen (rest) == 9 && two_digits (rest + 7, 59));
}

/* Columns */

typedef enum {
  COLUMN_STATION, COLUMN_RF, COLUMN_MHZ, COLUMN_WHERE, COLUMN_WHEN, COLUMN_LEVEL, COLUMN_LEVEL_DBM,
  COLUMN_LEVEL_DBMV, COLUMN_LEVEL_DBUV, COLUMN_CN, COLUMN_MER, COLUMN_BER_BEFORE, COLUMN_BER_AFTER,
  COLUMN_LOCK, COLUMN_BARS, COLUMN_BARS_OF, COLUMN_AIM, COLUMN_LEAVES, COLUMN_WEATHER, COLUMN_NOTE,
} Column;
#define N_COLUMNS (COLUMN_NOTE + 1)

static const char *const column_names[N_COLUMNS] = {
  "station", "rf", "mhz", "where", "when", "level", "level-dbm", "level-dbmv", "level-dbuv", "cn-db",
  "mer-db", "ber-before", "ber-after", "lock", "bars", "bars-of", "aim-deg", "leaves", "weather", "note",
};

/* What of a record can be a value. */
static const Column value_columns[] = {
  COLUMN_LEVEL, COLUMN_LEVEL_DBM, COLUMN_LEVEL_DBMV, COLUMN_LEVEL_DBUV, COLUMN_CN, COLUMN_MER,
  COLUMN_BER_BEFORE, COLUMN_BER_AFTER, COLUMN_LOCK, COLUMN_BARS,
};

/* One file being read. */
typedef struct {
  const DwnPlan *plan;
  const DwnReadingsOptions *options;
  DwnCsv *csv;
  const char *file;
  int column[N_COLUMNS]; /* −1: not there */
  char **record;
  guint n;
  GArray *readings, *skips;
  guint n_known, n_skipped;
} Source;

static gboolean
is_named (const char *field, const char *name)
{
  g_autofree char *plain = g_ascii_strdown (field, -1);

  return g_str_equal (g_strdelimit (g_strstrip (plain), " _", '-'), name);
}

static gboolean
find_columns (Source *self, GError **error)
{
  gboolean value = FALSE;

  for (guint c = 0; c < N_COLUMNS; c++)
    {
      self->column[c] = -1;
      for (guint k = self->n; k-- > 0;)
        if (is_named (self->record[k], column_names[c]))
          self->column[c] = (int) k;
    }
  for (guint i = 0; i < G_N_ELEMENTS (value_columns); i++)
    value = value || self->column[value_columns[i]] >= 0;
  if (value && (self->column[COLUMN_STATION] >= 0 || self->column[COLUMN_RF] >= 0
                || self->column[COLUMN_MHZ] >= 0))
    return TRUE;
  g_set_error (error, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_COLUMN,
               _("%s:%u: the first line has to name the columns: station, rf or mhz, and a value such "
                 "as level-dbm, cn-db, lock or bars"), self->file, dwn_csv_line (self->csv));
  return FALSE;
}

/* "" where the record says nothing. */
static const char *
get (const Source *self, Column column)
{
  int at = self->column[column];
  const char *text = at >= 0 && (guint) at < self->n ? self->record[at] : "";

  return g_str_equal (text, "-") ? "" : text;
}

/* One record. Each of these sets @error without file and line where a field is wrong. */

G_GNUC_PRINTF (2, 3)
static gboolean
refuse (GError **error, const char *format, ...)
{
  va_list arguments;

  va_start (arguments, format);
  g_autofree char *text = g_strdup_vprintf (format, arguments);
  va_end (arguments);
  g_set_error_literal (error, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_FORMAT, text);
  return FALSE;
}

static gboolean
read_number (const Source *self, Column column, double min, double max, double *value,
             GError **error)
{
  const char *text = get (self, column);

  if (*text == '\0')
    return TRUE;
  if (!dwn_field_number (text, '.', value)
      && (dwn_csv_separator (self->csv) == ',' || !dwn_field_number (text, ',', value)))
    return refuse (error, _("%s \"%.40s\" is not a number; digits without a unit would be right"),
                   column_names[column], text);
  if (*value >= min && *value <= max)
    return TRUE;
  return refuse (error, _("%s %g is outside %g to %g"), column_names[column], *value, min, max);
}

/* Leaves @value alone where the record says nothing. */
static gboolean
read_yes (const Source *self, Column column, int *value, GError **error)
{
  static const struct { const char *word; int means; } words[] = {
    { "yes", 1 }, { "no", 0 }, { "true", 1 }, { "false", 0 }, { "1", 1 }, { "0", 0 },
  };
  const char *text = get (self, column);

  if (*text == '\0')
    return TRUE;
  for (guint i = 0; i < G_N_ELEMENTS (words); i++)
    if (g_ascii_strcasecmp (text, words[i].word) == 0)
      {
        *value = words[i].means;
        return TRUE;
      }
  return refuse (error, _("%s \"%.40s\" is neither yes nor no"), column_names[column], text);
}

static gboolean
same_name (const char *a, const char *b)
{
  return a != NULL && b != NULL && g_ascii_strcasecmp (a, b) == 0;
}

/* Does the record's channel or frequency mean this station? */
static gboolean
is_tuned (const DwnStation *station, const char *rf, double mhz)
{
  DwnChannel channel;

  if (*rf != '\0')
    return same_name (station->rf, rf);
  return dwn_channel_at (station->system, mhz, &channel, NULL)
         && same_name (station->rf, channel.rf);
}

static gboolean
find_tuned (const Source *self, int *found, GError **error)
{
  const DwnStations *stations = self->plan->stations;
  const char *rf = get (self, COLUMN_RF);
  double mhz = (double) NAN;

  if (!read_number (self, COLUMN_MHZ, 1.0, 10000.0, &mhz, error))
    return FALSE;
  if (*rf == '\0' && isnan (mhz))
    return refuse (error, _("no station; its id, its name or its RF channel would be right"));
  *found = -1;
  for (guint i = 0; i < stations->n; i++)
    if (is_tuned (&stations->station[i], rf, mhz))
      {
        if (*found >= 0)
          return refuse (error, _("%s and %s are both on this channel; name one in the column station"),
                         stations->station[*found].id, stations->station[i].id);
        *found = (int) i;
      }
  return *found >= 0 || refuse (error, _("the plan has no station on this channel"));
}

static gboolean
read_station (const Source *self, DwnReading *reading, GError **error)
{
  const DwnStations *stations = self->plan->stations;
  const char *text = get (self, COLUMN_STATION);
  int found = dwn_stations_find (stations, text);

  if (*text == '\0' && !find_tuned (self, &found, error))
    return FALSE;
  for (guint i = 0; i < stations->n && found < 0; i++)
    if (same_name (stations->station[i].name, text))
      found = (int) i;
  if (found < 0)
    return refuse (error, _("the plan has no station \"%.60s\""), text);
  reading->station = stations->station[found].id;
  return TRUE;
}

/* "outlet 2", "antenna", a name; −1. */
static int
find_place (const DwnChain *gear, const char *text)
{
  guint64 number;

  if (same_name (text, "antenna"))
    return gear->n_antennas > 0 ? (int) gear->antenna[0] : -1;
  if (g_ascii_strncasecmp (text, "outlet ", 7) == 0
      && g_ascii_string_to_unsigned (text + 7, 10, 1, gear->n_outlets, &number, NULL))
    return (int) gear->outlet[number - 1];
  for (guint k = 0; k < gear->n_parts; k++)
    if (same_name (gear->part[k].name, text))
      return (int) k;
  return -1;
}

static gboolean
read_where (const Source *self, DwnReading *reading, GError **error)
{
  const DwnChain *gear = self->plan->gear;
  const char *text = get (self, COLUMN_WHERE);
  int part;

  if (*text == '\0')
    text = self->options->where != NULL ? self->options->where : "";
  part = dwn_chain_find (gear, text);
  if (part < 0)
    part = find_place (gear, text);
  if (part >= 0)
    {
      reading->where = gear->part[part].id;
      return TRUE;
    }
  if (*text == '\0')
    return refuse (error, _("no place; the id of a part, \"outlet 1\" or \"antenna\" in the column where "
                            "would be right"));
  return refuse (error, _("the plan has no part \"%.60s\"; the id of a part, \"outlet 1\" or \"antenna\" "
                          "would be right"), text);
}

static gboolean
read_when (const Source *self, DwnReading *reading, GError **error)
{
  const char *text = get (self, COLUMN_WHEN);

  if (*text == '\0')
    text = self->options->when != NULL ? self->options->when : "";
  if (*text != '\0' && !dwn_reading_when_is_valid (text))
    return refuse (error, _("when \"%.40s\" is not a time; 2026-05-12 or 2026-05-12T14:30 would be right"),
                   text);
  reading->when = g_intern_string (text);
  return TRUE;
}

static gboolean
read_level (const Source *self, DwnReading *reading, GError **error)
{
  const struct { Column column; DwnReadingUnit unit; } columns[] = {
    { COLUMN_LEVEL_DBM, DWN_READING_DBM }, { COLUMN_LEVEL_DBMV, DWN_READING_DBMV },
    { COLUMN_LEVEL_DBUV, DWN_READING_DBUV }, { COLUMN_LEVEL, self->options->unit },
  };

  for (guint i = 0; i < G_N_ELEMENTS (columns) && isnan (reading->level_dbm); i++)
    {
      double level = (double) NAN;

      if (!read_number (self, columns[i].column, -200.0, 200.0, &level, error))
        return FALSE;
      reading->level_dbm = dwn_reading_level_dbm (level, columns[i].unit);
    }
  if (reading->level_dbm < -200.0 || reading->level_dbm > 50.0)
    return refuse (error, _("a level of %g dBm is outside -200 to 50 dBm; is the unit right?"),
                   reading->level_dbm);
  return TRUE;
}

static gboolean
read_quality (const Source *self, DwnReading *reading, GError **error)
{
  return read_number (self, COLUMN_MER, -50.0, 100.0, &reading->cn_db, error)
         && read_number (self, COLUMN_CN, -50.0, 100.0, &reading->cn_db, error)
         && read_number (self, COLUMN_BER_BEFORE, 0.0, 1.0, &reading->ber_before, error)
         && read_number (self, COLUMN_BER_AFTER, 0.0, 1.0, &reading->ber_after, error)
         && read_yes (self, COLUMN_LOCK, &reading->lock, error);
}

static gboolean
read_bars (const Source *self, DwnReading *reading, GError **error)
{
  g_auto (GStrv) parts = g_strsplit (get (self, COLUMN_BARS), "/", 2);
  const char *of = parts[0] != NULL && parts[1] != NULL ? parts[1] : get (self, COLUMN_BARS_OF);
  double bars, bars_of;

  if (parts[0] == NULL)
    return TRUE;
  if (!dwn_field_number (parts[0], '.', &bars) || !dwn_field_number (of, '.', &bars_of)
      || floor (bars) != bars || floor (bars_of) != bars_of || bars < 0.0 || bars_of < 1.0
      || bars > bars_of || bars_of > 1000.0)
    return refuse (error, _("bars \"%.40s\" are not so many of so many; \"3/5\", or bars and bars-of, would "
                            "be right"), get (self, COLUMN_BARS));
  reading->bars = (int) bars;
  reading->bars_of = (int) bars_of;
  return TRUE;
}

static gboolean
read_rest (const Source *self, DwnReading *reading, GError **error)
{
  int leaves = self->plan->method->leaves ? 1 : 0;

  if (!read_number (self, COLUMN_AIM, 0.0, 360.0, &reading->aim_deg, error)
      || !read_yes (self, COLUMN_LEAVES, &leaves, error))
    return FALSE;
  reading->leaves = leaves == 1;
  reading->weather = g_intern_string (get (self, COLUMN_WEATHER));
  reading->note = g_intern_string (get (self, COLUMN_NOTE));
  if (isnan (reading->level_dbm) && isnan (reading->cn_db) && isnan (reading->ber_before)
      && isnan (reading->ber_after) && reading->lock < 0 && reading->bars < 0)
    return refuse (error, _("nothing was read; a level, C/N, error rate, lock or bars would be right"));
  return TRUE;
}

static gboolean
read_record (const Source *self, DwnReading *reading, GError **error)
{
  dwn_reading_init (reading);
  return read_station (self, reading, error) && read_where (self, reading, error)
         && read_when (self, reading, error) && read_level (self, reading, error)
         && read_quality (self, reading, error) && read_bars (self, reading, error)
         && read_rest (self, reading, error);
}

/* All of it */

static gboolean
same_number (double a, double b)
{
  return (isnan (a) && isnan (b)) || fabs (a - b) < 1e-6;
}

static gboolean
is_same (const DwnReading *a, const DwnReading *b)
{
  return g_str_equal (a->station, b->station) && g_str_equal (a->where, b->where)
         && g_str_equal (a->when, b->when) && same_number (a->level_dbm, b->level_dbm)
         && same_number (a->cn_db, b->cn_db) && same_number (a->ber_before, b->ber_before)
         && same_number (a->ber_after, b->ber_after) && a->lock == b->lock && a->bars == b->bars;
}

static gboolean
is_known (const DwnPlan *plan, const DwnReading *reading)
{
  for (guint k = 0; k < plan->readings->n; k++)
    if (is_same (&plan->readings->reading[k], reading))
      return TRUE;
  return FALSE;
}

static void
skip (Source *self, const GError *reason)
{
  DwnReadingsSkip one = { dwn_csv_line (self->csv), NULL };

  self->n_skipped++;
  if (self->skips->len >= SKIPS_LISTED)
    return;
  one.text = g_strdup_printf ("%s:%u: %s", self->file, one.line, reason->message);
  g_array_append_val (self->skips, one);
}

static void
take_record (Source *self)
{
  g_autoptr (GError) reason = NULL;
  DwnReading reading;

  if (!read_record (self, &reading, &reason))
    skip (self, reason);
  else if (is_known (self->plan, &reading))
    self->n_known++;
  else
    g_array_append_val (self->readings, reading);
}

static gboolean
read_all (Source *self, GError **error)
{
  g_autoptr (GError) reason = NULL;

  if (!dwn_csv_next (self->csv, &self->record, &self->n, &reason))
    {
      if (reason == NULL)
        g_set_error (&reason, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_EMPTY, _("%s: the file is empty"),
                     self->file);
      g_propagate_error (error, g_steal_pointer (&reason));
      return FALSE;
    }
  if (!find_columns (self, error))
    return FALSE;
  while (dwn_csv_next (self->csv, &self->record, &self->n, &reason))
    {
      if (self->readings->len + self->plan->readings->n >= DWN_READINGS_MAX)
        {
          g_set_error (error, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_LIMIT,
                       _("%s:%u: a plan holds %d readings at most"), self->file,
                       dwn_csv_line (self->csv), DWN_READINGS_MAX);
          return FALSE;
        }
      take_record (self);
    }
  if (reason == NULL)
    return TRUE;
  g_propagate_error (error, g_steal_pointer (&reason));
  return FALSE;
}

static void
clear_skip (gpointer data)
{
  g_free (((DwnReadingsSkip *) data)->text);
}

DwnReadingsImport *
dwn_readings_import (const DwnInput *input, const DwnPlan *plan, const DwnReadingsOptions *options,
                     GError **error)
{
  g_autoptr (GArray) readings = g_array_new (FALSE, FALSE, sizeof (DwnReading));
  g_autoptr (GArray) skips = g_array_new (FALSE, FALSE, sizeof (DwnReadingsSkip));
  DwnLines *lines = dwn_lines_open (input, NULL, error);

  if (lines == NULL)
    return NULL;
  g_array_set_clear_func (skips, clear_skip);
  g_autoptr (DwnCsv) csv = dwn_csv_new_take (lines, 0);
  Source source = { .plan = plan, .options = options, .csv = csv, .readings = readings,
                    .skips = skips, .file = dwn_lines_name (lines) };
  if (!read_all (&source, error))
    return NULL;

  DwnReadingsImport *import = g_new0 (DwnReadingsImport, 1);
  import->n = readings->len;
  import->reading = g_array_steal (readings, NULL);
  import->n_known = source.n_known;
  import->n_skipped = source.n_skipped;
  import->n_listed = skips->len;
  import->skipped = g_array_steal (skips, NULL);
  return import;
}

void
dwn_readings_import_free (DwnReadingsImport *import)
{
  for (guint i = 0; i < import->n_listed; i++)
    g_free (import->skipped[i].text);
  g_free ((gpointer) import->skipped);
  g_free ((gpointer) import->reading);
  g_free (import);
}
