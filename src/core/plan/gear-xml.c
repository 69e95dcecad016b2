/* <gear> <part …/> … <join from="ant1" to="bal1" …/> … </gear> */
#include <glib/gi18n-lib.h>
#include <math.h>

#include "core/plan/document-private.h"

static const char *kind_id (int value) { return dwn_part_kind_id ((DwnPartKind) value); }

static gboolean
kind_of (const char *id, int *value)
{
  DwnPartKind kind;
  gboolean known = dwn_part_kind_from_id (id, &kind);

  if (known)
    *value = (int) kind;
  return known;
}

static const char *polarisation_id (int value) { return dwn_polarisation_id ((DwnPolarisation) value); }

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

static const DwnXmlField part_fields[] = {
  { "id", DWN_FIELD_STRING, offsetof (DwnPart, id), TRUE },
  { "kind", DWN_FIELD_CHOICE, offsetof (DwnPart, kind), TRUE, 0, 0, kind_id, kind_of,
    "antenna, balun, filter, combiner, amplifier, inserter, surge, splitter, tap, attenuator, "
    "equaliser, plate, joint, switch, outlet" },
  { "type", DWN_FIELD_STRING, offsetof (DwnPart, type), TRUE },
  { "name", DWN_FIELD_STRING, offsetof (DwnPart, name) },
  { "on-mast", DWN_FIELD_BOOLEAN, offsetof (DwnPart, on_mast) },
  { "gain-db", DWN_FIELD_NUMBER, offsetof (DwnPart, gain_db), FALSE, -100, 100 },
  { "noise-figure-db", DWN_FIELD_NUMBER, offsetof (DwnPart, noise_figure_db), FALSE, 0, 100 },
  { "max-output-dbm", DWN_FIELD_NUMBER, offsetof (DwnPart, max_output_dbm), FALSE, -100, 100 },
  { "place", DWN_FIELD_STRING, offsetof (DwnPart, place) },
  { "price", DWN_FIELD_NUMBER, offsetof (DwnPart, price), FALSE, 0, 1e9 },
  { "unpowered", DWN_FIELD_BOOLEAN, offsetof (DwnPart, unpowered) },
  { "pass", DWN_FIELD_STRING, offsetof (DwnPart, pass) },
  { "below-top-m", DWN_FIELD_NUMBER, offsetof (DwnPart, below_top_m), FALSE, 0, 100 },
  { "polarisation", DWN_FIELD_CHOICE, offsetof (DwnPart, polarisation), FALSE, 0, 0,
    polarisation_id, polarisation_of, "h, v, c" },
  { "wind-m2", DWN_FIELD_NUMBER, offsetof (DwnPart, wind_m2), FALSE, 0, 10 },
  { "feed-ohm", DWN_FIELD_NUMBER, offsetof (DwnPart, feed_ohm), FALSE, 1, 10000 },
  { "capped", DWN_FIELD_BOOLEAN, offsetof (DwnPart, capped) },
  { "rotator", DWN_FIELD_BOOLEAN, offsetof (DwnPart, rotator) },
};

/* An edge as it stands in the file: by the names of its parts. */
typedef struct {
  const char *from, *to, *cable;
  int from_port, to_port;
  double length_m, age_years, warmer_k;
} Join;

static const DwnXmlField join_fields[] = {
  { "from", DWN_FIELD_STRING, offsetof (Join, from), TRUE },
  { "from-port", DWN_FIELD_INTEGER, offsetof (Join, from_port), FALSE, 1, DWN_MAX_PORTS },
  { "to", DWN_FIELD_STRING, offsetof (Join, to), TRUE },
  { "to-port", DWN_FIELD_INTEGER, offsetof (Join, to_port), FALSE, 1, DWN_MAX_PORTS },
  { "cable", DWN_FIELD_STRING, offsetof (Join, cable) },
  { "length-m", DWN_FIELD_NUMBER, offsetof (Join, length_m), FALSE, 0, 10000 },
  { "age-years", DWN_FIELD_NUMBER, offsetof (Join, age_years), FALSE, 0, 100 },
  { "warmer-k", DWN_FIELD_NUMBER, offsetof (Join, warmer_k), FALSE, -100, 100 },
};

