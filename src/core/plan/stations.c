#include "core/plan/stations.h"

#include <gio/gio.h>
#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

/* What stands behind a DwnStations: the public struct comes first, so that a pointer to the one
 * is a pointer to the other. */
typedef struct {
  DwnStations public;
  gatomicrefcount ref_count;
  DwnStation *station;
  const char **services; /* the services arrays of all stations, one after the other */
  GHashTable *index;     /* id -> position + 1 */
} Stations;

typedef struct {
  DwnServices public;
  gatomicrefcount ref_count;
  DwnService *service;
  GHashTable *index;
} Services;

static const char *const kind_ids[] = {
  [DWN_STATION_MAIN] = "main",
  [DWN_STATION_LOW_POWER] = "low-power",
  [DWN_STATION_FILL_IN] = "fill-in",
  [DWN_STATION_DISTRIBUTED] = "distributed",
};

static const char *const wanted_ids[] = {
  [DWN_WANTED_NO] = "no",
  [DWN_WANTED_LIKE] = "like",
  [DWN_WANTED_MUST] = "must",
};

G_DEFINE_QUARK (dwn-station-error-quark, dwn_station_error)

static gboolean
find_word (const char *const *words, guint n, const char *word, guint *found)
{
  for (guint i = 0; i < n; i++)
    if (g_strcmp0 (words[i], word) == 0)
      {
        *found = i;
        return TRUE;
      }
  return FALSE;
}

const char *
dwn_station_kind_id (DwnStationKind kind)
{
  g_return_val_if_fail ((guint) kind < G_N_ELEMENTS (kind_ids), NULL);

  return kind_ids[kind];
}

gboolean
dwn_station_kind_from_id (const char *id, DwnStationKind *kind)
{
  guint found;

  if (!find_word (kind_ids, G_N_ELEMENTS (kind_ids), id, &found))
    return FALSE;
  *kind = (DwnStationKind) found;
  return TRUE;
}

const char *
dwn_wanted_id (DwnWanted wanted)
{
  g_return_val_if_fail ((guint) wanted < G_N_ELEMENTS (wanted_ids), NULL);

  return wanted_ids[wanted];
}

gboolean
dwn_wanted_from_id (const char *id, DwnWanted *wanted)
{
  guint found;

  if (!find_word (wanted_ids, G_N_ELEMENTS (wanted_ids), id, &found))
    return FALSE;
  *wanted = (DwnWanted) found;
  return TRUE;
}

gboolean
dwn_station_id_is_valid (const char *id)
{
  return id != NULL && *id != '\0' && strlen (id) <= DWN_STATION_ID_MAX
         && strspn (id, G_CSET_a_2_z G_CSET_A_2_Z G_CSET_DIGITS "._:-") == strlen (id);
}

/* g_intern_string() takes NULL too, and gives NULL. */
static void
intern_strings (DwnStation *station)
{
  station->id = g_intern_string (station->id);
  station->name = g_intern_string (station->name);
  station->site = g_intern_string (station->site != NULL ? station->site : "");
  station->mode = g_intern_string (station->mode);
  station->rf = g_intern_string (station->rf);
  station->network = g_intern_string (station->network);
}

static gsize
count_services (guint n, const DwnStation *stations)
{
  gsize total = 0;

  for (guint i = 0; i < n; i++)
    total += stations[i].n_services;
  return total;
}

static void
copy_stations (Stations *self, guint n, const DwnStation *stations)
{
  const char **next = self->services = g_new (const char *, count_services (n, stations));

  self->station = g_new (DwnStation, n);
  for (guint i = 0; i < n; i++)
    {
      DwnStation *station = &self->station[i];

      *station = stations[i];
      intern_strings (station);
      station->services = next;
      for (guint s = 0; s < station->n_services; s++)
        *next++ = g_intern_string (stations[i].services[s]);
      if (station->pattern != NULL)
        dwn_pattern_ref (station->pattern);
      if (!g_hash_table_contains (self->index, station->id))
        g_hash_table_insert (self->index, (gpointer) station->id, GUINT_TO_POINTER (i + 1));
    }
}

DwnStations *
dwn_stations_new (guint n, const DwnStation *stations, const char *source, const char *dated)
{
  g_return_val_if_fail (n == 0 || stations != NULL, NULL);

  Stations *self = g_new0 (Stations, 1);

  g_atomic_ref_count_init (&self->ref_count);
  self->index = g_hash_table_new (g_str_hash, g_str_equal);
  copy_stations (self, n, stations);
  self->public.n = n;
  self->public.station = self->station;
  self->public.source = g_intern_string (source);
  self->public.dated = g_intern_string (dated);
  return &self->public;
}

