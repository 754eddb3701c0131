#include "loopread/fabric/alternated.h"

#include <doctest/doctest.h>

#include "loopread/colour/difference.h"

#include <array>
#include <cmath>
#include <map>
#include <stdexcept>

#include "loopread/base/random.h"
#include "loopread/fabric/fabric.h"
#include "loopread/shape/garments.h"

using namespace loopread;

namespace {

constexpr double kStitchMm = 12.6;
constexpr double kRoundingMm = 1e-6;  // some ten thousand lengths added up, of a run of 1e5 mm in double
// The same for an integral of a colour up to 1: sums of up to 2e5 colour x mm, each rounded to 1e-16 of itself.
constexpr double kRoundingOfSums = 1e-6;

/// Yarn of pieces of uneven length and colour; `end` is kept as their course, their number as their wale.
ColourRun uneven_yarn(double length_mm, int end) {
    Random random(static_cast<std::uint64_t>(end) + 40);
    std::vector<Piece> pieces;
    double start = 0;
    while (start < length_mm) {
        Piece piece;
        piece.start_mm = start;
        piece.length_mm = std::min(3 + 20 * random.uniform(), length_mm - start);
        piece.course = end;
        piece.wale = static_cast<int>(pieces.size());
        piece.colour = {random.uniform(), random.uniform(), random.uniform()};
        start += piece.length_mm;
        pieces.push_back(piece);
    }
    return ColourRun(std::move(pieces));
}

TwoEnds two_ends(double first_mm, double second_mm, int every) {
    return {uneven_yarn(first_mm, 1), uneven_yarn(second_mm, 2), every};
}

/// Between two places of one run the same yarn lies as between two places of another.
void check_same_yarn(const ColourRun& a, double a_from, const ColourRun& b, double b_from, double length) {
    for (const double part : {0.13, 0.5, 0.77, 1.0}) {
        const LinearRgb in_a = a.integral_to(a_from + part * length) - a.integral_to(a_from);
        const LinearRgb in_b = b.integral_to(b_from + part * length) - b.integral_to(b_from);
        CHECK(std::abs(in_a.r - in_b.r) < kRoundingOfSums);
        CHECK(std::abs(in_a.g - in_b.g) < kRoundingOfSums);
        CHECK(std::abs(in_a.b - in_b.b) < kRoundingOfSums);
    }
}

/// How much of each piece (by end and number) is there.
std::map<std::array<int, 2>, double> yarn_by_piece(std::initializer_list<const ColourRun*> runs) {
    std::map<std::array<int, 2>, double> lengths;
    for (const ColourRun* run : runs)
        for (const Piece& piece : run->pieces()) lengths[{piece.course, piece.wale}] += piece.length_mm;
    return lengths;
}

}  // namespace

