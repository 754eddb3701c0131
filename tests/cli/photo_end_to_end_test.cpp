#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>
#include <vector>

#include "cli/p3_photo.h"
#include "cli/program.h"
#include "loopread/colour/difference.h"
#include "loopread/photo/corners.h"
#include "loopread/photo/read.h"

using namespace loopread;
using namespace loopread::program_test;
using namespace loopread::p3_photos;
using Json = nlohmann::json;

namespace {

constexpr int kStitches = 46, kRows = 214;
constexpr double kWidth = 240, kLength = 860;  // mm
constexpr int kPhotoWidth = 1900, kPhotoHeight = 3700;

constexpr double kCornersOff = 0.005;  // of the diagonal: what may be asked of corners found
constexpr double kCountOff = 0.01;     // of all stitches, and of all rows
constexpr double kOwnShare = 0.5;      // of a stitch's own colour: read half a stitch off it has as much of another's
constexpr double kColourOff = 3;       // CIEDE2000, of areas of one colour
constexpr double kInverted = 1e-9;     // mm: the way back undoes the way there

const LinearRgb kUndyed = linear_from_srgb8({0xd2, 0xca, 0xba});
const LinearRgb kMark = linear_from_srgb8({0x9c, 0x3a, 0x2c});

/// An area of one colour without marks, in stitches and rows.
struct Plain {
    int stitch, row, stitches, rows;
    LinearRgb colour;
};
const std::vector<Plain>& plain_areas() {
    static const std::vector<Plain> areas = {
        {4, 14, 12, 20, linear_from_srgb8({0x2b, 0x6f, 0x86})},
        {28, 40, 12, 20, linear_from_srgb8({0xb8, 0x2f, 0x3c})},
        {8, 80, 12, 20, linear_from_srgb8({0xc9, 0x9a, 0x2e})},
        {26, 112, 12, 20, linear_from_srgb8({0x5c, 0x8a, 0x3e})},
        {6, 150, 12, 20, linear_from_srgb8({0x7a, 0x4a, 0x86})},
        {28, 180, 12, 20, kUndyed},
    };
    return areas;
}

const Plain* plain_at(int stitch, int row) {
    for (const Plain& area : plain_areas())
        if (stitch >= area.stitch && stitch < area.stitch + area.stitches && row >= area.row &&
            row < area.row + area.rows)
            return &area;
    return nullptr;
}

/// One stitch in eight, by chance: read half a stitch off, many are taken for what lies beside them.
bool is_marked(int stitch, int row) {
    return !plain_at(stitch, row) && hashed_unit(4711, stitch, row) < 0.125;
}

LinearRgb dye_of(int stitch, int row) {
    if (const Plain* area = plain_at(stitch, row)) return area->colour;
    return is_marked(stitch, row) ? kMark : kUndyed;
}

Image dyed_cloth() {
    Cloth cloth(kRows, kStitches, 1);
    for (int r = 0; r < kRows; ++r)
        for (int k = 0; k < kStitches; ++k) {
            cloth.set_worked(r, k);
            std::fill_n(cloth.loop(r, k, 0), Cloth::kPlaces, dye_of(k, r));
        }
    ClothLook look;
    look.wale_per_course = (kWidth / kStitches) / (kLength / kRows);
    look.pixels_per_stitch = 22;
    return drawn_cloth(cloth, LoopShape(LoopProportions{}), look);
}

/// Turned by two degrees, the near end a sixth larger than the far one.
Sight sight() {
    const double scale = 3.4, turn = 0.035;
    return {{{{scale * std::cos(turn), -scale * std::sin(turn), 0.52 * kPhotoWidth},
              {scale * std::sin(turn), scale * std::cos(turn), 0.49 * kPhotoHeight},
              {0.00004, -0.00016, 1}}},
            {kWidth, kLength},
            {.swing = 4, .waist = 3, .sag = 3}};
}

P3Scene scene() {
    P3Scene scene;
    scene.width = kPhotoWidth;
    scene.height = kPhotoHeight;
    scene.card_mm = {-205, -60, -145, 20};
    return scene;
}

/// The upright box well inside the card, as somebody would give it.
std::string white_of(const P3Scene& scene, const Sight& sight) {
    const Box& card = scene.card_mm;
    const Spot a = sight.table_seen({card.left, card.top}), b = sight.table_seen({card.right, card.top});
    const Spot c = sight.table_seen({card.right, card.bottom}), d = sight.table_seen({card.left, card.bottom});
    constexpr int kInside = 20;  // pixels
    const int left = static_cast<int>(std::max(a.x, d.x)) + kInside,
              top = static_cast<int>(std::max(a.y, b.y)) + kInside;
    const int right = static_cast<int>(std::min(b.x, c.x)) - kInside,
              bottom = static_cast<int>(std::min(c.y, d.y)) - kInside;
    return "--white=" + std::to_string(left) + "," + std::to_string(top) + "," + std::to_string(right - left) + "," +
           std::to_string(bottom - top);
}

/// The legs of every stitch in a yarn.csv, rows x stitches: the mean of its strands, weighted by length.
Image legs_of(const std::string& yarn) {
    Image sums(kRows, kStitches);
    Plane lengths(kRows, kStitches);
    std::istringstream lines(yarn);
    std::string line;
    std::getline(lines, line);
    REQUIRE(line == "strand,start_mm,length_mm,course,wale,part,L,a,b,hex");
    while (std::getline(lines, line)) {
        std::vector<std::string> fields;
        std::istringstream row(line);
        for (std::string field; std::getline(row, field, ',');) fields.push_back(field);
        fields.resize(10);
        if (fields[5].rfind("leg", 0) != 0) continue;
        const int course = std::stoi(fields[3]), wale = std::stoi(fields[4]);
        const double length = std::stod(fields[2]);
        sums(course, wale) +=
            linear_from_lab({std::stod(fields[6]), std::stod(fields[7]), std::stod(fields[8])}) * length;
        lengths(course, wale) += length;
    }
    for (int r = 0; r < kRows; ++r)
        for (int k = 0; k < kStitches; ++k) sums(r, k) = sums(r, k) * (1 / lengths(r, k));
    return sums;
}

/// The part of the mark's colour in a stitch that is either marked or undyed.
double mark_share(LinearRgb seen) {
    const LinearRgb to{kMark.r - kUndyed.r, kMark.g - kUndyed.g, kMark.b - kUndyed.b};
    return ((seen.r - kUndyed.r) * to.r + (seen.g - kUndyed.g) * to.g + (seen.b - kUndyed.b) * to.b) /
           (to.r * to.r + to.g * to.g + to.b * to.b);
}

/// A stitch is told from the one beside it where it carries a mark and the other does not.
int stitches_misread(const Image& legs) {
    int misread = 0;
    for (int r = 0; r < kRows; ++r)
        for (int k = 0; k < kStitches; ++k)
            if (!plain_at(k, r) && (mark_share(legs(r, k)) > kOwnShare) != is_marked(k, r)) ++misread;
    return misread;
}

/// CIEDE2000 between an area as read, two stitches inside its edge, and as dyed.
double off_colour(const Image& legs, const Plain& area) {
    constexpr int kInside = 2;
    LinearRgb sum;
    int count = 0;
    for (int r = area.row + kInside; r < area.row + area.rows - kInside; ++r)
        for (int k = area.stitch + kInside; k < area.stitch + area.stitches - kInside; ++k, ++count) sum += legs(r, k);
    return delta_e_2000(lab_from_linear(sum * (1.0 / count)), lab_from_linear(area.colour));
}

double worst_colour(const Image& legs) {
    double worst = 0;
    for (const Plain& area : plain_areas()) worst = std::max(worst, off_colour(legs, area));
    return worst;
}

/// The one photo of all the tests.
class PhotoFile {
public:
    PhotoFile() : file_(folder_.file("photo.jpg", p3_photo(scene(), sight(), dyed_cloth()))) {}

