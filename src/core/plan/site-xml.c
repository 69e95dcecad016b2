/* <site>, <method>, <paths> and <readings> of a plan. */
#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

#include "core/plan/document-private.h"
#include "core/radio/building.h"
#include "core/radio/clutter.h"

static const char *mount_id (int value) { return dwn_mount_id ((DwnMount) value); }
static const char *area_id (int value) { return dwn_area_id ((DwnArea) value); }

static gboolean
mount_of (const char *id, int *value)
{
  DwnMount mount;
  gboolean known = dwn_mount_from_id (id, &mount);

  if (known)
    *value = (int) mount;
  return known;
}

static gboolean
area_of (const char *id, int *value)
{
  DwnArea area;
  gboolean known = dwn_area_from_id (id, &area);

  if (known)
    *value = (int) area;
  return known;
}

static const DwnXmlField site_fields[] = {
  { "name", DWN_FIELD_STRING, offsetof (DwnSite, name) },
  { "place", DWN_FIELD_STRING, offsetof (DwnSite, place) },
  { "lat", DWN_FIELD_NUMBER, offsetof (DwnSite, at.lat_deg), TRUE, -90, 90 },
  { "lon", DWN_FIELD_NUMBER, offsetof (DwnSite, at.lon_deg), TRUE, -180, 180 },
  { "ground-m", DWN_FIELD_NUMBER, offsetof (DwnSite, ground_m), FALSE, -500, 9000 },
  { "mount", DWN_FIELD_CHOICE, offsetof (DwnSite, mount), FALSE, 0, 0, mount_id, mount_of,
    "mast, wall, chimney, attic, indoors" },
  { "height-m", DWN_FIELD_NUMBER, offsetof (DwnSite, height_m), FALSE, 0, 500 },
  { "area", DWN_FIELD_CHOICE, offsetof (DwnSite, area), FALSE, 0, 0, area_id, area_of,
    "city, residential, rural, quiet-rural" },
  { "time-zone", DWN_FIELD_STRING, offsetof (DwnSite, time_zone) },
  { "landmark-lat", DWN_FIELD_NUMBER, offsetof (DwnSite, landmark.lat_deg), FALSE, -90, 90 },
  { "landmark-lon", DWN_FIELD_NUMBER, offsetof (DwnSite, landmark.lon_deg), FALSE, -180, 180 },
};

static const char *
safety_rule_id (int value)
{
  return dwn_safety_rule_id ((DwnSafetyRule) value);
}

static gboolean
safety_rule_of (const char *id, int *value)
{
  DwnSafetyRule rule;
  gboolean known = dwn_safety_rule_from_id (id, &rule);

  if (known)
    *value = (int) rule;
  return known;
}

static const DwnXmlField mast_fields[] = {
  { "rule", DWN_FIELD_CHOICE, offsetof (DwnMast, rule), FALSE, 0, 0, safety_rule_id, safety_rule_of,
    "eu, us" },
  { "free-m", DWN_FIELD_NUMBER, offsetof (DwnMast, free_m), FALSE, 0, 100 },
  { "clamped-m", DWN_FIELD_NUMBER, offsetof (DwnMast, clamped_m), FALSE, 0, 100 },
  { "diameter-m", DWN_FIELD_NUMBER, offsetof (DwnMast, diameter_m), FALSE, 0, 1 },
  { "mast-nm", DWN_FIELD_NUMBER, offsetof (DwnMast, mast_nm), FALSE, 0, 1e6 },
  { "bracket-nm", DWN_FIELD_NUMBER, offsetof (DwnMast, bracket_nm), FALSE, 0, 1e6 },
  { "roof-m", DWN_FIELD_NUMBER, offsetof (DwnMast, roof_m), FALSE, 0, 100 },
  { "line-m", DWN_FIELD_NUMBER, offsetof (DwnMast, line_m), FALSE, 0, 10000 },
  { "wind-m-per-s", DWN_FIELD_NUMBER, offsetof (DwnMast, wind_m_per_s), FALSE, 0, 120 },
  { "wind-ultimate", DWN_FIELD_BOOLEAN, offsetof (DwnMast, wind_ultimate) },
  { "ice-m", DWN_FIELD_NUMBER, offsetof (DwnMast, ice_m), FALSE, 0, 0.2 },
  { "guyed", DWN_FIELD_BOOLEAN, offsetof (DwnMast, guyed) },
  { "exposed", DWN_FIELD_BOOLEAN, offsetof (DwnMast, exposed) },
};

