#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <map>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "base/temporary_folder.h"
#include "cli/program.h"
#include "cli/side_pair.h"
#include "loopread/base/text.h"
#include "loopread/colour/difference.h"
#include "loopread/photo/write.h"
#include "loopread/yarn/file.h"

using namespace loopread;
using namespace loopread::program_test;
namespace fs = std::filesystem;
using Json = nlohmann::json;

namespace {

// What a photo whose lattice is found by colours alone tells: over six drawn pairs misses stayed within 0.06.
constexpr double kPenetrationWithin = 0.08;
constexpr double kSharply = 0.03;  // where the lattice is the other photo's own

/// Photos that several tests look at, drawn once.
const Image& photo(const side_pair::Recipe& recipe, Side side, double turn_deg) {
    static std::map<std::string, Image> drawn;
    const std::string key = std::to_string(recipe.design) + " " + std::to_string(recipe.wrap) + " " +
                            std::to_string(recipe.penetration) + " " + std::to_string(recipe.painted == side) + " " +
                            std::to_string(side == Side::face) + " " + std::to_string(turn_deg);
    if (!drawn.contains(key)) drawn[key] = side_pair::side_photo(recipe, side, turn_deg).picture;
    return drawn[key];
}

class TwoPhotos {
public:
    std::string file(const std::string& name, const Image& picture) {
        return folder_.file(name, png_bytes(encoded(picture))).string();
    }
    Json unravelled(const std::string& painted, const std::string& other, const std::vector<std::string>& more = {}) {
        std::vector<std::string> arguments = {"unravel", painted, "--treat-as=photo", "--strands=1",
                                              "--json",  "-o",    out().string()};
        const auto sized = [](const std::string& option) { return option.rfind("--size=", 0) == 0; };
        if (std::none_of(more.begin(), more.end(), sized)) arguments.emplace_back("--size=15x30cm");
        if (!other.empty()) arguments.push_back("--other-side=" + other);
        arguments.insert(arguments.end(), more.begin(), more.end());
        const Outcome outcome = program(arguments);
        CAPTURE(outcome.err);
        REQUIRE(outcome.code == kDone);
        return Json::parse(outcome.out);
    }
    fs::path out() const { return folder_ / "out"; }
    const TemporaryFolder& folder() const { return folder_; }

private:
    TemporaryFolder folder_;
};

bool listed(const Json& list, const std::string& words) {
    return std::any_of(list.begin(), list.end(), [&](const Json& line) { return has(line.get<std::string>(), words); });
}

const side_pair::Recipe kUsual;  // knit side painted, wrap 0.7, penetration 0.3

}  // namespace

