/* The licence family: which of its files is which, the rules for several records of one facility,
 * and what becomes of the records that are left. */
#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

#include "core/geo/datum.h"
#include "core/geo/geodesic.h"
#include "core/plan/fields.h"
#include "core/plan/import-private.h"

#define PEEK_BYTES 4096
#define SAME_SITE_M 1000.0
#define FACILITY_MAX 100 /* records; the largest distributed networks have a few tens */

typedef enum {
  FILE_TEXT,
  FILE_TABLE,
  FILE_REPACK,
  FILE_PATTERNS,
  FILE_UNKNOWN,
} FileKind;

void
dwn_licence_init (DwnLicence *licence)
{
  const double unknown = (double) NAN;

  *licence = (DwnLicence) { .tower = "", .on_screen = "", .code = "",
                            .filed = { unknown, unknown }, .at = { unknown, unknown },
                            .erp_kw = unknown, .haat_m = unknown, .agl_m = unknown,
                            .amsl_m = unknown };
}

void
dwn_licence_clear (DwnLicence *licence)
{
  g_clear_pointer (&licence->pattern, dwn_pattern_unref);
}

guint
dwn_licence_rf (const char *text)
{
  double value;

  if (!dwn_field_number (text, '.', &value) || value != floor (value) || value < 2 || value > 69)
    return 0;
  return (guint) value;
}

static void
clear_licence (gpointer licence)
{
  dwn_licence_clear (licence);
}

static gboolean
same_site (const DwnLicence *a, const DwnLicence *b)
{
  double distance_m;

  return dwn_geodesic_inverse (&a->filed, &b->filed, &distance_m, NULL, NULL, NULL)
         && distance_m <= SAME_SITE_M;
}

/* Newer first: by date, then by file number, which counts up within a day, then by place in the
 * file. */
static gint
compare_newest (gconstpointer a, gconstpointer b, gpointer data)
{
  const DwnLicence *licences = data;
  const guint ia = *(const guint *) a, ib = *(const guint *) b;
  const DwnLicence *one = &licences[ia], *other = &licences[ib];
  int files;

  if (one->facility != other->facility)
    return one->facility < other->facility ? -1 : 1;
  if (one->date != other->date)
    return one->date > other->date ? -1 : 1;
  files = strcmp (other->file_number, one->file_number);
  return files != 0 ? files : ia < ib ? -1 : 1;
}

/* TRUE where @newer, which comes first by compare_newest(), leaves no place for @older. */
static gboolean
supersedes (const DwnLicence *newer, const DwnLicence *older)
{
  if (newer->dropped || newer->service != older->service)
    return FALSE;
  if (older->service == DWN_LICENCE_MAIN)
    return TRUE;
  if (newer->rf != older->rf || !same_site (newer, older))
    return FALSE;
  /* All transmitters of one distributed network stay, two at one site too. */
  return older->service != DWN_LICENCE_DISTRIBUTED
         || strcmp (newer->file_number, older->file_number) != 0;
}

gboolean
dwn_licence_is_near (const DwnImportRun *run, const DwnLatLon *at)
{
  return isnan (at->lat_deg) || dwn_import_run_within (run, at);
}

void
dwn_licence_drop (DwnImportRun *run, DwnLicence *licence, DwnSkipReason reason, const char *text)
{
  licence->dropped = TRUE;
  if (dwn_licence_is_near (run, &licence->at))
    dwn_import_run_skip (run, licence->file, licence->line, licence->call, reason, "%s", text);
  else
    run->n_beyond++;
}

static void
drop_service (DwnImportRun *run, DwnLicence *licence)
{
  if (licence->service == DWN_LICENCE_ANALOGUE)
    dwn_licence_drop (run, licence, DWN_SKIP_ANALOGUE,
                      _("an analogue service: listed, not imported"));
  else if (licence->service == DWN_LICENCE_AUXILIARY)
    dwn_licence_drop (run, licence, DWN_SKIP_AUXILIARY,
                      _("a standby transmitter: listed, not imported"));
}