/* Figures are what a loss has where nothing is said. */
static const char *
house_kind_id (int value)
{
  return value == DWN_HOUSE_FIGURES ? "" : dwn_house_kind_id ((DwnHouseKind) value);
}

static gboolean
house_kind_of (const char *id, int *value)
{
  DwnHouseKind kind;
  gboolean known = dwn_house_kind_from_id (id, &kind);

  if (known)
    *value = (int) kind;
  return known;
}

/* The kind stands first: what the others mean depends on it. */
static const DwnXmlField loss_fields[] = {
  { "kind", DWN_FIELD_CHOICE, offsetof (DwnHouseLoss, kind), FALSE, 0, 0, house_kind_id,
    house_kind_of, "figures, roof, building, clutter, trees" },
  { "name", DWN_FIELD_STRING, offsetof (DwnHouseLoss, name) },
  { "from-deg", DWN_FIELD_NUMBER, offsetof (DwnHouseLoss, from_deg), FALSE, 0, 360 },
  { "to-deg", DWN_FIELD_NUMBER, offsetof (DwnHouseLoss, to_deg), FALSE, 0, 360 },
  { "low-vhf-db", DWN_FIELD_NUMBER, offsetof (DwnHouseLoss, loss_db[DWN_BAND_LOW_VHF]), FALSE, 0, 100 },
  { "high-vhf-db", DWN_FIELD_NUMBER, offsetof (DwnHouseLoss, loss_db[DWN_BAND_HIGH_VHF]), FALSE, 0, 100 },
  { "uhf-db", DWN_FIELD_NUMBER, offsetof (DwnHouseLoss, loss_db[DWN_BAND_UHF]), FALSE, 0, 100 },
  { "sd-db", DWN_FIELD_NUMBER, offsetof (DwnHouseLoss, sd_db), FALSE, 0, 50 },
  { "leaves", DWN_FIELD_BOOLEAN, offsetof (DwnHouseLoss, leaves) },
  { "of", DWN_FIELD_STRING, offsetof (DwnHouseLoss, of) },
  { "percent", DWN_FIELD_NUMBER, offsetof (DwnHouseLoss, percent), FALSE, 0.1, 99.9 },
  { "height-m", DWN_FIELD_NUMBER, offsetof (DwnHouseLoss, height_m), FALSE, 0.1, 200 },
  { "away-m", DWN_FIELD_NUMBER, offsetof (DwnHouseLoss, away_m), FALSE, 0.1, 10000 },
  { "depth-m", DWN_FIELD_NUMBER, offsetof (DwnHouseLoss, depth_m), FALSE, 0, 10000 },
};

static const DwnXmlField carrier_fields[] = {
  { "group", DWN_FIELD_STRING, offsetof (DwnUnwanted, group) },
  { "name", DWN_FIELD_STRING, offsetof (DwnUnwanted, name) },
  { "mhz", DWN_FIELD_NUMBER, offsetof (DwnUnwanted, mhz), FALSE, 1, 6000 },
  { "field-dbuv-m", DWN_FIELD_NUMBER, offsetof (DwnUnwanted, field_dbuv_m), FALSE, -50, 200 },
  { "erp-kw", DWN_FIELD_NUMBER, offsetof (DwnUnwanted, erp_kw), FALSE, 1e-6, 20000 },
  { "distance-m", DWN_FIELD_NUMBER, offsetof (DwnUnwanted, distance_m), FALSE, 1, 1e6 },
  { "bearing-deg", DWN_FIELD_NUMBER, offsetof (DwnUnwanted, bearing_deg), FALSE, 0, 360 },
};

