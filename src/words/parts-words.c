#include "words/parts-words.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

#include "words/table-words.h"

static const char *const kind_ids[] = { "part", "cable", "connector", "terminator" };

char *
dwn_word_parts_item (const DwnWording *wording, const DwnPartsLine *line)
{
  if (line->kind == DWN_PARTS_TERMINATOR)
    return g_strdup (dwn_word (wording, N_("75 Ω cap")));
  if (line->kind == DWN_PARTS_CONNECTOR)
    return g_strdup_printf (dwn_word (wording, N_("Connector for %s")), dwn_word (wording, line->name));
  return g_strdup (dwn_word (wording, line->name));
}

static void
append_cable (const DwnWording *wording, const DwnPartsLine *line, GString *text)
{
  g_autofree char *length = dwn_word_length (wording, line->bought_m);

  g_string_append_printf (text, "%s%s %s", text->len > 0 ? ", " : "", length,
                          dwn_word (wording, line->name));
}

static guint
count_kind (const DwnPartsList *list, DwnPartsKind kind)
{
  guint n = 0;

  for (guint k = 0; k < list->n; k++)
    n += list->line[k].kind == kind ? list->line[k].count : 0;
  return n;
}

/* "68 m Series 6 coax, 5 m Series 59 coax, 24 connectors" */
static char *
cables_line (const DwnWording *wording, const DwnPartsList *list)
{
  GString *text = g_string_new (NULL);
  guint n = count_kind (list, DWN_PARTS_CONNECTOR);

  for (guint k = 0; k < list->n; k++)
    if (list->line[k].kind == DWN_PARTS_CABLE)
      append_cable (wording, &list->line[k], text);
  g_string_append_printf (text, "%s", text->len > 0 ? ", " : "");
  g_string_append_printf (text, dwn_word_plural (wording, "%u connector", "%u connectors", n), n);
  return g_string_free (text, FALSE);
}

static char *
total_line (const DwnWording *wording, const DwnPartsList *list, const char *currency)
{
  g_autofree char *sum = dwn_word_number (wording, list->total, 2);
  g_autofree char *priced = g_strdup_printf ("%s %s", sum, currency != NULL ? currency : "");

  g_strchomp (priced);
  if (list->n_unpriced == 0)
    return g_strdup_printf (dwn_word (wording, N_("Total %s")), priced);
  return g_strdup_printf (dwn_word (wording, N_("Total of what has a price: %s")), priced);
}

GPtrArray *
dwn_word_parts (const DwnWording *wording, const DwnPartsList *list, const char *currency)
{
  GPtrArray *lines = g_ptr_array_new_with_free_func (g_free);

  for (guint k = 0; k < list->n; k++)
    {
      const DwnPartsLine *line = &list->line[k];

      if (line->kind != DWN_PARTS_PART && line->kind != DWN_PARTS_TERMINATOR)
        continue;
      g_autofree char *item = dwn_word_parts_item (wording, line);
      g_ptr_array_add (lines, g_strdup_printf ("%u %s", line->count, item));
    }
  if (count_kind (list, DWN_PARTS_CABLE) > 0)
    g_ptr_array_add (lines, cables_line (wording, list));
  if (!isnan (list->total))
    g_ptr_array_add (lines, total_line (wording, list, currency));
  return lines;
}

/* CSV */

static void
append_line (const DwnWording *wording, const DwnPartsLine *line, GString *csv)
{
  g_autofree char *item = dwn_word_parts_item (wording, line);

  dwn_csv_append_text (csv, item);
  g_string_append_c (csv, ',');
  dwn_csv_append_text (csv, line->type);
  g_string_append_printf (csv, ",%s,%u", kind_ids[line->kind], line->count);
  dwn_csv_append_number (csv, line->laid_m);
  dwn_csv_append_number (csv, line->bought_m);
  dwn_csv_append_number (csv, line->each);
  dwn_csv_append_number (csv, line->price);
  g_string_append (csv, "\r\n");
}

char *
dwn_parts_csv (const DwnWording *wording, const DwnPartsList *list)
{
  GString *csv = g_string_new ("item,type,kind,count,laid_m,bought_m,price_each,price\r\n");

  for (guint k = 0; k < list->n; k++)
    append_line (wording, &list->line[k], csv);
  dwn_csv_append_text (csv, dwn_word (wording, N_("Total")));
  g_string_append (csv, ",,total,,,,");
  dwn_csv_append_number (csv, list->total);
  g_string_append (csv, "\r\n");
  return g_string_free (csv, FALSE);
}
