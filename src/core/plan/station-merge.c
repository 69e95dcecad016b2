#include "core/plan/station-merge.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

#include "core/geo/geodesic.h"

#define SAME_SITE_M 1000.0
#define SAME_PLACE_M 1.0

/* Two lists being brought together. */
typedef struct {
  const DwnStations *old;
  const DwnServices *old_services;
  const DwnImport *import;
  int *successor;     /* of each old station: position in the import, or −1 */
  GArray *stations;   /* DwnStation, borrowing from both lists */
  GArray *entries;    /* DwnMergeEntry */
} Merge;

static double
distance_m (const DwnStation *a, const DwnStation *b)
{
  double distance;

  if (!dwn_geodesic_inverse (&a->at, &b->at, &distance, NULL, NULL, NULL))
    return (double) INFINITY;
  return distance;
}

static gboolean
is_same_figure (double a, double b)
{
  return (isnan (a) && isnan (b)) || fabs (a - b) <= 1e-9 * MAX (1, fabs (a));
}

static void
note (GString *why, const char *format, ...) G_GNUC_PRINTF (2, 3);

static void
note (GString *why, const char *format, ...)
{
  va_list arguments;

  if (why->len > 0)
    g_string_append (why, ", ");
  va_start (arguments, format);
  g_string_append_vprintf (why, format, arguments);
  va_end (arguments);
}

static void
note_figure (GString *why, const char *what, double before, double after, const char *unit)
{
  g_autofree char *from = isnan (before) ? g_strdup ("?") : g_strdup_printf ("%g", before);
  g_autofree char *to = isnan (after) ? g_strdup ("?") : g_strdup_printf ("%g", after);

  if (!is_same_figure (before, after))
    note (why, "%s %s -> %s %s", what, from, to, unit);
}

static void
note_text (GString *why, const char *what, const char *before, const char *after)
{
  if (before != after)
    note (why, "%s %s -> %s", what, before != NULL && *before != '\0' ? before : "?",
          after != NULL && *after != '\0' ? after : "?");
}

static gboolean
is_same_pattern (const DwnPattern *a, const DwnPattern *b, double mhz)
{
  if (a == NULL || b == NULL)
    return a == b;
  for (guint azimuth = 0; azimuth < 360; azimuth += 5)
    if (fabs (dwn_pattern_gain_dbi (a, azimuth, mhz) - dwn_pattern_gain_dbi (b, azimuth, mhz))
        > 0.01)
      return FALSE;
  return TRUE;
}

/* The facts that differ, in words. */
static char *
describe_change (const DwnStation *before, const DwnStation *after)
{
  g_autoptr (GString) why = g_string_new (NULL);
  double moved_m = distance_m (before, after);

  note_text (why, _("name"), before->name, after->name);
  note_text (why, _("RF"), before->rf, after->rf);
  note_text (why, _("system"), dwn_system_id (before->system), dwn_system_id (after->system));
  note_text (why, _("kind"), dwn_station_kind_id (before->kind), dwn_station_kind_id (after->kind));
  if (moved_m > SAME_PLACE_M)
    note (why, _("place moved by %.0f m"), moved_m);
  note_figure (why, _("ERP"), before->erp_kw, after->erp_kw, "kW");
  note_figure (why, _("height above average terrain"), before->haat_m, after->haat_m, "m");
  note_figure (why, _("height above ground"), before->agl_m, after->agl_m, "m");
  note_figure (why, _("height above sea level"), before->amsl_m, after->amsl_m, "m");
  note_text (why, _("polarisation"), dwn_polarisation_id (before->polarisation),
             dwn_polarisation_id (after->polarisation));
  note_text (why, _("network"), before->network, after->network);
  if (!is_same_pattern (before->pattern, after->pattern, after->mhz))
    note (why, "%s", _("transmit pattern"));
  return g_string_free (g_steal_pointer (&why), FALSE);
}

