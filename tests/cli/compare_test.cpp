#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "cli/program.h"
#include "cli/yarn_input.h"
#include "compare/dyed_scene.h"
#include "loopread/photo/write.h"
#include "loopread/raster/blank_cloth.h"
#include "photo/table_photo.h"

using namespace loopread;
using namespace loopread::program_test;
using namespace loopread::dyed_scene;
using Json = nlohmann::json;

namespace {

constexpr double kWidthPerSigmaHere = 2.5631031311;  // tests/data/esf_gaussian.csv
constexpr double kWidthOff = 0.05;                   // asked for

DyedPiece quay(double sigma) {
    DyedPiece piece;
    piece.height = 150;
    piece.sigma = sigma;
    piece.noise = 0.01;
    return piece;
}

std::string saved(const TemporaryFolder& folder, const std::string& name, const Image& image) {
    const std::filesystem::path file = folder.path() / name;
    std::ofstream(file, std::ios::binary) << png_bytes(encoded(image));
    return file.string();
}

std::string drawn(const TemporaryFolder& folder, const std::string& name, const DyedPiece& piece) {
    return saved(folder, name, plain(piece, 0.25));
}

Json summary_of(const Outcome& outcome) {
    CAPTURE(outcome.err);
    REQUIRE(outcome.code == kDone);
    return Json::parse(outcome.out);
}

/// A stencil of quay walls and crates, black on white, 0.5 mm a pixel.
std::string saved_stencil(const TemporaryFolder& folder, double length_mm) {
    constexpr double kPixelMm = 0.5, kSharp = 0.02;
    Image mask(static_cast<int>(length_mm / kPixelMm), static_cast<int>(240 / kPixelMm));
    for (int r = 0; r < mask.rows(); ++r)
        for (int c = 0; c < mask.columns(); ++c) {
            const double bare = 1 - coverage((c + 0.5) * kPixelMm, (r + 0.5) * kPixelMm, kSharp);
            mask(r, c) = {bare, bare, bare};
        }
    return saved(folder, "stencil.png", mask);
}

constexpr double kPhotoLength = 300;  // mm of a blank, all of harbour_panels

struct SavedPhoto {
    std::string file, corners;
};

/// A phone's photo of a blank of two strands, stencilled and knitted back from its own yarn; paint crept so far.
SavedPhoto photo_of_knitting(const TemporaryFolder& folder, int creep_mm) {
    const std::filesystem::path design = folder.path() / "design.toml";
    std::ofstream(design) << "undyed = \"#f3ede0\"\n[ground]\nfade = [\"#86b9c6\", \"#dde9e4\"]\n"
                             "[[layer]]\nname = \"crates\"\nstencil = \"stencil.png\"\ncolour = \"#39467c\"\n"
                             "strength = 1.0\npenetration = 0.4\n";
    cli::BlankOptions options;
    options.penetration = 0.9;
    options.size = "240x300mm";
    options.creep = std::to_string(creep_mm) + "mm";
    Outputs outputs = Outputs::into_folder(folder.path());
    const cli::BlankInput blank = cli::read_blank(design, options, outputs);
    const WindingOptions winding = cli::winding_options(options, 1);
    ClothLook look;
    look.wale_per_course = blank.layout.wale_spacing / blank.layout.course_spacing;
    look.pixels_per_stitch = 24;
    look.sights = 24;
    table_photos::PlacedBlank placed;
    placed.cloth = drawn_cloth(blank_cloth(blank.layout, cli::unravelled(blank, winding), winding), blank.shape, look);
    placed.length_mm = kPhotoLength;
    placed.bow_mm = 1;
    placed.curl_mm = 2;
    table_photos::Scene scene;
    scene.width = 800;
    scene.height = 1000;
    scene.table = linear_from_srgb8({0x4a, 0x3c, 0x32});
    scene.turn_deg = 2;
    scene.tilt_deg = 8;
    scene.light_x = {0.10, 0.10, 0.10};
    scene.noise = 0.008;
    const table_photos::TablePhoto photo = table_photos::table_photo(scene, {placed});
    const std::filesystem::path file = folder.path() / "knitting.jpg";
    std::ofstream(file, std::ios::binary) << jpeg_bytes(encoded(photo.picture), 90);
    SavedPhoto out{file.string(), ""};
    for (const PhotoPoint& corner : photo.corners)
        out.corners += (out.corners.empty() ? "" : ",") + std::to_string(corner.x) + "," + std::to_string(corner.y);
    return out;
}

/// Either the width is told to 15 % and its interval holds the truth, or that it cannot be told and how wide at most.
void check_width_told(const Json& edge, double truth_mm) {
    constexpr double kToldOff = 0.15;  // asked for
    CAPTURE(truth_mm);
    CAPTURE(edge.dump());
    REQUIRE(edge["ci95_mm"].is_array());
    CHECK(edge["ci95_mm"][0].get<double>() <= truth_mm);
    CHECK((edge["ci95_mm"][1].is_null() || edge["ci95_mm"][1].get<double>() >= truth_mm));
    if (edge["verdict"] == "cannot tell") {
        CHECK(edge["after_mm"].is_null());
        CHECK(edge["change_mm"].is_null());
        CHECK((edge["no_wider_than_mm"].is_null() || edge["no_wider_than_mm"].get<double>() >= truth_mm));
    } else {
        CHECK(edge["verdict"] == "softened");
        CHECK(std::abs(edge["after_mm"].get<double>() / truth_mm - 1) < kToldOff);
    }
}

}  // namespace

