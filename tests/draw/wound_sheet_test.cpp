#include "loopread/draw/wound_sheet.h"

#include <doctest/doctest.h>

#include <cstdlib>

using namespace loopread;

namespace {

/// Pixels that the letters changed.
int changed(const Picture8& before, const Picture8& after, int from_row, int to_row) {
    int count = 0;
    for (int r = from_row; r < to_row; ++r)
        for (int c = 0; c < before.columns(); ++c) count += before(r, c) == after(r, c) ? 0 : 1;
    return count;
}

int darkest_difference(const Picture8& before, const Picture8& after) {
    int most = 0;
    for (int r = 0; r < before.rows(); ++r)
        for (int c = 0; c < before.columns(); ++c) most = std::max(most, std::abs(before(r, c).g - after(r, c).g));
    return most;
}

}  // namespace

TEST_SUITE("draw") {
    TEST_CASE("the line stands along the lower edge and leaves the picture alone") {
        const Picture8 picture(800, 1000, Srgb8{240, 240, 238});
        const Picture8 captioned = with_caption(picture, "computed from the dyed blank");
        CHECK(changed(picture, captioned, 760, 800) > 200);
        CHECK(changed(picture, captioned, 0, 760) == 0);
    }

    TEST_CASE("letters can be told from light and from dark grounds") {
        constexpr int kLegible = 90;  // codes of green between letters and ground; chosen
        for (const Srgb8 ground : {Srgb8{240, 240, 238}, {0x4a, 0x4d, 0x50}, {10, 10, 12}, {0xc9, 0xbe, 0xa8}}) {
            const Picture8 picture(600, 600, ground);
            CAPTURE(static_cast<int>(ground.g));
            CHECK(darkest_difference(picture, with_caption(picture, "computed from the dyed blank")) >= kLegible);
        }
    }

    TEST_CASE("a long line is made to fit a narrow picture") {
        const Picture8 picture(250, 200, Srgb8{240, 240, 238});
        const Picture8 captioned = with_caption(picture, "ball A, ball B: computed from the yarn's colours");
        CHECK(changed(picture, captioned, 0, 250) > 50);
        for (int r = 0; r < 250; ++r) {
            CHECK(captioned(r, 0) == picture(r, 0));
            CHECK(captioned(r, 199) == picture(r, 199));
        }
    }
}