static const DwnXmlField method_fields[] = {
  { "model", DWN_FIELD_STRING, offsetof (DwnMethod, model) },
  { "leaves", DWN_FIELD_BOOLEAN, offsetof (DwnMethod, leaves) },
  { "n0", DWN_FIELD_NUMBER, offsetof (DwnMethod, n0), FALSE, 100, 500 },
  { "dn", DWN_FIELD_NUMBER, offsetof (DwnMethod, dn), FALSE, 0, 200 },
  { "climate", DWN_FIELD_INTEGER, offsetof (DwnMethod, climate), FALSE, 1, 7 },
  { "sd-db", DWN_FIELD_NUMBER, offsetof (DwnMethod, sd_db), FALSE, 0, 50 },
  { "date", DWN_FIELD_STRING, offsetof (DwnMethod, date) },
  { "currency", DWN_FIELD_STRING, offsetof (DwnMethod, currency) },
};

static const DwnXmlField reading_fields[] = {
  { "station", DWN_FIELD_STRING, offsetof (DwnReading, station), TRUE },
  { "where", DWN_FIELD_STRING, offsetof (DwnReading, where), TRUE },
  { "when", DWN_FIELD_STRING, offsetof (DwnReading, when) },
  { "level-dbm", DWN_FIELD_NUMBER, offsetof (DwnReading, level_dbm), FALSE, -200, 50 },
  { "cn-db", DWN_FIELD_NUMBER, offsetof (DwnReading, cn_db), FALSE, -50, 100 },
  { "ber-before", DWN_FIELD_NUMBER, offsetof (DwnReading, ber_before), FALSE, 0, 1 },
  { "ber-after", DWN_FIELD_NUMBER, offsetof (DwnReading, ber_after), FALSE, 0, 1 },
  { "lock", DWN_FIELD_INTEGER, offsetof (DwnReading, lock), FALSE, -1, 1 },
  { "bars", DWN_FIELD_INTEGER, offsetof (DwnReading, bars), FALSE, -1, 1000 },
  { "bars-of", DWN_FIELD_INTEGER, offsetof (DwnReading, bars_of), FALSE, -1, 1000 },
  { "aim-deg", DWN_FIELD_NUMBER, offsetof (DwnReading, aim_deg), FALSE, 0, 360 },
  { "gain-db", DWN_FIELD_NUMBER, offsetof (DwnReading, gain_db), FALSE, -300, 200 },
  { "leaves", DWN_FIELD_BOOLEAN, offsetof (DwnReading, leaves) },
  { "weather", DWN_FIELD_STRING, offsetof (DwnReading, weather) },
  { "note", DWN_FIELD_STRING, offsetof (DwnReading, note) },
};

/* What it is of has to be one that the kind knows; a roof's is looked up when it is reckoned with,
 * for people have roofs of their own. */
static gboolean
check_loss (const DwnXmlContext *context, const xmlNode *node, const DwnHouseLoss *loss,
            GError **error)
{
  const char *expected = NULL;
  DwnBuilding building;
  DwnClutter clutter;

  if (loss->kind == DWN_HOUSE_BUILDING && !dwn_building_from_id (loss->of, &building))
    expected = "traditional, efficient";
  else if (loss->kind == DWN_HOUSE_CLUTTER && !dwn_clutter_from_id (loss->of, &clutter))
    expected = "water, open, suburban, urban, wood, dense-urban";
  else if (loss->kind == DWN_HOUSE_TREES && !g_str_equal (loss->of, "")
           && !g_str_equal (loss->of, "evergreen"))
    expected = "evergreen";
  if (expected == NULL)
    return TRUE;
  dwn_xml_error (error, DWN_DOCUMENT_ERROR_RANGE, context, node,
                 _("a loss of kind %s is of=\"%.40s\"; one of %s was expected"),
                 dwn_house_kind_id (loss->kind), loss->of, expected);
  return FALSE;
}

static const DwnXmlField visit_fields[] = {
  { "when", DWN_FIELD_STRING, offsetof (DwnVisit, when), TRUE },
  { "who", DWN_FIELD_STRING, offsetof (DwnVisit, who) },
  { "meter", DWN_FIELD_STRING, offsetof (DwnVisit, meter) },
  { "changed", DWN_FIELD_STRING, offsetof (DwnVisit, changed) },
  { "found", DWN_FIELD_STRING, offsetof (DwnVisit, found) },
  { "cause", DWN_FIELD_STRING, offsetof (DwnVisit, cause) },
};

