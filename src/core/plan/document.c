#include "core/plan/document.h"

#include <glib/gi18n-lib.h>
#include <glib/gstdio.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/antenna/stack.h"
#include "core/data/data.h"
#include "core/plan/document-private.h"

/* What is read so far. Everything is owned. */
typedef struct {
  DwnXmlContext context;
  const DwnPartList *parts;
  DwnCatalogue *catalogue;
  int major, minor;
  DwnSite *site;
  DwnMethod *method;
  GArray *services, *stations;      /* DwnService, DwnStation */
  const char *stations_source, *stations_dated;
  GHashTable *antennas;             /* id -> DwnPattern, those that stand in the plan */
  DwnGearDraft gear;
  DwnPaths *paths;
  DwnReadings *readings;
} Reader;

static void
reader_clear (Reader *self)
{
  g_clear_pointer (&self->site, dwn_site_unref);
  g_clear_pointer (&self->method, dwn_method_unref);
  g_clear_pointer (&self->services, g_array_unref);
  g_clear_pointer (&self->stations, g_array_unref);
  g_clear_pointer (&self->antennas, g_hash_table_unref);
  dwn_gear_draft_clear (&self->gear);
  g_clear_pointer (&self->paths, dwn_paths_unref);
  g_clear_pointer (&self->readings, dwn_readings_unref);
}

static gboolean
read_version (Reader *self, const xmlNode *root, GError **error)
{
  g_autofree char *text = dwn_xml_attribute (root, "version");

  if (text == NULL || sscanf (text, "%4d.%4d", &self->major, &self->minor) != 2)
    {
      dwn_xml_error (error, DWN_DOCUMENT_ERROR_VERSION, &self->context, root,
                     _("<downlead> has no version such as \"%d.%d\""), DWN_DOCUMENT_MAJOR,
                     DWN_DOCUMENT_MINOR);
      return FALSE;
    }
  if (self->major > DWN_DOCUMENT_MAJOR)
    {
      dwn_xml_error (error, DWN_DOCUMENT_ERROR_VERSION, &self->context, root,
                     _("the plan has format %s, written by a newer Downlead; this one reads up to "
                       "%d.x: install a newer one, or save it there as an older format"),
                     text, DWN_DOCUMENT_MAJOR);
      return FALSE;
    }
  if (self->major == DWN_DOCUMENT_MAJOR && self->minor > DWN_DOCUMENT_MINOR)
    dwn_xml_warn (&self->context, root,
                  _("the plan has format %s, a little newer than this program: what it does not "
                    "know is passed over"), text);
  return TRUE;
}

static gboolean
refuse_twice (Reader *self, const xmlNode *node, gboolean already, GError **error)
{
  if (already)
    dwn_xml_error (error, DWN_DOCUMENT_ERROR_REFERENCE, &self->context, node,
                   _("<%s> stands here a second time; keep one"), (const char *) node->name);
  return !already;
}

static gboolean
read_site_element (Reader *self, xmlNode *node, GError **error)
{
  if (!refuse_twice (self, node, self->site != NULL, error))
    return FALSE;
  self->site = dwn_site_read_xml (&self->context, node, self->parts, error);
  return self->site != NULL;
}

static gboolean
read_method_element (Reader *self, xmlNode *node, GError **error)
{
  if (!refuse_twice (self, node, self->method != NULL, error))
    return FALSE;
  self->method = dwn_method_read_xml (&self->context, node, error);
  return self->method != NULL;
}

static gboolean
unknown_child (Reader *self, const xmlNode *child)
{
  dwn_xml_warn (&self->context, child, _("<%s> is not known here; passed over"),
                (const char *) child->name);
  return TRUE;
}

static gboolean
read_service (Reader *self, xmlNode *node, GError **error)
{
  DwnService service;

  if (!dwn_service_read_xml (&self->context, node, &service, error))
    return FALSE;
  g_array_append_val (self->services, service);
  return TRUE;
}

static gboolean
read_station (Reader *self, xmlNode *node, GError **error)
{
  DwnStation station;

  if (!dwn_station_read_xml (&self->context, node, &station, error))
    return FALSE;
  g_array_append_val (self->stations, station);
  return TRUE;
}

