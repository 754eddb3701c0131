#include "loopread/yarn/run.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>

#include "loopread/base/random.h"

using namespace loopread;

namespace {

/// Pieces of very unequal lengths, so that some cells of the table hold hundreds and others lie within one piece.
ColourRun uneven_run(int count, std::uint64_t seed) {
    Random random(seed);
    std::vector<Piece> pieces;
    double start = 0;
    for (int i = 0; i < count; ++i) {
        const double length = std::exp(3 * random.normal());
        pieces.push_back({start,
                          length,
                          i / 10,
                          i % 10,
                          static_cast<Part>(i % 4),
                          {random.uniform(), random.uniform(), random.uniform()}});
        start += length;
    }
    return ColourRun(pieces);
}

std::size_t piece_by_search(const ColourRun& run, double distance) {
    std::size_t found = 0;
    for (std::size_t i = 1; i < run.pieces().size(); ++i)
        if (run.pieces()[i].start_mm <= distance) found = i;
    return found;
}

/// Integral of the colour between two places of the run, piece by piece.
LinearRgb integral_by_loop(const ColourRun& run, double from, double to) {
    LinearRgb sum;
    for (const Piece& piece : run.pieces()) {
        const double overlap = std::min(to, piece.start_mm + piece.length_mm) - std::max(from, piece.start_mm);
        if (overlap > 0) sum += piece.colour * overlap;
    }
    return sum;
}

double apart(LinearRgb a, LinearRgb b) {
    return std::max({std::abs(a.r - b.r), std::abs(a.g - b.g), std::abs(a.b - b.b)});
}

const ColourRun& three() {
    static const ColourRun run({{0, 10, 0, 0, Part::sinker, {1, 0, 0}},
                                {10, 20, 0, 0, Part::leg1, {0, 1, 0}},
                                {30, 5, 0, 0, Part::needle, {0, 0, 1}}});
    return run;
}

}  // namespace

