/* ITM: how the attenuation varies with time, location and situation (§5 of the algorithm). */
#include "core/radio/itm-private.h"

#include <math.h>

/* (c1 + c2 / (1 + ((d − x2) / x3)²)) (d / x1)² / (1 + (d / x1)²), x in km. */
typedef struct {
  double c1, c2, x1_km, x2_km, x3_km;
} Curve;

/* A factor over frequency: b1 + b2 / ((b3 log (0.133 k))² + 1). */
typedef struct {
  double b1, b2, b3;
} Factor;

/* One radio climate, from figs. 10.13 ff. of NBS TN 101 and table 5.1 of the algorithm. */
typedef struct {
  Curve median;
  Curve above, below;             /* deviations of the field above and below its median in time */
  Factor above_factor, below_factor;
  double rare_factor, rare_from;  /* of the deviation above, and from where on it holds */
} Climate;

static const Climate climates[] = {
  { /* 1 equatorial */
    { -9.67, 12.7, 144.9, 190.3, 133.8 },
    { 2.11, 102.3, 636.9, 134.8, 95.6 },
    { 2.13, 159.5, 762.2, 123.6, 94.5 },
    { 1, 0, 0 }, { 1, 0, 0 }, 1.224, 1.282 },
  { /* 2 continental subtropical */
    { -0.62, 9.19, 228.9, 205.2, 143.6 },
    { 6.87, 15.53, 138.7, 143.7, 98.6 },
    { 2.66, 7.67, 100.4, 172.5, 136.4 },
    { 0.93, 0.31, 2.00 }, { 1, 0, 0 }, 0.801, 2.161 },
  { /* 3 maritime subtropical */
    { 1.26, 15.5, 262.6, 185.2, 99.8 },
    { 10.08, 9.60, 165.3, 225.7, 129.7 },
    { 6.11, 6.65, 138.2, 242.2, 178.6 },
    { 1, 0, 0 }, { 1, 0, 0 }, 1.380, 1.282 },
  { /* 4 desert */
    { -9.21, 9.05, 84.1, 101.1, 98.6 },
    { 3.68, 159.3, 464.4, 93.1, 94.2 },
    { 1.98, 13.11, 139.1, 132.7, 193.5 },
    { 0.93, 0.19, 1.79 }, { 1, 0, 0 }, 1.000, 20.0 },
  { /* 5 continental temperate */
    { -0.62, 9.19, 228.9, 205.2, 143.6 },
    { 4.75, 8.12, 93.2, 135.9, 113.4 },
    { 2.68, 7.16, 93.7, 186.8, 133.5 },
    { 0.93, 0.31, 2.00 }, { 0.92, 0.25, 1.77 }, 1.224, 1.282 },
  { /* 6 maritime temperate, over land */
    { -0.39, 2.86, 141.7, 315.9, 167.4 },
    { 8.58, 13.97, 216.0, 152.0, 122.7 },
    { 6.86, 10.38, 187.8, 169.6, 108.9 },
    { 1, 0, 0 }, { 1, 0, 0 }, 1.518, 1.282 },
  { /* 7 maritime temperate, over the sea */
    { 3.15, 857.9, 2222, 164.8, 116.3 },
    { 8.43, 8.19, 136.2, 188.5, 122.9 },
    { 8.51, 169.8, 609.8, 119.9, 106.6 },
    { 1, 0, 0 }, { 1, 0, 0 }, 1.518, 1.282 },
};

/* What a mode of variability means. */
enum { SINGLE_MESSAGE, ACCIDENTAL, MOBILE, BROADCAST };

/* Standard normal deviates; positive where more field than the median is asked for. */
typedef struct {
  double time, location, situation;
} Deviates;

double
dwn_itm_inverse_normal (double share)
{
  double tail = share > 0.5 ? 1 - share : share;
  double t = sqrt (-2 * log (tail));
  double deviate = t - ((0.010328 * t + 0.802853) * t + 2.515516)
                       / (((0.001308 * t + 0.189269) * t + 1.432788) * t + 1);

  return share > 0.5 ? -deviate : deviate;
}

static double
curve_at (const Curve *curve, double d_km)
{
  double off = (d_km - curve->x2_km) / curve->x3_km;
  double rise = d_km / curve->x1_km;

  return (curve->c1 + curve->c2 / (1 + off * off)) * rise * rise / (1 + rise * rise);
}

