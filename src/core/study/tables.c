#include "core/study/tables.h"

static void
tables_clear (gpointer data)
{
  DwnTables *tables = data;

  if (tables->systems != NULL)
    dwn_system_table_unref ((DwnSystemTable *) tables->systems);
  if (tables->noise != NULL)
    dwn_noise_table_unref ((DwnNoiseTable *) tables->noise);
}

DwnTables *
dwn_tables_new (GError **error)
{
  g_autoptr (DwnTables) tables = g_atomic_rc_box_new0 (DwnTables);

  tables->systems = dwn_system_table_new (error);
  if (tables->systems == NULL)
    return NULL;
  tables->noise = dwn_noise_table_new (error);
  return tables->noise != NULL ? g_steal_pointer (&tables) : NULL;
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
