/* The invented house's gear, for the tests of drawings and for looking at them. */
#pragma once

#include "draw/gear.h"
#include "draw/path.h"
#include "draw/staircase.h"

G_BEGIN_DECLS

/* Two antennas, combiner, mast amplifier, inserter, splitter, three outlets. */
const DwnGearDrawing *dwn_example_gear (void);

/* A block of flats: one antenna, amplifier, and splitters of eight for @n_outlets. Free with
 * dwn_example_flats_free(). */
DwnGearDrawing *dwn_example_flats (guint n_outlets);
void dwn_example_flats_free (DwnGearDrawing *drawing);

/* Why one of its stations breaks up. */
const DwnStaircase *dwn_example_staircase (void);

/* The way from that station, with a ridge before the house. The heights are static. */
const DwnPathDrawing *dwn_example_path (void);

G_END_DECLS