static gboolean
read_loss (const DwnXmlContext *context, xmlNode *node, GArray *losses, GError **error)
{
  DwnHouseLoss loss;

  dwn_house_loss_init (&loss, DWN_HOUSE_FIGURES);
  if (!dwn_xml_read_fields (context, node, loss_fields, G_N_ELEMENTS (loss_fields), NULL, &loss, error)
      || !check_loss (context, node, &loss, error))
    return FALSE;
  g_array_append_val (losses, loss);
  return TRUE;
}

static gboolean
has_field (const DwnUnwanted *unwanted)
{
  return !isnan (unwanted->field_dbuv_m)
         || (!isnan (unwanted->erp_kw) && !isnan (unwanted->distance_m));
}

static gboolean
read_unwanted (const DwnXmlContext *context, xmlNode *node, const DwnPartList *list, GArray *all,
               GError **error)
{
  DwnUnwanted unwanted;

  dwn_unwanted_init (&unwanted);
  if (!dwn_xml_read_fields (context, node, carrier_fields, G_N_ELEMENTS (carrier_fields), NULL,
                            &unwanted, error))
    return FALSE;
  if (unwanted.group != NULL && dwn_part_list_find_carriers (list, unwanted.group) == NULL)
    dwn_xml_error (error, DWN_DOCUMENT_ERROR_REFERENCE, context, node,
                   _("group=\"%.40s\" of <carrier> is not among the [carriers] of the parts file"),
                   unwanted.group);
  else if (unwanted.group == NULL && (isnan (unwanted.mhz) || !has_field (&unwanted)))
    dwn_xml_error (error, DWN_DOCUMENT_ERROR_RANGE, context, node,
                   _("<carrier> needs a group, or mhz and either field-dbuv-m or both erp-kw and "
                     "distance-m"));
  else
    {
      g_array_append_val (all, unwanted);
      return TRUE;
    }
  return FALSE;
}

/* One child of <site>. */
static gboolean
read_site_child (const DwnXmlContext *context, xmlNode *child, const DwnPartList *list,
                 GArray *losses, GArray *unwanted, DwnMast *mast, GError **error)
{
  if (dwn_xml_is (child, "loss"))
    return read_loss (context, child, losses, error);
  if (dwn_xml_is (child, "carrier"))
    return read_unwanted (context, child, list, unwanted, error);
  if (dwn_xml_is (child, "mast"))
    return dwn_xml_read_fields (context, child, mast_fields, G_N_ELEMENTS (mast_fields), NULL, mast,
                                error);
  dwn_xml_warn (context, child, _("<%s> is not known in <site>; passed over"),
                (const char *) child->name);
  return TRUE;
}

DwnSite *
dwn_site_read_xml (const DwnXmlContext *context, xmlNode *node, const DwnPartList *list,
                   GError **error)
{
  g_autoptr (GArray) unwanted = g_array_new (FALSE, FALSE, sizeof (DwnUnwanted));
  g_autoptr (GArray) losses = g_array_new (FALSE, FALSE, sizeof (DwnHouseLoss));
  DwnSite site = {
    .name = g_intern_string (""), .place = g_intern_string (""), .ground_m = (double) NAN,
    .height_m = DWN_SITE_HEIGHT_M, .area = DWN_AREA_RURAL, .time_zone = g_intern_string (""),
    .landmark = { (double) NAN, (double) NAN },
  };

  if (!dwn_xml_read_fields (context, node, site_fields, G_N_ELEMENTS (site_fields), NULL, &site, error))
    return NULL;
  for (xmlNode *child = dwn_xml_element (node->children); child != NULL;
       child = dwn_xml_element (child->next))
    if (!read_site_child (context, child, list, losses, unwanted, &site.mast, error))
      return NULL;
  site.n_losses = losses->len;
  site.loss = (const DwnHouseLoss *) (gpointer) losses->data;
  site.n_unwanted = unwanted->len;
  site.unwanted = (const DwnUnwanted *) (gpointer) unwanted->data;
  return dwn_site_new (&site);
}

