/* What is to be bought, in lines for people and as a table for a spreadsheet. */
#pragma once

#include "core/study/parts-list.h"
#include "words/wording.h"

G_BEGIN_DECLS

/* "Series 6 coax", "Connector for series 6 coax". Returns: (transfer full). */
char *dwn_word_parts_item (const DwnWording *wording, const DwnPartsLine *line);

/* One line an item: "1 Mast amplifier 20 dB", then all cable and connectors in one: "68 m Series 6 coax,
 * 24 connectors"; where anything has a price, "Total 231.00 $" with @currency (nullable) at the end.
 * Returns: (transfer full) (element-type utf8). */
GPtrArray *dwn_word_parts (const DwnWording *wording, const DwnPartsList *list, const char *currency);

/* Comma-separated with a header (RFC 4180, lines end in CR LF): item, type, kind, count, laid_m,
 * bought_m, price_each, price; numbers as in C whatever the wording; what is not known is empty. The
 * last row is the total. Returns: (transfer full). */
char *dwn_parts_csv (const DwnWording *wording, const DwnPartsList *list);

G_END_DECLS
