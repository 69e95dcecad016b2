/* The US regulator's television query text: one record a line, 38 blank-padded fields between
 * pipes, some of them several figures of one place. */
#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

#include "core/plan/fields.h"
#include "core/plan/import-private.h"

/* Fields are numbered as if the line were split at its pipes and counted from 1: the first and
 * the last are what stands outside the outer pipes. */
enum {
  FIELD_CALL = 2,
  FIELD_SERVICE = 4,
  FIELD_CHANNEL = 5,
  FIELD_DIRECTIONAL = 6,
  FIELD_STATUS = 10,
  FIELD_FILE_NUMBER = 14,
  FIELD_ERP = 15,
  FIELD_HAAT = 17,
  FIELD_FACILITY = 19,
  FIELD_LAT = 20, /* letter, degrees, minutes, seconds */
  FIELD_LON = 24,
  FIELD_AMSL = 32,
  FIELD_POLARISATION = 33,
  FIELD_ANTENNA = 34,
  FIELD_ROTATION = 35,
  FIELD_TOWER = 36,
  FIELD_AGL = 37,
  FIELD_ON_SCREEN = 39,
  N_FIELDS = 40,
};

/* A file whose first lines hold nothing of use is of another kind. */
#define HOPELESS_LINES 100

/* The nation's list has fewer than 9,000. */
#define RECORDS_MAX 400000

static const struct {
  const char *code;
  DwnLicenceService service;
} services[] = {
  { "DT", DWN_LICENCE_MAIN },      { "DD", DWN_LICENCE_DISTRIBUTED },
  { "LD", DWN_LICENCE_LOW_POWER }, { "DC", DWN_LICENCE_CLASS_A },
  { "DX", DWN_LICENCE_AUXILIARY }, { "TX", DWN_LICENCE_ANALOGUE },
  { "CA", DWN_LICENCE_ANALOGUE },
};

/* Cuts the line at its pipes, in place. Returns the number of fields, at most N_FIELDS + 1. */
static guint
split_line (char *line, char *field[N_FIELDS + 2])
{
  guint n = 1;

  field[n] = line;
  for (char *at = line; *at != '\0'; at++)
    if (*at == '|')
      {
        *at = '\0';
        if (n > N_FIELDS)
          break;
        field[++n] = at + 1;
      }
  for (guint i = 1; i <= n; i++)
    g_strstrip (field[i]);
  return n;
}

/* What is wrong with the record being read, for the list; NULL: nothing yet. */
typedef struct {
  char *problem;
  DwnSkipReason reason;
} Verdict;

G_GNUC_PRINTF (3, 4)
static gboolean
refuse (Verdict *verdict, DwnSkipReason reason, const char *format, ...)
{
  va_list arguments;

  va_start (arguments, format);
  verdict->problem = g_strdup_vprintf (format, arguments);
  va_end (arguments);
  verdict->reason = reason;
  return FALSE;
}

static gboolean
read_service (DwnLicence *licence, const char *text, Verdict *verdict)
{
  for (guint i = 0; i < G_N_ELEMENTS (services); i++)
    if (strcmp (text, services[i].code) == 0)
      {
        licence->service = services[i].service;
        licence->code = services[i].code;
        return TRUE;
      }
  return refuse (verdict, DWN_SKIP_FIELD,
                 _("unknown service \"%s\"; DT, LD, DC, DX, DD, CA or TX would be right"), text);
}

/* One angle of four fields. @letters: the positive one first. */
static gboolean
read_angle (char *const *field, const char *letters, double most, double *degrees,
            Verdict *verdict)
{
  double d, m, s, angle = (double) NAN;

  if (dwn_field_number (field[1], '.', &d) && dwn_field_number (field[2], '.', &m)
      && dwn_field_number (field[3], '.', &s))
    angle = dwn_field_degrees (d, m, s);
  if (!(angle <= most) || (*field[0] != letters[0] && *field[0] != letters[1]))
    return refuse (verdict, DWN_SKIP_FIELD,
                   most > 90 ? _("longitude %s %s %s %s is not E or W with 0 to 180 degrees")
                             : _("latitude %s %s %s %s is not N or S with 0 to 90 degrees"),
                   field[0], field[1], field[2], field[3]);
  *degrees = *field[0] == letters[0] ? angle : -angle;
  return TRUE;
}

