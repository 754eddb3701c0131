#pragma once

#include "lattice/fourier.h"
#include "lattice/sheet.h"

namespace loopread {

/// A wave that repeats along the columns of `values`, taken thinly across it.
struct Carrier {
    Grid<Wave> values;
    double step = 1;  ///< pixels from row to row; from column to column it is one pixel
};

/// Where a carrier is looked for: periods of pixels, and how far it may lean.
struct CarrierRange {
    double least_period = 0, most_period = 0;
    double most_lean = 0;  ///< pixels along per pixel across
};

/// A carrier's phase, followed over the picture.
struct Tracked {
    Sheet phase;          ///< in turns; grows along the columns
    double strength = 0;  ///< 0..1: share of the carrier in the field's root mean square, typical of all places
    double scatter = 1;   ///< turns: root mean square of the phase found about the smooth one, weighted by strength
    double followed = 0;  ///< share of places whose phase lies within kFollowed of the smooth one
    bool found = false;
};

inline constexpr double kFollowed = 0.15;  ///< turns

/// Local frequencies from windowed spectra, phases at places a few periods apart by quadrature, unwrapped from the
/// surest place outwards, fitted by a smooth surface, and once more about that surface.
Tracked tracked(const Carrier& carrier, const CarrierRange& range);

/// The strength of another carrier of the same size at the frequencies of a phase found.
double strength_along(const Carrier& carrier, const Sheet& phase);

}  // namespace loopread