/* Elements of one kind inside another. */
static gboolean
read_children (Reader *self, xmlNode *parent, const char *name,
               gboolean (*read) (Reader *, xmlNode *, GError **), GError **error)
{
  for (xmlNode *child = dwn_xml_element (parent->children); child != NULL;
       child = dwn_xml_element (child->next))
    if (dwn_xml_is (child, name) ? !read (self, child, error) : !unknown_child (self, child))
      return FALSE;
  return TRUE;
}

static gboolean
read_services_element (Reader *self, xmlNode *node, GError **error)
{
  return read_children (self, node, "service", read_service, error);
}

static gboolean
read_stations_element (Reader *self, xmlNode *node, GError **error)
{
  g_autofree char *source = dwn_xml_attribute (node, "source");
  g_autofree char *dated = dwn_xml_attribute (node, "dated");

  self->stations_source = g_intern_string (source);
  self->stations_dated = g_intern_string (dated);
  return read_children (self, node, "station", read_station, error);
}

static gboolean
read_antenna_element (Reader *self, xmlNode *node, GError **error)
{
  xmlChar *content = xmlNodeGetContent (node);
  gsize size = strlen ((const char *) content);
  g_autoptr (GBytes) bytes = g_bytes_new_with_free_func (content, size, xmlFree, content);
  g_autoptr (GError) reason = NULL;
  g_autoptr (DwnAntenna) antenna = dwn_antenna_parse (bytes, "<antenna>", &reason);

  if (antenna == NULL)
    {
      dwn_xml_error (error, DWN_DOCUMENT_ERROR_RANGE, &self->context, node, "%s", reason->message);
      return FALSE;
    }
  g_hash_table_replace (self->antennas, (gpointer) g_intern_string (antenna->pattern->id),
                        dwn_pattern_ref (antenna->pattern));
  return TRUE;
}

static gboolean
read_gear_element (Reader *self, xmlNode *node, GError **error)
{
  return dwn_gear_draft_read_xml (&self->gear, &self->context, node, error);
}

static gboolean
read_paths_element (Reader *self, xmlNode *node, GError **error)
{
  if (!refuse_twice (self, node, self->paths != NULL, error))
    return FALSE;
  self->paths = dwn_paths_read_xml (&self->context, node, error);
  return self->paths != NULL;
}

static gboolean
read_readings_element (Reader *self, xmlNode *node, GError **error)
{
  if (!refuse_twice (self, node, self->readings != NULL, error))
    return FALSE;
  self->readings = dwn_readings_read_xml (&self->context, node, error);
  return self->readings != NULL;
}

static const struct {
  const char *name;
  gboolean (*read) (Reader *self, xmlNode *node, GError **error);
} elements[] = {
  { "site", read_site_element },
  { "method", read_method_element },
  { "services", read_services_element },
  { "stations", read_stations_element },
  { "antenna", read_antenna_element },
  { "gear", read_gear_element },
  { "paths", read_paths_element },
  { "readings", read_readings_element },
};

static gboolean
read_element (Reader *self, xmlNode *node, GError **error)
{
  for (gsize i = 0; i < G_N_ELEMENTS (elements); i++)
    if (dwn_xml_is (node, elements[i].name))
      return elements[i].read (self, node, error);
  return unknown_child (self, node);
}

static gboolean
read_elements (Reader *self, xmlNode *root, GError **error)
{
  for (xmlNode *node = dwn_xml_element (root->children); node != NULL;
       node = dwn_xml_element (node->next))
    if (!read_element (self, node, error))
      return FALSE;
  if (self->site != NULL)
    return TRUE;
  dwn_xml_error (error, DWN_DOCUMENT_ERROR_MISSING, &self->context, root,
                 _("the plan has no <site lat=\"…\" lon=\"…\">"));
  return FALSE;
}

