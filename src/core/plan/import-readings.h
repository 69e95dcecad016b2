/* Readings from a CSV: what a meter wrote, or somebody typed into a sheet.
 *
 * The first record names the columns, in either case, with blanks, underscores or hyphens:
 *
 *   station           id or name of a station of the plan; or, in its place,
 *   rf, mhz           its RF channel, or a frequency within it
 *   where             id or name of a part, "outlet 2", or "antenna"; left out: what the caller says
 *   when              2026-05-12, 2026-05-12T14:30, 2026-05-12 14:30
 *   level-dbm level-dbmv level-dbuv; level in the unit that the caller says
 *   cn-db, mer-db     in dB
 *   ber-before, ber-after     of the error correction
 *   lock              yes no true false 1 0
 *   bars              "3" with bars-of, or "3/5"
 *   aim-deg           where the antenna pointed, if not where the plan has it
 *   leaves            yes no true false 1 0
 *   weather, note     text
 *
 * Others are passed over. An empty field or "-" says nothing. Fields are parted by comma, semicolon
 * or tab; where not by comma, a decimal comma is understood. */
#pragma once

#include "core/plan/lines.h"
#include "core/plan/plan.h"

G_BEGIN_DECLS

#define DWN_READINGS_MAX 10000 /* more in a plan are refused */

typedef enum {
  DWN_READING_DBM,
  DWN_READING_DBMV, /* in 75 Ω */
  DWN_READING_DBUV, /* in 75 Ω */
} DwnReadingUnit;
/* "dbm" "dbmv" "dbuv" */
const char *dwn_reading_unit_id (DwnReadingUnit unit);
gboolean dwn_reading_unit_from_id (const char *id, DwnReadingUnit *unit);
/* 0 dBmV are 1 mV in 75 Ω, −48.75 dBm; 0 dBµV are 60 dB less. */
double dwn_reading_level_dbm (double level, DwnReadingUnit unit);

typedef struct {
  DwnReadingUnit unit;  /* of a column called "level" */
  const char *where;    /* id of a part for records without one; NULL: they are left out */
  const char *when;     /* for records without; NULL: "" */
} DwnReadingsOptions;

/* A record that did not become a reading. */
typedef struct {
  guint line;
  char *text; /* "meter.csv:7: " and what is wrong and what would be right */
} DwnReadingsSkip;

typedef struct {
  guint n;                 /* new ones, in the order of the file */
  const DwnReading *reading;
  guint n_known;           /* records that the plan has already: passed over */
  guint n_skipped;
  guint n_listed;          /* the first of them */
  const DwnReadingsSkip *skipped;
} DwnReadingsImport;

/* Nothing of the plan is changed; aim and gain of a reading are as in the file, otherwise not known:
 * dwn_reading_stamp() fills them in.
 * Returns: (transfer full): NULL with @error (DWN_IMPORT_ERROR, DWN_LINES_ERROR, DWN_CSV_ERROR,
 * G_IO_ERROR) where the file cannot be read or has no column that says a station or a value. */
DwnReadingsImport *dwn_readings_import (const DwnInput *input, const DwnPlan *plan,
                                        const DwnReadingsOptions *options, GError **error);
void dwn_readings_import_free (DwnReadingsImport *import);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnReadingsImport, dwn_readings_import_free)

/* TRUE for YYYY-MM-DD, alone or followed by T or a blank and HH:MM or HH:MM:SS. */
gboolean dwn_reading_when_is_valid (const char *when);

G_END_DECLS
