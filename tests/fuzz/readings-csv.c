/* Readings from a CSV into a small plan: what is taken must be what a plan may hold. */
#include <math.h>
#include <stdint.h>
#include <string.h>

#include "core/plan/document.h"
#include "core/plan/import-readings.h"
#include "core/study/tables.h"

int LLVMFuzzerTestOneInput (const uint8_t *data, size_t size);

static const char text[] =
  "<downlead version='1.0'><site lat='44' lon='-75'/><stations>"
  "<station id='north' name='North' system='atsc1' rf='20' lat='44.4' lon='-75' erp-kw='100'/>"
  "<station id='vhf' name='North VHF' system='atsc1' rf='8' lat='44.4' lon='-75' erp-kw='20'/>"
  "<station id='east' name='North east' system='atsc1' rf='20' lat='44.3' lon='-74' erp-kw='20'/>"
  "</stations><gear><part id='a' kind='antenna' type='lpda-uhf'/>"
  "<part id='tv1' kind='outlet' type='tuner-atsc'/><part id='tv2' kind='outlet' type='tuner-atsc'/>"
  "<join from='a' to='tv1'/></gear><readings>"
  "<reading station='north' where='tv1' level-dbm='-40'/></readings></downlead>";

static void
check_reading (const DwnPlan *plan, const DwnReading *reading)
{
  g_assert (dwn_stations_find (plan->stations, reading->station) >= 0);
  g_assert (dwn_chain_find (plan->gear, reading->where) >= 0);
  g_assert (reading->when[0] == '\0' || dwn_reading_when_is_valid (reading->when));
  g_assert (isnan (reading->level_dbm) || fabs (reading->level_dbm) <= 200.0);
  g_assert (isnan (reading->ber_before) || (reading->ber_before >= 0.0 && reading->ber_before <= 1.0));
  g_assert (reading->bars <= reading->bars_of);
}

int
LLVMFuzzerTestOneInput (const uint8_t *data, size_t size)
{
  static DwnTables *tables;
  static DwnPlan *plan;
  g_autoptr (GBytes) bytes = g_bytes_new_static (data, size);
  g_autoptr (GBytes) document = g_bytes_new_static (text, sizeof text - 1);
  g_autoptr (GError) error = NULL;
  const DwnInput input = { "meter.csv", bytes };
  const DwnReadingsOptions options = { (DwnReadingUnit) (size % 3), size % 2 == 0 ? "tv2" : NULL, NULL };

  if (plan == NULL)
    {
      tables = dwn_tables_new (NULL);
      plan = dwn_plan_read (document, "plan", tables->parts, tables->catalogue, NULL, NULL);
    }
  g_autoptr (DwnReadingsImport) import = dwn_readings_import (&input, plan, &options, &error);
  g_assert ((import == NULL) == (error != NULL));
  if (import == NULL)
    return 0;
  for (guint i = 0; i < import->n; i++)
    check_reading (plan, &import->reading[i]);
  /* What was taken is written and read again. */
  g_autoptr (DwnPlan) with = dwn_plan_with_readings (plan, import->n, import->reading);
  g_autoptr (GBytes) once = dwn_plan_write (with, tables->catalogue);
  g_autoptr (DwnPlan) again = dwn_plan_read (once, "once", tables->parts, tables->catalogue, NULL, NULL);
  g_assert (again != NULL && again->readings->n == import->n);
  return 0;
}
