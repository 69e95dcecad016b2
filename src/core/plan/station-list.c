#include "core/plan/station-list.h"

#include <glib/gi18n-lib.h>
#include <glib/gstdio.h>
#include <string.h>

#include "core/plan/fields.h"
#include "core/plan/import-private.h"
#include "core/plan/station-xml.h"

/* A list being read. */
typedef struct {
  DwnXmlContext context;
  GArray *stations; /* DwnStation */
  GArray *services; /* DwnService */
  GHashTable *station_ids, *service_ids; /* sets of ids */
} Reader;

static gboolean
read_version (const Reader *reader, const xmlNode *root, GError **error)
{
  g_autofree char *text = dwn_xml_attribute (root, "version");
  double version;

  if (text == NULL || !dwn_xml_parse_number (text, &version) || version < 1)
    {
      dwn_xml_error (error, DWN_DOCUMENT_ERROR_MISSING, &reader->context, root,
                     _("<stations> has no version=\"%d.0\""), DWN_STATION_LIST_VERSION);
      return FALSE;
    }
  if (version < DWN_STATION_LIST_VERSION + 1)
    return TRUE;
  dwn_xml_error (error, DWN_DOCUMENT_ERROR_VERSION, &reader->context, root,
                 _("the list is of version %s, this program reads %d; a newer program would be "
                   "right"), text, DWN_STATION_LIST_VERSION);
  return FALSE;
}

static gboolean
refuse_double (const Reader *reader, const xmlNode *node, const char *id, GError **error)
{
  dwn_xml_error (error, DWN_DOCUMENT_ERROR_REFERENCE, &reader->context, node,
                 _("a second <%s> has the id \"%s\"; each needs one of its own"),
                 (const char *) node->name, id);
  return FALSE;
}

static gboolean
read_service (Reader *reader, const xmlNode *node, GError **error)
{
  DwnService service;

  if (!dwn_service_read_xml (&reader->context, node, &service, error))
    return FALSE;
  if (!g_hash_table_add (reader->service_ids, (gpointer) service.id))
    return refuse_double (reader, node, service.id, error);
  g_array_append_val (reader->services, service);
  return TRUE;
}

/* Before the station is read: what it names stays interned for good, even where nobody knows it. */
static gboolean
check_services (const Reader *reader, const xmlNode *node, GError **error)
{
  g_autofree char *text = dwn_xml_attribute (node, "services");
  char *end;

  for (char *id = text; id != NULL; id = end)
    {
      end = strchr (id, ' ');
      if (end != NULL)
        *end++ = '\0';
      if (*id == '\0' || g_hash_table_contains (reader->service_ids, id))
        continue;
      dwn_xml_error (error, DWN_DOCUMENT_ERROR_REFERENCE, &reader->context, node,
                     _("the station names a service \"%.80s\" that no <service> describes"), id);
      return FALSE;
    }
  return TRUE;
}

static gboolean
read_station (Reader *reader, const xmlNode *node, GError **error)
{
  DwnStation station;

  if (!check_services (reader, node, error)
      || !dwn_station_read_xml (&reader->context, node, &station, error))
    return FALSE;
  g_array_append_val (reader->stations, station); /* which owns what it holds from here on */
  return g_hash_table_add (reader->station_ids, (gpointer) station.id)
         || refuse_double (reader, node, station.id, error);
}

static gboolean
check_count (const Reader *reader, const xmlNode *node, GError **error)
{
  if (reader->stations->len < DWN_IMPORT_STATIONS_MAX
      && reader->services->len < DWN_IMPORT_STATIONS_MAX)
    return TRUE;
  dwn_xml_error (error, DWN_DOCUMENT_ERROR_RANGE, &reader->context, node,
                 _("more than %d stations or services; split the list"), DWN_IMPORT_STATIONS_MAX);
  return FALSE;
}

/* Reads the elements of one name, in their order. */
static gboolean
read_elements (Reader *reader, const xmlNode *root, const char *name,
               gboolean (*read) (Reader *reader, const xmlNode *node, GError **error),
               GError **error)
{
  for (xmlNode *node = dwn_xml_element (root->children); node != NULL;
       node = dwn_xml_element (node->next))
    if (dwn_xml_is (node, name)
        && (!check_count (reader, node, error) || !read (reader, node, error)))
      return FALSE;
  return TRUE;
}

static void
warn_of_others (const Reader *reader, const xmlNode *root)
{
  for (xmlNode *node = dwn_xml_element (root->children); node != NULL;
       node = dwn_xml_element (node->next))
    if (!dwn_xml_is (node, "service") && !dwn_xml_is (node, "station"))
      dwn_xml_warn (&reader->context, node, _("<%s> is not known here; passed over"),
                    (const char *) node->name);
}

/* Services first: stations may stand before those that they name. */
static gboolean
read_root (Reader *reader, const xmlNode *root, GError **error)
{
  warn_of_others (reader, root);
  return read_version (reader, root, error)
         && read_elements (reader, root, "service", read_service, error)
         && read_elements (reader, root, "station", read_station, error);
}