/* What is not known is 0 and is not written. */
static void
write_mast (xmlTextWriter *writer, const DwnMast *mast)
{
  DwnMast shown = *mast;
  double *figures[] = { &shown.free_m, &shown.clamped_m, &shown.diameter_m, &shown.mast_nm,
                        &shown.bracket_nm, &shown.roof_m, &shown.line_m, &shown.wind_m_per_s,
                        &shown.ice_m };

  if (!dwn_mast_is_described (mast))
    return;
  for (gsize i = 0; i < G_N_ELEMENTS (figures); i++)
    if (*figures[i] == 0.0)
      *figures[i] = (double) NAN;
  xmlTextWriterStartElement (writer, (const xmlChar *) "mast");
  dwn_xml_write_fields (writer, mast_fields, G_N_ELEMENTS (mast_fields), &shown);
  xmlTextWriterEndElement (writer);
}

/* Each kind's own members, and no others. */
static void
write_loss (xmlTextWriter *writer, const DwnHouseLoss *loss)
{
  const double unknown = (double) NAN;
  DwnHouseLoss shown = *loss;

  for (DwnBand band = 0; band < DWN_N_BANDS && loss->kind != DWN_HOUSE_FIGURES; band++)
    shown.loss_db[band] = unknown;
  if (loss->kind == DWN_HOUSE_FIGURES)
    shown.of = NULL;
  if (loss->kind != DWN_HOUSE_BUILDING)
    shown.percent = unknown;
  if (loss->kind != DWN_HOUSE_CLUTTER && loss->kind != DWN_HOUSE_TREES)
    shown.height_m = shown.away_m = unknown;
  if (loss->kind != DWN_HOUSE_TREES)
    shown.depth_m = unknown;
  xmlTextWriterStartElement (writer, (const xmlChar *) "loss");
  dwn_xml_write_fields (writer, loss_fields, G_N_ELEMENTS (loss_fields), &shown);
  xmlTextWriterEndElement (writer);
}

void
dwn_site_write_xml (xmlTextWriter *writer, const DwnSite *site)
{
  xmlTextWriterStartElement (writer, (const xmlChar *) "site");
  dwn_xml_write_fields (writer, site_fields, G_N_ELEMENTS (site_fields), site);
  write_mast (writer, &site->mast);
  for (guint i = 0; i < site->n_losses; i++)
    write_loss (writer, &site->loss[i]);
  for (guint i = 0; i < site->n_unwanted; i++)
    {
      xmlTextWriterStartElement (writer, (const xmlChar *) "carrier");
      dwn_xml_write_fields (writer, carrier_fields, G_N_ELEMENTS (carrier_fields),
                            &site->unwanted[i]);
      xmlTextWriterEndElement (writer);
    }
  xmlTextWriterEndElement (writer);
}

static const char *const method_also[] = { "antennas", NULL };

DwnMethod *
dwn_method_read_xml (const DwnXmlContext *context, xmlNode *node, GError **error)
{
  g_autoptr (GPtrArray) allowed = g_ptr_array_new ();
  g_autofree char *antennas = dwn_xml_attribute (node, "antennas");
  g_auto (GStrv) ids = g_strsplit (antennas != NULL ? antennas : "", " ", -1);
  DwnMethod method;

  dwn_method_init (&method);
  if (!dwn_xml_read_fields (context, node, method_fields, G_N_ELEMENTS (method_fields), method_also,
                            &method, error))
    return NULL;
  for (char **id = ids; *id != NULL; id++)
    if ((*id)[0] != '\0')
      g_ptr_array_add (allowed, (gpointer) g_intern_string (*id));
  method.n_allowed = allowed->len;
  method.allowed = (const char *const *) allowed->pdata;
  return dwn_method_new (&method);
}

void
dwn_method_write_xml (xmlTextWriter *writer, const DwnMethod *method)
{
  g_autoptr (GString) antennas = g_string_new (NULL);

  for (guint i = 0; i < method->n_allowed; i++)
    g_string_append_printf (antennas, "%s%s", i > 0 ? " " : "", method->allowed[i]);
  xmlTextWriterStartElement (writer, (const xmlChar *) "method");
  dwn_xml_write_fields (writer, method_fields, G_N_ELEMENTS (method_fields), method);
  dwn_xml_write_attribute (writer, "antennas", antennas->str);
  xmlTextWriterEndElement (writer);
}