static void
add (Merge *merge, DwnMergeKind kind, const DwnStation *station, const char *old_id, char *why)
{
  DwnMergeEntry entry = { kind, station->id, old_id, station->name, why };

  g_array_append_val (merge->entries, entry);
  if (kind != DWN_MERGE_DROPPED)
    g_array_append_val (merge->stations, *station);
}

/* What a list does not have stays as it was given here. */
static DwnStation
with_kept (const DwnStation *before, const DwnStation *after)
{
  DwnStation station = *after;

  if (station.mode == NULL)
    station.mode = before->mode;
  if (station.delay_us == 0)
    station.delay_us = before->delay_us;
  return station;
}

/* The old stations that the list has under their ids. */
static void
take_same_ids (Merge *merge, gboolean *import_taken)
{
  for (guint i = 0; i < merge->old->n; i++)
    {
      int at = dwn_stations_find (merge->import->stations, merge->old->station[i].id);

      merge->successor[i] = at;
      if (at >= 0)
        import_taken[at] = TRUE;
    }
}

static gboolean
succeeds (const DwnStation *before, const DwnStation *after)
{
  return before->kind == after->kind
         && (before->kind == DWN_STATION_MAIN || distance_m (before, after) <= SAME_SITE_M);
}

/* Positions of the list's stations that are not taken, by each service that they carry. */
static GHashTable *
index_services (const DwnStations *stations, const gboolean *is_taken)
{
  GHashTable *index = g_hash_table_new_full (g_direct_hash, g_direct_equal, NULL,
                                             (GDestroyNotify) g_array_unref);

  for (guint i = 0; i < stations->n; i++)
    for (guint s = 0; s < stations->station[i].n_services && !is_taken[i]; s++)
      {
        gpointer key = (gpointer) stations->station[i].services[s];
        GArray *positions = g_hash_table_lookup (index, key);

        if (positions == NULL)
          {
            positions = g_array_new (FALSE, FALSE, sizeof (guint));
            g_hash_table_insert (index, key, positions);
          }
        g_array_append_val (positions, i);
      }
  return index;
}

/* The nearest station of the list that @before may have become; −1. */
static int
find_successor (const Merge *merge, GHashTable *by_service, const gboolean *is_taken,
                const DwnStation *before)
{
  const DwnStation *list = merge->import->stations->station;
  double least_m = (double) INFINITY;
  int best = -1;

  for (guint s = 0; s < before->n_services; s++)
    {
      const GArray *positions = g_hash_table_lookup (by_service, before->services[s]);

      for (guint i = 0; positions != NULL && i < positions->len; i++)
        {
          guint at = g_array_index (positions, guint, i);
          double away_m = distance_m (before, &list[at]);

          if (!is_taken[at] && succeeds (before, &list[at]) && away_m < least_m)
            {
              best = (int) at;
              least_m = away_m;
            }
        }
    }
  return best;
}

/* Old stations that moved to another channel: one successor each. */
static void
take_successors (Merge *merge, gboolean *import_taken)
{
  g_autoptr (GHashTable) by_service = index_services (merge->import->stations, import_taken);

  for (guint i = 0; i < merge->old->n; i++)
    {
      const DwnStation *before = &merge->old->station[i];

      if (merge->successor[i] >= 0 || before->line == 0)
        continue;
      merge->successor[i] = find_successor (merge, by_service, import_taken, before);
      if (merge->successor[i] >= 0)
        import_taken[merge->successor[i]] = TRUE;
    }
}

