/* Loss of a path's last stretch through trees. */
#pragma once

#include <gio/gio.h>

#include "core/radio/channel.h"

G_BEGIN_DECLS

/* Figures by frequency, from the data file radio/woodland.ini. Immutable, refcounted. */
typedef struct _DwnWoodland DwnWoodland;
DwnWoodland *dwn_woodland_new (GError **error);
/* @name is what errors (DWN_INI_ERROR) call the file. */
DwnWoodland *dwn_woodland_new_from_bytes (GBytes *bytes, const char *name, GError **error);
DwnWoodland *dwn_woodland_ref (const DwnWoodland *woodland);
void dwn_woodland_unref (DwnWoodland *woodland);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnWoodland, dwn_woodland_unref)

/* Loss in dB with one end @depth_m inside a wood: A = Am (1 − exp (−γ d / Am)), ITU-R P.833-9 §2.1.
 * γ and Am run straight between their published frequencies on logarithmic scales, and on along the
 * last stretch beyond them. Without leaves γ is smaller. NaN unless @mhz > 0 and @depth_m >= 0. */
double dwn_woodland_loss_db (const DwnWoodland *woodland, double mhz, double depth_m,
                             gboolean leaves);

/* Loss in dB of one tree close to the antenna. A bare one takes as much less as a bare wood does. */
double dwn_woodland_tree_db (const DwnWoodland *woodland, DwnBand band, gboolean leaves);

/* Standard deviation of either, dB: a share of the loss itself. */
double dwn_woodland_sd_db (const DwnWoodland *woodland, double loss_db);

G_END_DECLS
