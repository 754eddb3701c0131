#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <opencv2/imgcodecs.hpp>
#include <sstream>
#include <string>
#include <utility>
#include <vector>

#include "base/temporary_folder.h"
#include "cli/program.h"
#include "photo/picture_files.h"

using namespace loopread;
using namespace loopread::program_test;
namespace fs = std::filesystem;

namespace {

bool is_one_line(const std::string& text) {
    return text.size() > 1 && text.find('\n') == text.size() - 1;
}

/// Everything under a folder with its bytes, to see that a refusal changed nothing.
std::string state(const fs::path& folder) {
    std::vector<std::string> found;
    for (const auto& entry : fs::recursive_directory_iterator(folder))
        found.push_back(entry.path().string() + (entry.is_regular_file() ? "\n" + bytes_of(entry.path()) : "/"));
    std::sort(found.begin(), found.end());
    std::string all;
    for (const std::string& one : found) all += one + "\n";
    return all;
}

std::string encoded_png(const cv::Mat& mat, const std::vector<int>& settings = {}) {
    std::vector<unsigned char> bytes;
    cv::imencode(".png", mat, bytes, settings);
    return picture_files::text_of(bytes);
}

/// 24 x 86 pixels, the shape of the usual blank, in upright stripes.
std::string upright_picture() {
    cv::Mat mat(86, 24, CV_8UC3);
    for (int y = 0; y < mat.rows; ++y)
        for (int x = 0; x < mat.cols; ++x)
            mat.at<cv::Vec3b>(y, x) = x / 6 % 2 == 0 ? cv::Vec3b(200, 90, 30) : cv::Vec3b(40, 60, 220);
    return encoded_png(mat);
}

/// Runs the program and holds what every refusal has in common; hands back the line for the rest.
std::string refusal(int code, const TemporaryFolder& folder, const std::vector<std::string>& arguments) {
    const std::string before = state(folder.path());
    const Outcome outcome = program(arguments);
    std::string words;
    for (const std::string& argument : arguments) words += argument + " ";
    CAPTURE(words);
    CAPTURE(outcome.err);
    CHECK(outcome.code == code);
    CHECK(is_one_line(outcome.err));
    CHECK(outcome.out.empty());
    CHECK(state(folder.path()) == before);
    return outcome.err;
}

/// An unravelling of `picture` into the folder's "out", with more options behind.
std::vector<std::string> unravel(const TemporaryFolder& folder, const fs::path& picture,
                                 const std::vector<std::string>& more = {}) {
    std::vector<std::string> arguments = {"unravel", picture.string(), "-o", (folder / "out").string()};
    arguments.insert(arguments.end(), more.begin(), more.end());
    return arguments;
}

std::vector<std::string> knit(const TemporaryFolder& folder, const fs::path& input,
                              const std::vector<std::string>& more = {}) {
    std::vector<std::string> arguments = {"knit", input.string(), "-o", (folder / "out.png").string()};
    arguments.insert(arguments.end(), more.begin(), more.end());
    return arguments;
}

constexpr const char* kPlainYarn = "strand,start_mm,length_mm,hex\n1,0,4000,#2c527f\n1,4000,4000,#d9b66c\n";

/// The yarn.csv that a picture of 5 x 4 stitches unravels to.
std::string small_yarn(const std::string& picture_bytes, const std::vector<std::string>& more = {}) {
    const TemporaryFolder folder;
    std::vector<std::string> options = {"--blank", "5x4", "--treat-as", "design", "--creep", "0mm", "--stitches", "2"};
    options.insert(options.end(), more.begin(), more.end());
    const Outcome outcome = program(unravel(folder, folder.file("picture.png", picture_bytes), options));
    CAPTURE(outcome.err);
    REQUIRE(outcome.code == kDone);
    return bytes_of(folder / "out/yarn.csv");
}

}  // namespace