static void
drop_superseded (DwnImportRun *run, const DwnLicence *newer, DwnLicence *older)
{
  g_autofree char *text
    = g_strdup_printf (_("superseded by %s, %s:%u"), newer->file_number, newer->file,
                       newer->line);
  gboolean same = newer->date == older->date && newer->rf == older->rf
                  && strcmp (newer->file_number, older->file_number) == 0;

  dwn_licence_drop (run, older, same ? DWN_SKIP_DUPLICATE : DWN_SKIP_SUPERSEDED, text);
}

/* Records of one facility beyond any real one's number, so that a hostile list cannot make the
 * comparison of each with each last for ever. */
static guint
drop_excess (DwnImportRun *run, DwnLicence *licences, const guint *order, guint n)
{
  for (guint i = FACILITY_MAX; i < n; i++)
    dwn_licence_drop (run, &licences[order[i]], DWN_SKIP_DUPLICATE,
                      _("the facility has more records than any real one"));
  return MIN (n, FACILITY_MAX);
}

/* Compares each record of a facility with the newer ones of it. */
static void
keep_newest_of (DwnImportRun *run, DwnLicence *licences, const guint *order, guint n)
{
  n = drop_excess (run, licences, order, n);
  for (guint i = 1; i < n; i++)
    {
      DwnLicence *older = &licences[order[i]];

      for (guint j = 0; j < i && !older->dropped; j++)
        if (supersedes (&licences[order[j]], older))
          drop_superseded (run, &licences[order[j]], older);
    }
}

void
dwn_licence_keep_newest (DwnImportRun *run, GArray *licences)
{
  DwnLicence *all = (DwnLicence *) (gpointer) licences->data;
  g_autofree guint *order = g_new (guint, licences->len);
  guint n = 0;

  for (guint i = 0; i < licences->len; i++)
    {
      drop_service (run, &all[i]);
      if (!all[i].dropped)
        order[n++] = i;
    }
  g_qsort_with_data (order, (gint) n, sizeof (guint), compare_newest, all);
  for (guint from = 0, to; from < n; from = to)
    {
      for (to = from + 1; to < n; to++)
        if (all[order[to]].facility != all[order[from]].facility)
          break;
      keep_newest_of (run, all, order + from, to - from);
    }
}

/* What the records that are left say about each facility. */
typedef struct {
  guint main_rf;            /* 0: no main service */
  gboolean has_distributed;
  gboolean is_double;       /* a main and a distributed transmitter on one channel */
  const DwnLicence *leader; /* whose call sign names the service: the main one, if there is one */
} Facility;

/* Facilities by their number, and how often each id would be given. */
typedef struct {
  DwnImportRun *run;
  GHashTable *facilities;
  GHashTable *plain_ids, *site_ids; /* id -> count */
  GHashTable *taken;                /* id -> how often it was wanted */
  guint n_double, n_reference;
} Survey;

/* One record of each distributed network has the largest power of the network and neither an
 * antenna nor any height. The pattern table has the same place as the network's reference, with no
 * transmitter there. The rule is that all records of a file number stay, so one is only warned. */
static gboolean
is_reference (const DwnLicence *licence)
{
  return licence->service == DWN_LICENCE_DISTRIBUTED && licence->antenna == NULL
         && isnan (licence->haat_m) && isnan (licence->amsl_m) && isnan (licence->agl_m);
}

static Facility *
get_facility (Survey *survey, guint number)
{
  gpointer key = GUINT_TO_POINTER (number);
  Facility *facility = g_hash_table_lookup (survey->facilities, key);

  if (facility == NULL)
    {
      facility = g_new0 (Facility, 1);
      g_hash_table_insert (survey->facilities, key, facility);
    }
  return facility;
}

