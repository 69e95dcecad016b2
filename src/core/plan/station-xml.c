#include "core/plan/station-xml.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

/* Choices go by functions that take an int; an enum's own cannot be called through that type. */
static const char *wanted_id (int value) { return value == DWN_WANTED_NO ? NULL : dwn_wanted_id ((DwnWanted) value); }
static const char *kind_id (int value) { return dwn_station_kind_id ((DwnStationKind) value); }
static const char *system_id (int value) { return dwn_system_id ((DwnSystem) value); }
static const char *polarisation_id (int value) { return dwn_polarisation_id ((DwnPolarisation) value); }

static gboolean
wanted_of (const char *id, int *value)
{
  DwnWanted wanted;
  gboolean known = dwn_wanted_from_id (id, &wanted);

  if (known)
    *value = (int) wanted;
  return known;
}

static gboolean
kind_of (const char *id, int *value)
{
  DwnStationKind kind;
  gboolean known = dwn_station_kind_from_id (id, &kind);

  if (known)
    *value = (int) kind;
  return known;
}

static gboolean
system_of (const char *id, int *value)
{
  DwnSystem system;
  gboolean known = dwn_system_from_id (id, &system, NULL);

  if (known)
    *value = (int) system;
  return known;
}

static gboolean
polarisation_of (const char *id, int *value)
{
  for (int p = DWN_POLARISATION_HORIZONTAL; p <= DWN_POLARISATION_CIRCULAR; p++)
    if (g_str_equal (id, polarisation_id (p)))
      {
        *value = p;
        return TRUE;
      }
  return FALSE;
}

static const DwnXmlField service_fields[] = {
  { "id", DWN_FIELD_STRING, offsetof (DwnService, id), TRUE },
  { "name", DWN_FIELD_STRING, offsetof (DwnService, name) },
  { "on-screen", DWN_FIELD_STRING, offsetof (DwnService, on_screen) },
  { "wanted", DWN_FIELD_CHOICE, offsetof (DwnService, wanted), FALSE, 0, 0, wanted_id, wanted_of,
    "no, like, must" },
};

static const DwnXmlField station_fields[] = {
  { "id", DWN_FIELD_STRING, offsetof (DwnStation, id), TRUE },
  { "name", DWN_FIELD_STRING, offsetof (DwnStation, name), TRUE },
  { "site", DWN_FIELD_STRING, offsetof (DwnStation, site) },
  { "kind", DWN_FIELD_CHOICE, offsetof (DwnStation, kind), FALSE, 0, 0, kind_id, kind_of,
    "main, low-power, fill-in, distributed" },
  { "system", DWN_FIELD_CHOICE, offsetof (DwnStation, system), TRUE, 0, 0, system_id, system_of,
    "atsc1, atsc3, dvbt7, dvbt8, dvbt2-7, dvbt2-8, isdbt-jp, isdbt-br" },
  { "mode", DWN_FIELD_STRING, offsetof (DwnStation, mode) },
  { "rf", DWN_FIELD_STRING, offsetof (DwnStation, rf), TRUE },
  { "lat", DWN_FIELD_NUMBER, offsetof (DwnStation, at.lat_deg), TRUE, -90, 90 },
  { "lon", DWN_FIELD_NUMBER, offsetof (DwnStation, at.lon_deg), TRUE, -180, 180 },
  { "erp-kw", DWN_FIELD_NUMBER, offsetof (DwnStation, erp_kw), TRUE, 0, DWN_STATION_ERP_MAX_KW },
  { "haat-m", DWN_FIELD_NUMBER, offsetof (DwnStation, haat_m), FALSE, -9000, 9000 },
  { "agl-m", DWN_FIELD_NUMBER, offsetof (DwnStation, agl_m), FALSE, 0, 2000 },
  { "amsl-m", DWN_FIELD_NUMBER, offsetof (DwnStation, amsl_m), FALSE, -500, 9000 },
  { "polarisation", DWN_FIELD_CHOICE, offsetof (DwnStation, polarisation), FALSE, 0, 0,
    polarisation_id, polarisation_of, "h, v, c" },
  { "network", DWN_FIELD_STRING, offsetof (DwnStation, network) },
  { "delay-us", DWN_FIELD_NUMBER, offsetof (DwnStation, delay_us), FALSE, -10000, 10000 },
  { "line", DWN_FIELD_INTEGER, offsetof (DwnStation, line), FALSE, 0, G_MAXINT },
};

