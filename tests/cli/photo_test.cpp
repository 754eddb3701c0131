#include <doctest/doctest.h>

#include <cmath>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "base/temporary_folder.h"
#include "cli/program.h"
#include "loopread/photo/write.h"
#include "photo/table_photo.h"

using namespace loopread;
using namespace loopread::program_test;
namespace fs = std::filesystem;
using Json = nlohmann::json;

namespace {

constexpr int kStitches = 30, kRows = 90;

/// A photo of a small blank on a dark table, somewhat from the side.
table_photos::TablePhoto photo_of(table_photos::Dye dye) {
    const std::array<LinearRgb, 3> dyes = {table_photos::light_of(40, 90, 120), table_photos::light_of(200, 70, 90),
                                           table_photos::light_of(230, 180, 60)};
    table_photos::PlacedBlank blank;
    blank.width_mm = 150;
    blank.length_mm = 345;
    blank.curl_mm = 0.5;
    blank.ragged_mm = 0.3;
    blank.cloth = table_photos::knitted_picture(dye, table_photos::kCream, dyes, kStitches, kRows, 16);
    table_photos::Scene scene;
    scene.width = 620;
    scene.height = 1150;
    scene.table = table_photos::light_of(60, 48, 40);
    scene.turn_deg = 3;
    scene.tilt_deg = 8;
    scene.noise = 0.006;
    scene.shadow = 0.2;
    return table_photos::table_photo(scene, {blank});
}

std::string corners_text(const Corners& corners) {
    std::string text;
    for (const PhotoPoint& corner : corners)
        text += (text.empty() ? "" : ",") + std::to_string(corner.x) + "," + std::to_string(corner.y);
    return text;
}

class Table {
public:
    std::string photo(table_photos::Dye dye) {
        photo_ = photo_of(dye);
        return folder_.file("photo.png", png_bytes(encoded(photo_.picture))).string();
    }
    const Corners& corners() const { return photo_.corners; }
    std::string picture(const Image& image) { return folder_.file("picture.png", png_bytes(encoded(image))).string(); }
    Json counted(const std::string& photo, const std::vector<std::string>& more) const {
        std::vector<std::string> arguments = {"count", photo, "--json"};
        arguments.insert(arguments.end(), more.begin(), more.end());
        const Outcome outcome = program(arguments);
        CAPTURE(outcome.err);
        REQUIRE(outcome.code == kDone);
        return Json::parse(outcome.out);
    }
    Json unravelled(const std::string& photo, const std::vector<std::string>& more) const {
        std::vector<std::string> arguments = {"unravel", photo, "--treat-as=photo",
                                              "--json",  "-o",  (folder_ / "out").string()};
        arguments.insert(arguments.end(), more.begin(), more.end());
        const Outcome outcome = program(arguments);
        CAPTURE(outcome.err);
        REQUIRE(outcome.code == kDone);
        return Json::parse(outcome.out);
    }
    const TemporaryFolder& folder() const { return folder_; }

private:
    TemporaryFolder folder_;
    table_photos::TablePhoto photo_;
};

bool listed(const Json& list, const std::string& words) {
    for (const Json& line : list)
        if (has(line.get<std::string>(), words)) return true;
    return false;
}

}  // namespace

