/* What a broadcast system asks of the signal: carrier-to-noise by mode, levels, guard interval,
 * protection from other stations. All figures come from the data file radio/systems.ini. */
#pragma once

#include <gio/gio.h>

#include "core/radio/channel.h"
#include "core/radio/clearance.h"

G_BEGIN_DECLS

/* One way of using a system. Lives as long as its table. */
typedef struct {
  const char *id;       /* "8vsb" "64qam-2/3": constellation and code rate */
  double gauss_db;      /* needed C/N with noise alone */
  double rice_db;       /* with weak echoes; NaN where nobody publishes it */
  double rayleigh_db;   /* with echoes and no direct wave; NaN likewise */
  double min_level_dbm; /* at the tuner or outlet, as published */
  const char *source;
  gboolean from_memory; /* the figures are to be checked against the named source */
} DwnMode;

typedef struct {
  double min_dbm;
  double max_dbm;         /* of one signal alone */
  double several_max_dbm; /* of each of several strong ones */
} DwnLevelWindow;

/* Immutable, refcounted. Errors are DWN_INI_ERROR and name file and line. */
typedef struct _DwnSystemTable DwnSystemTable;
DwnSystemTable *dwn_system_table_new (GError **error);
DwnSystemTable *dwn_system_table_new_from_bytes (GBytes *bytes, const char *name, GError **error);
DwnSystemTable *dwn_system_table_ref (const DwnSystemTable *table);
void dwn_system_table_unref (DwnSystemTable *table);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnSystemTable, dwn_system_table_unref)

/* Noise bandwidth: 6 MHz for ATSC, the occupied band of the carriers elsewhere. */
double dwn_system_bandwidth_hz (const DwnSystemTable *table, DwnSystem system);

/* In the order of the file; there is at least one, the ordinary one among them. */
const DwnMode *dwn_system_modes (const DwnSystemTable *table, DwnSystem system, gsize *n);

/* The mode named @mode: the ordinary one for NULL or "", NULL where the system has none of that
 * name. A guard interval may follow a space: "64qam-2/3 gi=28" (in microseconds). */
const DwnMode *dwn_system_mode (const DwnSystemTable *table, DwnSystem system, const char *mode);

/* What the tuner needs: the Rayleigh figure on a blocked way, the Rice figure on every other
 * (we do not know better without a profile), the next easier one where that is not published.
 * NaN where there is no such mode. */
double dwn_system_needed_cn_db (const DwnSystemTable *table, DwnSystem system, const char *mode,
                                DwnPathClass path);

/* NaN in all three where there is no such mode. 75 ohms: dBm = dBµV − 108.75. */
DwnLevelWindow dwn_system_level_window (const DwnSystemTable *table, DwnSystem system,
                                        const char *mode);

/* Up to this much later or earlier another transmitter of the same network helps; beyond it
 * disturbs. From the mode's "gi=" or the system's usual one in such networks; for ATSC 1.0, which
 * has none, what equalisers master. NaN where there is no such mode. */
double dwn_system_guard_us (const DwnSystemTable *table, DwnSystem system, const char *mode);

/* By how many dB the wanted signal has to exceed another that lies @channel_offset channels above
 * it (0: on the same channel; negative: below); the result is negative where the other may be the
 * stronger one. @wanted_dbm is the wanted level at the tuner. Where several ratios are published
 * the hardest counts. NaN where none is. */
double dwn_system_protection_db (const DwnSystemTable *table, DwnSystem wanted,
                                 DwnSystem undesired, int channel_offset, double wanted_dbm);

/* The same as a weight: share of the undesired power that disturbs like noise in the wanted
 * channel, 1 for a station on it and 10^((ratio − co-channel ratio)/10) beside it; 0 where nothing
 * is published. Add share · power to the noise and compare with the needed C/N. */
double dwn_system_interference_share (const DwnSystemTable *table, DwnSystem wanted,
                                      DwnSystem undesired, int channel_offset, double wanted_dbm);

G_END_DECLS