G_GNUC_PRINTF (2, 3)
static const char *
run_printf (DwnImportRun *run, const char *format, ...)
{
  va_list arguments;

  va_start (arguments, format);
  g_autofree char *text = g_strdup_vprintf (format, arguments);
  va_end (arguments);
  return dwn_import_run_string (run, text);
}

/* "<facility>-<service>-<rf>". */
static const char *
plain_id (const Survey *survey, const DwnLicence *licence)
{
  return run_printf (survey->run, "%u-%s-%u", licence->facility, licence->code, licence->rf);
}

/* The same with the site: its coordinates as filed, in whole minutes. */
static const char *
site_id (const Survey *survey, const DwnLicence *licence)
{
  guint lat = (guint) floor (fabs (licence->filed.lat_deg) * 60 + 1e-9);
  guint lon = (guint) floor (fabs (licence->filed.lon_deg) * 60 + 1e-9);

  return run_printf (survey->run, "%s-%02u%02u%c%03u%02u%c", plain_id (survey, licence), lat / 60,
                     lat % 60, licence->filed.lat_deg < 0 ? 'S' : 'N', lon / 60, lon % 60,
                     licence->filed.lon_deg < 0 ? 'W' : 'E');
}

static guint
count_id (GHashTable *ids, const char *id, guint more)
{
  guint count = GPOINTER_TO_UINT (g_hash_table_lookup (ids, id)) + more;

  if (more > 0)
    g_hash_table_insert (ids, (gpointer) id, GUINT_TO_POINTER (count));
  return count;
}

static void
survey_licence (Survey *survey, const DwnLicence *licence)
{
  Facility *facility = get_facility (survey, licence->facility);

  if (facility->leader == NULL || licence->service < facility->leader->service)
    facility->leader = licence;
  if (licence->service == DWN_LICENCE_MAIN)
    facility->main_rf = licence->rf;
  facility->has_distributed |= licence->service == DWN_LICENCE_DISTRIBUTED;
  if (!is_reference (licence))
    count_id (survey->plain_ids, plain_id (survey, licence), 1);
}

/* One transmitter alone on its channel needs no site in its id. */
static gboolean
needs_site (const Survey *survey, const DwnLicence *licence)
{
  return licence->service == DWN_LICENCE_DISTRIBUTED
         || count_id (survey->plain_ids, plain_id (survey, licence), 0) > 1;
}

/* What takes all records to have been counted. */
static void
survey_again (Survey *survey, const DwnLicence *licence)
{
  Facility *facility = get_facility (survey, licence->facility);
  gboolean is_near = dwn_licence_is_near (survey->run, &licence->at);

  if (is_reference (licence))
    survey->n_reference += is_near;
  else if (needs_site (survey, licence))
    count_id (survey->site_ids, site_id (survey, licence), 1);
  if (licence->service != DWN_LICENCE_DISTRIBUTED || facility->main_rf != licence->rf
      || facility->is_double)
    return;
  facility->is_double = is_near;
  survey->n_double += is_near;
}

static void
survey_init (Survey *survey, DwnImportRun *run, const DwnLicence *licences, guint n)
{
  survey->run = run;
  survey->n_double = survey->n_reference = 0;
  survey->facilities = g_hash_table_new_full (g_direct_hash, g_direct_equal, NULL, g_free);
  survey->plain_ids = g_hash_table_new (g_str_hash, g_str_equal);
  survey->site_ids = g_hash_table_new (g_str_hash, g_str_equal);
  survey->taken = g_hash_table_new (g_str_hash, g_str_equal);
  for (guint i = 0; i < n; i++)
    if (!licences[i].dropped)
      survey_licence (survey, &licences[i]);
  for (guint i = 0; i < n; i++)
    if (!licences[i].dropped)
      survey_again (survey, &licences[i]);
}

static void
survey_clear (Survey *survey)
{
  g_hash_table_unref (survey->facilities);
  g_hash_table_unref (survey->plain_ids);
  g_hash_table_unref (survey->site_ids);
  g_hash_table_unref (survey->taken);
}

