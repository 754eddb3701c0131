#include "loopread/photo/write.h"

#include <doctest/doctest.h>

#include "loopread/photo/read.h"
#include "photo/picture_files.h"

using namespace loopread;
using namespace loopread::picture_files;

namespace {

Picture8 many_colours() {
    Picture8 picture(37, 53);
    int n = 0;
    for (Srgb8& p : picture) {
        p = {static_cast<std::uint8_t>(n % 256), static_cast<std::uint8_t>(n / 7 % 256),
             static_cast<std::uint8_t>(n * n % 251)};
        ++n;
    }
    return picture;
}

}  // namespace

TEST_SUITE("photo") {
    TEST_CASE("a written picture is read back as it was") {
        const Folder folder;
        const auto file = folder.file("a.png", png_bytes(many_colours()));
        CHECK(encoded(read_picture(file, {.shrink = 1, .under_transparent = {}})) == many_colours());
    }

    TEST_CASE("red is written first and nothing is stored beside the pixels") {
        const std::string bytes = png_bytes(Picture8(1, 1, Srgb8{255, 128, 0}));
        CHECK(bytes.starts_with(std::string(kPngSignature) + ihdr({1, 1, 8, 2})));
        for (const char* name : {"tEXt", "tIME", "iCCP", "gAMA", "pHYs", "eXIf"})
            CHECK(bytes.find(name) == std::string::npos);
        const cv::Mat mat = cv::imdecode(std::vector<unsigned char>(bytes.begin(), bytes.end()), cv::IMREAD_UNCHANGED);
        CHECK(mat.at<cv::Vec3b>(0, 0) == cv::Vec3b(0, 128, 255));
    }

    TEST_CASE("the same pixels make the same bytes") {
        CHECK(png_bytes(many_colours()) == png_bytes(many_colours()));
    }

    TEST_CASE("a picture without pixels breaks the contract") {
        CHECK_THROWS_AS(png_bytes(Picture8{}), std::logic_error);
    }
}
