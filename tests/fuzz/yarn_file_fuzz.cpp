// yarn.csv, from this program or from anywhere.

#include <algorithm>
#include <cmath>

#include "fuzz/promises.h"
#include "loopread/yarn/file.h"

namespace {

using namespace loopread;
using fuzz::hold;

constexpr double kJoinMm = 1e-6;       // ColourRun's own
constexpr double kWritableMm = 1e-3;   // ten of the file's last digits: less may be written as nothing
constexpr double kLongestMm = 2e8;     // a start and a length of 100 km each
constexpr int kMostLoops = 1'000'000;  // of a course or a wale
constexpr std::size_t kMostBytes = 1e5;

void hold_limits(const ColourRun& run) {
    double end_mm = 0;
    for (const Piece& piece : run.pieces()) {
        hold(piece.length_mm > 0, "a piece has a length");
        hold(std::abs(piece.start_mm - end_mm) <= kJoinMm, "a piece begins where the last one ends");
        end_mm = piece.start_mm + piece.length_mm;
        hold((piece.course < 0) == (piece.wale < 0), "a place is whole");
        hold(std::max(piece.course, piece.wale) <= kMostLoops, "a place is on a blank");
        hold(std::isfinite(piece.colour.r + piece.colour.g + piece.colour.b), "a colour is a colour");
    }
    hold(end_mm > 0 && end_mm <= kLongestMm, "a strand has a length");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    if (size > kMostBytes) return 0;
    const std::string text = fuzz::text_of(data, size);
    const auto strands = fuzz::unless_refused([&] { return parsed_yarn_csv(text, "yarn.csv"); });
    if (!strands) return 0;
    hold(strands->size() == 1 || strands->size() == 2, "there are one or two strands");
    for (const ColourRun& run : *strands) hold_limits(run);
    if (std::ranges::any_of(*strands, [](const ColourRun& run) { return run.length_mm() < kWritableMm; })) return 0;
    const std::string written = yarn_csv(*strands);
    hold(yarn_csv(parsed_yarn_csv(written, "written.csv")) == written, "what was written reads back");
    return 0;
}
