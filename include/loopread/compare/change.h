#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "loopread/compare/edges.h"

namespace loopread {

/// What may be said of two pictures; in these words only.
enum class Change { softened, sharpened, no_change_seen, cannot_tell };
std::string change_words(Change change);

/// One piece of edge in both pictures.
struct EdgePair {
    EdgePiece before, after;
};

/// Edges of a picture found again in another.
struct PairedEdges {
    std::vector<EdgePair> pairs;
    std::size_t looked_for = 0;  ///< pieces of the first picture
    std::size_t lie_there = 0;   ///< of those: where the second has an edge too, clean or not

    double share_found() const {
        return looked_for == 0 ? 0 : static_cast<double>(lie_there) / static_cast<double>(looked_for);
    }
    /// Few are: the others run into something else before they end, as the softest ones do first.
    double share_clean() const {
        return lie_there == 0 ? 0 : static_cast<double>(pairs.size()) / static_cast<double>(lie_there);
    }
};

/// Two pictures of one piece, alike turned, whose edges lie on each other or nearly so: places are found again within
/// about a stitch. Pieces clean in both are paired; each picture keeps its own millimetres.
PairedEdges edge_pairs(const DyedPicture& before, const DyedPicture& after, LinearRgb ground,
                       const EdgeOptions& options = {});

/// How a change of widths is judged.
struct ChangeOptions {
    double floor_before_mm = 0, floor_after_mm = 0;  ///< narrower widths cannot be told from sharp edges
    double method_share = 0.01;  ///< of a width: what the measuring itself may be off by; see kMethodShare
    /// By which the second photo is less sharp than the first, as a standard deviation; under 0: the first is.
    double less_sharp_mm = 0;
    std::uint64_t seed = 1;
    /// What knitting adds to the width of an edge is in both photos and leaves their change alone; an exact first
    /// picture, the stencil's own file, has none of it.
    enum class First { photo, exact } first = First::photo;
    double share_clean = 1;  ///< of the edges that were found again; against an exact one the rest may be softer
};

/// Of a width, what the measuring may be off by: on pictures without texture, and on knitting. Measured on drawn pieces
/// whose widths are known.
inline constexpr double kMethodShare = 0.01, kMethodShareKnitted = 0.03;

/// How much wider edges became.
struct WidthChange {
    double before_mm = 0, after_mm = 0;  ///< medians
    double change_mm = 0;                ///< of pairs the median difference, else the difference of medians
    double low_mm = 0, high_mm = 0;      ///< 95 % interval: bootstrap, with what the measuring may be off by;
                                         ///< without an upper end infinite
    double strength_mm = 0;              ///< of the change: what other strength alone would give
    double contrast_before = 0, contrast_after = 0;  ///< CIEDE2000, medians
    std::size_t pieces_before = 0, pieces_after = 0;
    double seen_mm = 0;  ///< median of the second as it looks; against an exact first after_mm has less in it
    double legs_mm = 0;  ///< of it: what knitting may have added at most, as the width of a sharp edge
    std::optional<double> widest_mm;  ///< against an exact first: the second's edges are no wider (95 %)
    Change verdict = Change::cannot_tell;
    std::string why;  ///< in plain words
};

/// How much less sharp a photo of knitting is than another, by how much less its loops stand out; under 0: sharper.
/// 0 where stitches were not seen in both. Flatter light does the same: it is a doubt, not a measure.
double less_sharp_mm(const DyedPicture& before, const DyedPicture& after);

inline constexpr std::size_t kFewestPieces = 6;  ///< chosen: fewer say little of all edges

/// Did edges become wider? Pieces by pairs.
///
/// A dye that sets in softly looks wider or narrower as it gets stronger, since light falls less and less with dye. So
/// each profile is also read at the shares of the way where the same dye in the other picture's strength would pass 10
/// and 90 % (Kubelka-Munk, single constant): what a mere change of strength gives. A verdict needs a change beyond it.
WidthChange width_change(const std::vector<EdgePair>& pairs, const ChangeOptions& options);

/// The same of two different pieces: edges as two samples.
WidthChange width_change(const std::vector<EdgePiece>& before, const std::vector<EdgePiece>& after,
                         const ChangeOptions& options);

}  // namespace loopread
