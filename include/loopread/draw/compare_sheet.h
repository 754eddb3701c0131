#pragma once

#include <array>
#include <string>
#include <vector>

#include "loopread/compare/edges.h"

namespace loopread {

/// One of the two pictures with its edges; both outlive the sheet.
struct ComparePanel {
    const DyedPicture* picture = nullptr;
    const std::vector<EdgePiece>* edges = nullptr;
    std::string title, caption;
};

/// How the motif sets in, on average.
struct CompareProfile {
    std::string name;
    EdgeProfile profile;
    double width_mm = 0;  ///< 0: none was measured
};

struct CompareNote {
    std::string title, words;
};

struct CompareSheet {
    std::string headline, subtitle;
    std::array<ComparePanel, 2> panels;
    std::array<CompareProfile, 2> profiles;
    double floor_mm = 0;  ///< finer edges cannot be seen
    std::vector<CompareNote> notes;
};

/// Two pictures of dyeing with their edges drawn in, their mean edges over each other, one edge of each close up, and
/// what they tell in words.
Picture8 compare_sheet(const CompareSheet& sheet);

}  // namespace loopread
