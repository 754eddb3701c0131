#pragma once

#include <string>
#include <vector>

#include "loopread/draw/canvas.h"
#include "loopread/image/image.h"

namespace loopread {

/// Two neighbouring colours, as dyed and as knitted.
struct ContrastRow {
    LinearRgb darker, lighter;
    std::vector<LinearRgb> knitted;  ///< the same two on the stitches; empty: not known
    std::string names;               ///< "dark red on teal"
    std::string figures;             ///< "L* 4.2 apart, knitted 3.1"
    std::string verdict;
    std::string advice;  ///< may be empty
};

struct ContrastSheet {
    std::string headline;
    std::string why;
    Image picture;  ///< ravel edge on top
    Picture8 grey;  ///< the same in L*
    /// What is lost, as lines over the picture, in its pixels.
    std::vector<std::vector<CanvasPoint>> lost;
    std::vector<ContrastRow> rows;
    std::string foot;
};

/// The picture with its lost edges marked, the same in grey, and each pair of neighbours with its figures. Marks are
/// black and white dashes: they tell on every colour, and to every eye.
Picture8 contrast_sheet(const ContrastSheet& sheet);

}  // namespace loopread