TEST_SUITE("cli") {
    TEST_CASE("compare tells both widths, their change and what did not happen to the ground") {
        const TemporaryFolder folder;
        DyedPiece after = quay(1.4);
        after.seed = 2;
        const std::string one = drawn(folder, "before.png", quay(0.6)), other = drawn(folder, "after.png", after);
        const std::string out = (folder.path() / "out").string();
        const std::vector<std::string> words = {"compare", one, other, "--size", "24x15cm", "-o", out, "--json"};
        const Json summary = summary_of(program(words));
        const Json& edge = summary["edge"];
        CHECK(std::abs(edge["before_mm"].get<double>() / (kWidthPerSigmaHere * 0.6) - 1) < kWidthOff);
        CHECK(std::abs(edge["after_mm"].get<double>() / (kWidthPerSigmaHere * 1.4) - 1) < kWidthOff);
        const double truth = kWidthPerSigmaHere * 0.8;
        CHECK(edge["ci95_mm"][0].get<double>() <= truth);
        CHECK(edge["ci95_mm"][1].get<double>() >= truth);
        CHECK(edge["verdict"] == "softened");
        CHECK(summary["ground"]["verdict"] == "no change seen");
        CHECK(summary["ground"]["delta_e00"].get<double>() < 0.5);
        CHECK(summary["fading"]["ground"]["iso_105_a02"] == "5");
        CHECK(has(summary["fading"]["note"].get<std::string>(), "indicative"));
        CHECK(summary["floor_mm"].get<double>() == doctest::Approx(0.5));
        const std::string csv = bytes_of(folder.path() / "out" / "edges.csv");
        CHECK(csv.starts_with("photo,x_mm,y_mm,direction,width_mm,delta_e00"));
        CHECK(std::count(csv.begin(), csv.end(), '\n') ==
              1 + edge["pieces_before"].get<int>() + edge["pieces_after"].get<int>());
        CHECK(has(csv, "\nafter,"));
        CHECK(bytes_of(folder.path() / "out" / "compare.png").size() > 10'000);
        const std::string first = bytes_of(folder.path() / "out" / "summary.json");
        summary_of(program(words));
        CHECK(bytes_of(folder.path() / "out" / "summary.json") == first);
    }

    TEST_CASE("compare says when two photos do not show one piece, and takes them unpaired") {
        const TemporaryFolder folder;
        DyedPiece moved = quay(0.6);
        const std::string one = drawn(folder, "before.png", moved);
        Image other = plain(moved, 0.25);
        other = mirrored(turned(other, QuarterTurn::clockwise_180));
        for (int r = 0; r < other.rows(); ++r)  // other stencils: columns go round by a third
            std::rotate(other.row(r), other.row(r) + other.columns() / 3, other.row(r) + other.columns());
        const std::string two = saved(folder, "other.png", other);
        const std::string out = (folder.path() / "out").string();
        check_refused(folder, {"compare", one, two, "--size", "24x15cm", "-o", out}, {kInput, "--unpaired"});
        const Json summary =
            summary_of(program({"compare", one, two, "--size", "24x15cm", "-o", out, "--json", "--unpaired"}));
        CHECK(summary["compared"] == "unpaired");
        CHECK(summary["edge"]["verdict"] == "no change seen");
    }

    TEST_CASE("compare measures a photo against its own stencil") {
        const TemporaryFolder folder;
        Image mask(600, 960);
        for (int r = 0; r < mask.rows(); ++r)
            for (int c = 0; c < mask.columns(); ++c) {
                const double bare = 1 - coverage((c + 0.5) * 0.25, (r + 0.5) * 0.25, 0.02);
                mask(r, c) = {bare, bare, bare};
            }
        const std::string stencil = saved(folder, "stencil.png", mask);
        const std::string photo = drawn(folder, "photo.png", quay(1.4));
        const std::string out = (folder.path() / "out").string();
        const Json summary =
            summary_of(program({"compare", photo, "--against", stencil, "--size", "24x15cm", "-o", out, "--json"}));
        CHECK(summary["edge"]["before_mm"].get<double>() < 0.25);  // a pixel of the stencil
        CHECK(std::abs(summary["edge"]["after_mm"].get<double>() / (kWidthPerSigmaHere * 1.4) - 1) < kWidthOff);
        CHECK(summary["edge"]["verdict"] == "softened");
        CHECK(summary["ground"]["delta_e00"].is_null());
        CHECK(summary["fading"]["ground"].is_null());
    }

    TEST_CASE("against its stencil a photo of knitting tells no width that the stitches alone may give") {
        const TemporaryFolder folder;
        const std::string stencil = saved_stencil(folder, kPhotoLength);
        const auto edge_of = [&](int creep_mm) {
            const SavedPhoto photo = photo_of_knitting(folder, creep_mm);
            const Json summary =
                summary_of(program({"compare", photo.file, "--against", stencil, "--size", "240x300mm", "--corners",
                                    photo.corners, "-o", (folder.path() / "out").string(), "--json"}));
            check_width_told(summary["edge"], creep_mm);
            CHECK(summary["ground"]["verdict"] == "no change seen");  // it fades, but nothing bled into it
            for (const char* direction : {"along_rows", "across_rows"})
                if (summary["edge"][direction]["ci95_mm"].is_array())
                    check_width_told(summary["edge"][direction], creep_mm);
            return summary["edge"];
        };
        for (const int creep_mm : {0, 2}) {
            const Json edge = edge_of(creep_mm);
            CHECK(edge["verdict"] == "cannot tell");
            CHECK(edge["no_wider_than_mm"].get<double>() < 5);  // or it would say nothing: a stitch
            CHECK(has(edge["why"].get<std::string>(), "no wider than"));
        }
        CHECK(edge_of(6)["verdict"] == "softened");
    }

    TEST_CASE("of the sample photo no edge is said to be wider than it was drawn") {
        constexpr double kDrawn = 2.0;  // mm, tests/photo/draw_sample_photo.cpp: a design's creep
        const std::string samples = LOOPREAD_SAMPLES;
        const TemporaryFolder folder;
        for (const char* stencil : {"/lanterns-stencil-1.png", "/lanterns-stencil-2.png"}) {
            CAPTURE(stencil);
            const Json edge =
                summary_of(program({"compare", samples + "/harbour-photo.jpg", "--against", samples + stencil, "--size",
                                    "24x86cm", "-o", (folder.path() / "out").string(), "--json"}))["edge"];
            CHECK(edge["verdict"] == "cannot tell");
            check_width_told(edge, kDrawn);
            // The caps' short sides are shorter than a piece, and beside them lies a third colour.
            if (edge["across_rows"]["pieces_after"].get<int>() > 0)
                CHECK(edge["across_rows"]["after_as_it_looks_mm"].get<double>() < 4);
        }
    }

    TEST_CASE("a photo turned round, or of the other side, is laid on the first") {
        const TemporaryFolder folder;
        const std::string one = drawn(folder, "before.png", quay(0.6));
        const Image after = plain(quay(1.4), 0.25);
        const std::string round = saved(folder, "round.png", turned(after, QuarterTurn::clockwise_180));
        const std::string back = saved(folder, "back.png", mirrored(after));
        const std::string out = (folder.path() / "out").string();
        for (const std::vector<std::string>& more :
             {std::vector<std::string>{round}, std::vector<std::string>{back, "--after-mirrored"}}) {
            std::vector<std::string> words = {"compare", one, "--size", "24x15cm", "-o", out, "--json"};
            words.insert(words.begin() + 2, more.begin(), more.end());
            const Json summary = summary_of(program(words));
            CHECK(summary["edge"]["verdict"] == "softened");
            CHECK(std::abs(summary["edge"]["after_mm"].get<double>() / (kWidthPerSigmaHere * 1.4) - 1) < kWidthOff);
        }
    }

    TEST_CASE("a ruler gives each photo its own scale") {
        const TemporaryFolder folder;
        const std::string one = drawn(folder, "before.png", quay(0.6)), other = drawn(folder, "after.png", quay(0.6));
        const std::string out = (folder.path() / "out").string();
        // 400 pixels are 10 cm in the one; in the other 9 cm are said to be: its edges are narrower by a tenth
        const Json summary =
            summary_of(program({"compare", one, other, "--ruler", "100,50,500,50=10cm", "--after-ruler",
                                "100,50,100,450=9cm", "-o", out, "--json", "--unpaired"}));
        const double before = summary["edge"]["before_mm"], after = summary["edge"]["after_mm"];
        CHECK(std::abs(before / (kWidthPerSigmaHere * 0.6) - 1) < kWidthOff);
        CHECK(after / before == doctest::Approx(0.9).epsilon(0.02));
        CHECK(summary["edge"]["verdict"] == "sharpened");
    }

    TEST_CASE("wet against dry tells nothing of the ground") {
        const TemporaryFolder folder;
        const std::string one = drawn(folder, "before.png", quay(0.6)), other = drawn(folder, "after.png", quay(0.6));
        const Json summary = summary_of(program({"compare", one, other, "--size", "24x15cm", "--before-wet", "-o",
                                                 (folder.path() / "out").string(), "--json"}));
        CHECK(summary["ground"]["verdict"] == "cannot tell");
        CHECK(summary["fading"]["ground"].is_null());
        CHECK(summary["edge"]["verdict"] == "no change seen");
    }

    TEST_CASE("compare refuses what makes no sense, and says what to do") {
        const TemporaryFolder folder;
        const std::string photo = drawn(folder, "photo.png", quay(0.6));
        const std::string out = (folder.path() / "out").string();
        const auto refused = [&](std::vector<std::string> more, const Refusal& refusal) {
            more.insert(more.begin(), "compare");
            more.insert(more.end(), {"-o", out});
            check_refused(folder, more, refusal);
        };
        refused({photo}, {kUsage, "--against"});
        refused({photo, photo, "--against", photo}, {kUsage, "--against"});
        refused({photo, photo, "--size", "24x86"}, {kUsage, "--size"});
        refused({photo, photo}, {kUsage, "--size"});
        refused({photo, photo, "--ruler", "1,2,3=10cm"}, {kUsage, "--ruler"});
        refused({photo, photo, "--ruler", "1,2,300,4"}, {kUsage, "--ruler"});
        refused({photo, photo, "--ruler", "5,5,5,5=10cm"}, {kUsage, "--ruler"});
        refused({photo, photo, "--ruler", "1,2,300,4=10"}, {kUsage, "--ruler"});
        refused({photo, photo, "--size", "24x15cm", "--after-size", "24x15cm", "--after-ruler", "1,1,99,9=1cm"},
                {kUsage, "--after-ruler"});
        refused({photo, photo, "--size", "24x15cm", "--after-corners", "1,2,3"}, {kUsage, "--after-corners"});
        refused({photo, photo, "--size", "24x15cm", "--undyed", "nosuch"}, {kUsage, "--undyed"});
        refused({photo, (folder.path() / "missing.png").string(), "--size", "24x15cm"}, {kInput, "missing.png"});
        const std::string plain_one = saved(folder, "plain.png", Image(300, 480, {0.5, 0.4, 0.3}));
        refused({plain_one, "--against", photo, "--size", "24x15cm"}, {kInput, "plain.png"});
        refused({plain_one, plain_one, "--size", "24x15cm"}, {kInput, "--unpaired"});
    }
}
