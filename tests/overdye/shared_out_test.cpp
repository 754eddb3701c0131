#include "loopread/overdye/shared_out.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <numeric>

using namespace loopread;

namespace {

const BlankRaster kRaster{.rows = 400, .columns = 160, .mm_per_column = 0.65, .mm_per_row = 0.65};

void fill(Plane& plane, int top, int left, int height, int width) {
    for (int row = top; row < top + height; ++row)
        for (int column = left; column < left + width; ++column) plane(row, column) = 1;
}

/// Three rows of four squares, each 20 x 20, far apart.
Plane squares() {
    Plane plane(kRaster.rows, kRaster.columns);
    for (int row = 0; row < 3; ++row)
        for (int column = 0; column < 4; ++column) fill(plane, 40 + 120 * row, 10 + 40 * column, 20, 20);
    return plane;
}

bool adds_up(const SharedOut& shared, const Plane& whole) {
    Plane sum(whole.rows(), whole.columns());
    for (const Plane& part : shared.parts)
        std::transform(sum.begin(), sum.end(), part.begin(), sum.begin(), std::plus<>());
    return sum == whole;
}

}  // namespace

TEST_SUITE("overdye") {
    TEST_CASE("separate motifs take the strengths in turn, line by line from the left") {
        const Plane whole = squares();
        const SharedOut shared = shared_out(whole, kRaster, 3);
        CHECK(shared.by == SharedOut::By::motifs);
        CHECK(shared.motifs == 12);
        CHECK(adds_up(shared, whole));
        for (int i = 0; i < 12; ++i) {
            CAPTURE(i);
            const int row = 50 + 120 * (i / 4), column = 20 + 40 * (i % 4);
            for (int part = 0; part < 3; ++part)
                CHECK(shared.parts[static_cast<std::size_t>(part)](row, column) == (i % 3 == part ? 1 : 0));
        }
    }

    TEST_CASE("the staves of one lantern stay alike") {
        Plane whole(kRaster.rows, kRaster.columns);
        for (int row = 0; row < 3; ++row)
            for (int column = 0; column < 2; ++column)
                for (int stave = 0; stave < 3; ++stave)  // 30 tall, 6 apart: well within a third
                    fill(whole, 40 + 120 * row, 10 + 80 * column + 14 * stave, 30, 8);
        const SharedOut shared = shared_out(whole, kRaster, 2);
        CHECK(shared.motifs == 6);
        CHECK(adds_up(shared, whole));
        for (int row = 0; row < 3; ++row)
            for (int stave = 0; stave < 3; ++stave) {
                CHECK(shared.parts[0](50 + 120 * row, 12 + 14 * stave) == 1);
                CHECK(shared.parts[1](50 + 120 * row, 92 + 14 * stave) == 1);
            }
    }

    TEST_CASE("one connected drawing is cut into zones along the blank") {
        Plane whole(kRaster.rows, kRaster.columns);
        fill(whole, 0, 70, 400, 20);
        const SharedOut shared = shared_out(whole, kRaster, 4);
        CHECK(shared.by == SharedOut::By::zones);
        CHECK(shared.motifs == 0);
        CHECK(adds_up(shared, whole));
        for (int zone = 0; zone < 4; ++zone) {
            const Plane& part = shared.parts[static_cast<std::size_t>(zone)];
            CHECK(std::accumulate(part.begin(), part.end(), 0.0) == 100 * 20);
            CHECK(part(100 * zone, 75) == 1);
            CHECK(part(100 * zone + 99, 75) == 1);
        }
    }

    TEST_CASE("specks too small for a motif go with the motif next to them") {
        Plane whole = squares();
        fill(whole, 48, 32, 2, 2);  // two pixels right of the first square
        const SharedOut shared = shared_out(whole, kRaster, 3);
        CHECK(shared.motifs == 12);
        CHECK(shared.parts[0](48, 32) == 1);
        CHECK(adds_up(shared, whole));
    }

    TEST_CASE("one strength takes the whole stencil") {
        const SharedOut shared = shared_out(squares(), kRaster, 1);
        REQUIRE(shared.parts.size() == 1);
        CHECK(shared.parts.front() == squares());
    }
}