/* An id made of the record's own facts, so that another list with the same facts gives the same:
 * the site where a facility has several transmitters on the channel (always for distributed
 * ones), the antenna where two stand at one site. */
static const char *
own_id (const Survey *survey, const DwnLicence *licence)
{
  const char *site, *longer = NULL;

  if (!needs_site (survey, licence))
    return plain_id (survey, licence);
  site = site_id (survey, licence);
  if (is_reference (licence))
    longer = run_printf (survey->run, "%s.reference", site);
  else if (count_id (survey->site_ids, site, 0) > 1 && licence->antenna != NULL)
    longer = run_printf (survey->run, "%s.%s", site, licence->antenna);
  return longer != NULL && dwn_station_id_is_valid (longer) ? longer : site;
}

/* A number goes behind it only where even that is the same. It counts up from the last one given,
 * and goes on where another record's own id looks like it. */
static const char *
choose_id (Survey *survey, const DwnLicence *licence)
{
  const char *own = own_id (survey, licence), *id = own;

  for (guint again = count_id (survey->taken, own, 1); again > 1;
       again = count_id (survey->taken, own, 1))
    {
      id = run_printf (survey->run, "%s.%u", own, again);
      if (count_id (survey->taken, id, 0) == 0)
        {
          count_id (survey->taken, id, 1);
          break;
        }
    }
  return id;
}

static DwnStationKind
kind_of (const DwnLicence *licence, const Facility *facility)
{
  switch (licence->service)
    {
    case DWN_LICENCE_DISTRIBUTED:
      return DWN_STATION_DISTRIBUTED;
    case DWN_LICENCE_LOW_POWER:
      /* A low-power licence under the facility id of a main station fills a gap of it. */
      return facility->main_rf != 0 || facility->has_distributed ? DWN_STATION_FILL_IN
                                                                 : DWN_STATION_LOW_POWER;
    case DWN_LICENCE_CLASS_A:
      return DWN_STATION_LOW_POWER;
    default:
      return DWN_STATION_MAIN;
    }
}

static void
fill_station (DwnImportRun *run, const DwnLicence *licence, const Facility *facility,
              const char *id, DwnStation *station)
{
  *station = (DwnStation) {
    .id = id, .name = dwn_import_run_string (run, licence->call),
    .site = *licence->tower != '\0' ? run_printf (run, "ASR %s", licence->tower) : "",
    .kind = kind_of (licence, facility),
    .system = licence->atsc3 ? DWN_SYSTEM_ATSC3 : DWN_SYSTEM_ATSC1,
    .rf = run_printf (run, "%u", licence->rf), .at = licence->at, .erp_kw = licence->erp_kw, .haat_m = licence->haat_m,
    .agl_m = licence->agl_m, .amsl_m = licence->amsl_m, .polarisation = licence->polarisation,
    .pattern = licence->pattern, .line = licence->line,
  };
  if (licence->service == DWN_LICENCE_DISTRIBUTED)
    station->network = run_printf (run, "us-%u", licence->facility);
}

/* Works out frequency and band, and checks all of it. */
static gboolean
complete_station (DwnStation *station, GError **error)
{
  DwnChannel channel;

  if (!dwn_channel_find (station->system, station->rf, &channel, error))
    return FALSE;
  station->mhz = channel.centre_mhz;
  station->band = channel.band;
  return dwn_station_check (station, error);
}

/* FALSE with @error only where the whole import must stop. */
static gboolean
build_one (Survey *survey, DwnLicence *licence, GError **error)
{
  DwnImportRun *run = survey->run;
  const Facility *facility = get_facility (survey, licence->facility);
  const char *id = choose_id (survey, licence);
  g_autoptr (GError) problem = NULL;
  DwnStation station;

  if (!dwn_import_run_within (run, &licence->at))
    {
      run->n_beyond++;
      return TRUE;
    }
  fill_station (run, licence, facility, id, &station);
  if (!complete_station (&station, &problem))
    {
      dwn_licence_drop (run, licence, DWN_SKIP_FIELD, problem->message);
      return TRUE;
    }

  DwnService service = { .id = run_printf (run, "%u", licence->facility),
                         .name = dwn_import_run_string (run, facility->leader->call),
                         .on_screen = licence->on_screen };
  if (!dwn_import_run_add (run, &station, 1, &service, error))
    return FALSE;
  run->n_without_pattern += licence->directional && licence->pattern == NULL;
  licence->pattern = NULL; /* the station has it now */
  return TRUE;
}

