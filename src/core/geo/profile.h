/* Heights along the way from a transmitter to a house. Plain data, immutable once built. */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

#define DWN_PROFILE_ERROR (dwn_profile_error_quark ())
GQuark dwn_profile_error_quark (void);
typedef enum {
  DWN_PROFILE_ERROR_TOO_SHORT, /* fewer than two samples */
  DWN_PROFILE_ERROR_DISTANCE,  /* distances do not rise from 0 */
  DWN_PROFILE_ERROR_HEIGHT,    /* an infinite height, or clutter that is not finite */
  DWN_PROFILE_ERROR_ZONE,      /* a number that is no DwnZone */
} DwnProfileError;

typedef enum {
  DWN_ZONE_SEA = 1,
  DWN_ZONE_COASTAL_LAND = 3,
  DWN_ZONE_INLAND = 4,
} DwnZone; /* numbered as in the profiles that ITU-R Study Group 3 publishes with P.1812 */

/* Sample 0 stands at the transmitter, sample n − 1 at the receiver. */
typedef struct {
  gsize n;                    /* at least 2 */
  const double *distance_m;   /* from the transmitter, strictly rising, distance_m[0] = 0 */
  const double *height_m;     /* ground above mean sea level; NaN where there is no data */
  const double *clutter_m;    /* (nullable): height of what stands on the ground */
  const guint8 *zone;         /* (nullable): DwnZone; inland where NULL */
  double step_m;              /* where all steps are one, to a millionth of it; 0: not so, or nobody
                               * has looked */
} DwnProfile;

/* Copies the arrays; clutter_m and zone may be NULL.
 * Returns: (transfer full): one reference; NULL with @error set where the distances do not rise
 * from 0, fewer than two samples are given, a height is infinite, clutter is not finite, or a zone
 * is no DwnZone. */
DwnProfile *dwn_profile_new (gsize n, const double *distance_m, const double *height_m,
                             const double *clutter_m, const guint8 *zone, GError **error);
DwnProfile *dwn_profile_ref (const DwnProfile *profile);
void dwn_profile_unref (DwnProfile *profile);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnProfile, dwn_profile_unref)

/* TRUE where every height is known. */
gboolean dwn_profile_is_complete (const DwnProfile *profile);

G_END_DECLS