TEST_SUITE("cli") {
    TEST_CASE("two photos of one blank tell how far the dye went, whichever way it was turned over") {
        TwoPhotos two;
        const std::string painted = two.file("painted.png", photo(kUsual, Side::face, 3));
        for (const double turn : {-2.0, 178.0}) {
            const Json summary = two.unravelled(painted, two.file("other.png", photo(kUsual, Side::back, turn)));
            const Json& told = summary["show_through"];
            CHECK(told["turned_over"] == (turn < 0 ? "like a page" : "end over end"));
            CHECK(told["agreement"] == "agree");
            CHECK(std::abs(told["penetration"].get<double>() - kUsual.penetration) < kPenetrationWithin);
            CHECK(told["penetration_range"][0].get<double>() <= kUsual.penetration);
            CHECK(told["penetration_range"][1].get<double>() >= kUsual.penetration);
            CHECK(told["lightness_difference"].get<double>() < -20);
            CHECK(told["light_matched"] == true);
            CHECK(listed(summary["assumed"], "as these two photos tell it"));
            CHECK(bytes_of(two.out() / "other-corners.png").rfind("\x89PNG", 0) == 0);
        }
    }

    TEST_CASE("dye that went further is told to have gone further") {
        TwoPhotos two;
        side_pair::Recipe deep = kUsual;
        deep.penetration = 0.6;
        const std::string painted = two.file("painted.png", photo(kUsual, Side::face, 3));
        const Json told = two.unravelled(painted, two.file("other.png", photo(deep, Side::back, -2)))["show_through"];
        CHECK(std::abs(told["penetration"].get<double>() - 0.6) < kPenetrationWithin);
    }

    TEST_CASE("painted on the purl side the count is the other photo's, and both figures come back") {
        TwoPhotos two;
        side_pair::Recipe purl = kUsual;
        purl.painted = Side::back;
        purl.exposure = 0.85;
        const std::string painted = two.file("painted.png", photo(purl, Side::back, 3));
        const std::string other = two.file("other.png", photo(purl, Side::face, 182));
        const Json summary = two.unravelled(painted, other, {"--painted=back"});
        CHECK(summary["blank"]["stitches"] == purl.stitches);
        CHECK(summary["blank"]["rows"] == purl.rows);
        CHECK(listed(summary["assumed"], "counted in the photo of the other side"));
        CHECK(summary["show_through"]["turned_over"] == "end over end");
        CHECK(std::abs(summary["show_through"]["wrap"].get<double>() - purl.wrap) < kSharply);
        CHECK(std::abs(summary["show_through"]["penetration"].get<double>() - purl.penetration) < kSharply);
        const Json alone = two.unravelled(painted, "", {"--painted=back"});
        CHECK(listed(alone["warnings"], "could not be counted"));
    }

    TEST_CASE("another blank is left out, with a warning, and the yarn is that of one photo") {
        TwoPhotos two;
        side_pair::Recipe foreign = kUsual;
        foreign.design = 9;
        const std::string painted = two.file("painted.png", photo(kUsual, Side::face, 3));
        const Json summary = two.unravelled(painted, two.file("other.png", photo(foreign, Side::back, -2)));
        CHECK(listed(summary["warnings"], "another blank"));
        CHECK_FALSE(summary.contains("show_through"));
        const std::string with = bytes_of(two.out() / "yarn.csv");
        two.unravelled(painted, "");
        CHECK(with == bytes_of(two.out() / "yarn.csv"));
    }

    TEST_CASE("what was measured is kept for the yarn and read by every command, typed figures going before it") {
        TwoPhotos two;
        const std::string painted = two.file("painted.png", photo(kUsual, Side::face, 3));
        const std::string other = two.file("other.png", photo(kUsual, Side::back, -2));
        const std::string base = (two.folder() / "base.toml").string();
        const Json told = two.unravelled(painted, other, {"--save-base=" + base})["show_through"];
        const std::string text = bytes_of(base);
        CHECK(has(text, "penetration = "));
        CHECK(has(text, "painted.png"));
        CHECK_FALSE(has(text, two.folder().path().string()));  // names only
        CHECK(has(text, "wrap: cannot tell") == told["wrap"].is_string());
        const std::string penetration = number_text(told["penetration"].get<double>(), 2);
        const std::string picture = LOOPREAD_SAMPLES "/tide-lines.png";
        const auto assumed = [&](const std::vector<std::string>& arguments) {
            const Outcome outcome = program(arguments);
            CAPTURE(outcome.err);
            REQUIRE(outcome.code == kDone);
            return Json::parse(outcome.out)["assumed"];
        };
        const std::string cloth = (two.folder() / "cloth.png").string(), folder = (two.folder() / "pooled").string();
        for (const std::vector<std::string>& command :
             {std::vector<std::string>{"knit", picture, "--json", "--rounds=20", "--base=" + base, "-o", cloth},
              {"pooling", picture, "--json", "--counts=60-61", "--knitters=2", "--base=" + base, "-o", folder}}) {
            CHECK(listed(assumed(command), "penetration, measured on"));
            CHECK(listed(assumed(command), "dye reached " + penetration));
        }
        const Json typed =
            assumed({"knit", picture, "--json", "--rounds=20", "--base=" + base, "--penetration=0.9", "-o", cloth});
        CHECK_FALSE(listed(typed, "penetration"));
    }

    TEST_CASE("a base that is none, and one asked for of a single photo, are refused") {
        TwoPhotos two;
        const std::string picture = LOOPREAD_SAMPLES "/tide-lines.png", out = two.out().string();
        const std::string empty = two.folder().file("empty.toml", "when = '2025-01-01'\n").string();
        const std::string wild = two.folder().file("wild.toml", "wrap = 7\n").string();
        const std::string broken = two.folder().file("broken.toml", "wrap = = 0.7\n").string();
        for (const std::string& file : {empty, wild, broken, two.folder().path().string() + "/none.toml"})
            check_refused(two.folder(), {"unravel", picture, "--base=" + file, "-o", out},
                          {kInput, fs::path(file).filename().string()});
        check_refused(two.folder(), {"unravel", picture, "--save-base=" + empty, "-o", out}, {kUsage, "--save-base"});
    }

    TEST_CASE(
        "an other side that shows no blank, or corners of it that make no sense, are refused by their own names") {
        TwoPhotos two;
        const std::string painted = two.file("painted.png", photo(kUsual, Side::face, 3)), out = two.out().string();
        const auto refused = [&](const std::string& other, const std::vector<std::string>& more, int code,
                                 const std::string& told) {
            std::vector<std::string> arguments = {"unravel", painted, "--treat-as=photo", "--other-side=" + other,
                                                  "-o",      out};
            arguments.insert(arguments.end(), more.begin(), more.end());
            check_refused(two.folder(), arguments, {code, told});
        };
        for (const Image& nothing : {Image(300, 200), Image(1, 1), Image(300, 200, {0.4, 0.4, 0.4})})
            refused(two.file("nothing.png", nothing), {}, kInput, "--other-corners");
        const std::string other = two.file("other.png", photo(kUsual, Side::back, -2));
        refused(other, {"--other-corners=520,80,80,90,540,950,100,970"}, kUsage, "--other-corners");
        refused(other, {"--other-corners=80,90,200,90,300,90,400,90"}, kUsage, "--other-corners");
        refused(other, {"--other-corners=80,90,200"}, kUsage, "--other-corners");
        refused(other, {"--other-white=5000,10,20,20"}, kUsage, "--other-white");
        refused(two.file("cut.png", turned(Image(photo(kUsual, Side::back, -2)), QuarterTurn::none)),
                {"--other-corners=-900,90,200,90,300,900,100,900"}, kUsage, "--other-corners");
        check_refused(two.folder(), {"unravel", painted, "--treat-as=photo", "--other-corners=picture", "-o", out},
                      {kUsage, "--other-corners: needs --other-side"});
        // Cut off at the frame, and two blanks side by side.
        const Image& whole = photo(kUsual, Side::back, -2);
        Image cut(whole.rows(), whole.columns() / 2), twice(whole.rows(), 2 * whole.columns());
        for (int r = 0; r < whole.rows(); ++r)
            for (int c = 0; c < whole.columns(); ++c) {
                if (c < cut.columns()) cut(r, c) = whole(r, c);
                twice(r, c) = twice(r, c + whole.columns()) = whole(r, c);
            }
        refused(two.file("half.png", cut), {}, kInput, "--other-corners");
        refused(two.file("twice.png", twice), {}, kInput, "--other-corners");
    }

    TEST_CASE("stitches counted in 10 cm give the blank, and what the photo shows otherwise is told") {
        TwoPhotos two;
        const std::string painted = two.file("painted.png", photo(kUsual, Side::face, 3));
        const Json right = two.unravelled(painted, "", {"--counted=20x26"});
        CHECK(right["blank"]["stitches"] == 30);
        CHECK(right["blank"]["rows"] == 78);
        CHECK_FALSE(listed(right["warnings"], "--counted"));
        const Json wrong = two.unravelled(painted, "", {"--counted=24x26"});
        CHECK(wrong["blank"]["stitches"] == 36);
        CHECK(listed(wrong["warnings"], "--counted 24x26"));
        const std::string design = LOOPREAD_SAMPLES "/tide-lines.png", out = two.out().string();
        const Outcome sized = program({"unravel", design, "--json", "--counted=19x25", "--size=24x86cm", "-o", out});
        REQUIRE(sized.code == kDone);
        CHECK(Json::parse(sized.out)["blank"]["stitches"] == 46);  // 24 cm x 19 in 10 cm = 45.6
        CHECK(Json::parse(sized.out)["blank"]["rows"] == 215);
        fs::remove_all(two.out());
        check_refused(two.folder(), {"unravel", design, "--counted=19x25", "-o", out}, {kUsage, "--size"});
        check_refused(two.folder(), {"unravel", design, "--counted=19", "-o", out}, {kUsage, "--counted"});
        check_refused(two.folder(), {"unravel", design, "--counted=19x-3", "-o", out}, {kUsage, "--counted"});
    }

    TEST_CASE("a density that no sock yarn is knitted at is doubted and never changed") {
        TwoPhotos two;
        const std::string painted = two.file("painted.png", photo(kUsual, Side::face, 3));
        const Json twice = two.unravelled(painted, "", {"--size=30x60cm"});
        CHECK(listed(twice["warnings"], "look unlikely"));
        CHECK(twice["blank"]["stitches"] == 30);
        CHECK(twice["blank"]["width_cm"].get<double>() == doctest::Approx(30));
        CHECK_FALSE(listed(two.unravelled(painted, "")["warnings"], "look unlikely"));
    }

    TEST_CASE("a dipped blank read as undyed is asked about its ground, an undyed one is not") {
        TwoPhotos two;
        const auto warned = [&](const std::vector<std::string>& more) {
            std::vector<std::string> arguments = {
                "unravel", LOOPREAD_SAMPLES "/harbour-photo.jpg", "--json", "--size=24x86cm", "-o", two.out().string()};
            arguments.insert(arguments.end(), more.begin(), more.end());
            const Outcome outcome = program(arguments);
            REQUIRE(outcome.code == kDone);
            return listed(Json::parse(outcome.out)["warnings"], "--ground auto");
        };
        CHECK(warned({}));
        CHECK_FALSE(warned({"--ground=auto"}));
        const std::string painted = two.file("painted.png", photo(kUsual, Side::face, 3));
        CHECK_FALSE(listed(two.unravelled(painted, "")["warnings"], "--ground auto"));
    }

    TEST_CASE("half a stitch that curls along every edge hardly changes what is read of the outermost stitches") {
        constexpr double kMean = 0.4, kWorst = 3;  // CIEDE2000; read to the very edge it would be 0.9 and 7
        TwoPhotos two;
        side_pair::Recipe curled = kUsual;
        curled.curl_mm = 2.5;  // a stitch is 5 mm wide
        const auto outermost = [&](const std::string& name, const Image& picture) {
            const Json summary = two.unravelled(two.file(name, picture), "");
            CHECK(summary["blank"]["stitches"] == kUsual.stitches);
            std::vector<Lab> colours;
            const auto strands = parsed_yarn_csv(bytes_of(two.out() / "yarn.csv"), "yarn.csv");
            for (const Piece& piece : strands.front().pieces())
                if (piece.wale == 0 || piece.wale == kUsual.stitches - 1)
                    colours.push_back(lab_from_linear(piece.colour));
            return colours;
        };
        const std::vector<Lab> flat = outermost("flat.png", photo(kUsual, Side::face, 3));
        const std::vector<Lab> curly = outermost("curled.png", side_pair::side_photo(curled, Side::face, 3).picture);
        REQUIRE(flat.size() == curly.size());
        double mean = 0, worst = 0;
        for (std::size_t i = 0; i < flat.size(); ++i) {
            const double off = delta_e_2000(flat[i], curly[i]);
            mean += off / static_cast<double>(flat.size());
            worst = std::max(worst, off);
        }
        CHECK(mean < kMean);
        CHECK(worst < kWorst);
    }
}