DwnStations *
dwn_stations_ref (const DwnStations *stations)
{
  g_return_val_if_fail (stations != NULL, NULL);

  g_atomic_ref_count_inc (&((Stations *) stations)->ref_count);
  return (DwnStations *) stations;
}

void
dwn_stations_unref (DwnStations *stations)
{
  g_return_if_fail (stations != NULL);

  Stations *self = (Stations *) stations;

  if (!g_atomic_ref_count_dec (&self->ref_count))
    return;
  for (guint i = 0; i < self->public.n; i++)
    if (self->station[i].pattern != NULL)
      dwn_pattern_unref ((DwnPattern *) self->station[i].pattern);
  g_hash_table_unref (self->index);
  g_free (self->services);
  g_free (self->station);
  g_free (self);
}

int
dwn_stations_find (const DwnStations *stations, const char *id)
{
  g_return_val_if_fail (stations != NULL && id != NULL, -1);

  return (int) GPOINTER_TO_UINT (g_hash_table_lookup (((Stations *) stations)->index, id)) - 1;
}

DwnStations *
dwn_stations_with (const DwnStations *stations, const DwnStation *station)
{
  g_return_val_if_fail (stations != NULL && station != NULL, NULL);

  int at = dwn_stations_find (stations, station->id);
  guint n = at < 0 ? stations->n + 1 : stations->n;
  g_autofree DwnStation *all = g_new (DwnStation, n);

  for (guint i = 0; i < stations->n; i++)
    all[i] = stations->station[i];
  all[at < 0 ? stations->n : (guint) at] = *station;
  return dwn_stations_new (n, all, stations->source, stations->dated);
}

DwnStations *
dwn_stations_without (const DwnStations *stations, const char *id)
{
  g_return_val_if_fail (stations != NULL && id != NULL, NULL);

  int at = dwn_stations_find (stations, id);
  if (at < 0)
    return dwn_stations_ref (stations);

  g_autofree DwnStation *rest = g_new (DwnStation, stations->n);
  guint n = 0;

  for (guint i = 0; i < stations->n; i++)
    if (i != (guint) at)
      rest[n++] = stations->station[i];
  return dwn_stations_new (n, rest, stations->source, stations->dated);
}

DwnServices *
dwn_services_new (guint n, const DwnService *services)
{
  g_return_val_if_fail (n == 0 || services != NULL, NULL);

  Services *self = g_new0 (Services, 1);

  g_atomic_ref_count_init (&self->ref_count);
  self->index = g_hash_table_new (g_str_hash, g_str_equal);
  self->service = g_new (DwnService, n);
  for (guint i = 0; i < n; i++)
    {
      DwnService *service = &self->service[i];

      *service = services[i];
      service->id = g_intern_string (service->id);
      service->name = g_intern_string (service->name);
      service->on_screen = g_intern_string (service->on_screen != NULL ? service->on_screen : "");
      if (!g_hash_table_contains (self->index, service->id))
        g_hash_table_insert (self->index, (gpointer) service->id, GUINT_TO_POINTER (i + 1));
    }
  self->public.n = n;
  self->public.service = self->service;
  return &self->public;
}

DwnServices *
dwn_services_ref (const DwnServices *services)
{
  g_return_val_if_fail (services != NULL, NULL);

  g_atomic_ref_count_inc (&((Services *) services)->ref_count);
  return (DwnServices *) services;
}

void
dwn_services_unref (DwnServices *services)
{
  g_return_if_fail (services != NULL);

  Services *self = (Services *) services;

  if (!g_atomic_ref_count_dec (&self->ref_count))
    return;
  g_hash_table_unref (self->index);
  g_free (self->service);
  g_free (self);
}

int
dwn_services_find (const DwnServices *services, const char *id)
{
  g_return_val_if_fail (services != NULL && id != NULL, -1);

  return (int) GPOINTER_TO_UINT (g_hash_table_lookup (((Services *) services)->index, id)) - 1;
}

DwnServices *
dwn_services_with (const DwnServices *services, const DwnService *service)
{
  g_return_val_if_fail (services != NULL && service != NULL, NULL);

  int at = dwn_services_find (services, service->id);
  guint n = at < 0 ? services->n + 1 : services->n;
  g_autofree DwnService *all = g_new (DwnService, n);

  for (guint i = 0; i < services->n; i++)
    all[i] = services->service[i];
  all[at < 0 ? services->n : (guint) at] = *service;
  return dwn_services_new (n, all);
}

