#include "loopread/photo/srgb_profile.h"

#include <doctest/doctest.h>
#include <lcms2.h>

#include <cmath>
#include <string>

#include "base/temporary_folder.h"
#include "loopread/photo/read.h"
#include "loopread/photo/write.h"
#include "photo/picture_files.h"
#include "photo/profile_picture_files.h"

using namespace loopread;

namespace {

Picture8 colours() {
    Picture8 picture(16, 16);
    for (int r = 0; r < 16; ++r)
        for (int c = 0; c < 16; ++c)
            picture(r, c) = {static_cast<std::uint8_t>(16 * r), static_cast<std::uint8_t>(16 * c),
                             static_cast<std::uint8_t>(255 - 8 * (r + c))};
    return picture;
}

/// The profile of a JPEG: what stands behind "ICC_PROFILE", 0, number and count [ICC 1:2010, B.4].
std::string profile_in_jpeg(const std::string& file) {
    const std::size_t name = file.find(std::string("ICC_PROFILE\0\x01\x01", 14));
    REQUIRE(name != std::string::npos);
    const auto byte = [&](std::size_t at) { return static_cast<std::size_t>(static_cast<unsigned char>(file[at])); };
    CHECK(byte(name - 4) == 0xff);
    CHECK(byte(name - 3) == 0xe2);
    const std::size_t length = byte(name - 2) * 256 + byte(name - 1);
    return file.substr(name + 14, length - 16);
}

}  // namespace

TEST_SUITE("photo") {
    // Read back by lcms2, against its own sRGB and against one built from the primaries of CSS Color 4, section 10.
    TEST_CASE("the profile that is written reads back as sRGB") {
        const std::string bytes = profile_in_jpeg(with_srgb_profile(jpeg_bytes(colours(), 90)));
        CHECK(bytes == srgb_profile());
        cmsHPROFILE profile = cmsOpenProfileFromMem(bytes.data(), static_cast<cmsUInt32Number>(bytes.size()));
        REQUIRE(profile != nullptr);
        char name[64] = {};
        cmsGetProfileInfoASCII(profile, cmsInfoDescription, "en", "US", name, sizeof name);
        CHECK(std::string(name) == "sRGB IEC61966-2.1");
        const std::string by_hand = picture_files::rgb_profile(picture_files::kSrgb, picture_files::srgb_curve());
        cmsHPROFILE srgb = cmsOpenProfileFromMem(by_hand.data(), static_cast<cmsUInt32Number>(by_hand.size()));
        cmsHTRANSFORM change = cmsCreateTransform(profile, TYPE_RGB_8, srgb, TYPE_RGB_8, INTENT_RELATIVE_COLORIMETRIC,
                                                  cmsFLAGS_NOOPTIMIZE);
        int most = 0;
        for (const Srgb8 code : colours()) {
            const unsigned char in[3] = {code.r, code.g, code.b};
            unsigned char out[3] = {};
            cmsDoTransform(change, in, out, 1);
            for (int i = 0; i < 3; ++i) most = std::max(most, std::abs(in[i] - out[i]));
        }
        CHECK(most <= 1);  // one code: both profiles round their primaries to 16 bits
        cmsDeleteTransform(change);
        cmsCloseProfile(srgb);
        cmsCloseProfile(profile);
    }

    TEST_CASE("a picture with the profile reads back as it was written") {
        const TemporaryFolder folder;
        const Picture8 picture = colours();
        const auto png = folder.file("a.png", with_srgb_profile(png_bytes(picture)));
        const Image read = read_picture(png, {});
        int most = 0;
        const Picture8 back = encoded(read);
        for (int r = 0; r < 16; ++r)
            for (int c = 0; c < 16; ++c)
                most = std::max({most, std::abs(back(r, c).r - picture(r, c).r),
                                 std::abs(back(r, c).g - picture(r, c).g), std::abs(back(r, c).b - picture(r, c).b)});
        CHECK(most <= 1);
        CHECK(picture_header(png).colour_note.empty());
        const auto jpeg = folder.file("a.jpg", with_srgb_profile(jpeg_bytes(picture, 90)));
        CHECK(picture_header(jpeg).width == 16);
        CHECK_FALSE(picture_header(jpeg).names_camera);
    }

    TEST_CASE("a second profile is not put beside the first") {
        const std::string jpeg = with_srgb_profile(jpeg_bytes(colours(), 90));
        CHECK_THROWS_AS(with_srgb_profile(jpeg), std::logic_error);
        CHECK_THROWS_AS(with_srgb_profile(with_srgb_profile(png_bytes(colours()))), std::logic_error);
        CHECK_THROWS_AS(with_srgb_profile("GIF89a"), std::logic_error);
    }
}
