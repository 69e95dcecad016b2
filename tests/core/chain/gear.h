/* Wires small gear for tests: parts in a row unless said otherwise. */
#pragma once

#include <math.h>

#include "core/chain/chain.h"

typedef struct {
  guint n_parts, n_edges;
  DwnPart part[64];
  DwnEdge edge[64];
} Gear;

/* The same gain everywhere. */
static inline DwnPattern *
gear_flat_pattern (const char *id, double gain_dbi)
{
  double mhz = 500, azimuth_deg = 0;
  DwnPattern values = {
    .id = id, .name = id, .source = "test", .n_mhz = 1, .n_azimuth = 1,
    .mhz = &mhz, .azimuth_deg = &azimuth_deg, .gain_dbi = &gain_dbi, .price = (double) NAN,
  };
  g_autoptr (GError) error = NULL;
  DwnPattern *pattern = dwn_pattern_new (&values, &error);

  g_assert_no_error (error);
  return pattern;
}

/* Returns the part, for a test to change. */
static inline DwnPart *
gear_add (Gear *gear, const DwnPartList *list, const char *id, const char *type)
{
  DwnPart *part = &gear->part[gear->n_parts++];
  const DwnPartType *found = dwn_part_list_find (list, type);

  g_assert_cmpuint (gear->n_parts, <=, G_N_ELEMENTS (gear->part));
  g_assert_nonnull (found);
  dwn_part_init (part);
  part->id = id;
  part->type = type;
  part->kind = found->kind;
  return part;
}

/* Keeps @pattern only while the chain does not have it. */
static inline DwnPart *
gear_add_antenna (Gear *gear, const char *id, const DwnPattern *pattern)
{
  DwnPart *part = &gear->part[gear->n_parts++];

  dwn_part_init (part);
  part->id = id;
  part->type = pattern->id;
  part->kind = DWN_PART_ANTENNA;
  part->pattern = pattern;
  return part;
}

static inline guint
gear_index (const Gear *gear, const char *id)
{
  for (guint k = 0; k < gear->n_parts; k++)
    if (g_str_equal (gear->part[k].id, id))
      return k;
  g_assert_not_reached ();
}

/* Ports count from 0; @cable NULL joins directly. */
static inline DwnEdge *
gear_join (Gear *gear, const char *from, guint out, const char *to, guint in, const char *cable,
           double length_m)
{
  DwnEdge *edge = &gear->edge[gear->n_edges++];

  *edge = (DwnEdge) {
    .from_part = gear_index (gear, from), .from_port = out, .to_part = gear_index (gear, to),
    .to_port = in, .cable = cable, .length_m = length_m,
  };
  return edge;
}

/* Joins the part that was added last to the one before it. */
static inline DwnEdge *
gear_join_last (Gear *gear, const char *cable, double length_m)
{
  g_assert_cmpuint (gear->n_parts, >=, 2);
  return gear_join (gear, gear->part[gear->n_parts - 2].id, 0, gear->part[gear->n_parts - 1].id, 0,
                    cable, length_m);
}

/* The first @n_turned parts backwards, the others where they were; all cables backwards. */
static inline void
gear_turn_round (Gear *gear, guint n_turned)
{
  Gear turned = *gear;

#define TURNED(part) ((part) < n_turned ? n_turned - 1 - (part) : (part))
  for (guint k = 0; k < gear->n_parts; k++)
    turned.part[TURNED (k)] = gear->part[k];
  for (guint e = 0; e < gear->n_edges; e++)
    {
      DwnEdge edge = gear->edge[e];

      edge.from_part = TURNED (edge.from_part);
      edge.to_part = TURNED (edge.to_part);
      turned.edge[gear->n_edges - 1 - e] = edge;
    }
#undef TURNED
  *gear = turned;
}

static inline DwnChain *
gear_build (const Gear *gear, const DwnPartList *list)
{
  g_autoptr (GError) error = NULL;
  DwnChain *chain = dwn_chain_new (list, gear->n_parts, gear->part, gear->n_edges, gear->edge,
                                   &error);

  g_assert_no_error (error);
  return chain;
}

static inline DwnPartList *
gear_list_of_text (const char *text)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GBytes) bytes = g_bytes_new_static (text, strlen (text));
  DwnPartList *list = dwn_part_list_new_from_bytes (bytes, "test.ini", &error);

  g_assert_no_error (error);
  return list;
}

static inline DwnPartList *
gear_list (void)
{
  g_autoptr (GError) error = NULL;
  DwnPartList *list = dwn_part_list_new (&error);

  g_assert_no_error (error);
  return list;
}