/* A height in metres; "" and "-" and, where @zero_is_missing, 0 mean that it is not on file. */
static gboolean
read_height (const char *text, gboolean zero_is_missing, const char *what, double *height_m,
             Verdict *verdict)
{
  double value;

  *height_m = (double) NAN;
  if (*text == '\0' || strcmp (text, "-") == 0)
    return TRUE;
  if (!dwn_field_measure (text, "m", &value) || fabs (value) > 9000)
    return refuse (verdict, DWN_SKIP_FIELD, _("%s \"%s\" is not in metres"), what, text);
  if (value != 0 || !zero_is_missing)
    *height_m = value;
  return TRUE;
}

static gboolean
read_power (DwnLicence *licence, const char *text, Verdict *verdict)
{
  if (!dwn_field_measure (text, "kW", &licence->erp_kw) || licence->erp_kw < 0
      || licence->erp_kw > DWN_STATION_ERP_MAX_KW)
    return refuse (verdict, DWN_SKIP_FIELD, _("ERP \"%s\" is not 0 to %d kW"), text,
                   DWN_STATION_ERP_MAX_KW);
  if (licence->erp_kw == 0)
    return refuse (verdict, DWN_SKIP_POWER, _("the ERP on file is 0; its power would be needed"));
  return TRUE;
}

static gboolean
read_identity (DwnLicence *licence, char *const *field, Verdict *verdict)
{
  double facility;
  const char *date = strchr (field[FIELD_FILE_NUMBER], '-');

  g_strlcpy (licence->call, field[FIELD_CALL], sizeof licence->call);
  g_strlcpy (licence->file_number, field[FIELD_FILE_NUMBER], sizeof licence->file_number);
  licence->date = date != NULL ? dwn_field_date (date + 1) : 0;
  if (*licence->call == '\0')
    return refuse (verdict, DWN_SKIP_FIELD, _("the call sign is missing"));
  if (!dwn_field_number (field[FIELD_FACILITY], '.', &facility) || facility < 1
      || facility > 4e9 || facility != floor (facility))
    return refuse (verdict, DWN_SKIP_FIELD, _("facility id \"%s\" is not a whole number"),
                   field[FIELD_FACILITY]);
  licence->facility = (guint) facility;
  licence->rf = licence->old_rf = dwn_licence_rf (field[FIELD_CHANNEL]);
  if (licence->rf == 0)
    return refuse (verdict, DWN_SKIP_FIELD, _("channel \"%s\" is not 2 to 69"),
                   field[FIELD_CHANNEL]);
  return read_service (licence, field[FIELD_SERVICE], verdict);
}

static gboolean
read_antenna (DwnImportRun *run, DwnLicence *licence, char *const *field, Verdict *verdict)
{
  licence->polarisation = dwn_field_polarisation (field[FIELD_POLARISATION]);
  licence->directional = strcmp (field[FIELD_DIRECTIONAL], "DA") == 0;
  if (*field[FIELD_ANTENNA] != '\0' && strcmp (field[FIELD_ANTENNA], "-") != 0)
    licence->antenna = dwn_import_run_string (run, field[FIELD_ANTENNA]);
  if (!dwn_field_number (field[FIELD_ROTATION], '.', &licence->rotation_deg))
    licence->rotation_deg = 0;
  return read_height (field[FIELD_HAAT], TRUE, _("height above average terrain"),
                      &licence->haat_m, verdict)
         && read_height (field[FIELD_AMSL], TRUE, _("height above sea level"), &licence->amsl_m,
                         verdict)
         && read_height (field[FIELD_AGL], TRUE, _("height above ground"), &licence->agl_m,
                         verdict);
}

static gboolean
read_place (DwnLicence *licence, char *const *field, Verdict *verdict)
{
  DwnLatLon at;

  if (!read_angle (&field[FIELD_LAT], "NS", 90, &at.lat_deg, verdict)
      || !read_angle (&field[FIELD_LON], "EW", 180, &at.lon_deg, verdict))
    return FALSE;
  licence->filed = at;
  return TRUE;
}

