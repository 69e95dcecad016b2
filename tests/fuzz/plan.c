/* The reader of plans; what it accepts must be written and read again the same. */
#include <stdint.h>

#include "core/plan/document.h"
#include "core/study/tables.h"

int LLVMFuzzerTestOneInput (const uint8_t *data, size_t size);

int
LLVMFuzzerTestOneInput (const uint8_t *data, size_t size)
{
  static DwnTables *tables;
  g_autoptr (GBytes) bytes = g_bytes_new_static (data, size);
  g_autoptr (GPtrArray) warnings = g_ptr_array_new_with_free_func (g_free);

  if (tables == NULL)
    tables = dwn_tables_new (NULL);
  g_autoptr (DwnPlan) plan = dwn_plan_read (bytes, "fuzz", tables->parts, tables->catalogue, warnings, NULL);
  if (plan == NULL)
    return 0;
  g_autoptr (GBytes) once = dwn_plan_write (plan, tables->catalogue);
  g_autoptr (DwnPlan) again = dwn_plan_read (once, "once", tables->parts, tables->catalogue, NULL, NULL);
  g_assert_nonnull (again);
  g_autoptr (GBytes) twice = dwn_plan_write (again, tables->catalogue);
  g_assert_true (g_bytes_equal (once, twice));
  return 0;
}
