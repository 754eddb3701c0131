#include "loopread/lay/motifs.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "loopread/image/sampling.h"

using namespace loopread;

namespace {

constexpr double kRounding = 1e-9;
constexpr LinearRgb kGround{0.85, 0.8, 0.7};
constexpr LinearRgb kDye{0.05, 0.1, 0.4};

/// A grid of discs, places in mm from the top left corner of a blank of 240 x 400 mm.
struct Discs {
    double diameter = 20;
    double first_x = 40, first_y = 60;
    double across = 40, along = 40;
    int in_a_line = 5, lines = 8;
    double drop = 0;  ///< of every other disc of a line
};

BlankRaster raster_of(double mm_per_column, double mm_per_row) {
    return {static_cast<int>(std::lround(400 / mm_per_row)), static_cast<int>(std::lround(240 / mm_per_column)),
            mm_per_column, mm_per_row};
}

bool in_a_disc(const Discs& discs, double x_mm, double y_mm) {
    for (int line = 0; line < discs.lines; ++line)
        for (int i = 0; i < discs.in_a_line; ++i)
            if (std::hypot(x_mm - discs.first_x - i * discs.across,
                           y_mm - discs.first_y - line * discs.along - (i % 2) * discs.drop) < discs.diameter / 2)
                return true;
    return false;
}

Plane stencil(const Discs& discs, const BlankRaster& raster) {
    Plane amount(raster.rows, raster.columns, 0.0);
    for (int r = 0; r < raster.rows; ++r)
        for (int c = 0; c < raster.columns; ++c)
            amount(r, c) = in_a_disc(discs, (c + 0.5) * raster.mm_per_column, (r + 0.5) * raster.mm_per_row) ? 1 : 0;
    return amount;
}

Paint bare(const BlankRaster& raster) {
    Paint paint;
    paint.raster = raster;
    paint.ground = Image(1, 1, kGround);
    return paint;
}

Paint layered(Plane amount, const BlankRaster& raster) {
    Paint paint = bare(raster);
    paint.layers.push_back({"dye", std::move(amount), {1, 1, 1}, 0.4});
    return paint;
}

Paint pictured(const Plane& amount, const BlankRaster& raster) {
    Paint paint = bare(raster);
    paint.picture = Image(raster.rows, raster.columns, kGround);
    for (int r = 0; r < raster.rows; ++r)
        for (int c = 0; c < raster.columns; ++c) (*paint.picture)(r, c) = mixed(kGround, kDye, amount(r, c));
    return paint;
}

Paint squares(const std::vector<std::array<int, 3>>& left_top_side) {
    const BlankRaster raster = raster_of(1, 1);
    Plane amount(raster.rows, raster.columns, 0.0);
    for (const auto& [left, top, side] : left_top_side)
        for (int r = top; r < top + side; ++r)
            for (int c = left; c < left + side; ++c) amount(r, c) = 1;
    return layered(std::move(amount), raster);
}

/// Six squares of 10 mm, well apart, and then some.
std::vector<std::array<int, 3>> six_and(std::vector<std::array<int, 3>> more) {
    for (int i = 0; i < 6; ++i) more.push_back({20 + 30 * i, 50, 10});
    return more;
}

}  // namespace

