#pragma once

#include <optional>
#include <string>
#include <vector>

#include "cli/options.h"
#include "loopread/base/files.h"
#include "loopread/blank/layout.h"
#include "loopread/blank/paint.h"
#include "loopread/design/file.h"
#include "loopread/overdye/ground.h"

namespace loopread::cli {

/// Stencils and ground as typed.
struct DyeingOptions {
    std::vector<std::string> stencils;  ///< FILE=colour@strength
    std::string strengths;              ///< 1,1/2,1/4
    std::optional<int> even_steps;
    std::string ground_as;
    std::string order;
    std::optional<double> strike;
};

/// One strength in which one stencil is put on: a layer of the design.
struct StrengthStep {
    std::string stencil;  ///< its file, without the folder
    std::string words;    ///< "1/2", "0.37": of the paste at full strength
    double strength = 1;
    /// Layers over whose dyed places its ground is told: its own, or all that stand in one ladder.
    std::vector<std::size_t> ground_of = {};
};

/// A ground and stencils, as they lie on the blank.
struct OverdyeInput {
    BlankLayout layout;
    Design design;  ///< dipped first; a ground that is a picture is `paint.ground`
    Paint paint;    ///< dipped first, before anything creeps; layer by layer as `design.layers`
    bool ground_is_picture = false;
    std::vector<StrengthStep> steps;      ///< one a layer
    std::vector<std::string> shared_out;  ///< in words: how the strengths were given to the stencils
    std::vector<std::string> assumed, warnings;
};

/// @throws Error(usage) for strengths no paste has, stencils and strengths that do not go together and options that are
///         for photos; Error(input) for pictures that cannot be used
OverdyeInput read_overdye(const DyeingOptions& dyeing, const BlankOptions& blank, std::uint64_t seed, Outputs& outputs);

}  // namespace loopread::cli
