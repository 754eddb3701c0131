#include "loopread/compare/edges.h"

#include <doctest/doctest.h>

#include <cmath>
#include <fstream>
#include <numbers>
#include <sstream>
#include <string>
#include <vector>

#include "compare/dyed_scene.h"
#include "loopread/compare/change.h"
#include "loopread/lattice/lattice.h"

using namespace loopread;
using namespace loopread::dyed_scene;

namespace {

// The width is asked for to 5 %; a pixel wide edge is the hardest, since half of what is seen is the pixels' own.
constexpr double kWidthOff = 0.05;
constexpr double kChangeOnKnittingOff = 0.15;  // asked for
constexpr double kFineWidthOff = 0.01;         // from two pixels on, without noise

/// One row of tests/data/esf_gaussian.csv: 10-90 % widths of Gaussian edges, in pixels.
struct EsfRow {
    double sigma = 0, width = 0;
};
std::vector<EsfRow> esf_rows() {
    std::ifstream in(std::string(LOOPREAD_TEST_DATA) + "/esf_gaussian.csv");
    std::vector<EsfRow> rows;
    for (std::string line; std::getline(in, line);) {
        if (line.empty() || line[0] == '#' || line[0] == 's') continue;
        std::istringstream cells(line);
        EsfRow row;
        char comma = 0;
        cells >> row.sigma >> comma >> row.width;
        rows.push_back(row);
    }
    return rows;
}

/// A slanted edge as pixels record it, about exactly.
Image slanted_edge(double sigma, double degrees, double noise) {
    constexpr int kRows = 200, kColumns = 120, kSights = 8;
    const double turn = degrees * std::numbers::pi / 180;
    Random random(3);
    Image image(kRows, kColumns);
    for (int r = 0; r < kRows; ++r)
        for (int c = 0; c < kColumns; ++c) {
            double sum = 0;
            for (int i = 0; i < kSights * kSights; ++i) {
                const double x = c + (i % kSights + 0.5) / kSights - kColumns / 2.0;
                const double y = r + (static_cast<double>(i / kSights) + 0.5) / kSights - kRows / 2.0;
                sum += normal_share((x * std::cos(turn) + y * std::sin(turn)) / sigma);
            }
            const double v = 0.1 + 0.6 * sum / (kSights * kSights) + noise * random.normal();
            image(r, c) = {v, 0.9 * v, 0.8 * v};
        }
    return image;
}

constexpr double kPixel = 0.2;  // mm

double measured_sigma_width(double sigma, double degrees, double noise) {
    const DyedPicture picture = plain_picture(slanted_edge(sigma, degrees, noise), {120 * kPixel, 200 * kPixel});
    const std::vector<EdgePiece> pieces = edge_pieces(picture, {0.1, 0.09, 0.08});
    REQUIRE(pieces.size() >= 3);
    return median_width(pieces) / kPixel;
}

DyedPicture knitted_scene(const DyedPiece& piece, const Knitting& knitting) {
    const Image photo = knitted(piece, knitting);
    const KnitLattice lattice = knit_lattice(photo);
    REQUIRE(lattice.found());
    return knitted_picture(photo, lattice, {piece.width, piece.height});
}

}  // namespace

