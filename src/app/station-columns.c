#include "app/station-columns.h"

#include <glib/gi18n.h>
#include <math.h>

#include "app/settings.h"

/* All in u, pixels at the usual size of type. */
#define SIDE 16.0
#define MARK_AT 10.0
#define NAME_AT 30.0
#define LEAST_NAME 112.0
/* Below this a row is narrow. */
#define WIDE 560.0
#define LEAST_LINE 84.0
#define LINE_GAP 14.0
/* The scale's share of a wide row. */
#define LINE_SHARE 0.28

static const struct {
  const char *id, *title;
  double width, narrow_width;
  guint weight; /* those that weigh least go first where there is no room */
} columns[DWN_N_COLUMNS] = {
  { "rf", N_("_RF channel"), 36.0, 34.0, 9 },
  { "on-screen", N_("_On-screen number"), 78.0, 72.0, 4 },
  { "system", N_("_Broadcast system"), 122.0, 116.0, 1 },
  { "power", N_("_Power"), 64.0, 60.0, 2 },
  { "bearing", N_("B_earing"), 60.0, 50.0, 5 },
  { "distance", N_("_Distance"), 70.0, 62.0, 3 },
  { "level", N_("_Level at the weakest outlet"), 92.0, 88.0, 6 },
  { "line", N_("_Margin on a scale"), LEAST_LINE + LINE_GAP, LEAST_LINE + LINE_GAP, 7 },
  { "margin", N_("Mar_gin in decibels"), 88.0, 58.0, 8 },
  { "chance", N_("_Chance"), 70.0, 60.0, 10 },
};

guint
dwn_columns_chosen (GSettings *settings)
{
  return settings != NULL ? g_settings_get_flags (settings, DWN_SETTING_COLUMNS) : DWN_COLUMNS_USUAL;
}

const char *
dwn_column_id (DwnColumn column)
{
  return columns[column].id;
}

const char *
dwn_column_title (DwnColumn column)
{
  return _(columns[column].title);
}

char *
dwn_column_head (const DwnWording *wording, DwnColumn column, gboolean narrow)
{
  switch (column)
    {
    case DWN_COLUMN_RF:
      return g_strdup (_("RF"));
    case DWN_COLUMN_ON_SCREEN:
      return g_strdup (_("On screen"));
    case DWN_COLUMN_SYSTEM:
      return g_strdup (_("System"));
    case DWN_COLUMN_POWER:
      return g_strdup (_("Power"));
    case DWN_COLUMN_BEARING:
      return g_strdup (_("Bearing"));
    case DWN_COLUMN_DISTANCE:
      return g_strdup (_("Distance"));
    case DWN_COLUMN_LEVEL:
      return g_strdup_printf (_("Level, %s"), dwn_word_level_unit (wording));
    case DWN_COLUMN_MARGIN:
      return g_strdup (narrow ? _("dB") : _("Margin, dB"));
    case DWN_COLUMN_CHANCE:
      return g_strdup (_("Chance"));
    case DWN_COLUMN_LINE:
    default:
      return g_strdup ("");
    }
}

static double
width_of_column (guint c, gboolean narrow)
{
  return narrow ? columns[c].narrow_width : columns[c].width;
}

static double
width_of (guint shown, gboolean narrow)
{
  double width = 0.0;

  for (guint c = 0; c < DWN_N_COLUMNS; c++)
    width += (shown & DWN_COLUMN_BIT (c)) != 0 ? width_of_column (c, narrow) : 0.0;
  return width;
}

/* Without the column that weighs least. */
static guint
without_lightest (guint shown)
{
  int lightest = -1;

  for (int c = 0; c < DWN_N_COLUMNS; c++)
    if ((shown & DWN_COLUMN_BIT (c)) != 0 && (lightest < 0 || columns[c].weight < columns[lightest].weight))
      lightest = c;
  return lightest < 0 || lightest == DWN_COLUMN_CHANCE ? shown : shown & ~DWN_COLUMN_BIT (lightest);
}

static guint
that_fit (guint chosen, double room, gboolean narrow)
{
  guint shown = chosen, fewer;

  while (width_of (shown, narrow) > room && (fewer = without_lightest (shown)) != shown)
    shown = fewer;
  return shown;
}