gboolean
dwn_licence_build (DwnImportRun *run, GArray *licences, GError **error)
{
  DwnLicence *all = (DwnLicence *) (gpointer) licences->data;
  gboolean fine = TRUE;
  Survey survey;

  survey_init (&survey, run, all, licences->len);
  for (guint i = 0; i < licences->len && fine; i++)
    if (!all[i].dropped)
      fine = build_one (&survey, &all[i], error);
  dwn_import_run_warn (run, DWN_IMPORT_WARNING_DOUBLE, survey.n_double,
                       _("%u facilities have a main and a distributed licence on one channel; "
                         "both are imported"), survey.n_double);
  dwn_import_run_warn (run, DWN_IMPORT_WARNING_REFERENCE, survey.n_reference,
                       _("%u distributed transmitters without antenna and heights on file: each is "
                         "probably the reference point of its network, where nothing transmits"),
                       survey.n_reference);
  survey_clear (&survey);
  return fine;
}

/* Which file of the family @head is the beginning of. */
static FileKind
kind_of_head (GBytes *head)
{
  gsize size;
  const char *bytes = g_bytes_get_data (head, &size);
  g_autofree char *text = NULL;

  if (dwn_input_is_zip (head))
    return FILE_TABLE;
  if (size >= 3 && memcmp (bytes, "\357\273\277", 3) == 0)
    {
      bytes += 3;
      size -= 3;
    }
  text = g_strndup (bytes, size);
  g_strstrip (text);
  if (*text == '|')
    return FILE_TEXT;
  if (strstr (text, "FacID,SrcKey,") != NULL)
    return FILE_PATTERNS;
  if (g_str_has_prefix (text, "FacID,"))
    return FILE_REPACK;
  if (strstr (text, "|^|") != NULL)
    return FILE_TABLE;
  return FILE_UNKNOWN;
}

static gboolean
find_kind (const DwnInput *input, FileKind *kind, GError **error)
{
  g_autoptr (GBytes) head = dwn_input_peek (input, PEEK_BYTES, error);

  if (head == NULL)
    return FALSE;
  if (g_bytes_get_size (head) == 0)
    {
      g_set_error (error, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_EMPTY, _("%s:1: the file is empty"),
                   input->path);
      return FALSE;
    }
  *kind = kind_of_head (head);
  if (*kind != FILE_UNKNOWN)
    return TRUE;
  g_set_error (error, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_FORMAT,
               _("%s:1: neither the query text (lines between pipes), nor a licence table (zip, or "
                 "lines that end in |^|), nor the post-repack or the pattern table (columns from "
                 "FacID on)"), input->path);
  return FALSE;
}

static gboolean
refuse_family (const DwnInput *input, gboolean tables, GError **error)
{
  g_set_error (error, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_FORMAT,
               tables
                 ? _("%s:1: this is the query text; the format licence-text would be right")
                 : _("%s:1: this is a licence table; the format licence-tables would be right"),
               input->path);
  return FALSE;
}

/* The family's files, sorted by what they are. */
typedef struct {
  GArray *main;     /* DwnInput: texts, or tables */
  GArray *repack;
  GArray *patterns;
} Files;