/* Ids are unique, and every service that a station carries is in the list. */
static gboolean
check_references (Reader *self, const xmlNode *root, GError **error)
{
  g_autoptr (GHashTable) services = g_hash_table_new (NULL, NULL);
  g_autoptr (GHashTable) stations = g_hash_table_new (NULL, NULL);

  for (guint i = 0; i < self->services->len; i++)
    {
      const DwnService *service = &g_array_index (self->services, DwnService, i);
      if (!g_hash_table_add (services, (gpointer) service->id))
        {
          dwn_xml_error (error, DWN_DOCUMENT_ERROR_REFERENCE, &self->context, root,
                         _("two services have the id %s; ids are unique"), service->id);
          return FALSE;
        }
    }
  for (guint i = 0; i < self->stations->len; i++)
    {
      const DwnStation *station = &g_array_index (self->stations, DwnStation, i);
      if (!g_hash_table_add (stations, (gpointer) station->id))
        {
          dwn_xml_error (error, DWN_DOCUMENT_ERROR_REFERENCE, &self->context, root,
                         _("two stations have the id %s; ids are unique"), station->id);
          return FALSE;
        }
      for (guint s = 0; s < station->n_services; s++)
        if (!g_hash_table_contains (services, station->services[s]))
          {
            dwn_xml_error (error, DWN_DOCUMENT_ERROR_REFERENCE, &self->context, root,
                           _("station %s carries the service %s, which is not in <services>"),
                           station->id, station->services[s]);
            return FALSE;
          }
    }
  return TRUE;
}

static DwnPattern *
find_pattern (gpointer user_data, const char *id, GError **error)
{
  Reader *self = user_data;
  DwnPattern *pattern = g_hash_table_lookup (self->antennas, g_intern_string (id));

  return pattern != NULL ? dwn_pattern_ref (pattern)
                         : dwn_catalogue_pattern (self->catalogue, id, error);
}

static void
fill_gaps (Reader *self)
{
  if (self->method == NULL)
    {
      DwnMethod method;
      dwn_method_init (&method);
      self->method = dwn_method_new (&method);
    }
  if (self->paths == NULL)
    self->paths = dwn_paths_new (0, NULL, NULL);
  if (self->readings == NULL)
    self->readings = dwn_readings_new (0, NULL);
}

static DwnPlan *
assemble (Reader *self, GError **error)
{
  g_autoptr (DwnAims) aims = NULL;
  g_autoptr (DwnChain) gear = dwn_gear_draft_finish (&self->gear, &self->context, self->parts,
                                                     find_pattern, self, &aims, error);

  if (gear == NULL)
    return NULL;
  fill_gaps (self);
  g_autoptr (DwnServices) services =
    dwn_services_new (self->services->len, (const DwnService *) (gpointer) self->services->data);
  g_autoptr (DwnStations) stations =
    dwn_stations_new (self->stations->len, (const DwnStation *) (gpointer) self->stations->data,
                      self->stations_source, self->stations_dated);
  const DwnPlan parts = {
    .site = self->site, .stations = stations, .services = services, .gear = gear, .aims = aims,
    .paths = self->paths, .readings = self->readings, .method = self->method,
  };
  return dwn_plan_new (&parts);
}

DwnPlan *
dwn_plan_read (GBytes *bytes, const char *file, const DwnPartList *parts, DwnCatalogue *catalogue,
               GPtrArray *warnings, GError **error)
{
  g_return_val_if_fail (bytes != NULL && file != NULL, NULL);

  xmlDoc *doc = dwn_xml_parse (bytes, file, "downlead", error);
  DwnPlan *plan = NULL;

  if (doc == NULL)
    return NULL;
  Reader reader = {
    .context = { file, warnings }, .parts = parts, .catalogue = catalogue,
    .services = g_array_new (FALSE, FALSE, sizeof (DwnService)),
    .stations = dwn_station_array_new (),
    .antennas = g_hash_table_new_full (NULL, NULL, NULL, (GDestroyNotify) dwn_pattern_unref),
  };
  xmlNode *root = xmlDocGetRootElement (doc);

  dwn_gear_draft_init (&reader.gear);
  if (read_version (&reader, root, error) && read_elements (&reader, root, error)
      && check_references (&reader, root, error))
    plan = assemble (&reader, error);
  reader_clear (&reader);
  xmlFreeDoc (doc);
  return plan;
}

DwnPlan *
dwn_plan_load (const char *path, const DwnPartList *parts, DwnCatalogue *catalogue,
               GPtrArray *warnings, GError **error)
{
  g_return_val_if_fail (path != NULL, NULL);

  g_autoptr (GBytes) bytes = dwn_data_read_file (path, error);
  if (bytes == NULL)
    return NULL;
  g_autofree char *base = g_path_get_basename (path);

  return dwn_plan_read (bytes, base, parts, catalogue, warnings, error);
}