/* As long as the type is as large as usual. */
static void
place_usual (guint chosen, double width, DwnColumnPlaces *places)
{
  double room = width - 2 * SIDE - NAME_AT - LEAST_NAME, end = width - SIDE;
  gboolean narrow = width < WIDE;
  guint shown = that_fit (chosen, room, narrow);
  /* What is left over goes half to the scale, half to the name. */
  double spare = fmax (room - width_of (shown, narrow), 0.0);
  double line = fmax (fmin (LEAST_LINE + spare / 2, LINE_SHARE * width), LEAST_LINE);

  places->narrow = narrow;
  places->mark = SIDE + MARK_AT;
  places->name = SIDE + NAME_AT;
  places->line_from = places->line_to = (double) NAN;
  for (int c = DWN_N_COLUMNS - 1; c >= 0; c--)
    {
      places->end[c] = (double) NAN;
      if ((shown & DWN_COLUMN_BIT (c)) == 0)
        continue;
      places->end[c] = end;
      if (c == DWN_COLUMN_LINE)
        {
          places->line_to = end - LINE_GAP / 2;
          places->line_from = places->line_to - line;
          end -= line + LINE_GAP;
        }
      else
        end -= width_of_column ((guint) c, narrow);
    }
  places->name_to = end;
}

void
dwn_columns_place (guint chosen, double width, double unit, DwnColumnPlaces *places)
{
  place_usual (chosen, width / unit, places);
  places->mark *= unit;
  places->name *= unit;
  places->name_to *= unit;
  places->line_from *= unit;
  places->line_to *= unit;
  for (guint c = 0; c < DWN_N_COLUMNS; c++)
    places->end[c] *= unit;
}

static const DwnReception *
weakest (const DwnBudget *budget, guint i)
{
  return budget->n_outlets == 0 ? NULL : &budget->reception[(gsize) i * budget->n_outlets + budget->weakest[i]];
}

char *
dwn_column_text (const DwnWording *wording, const DwnFindings *findings, guint i, DwnColumn column)
{
  const DwnStation *station = &findings->plan->stations->station[i];
  const DwnArrival *arrival = &findings->fields->arrival[i];
  const DwnReception *reception = weakest (findings->budget, i);

  switch (column)
    {
    case DWN_COLUMN_RF:
      return g_strdup (station->rf);
    case DWN_COLUMN_ON_SCREEN:
      return g_strdup (dwn_station_on_screen (station, findings->plan->services));
    case DWN_COLUMN_SYSTEM:
      return g_strdup (dwn_word_system (station->system));
    case DWN_COLUMN_POWER:
      return dwn_word_power (wording, station->erp_kw);
    case DWN_COLUMN_BEARING:
      return dwn_word_bearing (wording, arrival->bearing_deg);
    case DWN_COLUMN_DISTANCE:
      return dwn_word_distance (wording, arrival->distance_m);
    case DWN_COLUMN_LEVEL:
      return dwn_word_level_figure (wording, reception != NULL ? reception->level_dbm : (double) NAN, 1);
    case DWN_COLUMN_MARGIN:
      return dwn_word_number (wording, reception != NULL ? reception->margin_db : (double) NAN, 1);
    case DWN_COLUMN_CHANCE:
      return dwn_word_chance (wording, dwn_station_chance (findings->budget, i));
    case DWN_COLUMN_LINE:
    default:
      return g_strdup ("");
    }
}

char *
dwn_columns_copy (const DwnWording *wording, const DwnFindings *findings, guint chosen, guint n,
                  const guint *stations)
{
  GString *text = g_string_new (_("Station"));

  chosen &= ~DWN_COLUMN_BIT (DWN_COLUMN_LINE);
  for (guint c = 0; c < DWN_N_COLUMNS; c++)
    if ((chosen & DWN_COLUMN_BIT (c)) != 0)
      {
        g_autofree char *head = dwn_column_head (wording, (DwnColumn) c, FALSE);
        g_string_append_printf (text, "\t%s", head);
      }
  g_string_append_c (text, '\n');
  for (guint k = 0; k < n; k++)
    {
      g_string_append (text, findings->plan->stations->station[stations[k]].name);
      for (guint c = 0; c < DWN_N_COLUMNS; c++)
        if ((chosen & DWN_COLUMN_BIT (c)) != 0)
          {
            g_autofree char *cell = dwn_column_text (wording, findings, stations[k], (DwnColumn) c);
            g_string_append_printf (text, "\t%s", cell);
          }
      g_string_append_c (text, '\n');
    }
  return g_string_free (text, FALSE);
}