/* One <profile>: heights in decimetres as text, at equal spacing unless <distances> are given. */
typedef struct {
  const char *station, *crest, *source;
  double length_m;
} ProfileHead;

static const DwnXmlField profile_fields[] = {
  { "station", DWN_FIELD_STRING, offsetof (ProfileHead, station), TRUE },
  { "length-m", DWN_FIELD_NUMBER, offsetof (ProfileHead, length_m), TRUE, 1, 2e7 },
  { "crest", DWN_FIELD_STRING, offsetof (ProfileHead, crest) },
  { "source", DWN_FIELD_STRING, offsetof (ProfileHead, source) },
};

static xmlNode *
child_named (xmlNode *node, const char *name)
{
  xmlNode *child = dwn_xml_element (node->children);

  while (child != NULL && !dwn_xml_is (child, name))
    child = dwn_xml_element (child->next);
  return child;
}

/* Written where a height is not known. */
#define VOID_DM (-32768)

/* A list of decimetres; NULL without error where the element is not there. */
static GArray *
read_metres (const DwnXmlContext *context, xmlNode *node, const char *name, GError **error)
{
  xmlNode *child = child_named (node, name);
  GArray *list = child != NULL ? dwn_xml_read_numbers (context, child, VOID_DM, 2e8, error) : NULL;

  for (guint i = 0; list != NULL && i < list->len; i++)
    {
      double *value = &g_array_index (list, double, i);
      *value = *value <= VOID_DM ? (double) NAN : *value / 10.0;
    }
  return list;
}

static GArray *
equal_steps (guint n, double length_m)
{
  GArray *steps = g_array_sized_new (FALSE, FALSE, sizeof (double), n);

  for (guint i = 0; i < n; i++)
    {
      double distance_m = n > 1 ? length_m * i / (n - 1) : 0.0;
      g_array_append_val (steps, distance_m);
    }
  return steps;
}

/* Leaves @zones NULL where the element is not there. */
static gboolean
read_zones (const DwnXmlContext *context, xmlNode *node, guint n, guint8 **zones, GError **error)
{
  xmlNode *child = child_named (node, "zones");

  if (child == NULL)
    return TRUE;
  g_autoptr (GArray) list = dwn_xml_read_numbers (context, child, 1.0, 4.0, error);
  if (list == NULL)
    return FALSE;
  if (list->len != n)
    {
      dwn_xml_error (error, DWN_DOCUMENT_ERROR_RANGE, context, child,
                     _("<zones> has %u numbers; %u were expected, one a height"), list->len, n);
      return FALSE;
    }
  *zones = g_new (guint8, n);
  for (guint i = 0; i < n; i++)
    (*zones)[i] = (guint8) g_array_index (list, double, i);
  return TRUE;
}

static DwnProfile *
read_profile (const DwnXmlContext *context, xmlNode *node, double length_m, GError **error)
{
  g_autoptr (GError) reason = NULL;
  g_autoptr (GArray) heights = read_metres (context, node, "heights-dm", &reason);
  g_autoptr (GArray) clutter = reason == NULL ? read_metres (context, node, "clutter-dm", &reason) : NULL;
  g_autoptr (GArray) distances = reason == NULL ? read_metres (context, node, "distances-dm", &reason) : NULL;
  g_autofree guint8 *zones = NULL;
  DwnProfile *profile = NULL;

  if (reason != NULL)
    {
      g_propagate_error (error, g_steal_pointer (&reason));
      return NULL;
    }
  if (heights != NULL && distances == NULL)
    distances = equal_steps (heights->len, length_m);
  if (heights == NULL || heights->len < 2 || distances->len != heights->len
      || (clutter != NULL && clutter->len != heights->len))
    {
      dwn_xml_error (error, DWN_DOCUMENT_ERROR_RANGE, context, node,
                     _("<profile> needs <heights-dm> with two or more numbers, and as many in "
                       "<distances-dm> and <clutter-dm> where they stand"));
      return NULL;
    }
  if (!read_zones (context, node, heights->len, &zones, error))
    return NULL;
  profile = dwn_profile_new (heights->len, (const double *) (gpointer) distances->data,
                             (const double *) (gpointer) heights->data,
                             clutter != NULL ? (const double *) (gpointer) clutter->data : NULL,
                             zones, &reason);
  if (profile == NULL)
    dwn_xml_error (error, DWN_DOCUMENT_ERROR_RANGE, context, node, "%s", reason->message);
  return profile;
}

