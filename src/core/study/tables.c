#include "core/study/tables.h"

static void
tables_clear (gpointer data)
{
  DwnTables *tables = data;

  if (tables->systems != NULL)
    dwn_system_table_unref ((DwnSystemTable *) tables->systems);
  if (tables->noise != NULL)
    dwn_noise_table_unref ((DwnNoiseTable *) tables->noise);
  if (tables->parts != NULL)
    dwn_part_list_unref ((DwnPartList *) tables->parts);
  if (tables->roofs != NULL)
    dwn_roof_table_unref ((DwnRoofTable *) tables->roofs);
  if (tables->woodland != NULL)
    dwn_woodland_unref ((DwnWoodland *) tables->woodland);
  g_clear_pointer (&tables->catalogue, dwn_catalogue_unref);
}

static gboolean
fill_tables (DwnTables *tables, GError **error)
{
  return (tables->systems = dwn_system_table_new (error)) != NULL
         && (tables->noise = dwn_noise_table_new (error)) != NULL
         && (tables->parts = dwn_part_list_new (error)) != NULL
         && (tables->roofs = dwn_roof_table_new (error)) != NULL
         && (tables->woodland = dwn_woodland_new (error)) != NULL
         && dwn_parts_rules_load (&tables->parts_rules, error)
         && (tables->catalogue = dwn_catalogue_new (error)) != NULL;
}

DwnTables *
dwn_tables_new (GError **error)
{
  g_autoptr (DwnTables) tables = g_atomic_rc_box_new0 (DwnTables);

  return fill_tables (tables, error) ? g_steal_pointer (&tables) : NULL;
}

DwnTables *
dwn_tables_ref (const DwnTables *tables)
{
  return g_atomic_rc_box_acquire ((gpointer) tables);
}

void
dwn_tables_unref (const DwnTables *tables)
{
  g_atomic_rc_box_release_full ((gpointer) tables, tables_clear);
}
