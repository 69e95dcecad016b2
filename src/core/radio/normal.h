/* The standard normal distribution, to the full precision of double. */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/* Share of a standard normal variable at or below @z. */
double dwn_normal_share (double z);

/* The z that a share of @share lies below: −∞ at 0, 0 at one half, +∞ at 1, NaN outside 0 to 1.
 * A share under 1e-300 counts as 1e-300. Path models use the approximations of their own documents
 * instead. */
double dwn_normal_quantile (double share);

G_END_DECLS
