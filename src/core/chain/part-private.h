/* What part.c and part-file.c share. */
#pragma once

#include "core/chain/part.h"

G_BEGIN_DECLS

struct _DwnPartList {
  gatomicrefcount ref_count;
  GStringChunk *text;  /* every string of the types */
  GPtrArray *blocks;   /* every array of numbers, freed with g_free */
  GPtrArray *types;    /* (element-type DwnPartType) in the file's order */
  GPtrArray *cables;   /* (element-type DwnCableType) */
  GPtrArray *carriers; /* (element-type DwnCarrierGroup) */
  GHashTable *type_by_id;
  GHashTable *cable_by_id;
  GHashTable *carriers_by_id;
};

DwnPartList *dwn_part_list_new_empty (void);

/* FALSE unless all of @text is one finite number, written as in C. */
gboolean dwn_part_parse_number (const char *text, double *value);

G_END_DECLS
