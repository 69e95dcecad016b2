#include "app/station-order.h"

#include <string.h>

typedef struct {
  guint station, mast;
  gboolean mast_wanted, wanted;
  double bearing_deg, distance_m, mhz;
  const char *site;
} Place;

static int
compare_doubles (double a, double b)
{
  return a < b ? -1 : a > b ? 1 : 0;
}

static int
compare_masts (const Place *a, const Place *b, DwnMastOrder order)
{
  int by_name = order == DWN_ORDER_NAME ? g_utf8_collate (a->site, b->site) : 0;
  int by_distance = order == DWN_ORDER_DISTANCE ? compare_doubles (a->distance_m, b->distance_m) : 0;

  if (a->mast_wanted != b->mast_wanted)
    return a->mast_wanted ? -1 : 1;
  if (by_name != 0 || by_distance != 0)
    return by_name != 0 ? by_name : by_distance;
  if (a->bearing_deg != b->bearing_deg)
    return compare_doubles (a->bearing_deg, b->bearing_deg);
  return a->mast < b->mast ? -1 : a->mast > b->mast ? 1 : 0;
}

static int
compare_places (gconstpointer a, gconstpointer b, gpointer order)
{
  const Place *x = a, *y = b;
  int masts = compare_masts (x, y, *(const DwnMastOrder *) order);

  if (masts != 0)
    return masts;
  if (x->wanted != y->wanted)
    return x->wanted ? -1 : 1;
  if (x->mhz != y->mhz)
    return compare_doubles (x->mhz, y->mhz);
  return x->station < y->station ? -1 : x->station > y->station ? 1 : 0;
}

static gboolean
contains (const char *text, const char *folded_part)
{
  g_autofree char *folded = g_utf8_casefold (text, -1);

  return strstr (folded, folded_part) != NULL;
}

static gboolean
service_named (const DwnStation *station, const DwnServices *services, const char *folded_part)
{
  for (guint i = 0; i < station->n_services; i++)
    {
      int s = dwn_services_find (services, station->services[i]);
      if (s >= 0 && (contains (services->service[s].name, folded_part)
                     || contains (services->service[s].on_screen, folded_part)))
        return TRUE;
    }
  return FALSE;
}

static gboolean
text_matches (const DwnStation *station, const DwnServices *services, const char *text)
{
  g_autofree char *part = text != NULL ? g_utf8_casefold (text, -1) : NULL;

  return part == NULL || part[0] == '\0' || contains (station->name, part) || contains (station->site, part)
         || contains (station->rf, part) || service_named (station, services, part);
}

static gboolean
chance_matches (double chance, DwnChanceFilter filter)
{
  switch (filter)
    {
    case DWN_SHOW_DEPENDABLE:
      return chance >= DWN_CHANCE_HELD;
    case DWN_SHOW_TRIAL:
      return chance >= DWN_CHANCE_TRIAL && chance < DWN_CHANCE_HELD;
    case DWN_SHOW_UNLIKELY:
      return !(chance >= DWN_CHANCE_TRIAL);
    case DWN_SHOW_ANY_CHANCE:
    default:
      return TRUE;
    }
}

static gboolean
is_shown (const DwnFindings *findings, guint i, gboolean wanted, const DwnStationQuery *query)
{
  const DwnStation *station = &findings->plan->stations->station[i];

  return (query->band < 0 || query->band == (int) station->band)
         && (query->wanted == DWN_SHOW_ALL || (query->wanted == DWN_SHOW_WANTED) == wanted)
         && chance_matches (dwn_station_chance (findings->budget, i), query->chance)
         && text_matches (station, findings->plan->services, query->text);
}

static GArray *
places_of (const DwnFindings *findings, const DwnStationQuery *query)
{
  const DwnStations *stations = findings->plan->stations;
  const DwnServices *services = findings->plan->services;
  g_autofree guint *mast = dwn_masts (stations);
  g_autofree gboolean *mast_wanted = g_new0 (gboolean, stations->n);
  DwnMastOrder order = query->order;
  GArray *places = g_array_sized_new (FALSE, FALSE, sizeof (Place), stations->n);

  for (guint i = 0; i < stations->n; i++)
    if (dwn_station_wanted (&stations->station[i], services) != DWN_WANTED_NO)
      mast_wanted[mast[i]] = TRUE;
  for (guint i = 0; i < stations->n; i++)
    {
      const DwnStation *first = &stations->station[mast[i]];
      const DwnArrival *arrival = &findings->fields->arrival[mast[i]];
      const Place place = {
        i, mast[i], mast_wanted[mast[i]],
        dwn_station_wanted (&stations->station[i], services) != DWN_WANTED_NO, arrival->bearing_deg,
        arrival->distance_m, stations->station[i].mhz, first->site[0] != '\0' ? first->site : first->name,
      };
      if (is_shown (findings, i, place.wanted, query))
        g_array_append_val (places, place);
    }
  g_array_sort_with_data (places, compare_places, &order);
  return places;
}

GListStore *
dwn_stations_in_order (const DwnFindings *findings, const DwnStationQuery *query)
{
  g_autoptr (GArray) places = places_of (findings, query);
  GListStore *items = g_list_store_new (DWN_TYPE_STATION_ITEM);

  for (guint i = 0; i < places->len; i++)
    {
      const Place *place = &g_array_index (places, Place, i);
      gboolean first = i == 0 || g_array_index (places, Place, i - 1).mast != place->mast;

      if (first)
        {
          g_autoptr (DwnStationItem) head = dwn_station_item_new (place->station, TRUE);
          g_list_store_append (items, head);
        }
      g_autoptr (DwnStationItem) item = dwn_station_item_new (place->station, FALSE);
      g_list_store_append (items, item);
    }
  return items;
}
