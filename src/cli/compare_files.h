#pragma once

#include <optional>
#include <string>
#include <vector>

#include "cli/summary.h"
#include "loopread/compare/change.h"
#include "loopread/compare/ground.h"

namespace loopread::cli {

/// What comparing two pictures found.
struct ComparisonFound {
    enum class Way { paired, unpaired, against_stencil } way = Way::paired;
    DyedPicture before, after;
    std::string before_name, after_name;  ///< "before", "after"; of a stencil "stencil", "photo"
    std::vector<EdgePiece> before_edges, after_edges;
    WidthChange edge, along_rows, across_rows;
    GroundChange ground;
    std::optional<GroundReading> before_ground, after_ground;
    std::optional<Fading> ground_fading, motif_fading;
    std::string why_no_fading;
    double floor_mm = 0;
    double less_sharp_mm = 0;  ///< the second photo, as its loops tell
};

Json comparison_json(const ComparisonFound& found);
std::string edges_csv(const ComparisonFound& found);
/// One or two sentences.
std::string comparison_words(const ComparisonFound& found);
/// compare.png
std::string comparison_png(const ComparisonFound& found);

}  // namespace loopread::cli
