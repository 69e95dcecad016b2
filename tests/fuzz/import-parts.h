/* Importers read several files at once: here one input is cut at its form feeds into as many. */
#pragma once

#include <string.h>

#include "core/plan/import-private.h"

#define PARTS_MAX 8

static inline guint
cut_parts (const uint8_t *data, gsize size, const char *const *names, guint most,
           DwnInput parts[PARTS_MAX])
{
  guint n = 0;

  while (n < most)
    {
      const uint8_t *end = n + 1 < most && size > 0 ? memchr (data, '\f', size) : NULL;
      gsize length = end != NULL ? (gsize) (end - data) : size;

      parts[n] = (DwnInput) { names[n], g_bytes_new (data, length) };
      n++;
      if (end == NULL)
        break;
      data = end + 1;
      size -= length + 1;
    }
  return n;
}

/* Whatever comes in, what comes out must hold what the headers promise. */
static inline void
import_parts (DwnImportFormat format, guint n, DwnInput *parts, const DwnInput *map,
              const DwnImportOptions *options)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnImport) import
    = dwn_import_inputs (format, n, parts, map, options, NULL, NULL, NULL, &error);

  g_assert ((import == NULL) == (error != NULL));
  for (guint i = 0; import != NULL && i < import->stations->n; i++)
    {
      const DwnStation *station = &import->stations->station[i];

      g_assert (dwn_station_check (station, NULL));
      g_assert (dwn_stations_find (import->stations, station->id) == (int) i);
      for (guint s = 0; s < station->n_services; s++)
        g_assert (dwn_services_find (import->services, station->services[s]) >= 0);
    }
  for (guint i = 0; i < n; i++)
    g_bytes_unref (parts[i].bytes);
}