TEST_SUITE("fabric") {
    TEST_CASE("a pair of two colours differs by their CIEDE2000, and a yarn not at all from itself") {
        const auto plain = [](LinearRgb colour, double mm) {
            Piece piece;
            piece.length_mm = mm;
            piece.colour = colour;
            return ColourRun({piece});
        };
        const LinearRgb red{0.6, 0.1, 0.1}, blue{0.1, 0.1, 0.5};
        const ColourRun one = plain(red, 5000), other = plain(blue, 3000);
        const double apart = delta_e_2000(lab_from_linear(red), lab_from_linear(blue));
        CHECK(std::abs(stitch_difference(one, other, {13}) - apart) < 1e-9);  // closed form
        CHECK(stitch_difference(one, one, {13}) == 0);
        CHECK_THROWS_AS(stitch_difference(one, other, {0}), std::logic_error);
    }

    TEST_CASE("a sock with a gusset takes two rounds from the first end, two from the second, each from where it was") {
        const Garment garment = sock({.stitches = 64});
        REQUIRE(rounds_in(garment, Section::gusset) > 4);
        for (const int every : {1, 2, 3}) {
            CAPTURE(every);
            const TwoEnds ends = two_ends(100'000, 100'000, every);
            const ColourRun run = alternated(ends, garment, {kStitchMm});
            double at = 0;
            std::array<double, 2> used{0, 0};
            for (std::size_t r = 0; r < garment.rounds.size(); ++r) {
                const bool first = r % (2 * static_cast<std::size_t>(every)) < static_cast<std::size_t>(every);
                double& from = used[first ? 0 : 1];
                const double length = garment.rounds[r].stitches * kStitchMm;
                check_same_yarn(run, at, first ? ends.first : ends.second, from, length);
                at += length;
                from += length;
            }
            CHECK(std::abs(run.length_mm() - at) < kRoundingMm);
            // 64 stitches: 11,425 in the sock (common practice, no source)
            CHECK(std::abs(run.length_mm() - 11'425 * kStitchMm) < kRoundingMm);
        }
    }

    TEST_CASE("knitted up, an alternated sock has every stitch of the plan and changes colour where ends change") {
        const Garment garment = sock({.stitches = 64});
        Piece red, blue;
        red.length_mm = blue.length_mm = 100'000;
        red.colour = {0.8, 0, 0};
        blue.colour = {0, 0, 0.8};
        const TwoEnds ends{ColourRun({red}), ColourRun({blue}), 2};
        const Fabric fabric = knitted(alternated(ends, garment, {kStitchMm}), garment, {kStitchMm});
        CHECK(fabric.rounds.size() == garment.rounds.size());
        CHECK_FALSE(fabric.ran_out());
        int wrong = 0;
        for (std::size_t r = 0; r < fabric.rounds.size(); ++r)
            for (std::size_t i = fabric.rounds[r].first; i < fabric.rounds[r].end; ++i)
                if ((fabric.stitches[i].r > 0.4) != (r / 2 % 2 == 0)) ++wrong;
        CHECK(wrong == 0);
    }

    TEST_CASE("the yarn ends where the first end is used up, within a round") {
        // Rounds of 650 mm: 0 and 1, 4 and half of 5 from the first end of 2275 mm
        const ColourRun run = alternated(two_ends(2275, 65'000, 2), tube(50, 40), {13});
        CHECK(std::abs(run.length_mm() - 5.5 * 650) < kRoundingMm);
        CHECK(run.pieces().back().course == 1);
    }

    TEST_CASE("the yarn ends where the second end is used up, within a round") {
        // 0 and 1, 4 and 5 from the first; 2 and 3 and a tenth of 6 from the second
        const ColourRun run = alternated(two_ends(65'000, 1365, 2), tube(50, 40), {13});
        CHECK(std::abs(run.length_mm() - 6.1 * 650) < kRoundingMm);
        CHECK(run.pieces().back().course == 2);
    }

    TEST_CASE("an end that lasts for just its rounds is followed by the other end's rounds and no more") {
        const ColourRun run = alternated(two_ends(4 * 650, 65'000, 2), tube(50, 40), {13});
        CHECK(std::abs(run.length_mm() - 8 * 650) < kRoundingMm);
        CHECK(run.pieces().back().course == 2);
        const ColourRun single = alternated(two_ends(4 * 650, 65'000, 1), tube(50, 40), {13});
        CHECK(std::abs(single.length_mm() - 8 * 650) < kRoundingMm);
    }

    TEST_CASE("yarn over is left over, and a garment without rounds takes none") {
        CHECK(std::abs(alternated(two_ends(65'000, 65'000, 2), tube(50, 7), {13}).length_mm() - 7 * 650) < kRoundingMm);
        CHECK(alternated(two_ends(65'000, 65'000, 2), Garment{}, {13}).empty());
        CHECK(alternated({ColourRun(), uneven_yarn(5000, 2), 2}, tube(50, 7), {13}).empty());
    }

    TEST_CASE("no yarn is knitted twice and none is skipped") {
        const TwoEnds ends = two_ends(20'000, 20'000, 2);
        const ColourRun run = alternated(ends, tube(50, 24), {13});
        const auto taken = yarn_by_piece({&run});
        const auto there = yarn_by_piece({&ends.first, &ends.second});
        const double each_mm = 12 * 650;
        for (const auto& [piece, length] : taken) CHECK(length <= there.at(piece) + kRoundingMm);
        for (const ColourRun* end : {&ends.first, &ends.second})
            for (const Piece& piece : end->pieces())
                if (piece.start_mm + piece.length_mm < each_mm)
                    CHECK(std::abs(taken.at({piece.course, piece.wale}) - piece.length_mm) < kRoundingMm);
    }

    TEST_CASE("rounds without yarn and turns without rounds are a broken contract") {
        CHECK_THROWS_AS(alternated(two_ends(5000, 5000, 2), tube(50, 4), {0}), std::logic_error);
        CHECK_THROWS_AS(alternated(two_ends(5000, 5000, 0), tube(50, 4), {13}), std::logic_error);
        CHECK_THROWS_AS(alternated(two_ends(5000, 5000, -2), tube(50, 4), {13}), std::logic_error);
    }

    TEST_CASE("near and far take half of each ball, one from its near end and one from its far end") {
        const ColourRun near_ball = uneven_yarn(9000, 1), far_ball = uneven_yarn(7000, 2);
        const TwoEnds ends = near_and_far(near_ball, far_ball, 3);
        CHECK(ends.every == 3);
        CHECK(std::abs(ends.first.length_mm() - 4500) < kRoundingMm);
        CHECK(std::abs(ends.second.length_mm() - 3500) < kRoundingMm);
        check_same_yarn(ends.first, 0, near_ball, 0, 4500);
        check_same_yarn(ends.second, 0, far_ball.reversed(), 0, 3500);
        CHECK(ends.second.pieces().front().wale == far_ball.pieces().back().wale);
    }

    TEST_CASE("the two ends of one ball are all of it, no yarn twice") {
        const ColourRun ball = uneven_yarn(8000, 1);
        const TwoEnds ends = near_and_far(ball, ball, 2);
        const auto halves = yarn_by_piece({&ends.first, &ends.second});
        const auto whole = yarn_by_piece({&ball});
        REQUIRE(halves.size() == whole.size());
        for (const auto& [piece, length] : whole) CHECK(std::abs(halves.at(piece) - length) < kRoundingMm);
    }

    TEST_CASE("both socks of a pair together take both balls whole, no yarn twice") {
        const ColourRun a = uneven_yarn(8000, 1), b = uneven_yarn(8000, 2);
        const TwoEnds left = near_and_far(a, b, 2), right = near_and_far(b, a, 2);
        const auto both = yarn_by_piece({&left.first, &left.second, &right.first, &right.second});
        const auto whole = yarn_by_piece({&a, &b});
        REQUIRE(both.size() == whole.size());
        for (const auto& [piece, length] : whole) CHECK(std::abs(both.at(piece) - length) < kRoundingMm);
    }

    TEST_CASE("a part of a run has the colour of the run there, to any place within it") {
        const ColourRun run = uneven_yarn(5000, 1);
        Random random(3);
        for (int i = 0; i < 200; ++i) {
            const double from = 4000 * random.uniform();
            const double to = from + 0.01 + 990 * random.uniform();
            const ColourRun part = part_of(run, from, to);
            REQUIRE(std::abs(part.length_mm() - (to - from)) < kRoundingMm);
            check_same_yarn(part, 0, run, from, to - from);
        }
        const ColourRun whole = part_of(run, 0, run.length_mm());
        CHECK(whole.pieces().size() == run.pieces().size());
        check_same_yarn(whole, 0, run, 0, run.length_mm());
    }

    TEST_CASE("a part cut at the joins of pieces has those pieces and no slivers") {
        const ColourRun run = uneven_yarn(1000, 1);
        const Piece& third = run.pieces()[3];
        const Piece& sixth = run.pieces()[6];
        const ColourRun part = part_of(run, third.start_mm, sixth.start_mm + sixth.length_mm);
        REQUIRE(part.pieces().size() == 4);
        CHECK(part.pieces().front().wale == third.wale);
        CHECK(part.pieces().back().wale == sixth.wale);
    }

    TEST_CASE("a part that does not lie within its run is a broken contract") {
        const ColourRun run = uneven_yarn(1000, 1);
        CHECK_THROWS_AS(part_of(run, -1, 10), std::logic_error);
        CHECK_THROWS_AS(part_of(run, 10, 10), std::logic_error);
        CHECK_THROWS_AS(part_of(run, 20, 10), std::logic_error);
        CHECK_THROWS_AS(part_of(run, 10, 1001), std::logic_error);
    }
}
