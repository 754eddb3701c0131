#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "base/words_in.h"
#include "loopread/base/error.h"
#include "loopread/photo/read.h"
#include "photo/colour_profile.h"
#include "photo/profile_picture_files.h"

using namespace loopread;
using namespace loopread::picture_files;

namespace {

constexpr LinearRgb kUnder{0.25, 0.5, 0.75};

// An ICC profile stores primaries and curve in steps of 1/65536. Undoing the blue primary of sRGB multiplies that by up
// to 4, and three of them add up.
constexpr double kRoundedProfile = 1e-4;

double apart(LinearRgb a, LinearRgb b) {
    return std::max({std::abs(a.r - b.r), std::abs(a.g - b.g), std::abs(a.b - b.b)});
}

LinearRgb srgb_light(const Code& code) {
    return {linear_from_encoded(code.r / 255.0), linear_from_encoded(code.g / 255.0),
            linear_from_encoded(code.b / 255.0)};
}

/// One pixel, 8 bits, behind the given chunks.
std::string pixel_png(const Code& code, const std::string& before) {
    std::string row;
    for (int k = 0; k < 3; ++k) row += static_cast<char>(code.channel(k));
    return png({1, 1, 8, 2}, {row}, before);
}

LinearRgb read_one(const std::filesystem::path& file) {
    return read_picture(file, {.shrink = 1, .under_transparent = kUnder})(0, 0);
}

cv::Mat even_mat(const Code& code) {
    return cv::Mat(16, 16, CV_8UC3, cv::Scalar(code.b, code.g, code.r));
}

std::string note(const std::filesystem::path& file) {
    return picture_header(file).colour_note;
}

/// Codes and the linear sRGB light they stand for.
struct Known {
    Code code;
    LinearRgb light;
};

/// Display P3 as gamma-encoded sRGB by npm culori 4.0.2, converter from mode 'p3' (which mirrors the curve below 0).
struct KnownEncoded {
    Code code;
    double r, g, b;
};
constexpr KnownEncoded kDisplayP3Known[] = {
    {{255, 255, 255}, 1.00000000, 1.00000000, 1.00000000}, {{128, 128, 128}, 0.50196078, 0.50196078, 0.50196078},
    {{255, 0, 0}, 1.09306636, -0.22674197, -0.15013458},   {{0, 255, 0}, -0.51160498, 1.01826566, -0.31067462},
    {{0, 0, 255}, 0.00000000, 0.00000000, 1.04202162},     {{200, 30, 90}, 0.85678064, -0.10466565, 0.34906589},
    {{90, 200, 30}, -0.05786564, 0.79629807, -0.20020123}, {{30, 90, 200}, -0.07921831, 0.35911650, 0.81297099},
    {{64, 128, 128}, 0.12445763, 0.50933424, 0.50542056},  {{153, 153, 140}, 0.60000000, 0.60000000, 0.54367726},
    {{180, 90, 60}, 0.75863713, 0.32703632, 0.19845082},   {{240, 200, 60}, 0.97198588, 0.77678533, -0.11720474},
    {{120, 40, 140}, 0.51197848, 0.12427867, 0.56818427},  {{245, 235, 220}, 0.96931810, 0.91987066, 0.85580219},
};

/// Not for the limits of the gamut: straight through 0 instead.
double mirrored_light(double encoded) {
    return encoded < 0 ? -linear_from_encoded(-encoded) : linear_from_encoded(encoded);
}

/// transicc 5.1 of LittleCMS 2.14, 255 times the light. The profiles are those of profile_picture_files.h in files,
/// linear.icc is sRGB with a curve of gamma 1:
///   printf '200\n30\n90\n' | transicc -i adobe.icc -o linear.icc -t 1 -v0 -n
/// Four decimals of 255; and linear.icc is stored in steps of 1/65536, as the profile under test is.
constexpr double kTransicc = 1e-4 / 255 + 2.0 / 65536;
constexpr Known kAdobeKnown[] = {
    {{200, 30, 90}, {208.0726, 2.3018, 26.8244}},   {{90, 200, 30}, {-23.4388, 149.4510, -4.0127}},
    {{153, 153, 140}, {82.9180, 82.9172, 67.5770}}, {{180, 90, 60}, {155.4836, 25.8108, 9.9301}},
    {{64, 128, 128}, {-5.2581, 56.0086, 56.0069}},
};
/// The same with p3table.icc: display_p3() as a table.
constexpr Known kTableKnown[] = {
    {{200, 30, 90}, {179.6785, -2.7153, 25.4726}},  {{90, 200, 30}, {-1.1598, 152.3764, -8.4319}},
    {{153, 153, 140}, {81.2456, 81.2215, 65.4556}}, {{180, 90, 60}, {136.7070, 22.2920, 8.3137}},
    {{64, 128, 128}, {3.6362, 56.8128, 55.8694}},
};

}  // namespace

