/* What the prediction says of a reading, and what a reading says of the prediction. */
#pragma once

#include "core/study/fields.h"
#include "core/study/tables.h"

G_BEGIN_DECLS

/* Standard deviation of a reading taken on the day as a statement about an ordinary day there,
 * DESIGN: it replaces the prediction's. */
#define DWN_READING_SD_DB 2.5

/* A meter's C/N or MER above this says no more than "good": its own noise is what it shows
 * (common practice, no source). */
#define DWN_READING_CN_MAX_DB 30.0

/* What should be read of a station at a part; NaN where no way leads there. */
typedef struct {
  int antenna;       /* the one that brings most of it there, an index; −1: none */
  double off_deg;    /* the station's bearing less that antenna's aim */
  double gain_db;    /* from an isotropic antenna's terminals to there by way of that antenna: its
                      * gain, its polarisation, the gear */
  double level_dbm;  /* half of the time */
  double cn_db;      /* the same over noise, without interference */
} DwnExpected;

/* @part: of the gear; its output, or for an outlet the tuner's input, with switches as suits the
 * station. @aim_deg: one an antenna. @leaves: on the trees at that time. */
void dwn_expect (const DwnPlan *plan, const DwnFields *fields, const DwnTables *tables,
                 guint station, guint part, const double *aim_deg, gboolean leaves,
                 DwnExpected *expected);

/* The same for one of the plan's readings, with the aim and the gain that it was taken with.
 * FALSE where its station or part is not in the plan, or no way leads there. */
gboolean dwn_reading_expect (const DwnPlan *plan, const DwnFields *fields, const DwnTables *tables,
                             const DwnReading *reading, DwnExpected *expected);

/* Writes the plan's present aim and gain into a reading that has none yet: to be done when it is
 * entered. TRUE where that could be done. */
gboolean dwn_reading_stamp (const DwnPlan *plan, const DwnFields *fields, const DwnTables *tables,
                            DwnReading *reading);

/* Level by the person's own set, which shows only bars: a straight line through those readings of
 * the plan at the same part that have both. NaN where they are fewer than two, or all with the
 * same number of bars. */
double dwn_readings_level_of_bars (const DwnReadings *readings, const char *where, int bars,
                                   int bars_of);

/* dB by which the reading lies above what was expected of it: by its level, otherwise by its bars,
 * otherwise by its C/N; NaN where it has none of them. */
double dwn_reading_excess_db (const DwnReadings *readings, const DwnReading *reading,
                              const DwnExpected *expected);

/* One shift a station: the median of its readings' excesses, of those on the mast where there are
 * any, since less of the gear lies before them. A reading is of the house as it is: its own
 * uncertainty goes too, but for leaves that are on now and were not then, or the other way round.
 * Time fading stays as predicted: the reading is taken to be of an ordinary moment. Stations
 * without a reading keep everything.
 * Returns: (transfer full): [n]; NULL where no reading says anything. */
DwnFieldShift *dwn_readings_shifts (const DwnPlan *plan, const DwnFields *fields,
                                    const DwnTables *tables);

/* @fields, as dwn_fields_new() predicts them, moved by the plan's readings. This is what budgets
 * are to be made of. Returns: (transfer full). */
DwnFields *dwn_fields_with_readings (const DwnFields *fields, const DwnPlan *plan,
                                     const DwnTables *tables);

G_END_DECLS
