/* Two antennas on one mast: what their sum receives, how to stack two alike, how far apart. */
#pragma once

#include "core/antenna/pattern.h"

G_BEGIN_DECLS

/* The phase between two antennas that look different ways is nobody's to know: it changes with
 * every channel and with a hand's breadth of mast. So a sum has three figures. */
typedef struct {
  double mean_db;  /* power averaged over all phases */
  double best_db;  /* in phase */
  double worst_db; /* in opposition */
} DwnPairGain;

/* Fields of two sources that meet in one line without loss: each @first_db, @second_db, in dB to a
 * common reference, already contains what is lost on its way. For a combiner by band or channel:
 * the antenna of the band less the insertion loss, the other one less the isolation.
 * A level of -INFINITY is no signal at all. */
DwnPairGain dwn_pair_sum (double first_db, double second_db);

/* The same through an ideal hybrid, which halves each power: a station that only one antenna hears
 * is 3.01 dB down, one that both hear alike lies between 3.01 dB up and nothing. Real hybrids lose
 * half a decibel more, which is a part's loss in the chain. Both antennas' external noise comes
 * through, each halved, so two like ones give the noise of one. */
DwnPairGain dwn_pair_hybrid (double first_db, double second_db);

/* Power in dB that the hybrid gives at least, at confidence @q (0 to 1) over the unknown phase:
 * with amplitudes a and b, p = (a² + b² − 2ab cos π(1 − q))/2. q = 1 is the worst phase, which
 * advice goes by; 0 the best; ½ the mean. NaN for a q outside 0 to 1. */
double dwn_pair_hybrid_at (double first_db, double second_db, double q);

typedef enum {
  DWN_STACK_VERTICAL,   /* one above the other: narrows the elevation pattern */
  DWN_STACK_HORIZONTAL, /* side by side: narrows the azimuth pattern */
} DwnStack;

/* Two of @pattern, same aim, equal leads, @spacing_m apart: 3.01 dB more over the boresight less
 * @combiner_db, and the array factor |cos(π S sin(angle)/λ)| across the direction in which they
 * are stacked. Axes of 1°, every 6 MHz between the pattern's frequencies. Coupling between the two
 * is left out: it is small from half a wavelength on. Nulls of the array end at −40 dB.
 * Returns: (transfer full), or NULL with @error (DWN_PATTERN_ERROR) where the spacing is not > 0
 * and at most 100 m or the combiner's loss is negative. */
DwnPattern *dwn_pair_stack (const DwnPattern *pattern, DwnStack direction, double spacing_m,
                            double combiner_db, GError **error);

/* The spacing that gives most gain before side lobes grow: S = λ/(2 sin(θ/2)), θ the half-power
 * beamwidth in the plane of stacking (amateur practice, TV aerials too). NaN unless 0 < θ <= 180
 * and mhz > 0. */
double dwn_stack_spacing_m (double beamwidth_deg, double mhz);

/* The spacing nearest to @wanted_m that puts a null of the array @off_deg off the boresight: an odd
 * multiple of λ/(2 sin |off|). NaN where there is none: off 0 or 180°, mhz or wanted not > 0. */
double dwn_stack_null_spacing_m (double off_deg, double mhz, double wanted_m);

/* How far apart two antennas must stand on one mast so as not to spoil each other: half a
 * wavelength of the lower frequency one above the other, a whole one side by side, and never under
 * 1 m (installers' practice). NaN unless mhz > 0. */
double dwn_pair_separation_m (DwnStack direction, double lower_mhz);

/* By how much what one antenna hands to another is weaker, from a wavelength on: side by side the loss
 * of free space between isotropic antennas, 20 log10 (4πd/λ), less @towards_dbi, the gains of both
 * towards each other (ITU-R P.525); one above the other 28 + 40 log10 (d/λ) dB, both being blind there
 * (practice of base stations, from memory). NaN under a wavelength and unless mhz > 0. */
double dwn_pair_isolation_db (DwnStack direction, double spacing_m, double mhz, double towards_dbi);

G_END_DECLS
