/* Diffraction over one sharp edge. */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/* Loss in dB over free space behind a single knife edge of diffraction parameter @nu: 6 dB where
 * the edge just touches the line (ν = 0). The fit holds for ν > −0.78, under which the loss is 0.
 * ITU-R P.526-15 eq. (31). */
double dwn_knife_edge_loss_db (double nu);

G_END_DECLS