TEST_SUITE("compare") {
    TEST_CASE("slanted edges measure as wide as the normal distribution says") {
        // esf_gaussian.csv: derived from the normal distribution, checked with R and scipy
        int seen = 0;
        for (const EsfRow& row : esf_rows()) {
            if (row.sigma < 0.5 || row.sigma > 5) continue;
            CAPTURE(row.sigma);
            for (const double degrees : {5.0, 31.0, 86.0}) {
                CAPTURE(degrees);
                const double width = measured_sigma_width(row.sigma, degrees, 0);
                CHECK(std::abs(width / row.width - 1) < (row.sigma < 2 ? kWidthOff : kFineWidthOff));
            }
            CHECK(std::abs(measured_sigma_width(row.sigma, 5, 0.012) / row.width - 1) < kWidthOff);
            ++seen;
        }
        CHECK(seen == 7);
    }

    TEST_CASE("the constant of width over sigma is that of the published table") {
        for (const EsfRow& row : esf_rows()) CHECK(std::abs(kWidthPerSigma * row.sigma - row.width) < 1e-6);
    }

    TEST_CASE("soft edges all over a drawn piece measure as drawn, whichever way they run") {
        for (const double sigma : {0.6, 1.4}) {
            CAPTURE(sigma);
            DyedPiece piece;
            piece.height = 150;
            piece.sigma = sigma;
            piece.noise = 0.01;
            const DyedPicture picture = plain_picture(plain(piece, kPixel), {piece.width, piece.height});
            const std::vector<EdgePiece> pieces = edge_pieces(picture, main_colour(picture));
            CHECK(pieces.size() > 100);
            for (const EdgeDirection direction :
                 {EdgeDirection::along_rows, EdgeDirection::across_rows, EdgeDirection::slanting}) {
                std::vector<EdgePiece> some;
                for (const EdgePiece& one : pieces)
                    if (one.direction() == direction) some.push_back(one);
                CAPTURE(direction_words(direction));
                CHECK(some.size() > 20);
                CHECK(std::abs(median_width(some) / (kWidthPerSigma * sigma) - 1) < kWidthOff);
            }
        }
    }

    TEST_CASE("every piece runs from the ground to the motif and lies on an edge") {
        DyedPiece piece;
        piece.height = 150;
        const DyedPicture picture = plain_picture(plain(piece, 0.4), {piece.width, piece.height});
        for (const EdgePiece& one : edge_pieces(picture, main_colour(picture))) {
            CHECK(one.ground.r > one.motif.r);
            // At the edge half the motif is there, a little beyond nearly all or nothing.
            CHECK(std::abs(coverage(one.place.x_mm, one.place.y_mm, piece.sigma) - 0.5) < 0.2);
            const double beyond = 2.5;  // mm
            CHECK(coverage(one.place.x_mm + beyond * one.place.normal_x, one.place.y_mm + beyond * one.place.normal_y,
                           piece.sigma) > 0.9);
        }
    }

    TEST_CASE("no two pieces lie nearer to each other than they are long") {
        DyedPiece piece;
        piece.height = 150;
        const DyedPicture picture = plain_picture(plain(piece, 0.4), {piece.width, piece.height});
        EdgeOptions far_apart;
        far_apart.apart_mm = 20;
        for (const EdgeOptions& options : {EdgeOptions{}, far_apart}) {
            const std::vector<EdgePiece> pieces = edge_pieces(picture, main_colour(picture), options);
            const double least = std::max(options.apart_mm, pieces_apart_mm(picture));
            constexpr double kOntoEdge = 2;  // mm: as far as a piece is moved from where it was looked for
            for (std::size_t i = 0; i < pieces.size(); ++i)
                for (std::size_t j = 0; j < i; ++j)
                    CHECK(std::hypot(pieces[i].place.x_mm - pieces[j].place.x_mm,
                                     pieces[i].place.y_mm - pieces[j].place.y_mm) > least - kOntoEdge);
        }
    }

    TEST_CASE("neither a plain picture nor a faint one nor one of thin lines has clean edges") {
        Image flat(300, 300, {0.5, 0.4, 0.3}), faint = flat, lines = flat;
        Random random(1);
        for (int r = 0; r < 300; ++r)
            for (int c = 0; c < 300; ++c) {
                flat(r, c) = flat(r, c) * (1 + 0.02 * random.normal());
                if (c > 150) faint(r, c) = faint(r, c) * 0.93;
                if (c % 20 < 6) lines(r, c) = {0.1, 0.1, 0.1};  // 1.2 mm of every 4
            }
        for (const Image& image : {flat, faint, lines})
            CHECK(edge_pieces(plain_picture(image, {60, 60}), {0.5, 0.4, 0.3}).empty());
    }

    TEST_CASE("an edge that passes through a third colour, or has one beside a part of it, is not clean") {
        const LinearRgb ground{0.5, 0.5, 0.5}, motif{0.05, 0.08, 0.3}, third{0.5, 0.05, 0.05};
        const LinearRgb as_far{0.172, 0.08, 0.026};  // as far on the way as the motif, but beside it
        Image clean(300, 300, ground), between = clean, beside = clean, at_end = clean;
        for (int r = 0; r < 300; ++r)
            for (int c = 0; c < 300; ++c) {
                if (c > 150) clean(r, c) = between(r, c) = beside(r, c) = at_end(r, c) = motif;
                if (c > 142 && c <= 150) between(r, c) = third;  // 1.6 mm
                if (c > 156 && r % 30 < 12) beside(r, c) = third;
                if (c > 150 && r >= 156) at_end(r, c) = as_far;  // a fifth of the piece's length
            }
        const EdgePlace place{30, 30, 1, 0};
        EdgeOptions options;
        options.reach_mm = 6;
        CHECK(measured_piece(plain_picture(clean, {60, 60}), place, options).has_value());
        CHECK_FALSE(measured_piece(plain_picture(between, {60, 60}), place, options).has_value());
        CHECK_FALSE(measured_piece(plain_picture(beside, {60, 60}), place, options).has_value());
        CHECK_FALSE(measured_piece(plain_picture(at_end, {60, 60}), place, options).has_value());
    }

    TEST_CASE("dye that sets in softly is on its way though its light does not run straight") {
        DyedPiece piece;
        piece.mixing = DyedPiece::Mixing::dye;
        piece.ground = {0.7, 0.6, 0.1};  // green on the way from yellow to blue
        piece.motif = {0.03, 0.1, 0.3};
        piece.height = 150;
        const DyedPicture picture = plain_picture(plain(piece, 0.4), {piece.width, piece.height});
        CHECK(edge_pieces(picture, piece.ground).size() > 50);
    }

    TEST_CASE("what legs may add comes off in squares, and a piece of a plain picture has none of it") {
        EdgePiece piece;
        piece.width_mm = 5;
        CHECK(piece.width_less_legs(1) == doctest::Approx(5));
        piece.legs_spread_mm = 3 / kWidthPerSigma;
        CHECK(piece.width_less_legs(0) == doctest::Approx(5));
        CHECK(piece.width_less_legs(1) == doctest::Approx(4));
        piece.legs_spread_mm = 6 / kWidthPerSigma;
        CHECK(piece.width_less_legs(1) == 0);
    }

    TEST_CASE("on knitting the change of width is that of the paint, whatever bit of yarn takes it") {
        for (const Takes takes : {Takes::where_it_lies, Takes::whole_legs})
            for (const int stitches : {46, 92}) {
                CAPTURE(stitches);
                DyedPiece before, after;
                before.noise = after.noise = 0.01;
                after.sigma = 1.4;
                after.seed = 2;
                const DyedPicture one = knitted_scene(before, {stitches, 12, takes});
                const DyedPicture other = knitted_scene(after, {stitches, 12, takes});
                CHECK(one.floor_mm() == doctest::Approx(240.0 / stitches / 2).epsilon(0.01));
                const WidthChange change = width_change(edge_pairs(one, other, main_colour(one)).pairs,
                                                        {one.floor_mm(), other.floor_mm(), kMethodShareKnitted});
                const double truth = kWidthPerSigma * (after.sigma - before.sigma);
                CHECK(change.pieces_before > 50);
                CHECK(std::abs(change.change_mm / truth - 1) < kChangeOnKnittingOff);
                CHECK(change.low_mm <= truth);
                CHECK(change.high_mm >= truth);
                CHECK(change.verdict == Change::softened);
            }
    }

    TEST_CASE("fine edges on coarse knitting cannot be told apart, and the floor says so") {
        DyedPiece before, after;
        before.sigma = 0.3;
        after.sigma = 0.5;
        const DyedPicture one = knitted_scene(before, {46, 12}), other = knitted_scene(after, {46, 12});
        const WidthChange change = width_change(edge_pairs(one, other, main_colour(one)).pairs,
                                                {one.floor_mm(), other.floor_mm(), kMethodShareKnitted});
        CHECK(change.verdict == Change::cannot_tell);
        CHECK(change.why.find("finer than can be seen") != std::string::npos);
    }

    TEST_CASE("knitting turned by half a turn measures the same") {
        DyedPiece piece;
        piece.sigma = 1.4;
        const DyedPicture upright = knitted_scene(piece, {46, 12});
        const DyedPicture turned_round = turned(upright, QuarterTurn::clockwise_180);
        const double one = median_width(edge_pieces(upright, main_colour(upright)));
        const double other = median_width(edge_pieces(turned_round, main_colour(upright)));
        CHECK(std::abs(one / other - 1) < kWidthOff);
    }
}
