#include "cli/yarn_input.h"

#include "loopread/base/files.h"
#include "loopread/yarn/file.h"

namespace loopread::cli {

std::vector<ColourRun> unravelled(const BlankInput& blank, const WindingOptions& winding) {
    return loopread::unravelled(blank.layout, blank.paint, blank.shape, blank.shares, winding);
}

std::vector<ColourRun> dyed_through(BlankInput blank, const WindingOptions& winding) {
    blank.paint.penetration = 1;
    for (DyeLayer& layer : blank.paint.layers) layer.penetration = 1;
    return unravelled(blank, winding);
}

YarnInput read_yarn(const std::filesystem::path& input, const BlankOptions& options, std::uint64_t seed,
                    Outputs& outputs) {
    YarnInput yarn;
    if (is_yarn_file(input)) {
        check_blank_words(options);  // of no use here, but a slip of the pen all the same
        outputs.keep_safe(input);
        yarn.strands = parsed_yarn_csv(file_bytes(input), input.string());
        return yarn;
    }
    yarn.blank = read_blank(input, options, outputs);
    yarn.strands = unravelled(*yarn.blank, winding_options(options, seed));
    yarn.assumed = yarn.blank->assumed;
    yarn.warnings = yarn.blank->warnings;
    return yarn;
}

}  // namespace loopread::cli