TEST_SUITE("cli") {
    TEST_CASE("a missing picture, layered design or yarn file is told in one line that names it") {
        const TemporaryFolder folder;
        CHECK(has(refusal(kInput, folder, unravel(folder, folder / "none.png")), "none.png"));
        CHECK(has(refusal(kInput, folder, unravel(folder, folder / "none.toml")), "none.toml"));
        CHECK(has(refusal(kInput, folder, knit(folder, folder / "none.csv")), "none.csv"));
        CHECK(has(refusal(kInput, folder, {"preview", (folder / "none.png").string(), "-o", (folder / "out").string()}),
                  "none.png"));
    }

    TEST_CASE("an empty file is told to be empty, whatever its name ends in") {
        const TemporaryFolder folder;
        CHECK(has(refusal(kInput, folder, unravel(folder, folder.file("none.png", ""))), "empty"));
        CHECK(has(refusal(kInput, folder, unravel(folder, folder.file("none.toml", ""))), "empty"));
        CHECK(has(refusal(kInput, folder, knit(folder, folder.file("none.csv", ""))), "empty"));
    }

    TEST_CASE("text named .png is not a picture") {
        const TemporaryFolder folder;
        CHECK(has(refusal(kInput, folder, unravel(folder, folder.file("words.png", "four lanterns and a net\n"))),
                  "words.png"));
    }

    TEST_CASE("a PNG that breaks off is refused wherever it breaks off") {
        const std::string whole = encoded_png(cv::imread(LOOPREAD_SAMPLES "/nets.png"));
        REQUIRE(whole.size() > 1000);
        for (const std::size_t kept : {std::size_t{5}, std::size_t{20}, std::size_t{40}, whole.size() / 2}) {
            const TemporaryFolder folder;
            const fs::path picture = folder.file("broken.png", whole.substr(0, kept));
            CHECK(has(refusal(kInput, folder, unravel(folder, picture)), "broken.png"));
        }
    }

    TEST_CASE("a header that claims 60,000 x 60,000 pixels is refused before a pixel is asked for") {
        const TemporaryFolder folder;
        const fs::path picture = folder.file("huge.png", picture_files::png({60'000, 60'000, 8, 2}, {}));
        const std::string line = refusal(kInput, folder, unravel(folder, picture));
        CHECK(has(line, "huge.png"));
        CHECK(has(line, "megapixel"));
    }

    TEST_CASE("counts of nothing or less are wrong usage and the option is named") {
        const TemporaryFolder folder;
        const fs::path picture = folder.file("blank.png", upright_picture());
        for (const char* blank : {"0x5", "5x0", "-4x5", "5x-4", "5", "5x", "x5", "fivexfour", "5.5x4"})
            CHECK(has(refusal(kUsage, folder, unravel(folder, picture, {std::string("--blank=") + blank})), "--blank"));
        for (const char* count : {"0", "-64", "many", "99999999999"}) {
            const std::string value = std::string("=") + count;
            CHECK(has(refusal(kUsage, folder, unravel(folder, picture, {"--stitches" + value})), "--stitches"));
            CHECK(has(refusal(kUsage, folder, knit(folder, picture, {"--rounds" + value})), "--rounds"));
            CHECK(has(refusal(kUsage, folder, unravel(folder, picture, {"--strands" + value})), "--strands"));
        }
    }

    TEST_CASE("NaN and infinity are no figures") {
        const TemporaryFolder folder;
        const fs::path picture = folder.file("blank.png", upright_picture());
        for (const char* option :
             {"--wrap=nan", "--wrap=inf", "--penetration=nan", "--gauge=nanx42", "--gauge=32xinf", "--gauge=0x42",
              "--gauge=-32x42", "--wander=nan", "--max-megapixels=nan", "--loop=nanmm", "--loop=infmm",
              "--strand-length=nanm", "--size=nanx86cm", "--yarn-per-stitch=nanmm", "--yarn-per-round=infcm",
              "--creep=nanmm", "--winding=nancm", "--wrap=1.01", "--penetration=-0.01"}) {
            const std::string name = std::string(option).substr(0, std::string(option).find('='));
            CHECK(has(refusal(kUsage, folder, unravel(folder, picture, {option})), name));
        }
    }

    TEST_CASE("a length without a unit is refused and the units that would do are named") {
        const TemporaryFolder folder;
        const fs::path picture = folder.file("blank.png", upright_picture());
        for (const char* option : {"--loop=21", "--strand-length=211", "--creep=2", "--yarn-per-stitch=13",
                                   "--yarn-per-round=84", "--winding=10"}) {
            const std::string text = option;
            const auto equals = text.find('=');
            const std::string line = refusal(kUsage, folder, unravel(folder, picture, {option}));
            CHECK(has(line, text.substr(0, equals)));
            CHECK(has(line, text.substr(equals + 1) + "mm"));
            CHECK(has(line, text.substr(equals + 1) + "cm"));
        }
        CHECK(has(refusal(kUsage, folder, unravel(folder, picture, {"--size=24x86"})), "24x86cm"));
        refusal(kUsage, folder, unravel(folder, picture, {"--loop=21furlongs"}));
    }

    TEST_CASE("a loop shorter than 2.84 stitch widths cannot be knitted and is wrong usage") {
        // The flattest curve of the family has length 2.84 w [Crane 2023].
        const TemporaryFolder folder;
        const fs::path picture = folder.file("blank.png", upright_picture());
        const std::vector<std::string> counts = {"--blank", "24x100", "--size", "24x86cm"};  // stitches 10 mm wide
        std::vector<std::string> shorter = counts, longer = counts;
        shorter.insert(shorter.end(), {"--loop", "28.3mm"});
        longer.insert(longer.end(), {"--loop", "28.5mm"});
        CHECK(has(refusal(kUsage, folder, unravel(folder, picture, shorter)), "2.84"));
        CHECK(program(unravel(folder, picture, longer)).code == kDone);
    }

    TEST_CASE("a stitch of the knitting with less yarn than 2.84 of its widths is wrong usage") {
        const TemporaryFolder folder;
        const fs::path yarn = folder.file("plain.csv", kPlainYarn);
        // gauge 32: a stitch is 3.125 mm wide, and 2.84 x 3.125 = 8.9 mm
        CHECK(has(refusal(kUsage, folder, knit(folder, yarn, {"--stitches=8", "--yarn-per-stitch=8.8mm"})), "2.84"));
        CHECK(program(knit(folder, yarn, {"--stitches=8", "--yarn-per-stitch=8.95mm"})).code == kDone);
    }

    TEST_CASE("a folder that cannot be made is an output fault") {
        const TemporaryFolder folder;
        const fs::path picture = folder.file("blank.png", upright_picture());
        const std::string in_the_way = folder.file("file", "kept").string();
        const std::vector<std::string> small = {"--blank", "5x4", "--stitches", "2"};
        for (const std::string command : {"unravel", "preview"}) {
            std::vector<std::string> arguments = {command, picture.string(), "-o", in_the_way + "/deep/out"};
            arguments.insert(arguments.end(), small.begin(), small.end());
            CHECK(has(refusal(kOutput, folder, arguments), in_the_way));
        }
        CHECK(has(refusal(kOutput, folder,
                          {"knit", picture.string(), "--blank=5x4", "--stitches=2", "-o", in_the_way + "/out.png"}),
                  in_the_way));
    }

    TEST_CASE("a folder in the way of one result keeps all results from being written") {
        const TemporaryFolder folder;
        const fs::path picture = folder.file("blank.png", upright_picture());
        fs::create_directories(folder / "out/summary.json/kept");
        CHECK(has(refusal(kOutput, folder, unravel(folder, picture, {"--blank=5x4", "--stitches=2"})), "summary.json"));
    }

    TEST_CASE("no input is overwritten by a result") {
        const TemporaryFolder folder;
        const fs::path picture = folder.file("blank.png", upright_picture());
        CHECK(has(
            refusal(kOutput, folder, {"knit", picture.string(), "--blank=5x4", "--stitches=2", "-o", picture.string()}),
            "blank.png"));

        const fs::path yarn = folder.file("yarn.csv", kPlainYarn);
        CHECK(has(refusal(kOutput, folder, {"knit", yarn.string(), "--stitches=8", "-o", yarn.string()}), "yarn.csv"));

        const fs::path strands = folder.file("strands.png", upright_picture());
        CHECK(has(refusal(kOutput, folder,
                          {"unravel", strands.string(), "--blank=5x4", "--stitches=2", "-o", folder.path().string()}),
                  "strands.png"));
        fs::create_directory_symlink(folder.path(), folder / "same");  // the same folder by another name
        CHECK(
            has(refusal(kOutput, folder,
                        {"unravel", strands.string(), "--blank=5x4", "--stitches=2", "-o", (folder / "same").string()}),
                "strands.png"));
    }

    TEST_CASE("neither a stencil, a design, a ground picture nor an other side is overwritten") {
        const TemporaryFolder folder;
        const std::string picture = folder.file("blank.png", upright_picture()).string();
        folder.file("strands.png", upright_picture());
        const std::string design = folder
                                       .file("design.toml",
                                             "[ground]\ncolour = \"#2f7d9b\"\n[[layer]]\nname = \"a\"\nstencil = "
                                             "\"strands.png\"\ncolour = \"#d8455a\"\n")
                                       .string();
        const std::string here = folder.path().string(), strands = (folder / "strands.png").string();
        const std::vector<std::vector<std::string>> cases = {
            {"unravel", design, "--blank=5x4", "--stitches=2", "-o", here},
            {"unravel", picture, "--ground", strands, "--blank=5x4", "--stitches=2", "-o", here},
            {"unravel", picture, "--other-side", strands, "--blank=5x4", "--stitches=2", "-o", here},
            {"knit", design, "--blank=5x4", "--stitches=2", "-o", strands}};
        for (const auto& arguments : cases) CHECK(has(refusal(kOutput, folder, arguments), "strands.png"));
        CHECK(has(refusal(kOutput, folder, {"knit", design, "--blank=5x4", "--stitches=2", "-o", design}),
                  "design.toml"));
    }

    TEST_CASE("every fault of a yarn file is told with its line") {
        struct Fault {
            const char* text;
            std::vector<const char*> told;
        };
        const std::string head = "strand,start_mm,length_mm,hex\n";
        const Fault faults[] = {
            {"1,0,4000,#2c527f\n1,4010,4000,#d9b66c\n", {"line 3", "gap"}},
            {"1,0,4000,#2c527f\n1,3990,4000,#d9b66c\n", {"line 3", "overlap"}},
            {"1,0,4000,#2c527f\n1,4010,4000,#d9b66c\n1,8000,20,#d9b66c\n", {"line 3", "gap", "line 4", "overlap"}},
            {"1,0,4000\n", {"line 2", "3 cells"}},
            {"1,0,nan,#2c527f\n", {"line 2", "length_mm"}},
            {"1,0,-5,#2c527f\n", {"line 2", "length_mm"}},
            {"1,0,4000,blue\n", {"line 2", "blue"}},
            {"3,0,4000,#2c527f\n", {"line 2", "strand"}},
            {"", {"no rows"}},
        };
        for (const Fault& fault : faults) {
            const TemporaryFolder folder;
            const std::string line = refusal(kInput, folder, knit(folder, folder.file("own.csv", head + fault.text)));
            CHECK(has(line, "own.csv"));
            for (const char* words : fault.told) CHECK(has(line, words));
        }
    }

    TEST_CASE("a yarn file with wrong columns is refused by its first line") {
        const TemporaryFolder folder;
        const fs::path missing = folder.file("missing.csv", "strand,start_mm,hex\n1,0,#2c527f\n");
        CHECK(has(refusal(kInput, folder, knit(folder, missing)), "length_mm"));
        const fs::path unknown = folder.file("unknown.csv", "strand,start_mm,length_mm,hex,mood\n1,0,9,#2c527f,glad\n");
        CHECK(has(refusal(kInput, folder, knit(folder, unknown)), "mood"));
        const fs::path picture = folder.file("picture.csv", upright_picture());
        CHECK(has(refusal(kInput, folder, knit(folder, picture)), "picture.csv"));
        CHECK(has(refusal(kUsage, folder, unravel(folder, missing)), "yarn file"));
    }

    TEST_CASE("a yarn file of ten million rows is refused by its number of rows") {
        const TemporaryFolder folder;
        const fs::path file = folder / "long.csv";
        {
            constexpr int kRows = 10'000'000, kRowsAtOnce = 100'000;
            std::ofstream out(file, std::ios::binary);
            out << "strand,start_mm,length_mm,hex\n";
            std::string rows;
            for (int i = 0; i < kRows; ++i) {
                rows += "1,";
                rows += std::to_string(i);
                rows += ",1,#abcdef\n";
                if ((i + 1) % kRowsAtOnce == 0) out << std::exchange(rows, {});
            }
        }
        const Outcome outcome = program(knit(folder, file));
        CHECK(outcome.code == kInput);
        CHECK(is_one_line(outcome.err));
        CHECK(has(outcome.err, "10000000 rows"));
        CHECK(outcome.out.empty());
        CHECK(folder.entries() == 1);
    }

    TEST_CASE("a size typed the wrong way round is told by the shape of the picture") {
        const TemporaryFolder folder;
        const fs::path picture = folder.file("blank.png", upright_picture());
        const std::string line = refusal(kUsage, folder, unravel(folder, picture, {"--size", "86x24cm"}));
        CHECK(has(line, "--size"));
        CHECK(has(line, "86x24cm"));
        CHECK(has(line, "other way round"));
        CHECK(program(unravel(folder, picture, {"--size", "24x86cm", "--strands=1"})).code == kDone);
    }

    TEST_CASE("transparent pixels are undyed yarn") {
        cv::Mat clear(86, 24, CV_8UC4, cv::Scalar(30, 20, 220, 0)), cream(86, 24, CV_8UC3);
        cv::Mat half_clear = clear.clone(), half_cream(86, 24, CV_8UC3);
        cream.setTo(cv::Scalar(0xe0, 0xed, 0xf3));  // the default --undyed '#f3ede0', blue first
        cream.copyTo(half_cream);
        half_clear.colRange(0, 12).setTo(cv::Scalar(150, 60, 20, 255));
        half_cream.colRange(0, 12).setTo(cv::Scalar(150, 60, 20));
        CHECK(small_yarn(encoded_png(clear)) == small_yarn(encoded_png(cream)));
        CHECK(small_yarn(encoded_png(half_clear)) == small_yarn(encoded_png(half_cream)));
        CHECK(small_yarn(encoded_png(clear)) != small_yarn(encoded_png(half_clear)));

        cv::Mat grey(86, 24, CV_8UC3, cv::Scalar(0xcc, 0xcc, 0xcc));
        const std::vector<std::string> on_grey = {"--undyed", "#cccccc"};
        CHECK(small_yarn(encoded_png(clear), on_grey) == small_yarn(encoded_png(grey), on_grey));
    }

    TEST_CASE("grey, 16-bit and palette PNGs unravel as the same picture in 8-bit colour") {
        // Three by two pixels, written byte by byte; grey steps, so that all four kinds can hold it.
        const std::vector<std::vector<int>> greys = {{20, 130, 250}, {90, 200, 60}};
        std::vector<std::string> rgb(2), grey(2), deep(2), palette(2);
        std::string entries;
        for (std::size_t y = 0; y < 2; ++y)
            for (std::size_t x = 0; x < 3; ++x) {
                const auto code = static_cast<char>(greys[y][x]);
                rgb[y] += std::string(3, code);
                grey[y] += code;
                deep[y] += std::string(6, code);  // v x 257 has v in both bytes
                palette[y] += static_cast<char>(y * 3 + x);
                entries += std::string(3, code);
            }
        const std::string yarn = small_yarn(picture_files::png({3, 2, 8, 2}, rgb));
        CHECK(small_yarn(picture_files::png({3, 2, 8, 0}, grey)) == yarn);
        CHECK(small_yarn(picture_files::png({3, 2, 16, 2}, deep)) == yarn);
        CHECK(small_yarn(picture_files::png({3, 2, 8, 3}, palette, picture_files::chunk("PLTE", entries))) == yarn);
        std::swap(rgb[0], rgb[1]);
        CHECK(small_yarn(picture_files::png({3, 2, 8, 2}, rgb)) != yarn);
    }

    TEST_CASE("a palette in colour unravels as the same picture in 8-bit colour") {
        std::vector<std::string> palette(2);
        std::string entries;
        for (std::size_t i = 0; i < 6; ++i) {
            palette[i / 3] += static_cast<char>(i);
            for (int k = 0; k < 3; ++k) entries += static_cast<char>(picture_files::pattern()[i].channel(k));
        }
        CHECK(small_yarn(picture_files::png({3, 2, 8, 3}, palette, picture_files::chunk("PLTE", entries))) ==
              small_yarn(picture_files::pattern_png()));
    }
}