DwnServices *
dwn_services_without (const DwnServices *services, const char *id)
{
  g_return_val_if_fail (services != NULL && id != NULL, NULL);

  int at = dwn_services_find (services, id);
  if (at < 0)
    return dwn_services_ref (services);

  g_autofree DwnService *rest = g_new (DwnService, services->n);
  guint n = 0;

  for (guint i = 0; i < services->n; i++)
    if (i != (guint) at)
      rest[n++] = services->service[i];
  return dwn_services_new (n, rest);
}

DwnWanted
dwn_station_wanted (const DwnStation *station, const DwnServices *services)
{
  g_return_val_if_fail (station != NULL && services != NULL, DWN_WANTED_NO);

  DwnWanted strongest = DWN_WANTED_NO;

  for (guint i = 0; i < station->n_services; i++)
    {
      int at = dwn_services_find (services, station->services[i]);

      if (at >= 0)
        strongest = MAX (strongest, services->service[at].wanted);
    }
  return strongest;
}

const char *
dwn_station_on_screen (const DwnStation *station, const DwnServices *services)
{
  g_return_val_if_fail (station != NULL && services != NULL, NULL);

  for (guint i = 0; i < station->n_services; i++)
    {
      int at = dwn_services_find (services, station->services[i]);

      if (at >= 0 && *services->service[at].on_screen != '\0')
        return services->service[at].on_screen;
    }
  return "";
}

/* One figure of a station: NaN only where @may_be_missing, and never beyond the bounds. */
typedef struct {
  const char *what;
  gsize offset;
  double least, most;
  gboolean may_be_missing;
} Bound;

/* Bounds that no real station breaks: heights from below the Dead Sea to above any mountain with
 * a mast on it, power to twenty times the largest licence (1000 kW), delays to the guard
 * intervals' order of magnitude. */
static const Bound bounds[] = {
  { N_("latitude"), G_STRUCT_OFFSET (DwnStation, at.lat_deg), -90, 90, FALSE },
  { N_("longitude"), G_STRUCT_OFFSET (DwnStation, at.lon_deg), -180, 180, FALSE },
  { N_("ERP in kW"), G_STRUCT_OFFSET (DwnStation, erp_kw), 0, DWN_STATION_ERP_MAX_KW, TRUE },
  { N_("height above average terrain"), G_STRUCT_OFFSET (DwnStation, haat_m), -3000, 5000, TRUE },
  { N_("height above ground"), G_STRUCT_OFFSET (DwnStation, agl_m), 0, 1000, TRUE },
  { N_("height above sea level"), G_STRUCT_OFFSET (DwnStation, amsl_m), -500, 9000, TRUE },
  { N_("delay in µs"), G_STRUCT_OFFSET (DwnStation, delay_us), -10000, 10000, FALSE },
};

static gboolean
check_bound (const DwnStation *station, const Bound *bound, GError **error)
{
  double value = G_STRUCT_MEMBER (double, station, bound->offset);

  if (isnan (value) && bound->may_be_missing)
    return TRUE;
  if (value >= bound->least && value <= bound->most)
    return TRUE;
  g_set_error (error, DWN_STATION_ERROR, DWN_STATION_ERROR_RANGE,
               _("%s %g is outside %g to %g"), _(bound->what), value, bound->least, bound->most);
  return FALSE;
}

static gboolean
check_channel (const DwnStation *station, GError **error)
{
  DwnChannel channel;

  if (!dwn_channel_find (station->system, station->rf, &channel, error))
    return FALSE;
  if (fabs (station->mhz - channel.centre_mhz) < 1e-6 && station->band == channel.band)
    return TRUE;
  g_set_error (error, DWN_STATION_ERROR, DWN_STATION_ERROR_RANGE,
               _("%g MHz is not the centre of RF channel %s, %g MHz is"), station->mhz,
               station->rf, channel.centre_mhz);
  return FALSE;
}

gboolean
dwn_station_check (const DwnStation *station, GError **error)
{
  g_return_val_if_fail (station != NULL, FALSE);

  if (!dwn_station_id_is_valid (station->id))
    {
      g_set_error (error, DWN_STATION_ERROR, DWN_STATION_ERROR_ID,
                   _("the id \"%s\" is not made of 1 to %d letters, digits and . _ : -"),
                   station->id != NULL ? station->id : "", DWN_STATION_ID_MAX);
      return FALSE;
    }
  if (station->name == NULL || *station->name == '\0')
    {
      g_set_error (error, DWN_STATION_ERROR, DWN_STATION_ERROR_NAME,
                   _("the station %s has no name"), station->id);
      return FALSE;
    }
  for (guint i = 0; i < G_N_ELEMENTS (bounds); i++)
    if (!check_bound (station, &bounds[i], error))
      return FALSE;
  return check_channel (station, error);
}
