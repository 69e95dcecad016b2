/* What a plan comes to as a table for a spreadsheet. */
#pragma once

#include "words/sentences.h"

G_BEGIN_DECLS

/* Comma-separated with a header (RFC 4180, lines end in CR LF), a row for each station at each outlet:
 * the columns of the command line's budget, then the station's name and site; numbers as in C, what is
 * not known is empty. Returns: (transfer full). */
char *dwn_stations_csv (const DwnFindings *findings);

/* Appends a field of such a table, quoted where it must be. */
void dwn_csv_append_text (GString *csv, const char *text);
/* Appends a comma and the number; nothing for NaN. */
void dwn_csv_append_number (GString *csv, double value);

G_END_DECLS
