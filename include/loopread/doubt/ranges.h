#pragma once

#include <array>
#include <cstddef>

namespace loopread {

/// What a picture of a blank does not tell, and mostly nobody measures.
enum class Unmeasured { wrap, penetration, turn, wander, yarn };
inline constexpr std::size_t kUnmeasured = 5;

/// How far a figure may be from the one in use: most likely that one, the less likely the nearer to either end
/// (triangular). Held, and never drawn, where there is no room at either side.
struct Range {
    double low = 0, used = 0, high = 0;

    bool drawn() const { return low < high; }
    /// The value under which the part p of all draws lies, p in (0, 1).
    double at(double p) const;
};
inline Range held(double value) {
    return {value, value, value};
}
/// A range stretched, if it must be, so that the value in use lies in it.
Range range_about(double used, double low, double high);

/// What is drawn, in the units the model has: wrap and penetration as shares, a turn of the strands in millimetres, its
/// wander in degrees, the yarn in a round as a factor on the one in use.
struct Ranges {
    std::array<Range, kUnmeasured> of = {held(0.7), held(0.4), held(100), held(30), held(1)};

    Range& operator[](Unmeasured what) { return of[static_cast<std::size_t>(what)]; }
    const Range& operator[](Unmeasured what) const { return of[static_cast<std::size_t>(what)]; }
};

// The ranges where nothing was measured. That the truth lies within them is a choice of this model, not a finding.

/// chosen, no source: paint on top of a thread goes round it by 40 % of what lies open at least, and all round at most.
inline constexpr double kLeastWrap = 0.4, kMostWrap = 1.0;
/// chosen, no source: of thick paste a tenth of the covered yarn, of thin dye on wet yarn four fifths.
inline constexpr double kLeastPenetration = 0.1, kMostPenetration = 0.8;
/// A figure read off photos counts as told if its 95 % span is 0.3 at most: half of that to either side, where the span
/// itself is not known.
inline constexpr double kToldToEitherSide = 0.15;
/// chosen, no source: half and twice the turn in use, a third and twice the wander.
inline constexpr double kLeastTurn = 0.5, kMostTurn = 2.0, kLeastWander = 1.0 / 3, kMostWander = 2.0;
/// Stitches in 10 cm. Sock yarn is knitted at 27 to 32 (Craft Yarn Council, Standard Yarn Weight System, category 1);
/// socks often more firmly, up to 36: common practice, no source.
inline constexpr double kFewestStitchesIn10Cm = 27, kMostStitchesIn10Cm = 36;
/// chosen, no source: a knitter's gauge is hers to 3 %.
inline constexpr double kOwnGauge = 0.03;
/// Stitches an area x loop length squared is 19.0 fresh off the needles and dry, 23.1 fully relaxed [Munden 1959]: at
/// one gauge a stitch takes less yarn by the root of that. The yarn in use is that of relaxed fabric.
inline constexpr double kDryRelaxed = 19.0, kFullyRelaxed = 23.1;

/// About the value in use, for a figure of the dye or the strands that nobody measured. @throws contract for the yarn,
/// which has ranges of its own
Range stated_range(Unmeasured what, double used);

/// Yarn in a round where neither it nor the gauge was measured, rows to stitches being as they are.
/// @param stitches_in_10_cm  in use; over 0 (require)
Range yarn_without_gauge(double stitches_in_10_cm);
/// The same where the gauge was.
Range yarn_at_known_gauge();

}  // namespace loopread