gboolean
dwn_station_list_parse (GBytes *bytes, const char *file, DwnStations **stations,
                        DwnServices **services, GPtrArray *warnings, GError **error)
{
  g_return_val_if_fail (bytes != NULL && file != NULL && stations != NULL && services != NULL,
                        FALSE);

  xmlDoc *doc = dwn_xml_parse (bytes, file, "stations", error);
  if (doc == NULL)
    return FALSE;

  g_autoptr (GArray) station_array = dwn_station_array_new ();
  g_autoptr (GArray) service_array = g_array_new (FALSE, FALSE, sizeof (DwnService));
  g_autoptr (GHashTable) station_ids = g_hash_table_new (g_str_hash, g_str_equal);
  g_autoptr (GHashTable) service_ids = g_hash_table_new (g_str_hash, g_str_equal);
  Reader reader = { { file, warnings }, station_array, service_array, station_ids, service_ids };
  xmlNode *root = xmlDocGetRootElement (doc);
  gboolean fine = read_root (&reader, root, error);

  if (fine)
    {
      g_autofree char *source = dwn_xml_attribute (root, "source");
      g_autofree char *dated = dwn_xml_attribute (root, "dated");

      *stations = dwn_stations_new (station_array->len,
                                    (const DwnStation *) (gpointer) station_array->data, source,
                                    dated);
      *services = dwn_services_new (service_array->len,
                                    (const DwnService *) (gpointer) service_array->data);
    }
  xmlFreeDoc (doc);
  return fine;
}

static GBytes *
load_bytes (const char *path, GError **error)
{
  GStatBuf status;
  char *contents;
  gsize length;

  if (g_stat (path, &status) == 0 && status.st_size > DWN_STATION_LIST_MAX_BYTES)
    {
      g_set_error (error, DWN_DOCUMENT_ERROR, DWN_DOCUMENT_ERROR_SYNTAX,
                   _("%s: larger than 64 MiB; a station list of 20,000 stations has 30"), path);
      return NULL;
    }
  if (!g_file_get_contents (path, &contents, &length, error))
    return NULL;
  return g_bytes_new_take (contents, length);
}

gboolean
dwn_station_list_load (const char *path, DwnStations **stations, DwnServices **services,
                       GPtrArray *warnings, GError **error)
{
  g_return_val_if_fail (path != NULL, FALSE);

  g_autoptr (GBytes) bytes = load_bytes (path, error);
  g_autofree char *base = g_path_get_basename (path);

  return bytes != NULL
         && dwn_station_list_parse (bytes, base, stations, services, warnings, error);
}

typedef struct {
  const DwnStations *stations;
  const DwnServices *services;
} Sheet;

static void
write_list (xmlTextWriter *writer, gconstpointer what)
{
  const Sheet *sheet = what;
  g_autofree char *version = g_strdup_printf ("%d.0", DWN_STATION_LIST_VERSION);

  xmlTextWriterStartElement (writer, (const xmlChar *) "stations");
  dwn_xml_write_attribute (writer, "version", version);
  dwn_xml_write_attribute (writer, "source", sheet->stations->source);
  dwn_xml_write_attribute (writer, "dated", sheet->stations->dated);
  for (guint i = 0; i < sheet->services->n; i++)
    dwn_service_write_xml (writer, &sheet->services->service[i]);
  for (guint i = 0; i < sheet->stations->n; i++)
    dwn_station_write_xml (writer, &sheet->stations->station[i]);
}

GBytes *
dwn_station_list_format (const DwnStations *stations, const DwnServices *services)
{
  g_return_val_if_fail (stations != NULL && services != NULL, NULL);

  const Sheet sheet = { stations, services };

  return dwn_xml_write (write_list, &sheet);
}

gboolean
dwn_station_list_save (const char *path, const DwnStations *stations, const DwnServices *services,
                       GError **error)
{
  g_return_val_if_fail (path != NULL, FALSE);

  g_autoptr (GBytes) bytes = dwn_station_list_format (stations, services);

  return dwn_xml_save (bytes, path, error);
}

static gboolean
add_station (DwnImportRun *run, const DwnStation *station, const DwnServices *services,
             GError **error)
{
  g_autofree DwnService *carried = g_new (DwnService, station->n_services);

  for (guint i = 0; i < station->n_services; i++)
    carried[i] = services->service[dwn_services_find (services, station->services[i])];
  if (!dwn_import_run_add (run, station, station->n_services, carried, error))
    return FALSE;
  if (station->pattern != NULL)
    dwn_pattern_ref (station->pattern);
  return TRUE;
}

/* As an import format: the stations within the radius, and the services that they carry. */
static gboolean
add_list (DwnImportRun *run, const DwnStations *stations, const DwnServices *services,
          const char *file, GError **error)
{
  run->newest = MAX (run->newest, stations->dated != NULL ? dwn_field_date (stations->dated) : 0);
  for (guint i = 0; i < stations->n; i++)
    {
      const DwnStation *station = &stations->station[i];

      run->n_records++;
      if (g_hash_table_contains (run->station_ids, station->id))
        dwn_import_run_skip (run, file, station->line, station->name, DWN_SKIP_DUPLICATE,
                             _("the id %s is taken by a station of a list before it"), station->id);
      else if (!dwn_import_run_within (run, &station->at))
        run->n_beyond++;
      else if (!add_station (run, station, services, error))
        return FALSE;
    }
  return TRUE;
}

gboolean
dwn_import_station_lists (DwnImportRun *run, guint n, const DwnInput *inputs, GError **error)
{
  for (guint i = 0; i < n; i++)
    {
      g_autoptr (DwnStations) stations = NULL;
      g_autoptr (DwnServices) services = NULL;
      g_autofree char *base = g_path_get_basename (inputs[i].path);
      g_autoptr (GBytes) bytes = inputs[i].bytes != NULL ? g_bytes_ref (inputs[i].bytes)
                                                         : load_bytes (inputs[i].path, error);

      if (bytes == NULL
          || !dwn_station_list_parse (bytes, base, &stations, &services, NULL, error)
          || !add_list (run, stations, services, g_intern_string (base), error))
        return FALSE;
      run->bytes_done += g_bytes_get_size (bytes);
      if (g_cancellable_set_error_if_cancelled (run->cancellable, error))
        return FALSE;
    }
  return TRUE;
}