    const std::filesystem::path& file() const { return file_; }
    Json told(const std::vector<std::string>& arguments) const {
        const Outcome outcome = program(arguments);
        CAPTURE(outcome.err);
        REQUIRE(outcome.code == kDone);
        return Json::parse(outcome.out);
    }
    /// All of a loop is dyed in the picture, so all of it is to be read.
    Image legs_unravelled(std::vector<std::string> more) const {
        const std::filesystem::path out = folder_ / "out";
        std::vector<std::string> arguments = {
            "unravel", file_.string(), "--size=24x86cm", "--undyed=#d2caba", "--penetration=1",
            "--json",  "-o",           out.string()};
        arguments.insert(arguments.end(), more.begin(), more.end());
        const Json summary = told(arguments);
        REQUIRE(summary["blank"]["stitches"] == kStitches);
        REQUIRE(summary["blank"]["rows"] == kRows);
        return legs_of(bytes_of(out / "yarn.csv"));
    }

private:
    TemporaryFolder folder_;
    std::filesystem::path file_;
};

const PhotoFile& photo() {
    static const PhotoFile photo;
    return photo;
}

}  // namespace

TEST_SUITE("cli") {
    TEST_CASE("the way from a blank to its made-up photo and back ends where it began") {
        const Sight made = sight();
        for (const double x : {-1.0, -0.3, 0.6, 1.0})
            for (const double y : {-1.0, -0.2, 0.7, 1.0}) {
                const Spot place{x * kWidth / 2, y * kLength / 2};
                const Spot back = made.on_blank(made.seen(place));
                CHECK(std::hypot(back.x - place.x, back.y - place.y) < kInverted);
            }
        const LinearRgb white = p3_from_srgb({1, 1, 1});  // D65 is white in both
        CHECK(std::max({std::abs(white.r - 1), std::abs(white.g - 1), std::abs(white.b - 1)}) < kInverted);
    }

    TEST_CASE("the corners of a blank photographed in Display P3 are found within half a percent of its diagonal") {
        constexpr int kShrink = 2;
        PictureRequest request;
        request.shrink = kShrink;
        const BlankCorners found = found_corners(read_picture(photo().file(), request));
        REQUIRE_MESSAGE(found.found(), found.why_not);
        const Sight made = sight();
        const double x = kWidth / 2, y = kLength / 2;
        const std::array<Spot, 4> corners = {made.seen({-x, -y}), made.seen({x, -y}), made.seen({x, y}),
                                             made.seen({-x, y})};
        const double diagonal = std::hypot(corners[2].x - corners[0].x, corners[2].y - corners[0].y);
        for (std::size_t i = 0; i < 4; ++i) {
            CAPTURE(i);
            CHECK(std::hypot(kShrink * found.corners[i].x - corners[i].x, kShrink * found.corners[i].y - corners[i].y) <
                  kCornersOff * diagonal);
        }
    }

    TEST_CASE("stitches and rows of a blank photographed in Display P3 are counted within one percent") {
        const Json count = photo().told({"count", photo().file().string(), "--json"});
        CHECK(std::abs(count["stitches"].get<int>() - kStitches) <= kCountOff * kStitches);
        CHECK(std::abs(count["rows"].get<int>() - kRows) <= kCountOff * kRows);
    }

    TEST_CASE("a bowed blank in a slanting photo is read with every stitch in its place and its colours as dyed") {
        const Image legs = photo().legs_unravelled({white_of(scene(), sight())});
        CHECK(stitches_misread(legs) == 0);
        for (const Plain& area : plain_areas()) {
            CAPTURE(area.row);
            CHECK(off_colour(legs, area) < kColourOff);
        }
        // it is the card that does it
        CHECK(worst_colour(photo().legs_unravelled({})) > kColourOff);
    }
}
