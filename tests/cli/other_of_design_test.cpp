#include <doctest/doctest.h>

#include <nlohmann/json.hpp>
#include <string>

#include "base/temporary_folder.h"
#include "cli/program.h"
#include "loopread/base/random.h"
#include "loopread/image/sampling.h"
#include "loopread/photo/write.h"

using namespace loopread;
using namespace loopread::program_test;

namespace {

constexpr LinearRgb kUndyed{0.9, 0.85, 0.75}, kBuoy{0.55, 0.03, 0.05};

/// Round spots, no two sides of the picture alike.
Image spots() {
    Image picture(480, 240, kUndyed);
    Random random(3);
    for (int spot = 0; spot < 14; ++spot) {
        const double x = 240 * random.uniform(), y = 480 * random.uniform(), radius = 15 + 30 * random.uniform();
        for (int r = 0; r < picture.rows(); ++r)
            for (int c = 0; c < picture.columns(); ++c)
                if ((c - x) * (c - x) + (r - y) * (r - y) < radius * radius) picture(r, c) = kBuoy;
    }
    return picture;
}

/// What is said of a flat design with a photo of the other side, which fills its picture.
std::string told_of(const TemporaryFolder& folder, const Image& design, const Image& other) {
    const std::string drawn = folder.file("design.png", png_bytes(encoded(design))).string();
    const std::string behind = folder.file("other.png", png_bytes(encoded(other))).string();
    const Outcome outcome =
        program({"unravel", drawn, "--other-side=" + behind, "--other-corners=picture", "--blank=24x48",
                 "--size=12x19cm", "--treat-as=design", "--stitches=10", "--json", "-o", (folder / "out").string()});
    CAPTURE(outcome.err);
    REQUIRE(outcome.code == kDone);
    const nlohmann::json summary = nlohmann::json::parse(outcome.out);
    return summary["warnings"].dump() + summary["assumed"].dump();
}

}  // namespace

TEST_SUITE("cli") {
    TEST_CASE("the photo behind a flat design is the design seen from behind, left and right changed") {
        const TemporaryFolder folder;
        const Image design = spots();
        const Image from_behind = mirrored(design);
        CHECK(has(told_of(folder, design, from_behind), "turned over like a page"));
        const Image end_over_end = turned(from_behind, QuarterTurn::clockwise_180);
        CHECK(has(told_of(folder, design, end_over_end), "turned over end over end"));
        // Not changed it is of some other blank.
        CHECK(has(told_of(folder, design, design), "it seems to show another blank"));
    }
}
