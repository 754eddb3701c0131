#include "cli/strand_files.h"

#include "loopread/base/parallel.h"
#include "loopread/draw/strands.h"
#include "loopread/photo/write.h"
#include "loopread/yarn/file.h"
#include "loopread/yarn/reduced.h"

namespace loopread::cli {
namespace {

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

}  // namespace

StrandFiles strand_files(const BlankInput& blank, const std::vector<ColourRun>& strands, const Knitting& knitting,
                         const WindingOptions& winding) {
    StrandMarks marks;
    marks.row_yarn_mm = blank.layout.row_yarn().value;
    marks.loop_mm = blank.layout.loop_length.value;
    marks.round_yarn_mm = knitting.yarn_per_round().value;
    StrandFiles files;
    auto drawn = begun([&] {  // half of the work, so two threads and no more
        const Picture8 picture = strands_picture(strands, marks);
        files.strands_width = picture.columns();
        files.strands_height = picture.rows();
        files.strands_png = png_bytes(picture);
    });
    files.yarn_csv = yarn_csv(strands);
    files.runs_csv =
        runs_csv(strands, yarn_palette(strands, kPaletteColours, winding.seed), blank.layout.loop_length.value);
    files.summary = unravel_summary(blank, strands, knitting, winding);
    drawn.get();
    return files;
}

}  // namespace loopread::cli
