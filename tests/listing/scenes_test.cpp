#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "loopread/colour/names.h"
#include "loopread/image/sampling.h"
#include "loopread/listing/close_up.h"
#include "loopread/listing/flat_scene.h"
#include "loopread/listing/index_page.h"
#include "loopread/listing/table_scene.h"
#include "loopread/listing/yarn_wrap.h"
#include "loopread/unravel/order.h"

using namespace loopread;

namespace {

constexpr LinearRgb kRed{0.6, 0.02, 0.02}, kBlue{0.02, 0.05, 0.6};

ColourRun red_then_blue(double red_mm, double blue_mm) {
    std::vector<Piece> pieces;
    constexpr double kPieceMm = 5;
    for (double at = 0; at < red_mm + blue_mm - 1e-9; at += kPieceMm)
        pieces.push_back({.start_mm = at, .length_mm = kPieceMm, .colour = at < red_mm ? kRed : kBlue});
    return ColourRun(std::move(pieces));
}

std::vector<NamedShare> red_and_blue(double red) {
    return {{kRed, "#ca2525", "red", "Lantern", red}, {kBlue, "#253fca", "blue", "Harbour", 1 - red}};
}

/// How many pixels are plainly redder, or bluer, than the other.
struct Counted {
    double red = 0, blue = 0;
};
Counted counted(const Picture8& picture) {
    Counted of;
    for (const Srgb8 p : picture) {
        if (p.r > p.b + 40) ++of.red;
        if (p.b > p.r + 40) ++of.blue;
    }
    return of;
}

}  // namespace