static gboolean
sort_files (Files *files, gboolean tables, guint n, const DwnInput *inputs, GError **error)
{
  for (guint i = 0; i < n; i++)
    {
      FileKind kind;

      if (!find_kind (&inputs[i], &kind, error))
        return FALSE;
      if (kind == FILE_REPACK)
        g_array_append_val (files->repack, inputs[i]);
      else if (kind == FILE_PATTERNS)
        g_array_append_val (files->patterns, inputs[i]);
      else if (tables == (kind == FILE_TABLE))
        g_array_append_val (files->main, inputs[i]);
      else
        return refuse_family (&inputs[i], tables, error);
    }
  if (files->main->len > 0)
    return TRUE;
  g_set_error (error, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_EMPTY,
               _("%s: a table that stands beside licences; the licences themselves are missing"),
               inputs[0].path);
  return FALSE;
}

/* Moves what was filed in NAD27 to WGS 84. */
static void
place_licences (DwnImportRun *run, gboolean nad27, GArray *licences)
{
  guint unknown = 0;

  for (guint i = 0; i < licences->len; i++)
    {
      DwnLicence *licence = &g_array_index (licences, DwnLicence, i);

      licence->at = licence->filed;
      if (nad27 && !isnan (licence->filed.lat_deg)
          && !dwn_datum_nad27_to_wgs84 (&licence->filed, &licence->at, NULL))
        unknown++;
    }
  dwn_import_run_warn (run, DWN_IMPORT_WARNING_DATUM, unknown,
                       _("%u records outside the area for which the shift from NAD27 is known: "
                         "their coordinates are taken as they stand"), unknown);
}

static gboolean
read_main (DwnImportRun *run, gboolean tables, const GArray *main, GArray *licences,
           GError **error)
{
  if (tables)
    return dwn_licence_read_tables (run, main->len, (const DwnInput *) (gpointer) main->data,
                                    licences, error);
  for (guint i = 0; i < main->len; i++)
    if (!dwn_licence_read_text (run, &g_array_index (main, DwnInput, i), licences, error))
      return FALSE;
  return TRUE;
}

static gboolean
refuse_without_records (const Files *files, GError **error)
{
  g_set_error (error, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_EMPTY,
               _("%s: there is no licence record in it"),
               g_array_index (files->main, DwnInput, 0).path);
  return FALSE;
}

static gboolean
import_sorted (DwnImportRun *run, gboolean tables, const Files *files, GArray *licences,
               GError **error)
{
  g_autofree char *source = g_path_get_basename (g_array_index (files->main, DwnInput, 0).path);

  run->source = g_intern_string (source);
  if (!read_main (run, tables, files->main, licences, error))
    return FALSE;
  if (run->n_records == 0)
    return refuse_without_records (files, error);
  place_licences (run, !tables && run->options->datum == DWN_DATUM_NAD27, licences);
  dwn_licence_keep_newest (run, licences);
  for (guint i = 0; i < files->repack->len; i++)
    if (!dwn_licence_apply_repack (run, &g_array_index (files->repack, DwnInput, i), licences,
                                   error))
      return FALSE;
  for (guint i = 0; i < files->patterns->len; i++)
    if (!dwn_licence_apply_patterns (run, &g_array_index (files->patterns, DwnInput, i), licences,
                                     error))
      return FALSE;
  return dwn_licence_build (run, licences, error);
}

gboolean
dwn_import_licences (DwnImportRun *run, gboolean tables, guint n, const DwnInput *inputs,
                     GError **error)
{
  g_autoptr (GArray) main = g_array_new (FALSE, FALSE, sizeof (DwnInput));
  g_autoptr (GArray) repack = g_array_new (FALSE, FALSE, sizeof (DwnInput));
  g_autoptr (GArray) patterns = g_array_new (FALSE, FALSE, sizeof (DwnInput));
  g_autoptr (GArray) licences = g_array_new (FALSE, FALSE, sizeof (DwnLicence));
  Files files = { main, repack, patterns };

  g_array_set_clear_func (licences, clear_licence);
  return sort_files (&files, tables, n, inputs, error)
         && import_sorted (run, tables, &files, licences, error);
}
