#include "cli/strand_files.h"

#include <future>

#include "loopread/draw/strands.h"
#include "loopread/photo/write.h"
#include "loopread/yarn/file.h"
#include "loopread/yarn/reduced.h"

namespace loopread::cli {
namespace {
constexpr int kPaletteColours = 8;
}  // namespace

StrandFiles strand_files(const BlankLayout& layout, const std::vector<ColourRun>& strands, const Knitting& knitting,
                         std::uint64_t seed) {
    StrandMarks marks;
    marks.row_yarn_mm = layout.row_yarn().value;
    marks.loop_mm = layout.loop_length.value;
    marks.round_yarn_mm = knitting.yarn_per_round().value;
    StrandFiles files;
    auto drawn = std::async(std::launch::async, [&] {
        const Picture8 picture = strands_picture(strands, marks);
        files.strands_width = picture.columns();
        files.strands_height = picture.rows();
        files.strands_png = png_bytes(picture);
    });
    files.yarn_csv = yarn_csv(strands);
    files.runs_csv = runs_csv(strands, yarn_palette(strands, kPaletteColours, seed), layout.loop_length.value);
    drawn.get();
    return files;
}

Json unravel_summary(const BlankInput& blank, const std::vector<ColourRun>& strands, const Knitting& knitting,
                     const WindingOptions& winding) {
    std::vector<std::string> assumed = blank.assumed;
    assumed.insert(assumed.end(), knitting.assumed.begin(), knitting.assumed.end());
    return {{"blank", blank_json(blank.layout)},
            {"strands", strands_json(strands)},
            {"pair", pair_json(blank, strands, winding)},
            {"rounds_per_row", rounded(blank.layout.row_yarn() / knitting.yarn_per_round(), 4)},
            {"yarn_per_round_mm", rounded(knitting.yarn_per_round().value, 3)},
            {"assumed", assumed},
            {"warnings", blank.warnings}};
}

}  // namespace loopread::cli
