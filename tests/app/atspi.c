/* The program as an assistive program meets it, over the accessibility bus: the rose's aims are sliders
 * that can be read and set, its stations stand there one by one, by bearing.
 *
 * Usage: test-app-atspi PROGRAM PLAN, on a session bus of its own. */
#include <gio/gio.h>
#include <stdlib.h>
#include <string.h>

#include "example.h"

#define ACCESSIBLE "org.a11y.atspi.Accessible"
#define VALUE "org.a11y.atspi.Value"
#define ACTION "org.a11y.atspi.Action"
#define ROOT "/org/a11y/atspi/accessible/root"
#define REGISTRY "org.a11y.atspi.Registry"
#define PATIENCE_US (30 * G_USEC_PER_SEC)
#define STEP_US 50000
#define MOST_DEPTH 40

static const char *program, *plan;

/* An object on the bus. */
typedef struct {
  char *owner, *path;
} Node;

static Node *
node_new (const char *owner, const char *path)
{
  Node *node = g_new (Node, 1);

  *node = (Node) { g_strdup (owner), g_strdup (path) };
  return node;
}

static void
node_free (gpointer data)
{
  Node *node = data;

  g_free (node->owner);
  g_free (node->path);
  g_free (node);
}

G_DEFINE_AUTOPTR_CLEANUP_FUNC (Node, node_free)

typedef struct {
  GDBusConnection *bus; /* the accessibility bus */
  GSubprocess *process;
  char *home;
} Fixture;

/* NULL where the object is gone. (transfer full). */
static GVariant *
call (Fixture *fixture, const Node *node, const char *interface, const char *method, GVariant *arguments)
{
  return g_dbus_connection_call_sync (fixture->bus, node->owner, node->path, interface, method, arguments, NULL,
                                      G_DBUS_CALL_FLAGS_NONE, 5000, NULL, NULL);
}

static GVariant *
get (Fixture *fixture, const Node *node, const char *interface, const char *property)
{
  g_autoptr (GVariant) reply = call (fixture, node, "org.freedesktop.DBus.Properties", "Get",
                                     g_variant_new ("(ss)", interface, property));
  GVariant *value = NULL;

  if (reply != NULL)
    g_variant_get (reply, "(v)", &value);
  return value;
}

static char *
name_of (Fixture *fixture, const Node *node)
{
  g_autoptr (GVariant) name = get (fixture, node, ACCESSIBLE, "Name");

  return name != NULL ? g_variant_dup_string (name, NULL) : g_strdup ("");
}

static char *
role_of (Fixture *fixture, const Node *node)
{
  g_autoptr (GVariant) reply = call (fixture, node, ACCESSIBLE, "GetRoleName", NULL);
  char *role = NULL;

  if (reply != NULL)
    g_variant_get (reply, "(s)", &role);
  return role != NULL ? role : g_strdup ("");
}

/* (element-type Node) (transfer full). */
static GPtrArray *
children_of (Fixture *fixture, const Node *node)
{
  g_autoptr (GVariant) reply = call (fixture, node, ACCESSIBLE, "GetChildren", NULL);
  GPtrArray *children = g_ptr_array_new_with_free_func (node_free);
  g_autoptr (GVariantIter) iter = NULL;
  const char *owner, *path;

  if (reply != NULL)
    g_variant_get (reply, "(a(so))", &iter);
  while (iter != NULL && g_variant_iter_next (iter, "(&s&o)", &owner, &path))
    g_ptr_array_add (children, node_new (owner, path));
  return children;
}

/* The first one so called under @node. (transfer full) (nullable). */
static Node *
find (Fixture *fixture, const Node *node, const char *name, guint depth)
{
  g_autoptr (GPtrArray) children = children_of (fixture, node);

  for (guint i = 0; i < children->len; i++)
    {
      const Node *child = g_ptr_array_index (children, i);
      g_autofree char *called = name_of (fixture, child);
      if (g_str_equal (called, name))
        return node_new (child->owner, child->path);
      Node *found = depth < MOST_DEPTH ? find (fixture, child, name, depth + 1) : NULL;
      if (found != NULL)
        return found;
    }
  return NULL;
}

