#include "loopread/photo/corners.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <string>
#include <vector>

#include "loopread/base/random.h"
#include "photo/table_photo.h"

using namespace loopread;
using namespace loopread::table_photos;

namespace {

constexpr double kNearEnough = 0.005;  // of the picture's diagonal: what was asked for

double between(Random& random, double low, double high) {
    return low + (high - low) * random.uniform();
}

LinearRgb vivid(Random& random) {
    std::array<double, 3> codes{between(random, 20, 230), between(random, 20, 230), between(random, 20, 230)};
    const auto first = static_cast<std::size_t>(random.uniform() * 3);
    codes[first] = between(random, 0, 60);
    codes[(first + 1) % 3] = between(random, 150, 250);
    return light_of(static_cast<int>(codes[0]), static_cast<int>(codes[1]), static_cast<int>(codes[2]));
}

enum class Shade { light, dark };
LinearRgb table_colour(Random& random, Shade shade) {
    const bool dark = shade == Shade::dark;
    const double low = dark ? 25 : 200, high = dark ? 75 : 238;
    return light_of(static_cast<int>(between(random, low, high)), static_cast<int>(between(random, low, high)),
                    static_cast<int>(between(random, low, high)));
}

PlacedBlank blank_of(Dye dye, const std::array<LinearRgb, 3>& dyes, double width_mm, double length_mm) {
    PlacedBlank blank;
    blank.width_mm = width_mm;
    blank.length_mm = length_mm;
    constexpr int kWales = 46;
    const double courses = kWales * LoopProportions{}.wale_per_course * length_mm / width_mm;
    blank.cloth = knitted_picture(dye, kCream, dyes, kWales, static_cast<int>(courses), 5);
    return blank;
}

const std::array<LinearRgb, 3> kDyed{light_of(40, 90, 160), light_of(200, 70, 60), light_of(60, 140, 90)};

/// One of endlessly many photos a phone may take, all by its number.
TablePhoto any_photo(std::uint64_t seed) {
    Random random(seed, 3);
    Scene scene;
    scene.seed = seed;
    scene.table = table_colour(random, seed % 2 == 0 ? Shade::light : Shade::dark);
    scene.grain = between(random, 0, 0.05);
    scene.streaks = random.uniform() < 0.4 ? 8 : 1;
    if (seed % 3 == 0) std::swap(scene.width, scene.height);
    scene.turn_deg = between(random, -30, 30);
    scene.tilt_deg = between(random, 0, 30);
    scene.tilt_way_deg = between(random, 0, 360);
    scene.narrowing = between(random, 0, 1.0 / 3);
    scene.fill = between(random, 0.7, 0.9);
    const double x = between(random, -0.25, 0.25), y = between(random, -0.25, 0.25), r2 = between(random, -0.12, 0);
    scene.light_x = {x, x + 0.01, x - 0.01};
    scene.light_y = {y, y - 0.02, y + 0.01};
    scene.light_r2 = {r2, r2, r2};
    scene.shadow = between(random, 0.1, 0.45);
    scene.shadow_mm = between(random, 5, 14);
    scene.noise = between(random, 0.004, 0.02);
    scene.threads = static_cast<int>(between(random, 0, 3));
    const std::array<LinearRgb, 3> dyes{vivid(random), vivid(random), vivid(random)};
    const double width = between(random, 160, 300);
    PlacedBlank blank = blank_of(kDyes[seed / 2 % kDyes.size()], dyes, width, width * between(random, 2, 6));
    blank.bow_mm = between(random, -0.012, 0.012) * blank.length_mm;
    blank.waist_mm = between(random, 0, 0.02) * width;
    blank.end_bow_mm = between(random, -0.02, 0.02) * width;
    blank.curl_mm = between(random, 2, 7);
    if (random.uniform() < 0.3) {
        blank.waste.width = between(random, 0.4, 0.75);
        blank.waste.length_mm = between(random, 15, 50);
    }
    return table_photo(scene, {blank});
}

/// The farthest a corner lies from where it should, in parts of the picture's diagonal.
double farthest(const Corners& found, const TablePhoto& photo) {
    double far = 0;
    for (std::size_t i = 0; i < 4; ++i)
        far = std::max(far, std::hypot(found[i].x - photo.corners[i].x, found[i].y - photo.corners[i].y));
    return far / std::hypot(photo.picture.columns(), photo.picture.rows());
}

bool asks_for_corners(const BlankCorners& result) {
    return !result.found() && result.confidence < kSureOfCorners &&
           result.why_not.find("--corners") != std::string::npos;
}

bool right_or_refused(const TablePhoto& photo) {
    const BlankCorners result = found_corners(photo.picture);
    if (!result.found()) return asks_for_corners(result);
    CAPTURE(farthest(result.corners, photo));
    return farthest(result.corners, photo) < kNearEnough;
}

Scene white_table() {
    Scene scene;
    scene.width = 600;
    scene.height = 800;
    scene.table = light_of(236, 235, 232);
    return scene;
}

}  // namespace

