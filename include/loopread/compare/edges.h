#pragma once

#include <optional>
#include <string>
#include <vector>

#include "loopread/compare/dyed_picture.h"

namespace loopread {

/// Of a Gaussian edge the 10-90 % width is so many standard deviations: 2 x the normal quantile of 0.9.
inline constexpr double kWidthPerSigma = 2.5631031311;

/// How an edge runs.
enum class EdgeDirection { along_rows, across_rows, slanting };
std::string direction_words(EdgeDirection direction);

/// Where an edge is to be measured, millimetres from the top left; the normal is a unit vector.
struct EdgePlace {
    double x_mm = 0, y_mm = 0;
    double normal_x = 1, normal_y = 0;  ///< from ground to motif
};

/// How the motif sets in across an edge, 0 on the ground and 1 on the motif; never falls.
struct EdgeProfile {
    double reach_mm = 0;         ///< its middle is the edge, its ends so far off
    std::vector<double> values;  ///< in equal steps, each the mean over its step

    /// Where a value is passed, mm from the edge.
    double place_of(double value) const;
    double at(double mm) const;
    double width_between(double low, double high) const { return place_of(high) - place_of(low); }
};

/// A short piece of an edge, measured.
struct EdgePiece {
    EdgePlace place;  ///< on the edge
    double half_length_mm = 0;
    double width_mm = 0;  ///< 10-90 % in light, what pixels add taken off
    LinearRgb ground, motif;
    double delta_e00 = 0;  ///< between the two
    EdgeProfile profile;
    double spread_mm = 0;  ///< what pixels and steps added, as a standard deviation
    /// What knitting may have added besides, at most, as a standard deviation: as where every leg of a stitch took the
    /// mean of the paint along it and shows that all over.
    double legs_spread_mm = 0;

    EdgeDirection direction() const;
    /// The width between two other shares of the way from ground to motif; what pixels add taken off.
    double width_between(double low, double high) const;
    /// The 10-90 % width that legs of one colour each would add to, at most, a sharp edge.
    double legs_width_mm() const { return kWidthPerSigma * legs_spread_mm; }
    /// The width with some share of what legs may have added taken off: 0 as it looks, 1 the narrowest it can be.
    double width_less_legs(double share) const;
};

/// How pieces are measured.
struct EdgeOptions {
    double reach_mm = 0;            ///< to either side; 0: as far as it takes
    double half_length_mm = 0;      ///< of a piece; 0: as the picture's texture asks for
    double least_contrast = 5;      ///< CIEDE2000; chosen: twice what makes two yarns look alike
    double apart_mm = 0;            ///< middles of pieces, at least; 0: as far as pieces of this picture are long
    std::size_t most_pieces = 600;  ///< the clearest ones; chosen: more do not narrow the interval
};

/// One piece measured, or nothing where there is no single clean edge.
///
/// Light is projected on the way from ground to motif; a line, bent if need be, is fitted to where half the way is
/// passed, and the samples are sorted by their distance from it, finer than the pixels: the slanted edge of [ISO
/// 12233]. Of knitting only the middles of the legs are read, where paint lies on the yarn it was put on: so the zigzag
/// of half a stitch does not count as softness.
std::optional<EdgePiece> measured_piece(const DyedPicture& picture, EdgePlace place, const EdgeOptions& options = {});

/// Clean pieces of edge all over a picture, none over another.
/// @param ground  its colour, about: pieces run from it to the motif
std::vector<EdgePiece> edge_pieces(const DyedPicture& picture, LinearRgb ground, const EdgeOptions& options = {});

/// So far apart pieces of a picture do not overlap, mm.
double pieces_apart_mm(const DyedPicture& picture);
/// Half the length of its pieces, mm.
double piece_half_length_mm(const DyedPicture& picture);

/// The colour that covers most of a picture.
LinearRgb main_colour(const DyedPicture& picture);

/// The middle width of some pieces; none: 0.
double median_width(const std::vector<EdgePiece>& pieces);

/// The mean profile of some pieces, drawn over each other.
EdgeProfile mean_profile(const std::vector<EdgePiece>& pieces);

}  // namespace loopread
