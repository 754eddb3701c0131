#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <fstream>

#include "base/words_in.h"
#include "loopread/base/error.h"
#include "loopread/base/files.h"
#include "loopread/base/random.h"
#include "loopread/photo/read.h"
#include "photo/heic_picture_files.h"
#include "photo/hevc_size.h"
#include "photo/profile_picture_files.h"

using namespace loopread;
using namespace loopread::picture_files;

namespace {

constexpr LinearRgb kUnder{0.25, 0.5, 0.75};
// Colours go through YCbCr in whole numbers: two codes, at a slope of at most 2.3 / 255 a code.
constexpr double kTwoCodes = 2 * 2.3 / 255;

double apart(LinearRgb a, LinearRgb b) {
    return std::max({std::abs(a.r - b.r), std::abs(a.g - b.g), std::abs(a.b - b.b)});
}

LinearRgb light_of(const Code& code) {
    return {linear_from_encoded(code.r / 255.0), linear_from_encoded(code.g / 255.0),
            linear_from_encoded(code.b / 255.0)};
}

Image read(const std::filesystem::path& file, int shrink = 1) {
    return read_picture(file, {.shrink = shrink, .under_transparent = kUnder});
}

/// Where the stored corners of the pattern lie in the picture as seen, clockwise from top left: 0 is the stored top
/// left, 2 the top right, 5 the bottom right, 3 the bottom left. From the words of [Exif 2.3].
struct Seen {
    int orientation, rows, columns;
    std::size_t corners[4];
};
constexpr Seen kSeen[] = {
    {1, 2, 3, {0, 2, 5, 3}}, {2, 2, 3, {2, 0, 3, 5}}, {3, 2, 3, {5, 3, 0, 2}}, {4, 2, 3, {3, 5, 2, 0}},
    {5, 3, 2, {0, 3, 5, 2}}, {6, 3, 2, {3, 0, 2, 5}}, {7, 3, 2, {5, 2, 0, 3}}, {8, 3, 2, {2, 5, 3, 0}},
};

cv::Mat noise(int rows, int columns) {
    Random random(5, 2);
    cv::Mat mat(rows, columns, CV_8UC3);
    for (int r = 0; r < rows; ++r)
        for (int i = 0; i < 3 * columns; ++i) mat.ptr(r)[i] = static_cast<unsigned char>(256 * random.uniform());
    return mat;
}

std::string refusal(const Folder& folder, const std::filesystem::path& file, double max_megapixels = 200) {
    std::string message;
    const std::string printed = printed_errors(folder, [&] {
        try {
            read_picture(file, {.shrink = 1, .under_transparent = {}, .max_megapixels = max_megapixels});
        } catch (const Error& error) {
            if (error.kind() == ErrorKind::input) message = error.what();
        }
    });
    CHECK(printed == "");
    return message;
}

/// The first four bytes after the version of a box.
std::size_t box_value(const std::string& bytes, const std::string& name) {
    const std::size_t at = bytes.find(name);
    REQUIRE(at != std::string::npos);
    return at + 8;
}

}  // namespace