TEST_SUITE("lay") {
    TEST_CASE("a drawn grid of discs has its number, size and spacings, as dye and as a picture, on any raster") {
        for (const BlankRaster& raster : {raster_of(1, 1), raster_of(0.5, 1), raster_of(1, 0.5)}) {
            const Plane amount = stencil({}, raster);
            for (const Paint& paint : {layered(amount, raster), pictured(amount, raster)}) {
                CAPTURE(raster.mm_per_column);
                CAPTURE(raster.mm_per_row);
                const Motifs found = motifs_of(paint);
                CHECK(found.separate());
                CHECK(found.motifs.size() == 40);
                CHECK(std::abs(found.size_mm - 20) < kRounding);
                CHECK(std::abs(found.across_mm - 40) < kRounding);
                CHECK(std::abs(found.along_mm - 40) < kRounding);
            }
        }
    }

    TEST_CASE("spacings across and along are not mixed up") {
        const BlankRaster raster = raster_of(1, 1);
        const Motifs found = motifs_of(layered(stencil({.across = 30, .along = 50, .lines = 6}, raster), raster));
        CHECK(found.motifs.size() == 30);
        CHECK(std::abs(found.across_mm - 30) < kRounding);
        CHECK(std::abs(found.along_mm - 50) < kRounding);
    }

    TEST_CASE("motifs come line by line from the ravel edge, each from the left, and own their pixels") {
        const BlankRaster raster = raster_of(1, 1);
        const Plane amount = stencil({}, raster);
        const Motifs found = motifs_of(layered(amount, raster));
        REQUIRE(found.motifs.size() == 40);
        std::vector<int> owned(found.motifs.size(), 0);
        for (int r = 0; r < raster.rows; ++r)
            for (int c = 0; c < raster.columns; ++c) {
                const int owner = found.owner(r, c);
                REQUIRE((owner >= 0) == (amount(r, c) > 0));
                if (owner >= 0) ++owned[static_cast<std::size_t>(owner)];
            }
        for (std::size_t i = 0; i < found.motifs.size(); ++i) {
            const Motif& motif = found.motifs[i];
            const int line = static_cast<int>(i) / 5, place = static_cast<int>(i) % 5;
            CHECK(motif.line == line);
            CHECK(std::abs(motif.middle_x() - (40 + 40 * place)) < kRounding);
            CHECK(std::abs(motif.middle_y() - (60 + 40 * line)) < kRounding);
            CHECK(owned[i] == motif.area);
            CHECK(motif.right - motif.left == 20);
        }
    }

    TEST_CASE("a half drop makes two lines of what was one") {
        const BlankRaster raster = raster_of(1, 1);
        const Motifs found = motifs_of(layered(stencil({.drop = 20}, raster), raster));
        REQUIRE(found.motifs.size() == 40);
        CHECK(found.motifs.back().line == 15);
        CHECK(std::abs(found.across_mm - 80) < kRounding);  // every other one of a line
        CHECK(std::abs(found.along_mm - 20) < kRounding);
        for (const Motif& motif : found.motifs)
            CHECK((motif.line % 2 == 1) == (std::lround(motif.middle_x()) % 80 == 0));
    }

    TEST_CASE("a little unevenness by hand leaves a line one line") {
        const BlankRaster raster = raster_of(1, 1);
        const Motifs found = motifs_of(layered(stencil({.drop = 4}, raster), raster));
        REQUIRE(found.motifs.size() == 40);
        CHECK(found.motifs.back().line == 7);
        CHECK(std::abs(found.across_mm - 40) < kRounding);
        CHECK(std::abs(found.along_mm - 40) < kRounding);
    }

    TEST_CASE("one motif a line has no spacing across, one line none along") {
        const BlankRaster raster = raster_of(1, 1);
        const Motifs column = motifs_of(layered(stencil({.in_a_line = 1}, raster), raster));
        CHECK(column.motifs.size() == 8);
        CHECK(column.across_mm == 0);
        CHECK(std::abs(column.along_mm - 40) < kRounding);
        const Motifs line =
            motifs_of(layered(stencil({.first_x = 20, .across = 35, .in_a_line = 6, .lines = 1}, raster), raster));
        CHECK(line.motifs.size() == 6);
        CHECK(std::abs(line.across_mm - 35) < kRounding);
        CHECK(line.along_mm == 0);
    }

    TEST_CASE("soft edges leave number and spacings as they are and grow a motif by less than the softness") {
        const BlankRaster raster = raster_of(1, 1);
        const Plane amount = stencil({}, raster);
        for (const double sigma : {0.5, 1.0, 2.0}) {
            CAPTURE(sigma);
            const Plane soft = blurred(amount, sigma, sigma);
            // Dye counts from 0.1 on, where a blurred edge is 1.2816 sigma out (normal quantile); a pixel either side
            const double most = 2 * (1.2816 * sigma + 1);
            for (const Paint& paint : {layered(soft, raster), pictured(soft, raster)}) {
                const Motifs found = motifs_of(paint);
                CHECK(found.motifs.size() == 40);
                CHECK(std::abs(found.across_mm - 40) < kRounding);
                CHECK(std::abs(found.along_mm - 40) < kRounding);
                CHECK(found.size_mm >= 20);
                CHECK(found.size_mm <= 20 + most);
            }
        }
    }

    TEST_CASE("on a dipped ground that changes along the blank the same motifs are found") {
        const BlankRaster raster = raster_of(1, 1);
        const Plane amount = stencil({}, raster);
        Paint paint = bare(raster);
        paint.ground = Image(raster.rows, raster.columns);
        paint.picture = Image(raster.rows, raster.columns);
        for (int r = 0; r < raster.rows; ++r)
            for (int c = 0; c < raster.columns; ++c) {
                paint.ground(r, c) = mixed({0.9, 0.8, 0.2}, {0.3, 0.1, 0.05}, r / 400.0);
                (*paint.picture)(r, c) = mixed(paint.ground(r, c), {0.02, 0.05, 0.4}, amount(r, c));
            }
        const Motifs found = motifs_of(paint);
        CHECK(found.motifs.size() == 40);
        CHECK(std::abs(found.size_mm - 20) < kRounding);
        CHECK(std::abs(found.along_mm - 40) < kRounding);
    }

    TEST_CASE("a picture that covers the blank has no motifs, nor has a bare blank") {
        const BlankRaster raster = raster_of(1, 1);
        CHECK_FALSE(motifs_of(layered(Plane(raster.rows, raster.columns, 1.0), raster)).separate());
        CHECK_FALSE(motifs_of(pictured(Plane(raster.rows, raster.columns, 1.0), raster)).separate());
        CHECK_FALSE(motifs_of(layered(Plane(raster.rows, raster.columns, 0.0), raster)).separate());
        CHECK_FALSE(motifs_of(pictured(Plane(raster.rows, raster.columns, 0.0), raster)).separate());
        CHECK_FALSE(motifs_of(bare(raster)).separate());
    }

    TEST_CASE("separate shapes over more than six tenths of the blank are a whole, under that they are motifs") {
        const BlankRaster raster = raster_of(1, 1);
        const auto bars = [&](int wide) {
            Plane amount(raster.rows, raster.columns, 0.0);
            for (int r = 0; r < raster.rows; ++r)
                for (int c = 0; c < raster.columns; ++c) amount(r, c) = c % 20 < wide ? 1 : 0;
            return motifs_of(layered(std::move(amount), raster)).motifs.size();
        };
        CHECK(bars(11) == 12);
        CHECK(bars(12) == 12);  // 0.6 of the blank, no more
        CHECK(bars(13) == 0);
    }

    TEST_CASE("five shapes are a picture, six are motifs") {
        const BlankRaster raster = raster_of(1, 1);
        CHECK(motifs_of(layered(stencil({.lines = 1}, raster), raster)).motifs.empty());
        CHECK(motifs_of(squares(six_and({}))).motifs.size() == 6);
    }

    TEST_CASE("a spot of 9 square millimetres is a motif, a smaller one is not") {
        CHECK(motifs_of(squares(six_and({{100, 200, 3}}))).motifs.size() == 7);
        const Motifs found = motifs_of(squares(six_and({{100, 200, 2}})));
        CHECK(found.motifs.size() == 6);
        CHECK(found.owner(200, 100) == -1);
    }

    TEST_CASE("shapes that touch at a corner are one, with a bare pixel between they are two") {
        CHECK(motifs_of(squares(six_and({{100, 200, 10}, {110, 210, 10}}))).motifs.size() == 7);
        CHECK(motifs_of(squares(six_and({{100, 200, 10}, {111, 210, 10}}))).motifs.size() == 8);
        const Motifs joined = motifs_of(squares(six_and({{100, 200, 10}, {110, 210, 10}})));
        CHECK(joined.motifs.back().area == 200);
        CHECK(joined.motifs.back().right - joined.motifs.back().left == 20);
    }

    TEST_CASE("faint dye and a colour hardly off the ground are ground") {
        const BlankRaster raster = raster_of(1, 1);
        Plane amount = stencil({}, raster);
        for (double& value : amount) value *= 0.09;
        CHECK(motifs_of(layered(amount, raster)).motifs.empty());
        for (double& value : amount) value *= 0.11 / 0.09;
        CHECK(motifs_of(layered(amount, raster)).motifs.size() == 40);
        Paint paint = pictured(stencil({}, raster), raster);
        const Lab ground = lab_from_linear(kGround);
        const auto discs_darker_by = [&](double lightness) {
            Paint other = paint;
            for (LinearRgb& pixel : *other.picture)
                if (!(pixel == kGround)) pixel = linear_from_lab({ground.l - lightness, ground.a, ground.b});
            return motifs_of(other).motifs.size();
        };
        CHECK(discs_darker_by(5) == 0);    // CIEDE2000 under 5 at any lightness: its S_L is at least 1
        CHECK(discs_darker_by(20) == 40);  // over 8: S_L is at most 1.75
    }

    TEST_CASE("motifs of two dyes that meet are one shape, and each dye counts") {
        const BlankRaster raster = raster_of(1, 1);
        Paint paint = squares(six_and({}));
        Plane second(raster.rows, raster.columns, 0.0);
        for (int r = 300; r < 310; ++r)
            for (int c = 60; c < 70; ++c) second(r, c) = 1;
        for (int r = 50; r < 60; ++r)
            for (int c = 30; c < 36; ++c) second(r, c) = 1;  // right beside the first square
        paint.layers.push_back({"other dye", second, {1, 0, 0}, 0.4});
        const Motifs found = motifs_of(paint);
        REQUIRE(found.motifs.size() == 7);
        CHECK(found.motifs.front().right - found.motifs.front().left == 16);
        CHECK(found.motifs.back().top == 300);
    }
}