TEST_SUITE("listing") {
    TEST_CASE("yarn on the card takes as much room as its share of the yarn") {
        constexpr double kShareError = 0.03;  // asked for of pictures of yarn: shade and edges of threads count too
        for (const double red : {0.5, 0.8}) {
            const ColourRun run = red_then_blue(red * 60'000, (1 - red) * 60'000);
            const YarnWrap wrap = yarn_wrap({run}, red_and_blue(red), {.columns = 240, .rows = 400});
            CHECK(wrap.picture.rows() == 400);
            CHECK(wrap.picture.columns() == 240);
            REQUIRE(wrap.bands.size() == 2);
            CHECK(wrap.bands[0].end == doctest::Approx(red * 400).epsilon(1e-9));
            CHECK(wrap.bands[0].detail == std::to_string(std::lround(100 * red)) + " %");
            const Counted of = counted(wrap.picture);
            CHECK(std::abs(of.red / (of.red + of.blue) - red) < kShareError);
        }
    }

    TEST_CASE("flecks inside a loop make one colour and stretches of many loops make two") {
        std::vector<Piece> pieces;
        for (int i = 0; i < 400; ++i)
            pieces.push_back({.start_mm = 10.0 * i, .length_mm = 10, .colour = i % 2 == 0 ? kRed : kBlue});
        const ColourRun flecked(std::move(pieces));
        CHECK(seen_palette({flecked}, {.loop_mm = 20}).size() == 1);
        const std::vector<PaletteColour> two = seen_palette({red_then_blue(3000, 1000)}, {.loop_mm = 20});
        REQUIRE(two.size() == 2);
        CHECK(two[0].share == doctest::Approx(0.75).epsilon(1e-9));
        CHECK(two[0].colour.r == doctest::Approx(kRed.r).epsilon(1e-9));
    }

    TEST_CASE("half-dyed yarn goes by the name of its dye and hardly dyed yarn by that of undyed yarn") {
        const LinearRgb undyed{0.9, 0.85, 0.74};
        const auto yarn = [&](int dyed_of_ten) {
            std::vector<Piece> pieces;
            for (int i = 0; i < 1000; ++i)
                pieces.push_back(
                    {.start_mm = 2.0 * i, .length_mm = 2, .colour = i % 10 < dyed_of_ten ? kBlue : undyed});
            return ColourRun(std::move(pieces));
        };
        const std::string blue = plain_words(lab_from_linear(kBlue));
        REQUIRE(seen_palette({yarn(5)}, {.loop_mm = 20, .undyed = undyed}).size() == 1);
        CHECK(seen_palette({yarn(5)}, {.loop_mm = 20, .undyed = undyed})[0].words == blue);
        CHECK(seen_palette({yarn(10)}, {.loop_mm = 20, .undyed = undyed})[0].words == blue);
        CHECK(seen_palette({yarn(1)}, {.loop_mm = 20, .undyed = undyed})[0].words != blue);
    }

    TEST_CASE("a colour that no stretch of the yarn shows is wound all the same") {
        const YarnWrap wrap = yarn_wrap({red_then_blue(20'000, 0)}, red_and_blue(0.9), {.columns = 240, .rows = 400});
        CHECK(counted(wrap.picture).blue > 0);
    }

    TEST_CASE("cloth on the table keeps its colours and throws its shadow to the lower right") {
        TableScene scene{.rows = 200, .columns = 200, .pixels_per_mm = 2, .ground = {}};
        const Picture8 bare = drawn_scene(scene);
        scene.cloths.push_back({Image(60, 80, kRed), 60, 50, 4});
        const Picture8 picture = drawn_scene(scene);
        const Srgb8 red = srgb8_from_linear(kRed);
        CHECK(picture(80, 100) == red);
        CHECK(std::count(picture.begin(), picture.end(), red) == 60 * 80);
        CHECK(picture(113, 143).g + 20 < bare(113, 143).g);
        CHECK(picture(45, 55).g > picture(113, 143).g);
        CHECK(std::abs(picture(5, 5).g - bare(5, 5).g) <= 1);
    }

    TEST_CASE("fabric cut out by black and white lets the table through where it shows") {
        TableScene scene{.rows = 40, .columns = 40, .pixels_per_mm = 2, .ground = {}};
        const Picture8 bare = drawn_scene(scene);
        CutCloth cut{Image(20, 20, kRed), Image(20, 20, kRed), 10, 10};
        for (int c = 0; c < 10; ++c)
            for (int r = 0; r < 20; ++r) {
                cut.on_black(r, c) = {0, 0, 0};
                cut.on_white(r, c) = {0.5, 0.5, 0.5};  // table in half shadow
            }
        scene.cut.push_back(std::move(cut));
        const Picture8 picture = drawn_scene(scene);
        CHECK(picture(20, 25) == srgb8_from_linear(kRed));
        const LinearRgb half = linear_from_srgb8(bare(20, 15)) * 0.5;
        CHECK(std::abs(picture(20, 15).g - srgb8_from_linear(half).g) <= 1);
        CHECK(picture(2, 2) == bare(2, 2));
    }

    /// A blank whose paint changes from loop to loop within one part of it.
    TEST_CASE("the close-up shows the place where colours differ most") {
        CloseUp what{.rows = 240, .columns = 240};
        what.layout.strands = 1;
        what.layout.rows = 80;
        std::vector<Piece> pieces;
        for (const LoopPlace& loop : ravel_order(what.layout)) {
            const bool lively = loop.course >= 40 && loop.course < 70 && loop.column >= 20 && loop.column < 44;
            const bool blue = lively && (loop.course / 2 + loop.column / 2) % 2 == 0;
            pieces.push_back({.start_mm = what.layout.loop_length.value * static_cast<double>(pieces.size()),
                              .length_mm = what.layout.loop_length.value,
                              .colour = blue ? kBlue : kRed});
        }
        const std::vector<ColourRun> strands{ColourRun(std::move(pieces))};
        const LoopWindow window = liveliest_window(what, strands);
        CHECK(window.row >= 38);
        CHECK(window.column >= 18);
        CHECK(window.columns == 20);
        const Counted of = counted(close_up(what, strands));
        constexpr double kHalf = 0.5, kRough = 0.12;  // squares of two by two: half of the stitches, more or less shown
        CHECK(std::abs(of.blue / (of.red + of.blue) - kHalf) < kRough);
        CHECK((of.red + of.blue) / (240 * 240) > 0.85);  // cloth all over, but for what is dark between its loops
    }

    TEST_CASE("a close-up of a blank of a few stitches fills its picture too") {
        for (const auto& [rows, stitches] : {std::pair{2, 2}, {2, 40}, {40, 2}, {3, 3}}) {
            CloseUp what{.rows = 60, .columns = 80};
            what.layout.rows = rows;
            what.layout.stitches = stitches;
            const ColourRun run = red_then_blue(1.1 * rows * stitches * what.layout.loop_length.value, 0);
            const Picture8 picture = close_up(what, {run, run});
            CHECK(picture.rows() == 60);
            CHECK(picture.columns() == 80);
            CHECK(counted(picture).red > 0);
        }
    }

    TEST_CASE("cloth above a strip of table keeps its pixels and shades the table below it") {
        const Picture8 cloth(80, 60, srgb8_from_linear(kRed));
        const Picture8 picture = above_table(cloth, {.rows = 100, .columns = 60, .pixels_per_mm = 4, .ground = {}});
        CHECK(picture.rows() == 100);
        CHECK(std::equal(cloth.begin(), cloth.end(), picture.begin()));
        CHECK(picture(81, 40).g < picture(99, 40).g);
        CHECK(above_table(cloth, {.rows = 80, .columns = 60, .pixels_per_mm = 4, .ground = {}}) == cloth);
    }

    TEST_CASE("a small picture has the mean light of the large one") {
        Picture8 chequered(400, 300);
        for (int r = 0; r < 400; ++r)
            for (int c = 0; c < 300; ++c) chequered(r, c) = (r + c) % 2 == 0 ? Srgb8{255, 255, 255} : Srgb8{0, 0, 0};
        const Picture8 small = made_small(chequered, 30);
        CHECK(small.rows() == 40);
        CHECK(small.columns() == 30);
        for (const Srgb8 p : small) CHECK(std::abs(p.g - 188) <= 1);  // half the light, IEC 61966-2-1
        CHECK(made_small(chequered, 300) == chequered);
    }

    TEST_CASE("a picture upside down is turned by the other's colours") {
        Image picture(60, 20, kRed);
        for (int r = 0; r < 20; ++r)
            for (int c = 0; c < 20; ++c) picture(r, c) = {0.9, 0.9, 0.9};
        const Image over = turned(picture, QuarterTurn::clockwise_180);
        CHECK(upright_like(picture, picture) == picture);
        CHECK(upright_like(over, picture) == picture);
    }

    TEST_CASE("the index escapes what was typed and leads into each folder") {
        IndexPage page{.title = "Listings", .listings = {}, .failed = {{"a<b>.png", "is \"broken\"\nhere"}}};
        page.listings.push_back({.folder = "caf\xc3\xa9 #1", .title = "<script>x</script>", .look = "Stripes & dots"});
        const std::string html = index_html(page);
        CHECK(html.find("<script") == std::string::npos);
        CHECK(html.find("&lt;script&gt;") != std::string::npos);
        CHECK(html.find("href=\"caf%C3%A9%20%231/slip.html\"") != std::string::npos);  // RFC 3986, 2.1
        CHECK(html.find("a&lt;b&gt;.png") != std::string::npos);
        CHECK(failures_csv(page.failed) == "picture,fault\n\"a<b>.png\",\"is \"\"broken\"\" here\"\n");  // RFC 4180
    }
}