gboolean
dwn_service_read_xml (const DwnXmlContext *context, const xmlNode *node, DwnService *service,
                      GError **error)
{
  *service = (DwnService) { .name = g_intern_string (""), .on_screen = g_intern_string ("") };
  if (!dwn_xml_read_fields (context, node, service_fields, G_N_ELEMENTS (service_fields), NULL,
                            service, error))
    return FALSE;
  if (!dwn_station_id_is_valid (service->id))
    {
      dwn_xml_error (error, DWN_DOCUMENT_ERROR_RANGE, context, node,
                     _("id=\"%.40s\" of <service> may only have letters, digits and . _ : -"),
                     service->id);
      return FALSE;
    }
  if (service->name[0] == '\0')
    service->name = service->id;
  return TRUE;
}

void
dwn_service_write_xml (xmlTextWriter *writer, const DwnService *service)
{
  xmlTextWriterStartElement (writer, (const xmlChar *) "service");
  dwn_xml_write_fields (writer, service_fields, G_N_ELEMENTS (service_fields), service);
  xmlTextWriterEndElement (writer);
}

static void
read_service_ids (const xmlNode *node, DwnStation *station)
{
  g_autofree char *text = dwn_xml_attribute (node, "services");
  g_auto (GStrv) ids = g_strsplit (text != NULL ? text : "", " ", -1);
  GPtrArray *services = g_ptr_array_new ();

  for (char **id = ids; *id != NULL; id++)
    if ((*id)[0] != '\0')
      g_ptr_array_add (services, (gpointer) g_intern_string (*id));
  station->n_services = services->len;
  station->services = (const char *const *) g_ptr_array_free (services, FALSE);
}

static DwnPattern *
pattern_of_pairs (const char *id, const char *source, const double *pair, gsize n, GError **error)
{
  g_autofree double *azimuth_deg = g_new (double, n);
  g_autofree double *gain_db = g_new (double, 2 * n);
  const double mhz[] = { DWN_PATTERN_MIN_MHZ, DWN_PATTERN_MAX_MHZ }; /* the same at every one */

  for (gsize i = 0; i < n; i++)
    {
      azimuth_deg[i] = pair[2 * i];
      gain_db[i] = gain_db[n + i] = pair[2 * i + 1];
    }
  const DwnPattern values = {
    .id = id, .name = id, .source = source, .n_mhz = 2, .n_azimuth = n, .mhz = mhz,
    .azimuth_deg = azimuth_deg, .gain_dbi = gain_db, .price = (double) NAN,
  };
  return dwn_pattern_new (&values, error);
}

static gboolean
read_pattern (const DwnXmlContext *context, const xmlNode *node, DwnStation *station, GError **error)
{
  g_autoptr (GArray) pairs = dwn_xml_read_numbers (context, node, -100.0, 360.0, error);
  g_autofree char *id = dwn_xml_attribute (node, "id");
  g_autofree char *source = dwn_xml_attribute (node, "source");
  g_autoptr (GError) reason = NULL;

  if (pairs == NULL)
    return FALSE;
  if (pairs->len == 0 || pairs->len % 2 != 0)
    {
      dwn_xml_error (error, DWN_DOCUMENT_ERROR_RANGE, context, node,
                     _("<pattern> has %u numbers; pairs of azimuth and dB were expected"), pairs->len);
      return FALSE;
    }
  station->pattern = pattern_of_pairs (id != NULL ? id : "", source != NULL ? source : "",
                                       (const double *) (gpointer) pairs->data, pairs->len / 2, &reason);
  if (station->pattern == NULL)
    dwn_xml_error (error, DWN_DOCUMENT_ERROR_RANGE, context, node, "%s", reason->message);
  return station->pattern != NULL;
}

