/* What the program knows before it knows a plan: read once from the data files. */
#pragma once

#include "core/antenna/catalogue.h"
#include "core/chain/part.h"
#include "core/radio/building.h"
#include "core/radio/noise.h"
#include "core/radio/system.h"
#include "core/radio/woodland.h"
#include "core/study/parts-list.h"

G_BEGIN_DECLS

/* Immutable, refcounted. */
typedef struct {
  const DwnSystemTable *systems;
  const DwnNoiseTable *noise;
  const DwnPartList *parts;
  const DwnRoofTable *roofs;
  const DwnWoodland *woodland;
  DwnPartsRules parts_rules;
  DwnCatalogue *catalogue; /* reads an antenna's file when it is first asked for */
} DwnTables;

/* Returns: (transfer full), or NULL with @error where a data file (perhaps the user's own in
 * place of the program's) cannot be used. */
DwnTables *dwn_tables_new (GError **error);
DwnTables *dwn_tables_ref (const DwnTables *tables);
void dwn_tables_unref (const DwnTables *tables);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnTables, dwn_tables_unref)

G_END_DECLS