static void
merge_old (Merge *merge, guint i)
{
  const DwnStation *before = &merge->old->station[i];
  int at = merge->successor[i];
  const DwnStation *after = at >= 0 ? &merge->import->stations->station[at] : NULL;
  g_autofree char *why = after != NULL ? describe_change (before, after) : NULL;

  if (after == NULL && before->line == 0)
    add (merge, DWN_MERGE_SAME, before, NULL, g_strdup (""));
  else if (after == NULL)
    add (merge, DWN_MERGE_MISSING, before, NULL, g_strdup (_("no longer in the list")));
  else if (before->line == 0 && *why != '\0')
    add (merge, DWN_MERGE_KEPT, before, NULL,
         g_strdup_printf (_("entered here, not overwritten; the list says: %s"), why));
  else if (*why == '\0' && before->id == after->id)
    add (merge, DWN_MERGE_SAME, before, NULL, g_strdup (""));
  else
    {
      DwnStation station = with_kept (before, after);

      add (merge, before->id == after->id ? DWN_MERGE_CHANGED : DWN_MERGE_MOVED, &station,
           before->id == after->id ? NULL : before->id, g_steal_pointer (&why));
    }
}

static void
drop_missing_entries (Merge *merge)
{
  GArray *stations = g_array_new (FALSE, FALSE, sizeof (DwnStation));
  GArray *entries = g_array_new (FALSE, FALSE, sizeof (DwnMergeEntry));
  guint n = merge->entries->len;

  for (guint pass = 0; pass < 2; pass++)
    for (guint i = 0; i < n; i++)
      {
        DwnMergeEntry entry = g_array_index (merge->entries, DwnMergeEntry, i);
        gboolean drops = entry.kind == DWN_MERGE_MISSING;

        if (drops != (pass == 1))
          continue;
        if (drops)
          entry.kind = DWN_MERGE_DROPPED;
        else
          g_array_append_val (stations, g_array_index (merge->stations, DwnStation, i));
        g_array_append_val (entries, entry);
      }
  g_array_unref (merge->stations);
  g_array_unref (merge->entries);
  merge->stations = stations;
  merge->entries = entries;
}

static GHashTable *
carried_services (const GArray *stations)
{
  GHashTable *carried = g_hash_table_new (g_direct_hash, g_direct_equal);

  for (guint i = 0; i < stations->len; i++)
    {
      const DwnStation *station = &g_array_index (stations, DwnStation, i);

      for (guint s = 0; s < station->n_services; s++)
        g_hash_table_add (carried, (gpointer) station->services[s]);
    }
  return carried;
}

/* The services that were known, with their marks and the list's newer names, then the new ones. */
static DwnServices *
merge_services (const Merge *merge)
{
  const DwnServices *old = merge->old_services, *new = merge->import->services;
  g_autoptr (GHashTable) carried = carried_services (merge->stations);
  g_autoptr (GArray) services = g_array_new (FALSE, FALSE, sizeof (DwnService));

  for (guint i = 0; i < old->n; i++)
    {
      DwnService service = old->service[i];
      int at = dwn_services_find (new, service.id);

      if (at >= 0 && *new->service[at].on_screen != '\0')
        service.on_screen = new->service[at].on_screen;
      if (at >= 0)
        service.name = new->service[at].name;
      if (service.wanted != DWN_WANTED_NO || g_hash_table_contains (carried, service.id))
        g_array_append_val (services, service);
    }
  for (guint i = 0; i < new->n; i++)
    if (dwn_services_find (old, new->service[i].id) < 0
        && g_hash_table_contains (carried, new->service[i].id))
      g_array_append_val (services, new->service[i]);
  return dwn_services_new (services->len, (const DwnService *) (gpointer) services->data);
}

static DwnMerge *
finish (Merge *merge)
{
  DwnMerge *done = g_new0 (DwnMerge, 1);
  const DwnStations *list = merge->import->stations;

  done->services = merge_services (merge);
  done->stations = dwn_stations_new (merge->stations->len,
                                     (const DwnStation *) (gpointer) merge->stations->data,
                                     list->source, list->dated);
  done->n = merge->entries->len;
  done->entry = (DwnMergeEntry *) (gpointer) g_array_free (merge->entries, FALSE);
  for (guint i = 0; i < done->n; i++)
    done->count[done->entry[i].kind]++;
  g_array_unref (merge->stations);
  return done;
}

