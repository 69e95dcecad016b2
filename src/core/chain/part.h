/* Parts between antenna and television, as the data file describes their types and as a plan
 * uses them. */
#pragma once

#include "core/antenna/pattern.h"

G_BEGIN_DECLS

typedef enum {
  DWN_PART_ANTENNA,    /* no input, one output */
  DWN_PART_BALUN,
  DWN_PART_FILTER,     /* band, channel, FM or mobile-band filter, trap */
  DWN_PART_COMBINER,   /* by band, by channel, or a hybrid: several inputs, one output */
  DWN_PART_AMPLIFIER,  /* mast or distribution; may have several inputs with a built-in combiner */
  DWN_PART_INSERTER,   /* puts the supply's DC on the cable towards the antenna */
  DWN_PART_SURGE,      /* ground block or surge protector */
  DWN_PART_SPLITTER,   /* one input, several outputs */
  DWN_PART_TAP,        /* output 0 goes through, output 1 is the tap */
  DWN_PART_ATTENUATOR,
  DWN_PART_EQUALISER,
  DWN_PART_PLATE,      /* wall plate */
  DWN_PART_JOINT,      /* a pair of connectors, a former feed left connected */
  DWN_PART_SWITCH,     /* several inputs, one of them at a time reaches the output */
  DWN_PART_OUTLET,     /* the tuner: one input, or two where each downlead has its own tuner */
} DwnPartKind;
#define DWN_N_PART_KINDS (DWN_PART_OUTLET + 1)

/* "antenna" "balun" and so on, as in files. */
const char *dwn_part_kind_id (DwnPartKind kind);
gboolean dwn_part_kind_from_id (const char *id, DwnPartKind *kind);

typedef enum {
  DWN_DC_BLOCK,  /* nothing passes */
  DWN_DC_PASS,
  DWN_DC_NEED,   /* fed here: an amplifier's output */
  DWN_DC_INJECT, /* the supply comes out here: an inserter's input, towards the antenna */
  DWN_DC_SHORT,  /* a DC short to the shield: most baluns and loop antennas */
} DwnDc;

/* dB over frequency: piecewise linear in MHz, constant beyond the ends. */
typedef struct {
  guint n;
  const double *mhz, *db;
} DwnResponse;
double dwn_response_db (const DwnResponse *response, double mhz); /* 0 where n is 0 */

typedef enum {
  DWN_SHARED_NONE,
  DWN_SHARED_FEED,    /* "feed": a former cable feed that was left connected */
  DWN_SHARED_NETWORK, /* "network": an adapter of a home network, which sends */
} DwnShared;

#define DWN_MAX_PORTS 8

/* A kind of thing one buys, no brand. Limits are total power over all carriers, NaN: none. */
typedef struct {
  const char *id;
  const char *name;    /* English, msgid of its translation */
  const char *source;  /* of the figures */
  gboolean from_memory; /* some of the figures are, and wait to be checked */
  DwnPartKind kind;
  guint n_in, n_out;
  DwnResponse gain[DWN_MAX_PORTS][DWN_MAX_PORTS]; /* [input][output], negative is loss */
  DwnResponse noise_figure; /* active parts and tuners; passive ones make the noise of their loss */
  gboolean active;
  double max_input_dbm, max_output_dbm;
  double oip2_dbm, oip3_dbm;
  double sensitivity_dbm;      /* tuners */
  double unpowered_loss_db;    /* an amplifier without its supply */
  double isolation_db;         /* between outputs of a splitter, inputs of a combiner or switch */
  double level_min_dbm, level_max_dbm; /* tuners: the trade's window for each station's level */
  double return_loss_db;       /* of every port */
  double range_min_db, range_max_db;   /* gain or loss over what is sold, or of a gain control */
  double stop_db, edge_mhz;    /* channel filters: gain in the stop-band, width of its slope */
  DwnDc dc_in[DWN_MAX_PORTS], dc_out[DWN_MAX_PORTS];
  double volts, milliamps;     /* needed, or rated where it injects */
  gboolean hybrid;             /* a combiner whose inputs meet in one band */
  DwnShared shared;            /* who else is on the coax through it */
  guint systems;               /* tuners: bits (1 << DwnSystem) that it receives; 0: not said */
  guint tuners;                /* tuners: how many stations it takes at once, at least 1 */
  gboolean records;            /* tuners */
  double price;                /* NaN: none given */
} DwnPartType;

/* Loss a·√f + b·f in dB per 100 m at f MHz and 20 °C. */
typedef struct {
  const char *id, *name, *source;
  gboolean from_memory;
  double a, b;
  double temperature_per_k; /* relative growth of the loss per kelvin */
  double age_per_year;      /* relative growth of the loss per year outdoors */
  double price_per_m;       /* NaN: none given */
} DwnCableType;
/* NaN unless length_m is at least 0 and mhz above 0. New cable at 20 °C. */
double dwn_cable_loss_db (const DwnCableType *cable, double length_m, double mhz);
/* The same at another temperature after @age_years outdoors. */
double dwn_cable_loss_aged_db (const DwnCableType *cable, double length_m, double mhz,
                               double temperature_c, double age_years);

/* Signals that nobody wants and every amplifier hears: a few carriers that stand for a band of FM
 * stations or mobile base stations where nobody has measured what there is. */
typedef struct {
  const char *id, *name, *source;
  gboolean from_memory;
  guint n;
  const double *mhz;
  double field_dbuv_m; /* of each, out of doors at the house, half of the time */
} DwnCarrierGroup;

/* All types that the program and the user's data file know; immutable, refcounted. The format is
 * explained at the head of the data file. */
typedef struct _DwnPartList DwnPartList;
DwnPartList *dwn_part_list_new (GError **error); /* from the data file chain/parts.ini */
/* @name: what errors call the file. Errors are DWN_INI_ERROR (core/data/ini.h): file, line, group
 * and key, what is wrong and what would be right. */
DwnPartList *dwn_part_list_new_from_bytes (GBytes *bytes, const char *name, GError **error);
DwnPartList *dwn_part_list_ref (const DwnPartList *list);
void dwn_part_list_unref (DwnPartList *list);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnPartList, dwn_part_list_unref)
/* NULL where there is none of that id; the list keeps what they return. */
const DwnPartType *dwn_part_list_find (const DwnPartList *list, const char *id);
const DwnPartType *const *dwn_part_list_types (const DwnPartList *list, guint *n);
const DwnCableType *dwn_part_list_find_cable (const DwnPartList *list, const char *id);
const DwnCableType *const *dwn_part_list_cables (const DwnPartList *list, guint *n);
const DwnCarrierGroup *dwn_part_list_find_carriers (const DwnPartList *list, const char *id);
const DwnCarrierGroup *const *dwn_part_list_carriers (const DwnPartList *list, guint *n);

G_END_DECLS