/* Waits until something so called is there. */
static Node *
await (Fixture *fixture, const char *name)
{
  const Node desktop = { (char *) REGISTRY, (char *) ROOT };
  gint64 end = g_get_monotonic_time () + PATIENCE_US;
  Node *found = NULL;

  while ((found = find (fixture, &desktop, name, 0)) == NULL && g_get_monotonic_time () < end)
    g_usleep (STEP_US);
  g_assert_nonnull (found);
  return found;
}

/* Those of a role under the rose, in their order; waits until there are @n. */
static GPtrArray *
await_role (Fixture *fixture, const Node *rose, const char *role, guint n)
{
  GPtrArray *found = g_ptr_array_new_with_free_func (node_free);
  gint64 end = g_get_monotonic_time () + PATIENCE_US;

  while (found->len != n && g_get_monotonic_time () < end)
    {
      g_autoptr (GPtrArray) children = children_of (fixture, rose);
      g_ptr_array_set_size (found, 0);
      for (guint i = 0; i < children->len; i++)
        {
          const Node *child = g_ptr_array_index (children, i);
          g_autofree char *is = role_of (fixture, child);
          if (g_str_equal (is, role))
            g_ptr_array_add (found, node_new (child->owner, child->path));
        }
      g_usleep (STEP_US);
    }
  g_assert_cmpuint (found->len, ==, n);
  return found;
}

static char *
bus_address (void)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GDBusConnection) session = g_bus_get_sync (G_BUS_TYPE_SESSION, NULL, &error);
  char *address = NULL;

  g_assert_no_error (error);
  g_autoptr (GVariant) reply = g_dbus_connection_call_sync (session, "org.a11y.Bus", "/org/a11y/bus", "org.a11y.Bus",
                                                            "GetAddress", NULL, G_VARIANT_TYPE ("(s)"),
                                                            G_DBUS_CALL_FLAGS_NONE, -1, NULL, &error);
  g_assert_no_error (error);
  g_variant_get (reply, "(s)", &address);
  return address;
}

static void
set_up (Fixture *fixture, gconstpointer data)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *address = bus_address ();
  g_autoptr (GSubprocessLauncher) launcher = g_subprocess_launcher_new (G_SUBPROCESS_FLAGS_NONE);

  fixture->bus = g_dbus_connection_new_for_address_sync (
    address, G_DBUS_CONNECTION_FLAGS_AUTHENTICATION_CLIENT | G_DBUS_CONNECTION_FLAGS_MESSAGE_BUS_CONNECTION, NULL, NULL,
    &error);
  g_assert_no_error (error);
  fixture->home = g_dir_make_tmp ("downlead-XXXXXX", &error);
  g_assert_no_error (error);
  g_subprocess_launcher_setenv (launcher, "AT_SPI_BUS_ADDRESS", address, TRUE);
  g_subprocess_launcher_setenv (launcher, "GTK_A11Y", "atspi", TRUE);
  g_subprocess_launcher_setenv (launcher, "HOME", fixture->home, TRUE);
  g_subprocess_launcher_setenv (launcher, "XDG_STATE_HOME", fixture->home, TRUE);
  g_subprocess_launcher_setenv (launcher, "LC_ALL", "C.UTF-8", TRUE);
  fixture->process = g_subprocess_launcher_spawn (launcher, &error, program, plan, NULL);
  g_assert_no_error (error);
}

static void
tear_down (Fixture *fixture, gconstpointer data)
{
  g_subprocess_force_exit (fixture->process);
  g_subprocess_wait (fixture->process, NULL, NULL);
  g_clear_object (&fixture->process);
  g_clear_object (&fixture->bus);
  example_remove (fixture->home);
  g_free (fixture->home);
}

static double
value_of (Fixture *fixture, const Node *node)
{
  g_autoptr (GVariant) value = get (fixture, node, VALUE, "CurrentValue");

  g_assert_nonnull (value);
  return g_variant_get_double (value);
}

