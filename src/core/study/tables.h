/* The figures that every study needs, read once from the data files. */
#pragma once

#include "core/radio/noise.h"
#include "core/radio/system.h"

G_BEGIN_DECLS

/* Immutable, refcounted. */
typedef struct {
  const DwnSystemTable *systems;
  const DwnNoiseTable *noise;
} DwnTables;

DwnTables *dwn_tables_new (GError **error);
DwnTables *dwn_tables_ref (const DwnTables *tables);
void dwn_tables_unref (const DwnTables *tables);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnTables, dwn_tables_unref)

G_END_DECLS
