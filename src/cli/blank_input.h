#pragma once

#include <string>
#include <vector>

#include "cli/options.h"
#include "loopread/base/files.h"
#include "loopread/blank/layout.h"
#include "loopread/blank/paint.h"
#include "loopread/loop/cell.h"
#include "loopread/loop/shape.h"
#include "loopread/yarn/run.h"

namespace loopread::cli {

/// A blank as read from a picture or a layered design: all that unravelling needs.
struct BlankInput {
    BlankLayout layout;
    Paint paint;
    LoopShape shape;    ///< as drawn
    CellShares shares;  ///< what each side shows of each strand of such loops
    std::vector<std::string> assumed;
    std::vector<std::string> warnings;
};

/// @param outputs  told which files are inputs, so that none is overwritten
BlankInput read_blank(const std::filesystem::path& image, const BlankOptions& options, Outputs& outputs);

/// Whatever a command can knit: a blank unravelled, or a yarn file.
struct YarnInput {
    std::vector<ColourRun> strands;
    std::optional<BlankInput> blank;  ///< none for a yarn file
    std::vector<std::string> assumed;
    std::vector<std::string> warnings;
};
YarnInput read_yarn(const std::filesystem::path& input, const BlankOptions& options, std::uint64_t seed,
                    Outputs& outputs);

/// The strands of a blank.
std::vector<ColourRun> unravelled(const BlankInput& blank, const WindingOptions& winding);

bool is_yarn_file(const std::filesystem::path& input);

}  // namespace loopread::cli
