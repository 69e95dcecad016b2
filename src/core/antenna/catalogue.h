/* The antennas that the program knows by name: generic ones of its own, and the user's.
 *
 * The program's own stand in data/antennas: a list (catalogue.tsv) and one file for each
 * (antenna.h has the format). The user's stand in $XDG_DATA_HOME/downlead/antennas, in any form
 * that dwn_antenna_load() reads; their id is the one in the file, or the file's name without what
 * follows its last dot. Listing opens no pattern: a file is read when its antenna is asked for. */
#pragma once

#include "core/antenna/antenna.h"

G_BEGIN_DECLS

/* Planning and reference antennas that are always there. */
#define DWN_ANTENNA_DIPOLE "dipole" /* half-wave dipole at every frequency: 2.15 dBi */
#define DWN_ANTENNA_BT419 "bt419"   /* ITU-R BT.419 discrimination, planning gains */
#define DWN_ANTENNA_OET69 "oet69"   /* OET-69 discrimination, planning gains */

/* Refcounted; what it lists never changes. Any thread may ask for antennas. */
typedef struct _DwnCatalogue DwnCatalogue;

typedef struct {
  const char *id;
  const char *name;            /* for people, untranslated; the file's name for a user's antenna
                                  of a form that has no name in it */
  double design_low_mhz, design_high_mhz; /* where it is meant to work; NaN for a user's antenna */
  gboolean personal;
  const char *file;            /* under data/ for the program's own, a path for the user's */
} DwnCatalogueEntry;

/* Returns: (transfer full), or NULL with @error where the program's own list cannot be read. A
 * file of the user's that does not serve is left out, and dwn_catalogue_warnings() says why. */
DwnCatalogue *dwn_catalogue_new (GError **error);
DwnCatalogue *dwn_catalogue_ref (DwnCatalogue *catalogue);
void dwn_catalogue_unref (DwnCatalogue *catalogue);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnCatalogue, dwn_catalogue_unref)

/* The program's own in the order of its list, then the user's by id. */
gsize dwn_catalogue_n (const DwnCatalogue *catalogue);
const DwnCatalogueEntry *dwn_catalogue_entry (const DwnCatalogue *catalogue, gsize i);
int dwn_catalogue_find (const DwnCatalogue *catalogue, const char *id); /* -1 where there is none */

/* Returns: (transfer none) (array zero-terminated=1): a line for each file left out. */
const char *const *dwn_catalogue_warnings (const DwnCatalogue *catalogue);

/* Read at the first call, shared afterwards. @id may name a stack of two (core/antenna/stack.h).
 * Returns: (transfer full), or NULL with @error (DWN_ANTENNA_ERROR_UNKNOWN, or the file's). */
DwnAntenna *dwn_catalogue_antenna (DwnCatalogue *catalogue, const char *id, GError **error);
DwnPattern *dwn_catalogue_pattern (DwnCatalogue *catalogue, const char *id, GError **error);

/* Power in dB that this antenna's feed reflects at @mhz into the line it is meant for; 0 where
 * its impedance is not known, NaN where there is no such antenna. The gain does not contain it. */
double dwn_catalogue_mismatch_db (DwnCatalogue *catalogue, const char *id, double mhz);

/* What --antenna takes: an id of the catalogue or, where there is none of that name, a file.
 * Returns: (transfer full), or NULL with @error. */
DwnPattern *dwn_antenna_resolve (DwnCatalogue *catalogue, const char *id_or_path, GError **error);

/* Reads an antenna from a file of any form we know: our own (antenna.h), a table of azimuths, the
 * output of a thin-wire program. @warnings (nullable) (element-type utf8): what was assumed.
 * Returns: (transfer full), or NULL with @error. */
DwnAntenna *dwn_antenna_load (const char *path, GPtrArray *warnings, GError **error);

/* The folder of the user's own antennas. Returns: (transfer full). */
char *dwn_catalogue_personal_folder (void);

/* Writes @antenna into that folder, durably, as ID.antenna; an older file of that name is
 * replaced. FALSE with @error where the id is not valid, is one of the program's own or that of a stack, or the
 * disk refuses. A catalogue that stands already does not see it: make a new one. */
gboolean dwn_catalogue_save_personal (const DwnAntenna *antenna, GError **error);

G_END_DECLS
