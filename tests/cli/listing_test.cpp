#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <map>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "base/temporary_folder.h"
#include "cli/program.h"
#include "cli/progress.h"
#include "draw/sheet_pixels.h"
#include "loopread/draw/qr.h"
#include "loopread/photo/read.h"
#include "loopread/photo/write.h"
#include "loopread/report/dye_table.h"
#include "photo/picture_files.h"

using namespace loopread;
using namespace loopread::program_test;
namespace fs = std::filesystem;
using Json = nlohmann::ordered_json;

namespace {

const std::string kSamples = LOOPREAD_SAMPLES;
const std::string kAddress = "https://example.org/shop/lanterns?colour=harbour&blank=7";

/// A small blank of 40 m a strand: quick to draw, and a skein of 26 turns.
const std::vector<std::string> kSmall = {"--blank=24x80", "--loop=21mm", "--pixels=200"};

std::vector<std::string> listing(const fs::path& image, const fs::path& into, const std::vector<std::string>& more) {
    std::vector<std::string> arguments = {"listing", image.string(), "-o", into.string()};
    arguments.insert(arguments.end(), kSmall.begin(), kSmall.end());
    arguments.insert(arguments.end(), more.begin(), more.end());
    return arguments;
}

fs::path small_picture(const TemporaryFolder& folder, const std::string& name = "small-blank.png") {
    return folder.file(name, picture_files::pattern_png());
}

std::vector<std::string> names_in(const fs::path& folder) {
    std::vector<std::string> names;
    for (const auto& entry : fs::directory_iterator(folder)) names.push_back(entry.path().filename().string());
    std::sort(names.begin(), names.end());
    return names;
}

struct Listed {
    std::map<std::string, std::string> files;
    Json json;
    std::string text;
};

Listed listed(const TemporaryFolder& folder, const std::vector<std::string>& more) {
    const fs::path into = folder / "out";
    const Outcome outcome = program(listing(small_picture(folder), into, more));
    CAPTURE(outcome.err);
    REQUIRE(outcome.code == kDone);
    Listed result;
    for (const std::string& name : names_in(into)) result.files[name] = bytes_of(into / name);
    result.json = Json::parse(result.files["listing.json"]);
    result.text = result.files["listing.txt"];
    return result;
}

/// What a program of another hand says; empty where it is not installed.
std::string told_by(const std::string& command) {
    std::string told;
    std::FILE* pipe = popen((command + " 2>/dev/null").c_str(), "r");
    if (pipe == nullptr) return told;
    for (int c = std::fgetc(pipe); c != EOF; c = std::fgetc(pipe)) told += static_cast<char>(c);
    pclose(pipe);
    return told;
}

bool there_is(const std::string& tool) {
    return !told_by("command -v " + tool).empty();
}

std::string from_base64(const std::string& text) {
    static const std::string kDigits = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    std::string out;
    unsigned bits = 0;
    int count = 0;
    for (const char c : text) {
        const auto digit = kDigits.find(c);
        if (digit == std::string::npos) break;
        bits = bits << 6 | static_cast<unsigned>(digit);
        if ((count += 6) < 8) continue;
        count -= 8;
        out += static_cast<char>(bits >> count & 255U);
    }
    return out;
}

}  // namespace