TEST_SUITE("yarn") {
    TEST_CASE("the piece at a place is the one a plain search finds") {
        for (const int count : {1, 2, 3, 50, 2000}) {
            const ColourRun run = uneven_run(count, 11);
            Random random(3);
            int wrong = 0;
            for (int i = 0; i < 2000; ++i) {
                const double distance = (random.uniform() * 1.2 - 0.1) * run.length_mm();
                if (run.piece_at(distance) != piece_by_search(run, distance)) ++wrong;
            }
            for (const Piece& piece : run.pieces()) {  // the joins and their neighbours
                for (const double distance :
                     {piece.start_mm, std::nextafter(piece.start_mm, -1.0), std::nextafter(piece.start_mm, 1e300)})
                    if (run.piece_at(distance) != piece_by_search(run, distance)) ++wrong;
            }
            CAPTURE(count);
            CHECK(wrong == 0);
        }
    }

    TEST_CASE("means and integrals are those of a plain loop") {
        constexpr double kRounding = 1e-10;  // of sums over 2,000 pieces; lengths reach 10^4
        const ColourRun run = uneven_run(2000, 12);
        Random random(4);
        double worst_mean = 0, worst_integral = 0;
        for (int i = 0; i < 2000; ++i) {
            const double from = random.uniform() * run.length_mm();
            const double to = from + random.uniform() * std::min(50.0, run.length_mm() - from);
            if (!(from < to)) continue;
            worst_mean = std::max(worst_mean, apart(run.mean(from, to) * (to - from), integral_by_loop(run, from, to)));
            worst_integral = std::max(worst_integral,
                                      apart(run.integral_to(from), integral_by_loop(run, 0, from)) / run.length_mm());
        }
        CHECK(worst_mean < kRounding);
        CHECK(worst_integral < kRounding);
    }

    TEST_CASE("a mean over parts of pieces weighs them by length") {
        CHECK(apart(three().mean(5, 15), {0.5, 0.5, 0}) < 1e-15);
        CHECK(apart(three().mean(9, 31), {1.0 / 22, 20.0 / 22, 1.0 / 22}) < 1e-15);
        CHECK(apart(three().mean(0, 35), {10.0 / 35, 20.0 / 35, 5.0 / 35}) < 1e-15);
        CHECK(three().mean(12, 13) == LinearRgb{0, 1, 0});
    }

    TEST_CASE("beyond its ends the yarn keeps the colour of the end") {
        CHECK(three().at(-5) == LinearRgb{1, 0, 0});
        CHECK(three().at(35) == LinearRgb{0, 0, 1});
        CHECK(three().at(1e12) == LinearRgb{0, 0, 1});
        CHECK(three().at(10) == LinearRgb{0, 1, 0});  // a join belongs to the piece that begins there
        CHECK(apart(three().mean(-10, 10), {1, 0, 0}) < 1e-15);
        CHECK(apart(three().mean(30, 100), {0, 0, 1}) < 1e-15);
        CHECK(apart(three().integral_to(-2), {-2, 0, 0}) < 1e-15);
        CHECK(apart(three().integral_to(45), {10, 20, 15}) < 1e-13);
    }

    TEST_CASE("turned round, the yarn shows the same colours from its other end and keeps its places") {
        const ColourRun run = uneven_run(500, 13);
        const ColourRun turned = run.reversed();
        REQUIRE(turned.pieces().size() == run.pieces().size());
        CHECK(turned.length_mm() == doctest::Approx(run.length_mm()).epsilon(1e-14));
        CHECK(turned.pieces().front().start_mm == 0);
        double worst = 0;
        for (std::size_t i = 0; i < run.pieces().size(); ++i) {
            const Piece& piece = run.pieces()[i];
            const Piece& other = turned.pieces()[run.pieces().size() - 1 - i];
            CHECK(other.colour == piece.colour);
            CHECK(other.course == piece.course);
            CHECK(other.wale == piece.wale);
            CHECK(other.part == piece.part);
            worst = std::max(worst, std::abs(other.start_mm + piece.start_mm + piece.length_mm - run.length_mm()));
            worst = std::max(worst, std::abs(other.length_mm - piece.length_mm));
        }
        CHECK(worst < 1e-9);
        CHECK(turned.reversed().at(run.length_mm() / 3) == run.at(run.length_mm() / 3));
        CHECK(ColourRun().reversed().empty());
    }

    TEST_CASE("pieces that do not follow each other are a broken contract") {
        const LinearRgb grey{0.5, 0.5, 0.5};
        const auto run_of = [&grey](double start, double length, double next_start) {
            return ColourRun({{start, length, 0, 0, Part::sinker, grey}, {next_start, 1, 0, 0, Part::leg1, grey}});
        };
        constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
        CHECK_NOTHROW(run_of(0, 2, 2));
        CHECK_NOTHROW(run_of(0, 2, 2 + 0.9e-6));
        CHECK_THROWS_AS(run_of(0, 2, 2.00001), std::logic_error);
        CHECK_THROWS_AS(run_of(0, 2, 1.99999), std::logic_error);
        CHECK_THROWS_AS(run_of(0.1, 2, 2.1), std::logic_error);
        CHECK_THROWS_AS(run_of(0, 0, 0), std::logic_error);
        CHECK_THROWS_AS(run_of(0, -1, -1), std::logic_error);
        CHECK_THROWS_AS(run_of(0, kNan, 2), std::logic_error);
        CHECK_THROWS_AS(run_of(0, 2, kNan), std::logic_error);
        CHECK_THROWS_AS(ColourRun({{0, 1, 0, 0, Part::sinker, {kNan, 0, 0}}}), std::logic_error);
    }

    TEST_CASE("an empty run has no colour, and a mean needs a stretch") {
        CHECK(ColourRun().empty());
        CHECK(ColourRun().length_mm() == 0);
        CHECK(!ColourRun().has_places());
        CHECK_THROWS_AS(ColourRun().at(0), std::logic_error);
        CHECK_THROWS_AS(three().mean(3, 3), std::logic_error);
        CHECK_THROWS_AS(three().mean(4, 3), std::logic_error);
        CHECK_THROWS_AS(three().mean(std::numeric_limits<double>::quiet_NaN(), 3), std::logic_error);
    }
}
