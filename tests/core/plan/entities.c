/* Documents that would have the XML parser grow, read another file or call somebody: all are refused
 * at the document type declaration, before anything is expanded, opened or called. */
#include <libxml/parser.h>
#include <string.h>
#include <sys/resource.h>

#include "core/plan/document.h"
#include "core/plan/station-list.h"

typedef struct {
  const char *name;
  const char *head, *body; /* in front of the root element, and inside it */
} Attack;

/* Each entity is ten of the one before it: the ninth would be 10^10 characters. */
#define TEN(name, of) "<!ENTITY " name " '" of of of of of of of of of of "'>"

static const Attack attacks[] = {
  { "bomb",
    "<!DOCTYPE x [<!ENTITY a 'aaaaaaaaaa'>" TEN ("b", "&a;") TEN ("c", "&b;") TEN ("d", "&c;")
      TEN ("e", "&d;") TEN ("f", "&e;") TEN ("g", "&f;") TEN ("h", "&g;") TEN ("i", "&h;") "]>",
    "&i;" },
  { "loop", "<!DOCTYPE x [<!ENTITY a '&b;'><!ENTITY b '&a;'>]>", "&a;" },
  { "parameter-bomb",
    "<!DOCTYPE x [<!ENTITY % a '<!ENTITY &#37; b \"%a;%a;\">'>%a;%b;]>", "" },
  { "file", "<!DOCTYPE x [<!ENTITY a SYSTEM 'file:///etc/passwd'>]>", "&a;" },
  { "relative-file", "<!DOCTYPE x [<!ENTITY a SYSTEM '../../etc/passwd'>]>", "&a;" },
  { "endless-file", "<!DOCTYPE x [<!ENTITY a SYSTEM '/dev/zero'>]>", "&a;" },
  { "file-as-parameter", "<!DOCTYPE x [<!ENTITY % a SYSTEM 'file:///etc/passwd'> %a;]>", "" },
  { "network", "<!DOCTYPE x [<!ENTITY a SYSTEM 'http://127.0.0.1:9/a'>]>", "&a;" },
  { "network-declaration", "<!DOCTYPE x SYSTEM 'http://127.0.0.1:9/x.dtd'>", "" },
  { "network-public", "<!DOCTYPE x PUBLIC '-//Example//DTD x//EN' 'https://127.0.0.1:9/x.dtd'>", "" },
  { "file-declaration", "<!DOCTYPE x SYSTEM 'file:///etc/passwd'>", "" },
  { "empty-declaration", "<!DOCTYPE x>", "" },
  { "default-attribute", "<!DOCTYPE x [<!ATTLIST site lat CDATA '44'>]>", "" },
};

static guint n_loaded;

/* What libxml2 asks for every file and address besides the text it was given. */
static xmlParserInput *
count_load (const char *address, const char *id, xmlParserCtxt *context)
{
  n_loaded++;
  return NULL;
}

static long
most_kilobytes (void)
{
  struct rusage usage;

  g_assert_cmpint (getrusage (RUSAGE_SELF, &usage), ==, 0);
  return usage.ru_maxrss;
}

/* One text through both readers of XML. */
static void
assert_refused (const char *text)
{
  g_autoptr (GBytes) bytes = g_bytes_new_static (text, strlen (text));
  g_autoptr (DwnPartList) parts = dwn_part_list_new (NULL);
  g_autoptr (DwnCatalogue) catalogue = dwn_catalogue_new (NULL);
  g_autoptr (DwnStations) stations = NULL;
  g_autoptr (DwnServices) services = NULL;
  g_autoptr (GError) plan_error = NULL, list_error = NULL;

  g_assert_null (dwn_plan_read (bytes, "x.xml", parts, catalogue, NULL, &plan_error));
  g_assert_false (dwn_station_list_parse (bytes, "x.xml", &stations, &services, NULL, &list_error));
  g_assert_error (plan_error, DWN_DOCUMENT_ERROR, DWN_DOCUMENT_ERROR_SYNTAX);
  g_assert_error (list_error, DWN_DOCUMENT_ERROR, DWN_DOCUMENT_ERROR_SYNTAX);
  g_assert_true (g_str_has_prefix (plan_error->message, "x.xml:2: a document type declaration"));
  g_assert_true (g_str_has_prefix (list_error->message, "x.xml:2: a document type declaration"));
}

static void
test_attack (gconstpointer data)
{
  const Attack *attack = data;
  g_autofree char *text = g_strdup_printf ("<?xml version='1.0'?>\n%s\n<downlead version='1.0'><site "
                                           "lat='1' lon='1'/>%s</downlead>\n",
                                           attack->head, attack->body);
  long before_kb = most_kilobytes ();

  n_loaded = 0;
  assert_refused (text);
  g_assert_cmpuint (n_loaded, ==, 0);
  g_assert_cmpint (most_kilobytes () - before_kb, <, 64 * 1024);
}

/* What these tests rest on: without a declaration the same document is a plan, and a parser that
 * is let would ask for the file. */
static void
test_control (void)
{
  static const char text[] = "<!DOCTYPE x SYSTEM 'file:///nowhere'><x/>";
  static const char plan[] = "<downlead version='1.0'><site lat='1' lon='1'/></downlead>\n";
  g_autoptr (GBytes) bytes = g_bytes_new_static (plan, sizeof plan - 1);
  g_autoptr (DwnPartList) parts = dwn_part_list_new (NULL);
  g_autoptr (DwnCatalogue) catalogue = dwn_catalogue_new (NULL);
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnPlan) read = dwn_plan_read (bytes, "x.xml", parts, catalogue, NULL, &error);

  g_assert_no_error (error);
  n_loaded = 0;
  xmlDoc *document = xmlReadMemory (text, sizeof text - 1, NULL, NULL,
                                    XML_PARSE_DTDLOAD | XML_PARSE_NOERROR | XML_PARSE_NOWARNING);
  g_assert_cmpuint (n_loaded, ==, 1);
  xmlFreeDoc (document);
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  xmlSetExternalEntityLoader (count_load);
  for (guint i = 0; i < G_N_ELEMENTS (attacks); i++)
    {
      g_autofree char *path = g_strdup_printf ("/entities/%s", attacks[i].name);
      g_test_add_data_func (path, &attacks[i], test_attack);
    }
  g_test_add_func ("/entities/control", test_control);
  return g_test_run ();
}
