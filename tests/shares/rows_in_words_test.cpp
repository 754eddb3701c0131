#include <doctest/doctest.h>

#include <string>

#include "fabrics.h"
#include "loopread/shares/words.h"

using namespace loopread;

namespace {

constexpr int kStitches = 40;
constexpr double kStitchMm = 13;

/// Rows worked to and fro, with a column of nine dark stitches off the middle that moves left by `step` every row.
Verdict column_told(int step) {
    const PlainRounds rows =
        fabric_of({.stitches = kStitches, .rounds = 80, .worked = Worked::back_and_forth}, [&](int k) {
            const int row = k / kStitches, along = k % kStitches;
            const int column = row % 2 == 0 ? along : kStitches - 1 - along;
            return (column - step * row + 100 * kStitches) % kStitches < 9 ? kDark : kPale;
        });
    return verdict(shares(rows), rows, yarn_of(rows, kStitchMm), kStitches * kStitchMm);
}

}  // namespace

TEST_SUITE("shares") {
    TEST_CASE("worked back and forth, pools are told as wide as they stand above each other") {
        CHECK(column_told(0).sentence.starts_with("Pools about 9 stitches wide, stacked upright."));
        CHECK(column_told(1).sentence.starts_with("Pools about 9 stitches wide, leaning left."));
        CHECK(column_told(-1).sentence.starts_with("Pools about 9 stitches wide, leaning right."));
    }
}
