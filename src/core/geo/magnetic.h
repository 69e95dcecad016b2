/* The Earth's magnetic field by a spherical harmonic model of degree 12. */
#pragma once

#include "core/geo/lat-lon.h"

G_BEGIN_DECLS

#define DWN_MAGNETIC_ERROR (dwn_magnetic_error_quark ())
GQuark dwn_magnetic_error_quark (void);
typedef enum {
  DWN_MAGNETIC_ERROR_FORMAT,     /* not a coefficient file, or a line that is no coefficient */
  DWN_MAGNETIC_ERROR_INCOMPLETE, /* coefficients are missing */
} DwnMagneticError;

/* Immutable, refcounted. */
typedef struct _DwnMagneticModel DwnMagneticModel;

/* The field at one place, or how much it changes in a year (NaN where it has no direction). */
typedef struct {
  double declination_deg; /* −180 to 180, east positive: compass bearing = true − declination */
  double inclination_deg; /* −90 to 90, down positive */
  double horizontal_nt, total_nt;
  double north_nt, east_nt, down_nt; /* X, Y, Z; geodetic */
} DwnMagneticElements;

typedef struct {
  DwnMagneticElements at;
  DwnMagneticElements per_year;
  gboolean outside_validity; /* the date: the values are still the model's, but warn */
} DwnMagneticField;

/* The model that comes with the program (World Magnetic Model 2025, NOAA/NCEI and BGS), or the
 * user's own in its place.
 * Returns: (transfer full); NULL with @error set where the user's own cannot be read. */
DwnMagneticModel *dwn_magnetic_model_new (GError **error);

/* Reads a coefficient file in the format of the World Magnetic Model: a line with epoch, name and
 * date, then lines "n m g h g' h'" in nT and nT a year up to degree 12, then a line of 9s. Lines
 * that begin with # are comments. @name is the file's in error messages.
 * Returns: (transfer full); NULL with @error set, naming file, line, and what would be right. */
DwnMagneticModel *dwn_magnetic_model_new_from_bytes (GBytes *bytes, const char *name,
                                                     GError **error);

DwnMagneticModel *dwn_magnetic_model_ref (const DwnMagneticModel *model);
void dwn_magnetic_model_unref (DwnMagneticModel *model);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnMagneticModel, dwn_magnetic_model_unref)

/* "WMM-2025". */
const char *dwn_magnetic_model_name (const DwnMagneticModel *model);

/* Decimal years from and until which the model is valid: its epoch and five years on. */
double dwn_magnetic_model_first_year (const DwnMagneticModel *model);
double dwn_magnetic_model_last_year (const DwnMagneticModel *model);

/* The field at @height_m above the WGS 84 ellipsoid (−10,000 to 1,000,000) in @decimal_year (see
 * dwn_date_decimal_year()). Outside these ranges, and for no place on Earth, everything is NaN.
 * At a pole, north is along the meridian of the longitude given.
 * Source: The US/UK World Magnetic Model for 2025–2030, technical report, section 1.2. */
void dwn_magnetic_model_field (const DwnMagneticModel *model, const DwnLatLon *at, double height_m,
                               double decimal_year, DwnMagneticField *field);

/* Declination alone, in degrees. */
double dwn_magnetic_model_declination_deg (const DwnMagneticModel *model, const DwnLatLon *at,
                                           double height_m, double decimal_year);

G_END_DECLS