TEST_SUITE("photo") {
    TEST_CASE("Display P3 pictures show the published colours, out of gamut too") {
        const Folder folder;
        const std::string profile = display_p3();
        for (const KnownEncoded& known : kDisplayP3Known) {
            CAPTURE(known.code.r);
            CAPTURE(known.code.g);
            CAPTURE(known.code.b);
            const LinearRgb expected{mirrored_light(known.r), mirrored_light(known.g), mirrored_light(known.b)};
            CHECK(apart(read_one(folder.file("a.png", pixel_png(known.code, iccp(profile)))), expected) <
                  kRoundedProfile);
            const std::string photo =
                with_segments(jpeg(even_mat(known.code), {.quality = 100, .progressive = false, .exif_data = {}}),
                              profile_parts(profile, 1));
            const LinearRgb seen = read_one(folder.file("a.jpg", photo));
            constexpr double kJpegCodes = 2.5;  // YCbCr in whole numbers, at a slope of at most 2.3 / 255 a code
            CHECK(apart(seen, expected) < kJpegCodes * 2.3 / 255);
            CHECK(note(folder.path() / "a.jpg") == "");
        }
    }

    TEST_CASE("the profile of a JPEG may come in parts, in any order, and behind other segments") {
        const Folder folder;
        const std::string plain = jpeg(even_mat({200, 30, 90}));
        const LinearRgb whole = read_one(folder.file("w.jpg", with_segments(plain, profile_parts(display_p3(), 1))));
        CHECK(apart(whole, read_one(folder.file("plain.jpg", plain))) > 0.05);
        std::vector<std::string> parts = profile_parts(display_p3(), 5);
        CHECK(read_one(folder.file("a.jpg", with_segments(plain, parts))) == whole);
        std::rotate(parts.begin(), parts.begin() + 2, parts.end());
        CHECK(read_one(folder.file("b.jpg", with_segments(plain, parts))) == whole);
        parts.insert(parts.begin() + 1, std::string("\xff\xe2\0\x06MPF\0", 8));
        CHECK(read_one(folder.file("c.jpg", with_segments(plain, parts))) == whole);
        // Behind the frame's header, where it is seldom put but may be.
        const std::size_t scan = plain.find("\xff\xda");
        const std::string late = plain.substr(0, scan) + profile_parts(display_p3(), 1)[0] + plain.substr(scan);
        CHECK(read_one(folder.file("d.jpg", late)) == whole);
        parts.pop_back();
        const auto cut = folder.file("e.jpg", with_segments(plain, parts));
        CHECK(read_one(cut) == read_one(folder.path() / "plain.jpg"));
        CHECK(has(note(cut), "colour profile is damaged"));
    }

    TEST_CASE("PNG, WebP and TIFF carry the profile each in its way and 16 bits are kept under it") {
        const Folder folder;
        const std::string profile = display_p3();
        const auto lights = [&](const std::filesystem::path& file) {
            return read_picture(file, {.shrink = 1, .under_transparent = kUnder});
        };
        const std::vector<std::string> wide_rows = [] {
            std::vector<std::string> rows(2);
            for (std::size_t i = 0; i < 6; ++i)
                for (int k = 0; k < 3; ++k)
                    rows[i / 3] += std::string(2, static_cast<char>(pattern()[i].channel(k)));  // 257 times the code
            return rows;
        }();
        const Image expected = lights(folder.file("a.png", pattern_png(iccp(profile))));
        TiffShape tiff;
        const auto same = [&](const std::filesystem::path& file) {
            const Image image = lights(file);
            REQUIRE(image.size() == expected.size());
            double most = 0;
            for (int i = 0; i < 6; ++i) most = std::max(most, apart(image(i / 3, i % 3), expected(i / 3, i % 3)));
            return most;
        };
        constexpr double kExact = 1e-6;  // lcms2 reckons in float
        CHECK(same(folder.file("b.png", png({3, 2, 16, 2}, wide_rows, iccp(profile)))) < kExact);
        CHECK(same(folder.file("a.webp", webp_with_profile(pattern_mat(3), profile))) < kExact);
        for (const Order order : {Order::big, Order::little})
            for (const int depth : {8, 16}) {
                tiff.order = order;
                tiff.depth = depth;
                CHECK(same(folder.file("a.tif", tiff_with_profile(tiff, profile))) < kExact);
            }
        for (const char* name : {"a.png", "b.png", "a.webp", "a.tif"}) CHECK(note(folder.path() / name) == "");
        CHECK(apart(expected(0, 0), srgb_light(pattern()[0])) > 0.02);
    }

    TEST_CASE("the low byte of a 16-bit Display P3 PNG counts") {
        const Folder folder;
        const std::string profile = display_p3();
        const auto grey_of = [&](int low) {
            std::string pixel;
            for (int k = 0; k < 3; ++k) pixel += std::string("\x80") + static_cast<char>(low);
            return read_one(folder.file("a.png", png({1, 1, 16, 2}, {pixel}, iccp(profile)))).g;
        };
        // A grey is the same in both spaces.
        CHECK(std::abs(grey_of(0) - linear_from_encoded(0x8000 / 65535.0)) < kRoundedProfile);
        CHECK(grey_of(0xff) - grey_of(0) ==
              doctest::Approx(linear_from_encoded(0x80ff / 65535.0) - linear_from_encoded(0x8000 / 65535.0))
                  .epsilon(0.01));
    }

    TEST_CASE("other matrix profiles and tables of colours agree with transicc") {
        const Folder folder;
        for (const Known& known : kAdobeKnown) {
            CAPTURE(known.code.r);
            const LinearRgb light = read_one(folder.file("a.png", pixel_png(known.code, iccp(adobe_rgb()))));
            CHECK(apart(light, known.light * (1 / 255.0)) < kTransicc);
        }
        // A table is too long for a stored block of deflate.
        const std::string table = table_profile(display_p3());
        REQUIRE(table.size() > 100'000);
        for (const Known& known : kTableKnown) {
            CAPTURE(known.code.r);
            TiffShape shape;
            std::string file = tiff_with_profile(shape, table);
            for (int k = 0; k < 3; ++k) file[8U + static_cast<unsigned>(k)] = static_cast<char>(known.code.channel(k));
            const LinearRgb light = read_one(folder.file("a.tif", file));
            CHECK(apart(light, known.light * (1 / 255.0)) < kTransicc);
        }
    }

    TEST_CASE("grey profiles bend the greys of grey pictures, with and without alpha") {
        const Folder folder;
        const std::string profile = grey_profile(1.8);
        for (const int code : {10, 100, 200, 255}) {
            CAPTURE(code);
            const std::string pixel(1, static_cast<char>(code));
            const double expected = std::pow(code / 255.0, 1.8);
            constexpr LinearRgb kWhite{1, 1, 1};
            const LinearRgb light = read_one(folder.file("a.png", png({1, 1, 8, 0}, {pixel}, iccp(profile))));
            CHECK(apart(light, kWhite * expected) < kRoundedProfile);
            const LinearRgb clear = read_one(folder.file("b.png", png({1, 1, 8, 4}, {pixel + "\x33"}, iccp(profile))));
            CHECK(apart(clear, mixed(kUnder, kWhite * expected, 0.2)) < kRoundedProfile);
            const cv::Mat even(16, 16, CV_8UC1, cv::Scalar(code));
            const LinearRgb photo =
                read_one(folder.file("a.jpg", with_segments(jpeg(even), profile_parts(profile, 1))));
            CHECK(apart(photo, light) < 2.3 / 255);  // one code of JPEG's rounding
        }
    }

    TEST_CASE("transparent pixels of a Display P3 picture lie over the same ground as any") {
        const Folder folder;
        const auto over = [&](char alpha, const std::string& profile) {
            return read_one(folder.file("a.png", png({1, 1, 8, 6}, {std::string("\xc8\x1e\x5a") + alpha}, profile)));
        };
        const LinearRgb opaque = read_one(folder.file("o.png", pixel_png({200, 30, 90}, iccp(display_p3()))));
        CHECK(apart(over('\0', iccp(display_p3())), kUnder) < 1e-12);
        CHECK(apart(over('\x33', iccp(display_p3())), mixed(kUnder, opaque, 0.2)) < 1e-12);
        TiffShape shape;
        shape.channels = 4;
        shape.extra_samples = 2;
        const std::string table = table_profile(display_p3());
        const Image image = read_picture(folder.file("a.tif", tiff_with_profile(shape, table)),
                                         {.shrink = 1, .under_transparent = kUnder});
        CHECK(image(0, 1) == kUnder);
        shape.extra_samples = -1;
        const Image bare = read_picture(folder.file("b.tif", tiff_with_profile(shape, table)), {});
        CHECK(apart(image(0, 0), mixed(kUnder, bare(0, 0), 128 / 255.0)) < 1e-7);  // alpha in float
    }

    TEST_CASE("averaging is done in light, so before or after the matrix is the same") {
        const Folder folder;
        const auto file = folder.file("a.png", pattern_png(iccp(display_p3())));
        const Image full = read_picture(file, {.shrink = 1, .under_transparent = {}});
        const Image mean = read_picture(file, {.shrink = 3, .under_transparent = {}});
        LinearRgb sum;
        for (const LinearRgb& light : full) sum += light;
        CHECK(apart(mean(0, 0), sum * (1 / 6.0)) < 1e-12);
    }

    TEST_CASE("a profile of sRGB changes nothing, not even the last digit") {
        const Folder folder;
        const std::string srgb = rgb_profile(kSrgb, srgb_curve());
        const auto tagged = folder.file("a.png", pattern_png(iccp(srgb)));
        const auto bare = folder.file("b.png", pattern_png());
        CHECK(read_picture(tagged, {}) == read_picture(bare, {}));
        CHECK(note(tagged) == "");
        // But one whose curve is a plain power is another thing: 0.9 of a code in the dark.
        const auto power = folder.file("c.png", pattern_png(iccp(rgb_profile(kSrgb, cmsBuildGamma(nullptr, 2.2)))));
        CHECK_FALSE(read_picture(power, {}) == read_picture(bare, {}));
    }

    TEST_CASE("a broken profile is passed over with a note and never fails") {
        const Folder folder;
        const Image plain = read_picture(folder.file("plain.png", pattern_png()), {});
        const auto passed_over = [&](const std::string& name, const std::string& bytes, const std::string& words) {
            CAPTURE(name);
            const auto file = folder.file(name, bytes);
            std::string told;
            Image image;
            const std::string printed = printed_errors(folder, [&] {
                told = note(file);
                image = read_picture(file, {});
            });
            CHECK(printed == "");
            CHECK_MESSAGE(has(told, words), told);
            CHECK(image == plain);
        };
        const std::string profile = display_p3();
        passed_over("rest.png", pattern_png(chunk("iCCP", std::string("abc\0\0junk", 9))), "damaged");
        passed_over("name.png", pattern_png(chunk("iCCP", "abc")), "damaged");
        passed_over("empty.png", pattern_png(iccp("")), "damaged");
        passed_over("cut.png", pattern_png(iccp(profile.substr(0, 200))), "damaged");
        passed_over("noise.png", pattern_png(iccp(std::string(600, '\x5a'))), "damaged");
        passed_over("grey.png", pattern_png(iccp(grey_profile(1.8))), "another kind of picture");
        passed_over("lab.png", pattern_png(iccp(lab_profile())), "another kind of picture");
        passed_over("empty.webp", webp_with_profile(pattern_mat(3), ""), "damaged");
        std::string bright = profile;
        const std::size_t red = bright.find("XYZ ", 128 + 4);  // the first value of that type that is not in the table
        REQUIRE(red != std::string::npos);
        for (std::size_t at = bright.find("XYZ ", 128); at != std::string::npos; at = bright.find("XYZ ", at + 4))
            if (at % 4 == 0 && bright.substr(at + 4, 4) == std::string(4, '\0'))
                bright.replace(at + 8, 4, "\x70\0\0\0");
        passed_over("bright.png", pattern_png(iccp(bright)), "damaged");
    }

    TEST_CASE("a profile of colours that nothing has a name for is passed over, as is one of another kind") {
        const Folder folder;
        std::string profile = display_p3();
        profile.replace(16, 4, "\xdf\xfe\1\0", 4);  // the top bit set: beyond the enum that lcms2 gives it out as
        CHECK(has(note(folder.file("a.png", pattern_png(iccp(profile)))), "another kind of picture"));
    }

    TEST_CASE("a profile damaged anywhere is used or passed over, and no light runs away") {
        const Folder folder;
        const std::string profile = display_p3();
        for (std::size_t at = 0; at < profile.size(); at += 3) {
            CAPTURE(at);
            std::string broken = profile;
            broken[at] = static_cast<char>(broken[at] ^ 0xff);
            const auto file = folder.file("a.png", pattern_png(iccp(broken)));
            for (const LinearRgb& light : read_picture(file, {}))
                CHECK(std::max({std::abs(light.r), std::abs(light.g), std::abs(light.b)}) <= 4);
        }
    }

    TEST_CASE("the colour numbers of a PNG count before its profile") {
        const Folder folder;
        const auto cicp = [](int primaries, int transfer) {
            return chunk("cICP", std::string(1, static_cast<char>(primaries)) + static_cast<char>(transfer) +
                                     std::string("\0\1", 2));
        };
        const Code code{200, 30, 90};
        const LinearRgb p3 = read_one(folder.file("a.png", pixel_png(code, iccp(display_p3()))));
        CHECK(apart(read_one(folder.file("b.png", pixel_png(code, cicp(12, 13)))), p3) < kRoundedProfile);
        const auto plain = folder.file("c.png", pixel_png(code, cicp(1, 13) + iccp(display_p3())));
        CHECK(read_one(plain) == srgb_light(code));
        CHECK(note(plain) == "");
        const auto hdr = folder.file("d.png", pixel_png(code, cicp(9, 16)));
        CHECK(read_one(hdr) == srgb_light(code));
        CHECK(has(note(hdr), "HDR"));
        CHECK(has(note(folder.file("e.png", pixel_png(code, cicp(200, 13)))), "rare kind"));
    }

    TEST_CASE("a stencil goes by its stored values, whatever the profile") {
        const Folder folder;
        CHECK(read_stencil(folder.file("a.png", pattern_png(iccp(display_p3()))), 1) ==
              read_stencil(folder.file("b.png", pattern_png()), 1));
    }

    TEST_CASE("the inverse of a matrix undoes it") {
        const LightMatrix matrix{{{{1, 2, 3}, {0, 1, 4}, {5, 6, 0}}}};
        CHECK(determinant(matrix) == doctest::Approx(1));
        const LinearRgb light{0.3, -0.2, 0.7};
        CHECK(apart(inverse(matrix) * (matrix * light), light) < 1e-12);
    }
}