static double
factor_at (const Factor *factor, double wave_number)
{
  double x;

  if (factor->b2 == 0)
    return factor->b1;
  x = factor->b3 * log (0.133 * wave_number);
  return factor->b1 + factor->b2 / (x * x + 1);
}

/* Distances made comparable: 130 km is where diffraction ends and scattering begins (5.3). */
static double
effective_km (const DwnItmPath *path)
{
  const double wide_earth_m = 9000e3;
  double scatter_m = sqrt (2 * wide_earth_m * path->he_m[0])
                     + sqrt (2 * wide_earth_m * path->he_m[1])
                     + cbrt (575.7e12 * 47.7) / path->cbrt_mhz;

  if (path->d_m < scatter_m)
    return 130 * path->d_m / scatter_m;
  return 130 + (path->d_m - scatter_m) / 1000;
}

static double
time_sd_db (const Climate *climate, double d_km, double wave_number, double z)
{
  double above_db;

  if (z < 0)
    return curve_at (&climate->below, d_km) * factor_at (&climate->below_factor, wave_number);
  above_db = curve_at (&climate->above, d_km) * factor_at (&climate->above_factor, wave_number);
  if (z <= climate->rare_from)
    return above_db;
  return climate->rare_factor * above_db
         + above_db * (1 - climate->rare_factor) * climate->rare_from / z;
}

static Deviates
deviates_of (const DwnPathQuery *query, int mode)
{
  Deviates z = { .time = dwn_itm_inverse_normal (query->time_pct / 100),
                 .location = dwn_itm_inverse_normal (query->location_pct / 100) };

  z.situation = query->situation_pct == query->location_pct
                ? z.location : dwn_itm_inverse_normal (query->situation_pct / 100);

  if (mode == SINGLE_MESSAGE)
    z.time = z.location = z.situation;
  else if (mode == ACCIDENTAL)
    z.location = z.situation;
  else if (mode == MOBILE)
    z.location = z.time;
  return z;
}

/* Deviation of the field from its median, eq. (5.11) for each mode. */
static double
deviation_db (int mode, const Deviates *z, double time_sd, double location_sd, double situation_sd)
{
  double time_db = time_sd * z->time;
  double location_db = location_sd * z->location;
  double square = situation_sd * situation_sd
                  + time_db * time_db / (7.8 + z->situation * z->situation)
                  + location_db * location_db / (24 + z->situation * z->situation);

  switch (mode)
    {
    case SINGLE_MESSAGE:
      return sqrt (time_sd * time_sd + location_sd * location_sd + square) * z->situation;
    case ACCIDENTAL:
      return time_db + sqrt (location_sd * location_sd + square) * z->situation;
    case MOBILE:
      return hypot (time_sd, location_sd) * z->time + sqrt (square) * z->situation;
    default:
      return time_db + location_db + sqrt (square) * z->situation;
    }
}

double
dwn_itm_variability_db (const DwnItmPath *path, const DwnPathQuery *query, double reference_db,
                        guint *warnings)
{
  const Climate *climate = &climates[query->climate - 1];
  int mode = query->mdvar % 10;
  int left_out = query->mdvar / 10; /* bit 0 location, bit 1 situation */
  Deviates z = deviates_of (query, mode);
  double d_km = effective_km (path);
  double situation_sd = left_out & 2 ? 0 : 5 + 3 * exp (-d_km / 100);
  double location_sd = 0;
  double loss_db;

  if (!(left_out & 1))
    {
      double rough = path->wave_number * dwn_itm_roughness_m (path->d_m, path->delta_h_m);

      location_sd = 10 * rough / (rough + 13);
    }
  if (fabs (z.time) > 3.1 || fabs (z.location) > 3.1 || fabs (z.situation) > 3.1)
    *warnings |= DWN_ITM_WARN_RARE;

  loss_db = reference_db - curve_at (&climate->median, d_km)
            - deviation_db (mode, &z, time_sd_db (climate, d_km, path->wave_number, z.time),
                            location_sd, situation_sd);
  if (loss_db < 0) /* more than free space is asked for: bent back */
    loss_db *= (29 - loss_db) / (29 - 10 * loss_db);
  return loss_db;
}