static void
station_clear (gpointer data)
{
  DwnStation *station = data;

  g_free ((gpointer) station->services);
  if (station->pattern != NULL)
    dwn_pattern_unref ((DwnPattern *) station->pattern);
}

static gboolean
complete_station (const DwnXmlContext *context, const xmlNode *node, DwnStation *station,
                  GError **error)
{
  DwnChannel channel;
  g_autoptr (GError) reason = NULL;

  if (!dwn_channel_find (station->system, station->rf, &channel, &reason))
    {
      dwn_xml_error (error, DWN_DOCUMENT_ERROR_RANGE, context, node, "%s", reason->message);
      return FALSE;
    }
  station->mhz = channel.centre_mhz;
  station->band = channel.band;
  if (!dwn_station_check (station, &reason))
    {
      dwn_xml_error (error, DWN_DOCUMENT_ERROR_RANGE, context, node, "%s", reason->message);
      return FALSE;
    }
  return TRUE;
}

gboolean
dwn_station_read_xml (const DwnXmlContext *context, const xmlNode *node, DwnStation *station,
                      GError **error)
{
  static const char *const also[] = { "services", NULL };
  const double unknown = (double) NAN;
  xmlNode *child = dwn_xml_element (node->children);

  *station = (DwnStation) {
    .site = g_intern_string (""), .haat_m = unknown, .agl_m = unknown, .amsl_m = unknown,
  };
  if (!dwn_xml_read_fields (context, node, station_fields, G_N_ELEMENTS (station_fields), also,
                            station, error))
    return FALSE;
  read_service_ids (node, station);
  if ((child == NULL || !dwn_xml_is (child, "pattern")
       || read_pattern (context, child, station, error))
      && complete_station (context, node, station, error))
    return TRUE;
  station_clear (station);
  return FALSE;
}

static void
write_pattern (xmlTextWriter *writer, const DwnPattern *pattern)
{
  g_autoptr (GString) text = g_string_new (NULL);

  for (gsize i = 0; i < pattern->n_azimuth; i++)
    {
      g_string_append (text, i > 0 ? " " : "");
      dwn_xml_append_number (text, pattern->azimuth_deg[i]);
      g_string_append_c (text, ' ');
      dwn_xml_append_number (text, pattern->gain_dbi[i]);
    }
  xmlTextWriterStartElement (writer, (const xmlChar *) "pattern");
  dwn_xml_write_attribute (writer, "id", pattern->id);
  dwn_xml_write_attribute (writer, "source", pattern->source);
  xmlTextWriterWriteString (writer, (const xmlChar *) text->str);
  xmlTextWriterEndElement (writer);
}

void
dwn_station_write_xml (xmlTextWriter *writer, const DwnStation *station)
{
  g_autofree char *services = g_new0 (char, 1);

  xmlTextWriterStartElement (writer, (const xmlChar *) "station");
  dwn_xml_write_fields (writer, station_fields, G_N_ELEMENTS (station_fields), station);
  for (guint i = 0; i < station->n_services; i++)
    {
      char *longer = g_strjoin (i > 0 ? " " : "", services, station->services[i], NULL);
      g_free (services);
      services = longer;
    }
  dwn_xml_write_attribute (writer, "services", services);
  if (station->pattern != NULL)
    write_pattern (writer, station->pattern);
  xmlTextWriterEndElement (writer);
}

GArray *
dwn_station_array_new (void)
{
  GArray *stations = g_array_new (FALSE, FALSE, sizeof (DwnStation));

  g_array_set_clear_func (stations, station_clear);
  return stations;
}
