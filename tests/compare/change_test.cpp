#include "loopread/compare/change.h"

#include <doctest/doctest.h>

#include <cmath>
#include <string>
#include <vector>

#include "compare/dyed_scene.h"

using namespace loopread;
using namespace loopread::dyed_scene;

namespace {

constexpr double kPixel = 0.2;  // mm

DyedPiece small_piece() {
    DyedPiece piece;
    piece.width = 100;
    piece.height = 90;
    return piece;
}

DyedPicture measured(const Image& image, const DyedPiece& piece) {
    return plain_picture(image, {piece.width, piece.height});
}
DyedPicture drawn(const DyedPiece& piece) {
    return measured(plain(piece, kPixel), piece);
}

WidthChange paired(const DyedPicture& before, const DyedPicture& after, std::uint64_t seed = 1) {
    return width_change(edge_pairs(before, after, main_colour(before)).pairs,
                        {before.floor_mm(), after.floor_mm(), kMethodShare, 0, seed});
}
WidthChange unpaired(const DyedPicture& before, const DyedPicture& after) {
    return width_change(edge_pieces(before, main_colour(before)), edge_pieces(after, main_colour(after)),
                        {before.floor_mm(), after.floor_mm()});
}

/// The motif of another strength of the same dye.
LinearRgb in_strength(const DyedPiece& piece, double strength) {
    const KOverS bare = k_over_s(piece.ground);
    return linear_from_k_over_s(bare + (k_over_s(piece.motif) - bare) * strength);
}

/// Noise of a camera on a picture drawn once.
Image noisy(const Image& clean, std::uint64_t seed) {
    Image image = clean;
    Random random(seed);
    for (LinearRgb& pixel : image) {
        const double n = 0.01 * random.normal();
        pixel = {pixel.r + n, pixel.g + n, pixel.b + n};
    }
    return decoded(encoded(image));
}

EdgePiece made_up(double width, double x) {
    EdgePiece piece;
    piece.place.x_mm = x;
    piece.width_mm = width;
    piece.ground = {0.5, 0.5, 0.5};
    piece.motif = {0.1, 0.1, 0.1};
    piece.delta_e00 = 40;
    piece.profile = {10, {}};
    for (int i = 0; i < 200; ++i)
        piece.profile.values.push_back(normal_share((-10 + 0.1 * (i + 0.5)) / (width / kWidthPerSigma)));
    return piece;
}

}  // namespace