static gboolean
read_path (const DwnXmlContext *context, xmlNode *node, GArray *paths, GError **error)
{
  ProfileHead head = { .source = g_intern_string ("") };
  DwnPath path = { 0 };

  if (!dwn_xml_read_fields (context, node, profile_fields, G_N_ELEMENTS (profile_fields), NULL,
                            &head, error))
    return FALSE;
  path.profile = read_profile (context, node, head.length_m, error);
  path.station = head.station;
  path.crest = head.crest;
  path.source = head.source;
  if (path.profile == NULL)
    return FALSE;
  g_array_append_val (paths, path);
  return TRUE;
}

static void
path_clear (gpointer data)
{
  DwnPath *path = data;

  dwn_profile_unref ((DwnProfile *) path->profile);
}

static gboolean
read_skyline (const DwnXmlContext *context, xmlNode *node, GArray **skyline, GError **error)
{
  g_clear_pointer (skyline, g_array_unref);
  *skyline = dwn_xml_read_numbers (context, node, -90.0, 90.0, error);
  if (*skyline != NULL && (*skyline)->len != 360)
    {
      dwn_xml_error (error, DWN_DOCUMENT_ERROR_RANGE, context, node,
                     _("<skyline-deg> has %u numbers; one for each of 360 degrees was expected"),
                     (*skyline)->len);
      return FALSE;
    }
  return *skyline != NULL;
}

DwnPaths *
dwn_paths_read_xml (const DwnXmlContext *context, xmlNode *node, GError **error)
{
  g_autoptr (GArray) paths = g_array_new (FALSE, FALSE, sizeof (DwnPath));
  g_autoptr (GArray) skyline = NULL;

  g_array_set_clear_func (paths, path_clear);
  for (xmlNode *child = dwn_xml_element (node->children); child != NULL;
       child = dwn_xml_element (child->next))
    {
      gboolean good = TRUE;

      if (dwn_xml_is (child, "profile"))
        good = read_path (context, child, paths, error);
      else if (dwn_xml_is (child, "skyline-deg"))
        good = read_skyline (context, child, &skyline, error);
      else
        dwn_xml_warn (context, child, _("<%s> is not known in <paths>; passed over"),
                      (const char *) child->name);
      if (!good)
        return NULL;
    }
  return dwn_paths_new (paths->len, (const DwnPath *) (gpointer) paths->data,
                        skyline != NULL ? (const double *) (gpointer) skyline->data : NULL);
}

static void
write_decimetres (xmlTextWriter *writer, const char *name, const double *metres, gsize n)
{
  g_autoptr (GString) text = g_string_new (NULL);

  for (gsize i = 0; i < n; i++)
    g_string_append_printf (text, "%s%" G_GINT64_FORMAT, i > 0 ? " " : "",
                            isnan (metres[i]) ? (gint64) VOID_DM
                                              : (gint64) llround (metres[i] * 10.0));
  xmlTextWriterWriteElement (writer, (const xmlChar *) name, (const xmlChar *) text->str);
}

static void
write_zones (xmlTextWriter *writer, const DwnProfile *profile)
{
  g_autoptr (GString) text = g_string_new (NULL);

  for (gsize i = 0; i < profile->n; i++)
    g_string_append_printf (text, "%s%u", i > 0 ? " " : "", (guint) profile->zone[i]);
  xmlTextWriterWriteElement (writer, (const xmlChar *) "zones", (const xmlChar *) text->str);
}

static gboolean
equally_spaced (const DwnProfile *profile)
{
  double length_m = profile->distance_m[profile->n - 1];

  for (gsize i = 0; i < profile->n; i++)
    if (fabs (profile->distance_m[i] - length_m * (double) i / (double) (profile->n - 1)) > 0.05)
      return FALSE;
  return TRUE;
}