/* The aims of the plan: aim-deg="80" and "305" in the file. Set over the bus they are the document's: the
 * rose says so in its sentence. */
static void
test_aims (Fixture *fixture, gconstpointer data)
{
  static const struct {
    const char *name;
    double aim_deg;
  } aims[] = { { "Aim of the UHF antenna", 80.0 }, { "Aim of the VHF antenna", 305.0 } };
  g_autoptr (Node) rose = await (fixture, "Rose of stations and aims");
  g_autoptr (GPtrArray) sliders = await_role (fixture, rose, "slider", G_N_ELEMENTS (aims));

  for (gsize i = 0; i < G_N_ELEMENTS (aims); i++)
    {
      g_autofree char *name = name_of (fixture, g_ptr_array_index (sliders, i));
      g_assert_cmpstr (name, ==, aims[i].name);
      g_assert_cmpfloat (value_of (fixture, g_ptr_array_index (sliders, i)), ==, aims[i].aim_deg);
    }
  g_autoptr (GVariant) set = call (fixture, g_ptr_array_index (sliders, 0), "org.freedesktop.DBus.Properties", "Set",
                                   g_variant_new ("(ssv)", VALUE, "CurrentValue", g_variant_new_double (117.0)));
  g_assert_nonnull (set);
  g_assert_cmpfloat (value_of (fixture, g_ptr_array_index (sliders, 0)), ==, 117.0);
  g_autoptr (GVariant) said = get (fixture, rose, ACCESSIBLE, "Description");
  g_assert_nonnull (strstr (g_variant_get_string (said, NULL), "117°"));
}

/* The bearing in "Quillon, RF 11, 305° · 33 km · …". */
static int
bearing_in (const char *name)
{
  const char *sign = strstr (name, "°"), *at = sign;

  g_assert_nonnull (sign);
  while (at > name && g_ascii_isdigit (at[-1]))
    at--;
  return atoi (at);
}

/* The stations of the plan's file, each once, clockwise; pressing one selects it. */
static void
test_stations (Fixture *fixture, gconstpointer data)
{
  static const char *const stations[] = { "Tarnlight", "Brackenfield", "Corrowane", "Pellowick", "Fennimore Ridge",
                                          "Ostermere", "Brindlewood", "Vennacott", "Quillon" };
  g_autoptr (Node) rose = await (fixture, "Rose of stations and aims");
  g_autoptr (GPtrArray) items = await_role (fixture, rose, "list item", G_N_ELEMENTS (stations));
  guint seen[G_N_ELEMENTS (stations)] = { 0 };
  int last = 0, vennacott = -1;

  for (guint i = 0; i < items->len; i++)
    {
      g_autofree char *name = name_of (fixture, g_ptr_array_index (items, i));
      g_assert_nonnull (strstr (name, "RF "));
      g_assert_nonnull (strstr (name, "chance "));
      g_assert_cmpint (bearing_in (name), >=, last);
      last = bearing_in (name);
      for (guint s = 0; s < G_N_ELEMENTS (stations); s++)
        seen[s] += g_str_has_prefix (name, stations[s]) ? 1 : 0;
      if (g_str_has_prefix (name, "Vennacott"))
        vennacott = (int) i;
    }
  for (guint s = 0; s < G_N_ELEMENTS (stations); s++)
    g_assert_cmpuint (seen[s], ==, 1);
  g_assert_cmpint (vennacott, >=, 0);
  g_autoptr (GVariant) done = call (fixture, g_ptr_array_index (items, (guint) vennacott), ACTION, "DoAction",
                                    g_variant_new ("(i)", 0));
  g_assert_nonnull (done);
  g_autoptr (Node) heading = await (fixture, "Vennacott"); /* over what is said of the selected station */
  g_assert_nonnull (heading);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_assert_cmpint (argc, ==, 3);
  program = argv[1];
  plan = argv[2];
  g_test_add ("/app/atspi/aims", Fixture, NULL, set_up, test_aims, tear_down);
  g_test_add ("/app/atspi/stations", Fixture, NULL, set_up, test_stations, tear_down);
  return g_test_run ();
}
