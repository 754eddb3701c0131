#include "loopread/wound/strand_painter.h"

#include <doctest/doctest.h>

#include <cmath>

#include "loopread/wound/pictures.h"
#include "wound/wound_runs.h"

using namespace loopread;
using namespace loopread::wound_test;

namespace {

constexpr double kShares = 0.03;  // of the yarn: what a picture may leave out by what lies in front

WoundPictureOptions picture(WoundKind kind, int pixels) {
    WoundPictureOptions options;
    options.kind = kind;
    options.rows = options.columns = pixels;
    options.keep_albedo = KeepAlbedo::yes;
    return options;
}

/// A run whose colour tells the place: red is how far along, green its square.
ColourRun told_places(double length_mm) {
    constexpr int kPieces = 40'000;
    std::vector<Piece> pieces;
    for (int i = 0; i < kPieces; ++i) {
        const double share = (i + 0.5) / kPieces;
        pieces.push_back(
            {length_mm * i / kPieces, length_mm / kPieces, -1, -1, Part::sinker, {share, share * share, 0.5}});
    }
    return ColourRun(std::move(pieces));
}

}  // namespace

TEST_SUITE("wound") {
    TEST_CASE("yarn of one colour gives an albedo of one colour, whatever the light") {
        const LinearRgb colour{0.31, 0.12, 0.44};
        constexpr double kSingle = 1e-5;  // single precision
        for (const WoundKind kind : {WoundKind::skein, WoundKind::hank, WoundKind::ball, WoundKind::cake}) {
            CAPTURE(static_cast<int>(kind));
            const PaintedStrands seen = wound_picture({plain_run(60'000, colour)}, picture(kind, 300));
            double worst = 0, covered = 0;
            for (int r = 0; r < 300; ++r)
                for (int c = 0; c < 300; ++c) {
                    if (seen.coverage(r, c) <= 0) continue;
                    covered += 1;
                    const LinearRgb off = seen.albedo(r, c) - colour;
                    worst = std::max({worst, std::abs(off.r), std::abs(off.g), std::abs(off.b)});
                }
            CHECK(covered > 4000);
            CHECK(worst <= kSingle);
        }
    }

    TEST_CASE("a skein and a hank show each colour as much as the yarn has it") {
        const ColourRun run = rope();
        const std::vector<PaletteColour> palette = yarn_palette({run}, 6, 1);
        REQUIRE(palette.size() == 5);
        const std::vector<double> along = shares_along(run, palette);
        for (const WoundKind kind : {WoundKind::skein, WoundKind::hank}) {
            CAPTURE(static_cast<int>(kind));
            const double off =
                largest_difference(along, shares_seen(wound_picture({run}, picture(kind, 1000)), palette));
            CAPTURE(off);
            CHECK(off <= kShares);
        }
    }

    TEST_CASE("a flecked yarn's skein and hank have its mean colour") {
        std::vector<Piece> pieces;
        for (int i = 0; i < 15'000; ++i) {
            const double share = std::abs(std::sin(i * 0.7) * std::cos(i * 0.013));
            pieces.push_back({4.0 * i, 4, -1, -1, Part::sinker, mixed(kRed, {0.8, 0.78, 0.7}, share)});
        }
        const ColourRun run(std::move(pieces));
        const LinearRgb mean = run.mean(0, run.length_mm());
        for (const WoundKind kind : {WoundKind::skein, WoundKind::hank}) {
            CAPTURE(static_cast<int>(kind));
            const PaintedStrands seen = wound_picture({run}, picture(kind, 900));
            LinearRgb sum;
            double all = 0;
            for (int r = 0; r < 900; ++r)
                for (int c = 0; c < 900; ++c) {
                    sum += seen.albedo(r, c) * static_cast<double>(seen.coverage(r, c));
                    all += static_cast<double>(seen.coverage(r, c));
                }
            const LinearRgb off = sum * (1 / all) - mean;
            CAPTURE(off.g);
            CHECK(std::max({std::abs(off.r), std::abs(off.g), std::abs(off.b)}) <= kShares);
        }
    }

    TEST_CASE("every pixel of a ball or cake has the colour of the yarn that lies there") {
        const ColourRun run = rope();
        const ColourRun places = told_places(run.length_mm());
        const std::vector<PaletteColour> palette = yarn_palette({run}, 6, 1);
        for (const WoundKind kind : {WoundKind::ball, WoundKind::cake}) {
            CAPTURE(static_cast<int>(kind));
            const PaintedStrands seen = wound_picture({run}, picture(kind, 900));
            const PaintedStrands told = wound_picture({places}, picture(kind, 900));
            double pixels = 0, right = 0;
            for (int r = 0; r < 900; ++r)
                for (int c = 0; c < 900; ++c) {
                    if (told.coverage(r, c) < 1) continue;
                    const double at = told.albedo(r, c).r;
                    constexpr double kOnePlace = 1e-7;  // variance of the place within the pixel
                    if (std::abs(told.albedo(r, c).g - at * at) > kOnePlace) continue;
                    const double mm = at * run.length_mm();
                    constexpr double kCreep = 4;  // mm: where two colours meet they pass over into each other
                    const std::size_t wanted = nearest_in(palette, run.at(mm));
                    if (wanted != nearest_in(palette, run.at(mm - kCreep)) ||
                        wanted != nearest_in(palette, run.at(mm + kCreep)))
                        continue;
                    pixels += 1;
                    right += wanted == nearest_in(palette, seen.albedo(r, c));
                }
            REQUIRE(pixels > 50'000);
            // In single precision two strands within 60 mm of each other along the yarn cannot be told apart.
            constexpr double kMixed = 0.002;
            CHECK(right >= (1 - kMixed) * pixels);
        }
    }

    TEST_CASE("one thread, two and five draw the same bytes") {
        const std::vector<ColourRun> yarn{rope()};
        for (const WoundKind kind : {WoundKind::skein, WoundKind::ball}) {
            WoundPictureOptions options = picture(kind, 500);
            options.threads = 1;
            const Picture8 one = wound_picture(yarn, options).picture;
            for (const int threads : {2, 5}) {
                options.threads = threads;
                CHECK(wound_picture(yarn, options).picture == one);
            }
            options.seed = 2;
            CHECK(wound_picture(yarn, options).picture != one);
        }
    }

    TEST_CASE("a colour begins on the yarn where the run says") {
        PaintOptions options;
        options.rows = 60;
        options.columns = 600;
        options.view.pixels_per_mm = 5;
        options.view.middle = {50, 0, 0, 0};
        options.keep_albedo = KeepAlbedo::yes;
        const PaintedStrands seen = painted_strands({{0, 2, {{0, 0, 2, 0}, {100, 0, 2, 100}}}}, {halves(100)}, options);
        // Half way, at 50 mm, is the middle of the picture; the colours pass over into each other within 1 mm.
        for (const int mm : {-40, -10, -2}) CHECK(seen.albedo(30, 300 + 5 * mm).r == doctest::Approx(kRed.r));
        for (const int mm : {2, 10, 40}) CHECK(seen.albedo(30, 300 + 5 * mm).b == doctest::Approx(kBlue.b));
    }

    TEST_CASE("what lies nearer hides what lies behind it") {
        const std::vector<StrandPath> crossing{{0, 2, {{-20, 0, 2, 0}, {20, 0, 2, 40}}},
                                               {1, 2, {{0, -20, 6, 0}, {0, 20, 6, 40}}}};
        PaintOptions options;
        options.rows = options.columns = 200;
        options.view.pixels_per_mm = 5;
        options.keep_albedo = KeepAlbedo::yes;
        const PaintedStrands seen = painted_strands(crossing, {plain_run(40, kRed), plain_run(40, kBlue)}, options);
        CHECK(seen.albedo(100, 100).b > seen.albedo(100, 100).r);  // the upper one at the crossing
        CHECK(seen.albedo(100, 30).r > seen.albedo(100, 30).b);
        CHECK(seen.albedo(30, 100).b > seen.albedo(30, 100).r);
        CHECK(seen.coverage(30, 30) == 0);
        CHECK(seen.coverage(100, 60) == 1);
    }

    TEST_CASE("strands that others cover wholly change no byte, and one seen through a gap shows there alone") {
        PaintOptions options;
        options.rows = options.columns = 300;  // more than one tile
        options.view.pixels_per_mm = 10;
        options.keep_albedo = KeepAlbedo::yes;
        std::vector<StrandPath> closed, open;  // side by side from edge to edge and beyond, overlapping by half
        for (int i = -20; i <= 20; ++i) {
            const auto y = static_cast<float>(i);
            closed.push_back({0, 1, {{-20, y, 12, 0}, {20, y, 12, 40}}});
            if (i < 1 || i > 3) open.push_back(closed.back());
        }
        const StrandPath under{1, 1, {{-20, 2, 2, 0}, {20, 2, 2, 40}}};
        const std::vector<ColourRun> runs{plain_run(40, kRed), plain_run(40, kBlue)};
        const auto with = [](std::vector<StrandPath> paths, const StrandPath& one, std::ptrdiff_t place) {
            paths.insert(paths.begin() + place, one);
            return paths;
        };
        const Picture8 alone = painted_strands(closed, runs, options).picture;
        for (const std::ptrdiff_t place : {0, 7, 41})
            CHECK(painted_strands(with(closed, under, place), runs, options).picture == alone);

        const PaintedStrands seen = painted_strands(with(open, under, 0), runs, options);
        CHECK(seen.picture == painted_strands(with(open, under, 30), runs, options).picture);
        for (const int column : {3, 95, 150, 297}) {  // its middle lies at row 130
            CHECK(seen.albedo(130, column).b > seen.albedo(130, column).r);
            CHECK(seen.albedo(160, column).r > seen.albedo(160, column).b);
        }
    }

    TEST_CASE("a body throws its shadow to the lower right, and none on the table's far corner") {
        const std::vector<StrandPath> rod{{0, 5, {{0, -3, 14, 0}, {0, 3, 14, 6}}}};
        PaintOptions options;
        options.rows = options.columns = 300;
        options.view.pixels_per_mm = 3;
        const Picture8 seen = painted_strands(rod, {plain_run(10, kRed)}, options).picture;
        CHECK(seen(190, 185).g + 8 < seen(5, 5).g);
        CHECK(seen(110, 115).g + 3 >= seen(5, 5).g);
        CHECK(seen(5, 5) == seen(5, 290));
    }

    TEST_CASE("a bare table shows the asked-for colour") {
        PaintOptions options;
        options.rows = options.columns = 40;
        const Srgb8 colour{0x8a, 0x9b, 0x70};
        options.ground.colour = linear_from_srgb8(colour);
        const Picture8 seen = painted_strands({}, {}, options).picture;
        CHECK(seen(20, 20) == colour);
    }
}
