#include "core/study/parts-list.h"

#include <math.h>

#include "core/antenna/stack.h"
#include "core/data/ini.h"

#define RULES_FILE "study/parts-list.ini"

gboolean
dwn_parts_rules_load (DwnPartsRules *rules, GError **error)
{
  g_autoptr (DwnIni) ini = dwn_ini_new_from_data (RULES_FILE, error);

  return ini != NULL
         && dwn_ini_number (ini, "cable", "waste-share", 0, 1, &rules->waste_share, error)
         && dwn_ini_number (ini, "cable", "whole-m", 0.01, 1000, &rules->whole_m, error)
         && dwn_ini_optional_number (ini, "connector", "price", 0, 1e6, &rules->connector_price, error)
         && dwn_ini_optional_number (ini, "terminator", "price", 0, 1e6, &rules->terminator_price,
                                     error);
}

static gboolean
same_price (double a, double b)
{
  return a == b || (isnan (a) && isnan (b));
}

/* The line of that kind, type and price; a new one where there is none. */
static DwnPartsLine *
line_of (GArray *lines, DwnPartsKind kind, const char *type, const char *name, double each)
{
  const double unknown = (double) NAN;
  DwnPartsLine line = {
    .kind = kind, .type = g_intern_string (type), .name = g_intern_string (name), .each = each,
    .laid_m = kind == DWN_PARTS_CABLE ? 0.0 : unknown,
    .bought_m = unknown, .price = unknown,
  };

  for (guint k = 0; k < lines->len; k++)
    {
      DwnPartsLine *have = &g_array_index (lines, DwnPartsLine, k);

      if (have->kind == kind && have->type == line.type && same_price (have->each, each))
        return have;
    }
  g_array_append_val (lines, line);
  return &g_array_index (lines, DwnPartsLine, lines->len - 1);
}

/* Two of the antenna, and what joins them: the first hybrid with two inputs of the list. */
static void
add_stack (GArray *lines, const DwnChain *gear, guint k, const DwnStackId *stack)
{
  const DwnPart *part = &gear->part[k];
  double both = isnan (part->price) ? part->pattern->price : part->price;
  guint n;
  const DwnPartType *const *types = dwn_part_list_types (gear->list, &n);

  line_of (lines, DWN_PARTS_PART, stack->of, part->pattern->name, both / 2.0)->count += 2;
  for (guint t = 0; t < n; t++)
    if (types[t]->kind == DWN_PART_COMBINER && types[t]->hybrid && types[t]->n_in == 2)
      {
        line_of (lines, DWN_PARTS_PART, types[t]->id, types[t]->name, types[t]->price)->count++;
        return;
      }
}

static void
add_part (GArray *lines, const DwnChain *gear, guint k)
{
  const DwnPart *part = &gear->part[k];
  gboolean antenna = part->kind == DWN_PART_ANTENNA;
  DwnStackId stack;

  if (antenna && dwn_stack_id_parse (part->pattern->id, &stack))
    {
      add_stack (lines, gear, k, &stack);
      return;
    }
  double listed = antenna ? part->pattern->price : gear->type[k]->price;

  line_of (lines, DWN_PARTS_PART, part->type, antenna ? part->pattern->name : gear->type[k]->name,
           isnan (part->price) ? listed : part->price)->count++;
}

static void
add_parts (GArray *lines, const DwnChain *gear)
{
  for (guint k = 0; k < gear->n_parts; k++)
    if (gear->part[k].kind == DWN_PART_ANTENNA)
      add_part (lines, gear, k);
  for (guint k = 0; k < gear->n_parts; k++)
    if (gear->part[k].kind != DWN_PART_ANTENNA && gear->part[k].kind != DWN_PART_OUTLET)
      add_part (lines, gear, k);
}

static gboolean
is_cable (const DwnChain *gear, guint e)
{
  return gear->cable[e] != NULL && gear->edge[e].length_m > 0.0;
}

static void
add_cables (GArray *lines, const DwnChain *gear, const DwnPartsRules *rules)
{
  for (guint e = 0; e < gear->n_edges; e++)
    if (is_cable (gear, e))
      {
        const DwnCableType *cable = gear->cable[e];
        DwnPartsLine *line = line_of (lines, DWN_PARTS_CABLE, cable->id, cable->name,
                                      cable->price_per_m);
        line->count++;
        line->laid_m += gear->edge[e].length_m;
      }
  for (guint e = 0; e < gear->n_edges; e++)
    if (is_cable (gear, e))
      line_of (lines, DWN_PARTS_CONNECTOR, gear->cable[e]->id, gear->cable[e]->name,
               rules->connector_price)->count += 2;
}

static guint
count_capped (const DwnChain *gear)
{
  guint n = 0;

  for (guint k = 0; k < gear->n_parts; k++)
    for (guint o = gear->out_first[k]; gear->part[k].capped && o < gear->out_first[k + 1]; o++)
      n += gear->out_edge[o] < 0 ? 1 : 0;
  return n;
}

/* Whole lengths, and a hair less than one more counts as none. */
static double
bought_m (double laid_m, const DwnPartsRules *rules)
{
  double lengths = laid_m * (1.0 + rules->waste_share) / rules->whole_m;

  return ceil (lengths - 1e-9) * rules->whole_m;
}

static void
price_line (DwnPartsLine *line, const DwnPartsRules *rules)
{
  if (line->kind == DWN_PARTS_CABLE)
    line->bought_m = bought_m (line->laid_m, rules);
  line->price = line->each * (line->kind == DWN_PARTS_CABLE ? line->bought_m : line->count);
}

DwnPartsList *
dwn_parts_list_new (const DwnChain *gear, const DwnPartsRules *rules)
{
  g_return_val_if_fail (gear != NULL && rules != NULL, NULL);

  GArray *lines = g_array_new (FALSE, FALSE, sizeof (DwnPartsLine));
  DwnPartsList *list = g_atomic_rc_box_new0 (DwnPartsList);
  guint capped = count_capped (gear);

  add_parts (lines, gear);
  add_cables (lines, gear, rules);
  if (capped > 0)
    line_of (lines, DWN_PARTS_TERMINATOR, "", "", rules->terminator_price)->count = capped;
  for (guint k = 0; k < lines->len; k++)
    {
      DwnPartsLine *line = &g_array_index (lines, DwnPartsLine, k);

      price_line (line, rules);
      list->n_unpriced += isnan (line->price) ? 1 : 0;
      list->total += isnan (line->price) ? 0.0 : line->price;
    }
  list->n = lines->len;
  if (list->n_unpriced == list->n)
    list->total = (double) NAN;
  list->line = (const DwnPartsLine *) (gpointer) g_array_free (lines, FALSE);
  return list;
}

static void
list_clear (gpointer data)
{
  g_free ((gpointer) ((DwnPartsList *) data)->line);
}

void
dwn_parts_list_unref (const DwnPartsList *list)
{
  g_atomic_rc_box_release_full ((gpointer) list, list_clear);
}