/* An antenna that another machine's program does not carry goes into the plan. */
static void
write_antennas (xmlTextWriter *writer, const DwnPlan *plan, DwnCatalogue *catalogue)
{
  g_autoptr (GHashTable) written = g_hash_table_new (g_str_hash, g_str_equal);

  for (guint a = 0; a < plan->gear->n_antennas; a++)
    {
      const DwnPattern *pattern = plan->gear->part[plan->gear->antenna[a]].pattern;
      DwnStackId stack;
      int entry = dwn_catalogue_find (catalogue, dwn_stack_id_parse (pattern->id, &stack) ? stack.of
                                                                                          : pattern->id);

      if ((entry >= 0 && !dwn_catalogue_entry (catalogue, (gsize) entry)->personal)
          || !g_hash_table_add (written, (gpointer) pattern->id))
        continue;
      const DwnAntenna values = { .pattern = pattern, .feed_ohm = (double) NAN,
                                  .balun_db = (double) NAN };
      g_autoptr (DwnAntenna) antenna = dwn_antenna_new (&values);
      g_autofree char *text = dwn_antenna_to_text (antenna);
      xmlTextWriterWriteElement (writer, (const xmlChar *) "antenna", (const xmlChar *) text);
    }
}

static void
write_services (xmlTextWriter *writer, const DwnServices *services)
{
  xmlTextWriterStartElement (writer, (const xmlChar *) "services");
  for (guint i = 0; i < services->n; i++)
    dwn_service_write_xml (writer, &services->service[i]);
  xmlTextWriterEndElement (writer);
}

static void
write_stations (xmlTextWriter *writer, const DwnStations *stations)
{
  xmlTextWriterStartElement (writer, (const xmlChar *) "stations");
  dwn_xml_write_attribute (writer, "source", stations->source);
  dwn_xml_write_attribute (writer, "dated", stations->dated);
  for (guint i = 0; i < stations->n; i++)
    dwn_station_write_xml (writer, &stations->station[i]);
  xmlTextWriterEndElement (writer);
}

typedef struct {
  const DwnPlan *plan;
  DwnCatalogue *catalogue;
} Sheet;

static void
write_plan (xmlTextWriter *writer, gconstpointer what)
{
  const Sheet *sheet = what;
  const DwnPlan *plan = sheet->plan;
  g_autofree char *version = g_strdup_printf ("%d.%d", DWN_DOCUMENT_MAJOR, DWN_DOCUMENT_MINOR);

  xmlTextWriterStartElement (writer, (const xmlChar *) "downlead");
  dwn_xml_write_attribute (writer, "version", version);
  dwn_site_write_xml (writer, plan->site);
  dwn_method_write_xml (writer, plan->method);
  write_services (writer, plan->services);
  write_stations (writer, plan->stations);
  write_antennas (writer, plan, sheet->catalogue);
  dwn_gear_write_xml (writer, plan->gear, plan->aims);
  dwn_paths_write_xml (writer, plan->paths);
  dwn_readings_write_xml (writer, plan->readings);
}

GBytes *
dwn_plan_write (const DwnPlan *plan, DwnCatalogue *catalogue)
{
  g_return_val_if_fail (plan != NULL, NULL);

  const Sheet sheet = { plan, catalogue };

  return dwn_xml_write (write_plan, &sheet);
}

/* A copy of the old file beside it. */
static gboolean
keep_previous (const char *path, GError **error)
{
  g_autofree char *backup = g_strconcat (path, "~", NULL);
  g_autofree char *bytes = NULL;
  gsize size;

  if (!g_file_test (path, G_FILE_TEST_EXISTS))
    return TRUE;
  return g_file_get_contents (path, &bytes, &size, error)
         && g_file_set_contents_full (backup, bytes, (gssize) size,
                                      G_FILE_SET_CONTENTS_CONSISTENT, 0666, error);
}

gboolean
dwn_plan_save (const DwnPlan *plan, DwnCatalogue *catalogue, const char *path, GError **error)
{
  g_return_val_if_fail (path != NULL, FALSE);

  g_autoptr (GBytes) bytes = dwn_plan_write (plan, catalogue);

  return (bytes == NULL || keep_previous (path, error)) && dwn_xml_save (bytes, path, error);
}
