/* From the North American Datum of 1927, in which older US licence records are kept, to WGS 84. */
#pragma once

#include "core/geo/lat-lon.h"

G_BEGIN_DECLS

/* Where a place lies decides which figures the shift takes. */
typedef enum {
  DWN_DATUM_REGION_CONUS,       /* the contiguous United States */
  DWN_DATUM_REGION_ALASKA,      /* without the Aleutian Islands */
  DWN_DATUM_REGION_HAWAII,      /* the Old Hawaiian datum, which records there call NAD27 */
  DWN_DATUM_REGION_PUERTO_RICO, /* and the Virgin Islands: the Puerto Rico datum, likewise */
  DWN_DATUM_REGION_ELSEWHERE,   /* no figures: not shifted */
} DwnDatumRegion;

/* Shifts a place by three geocentric translations: DMA TR 8350.2 (second edition, 1991), appendix
 * B, mean solution of each region. Good to dwn_datum_region_accuracy_m(). @wgs84 may be @nad27.
 *
 * @region: (nullable): whose figures were taken.
 * Returns: FALSE elsewhere, where @wgs84 is @nad27 unchanged and the caller should warn that it may
 * be some hundred metres off; the same where @nad27 is no place on Earth. */
gboolean dwn_datum_nad27_to_wgs84 (const DwnLatLon *nad27, DwnLatLon *wgs84,
                                   DwnDatumRegion *region);

/* Standard error of the region's shift in metres, the square sum of the errors of its three
 * figures as the source gives them; NaN elsewhere. */
double dwn_datum_region_accuracy_m (DwnDatumRegion region);

G_END_DECLS