DwnMerge *
dwn_station_merge (const DwnStations *stations, const DwnServices *services,
                   const DwnImport *import, gboolean drop_missing)
{
  g_return_val_if_fail (stations != NULL && services != NULL && import != NULL, NULL);

  const DwnStations *list = import->stations;
  g_autofree gboolean *import_taken = g_new0 (gboolean, list->n);
  g_autofree int *successor = g_new (int, stations->n);
  Merge merge = { .old = stations, .old_services = services, .import = import,
                  .successor = successor,
                  .stations = g_array_new (FALSE, FALSE, sizeof (DwnStation)),
                  .entries = g_array_new (FALSE, FALSE, sizeof (DwnMergeEntry)) };

  take_same_ids (&merge, import_taken);
  take_successors (&merge, import_taken);
  for (guint i = 0; i < stations->n; i++)
    merge_old (&merge, i);
  for (guint j = 0; j < list->n; j++)
    if (!import_taken[j])
      add (&merge, DWN_MERGE_ADDED, &list->station[j], NULL, g_strdup (""));
  if (drop_missing)
    drop_missing_entries (&merge);
  return finish (&merge);
}

/* What the station of this id is called now. */
static const char *
new_id (const DwnMerge *merge, const char *id)
{
  for (guint i = 0; i < merge->n; i++)
    if (merge->entry[i].kind == DWN_MERGE_MOVED && g_str_equal (merge->entry[i].old_id, id))
      return merge->entry[i].id;
  return id;
}

/* @plan with every station that moved to another channel under its new id, otherwise as it was. */
static DwnPlan *
rename_moved (const DwnPlan *plan, const DwnMerge *merge)
{
  g_autofree DwnStation *stations = g_memdup2 (plan->stations->station, plan->stations->n * sizeof *stations);
  g_autofree DwnPath *paths = g_memdup2 (plan->paths->path, plan->paths->n * sizeof *paths);
  g_autofree DwnReading *readings = g_memdup2 (plan->readings->reading, plan->readings->n * sizeof *readings);
  DwnPlan parts = *plan;

  for (guint i = 0; i < plan->stations->n; i++)
    stations[i].id = new_id (merge, stations[i].id);
  for (guint i = 0; i < plan->paths->n; i++)
    paths[i].station = new_id (merge, paths[i].station);
  for (guint i = 0; i < plan->readings->n; i++)
    readings[i].station = new_id (merge, readings[i].station);
  g_autoptr (DwnStations) own_stations = dwn_stations_new (plan->stations->n, stations, plan->stations->source,
                                                           plan->stations->dated);
  g_autoptr (DwnPaths) own_paths = dwn_paths_new (plan->paths->n, paths, plan->paths->n_skyline > 0
                                                  ? plan->paths->skyline_deg : NULL);
  g_autoptr (DwnReadings) own_readings = dwn_readings_new (plan->readings->n, readings);
  parts.stations = own_stations;
  parts.paths = own_paths;
  parts.readings = own_readings;
  return dwn_plan_new (&parts);
}

DwnPlan *
dwn_plan_with_merge (const DwnPlan *plan, const DwnMerge *merge)
{
  g_return_val_if_fail (plan != NULL && merge != NULL, NULL);

  g_autoptr (DwnPlan) renamed = rename_moved (plan, merge);
  return dwn_plan_with_stations (renamed, merge->stations, merge->services);
}

void
dwn_merge_free (DwnMerge *merge)
{
  g_return_if_fail (merge != NULL);

  dwn_stations_unref (merge->stations);
  dwn_services_unref (merge->services);
  for (guint i = 0; i < merge->n; i++)
    g_free (merge->entry[i].why);
  g_free (merge->entry);
  g_free (merge);
}