static void
write_path (xmlTextWriter *writer, const DwnPath *path)
{
  const DwnProfile *profile = path->profile;
  const ProfileHead head = { path->station, path->crest, path->source,
                             profile->distance_m[profile->n - 1] };

  xmlTextWriterStartElement (writer, (const xmlChar *) "profile");
  dwn_xml_write_fields (writer, profile_fields, G_N_ELEMENTS (profile_fields), &head);
  if (!equally_spaced (profile))
    write_decimetres (writer, "distances-dm", profile->distance_m, profile->n);
  write_decimetres (writer, "heights-dm", profile->height_m, profile->n);
  if (profile->clutter_m != NULL)
    write_decimetres (writer, "clutter-dm", profile->clutter_m, profile->n);
  if (profile->zone != NULL)
    write_zones (writer, profile);
  xmlTextWriterEndElement (writer);
}

void
dwn_paths_write_xml (xmlTextWriter *writer, const DwnPaths *paths)
{
  g_autoptr (GString) skyline = g_string_new (NULL);

  xmlTextWriterStartElement (writer, (const xmlChar *) "paths");
  for (guint i = 0; i < paths->n; i++)
    write_path (writer, &paths->path[i]);
  for (guint i = 0; i < paths->n_skyline; i++)
    {
      g_string_append (skyline, i > 0 ? " " : "");
      dwn_xml_append_number (skyline, paths->skyline_deg[i]);
    }
  if (paths->n_skyline > 0)
    xmlTextWriterWriteElement (writer, (const xmlChar *) "skyline-deg",
                               (const xmlChar *) skyline->str);
  xmlTextWriterEndElement (writer);
}

static gboolean
read_reading (const DwnXmlContext *context, xmlNode *node, GArray *readings, GError **error)
{
  DwnReading reading;

  dwn_reading_init (&reading);
  if (!dwn_xml_read_fields (context, node, reading_fields, G_N_ELEMENTS (reading_fields), NULL,
                            &reading, error))
    return FALSE;
  g_array_append_val (readings, reading);
  return TRUE;
}

static gboolean
read_visit (const DwnXmlContext *context, xmlNode *node, GArray *visits, GError **error)
{
  DwnVisit visit;

  dwn_visit_init (&visit);
  if (!dwn_xml_read_fields (context, node, visit_fields, G_N_ELEMENTS (visit_fields), NULL, &visit,
                            error))
    return FALSE;
  g_array_append_val (visits, visit);
  return TRUE;
}

DwnReadings *
dwn_readings_read_xml (const DwnXmlContext *context, xmlNode *node, GError **error)
{
  g_autoptr (GArray) readings = g_array_new (FALSE, FALSE, sizeof (DwnReading));
  g_autoptr (GArray) visits = g_array_new (FALSE, FALSE, sizeof (DwnVisit));

  for (xmlNode *child = dwn_xml_element (node->children); child != NULL;
       child = dwn_xml_element (child->next))
    {
      gboolean good = TRUE;

      if (dwn_xml_is (child, "reading"))
        good = read_reading (context, child, readings, error);
      else if (dwn_xml_is (child, "visit"))
        good = read_visit (context, child, visits, error);
      else
        dwn_xml_warn (context, child, _("<%s> is not known in <readings>; passed over"),
                      (const char *) child->name);
      if (!good)
        return NULL;
    }
  return dwn_readings_new_visited (readings->len, (const DwnReading *) (gpointer) readings->data,
                                   visits->len, (const DwnVisit *) (gpointer) visits->data);
}

void
dwn_readings_write_xml (xmlTextWriter *writer, const DwnReadings *readings)
{
  xmlTextWriterStartElement (writer, (const xmlChar *) "readings");
  for (guint i = 0; i < readings->n_visits; i++)
    {
      xmlTextWriterStartElement (writer, (const xmlChar *) "visit");
      dwn_xml_write_fields (writer, visit_fields, G_N_ELEMENTS (visit_fields), &readings->visit[i]);
      xmlTextWriterEndElement (writer);
    }
  for (guint i = 0; i < readings->n; i++)
    {
      xmlTextWriterStartElement (writer, (const xmlChar *) "reading");
      dwn_xml_write_fields (writer, reading_fields, G_N_ELEMENTS (reading_fields),
                            &readings->reading[i]);
      xmlTextWriterEndElement (writer);
    }
  xmlTextWriterEndElement (writer);
}
