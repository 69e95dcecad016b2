#include "core/study/bands.h"

#include <math.h>

#include "core/chain/cascade.h"

/* Middle of what is used of each band today, from low VHF up. */
static const double middle_mhz[DWN_N_BANDS] = { 69.0, 195.0, 545.0 };
/* An antenna this far behind the best one does not bring the band. */
#define BEHIND_DB 6.0

/* Best gain from this antenna's lobe to any outlet, dB. */
static double
best_gain_db (const DwnChain *gear, guint antenna, double mhz)
{
  double best = 0.0;

  for (guint state = 0; state < gear->n_states; state++)
    {
      g_autoptr (DwnCascade) cascade = dwn_cascade_new (gear, mhz, state);

      for (guint o = 0; o < gear->n_outlets; o++)
        for (guint port = 0; port < gear->type[gear->outlet[o]]->n_in; port++)
          {
            const DwnPoint *point = dwn_cascade_input (cascade, gear, gear->outlet[o], port);
            best = point != NULL ? fmax (best, point->gain[antenna]) : best;
          }
    }
  const DwnPart *part = &gear->part[gear->antenna[antenna]];
  return 10.0 * log10 (fmax (best, 1e-30)) + dwn_pattern_max_gain_dbi (part->pattern, mhz);
}

guint
dwn_antenna_bands (const DwnChain *gear, guint antenna)
{
  guint bands = 0;

  g_return_val_if_fail (antenna < gear->n_antennas, 0);
  for (guint band = 0; band < DWN_N_BANDS; band++)
    {
      double mine = best_gain_db (gear, antenna, middle_mhz[band]), best = mine;

      for (guint other = 0; other < gear->n_antennas; other++)
        best = fmax (best, best_gain_db (gear, other, middle_mhz[band]));
      if (mine >= best - BEHIND_DB)
        bands |= 1u << band;
    }
  return bands;
}