TEST_SUITE("cli") {
    TEST_CASE("a blank told from both sides has its other side in the folder and no page that knows one side alone") {
        const TemporaryFolder folder;
        const fs::path other = small_picture(folder, "other-side.png");
        const Listed all = listed(folder, {"--other-side=" + other.string()});
        CHECK(all.files.count("02-other-side.jpg") == 1);
        CHECK(all.files.count("knitter.html") == 0);
        CHECK(all.json["knitter_page"].is_null());
    }

    TEST_CASE("a listing is a folder of pictures in order, text, names and a slip") {
        const TemporaryFolder folder;
        const Listed all = listed(folder, {});
        std::string names;
        for (const auto& [name, bytes] : all.files) names += name + " ";
        const std::string knitter = dye_table_page().empty() ? "" : "knitter.html ";
        CHECK(names ==
              "01-painted-side.jpg 03-stitches.jpg 04-half-ravelled.jpg 05-skein.jpg 06-pair.jpg 07-swatch.jpg "
              "08-socks.jpg 09-colours.jpg contact-sheet.jpg " +
                  knitter + "listing.json listing.txt names.txt slip.html ");
        CHECK(all.json["knitter_page"] == (knitter.empty() ? Json(nullptr) : Json("knitter.html")));
        REQUIRE(all.json["pictures"].size() == 9);
        for (const Json& picture : all.json["pictures"]) {
            CHECK(all.files.count(picture["file"].get<std::string>()) == 1);
            CHECK(picture["alt"].get<std::string>().size() > 20);
            CHECK(has(all.text, picture["alt"].get<std::string>()));
        }
        CHECK(all.json["title"] == "Small blank");
        CHECK(has(all.text, "(not measured)"));
    }

    TEST_CASE("pictures have the asked-for size and shape") {
        const TemporaryFolder folder;
        const Listed all = listed(folder, {"--aspect", "4:5", "--on", "slate"});
        for (const auto& [name, bytes] : all.files) {
            if (!name.starts_with("0")) continue;
            const PictureHeader header = picture_header(folder / "out" / name);
            CHECK(header.width == 160);
            CHECK(header.height == 200);
        }
    }

    // [ICC 1:2010]; read back by ExifTool where it is installed. That the profile is sRGB is checked by lcms2 beside
    // the code that writes it.
    TEST_CASE("every picture carries the sRGB profile and nothing of a camera or a place") {
        const TemporaryFolder folder;
        const Listed all = listed(folder, {});
        for (const auto& [name, bytes] : all.files) {
            if (!name.ends_with(".jpg")) continue;
            const auto& this_name = name;  // clang 14 lets no binding into a lambda
            CAPTURE(this_name);
            CHECK(has(bytes.substr(0, 4000), "ICC_PROFILE"));
            CHECK_FALSE(has(bytes, "Exif"));
            CHECK_FALSE(picture_header(folder / "out" / name).names_camera);
            CHECK(picture_header(folder / "out" / name).colour_note.empty());
            if (!there_is("exiftool")) continue;
            const std::string tags = told_by("exiftool '" + (folder / "out" / name).string() + "'");
            CHECK(has(tags, "sRGB IEC61966-2.1"));
            for (const char* tag : {"GPS", "Camera Model", "Make  "}) CHECK_FALSE(has(tags, tag));
        }
    }

    TEST_CASE("the code on the slip is read back by zbar as the address") {
        if (!there_is("zbarimg")) {
            MESSAGE("zbarimg is not installed: scripts/setup installs it");
            return;
        }
        const TemporaryFolder folder;
        const Listed all = listed(folder, {"--address", kAddress});
        const std::string& slip = all.files.at("slip.html");
        const std::size_t code = slip.find("class=\"code\"");
        REQUIRE(code != std::string::npos);
        const std::string start = "base64,";
        const std::size_t from = slip.find(start, code) + start.size();
        const fs::path png = folder.file("code.png", from_base64(slip.substr(from, slip.find('"', from) - from)));
        CHECK(told_by("zbarimg --quiet --raw '" + png.string() + "'") == kAddress + "\n");
        for (const std::size_t length : {30U, 90U, 200U}) {
            const std::string address = "https://example.org/" + std::string(length - 20, 'a');
            const fs::path other = folder.file("other.png", png_bytes(qr_picture(address, 4)));
            CHECK(told_by("zbarimg --quiet --raw '" + other.string() + "'") == address + "\n");
        }
    }

    TEST_CASE("yards, fibres and offer go into text and JSON") {
        const TemporaryFolder folder;
        const Listed all = listed(folder, {"--fibre", "nylon 25, wool 75", "--ball", "9.5g", "--offer", "whole"});
        const double metres = all.json["strand"]["length_m"].get<double>();
        CHECK(all.json["strand"]["length_yd"].get<double>() == doctest::Approx(metres / 0.9144).epsilon(1e-4));
        CHECK(all.json["strand"]["weight_g"] == 9.5);
        CHECK(all.json["fibre_line"] == "75 % wool, 25 % nylon");
        CHECK(all.json["fibre"][0]["name"] == "wool");
        CHECK(has(all.text, "75 % wool, 25 % nylon"));
        CHECK(all.json["offer"] == "whole");
        CHECK(has(all.text, "You get the blank whole, and ravel it yourself."));
        double shares = 0;
        for (const Json& colour : all.json["colours"]) shares += colour["share"].get<double>();
        CHECK(shares == doctest::Approx(1).epsilon(1e-3));
    }

    TEST_CASE("names.txt names the colours when it is changed and given again") {
        const TemporaryFolder folder;
        const Listed first = listed(folder, {});
        const std::string hex = first.json["colours"][0]["hex"].get<std::string>();
        const fs::path names = folder.file("mine.txt", "# mine\n" + hex + " = Harbour <b>&\n#010203 = Nowhere\n");
        const fs::path into = folder / "again";
        const Outcome outcome =
            program(listing(folder / "small-blank.png", into, {"--names", names.string(), "--json"}));
        REQUIRE(outcome.code == kDone);
        const Json json = Json::parse(outcome.out);
        CHECK(json["colours"][0]["name"] == "Harbour <b>&");
        CHECK(has(json["warnings"].back().get<std::string>(), "Nowhere"));
        CHECK(has(bytes_of(into / "names.txt"), hex + " = Harbour <b>&"));
        CHECK_FALSE(has(bytes_of(into / "slip.html"), "<b>&\n"));
    }

    TEST_CASE("markup in the dyer's words is escaped where it is a page and kept where it is text") {
        const TemporaryFolder folder;
        const std::string bad = "<img src=x onerror=alert(1)>\"&";
        const Listed all = listed(folder, {"--title", bad, "--maker", bad, "--words", "line one\n" + bad});
        CHECK_FALSE(has(all.files.at("slip.html"), "<img src=x"));
        for (const auto& [name, bytes] : all.files)
            if (name == "knitter.html") CHECK_FALSE(has(bytes, "<img src=x"));
        CHECK(has(all.files.at("slip.html"), "&lt;img src=x onerror=alert(1)&gt;&quot;&amp;"));
        CHECK(has(all.text, "line one\n" + bad));
        CHECK(all.json["title"] == bad);
    }

    TEST_CASE("the same options give the same bytes") {
        const TemporaryFolder one, other;
        CHECK(listed(one, {"--seed", "3"}).files == listed(other, {"--seed", "3"}).files);
    }

    TEST_CASE("a blank of one strand has a ball and no pair") {
        const TemporaryFolder folder;
        const Listed all = listed(folder, {"--strands", "1"});
        CHECK(all.files.count("06-ball.jpg") == 1);
        CHECK(all.files.count("06-pair.jpg") == 0);
        CHECK(all.json["pair"].is_null());
        CHECK(has(all.json["pair_words"].get<std::string>(), "not measured"));
    }

    TEST_CASE("options that make no listing are refused before a picture is read") {
        const TemporaryFolder folder;
        const fs::path image = small_picture(folder);
        const std::vector<std::pair<std::vector<std::string>, std::string>> bad = {
            {{"--fibre", "wool 75, nylon 20"}, "--fibre: the parts add up to 95"},
            {{"--fibre", "wool"}, "--fibre"},
            {{"--pixels", "0"}, "--pixels"},
            {{"--pixels", "-5"}, "--pixels"},
            {{"--pixels", "50000"}, "--pixels"},
            {{"--aspect", "16:9"}, "--aspect"},
            {{"--on", "marble"}, "--on"},
            {{"--girth", "1.5"}, "--girth"},
            {{"--ball", "50"}, "--ball"},
            {{"--ball", "500g"}, "no knitting yarn"},
            {{"--offer", "half"}, "--offer"},
            {{"--address", "javascript:alert(1)"}, "--address"},
            {{"--address", "https://"}, "--address"},
            {{"--address", "https://example.org/" + std::string(300, 'a')}, "--address"},
            {{"--address", "https://example.org/a b"}, "--address"},
            {{"--title", std::string(500, 'x')}, "--title"},
            {{"--title", "\xff\xfe"}, "--title"},
            {{"--maker", "two\nlines"}, "--maker"},
            {{"--words", "\x01"}, "--words"},
            {{"--stitches", "62"}, "multiple of 4"},
            {{"--shape", "hat"}, "--shape"},
            {{"--knitters", "0"}, "--knitters"},
        };
        for (const auto& [options, told] : bad)
            check_refused(folder, listing(image, folder / "out", options), {.code = kUsage, .told = told});
        check_refused(folder, listing(image, folder / "out", {"--names", (folder / "none.txt").string()}),
                      {.code = kInput, .told = "none.txt"});
        check_refused(folder,
                      {"listing", image.string(), "-o", (folder / "out").string(), "--blank=4x4", "--loop=15mm"},
                      {.code = kInput, .told = "--girth"});
        check_refused(folder, listing(folder / "none.png", folder / "out", {}), {.code = kInput, .told = "none.png"});
    }

    TEST_CASE("a folder is listed picture by picture and one bad picture does not stop the rest") {
        const TemporaryFolder folder;
        const fs::path in = folder / "blanks";
        fs::create_directories(in / "deeper");
        const auto put = [&](const std::string& name, const std::string& bytes) {
            std::ofstream(in / name, std::ios::binary) << bytes;
        };
        put("b one.png", picture_files::pattern_png());
        put("a<b>.png", picture_files::pattern_png());
        put("broken.png", picture_files::pattern_png().substr(0, 60));
        put("empty.jpg", "");
        put("notes.txt", "nothing to see");
        put(".hidden.png", picture_files::pattern_png());
        put("deeper/c.png", picture_files::pattern_png());
        const fs::path into = folder / "out";
        const Outcome outcome = program(listing(in, into, {"--maker", "A Dyer", "--json"}));
        CAPTURE(outcome.err);
        REQUIRE(outcome.code == kDone);
        const Json json = Json::parse(outcome.out);
        CHECK(json["listed"].size() == 2);
        REQUIRE(json["failed"].size() == 2);
        CHECK(json["failed"][0]["picture"] == "broken.png");
        CHECK(json["failed"][1]["picture"] == "empty.jpg");
        CHECK(has(json["failed"][1]["fault"].get<std::string>(), "empty"));
        CHECK(names_in(into) == std::vector<std::string>{"a<b>", "b one", "failures.csv", "index.html"});
        CHECK(names_in(into / "b one").size() == (dye_table_page().empty() ? 13 : 14));
        const std::string index = bytes_of(into / "index.html");
        CHECK(has(index, "b%20one/slip.html"));
        CHECK(has(index, "b%20one/knitter.html") == !dye_table_page().empty());
        CHECK_FALSE(has(index, "A<b>"));
        CHECK(has(bytes_of(into / "failures.csv"), "\"broken.png\",\""));
        CHECK_FALSE(fs::exists(into / "broken"));
    }

    TEST_CASE("two files of one name get folders of their own") {
        const TemporaryFolder folder;
        const fs::path in = folder / "blanks";
        fs::create_directories(in);
        for (const char* name : {"a.png", "a.PNG"})
            std::ofstream(in / name, std::ios::binary) << picture_files::pattern_png();
        REQUIRE(program(listing(in, folder / "out", {})).code == kDone);
        CHECK(names_in(folder / "out") == std::vector<std::string>{"a-PNG", "a-png", "failures.csv", "index.html"});
    }

    TEST_CASE("a folder that cannot be listed is refused") {
        const TemporaryFolder folder;
        const fs::path in = folder / "blanks", bare = folder / "bare", bad = folder / "bad";
        for (const fs::path& one : {in, bare, bad}) fs::create_directories(one);
        std::ofstream(in / "a.png", std::ios::binary) << picture_files::pattern_png();
        std::ofstream(bad / "a.png", std::ios::binary) << "no picture";
        for (const fs::path& into : {in, in / "out", in / "x" / ".." / "out", folder / "bare" / ".." / "blanks" / "o"})
            check_refused(folder, listing(in, into, {}), {.code = kUsage, .told = "inside the folder"});
        check_refused(folder, listing(bare, folder / "out", {}), {.code = kInput, .told = "no picture"});
        check_refused(folder, listing(bad, folder / "out", {}), {.code = kInput, .told = "none of its 1"});
        for (const char* option :
             {"--title=x", "--words=x", "--other-side=x.png", "--corners=picture", "--white=1,1,9,9"})
            check_refused(folder, listing(in, folder / "out", {option}), {.code = kUsage, .told = "one picture"});
        REQUIRE(program(listing(in, folder / "blanks-out", {})).code == kDone);  // a name that only begins alike
    }

    TEST_CASE("stencils of a design in the folder are not taken for blanks") {
        const TemporaryFolder folder;
        const fs::path in = folder / "blanks";
        fs::create_directories(in);
        for (const char* name : {"lanterns.toml", "lanterns-stencil-1.png", "lanterns-stencil-2.png"})
            fs::copy_file(fs::path(kSamples) / name, in / name);
        const Outcome outcome = program(listing(in, folder / "out", {"--json"}));
        CAPTURE(outcome.err);
        REQUIRE(outcome.code == kDone);
        CHECK(Json::parse(outcome.out)["listed"].size() == 1);
    }

    TEST_CASE("time left is told in the unit that fits") {
        CHECK(cli::duration_in_words(0.2) == "about 1 s");
        CHECK(cli::duration_in_words(40) == "about 40 s");
        CHECK(cli::duration_in_words(170) == "about 3 min");
        CHECK(cli::duration_in_words(3 * 3600) == "about 3 h");
    }
}