void
dwn_gear_draft_init (DwnGearDraft *draft)
{
  draft->parts = g_array_new (FALSE, FALSE, sizeof (DwnPart));
  draft->aims = g_array_new (FALSE, FALSE, sizeof (double));
  draft->edges = g_array_new (FALSE, FALSE, sizeof (DwnEdge));
  draft->lines = g_array_new (FALSE, FALSE, sizeof (guint));
}

void
dwn_gear_draft_clear (DwnGearDraft *draft)
{
  for (guint i = 0; draft->parts != NULL && i < draft->parts->len; i++)
    {
      DwnPart *part = &g_array_index (draft->parts, DwnPart, i);
      if (part->pattern != NULL)
        dwn_pattern_unref ((DwnPattern *) part->pattern);
    }
  g_clear_pointer (&draft->parts, g_array_unref);
  g_clear_pointer (&draft->aims, g_array_unref);
  g_clear_pointer (&draft->edges, g_array_unref);
  g_clear_pointer (&draft->lines, g_array_unref);
}

static int
find_part (const DwnGearDraft *draft, const char *id)
{
  for (guint i = 0; i < draft->parts->len; i++)
    if (g_array_index (draft->parts, DwnPart, i).id == id)
      return (int) i;
  return -1;
}

/* Format 0.9 wrote an antenna's aim as azimuth-deg. */
static gboolean
read_aim (DwnGearDraft *draft, const DwnXmlContext *context, const xmlNode *node, GError **error)
{
  g_autofree char *text = dwn_xml_attribute (node, "aim-deg");
  double aim_deg = 0.0;

  if (text == NULL)
    text = dwn_xml_attribute (node, "azimuth-deg");
  if (text != NULL && (!dwn_xml_parse_number (text, &aim_deg) || fabs (aim_deg) > 360.0))
    {
      dwn_xml_error (error, DWN_DOCUMENT_ERROR_RANGE, context, node,
                     _("aim-deg=\"%.40s\" of <part> is not a bearing from 0 to 360"), text);
      return FALSE;
    }
  g_array_append_val (draft->aims, aim_deg);
  return TRUE;
}

static gboolean
read_part (DwnGearDraft *draft, const DwnXmlContext *context, const xmlNode *node, GError **error)
{
  static const char *const also[] = { "aim-deg", "azimuth-deg", NULL };
  guint line = (guint) xmlGetLineNo ((xmlNode *) node);
  DwnPart part;

  dwn_part_init (&part);
  if (!dwn_xml_read_fields (context, node, part_fields, G_N_ELEMENTS (part_fields), also, &part,
                            error))
    return FALSE;
  if (find_part (draft, part.id) >= 0)
    {
      dwn_xml_error (error, DWN_DOCUMENT_ERROR_REFERENCE, context, node,
                     _("two parts have the id %s; ids are unique"), part.id);
      return FALSE;
    }
  g_array_append_val (draft->parts, part);
  g_array_append_val (draft->lines, line);
  return part.kind != DWN_PART_ANTENNA || read_aim (draft, context, node, error);
}

static gboolean
find_end (const DwnGearDraft *draft, const DwnXmlContext *context, const xmlNode *node,
          const char *id, guint *part, GError **error)
{
  int index = find_part (draft, id);

  if (index < 0)
    {
      dwn_xml_error (error, DWN_DOCUMENT_ERROR_REFERENCE, context, node,
                     _("<join> names the part %s, which does not stand before it"), id);
      return FALSE;
    }
  *part = (guint) index;
  return TRUE;
}

static gboolean
read_join (DwnGearDraft *draft, const DwnXmlContext *context, const xmlNode *node, GError **error)
{
  Join join = { .from_port = 1, .to_port = 1 };
  DwnEdge edge = { 0 };

  if (!dwn_xml_read_fields (context, node, join_fields, G_N_ELEMENTS (join_fields), NULL, &join, error)
      || !find_end (draft, context, node, join.from, &edge.from_part, error)
      || !find_end (draft, context, node, join.to, &edge.to_part, error))
    return FALSE;
  edge.from_port = (guint) join.from_port - 1;
  edge.to_port = (guint) join.to_port - 1;
  edge.cable = join.cable;
  edge.length_m = join.length_m;
  edge.age_years = join.age_years;
  edge.warmer_k = join.warmer_k;
  g_array_append_val (draft->edges, edge);
  return TRUE;
}