TEST_SUITE("photo") {
    TEST_CASE("a HEIC is read upright, whichever way its boxes turn it") {
        const Folder folder;
        for (const Seen& seen : kSeen) {
            CAPTURE(seen.orientation);
            HeicShape shape;
            shape.orientation = seen.orientation;
            const auto file = folder.file("a.heic", heic(pattern_mat(3), shape));
            const PictureHeader header = picture_header(file);
            CHECK(header.format == PictureFormat::heic);
            CHECK(header.from_camera);
            CHECK(header.height == seen.rows);
            CHECK(header.width == seen.columns);
            const Image image = read(file);
            REQUIRE(image.rows() == seen.rows);
            REQUIRE(image.columns() == seen.columns);
            const int bottom = seen.rows - 1, right = seen.columns - 1;
            CHECK(apart(image(0, 0), light_of(pattern()[seen.corners[0]])) < kTwoCodes);
            CHECK(apart(image(0, right), light_of(pattern()[seen.corners[1]])) < kTwoCodes);
            CHECK(apart(image(bottom, right), light_of(pattern()[seen.corners[2]])) < kTwoCodes);
            CHECK(apart(image(bottom, 0), light_of(pattern()[seen.corners[3]])) < kTwoCodes);
        }
    }

    TEST_CASE("the name's ending and the brand of a HEIC in a general wrapper do not matter") {
        const Folder folder;
        std::string bytes = heic(pattern_mat(3));
        REQUIRE(bytes.substr(8, 4) == "heic");
        bytes.replace(8, 4, "mif1");
        CHECK(apart(read(folder.file("a.jpg", bytes))(0, 0), light_of(pattern()[0])) < kTwoCodes);
    }

    TEST_CASE("a HEIC is reduced to its mean") {
        const Folder folder;
        const auto file = folder.file("a.heic", heic(noise(64, 48)));
        const Image full = read(file), small = read(file, 16);
        REQUIRE(small.rows() == 4);
        REQUIRE(small.columns() == 3);
        LinearRgb sum;
        for (int r = 16; r < 32; ++r)
            for (int c = 32; c < 48; ++c) sum += full(r, c);
        CHECK(apart(small(1, 2), sum * (1 / 256.0)) < 1e-12);
    }

    TEST_CASE("a HEIC's profile and its colour numbers are heeded") {
        const Folder folder;
        const Code code{200, 30, 90};
        const LinearRgb expected{0.704598, -0.010762, 0.099932};  // transicc as in profile_test.cpp, display_p3()
        const cv::Mat even(16, 16, CV_8UC3, cv::Scalar(code.b, code.g, code.r));
        HeicShape tagged;
        tagged.profile = display_p3();
        const auto file = folder.file("a.heic", heic(even, tagged));
        CHECK(apart(read(file)(8, 8), expected) < kTwoCodes);
        CHECK(picture_header(file).colour_note == "");
        HeicShape numbered;
        numbered.primaries = 12;
        numbered.transfer = 13;
        CHECK(apart(read(folder.file("b.heic", heic(even, numbered)))(8, 8), expected) < kTwoCodes);
        CHECK(apart(read(folder.file("c.heic", heic(even)))(8, 8), light_of(code)) < kTwoCodes);
        CHECK(apart(expected, light_of(code)) > 2 * kTwoCodes);
        HeicShape hdr;
        hdr.primaries = 9;
        hdr.transfer = 16;
        CHECK(has(picture_header(folder.file("d.heic", heic(even, hdr))).colour_note, "HDR"));
    }

    TEST_CASE("a HEIC whose colour numbers nobody knows is read as if it had none, and leaks nothing") {
        const Folder folder;
        HeicShape shape;
        shape.primaries = 1;
        shape.transfer = 13;
        std::string bytes = heic(pattern_mat(3), shape);
        const std::size_t numbers = bytes.find("nclx");
        REQUIRE(numbers != std::string::npos);
        bytes.replace(numbers + 6, 2, std::string("\0\xee", 2));  // the transfer characteristics
        CHECK(read(folder.file("odd.heic", bytes)) == read(folder.file("plain.heic", heic(pattern_mat(3)))));
    }

    TEST_CASE("ten bits of a HEIC are kept") {
        const Folder folder;
        HeicShape shape;
        shape.bits = 10;
        const auto lights = [&](int value) {
            const cv::Mat even(16, 16, CV_16UC3, cv::Scalar(value, value, value));
            return read(folder.file("a.heic", heic(even, shape)))(8, 8).g;
        };
        // One step of ten bits is a quarter of a code.
        for (const int value : {400, 401, 402, 1023})
            CHECK(std::abs(lights(value) - linear_from_encoded(value / 1023.0)) < 0.3 * 2.3 / 1023);
    }

    TEST_CASE("a HEIC's transparent pixels become what lies under them") {
        const Folder folder;
        const Image image = read(folder.file("a.heic", heic(pattern_mat(4))));
        for (int i = 0; i < 6; ++i) {
            CAPTURE(i);
            const Code& code = pattern()[static_cast<std::size_t>(i)];
            CHECK(apart(image(i / 3, i % 3), mixed(kUnder, light_of(code), code.a / 255.0)) < kTwoCodes);
        }
        HeicShape shape;
        shape.premultiplied = true;
        const cv::Mat half(16, 16, CV_8UC4, cv::Scalar(45, 15, 100, 128));
        const Image divided = read(folder.file("b.heic", heic(half, shape)));
        const LinearRgb straight = light_of({100 * 255 / 128, 15 * 255 / 128, 45 * 255 / 128});
        CHECK(apart(divided(8, 8), mixed(kUnder, straight, 128 / 255.0)) < 2 * kTwoCodes);
    }

    TEST_CASE("a HEIC cut at any of 30 places is refused in words and in silence") {
        const Folder folder;
        const std::string bytes = heic(noise(40, 50));
        CHECK(refusal(folder, folder.file("a.heic", bytes)) == "");
        for (std::size_t i = 1; i <= 30; ++i) {
            const std::size_t kept = std::max<std::size_t>(16, bytes.size() * i / 31);
            CAPTURE(kept);
            CHECK(has(refusal(folder, folder.file("b.heic", bytes.substr(0, kept))), "damaged or cut short"));
        }
    }

    TEST_CASE("a HEIC that claims 60,000 x 60,000 pixels is refused from its boxes alone") {
        const Folder folder;
        std::string bytes = heic(pattern_mat(3));
        // Every size box in it, that of the coded picture and that of the crop's source.
        for (std::size_t at = bytes.find("ispe"); at != std::string::npos; at = bytes.find("ispe", at + 4))
            bytes.replace(at + 8, 8, number(60000, 4, Order::big) + number(60000, 4, Order::big));
        if (const std::size_t crop = bytes.find("clap"); crop != std::string::npos) bytes.replace(crop, 4, "free");
        const std::string message = refusal(folder, folder.file("a.heic", bytes));
        CHECK(has(message, "claims 60000 x 60000 pixels"));
        CHECK(has(message, "limit of 200 megapixels"));
    }

    TEST_CASE("a HEIC's coded size is read off the decoder's set-up") {
        // libheif enlarges a side under 64 to 64 before it codes.
        CHECK(most_coded_pixels(heic(noise(64, 48))) == 64 * 64);
        CHECK(most_coded_pixels(heic(noise(200, 1000))) == 208 * 1008);  // whole blocks of 16
        CHECK(most_coded_pixels("") == 0);
        const std::string bytes = heic(noise(64, 48));
        for (std::size_t kept = 0; kept < bytes.size(); kept += 5)
            CHECK(most_coded_pixels(bytes.substr(0, kept)) <= 64 * 64);
    }

    TEST_CASE("a small HEIC whose decoder is set up for a huge picture is refused before it is decoded") {
        const Folder folder;
        // Its boxes say 3 x 2; the set-up is that of a picture of 4.3 megapixels.
        const std::string small = heic(pattern_mat(3)), large = heic(cv::Mat(2048, 2112, CV_8UC3, cv::Scalar(9, 8, 7)));
        std::string bomb = large;
        for (std::size_t at = bomb.find("ispe"); at != std::string::npos; at = bomb.find("ispe", at + 4))
            bomb.replace(at + 8, 8, number(3, 4, Order::big) + number(2, 4, Order::big));
        CHECK(most_coded_pixels(bomb) == 2048 * 2112);
        CHECK(refusal(folder, folder.file("a.heic", small)) == "");
        CHECK(has(refusal(folder, folder.file("b.heic", bomb)), "damaged or cut short"));
        CHECK_THROWS_AS(picture_header(folder.path() / "b.heic"), Error);
    }

    TEST_CASE("a HEIC whose coded picture is not as large as its boxes say is refused") {
        const Folder folder;
        std::string bytes = heic(noise(64, 64));
        bytes.replace(box_value(bytes, "ispe"), 8, number(65, 4, Order::big) + number(64, 4, Order::big));
        CHECK(has(refusal(folder, folder.file("a.heic", bytes)), "damaged or cut short"));
    }

#ifndef LOOPREAD_SANITIZED  // a sanitizer holds more addresses than any picture
    TEST_CASE("a HEIC of 16 x 16 pixels whose tiles claim a canvas of 64751 x 65519 has no memory set aside for it") {
        const auto peak_gigabytes = [] {  // of the addresses this process has held so far [proc(5)]
            std::ifstream status("/proc/self/status");
            for (std::string line; std::getline(status, line);)
                if (line.starts_with("VmPeak:")) return std::stod(line.substr(7)) / 1024 / 1024;
            return 0.0;
        };
        const double before = peak_gigabytes();
        REQUIRE(before > 0);
        REQUIRE(before < 3);  // the canvas would take 4 GB
        const Folder folder;
        const auto file = folder.file("a.heic", file_bytes(LOOPREAD_SOURCE "/tests/fuzz/corpus/picture/"
                                                                           "heic-tiles-claim-a-huge-canvas.heic"));
        CHECK(picture_header(file).width == 16);
        CHECK(has(refusal(folder, file), "damaged or cut short"));
        CHECK(peak_gigabytes() - before < 0.5);
    }
#endif

    TEST_CASE("AVIF, HEIC sequences and films are refused by name, whatever wrapper they come in") {
        const Folder folder;
        const auto said = [&](const std::string& major, const std::string& compatible) {
            const std::string box = "ftyp" + major + std::string(4, '\0') + compatible;
            return refusal(folder, folder.file("x.heic", number(box.size() + 4, 4, Order::big) + box));
        };
        CHECK(has(said("avif", "mif1miaf"), "AVIF picture, which is not read; export it as PNG or JPEG"));
        CHECK(has(said("mif1", "mif1avif"), "AVIF picture, which is not read; export it as PNG or JPEG"));
        CHECK(has(said("hevc", "msf1hevc"), "HEIC sequence, which is not read; export it as JPEG"));
        CHECK(has(said("qt  ", "qt  "), "is a film"));
        CHECK(has(said("heic", "mif1heic"), "damaged or cut short"));  // a brand and nothing behind it
    }
}