TEST_SUITE("cli") {
    TEST_CASE("a blank on a table is found and its stitches and rows are counted within one percent") {
        Table table;
        for (const auto dye : {table_photos::Dye::undyed, table_photos::Dye::dots}) {
            const Json count = table.counted(table.photo(dye), {"--size=15x34.5cm"});
            CHECK(std::abs(count["stitches"].get<int>() - kStitches) <= 0.01 * kStitches);
            CHECK(std::abs(count["rows"].get<int>() - kRows) <= 0.01 * kRows);
            CHECK(count["confidence"].get<double>() > 0.5);
            CHECK(count["in_10_cm"]["stitches"].get<double>() == doctest::Approx(20).epsilon(0.02));
        }
    }

    TEST_CASE("a photo unravels by its own count, says so, and shows what was taken for the blank") {
        Table table;
        const Json summary = table.unravelled(table.photo(table_photos::Dye::bands), {});
        CHECK(summary["blank"]["stitches"] == kStitches);
        CHECK(summary["blank"]["rows"] == kRows);
        CHECK(listed(summary["assumed"], "counted in the photo"));
        CHECK(listed(summary["assumed"], "corners were found"));
        CHECK(bytes_of(table.folder() / "out/corners.png").rfind("\x89PNG", 0) == 0);
    }

    TEST_CASE("corners typed in go before corners found, and a count given by hand is compared") {
        Table table;
        const std::string photo = table.photo(table_photos::Dye::bands);
        const Json typed = table.unravelled(photo, {"--corners=" + corners_text(table.corners()), "--blank=30x90"});
        CHECK_FALSE(listed(typed["assumed"], "corners were found"));
        CHECK_FALSE(listed(typed["warnings"], "--blank says"));
        const Json wrong = table.unravelled(photo, {"--blank=36x90"});
        CHECK(wrong["blank"]["stitches"] == 36);
        CHECK(listed(wrong["warnings"], "--blank says 36x90"));
    }

    TEST_CASE("a ravel edge at the end to which the V's do not open is doubted") {
        Table table;
        const std::string photo = table.photo(table_photos::Dye::undyed);
        CHECK_FALSE(listed(table.unravelled(photo, {})["warnings"], "--ravel-edge"));
        CHECK(listed(table.unravelled(photo, {"--ravel-edge=bottom"})["warnings"], "--ravel-edge"));
    }

    TEST_CASE("the picture of the other side comes apart where the photo does") {
        Table table;
        const std::string photo = table.photo(table_photos::Dye::undyed);
        Image other(400, 200, {0.7, 0.05, 0.05});  // red at the top, blue below
        for (int y = 200; y < 400; ++y)
            for (int x = 0; x < 200; ++x) other(y, x) = {0.05, 0.05, 0.7};
        const std::string back = table.picture(other);
        table.unravelled(photo, {"--ravel-edge=bottom", "--other-side=" + back, "--other-corners=picture"});
        const std::string yarn = bytes_of(table.folder() / "out/yarn.csv");
        const std::string first = yarn.substr(yarn.find('\n') + 1, 400);
        const auto b_of = [](const std::string& row) {  // strand,start,length,course,wale,part,L,a,b,hex
            std::string rest = row;
            for (int i = 0; i < 8; ++i) rest = rest.substr(rest.find(',') + 1);
            return std::stod(rest);
        };
        CHECK(b_of(first) < 0);  // the arcs that come off first are blue
    }

    TEST_CASE("an undyed blank in a photo comes out as yarn of one colour") {
        Table table;
        const std::string photo = table.photo(table_photos::Dye::undyed);
        const Outcome outcome = program({"knit", photo, "--treat-as=photo", "--stitches=32", "--json", "-o",
                                         (table.folder() / "fabric.png").string()});
        CAPTURE(outcome.err);
        REQUIRE(outcome.code == kDone);
        CHECK(Json::parse(outcome.out)["look"]["colour_range"].get<double>() < 3);
    }

    TEST_CASE("corners that make no sense, a wrong ravel edge and options of a photo for a design are refused") {
        Table table;
        const std::string photo = table.photo(table_photos::Dye::bands), out = (table.folder() / "out").string();
        const Corners c = table.corners();
        const auto refused = [&](const std::vector<std::string>& more, int code, const std::string& told) {
            std::vector<std::string> arguments = {"unravel", photo, "-o", out};
            arguments.insert(arguments.end(), more.begin(), more.end());
            check_refused(table.folder(), arguments, {code, told});
        };
        const auto corners = [](const Corners& typed) { return "--corners=" + corners_text(typed); };
        const std::string as_photo = "--treat-as=photo";
        refused({as_photo, corners({c[1], c[0], c[2], c[3]})}, kUsage, "--corners");
        refused({as_photo, corners({c[0], c[1], c[1], c[3]})}, kUsage, "--corners");
        refused({as_photo, corners({c[0], {5000, 10}, c[2], c[3]})}, kUsage, "--corners");
        refused({as_photo, "--corners=1,2,3"}, kUsage, "--corners");
        refused({as_photo, "--white=1,2"}, kUsage, "--white");
        refused({as_photo, "--white=5000,5000,10,10"}, kUsage, "--white");
        refused({as_photo, "--ravel-edge=left"}, kUsage, "--ravel-edge");
        refused({"--treat-as=design", "--corners=picture"}, kUsage, "--corners");
    }

    TEST_CASE("pictures that show no blank are refused and ask for corners") {
        Table table;
        const std::string out = (table.folder() / "out").string();
        for (const Image& picture : {Image(300, 200), Image(1, 1), Image(300, 200, {0.4, 0.4, 0.4})})
            check_refused(table.folder(), {"unravel", table.picture(picture), "--treat-as=photo", "-o", out},
                          {kInput, "--corners"});
    }

    TEST_CASE("a picture without stitches is read without a count, which is said") {
        Table table;
        const Json summary = table.unravelled(table.picture(Image(400, 120, {0.4, 0.2, 0.2})), {"--corners=picture"});
        CHECK(listed(summary["warnings"], "could not be counted"));
        CHECK(listed(summary["assumed"], "46 stitches x 214 rows (not measured)"));
    }

    TEST_CASE("a count given by hand that is far off does not hide what the photo shows") {
        Table table;
        const Json summary = table.unravelled(table.photo(table_photos::Dye::bands), {"--blank=60x180"});
        CHECK(listed(summary["warnings"], "--blank says 60x180, the photo shows 30x90"));
    }

    TEST_CASE("a picture too small to be a blank's photo is refused though it is said to be one") {
        Table table;
        const std::string out = (table.folder() / "out").string();
        for (const Image& picture : {Image(1, 1), Image(3000, 2), Image(2, 3000)})
            check_refused(table.folder(), {"unravel", table.picture(picture), "--corners=picture", "-o", out},
                          {kInput, "too small"});
    }

    TEST_CASE("corners that were found are told as they can be typed") {
        Table table;
        const std::string photo = table.photo(table_photos::Dye::bands);
        const Json found = table.unravelled(photo, {});
        std::string typed;
        for (const Json& line : found["assumed"]) {
            const std::string words = line.get<std::string>(), begin = "found in the photo at ";
            if (const auto at = words.find(begin); at != std::string::npos)
                typed = words.substr(at + begin.size(), words.find(' ', at + begin.size()) - at - begin.size());
        }
        const Json again = table.unravelled(photo, {"--corners=" + typed});
        CHECK(again["blank"] == found["blank"]);
    }

    TEST_CASE("light that the camera did not record, and a patch that is no grey, are told of") {
        Table table;
        Image photo = photo_of(table_photos::Dye::undyed).picture;
        const std::string corners = "--corners=" + corners_text(photo_of(table_photos::Dye::undyed).corners);
        const auto warnings = [&](double exposure, const std::vector<std::string>& more) {
            Image exposed = photo;
            for (LinearRgb& pixel : exposed) pixel = pixel * exposure;
            std::vector<std::string> arguments = {corners};
            arguments.insert(arguments.end(), more.begin(), more.end());
            return table.unravelled(table.picture(exposed), arguments)["warnings"];
        };
        const std::string bright = "too bright for the camera", dark = "very dark", coloured = "far from grey";
        CHECK_FALSE(listed(warnings(0.7, {}), bright));
        CHECK_FALSE(listed(warnings(0.7, {}), dark));
        CHECK(listed(warnings(3, {}), bright));
        CHECK(listed(warnings(0.05, {}), dark));
        for (int y = 0; y < 60; ++y)
            for (int x = 0; x < 60; ++x) photo(y, x) = {0.6, 0.2, 0.1};
        CHECK(listed(warnings(1, {"--white=5,5,40,40"}), coloured));
        for (LinearRgb& pixel : photo) pixel = LinearRgb{1, 1, 1} * pixel.g;
        CHECK(listed(warnings(1, {}), "no colours"));
    }
}
