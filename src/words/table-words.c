#include "words/table-words.h"

#include <math.h>
#include <string.h>

void
dwn_csv_append_text (GString *csv, const char *text)
{
  g_auto (GStrv) pieces = g_strsplit (text, "\"", -1);
  g_autofree char *doubled = g_strjoinv ("\"\"", pieces);

  if (strpbrk (text, ",\"\r\n") != NULL)
    g_string_append_printf (csv, "\"%s\"", doubled);
  else
    g_string_append (csv, text);
}

void
dwn_csv_append_number (GString *csv, double value)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE];

  g_string_append_c (csv, ',');
  if (!isnan (value))
    g_string_append (csv, g_ascii_formatd (text, sizeof text, "%.12g", value));
}

static void
append_text (GString *csv, const char *text)
{
  g_string_append_c (csv, ',');
  dwn_csv_append_text (csv, text);
}

static void
append_station (GString *csv, const DwnFindings *findings, guint i)
{
  const DwnStation *station = &findings->plan->stations->station[i];
  const DwnArrival *arrival = &findings->fields->arrival[i];

  dwn_csv_append_text (csv, station->id);
  append_text (csv, station->rf);
  dwn_csv_append_number (csv, station->mhz);
  append_text (csv, dwn_band_id (station->band));
  dwn_csv_append_number (csv, arrival->bearing_deg);
  dwn_csv_append_number (csv, arrival->distance_m);
  append_text (csv, dwn_wanted_id (dwn_station_wanted (station, findings->plan->services)));
}

static void
append_reception (GString *csv, const DwnFindings *findings, guint i, guint outlet)
{
  const DwnReception *r = &findings->budget->reception[(gsize) i * findings->budget->n_outlets + outlet];
  guint n = findings->fields->n_antennas;
  double field_dbuv_m = n > 0 ? findings->fields->field[(gsize) i * n + r->antenna].wanted : (double) NAN;
  const double figures[] = { outlet + 1.0, field_dbuv_m, r->antenna_dbi, r->level_dbm, r->noise_dbm, r->cn_db,
                             r->needed_db, r->margin_db, r->sigma_db, 100.0 * r->chance };

  for (gsize k = 0; k < G_N_ELEMENTS (figures); k++)
    dwn_csv_append_number (csv, figures[k]);
  append_text (csv, dwn_limit_id (r->limit));
}

char *
dwn_stations_csv (const DwnFindings *findings)
{
  GString *csv = g_string_new ("station,rf,mhz,band,bearing_deg,distance_m,wanted,outlet,field_dbuv_m,antenna_dbi,"
                               "level_dbm,noise_dbm,cn_db,needed_db,margin_db,sigma_db,chance_pct,limit,name,site\r\n");

  for (guint i = 0; i < findings->budget->n_stations; i++)
    for (guint outlet = 0; outlet < findings->budget->n_outlets; outlet++)
      {
        append_station (csv, findings, i);
        append_reception (csv, findings, i, outlet);
        append_text (csv, findings->plan->stations->station[i].name);
        append_text (csv, findings->plan->stations->station[i].site);
        g_string_append (csv, "\r\n");
      }
  return g_string_free (csv, FALSE);
}