static gboolean
read_record (DwnImportRun *run, DwnLicence *licence, char *const *field, guint n,
             Verdict *verdict)
{
  if (n != N_FIELDS)
    return refuse (verdict, DWN_SKIP_FIELD, _("%u fields; a record of the query text has %d"), n,
                   N_FIELDS - 2);
  if (!read_identity (licence, field, verdict))
    return FALSE;
  if (strcmp (field[FIELD_STATUS], "LIC") != 0)
    return refuse (verdict, DWN_SKIP_STATUS, _("status \"%s\": only licences (LIC) are on air"),
                   field[FIELD_STATUS]);
  if (!read_place (licence, field, verdict))
    return FALSE;
  /* An analogue station is listed whatever else its record holds. */
  if (licence->service == DWN_LICENCE_ANALOGUE)
    return TRUE;
  if (strcmp (field[FIELD_TOWER], "-") != 0)
    licence->tower = dwn_import_run_string (run, field[FIELD_TOWER]);
  if (strcmp (field[FIELD_ON_SCREEN], "-") != 0)
    licence->on_screen = dwn_import_run_string (run, field[FIELD_ON_SCREEN]);
  return read_antenna (run, licence, field, verdict)
         && read_power (licence, field[FIELD_ERP], verdict);
}

static gboolean
refuse_kind (const DwnLines *lines, GError **error)
{
  g_set_error (error, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_FORMAT,
               _("%s:%u: no record of the query text so far; lines of %d fields between pipes "
                 "would be right"), dwn_lines_name (lines), dwn_lines_number (lines),
               N_FIELDS - 2);
  return FALSE;
}

static gboolean
refuse_size (const DwnLines *lines, GError **error)
{
  g_set_error (error, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_LIMIT,
               _("%s:%u: more than %d records; a nation's list has a few thousand"),
               dwn_lines_name (lines), dwn_lines_number (lines), RECORDS_MAX);
  return FALSE;
}

static void
read_line (DwnImportRun *run, const DwnLines *lines, char *line, GArray *licences)
{
  char *field[N_FIELDS + 2];
  g_autofree char *problem = NULL;
  Verdict verdict = { NULL };
  DwnLicence licence;
  guint n = split_line (line, field);

  dwn_licence_init (&licence);
  licence.file = dwn_lines_name (lines);
  licence.line = dwn_lines_number (lines);
  run->n_records++;
  gboolean is_usable = read_record (run, &licence, field, n, &verdict);

  /* The list is as new as its newest record, usable or not. */
  run->newest = MAX (run->newest, licence.date);
  if (is_usable)
    {
      g_array_append_val (licences, licence);
      return;
    }
  problem = verdict.problem;
  if (!dwn_licence_is_near (run, &licence.filed))
    run->n_beyond++;
  else
    dwn_import_run_skip (run, licence.file, licence.line, n > FIELD_CALL ? field[FIELD_CALL] : "",
                         verdict.reason, "%s", problem);
}

gboolean
dwn_licence_read_text (DwnImportRun *run, const DwnInput *input, GArray *licences, GError **error)
{
  g_autoptr (DwnLines) lines = dwn_lines_open (input, NULL, error);
  g_autoptr (GError) problem = NULL;
  guint already = licences->len;
  char *line;
  gsize length;

  if (lines == NULL)
    return FALSE;
  while (dwn_lines_next (lines, &line, &length, &problem))
    {
      if (!dwn_import_run_tick (run, lines, error))
        return FALSE;
      if (length > 0)
        read_line (run, lines, line, licences);
      if (dwn_lines_number (lines) == HOPELESS_LINES && licences->len == already)
        return refuse_kind (lines, error);
      if (licences->len > RECORDS_MAX)
        return refuse_size (lines, error);
    }
  if (problem != NULL)
    {
      g_propagate_error (error, g_steal_pointer (&problem));
      return FALSE;
    }
  dwn_import_run_file_done (run, lines);
  return TRUE;
}
