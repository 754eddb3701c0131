#pragma once

#include <optional>
#include <string>
#include <vector>

#include "loopread/compare/change.h"
#include "loopread/compare/dyed_picture.h"

namespace loopread {

/// A figure with its 95 % interval.
struct RangedShare {
    double value = 0, low = 0, high = 0;
};

/// Stencil dye at some distance from the edges of the motif.
struct DyeRing {
    double mm = 0;     ///< middle of the ring
    double share = 0;  ///< of the motif's stencil dye
};

/// What a picture is read for.
struct GroundSides {
    LinearRgb ground, motif;   ///< about, as edges show them
    double edge_width_mm = 0;  ///< 10-90 %
    LinearRgb undyed{0.9, 0.85, 0.74};
};

/// The ground of one picture.
struct GroundReading {
    LinearRgb plain, motif;      ///< means: ground far from edges, and the inside of motifs
    double plain_cm2 = 0;        ///< ground far from edges
    double far_mm = 0;           ///< what far means
    double variation_de00 = 0;   ///< of plain ground about a level slope: root mean square
    std::vector<DyeRing> rings;  ///< outwards from the edge
    /// Stencil dye just beyond the soft edge, of the motif's, more than the ground's own slow change would have there;
    /// by chance a little under 0.
    RangedShare beside;
    double beside_from_mm = 0, beside_to_mm = 0;
    std::optional<double> ten_percent_mm;  ///< where stencil dye falls to 10 % of the motif's
    std::string why_not;                   ///< why its dyes cannot be told apart; empty if they can
};

/// Cells of ground sorted by their distance from the motif, in each the share of stencil dye by Kubelka-Munk: light is
/// unmixed into ground dye and stencil dye on undyed yarn, neither under 0. Ground far from edges is what ground dye
/// looks like; where it varies by itself or is of the stencil's hue nothing is told.
GroundReading ground_reading(const DyedPicture& picture, const GroundSides& sides);

/// What else is known of two photos.
struct GroundOptions {
    enum class Wetness { alike, differs } wetness = Wetness::alike;
    enum class Pieces { same, different } pieces = Pieces::same;  ///< different ones may differ from the start
    double exposure_doubt = 0.06;  ///< share of light by which two photos may differ though nothing changed
    LinearRgb undyed{0.9, 0.85, 0.74};
};

/// Did stencil dye go into the ground?
struct GroundChange {
    double delta_e00 = 0;                  ///< plain ground, before and after
    std::optional<RangedShare> beside;     ///< stencil dye beside the motif, more than before; of the motif's
    std::optional<RangedShare> far;        ///< stencil dye all over the ground, more than before
    Change verdict = Change::cannot_tell;  ///< softened: it bled
    std::string why;
};
GroundChange ground_change(const GroundReading& before, const GroundReading& after, const GroundOptions& options);
/// Of one picture alone, where before is known to have been clean.
GroundChange ground_change(const GroundReading& after, const GroundOptions& options);

/// A colour before and after.
struct Fading {
    double delta_e00 = 0;
    double delta_e76 = 0;    ///< CIELAB, in which the grey scale is defined
    double delta_l = 0;      ///< over 0: lighter
    std::string grey_scale;  ///< "4-5": the nearest step
};
Fading fading(LinearRgb before, LinearRgb after);
/// The nearest step of the grey scale for change in colour [ISO 105-A02], by its differences in CIELAB.
std::string grey_scale_step(double delta_e76);

}  // namespace loopread
