#include "core/chain/wiring.h"

#include <string.h>

DwnWiring *
dwn_wiring_new (const DwnChain *chain)
{
  DwnWiring *wiring = g_new (DwnWiring, 1);

  wiring->parts = g_array_new (FALSE, TRUE, sizeof (DwnPart));
  wiring->edges = g_array_new (FALSE, TRUE, sizeof (DwnEdge));
  if (chain != NULL && chain->n_parts > 0)
    g_array_append_vals (wiring->parts, chain->part, chain->n_parts);
  if (chain != NULL && chain->n_edges > 0)
    g_array_append_vals (wiring->edges, chain->edge, chain->n_edges);
  return wiring;
}

void
dwn_wiring_free (DwnWiring *wiring)
{
  if (wiring == NULL)
    return;
  g_array_unref (wiring->parts);
  g_array_unref (wiring->edges);
  g_free (wiring);
}

static gboolean
has_id (const DwnWiring *wiring, const char *id)
{
  for (guint k = 0; k < wiring->parts->len; k++)
    if (g_strcmp0 (g_array_index (wiring->parts, DwnPart, k).id, id) == 0)
      return TRUE;
  return FALSE;
}

guint
dwn_wiring_add (DwnWiring *wiring, const DwnPart *part)
{
  g_return_val_if_fail (wiring != NULL && part != NULL && part->id != NULL, 0);

  DwnPart copy = *part;
  for (guint n = 2; has_id (wiring, copy.id); n++)
    {
      g_autofree char *id = g_strdup_printf ("%s-%u", part->id, n);
      copy.id = g_intern_string (id);
    }
  g_array_append_val (wiring->parts, copy);
  return wiring->parts->len - 1;
}

guint
dwn_wiring_add_type (DwnWiring *wiring, const DwnPartType *type, const char *id)
{
  g_return_val_if_fail (type != NULL, 0);

  DwnPart part;
  dwn_part_init (&part);
  part.id = g_intern_string (id);
  part.type = g_intern_string (type->id);
  part.kind = type->kind;
  return dwn_wiring_add (wiring, &part);
}

guint
dwn_wiring_join (DwnWiring *wiring, guint from, guint out, guint to, guint in, const DwnEdge *like)
{
  g_return_val_if_fail (wiring != NULL, 0);

  DwnEdge edge = like != NULL ? *like : (DwnEdge) { 0 };
  edge.from_part = from;
  edge.from_port = out;
  edge.to_part = to;
  edge.to_port = in;
  g_array_append_val (wiring->edges, edge);
  return wiring->edges->len - 1;
}

guint
dwn_wiring_insert (DwnWiring *wiring, guint edge, const DwnPart *part, gboolean after_cable)
{
  g_return_val_if_fail (wiring != NULL && edge < wiring->edges->len, 0);

  guint inserted = dwn_wiring_add (wiring, part);
  DwnEdge old = g_array_index (wiring->edges, DwnEdge, edge);

  g_array_remove_index (wiring->edges, edge);
  dwn_wiring_join (wiring, old.from_part, old.from_port, inserted, 0, after_cable ? &old : NULL);
  dwn_wiring_join (wiring, inserted, 0, old.to_part, old.to_port, after_cable ? NULL : &old);
  return inserted;
}

static double
cable_m (const DwnEdge *edge)
{
  return edge != NULL && edge->cable != NULL ? edge->length_m : 0;
}

DwnEdge
dwn_edge_spliced (const DwnEdge *first, const DwnEdge *second)
{
  const DwnEdge *longer = cable_m (first) >= cable_m (second) ? first : second;
  DwnEdge edge = longer != NULL ? *longer : (DwnEdge) { 0 };

  edge.length_m = cable_m (first) + cable_m (second);
  return edge;
}

static void
drop_edges_of (DwnWiring *wiring, guint part)
{
  for (guint e = wiring->edges->len; e-- > 0;)
    {
      DwnEdge *edge = &g_array_index (wiring->edges, DwnEdge, e);

      if (edge->from_part == part || edge->to_part == part)
        g_array_remove_index (wiring->edges, e);
    }
  for (guint e = 0; e < wiring->edges->len; e++)
    {
      DwnEdge *edge = &g_array_index (wiring->edges, DwnEdge, e);

      edge->from_part -= edge->from_part > part;
      edge->to_part -= edge->to_part > part;
    }
}

void
dwn_wiring_remove (DwnWiring *wiring, guint part)
{
  g_return_if_fail (wiring != NULL && part < wiring->parts->len);

  const DwnEdge *in = dwn_wiring_edge_into (wiring, part, 0);
  const DwnEdge *out = dwn_wiring_edge_from (wiring, part, 0);

  if (in != NULL && out != NULL)
    {
      DwnEdge edge = dwn_edge_spliced (in, out);
      dwn_wiring_join (wiring, in->from_part, in->from_port, out->to_part, out->to_port, &edge);
    }
  drop_edges_of (wiring, part);
  g_array_remove_index (wiring->parts, part);
}

DwnPart *
dwn_wiring_part (const DwnWiring *wiring, guint part)
{
  g_return_val_if_fail (wiring != NULL && part < wiring->parts->len, NULL);

  return &g_array_index (wiring->parts, DwnPart, part);
}

DwnEdge *
dwn_wiring_edge_into (const DwnWiring *wiring, guint part, guint in)
{
  g_return_val_if_fail (wiring != NULL, NULL);

  for (guint e = 0; e < wiring->edges->len; e++)
    {
      DwnEdge *edge = &g_array_index (wiring->edges, DwnEdge, e);

      if (edge->to_part == part && edge->to_port == in)
        return edge;
    }
  return NULL;
}

DwnEdge *
dwn_wiring_edge_from (const DwnWiring *wiring, guint part, guint out)
{
  g_return_val_if_fail (wiring != NULL, NULL);

  for (guint e = 0; e < wiring->edges->len; e++)
    {
      DwnEdge *edge = &g_array_index (wiring->edges, DwnEdge, e);

      if (edge->from_part == part && edge->from_port == out)
        return edge;
    }
  return NULL;
}

DwnChain *
dwn_wiring_build (const DwnWiring *wiring, const DwnPartList *list, GError **error)
{
  g_return_val_if_fail (wiring != NULL && list != NULL, NULL);

  return dwn_chain_new (list, wiring->parts->len, (const DwnPart *) (gpointer) wiring->parts->data,
                        wiring->edges->len, (const DwnEdge *) (gpointer) wiring->edges->data,
                        error);
}