TEST_SUITE("compare") {
    TEST_CASE("the interval of the change holds the true change in at least 90 of 100 seeds") {
        DyedPiece before;
        before.left = before.top = 10;  // one crate
        before.width = 70;
        before.height = 60;
        DyedPiece after = before;
        after.sigma = 1.4;
        const Image one = plain(before, kPixel), other = plain(after, kPixel);
        const double truth = kWidthPerSigma * (after.sigma - before.sigma);
        int held = 0, close = 0;
        double length = 0;
        for (std::uint64_t seed = 1; seed <= 100; ++seed) {
            const WidthChange c =
                paired(measured(noisy(one, seed), before), measured(noisy(other, 1000 + seed), after), seed);
            held += c.low_mm <= truth && truth <= c.high_mm;
            close += std::abs(c.before_mm / (kWidthPerSigma * before.sigma) - 1) < 0.05 &&
                     std::abs(c.after_mm / (kWidthPerSigma * after.sigma) - 1) < 0.05;
            length += c.high_mm - c.low_mm;
            CHECK(c.verdict == Change::softened);
        }
        CHECK(held >= 90);
        CHECK(close == 100);
        CHECK(length / 100 < 0.15 * truth);  // or the interval would hold anything
    }

    TEST_CASE("the same edges under other noise have not changed, and the other way round they are sharper") {
        DyedPiece before = small_piece(), after = small_piece();
        before.noise = after.noise = 0.01;
        after.seed = 8;
        const DyedPicture one = drawn(before), other = drawn(after);
        CHECK(paired(one, other).verdict == Change::no_change_seen);
        CHECK(unpaired(one, other).verdict == Change::no_change_seen);
        after.sigma = 1.0;
        const DyedPicture soft = drawn(after);
        CHECK(paired(soft, one).verdict == Change::sharpened);
        CHECK(unpaired(one, soft).verdict == Change::softened);
    }

    TEST_CASE("a change of strength alone is not called soft or sharp") {
        for (const double sigma : {0.6, 1.4})
            for (const double strength : {0.1, 0.25, 0.5, 0.7, 1.5, 3.0}) {
                CAPTURE(sigma);
                CAPTURE(strength);
                DyedPiece before = small_piece();
                before.sigma = sigma;
                before.noise = 0.008;
                before.mixing = DyedPiece::Mixing::dye;
                DyedPiece after = before;
                after.motif = in_strength(before, strength);
                after.seed = 4;
                const DyedPicture one = drawn(before), other = drawn(after);
                for (const WidthChange& c : {paired(one, other), unpaired(one, other)}) {
                    CAPTURE(c.why);
                    CHECK(c.verdict != Change::softened);
                    CHECK(c.verdict != Change::sharpened);
                }
            }
    }

    TEST_CASE("softer by more than its change of strength explains is called softened") {
        DyedPiece before = small_piece();
        before.noise = 0.008;
        before.mixing = DyedPiece::Mixing::dye;
        DyedPiece after = before;
        after.sigma = 1.0;
        after.motif = in_strength(before, 0.4);
        const WidthChange c = paired(drawn(before), drawn(after));
        CHECK(c.contrast_before > 1.2 * c.contrast_after);
        CHECK(c.verdict == Change::softened);
    }

    TEST_CASE("each photo keeps its own millimetres") {
        DyedPiece before = small_piece();
        const DyedPicture one = drawn(before);
        DyedPicture shrunk = one;  // the cloth shrank by a tenth after the picture was taken: all is narrower
        shrunk.pixel_width_mm *= 0.9;
        shrunk.pixel_height_mm *= 0.9;
        const WidthChange c = paired(one, shrunk);
        CHECK(c.change_mm / c.before_mm == doctest::Approx(-0.1).epsilon(0.05));
    }

    TEST_CASE("a photo laid a little off is found again") {
        DyedPiece before = small_piece();
        const DyedPicture one = drawn(before);
        DyedPicture moved = one;
        constexpr int kOff = 10;  // pixels: 2 mm
        for (int r = 0; r < moved.light.rows(); ++r)
            for (int c = 0; c < moved.light.columns(); ++c)
                moved.light(r, c) = one.light(std::max(0, r - kOff), std::max(0, c - kOff));
        const PairedEdges there = edge_pairs(one, moved, main_colour(one));
        CHECK(there.share_found() > 0.7);
        CHECK(width_change(there.pairs, {0.4, 0.4}).verdict == Change::no_change_seen);
    }

    TEST_CASE("a photo whose loops stand out less is not taken for softer edges, unless they are much softer") {
        DyedPicture sharp, soft;
        sharp.light = soft.light = Image(100, 100);
        sharp.pixel_width_mm = soft.pixel_width_mm = 1;
        sharp.cells = soft.cells = {20, 25};  // stitches of 5 mm
        sharp.relief = 0.3;
        CHECK(less_sharp_mm(sharp, soft) == 0);  // nothing is known of it
        // closed form: of a wave of 2.5 mm a blur of 0.5 mm leaves exp(-2 pi^2 0.25 / 6.25)
        soft.relief = sharp.relief * std::exp(-2 * 9.8696044 * 0.25 / 6.25);
        CHECK(less_sharp_mm(sharp, soft) == doctest::Approx(0.5));
        CHECK(less_sharp_mm(soft, sharp) == doctest::Approx(-0.5));
        std::vector<EdgePair> little, much;
        for (int i = 0; i < 30; ++i) {
            little.push_back({made_up(3 + 0.01 * i, i), made_up(3.2 + 0.01 * i, i)});
            much.push_back({made_up(3 + 0.01 * i, i), made_up(5 + 0.01 * i, i)});
        }
        ChangeOptions options;
        CHECK(width_change(little, options).verdict == Change::softened);
        options.less_sharp_mm = 0.5;
        const WidthChange c = width_change(little, options);
        CHECK(c.verdict == Change::cannot_tell);
        CHECK(c.why.find("less sharp") != std::string::npos);
        CHECK(width_change(much, options).verdict == Change::softened);
    }

    TEST_CASE("few edges tell nothing, and neither do edges under the floor") {
        std::vector<EdgePair> pairs;
        for (int i = 0; i < 5; ++i) pairs.push_back({made_up(2, i), made_up(3, i)});
        CHECK(width_change(pairs, {}).verdict == Change::cannot_tell);
        for (int i = 5; i < 20; ++i) pairs.push_back({made_up(2 + 0.01 * i, i), made_up(3 + 0.01 * i, i)});
        CHECK(width_change(pairs, {}).verdict == Change::softened);
        CHECK(width_change(pairs, {4, 4}).verdict == Change::cannot_tell);
        const WidthChange one_under = width_change(pairs, {2.6, 2.6});
        CHECK(one_under.verdict == Change::softened);
        CHECK(one_under.low_mm <= 3.1 - 2.6 + 0.01);  // it may have been as wide as the floor
    }

    TEST_CASE("edges that differ among themselves give a wide interval, and the seed decides its last digits only") {
        std::vector<EdgePair> calm, wild;
        for (int i = 0; i < 40; ++i) {
            const double off = 0.5 * std::sin(i * 1.7);
            calm.push_back({made_up(2, i), made_up(2.5, i)});
            wild.push_back({made_up(2, i), made_up(2.5 + off, i)});
        }
        const WidthChange narrow = width_change(calm, {0, 0, 0.01, 0, 1}),
                          wide = width_change(wild, {0, 0, 0.01, 0, 1});
        CHECK(wide.high_mm - wide.low_mm > 2 * (narrow.high_mm - narrow.low_mm));
        const WidthChange again = width_change(wild, {0, 0, 0.01, 0, 1}),
                          other = width_change(wild, {0, 0, 0.01, 0, 2});
        CHECK(again.low_mm == wide.low_mm);
        CHECK(again.high_mm == wide.high_mm);
        CHECK(std::abs(other.low_mm - wide.low_mm) < 0.1);
        CHECK(other.change_mm == wide.change_mm);
    }
}
