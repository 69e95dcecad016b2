/* RF channels, the systems that use them, and the bands they lie in.
 * The RF channel is what the air carries; what the set shows is a service's on-screen number. */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

typedef enum {
  DWN_SYSTEM_ATSC1,
  DWN_SYSTEM_ATSC3,
  DWN_SYSTEM_DVBT7,
  DWN_SYSTEM_DVBT8,
  DWN_SYSTEM_DVBT2_7,
  DWN_SYSTEM_DVBT2_8,
  DWN_SYSTEM_ISDBT_JP,
  DWN_SYSTEM_ISDBT_BR,
} DwnSystem;
#define DWN_N_SYSTEMS 8

typedef enum {
  DWN_BAND_LOW_VHF,  /* 30 to 110 MHz */
  DWN_BAND_HIGH_VHF, /* 110 to 300 MHz */
  DWN_BAND_UHF,      /* 300 MHz and up */
} DwnBand;
#define DWN_N_BANDS 3

typedef enum {
  DWN_POLARISATION_UNKNOWN,
  DWN_POLARISATION_HORIZONTAL,
  DWN_POLARISATION_VERTICAL,
  DWN_POLARISATION_CIRCULAR, /* elliptical too */
} DwnPolarisation;

typedef struct {
  char rf[8]; /* as the regulator writes it: "14", "9A", "E5" never; empty never */
  double low_mhz, centre_mhz, high_mhz;
  DwnBand band;
} DwnChannel;

#define DWN_CHANNEL_ERROR (dwn_channel_error_quark ())
GQuark dwn_channel_error_quark (void);
typedef enum {
  DWN_CHANNEL_ERROR_SYSTEM,    /* no such system */
  DWN_CHANNEL_ERROR_RF,        /* the system has no such RF channel */
  DWN_CHANNEL_ERROR_FREQUENCY, /* the system has no channel there */
} DwnChannelError;

/* "atsc1" and so on, as on the command line and in files. */
const char *dwn_system_id (DwnSystem system);
gboolean dwn_system_from_id (const char *id, DwnSystem *system, GError **error);
const char *dwn_band_id (DwnBand band); /* "low-vhf" "high-vhf" "uhf" */
gboolean dwn_band_from_id (const char *id, DwnBand *band);
DwnBand dwn_band_of_mhz (double mhz);
const char *dwn_polarisation_id (DwnPolarisation polarisation); /* "" "h" "v" "c" */

gboolean dwn_channel_find (DwnSystem system, const char *rf, DwnChannel *channel, GError **error);
gboolean dwn_channel_at (DwnSystem system, double mhz, DwnChannel *channel, GError **error);
/* The system's channels by rising frequency, and how many there are. */
const DwnChannel *dwn_system_channels (DwnSystem system, gsize *n);

G_END_DECLS