TEST_SUITE("photo") {
    TEST_CASE("the corners of seeded photos are found, and a photo that is not understood is refused") {
        constexpr std::uint64_t kPhotos = 36;
        // 30 until the rules were made stricter, since on fresh photos one in some hundred came out wrong by up to 1.2
        // % of the diagonal where threads lay at a corner; that cost finds. 29 are found now, the others refused.
        constexpr int kFewestFound = 28;
        int found = 0;
        double worst = 0;
        for (std::uint64_t seed = 1; seed <= kPhotos; ++seed) {
            const TablePhoto photo = any_photo(seed);
            const BlankCorners result = found_corners(photo.picture);
            CAPTURE(seed);
            CAPTURE(result.why_not);
            if (!result.found()) {
                CHECK(asks_for_corners(result));
                continue;
            }
            ++found;
            CHECK(result.confidence >= kSureOfCorners);
            CHECK(farthest(result.corners, photo) < kNearEnough);
            worst = std::max(worst, farthest(result.corners, photo));
        }
        CHECK(found >= kFewestFound);
        MESSAGE("found ", found, " of ", kPhotos, ", the worst corner off by ", 100 * worst, " % of the diagonal");
    }

    TEST_CASE("a blank lying across the picture begins at its top left too") {
        Scene scene;
        scene.turn_deg = 80;
        scene.table = light_of(50, 48, 46);
        const TablePhoto photo = table_photo(scene, {blank_of(Dye::dots, kDyed, 240, 860)});
        const BlankCorners result = found_corners(photo.picture);
        CAPTURE(result.why_not);
        REQUIRE(result.found());
        TablePhoto turned = photo;  // turned by 80 degrees, the blank's bottom left corner is the picture's top left
        std::rotate(turned.corners.begin(), turned.corners.begin() + 3, turned.corners.end());
        CHECK(farthest(result.corners, turned) < kNearEnough);
        CHECK_FALSE(fault_of(result.corners, photo.picture.columns(), photo.picture.rows()));
    }

    TEST_CASE("where half pixels matter a straight sharp blank is found to a third of a pixel") {
        Scene scene = white_table();
        scene.grain = 0;
        scene.noise = 0.002;
        scene.shadow = 0;
        scene.turn_deg = 7;
        PlacedBlank blank = blank_of(Dye::plain, kDyed, 240, 700);
        blank.curl_mm = 0.01;
        blank.ragged_mm = 0;
        const TablePhoto photo = table_photo(scene, {blank});
        const BlankCorners result = found_corners(photo.picture);
        REQUIRE(result.found());
        CHECK(farthest(result.corners, photo) * 1000 < 0.33);  // the diagonal is 1000 pixels
    }

    TEST_CASE("a grey card beside the blank does no harm") {
        PlacedBlank blank = blank_of(Dye::bands, kDyed, 240, 860);
        PlacedBlank card = blank;
        card.cloth = Image(4, 4, light_of(119, 119, 119));
        card.width_mm = 85;
        card.length_mm = 120;
        card.x_mm = 240;
        const TablePhoto photo = table_photo(white_table(), {blank, card});
        const BlankCorners result = found_corners(photo.picture);
        CAPTURE(result.why_not);
        REQUIRE(result.found());
        CHECK(farthest(result.corners, photo) < kNearEnough);
    }

    TEST_CASE("two blanks are refused, apart or in line") {
        PlacedBlank blank = blank_of(Dye::fade, kDyed, 240, 860);
        PlacedBlank other = blank;
        other.x_mm = 330;
        blank.x_mm = -140;
        Scene scene = white_table();
        scene.fill = 0.6;
        CHECK(asks_for_corners(found_corners(table_photo(scene, {blank, other}).picture)));
        scene.fill = 0.4;
        PlacedBlank upper = blank_of(Dye::fade, kDyed, 240, 480);
        PlacedBlank lower = upper;
        upper.y_mm = -280;
        lower.y_mm = 280;
        lower.length_mm = 500;
        CHECK(asks_for_corners(found_corners(table_photo(scene, {upper, lower}).picture)));
        PlacedBlank rest = blank_of(Dye::fade, kDyed, 240, 100);  // a swatch, or the blank beyond paint like the table
        rest.y_mm = 30;
        const BlankCorners parted = found_corners(table_photo(scene, {upper, rest}).picture);
        CHECK(asks_for_corners(parted));
        CHECK(parted.why_not.find("in line") != std::string::npos);
    }

    TEST_CASE("a blank cut off by the frame is refused") {
        for (const double shift : {-0.3, 0.15, 0.45}) {
            CAPTURE(shift);
            Scene scene = white_table();
            scene.shift_y = shift;
            CHECK(asks_for_corners(found_corners(table_photo(scene, {blank_of(Dye::dots, kDyed, 240, 860)}).picture)));
            const BlankCorners lengthways =
                found_corners(table_photo(scene, {blank_of(Dye::plain, kDyed, 240, 860)}).picture);
            CHECK(lengthways.why_not.find("cut off") != std::string::npos);
            Scene sideways = white_table();
            sideways.shift_x = shift;
            const TablePhoto photo = table_photo(sideways, {blank_of(Dye::bands, kDyed, 240, 860)});
            const bool cut = std::any_of(photo.corners.begin(), photo.corners.end(),
                                         [&](PhotoPoint p) { return p.x < 0 || p.x > photo.picture.columns(); });
            CHECK((cut ? asks_for_corners(found_corners(photo.picture)) : right_or_refused(photo)));
        }
    }

    TEST_CASE("where there is no blank none is found") {
        CHECK(asks_for_corners(found_corners(Image(1, 1))));
        CHECK(asks_for_corners(found_corners(Image(1, 900, {1, 1, 1}))));
        CHECK(asks_for_corners(found_corners(Image(600, 800))));
        CHECK(asks_for_corners(found_corners(Image(600, 800, {1, 1, 1}))));
        Scene scene;
        scene.grain = 0.05;
        CHECK(asks_for_corners(found_corners(table_photo(scene, {}).picture)));
        PlacedBlank square = blank_of(Dye::plain, kDyed, 300, 300);
        CHECK(asks_for_corners(found_corners(table_photo(scene, {square}).picture)));
        PlacedBlank ribbon = square;
        ribbon.width_mm = 30;
        CHECK(asks_for_corners(found_corners(table_photo(scene, {ribbon}).picture)));
        Random random(4);
        Image noise(600, 800);
        for (LinearRgb& p : noise) p = {random.uniform(), random.uniform(), random.uniform()};
        CHECK(asks_for_corners(found_corners(noise)));
    }

    TEST_CASE("an undyed blank on a white table is found rightly or refused") {
        for (const LinearRgb table : {light_of(236, 235, 232), light_of(243, 239, 230), light_of(243, 237, 224),
                                      light_of(250, 250, 250), light_of(225, 219, 207)})
            for (const Dye dye : {Dye::undyed, Dye::panel})
                for (const double grain : {0.0, 0.03}) {
                    Scene scene = white_table();
                    scene.table = table;
                    scene.grain = grain;
                    scene.turn_deg = 9;
                    scene.light_x = {0.1, 0.11, 0.12};
                    CAPTURE(hex_text(srgb8_from_linear(table)));
                    CAPTURE(static_cast<int>(dye));
                    CAPTURE(grain);
                    CHECK(right_or_refused(table_photo(scene, {blank_of(dye, kDyed, 240, 860)})));
                }
    }

    TEST_CASE("a dark band the colour of the table, or a grey one like a shadow, is not cut off unsaid") {
        for (const LinearRgb band :
             {light_of(42, 40, 44), light_of(52, 48, 58), light_of(190, 188, 184), light_of(170, 170, 170)})
            for (const LinearRgb table : {light_of(42, 40, 44), light_of(236, 235, 232)}) {
                Scene scene = white_table();
                scene.table = table;
                const std::array<LinearRgb, 3> dyes{band, kDyed[1], kDyed[2]};
                CAPTURE(hex_text(srgb8_from_linear(band)));
                CAPTURE(hex_text(srgb8_from_linear(table)));
                if (band == table) continue;  // nothing to be seen there at all
                CHECK(right_or_refused(table_photo(scene, {blank_of(Dye::bands, dyes, 240, 860)})));
                CHECK(right_or_refused(table_photo(scene, {blank_of(Dye::lengthwise, dyes, 240, 860)})));
            }
    }

    TEST_CASE("a strip of waste yarn as wide as the blank is not taken for paint unsaid") {
        for (const double width : {0.9, 0.95, 0.98, 1.0, 1.04})
            for (const double length : {18.0, 35.0, 60.0}) {
                PlacedBlank blank = blank_of(Dye::fade, kDyed, 240, 800);
                blank.waste.width = width;
                blank.waste.length_mm = length;
                CAPTURE(width);
                CAPTURE(length);
                CHECK(right_or_refused(table_photo(white_table(), {blank})));
            }
    }

    TEST_CASE("corners that somebody typed wrong are told apart") {
        const Corners good{{{100, 50}, {300, 60}, {310, 700}, {90, 690}}};
        CHECK_FALSE(fault_of(good, 400, 800));
        const auto says = [](const Corners& corners, const char* words) {
            const std::optional<std::string> fault = fault_of(corners, 400, 800);
            return fault && fault->find(words) != std::string::npos;
        };
        CHECK(says({good[0], good[3], good[2], good[1]}, "anticlockwise"));
        CHECK(says({good[0], good[2], good[1], good[3]}, "cross"));
        CHECK(says({good[0], good[1], good[3], good[2]}, "cross"));
        CHECK(says({good[1], good[2], good[3], good[0]}, "top left"));
        CHECK(says({good[2], good[3], good[0], good[1]}, "top left"));
        CHECK(says({{{10, 10}, {20, 20}, {30, 30}, {40, 40}}}, "line"));
        CHECK(says({{{10, 10}, {10, 10}, {300, 700}, {10, 700}}}, "line"));
        CHECK(says({{{10, 10}, {300, 10}, {60, 60}, {10, 700}}}, "inside"));
        CHECK(says({{{-1, 10}, {300, 10}, {300, 700}, {10, 700}}}, "outside"));
        CHECK(says({{{1, 10}, {300, 10}, {300, 801}, {10, 700}}}, "outside"));
        CHECK(says({{{std::numeric_limits<double>::quiet_NaN(), 10}, {300, 10}, {300, 700}, {10, 700}}}, "numbers"));
    }

    TEST_CASE("a checkerboard in perspective comes out square, within a pixel, and keeps its mean colour") {
        constexpr int kAcross = 4, kAlong = 12, kCell = 25;
        Scene scene = white_table();
        scene.turn_deg = 12;
        scene.tilt_deg = 30;
        scene.tilt_way_deg = 70;
        scene.narrowing = 0.33;
        const LinearRgb white{0.8, 0.7, 0.6}, black{0.05, 0.1, 0.2};
        const cv::Matx33d h = camera(scene, 200, 600), back = h.inv();
        Image photo(scene.height, scene.width, {0.4, 0.4, 0.4});
        constexpr int kFine = 5;
        for (int r = 0; r < scene.height; ++r)
            for (int c = 0; c < scene.width; ++c) {
                LinearRgb sum;
                for (int i = 0; i < kFine * kFine; ++i) {
                    const int row = i / kFine, column = i % kFine;
                    const PhotoPoint p = seen_at(back, c + (column + 0.5) / kFine, r + (row + 0.5) / kFine);
                    const int cell = static_cast<int>(std::floor(p.x / 50) + std::floor(p.y / 50));
                    sum += (cell % 2 == 0 ? white : black) * (1.0 / (kFine * kFine));
                }
                photo(r, c) = sum;
            }
        const Corners corners{seen_at(h, -100, -300), seen_at(h, 100, -300), seen_at(h, 100, 300),
                              seen_at(h, -100, 300)};
        const Image flat = rectified(photo, corners, {.rows = kAlong * kCell, .columns = kAcross * kCell, .margin = 0});
        LinearRgb mean;
        for (const LinearRgb& p : flat) mean += p * (1.0 / static_cast<double>(flat.size()));
        constexpr double kMeanNear = 0.004;  // of white: the board's rim holds parts of the cells beyond it
        CHECK(mean.r == doctest::Approx(0.425).epsilon(kMeanNear / 0.425));
        CHECK(mean.b == doctest::Approx(0.4).epsilon(kMeanNear / 0.4));
        // Every line between two cells, on the middle line of each row and column of cells.
        const auto crossing = [](double a, double b) { return (a - 0.425) / (a - b); };
        double farthest_line = 0;
        for (int cell = 0; cell < kAlong; ++cell)
            for (int line = 1; line < kAcross; ++line) {
                const int r = cell * kCell + kCell / 2;
                double nearest = 99;
                for (int c = (line - 1) * kCell + 6; c < (line + 1) * kCell - 6; ++c) {
                    const double a = flat(r, c).r, b = flat(r, c + 1).r;
                    if ((a - 0.425) * (b - 0.425) < 0)
                        nearest = std::min(nearest, std::abs(c + 0.5 + crossing(a, b) - line * kCell));
                }
                farthest_line = std::max(farthest_line, nearest);
            }
        for (int line = 1; line < kAlong; ++line)
            for (int cell = 0; cell < kAcross; ++cell) {
                const int c = cell * kCell + kCell / 2;
                double nearest = 99;
                for (int r = (line - 1) * kCell + 6; r < (line + 1) * kCell - 6; ++r) {
                    const double a = flat(r, c).r, b = flat(r + 1, c).r;
                    if ((a - 0.425) * (b - 0.425) < 0)
                        nearest = std::min(nearest, std::abs(r + 0.5 + crossing(a, b) - line * kCell));
                }
                farthest_line = std::max(farthest_line, nearest);
            }
        CHECK(farthest_line < 0.3);
        CHECK(flat(2, 2).r > 0.7);  // the top left cell is white, and is so in the photo
    }

    TEST_CASE("made smaller, fine stripes become their mean instead of beating with the pixels") {
        Image stripes(600, 400);
        for (int r = 0; r < 600; ++r)
            for (int c = 0; c < 400; ++c) stripes(r, c) = (c / 2 + r / 2) % 2 == 0 ? LinearRgb{1, 1, 1} : LinearRgb{};
        const Corners corners{{{40, 30}, {350, 45}, {365, 560}, {30, 570}}};
        const Image small = rectified(stripes, corners, {.rows = 31, .columns = 19});
        double low = 1, high = 0;
        for (const LinearRgb& p : small) {
            low = std::min(low, p.g);
            high = std::max(high, p.g);
        }
        CHECK(low > 0.46);
        CHECK(high < 0.54);
    }

    TEST_CASE("the margin leaves out the same width along every edge") {
        // Light is how far from the nearest edge a pixel is.
        Image ramp(500, 200);
        for (int r = 0; r < 500; ++r)
            for (int c = 0; c < 200; ++c) {
                const double d = std::min({r + 0.5, c + 0.5, 499.5 - r, 199.5 - c});
                ramp(r, c) = {d, d, d};
            }
        const Corners whole{{{0, 0}, {200, 0}, {200, 500}, {0, 500}}};
        const Image inner = rectified(ramp, whole, {.rows = 500, .columns = 200, .margin = 0.1});
        CHECK(inner(250, 0).r == doctest::Approx(20.4).epsilon(0.01));  // 0.1 x 200 and half a cell of 160 / 200
        CHECK(inner(0, 100).r == doctest::Approx(20.5).epsilon(0.01));
        CHECK_THROWS_AS(rectified(ramp, whole, {.rows = 0, .columns = 200}), std::logic_error);
        CHECK_THROWS_AS(rectified(ramp, {{{0, 0}, {0, 500}, {200, 500}, {200, 0}}}, {.rows = 9, .columns = 9}),
                        std::logic_error);
    }

    TEST_CASE("the drawn corners show on light and dark, and the top left one is told from the others") {
        const Corners corners{{{100, 80}, {300, 90}, {310, 520}, {95, 510}}};
        for (const double ground : {0.0, 0.02, 0.2, 1.0}) {
            const Image plain(600, 400, {ground, ground, ground});
            const Picture8 drawn = corners_picture(plain, corners);
            REQUIRE(drawn.rows() == 600);
            int lightest = 0, darkest = 255;
            for (int c = 190; c <= 210; ++c)
                for (int r = 78; r <= 92; ++r) {
                    lightest = std::max<int>(lightest, drawn(r, c).g);
                    darkest = std::min<int>(darkest, drawn(r, c).g);
                }
            CHECK(lightest - darkest > 120);
            CHECK(drawn(80, 100).r > drawn(80, 100).g + 100);
            CHECK(drawn(90, 300).r == drawn(90, 300).g);
        }
        CHECK(corners_picture(Image(600, 400), corners, 300).rows() == 300);
    }
}