gboolean
dwn_gear_draft_read_xml (DwnGearDraft *draft, const DwnXmlContext *context, xmlNode *node,
                         GError **error)
{
  for (xmlNode *child = dwn_xml_element (node->children); child != NULL;
       child = dwn_xml_element (child->next))
    {
      if (dwn_xml_is (child, "part"))
        {
          if (!read_part (draft, context, child, error))
            return FALSE;
        }
      else if (dwn_xml_is (child, "join"))
        {
          if (!read_join (draft, context, child, error))
            return FALSE;
        }
      else
        dwn_xml_warn (context, child, _("<%s> is not known in <gear>; passed over"),
                      (const char *) child->name);
    }
  return TRUE;
}

static gboolean
find_patterns (DwnGearDraft *draft, const DwnXmlContext *context, DwnPatternFinder find,
               gpointer user_data, GError **error)
{
  for (guint i = 0; i < draft->parts->len; i++)
    {
      DwnPart *part = &g_array_index (draft->parts, DwnPart, i);
      g_autoptr (GError) reason = NULL;

      if (part->kind != DWN_PART_ANTENNA)
        continue;
      part->pattern = find (user_data, part->type, &reason);
      if (part->pattern == NULL)
        {
          g_set_error (error, DWN_DOCUMENT_ERROR, DWN_DOCUMENT_ERROR_REFERENCE, "%s:%u: %s",
                       context->file, g_array_index (draft->lines, guint, i), reason->message);
          return FALSE;
        }
    }
  return TRUE;
}

DwnChain *
dwn_gear_draft_finish (DwnGearDraft *draft, const DwnXmlContext *context, const DwnPartList *list,
                       DwnPatternFinder find, gpointer user_data, DwnAims **aims, GError **error)
{
  g_autoptr (GError) reason = NULL;

  if (!find_patterns (draft, context, find, user_data, error))
    return NULL;
  DwnChain *gear = dwn_chain_new (list, draft->parts->len,
                                  (const DwnPart *) (gpointer) draft->parts->data,
                                  draft->edges->len,
                                  (const DwnEdge *) (gpointer) draft->edges->data, &reason);
  if (gear == NULL)
    {
      g_set_error (error, DWN_DOCUMENT_ERROR, DWN_DOCUMENT_ERROR_REFERENCE, "%s: <gear>: %s",
                   context->file, reason->message);
      return NULL;
    }
  *aims = dwn_aims_new (draft->aims->len, (const double *) (gpointer) draft->aims->data);
  return gear;
}

static void
write_part (xmlTextWriter *writer, const DwnPart *part, double aim_deg)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE];

  xmlTextWriterStartElement (writer, (const xmlChar *) "part");
  dwn_xml_write_fields (writer, part_fields, G_N_ELEMENTS (part_fields), part);
  if (part->kind == DWN_PART_ANTENNA)
    dwn_xml_write_attribute (writer, "aim-deg", g_ascii_dtostr (text, sizeof text, aim_deg));
  xmlTextWriterEndElement (writer);
}

static double
nan_for_zero (double value)
{
  return value == 0.0 ? (double) NAN : value;
}

static void
write_join (xmlTextWriter *writer, const DwnChain *gear, const DwnEdge *edge)
{
  const Join join = {
    .from = gear->part[edge->from_part].id, .to = gear->part[edge->to_part].id,
    .cable = edge->cable, .from_port = (int) edge->from_port + 1, .to_port = (int) edge->to_port + 1,
    .length_m = edge->cable != NULL ? edge->length_m : (double) NAN,
    .age_years = nan_for_zero (edge->age_years), .warmer_k = nan_for_zero (edge->warmer_k),
  };

  xmlTextWriterStartElement (writer, (const xmlChar *) "join");
  dwn_xml_write_fields (writer, join_fields, G_N_ELEMENTS (join_fields), &join);
  xmlTextWriterEndElement (writer);
}

void
dwn_gear_write_xml (xmlTextWriter *writer, const DwnChain *gear, const DwnAims *aims)
{
  guint antenna = 0;

  xmlTextWriterStartElement (writer, (const xmlChar *) "gear");
  for (guint i = 0; i < gear->n_parts; i++)
    write_part (writer, &gear->part[i],
                gear->part[i].kind == DWN_PART_ANTENNA ? aims->aim_deg[antenna++] : 0.0);
  for (guint i = 0; i < gear->n_edges; i++)
    write_join (writer, gear, &gear->edge[i]);
  xmlTextWriterEndElement (writer);
}
