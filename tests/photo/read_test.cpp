#include "loopread/photo/read.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include <opencv2/imgproc.hpp>

#include "base/words_in.h"
#include "loopread/base/error.h"
#include "loopread/base/random.h"
#include "loopread/image/sampling.h"
#include "photo/picture_files.h"

using namespace loopread;
using namespace loopread::picture_files;

namespace {

constexpr double kExact = 1e-12;  // a table look-up against the same formula
constexpr LinearRgb kUnder{0.25, 0.5, 0.75};

Image read(const std::filesystem::path& file, int shrink = 1) {
    return read_picture(file, {.shrink = shrink, .under_transparent = kUnder});
}

double code_light(double code, double highest = 255) {
    return linear_from_encoded(code / highest);
}

double apart(LinearRgb a, LinearRgb b) {
    return std::max({std::abs(a.r - b.r), std::abs(a.g - b.g), std::abs(a.b - b.b)});
}

double apart(const Image& a, const Image& b) {
    REQUIRE(a.rows() == b.rows());
    REQUIRE(a.columns() == b.columns());
    double largest = 0;
    for (int r = 0; r < a.rows(); ++r)
        for (int c = 0; c < a.columns(); ++c) largest = std::max(largest, apart(a(r, c), b(r, c)));
    return largest;
}

LinearRgb light(const Code& code) {
    return {code_light(code.r), code_light(code.g), code_light(code.b)};
}

/// The values files store for it, as fractions of white.
Image codes(Image image) {
    for (LinearRgb& p : image) p = {encoded_from_linear(p.r), encoded_from_linear(p.g), encoded_from_linear(p.b)};
    return image;
}

enum class PatternAlpha { ignored, heeded };

Image pattern_image(PatternAlpha alpha) {
    Image image(2, 3);
    for (int i = 0; i < 6; ++i) {
        const Code& code = pattern()[static_cast<std::size_t>(i)];
        const double share = alpha == PatternAlpha::heeded ? code.a / 255.0 : 1;
        image(i / 3, i % 3) = mixed(kUnder, light(code), share);
    }
    return image;
}

/// The stored picture as a viewer shows it, from the words of the Exif standard: where row 0 and column 0 of the
/// stored picture lie in the picture as seen.
Image as_seen(const Image& stored, int orientation) {
    const int rows = stored.rows(), columns = stored.columns();
    Image seen(orientation < 5 ? rows : columns, orientation < 5 ? columns : rows);
    for (int r = 0; r < rows; ++r)
        for (int c = 0; c < columns; ++c) {
            const int from_right = columns - 1 - c, from_bottom = rows - 1 - r;
            switch (orientation) {
                case 1:
                    seen(r, c) = stored(r, c);
                    break;  // row 0 top, column 0 left
                case 2:
                    seen(r, from_right) = stored(r, c);
                    break;  // row 0 top, column 0 right
                case 3:
                    seen(from_bottom, from_right) = stored(r, c);
                    break;  // row 0 bottom, column 0 right
                case 4:
                    seen(from_bottom, c) = stored(r, c);
                    break;  // row 0 bottom, column 0 left
                case 5:
                    seen(c, r) = stored(r, c);
                    break;  // row 0 left, column 0 top
                case 6:
                    seen(c, from_bottom) = stored(r, c);
                    break;  // row 0 right, column 0 top
                case 7:
                    seen(from_right, from_bottom) = stored(r, c);
                    break;  // row 0 right, column 0 bottom
                case 8:
                    seen(from_right, r) = stored(r, c);
                    break;  // row 0 left, column 0 bottom
                default:
                    REQUIRE(false);
            }
        }
    return seen;
}

Image image_of(const cv::Mat& bgr) {
    Image image(bgr.rows, bgr.cols);
    for (int r = 0; r < bgr.rows; ++r)
        for (int c = 0; c < bgr.cols; ++c) {
            const auto& p = bgr.at<cv::Vec3b>(r, c);
            image(r, c) = {code_light(p[2]), code_light(p[1]), code_light(p[0])};
        }
    return image;
}

/// A soft coloured pattern, of the kind a photograph of yarn leaves after its lens.
cv::Mat soft_picture(int rows, int columns) {
    cv::Mat mat(rows, columns, CV_8UC3);
    for (int r = 0; r < rows; ++r)
        for (int c = 0; c < columns; ++c)
            for (int k = 0; k < 3; ++k)
                mat.at<cv::Vec3b>(r, c)[k] =
                    cv::saturate_cast<unsigned char>(128 + 90 * std::sin(r / 17.0 + k) * std::cos(c / 23.0 - k));
    return mat;
}

cv::Mat noisy_picture(int rows, int columns) {
    Random random(3, 9);
    cv::Mat mat(rows, columns, CV_8UC3);
    for (int r = 0; r < rows; ++r)
        for (int i = 0; i < 3 * columns; ++i) mat.ptr(r)[i] = static_cast<unsigned char>(256 * random.uniform());
    return mat;
}

Image box_mean(const Image& image, int shrink) {
    Image small((image.rows() + shrink - 1) / shrink, (image.columns() + shrink - 1) / shrink);
    for (int r = 0; r < small.rows(); ++r)
        for (int c = 0; c < small.columns(); ++c) {
            int count = 0;
            for (int y = r * shrink; y < std::min(image.rows(), (r + 1) * shrink); ++y)
                for (int x = c * shrink; x < std::min(image.columns(), (c + 1) * shrink); ++x, ++count)
                    small(r, c) += image(y, x);
            small(r, c) = small(r, c) * (1.0 / count);
        }
    return small;
}

/// The message of the Error(input) that reading ends in; also checks that nothing else was printed.
std::string refusal(const Folder& folder, const std::filesystem::path& file) {
    std::string message;
    const std::string printed = printed_errors(folder, [&] {
        try {
            read(file);
        } catch (const Error& error) {
            if (error.kind() == ErrorKind::input) message = error.what();
        }
    });
    CHECK(printed == "");
    return message;
}

constexpr const char* kDamaged = "damaged or cut short";

}  // namespace

TEST_SUITE("photo") {
    TEST_CASE("a colour PNG is read as the light of its codes and its header tells its size") {
        const Folder folder;
        const auto file = folder.file("a.png", pattern_png());
        CHECK(apart(read(file), pattern_image(PatternAlpha::ignored)) < kExact);
        const PictureHeader header = picture_header(file);
        CHECK(header.format == PictureFormat::png);
        CHECK(header.width == 3);
        CHECK(header.height == 2);
        CHECK(header.orientation == 1);
        CHECK_FALSE(header.from_camera);
    }

    TEST_CASE("the name's ending does not matter and one pixel is a picture") {
        const Folder folder;
        const Image image = read(folder.file("a.jpg", png({1, 1, 8, 2}, {"\x10\x20\x30"})));
        REQUIRE(image.size() == 1);
        CHECK(apart(image(0, 0), {code_light(0x10), code_light(0x20), code_light(0x30)}) < kExact);
        CHECK(read(folder.file("b.jpg", jpeg(cv::Mat(1, 1, CV_8UC3, cv::Scalar(0, 0, 0)))), 8).size() == 1);
    }

    TEST_CASE("a picture shrunk by more than its size is its mean") {
        const Folder folder;
        const Image image = read(folder.file("a.png", pattern_png()), 1000);
        CHECK(apart(image, box_mean(pattern_image(PatternAlpha::ignored), 1000)) < kExact);
    }

    TEST_CASE("grey PNGs of every depth are read rightly") {
        const Folder folder;
        const Image one = read(folder.file("1.png", png({4, 1, 1, 0}, {"\x50"})));
        CHECK(one(0, 1) == LinearRgb{1, 1, 1});
        CHECK(one(0, 2) == LinearRgb{0, 0, 0});
        const Image two = read(folder.file("2.png", png({4, 1, 2, 0}, {"\x1b"})));
        CHECK(two(0, 1).g == doctest::Approx(code_light(1, 3)).epsilon(kExact));
        const Image eight = read(folder.file("8.png", png({2, 1, 8, 0}, {"\x64\x65"})));
        CHECK(eight(0, 1).b == doctest::Approx(code_light(0x65)).epsilon(kExact));
        const Image sixteen = read(folder.file("16.png", png({2, 1, 16, 0}, {"\x12\x34\xab\xcd"})));
        CHECK(sixteen(0, 0).r == doctest::Approx(code_light(0x1234, 65535)).epsilon(kExact));
        CHECK(sixteen(0, 1).r == doctest::Approx(code_light(0xabcd, 65535)).epsilon(kExact));
    }

    TEST_CASE("16 bits are kept in colour PNGs") {
        const Folder folder;
        const Image image = read(folder.file("a.png", png({1, 1, 16, 2}, {"\x12\x34\x56\x78\x9a\xbc"})));
        CHECK(apart(image(0, 0), {code_light(0x1234, 65535), code_light(0x5678, 65535), code_light(0x9abc, 65535)}) <
              kExact);
    }

    TEST_CASE("palette PNGs show their colours") {
        const Folder folder;
        const std::string colours = chunk("PLTE", "\x0a\x14\x1e\xc8\x64\x32\x07\x08\x09");
        const Image image = read(folder.file("a.png", png({3, 1, 8, 3}, {std::string("\x01\x02\x00", 3)}, colours)));
        CHECK(apart(image(0, 0), light({200, 100, 50})) < kExact);
        CHECK(apart(image(0, 1), light({7, 8, 9})) < kExact);
        CHECK(apart(image(0, 2), light({10, 20, 30})) < kExact);
    }

    TEST_CASE("transparent pixels become what lies under them, in every way a PNG has to say so") {
        const Folder folder;
        std::vector<std::string> rows(2);
        for (std::size_t i = 0; i < 6; ++i)
            for (int k = 0; k < 4; ++k) rows[i / 3] += static_cast<char>(pattern()[i].channel(k));
        CHECK(apart(read(folder.file("rgba.png", png({3, 2, 8, 6}, rows))), pattern_image(PatternAlpha::heeded)) <
              kExact);
        const Image wide = read(folder.file("rgba16.png", png({1, 1, 16, 6}, {"\x12\x34\x56\x78\x9a\xbc\x40\x01"})));
        const LinearRgb over{code_light(0x1234, 65535), code_light(0x5678, 65535), code_light(0x9abc, 65535)};
        CHECK(apart(wide(0, 0), mixed(kUnder, over, 0x4001 / 65535.0)) < kExact);
        const Image grey = read(folder.file("ga.png", png({1, 1, 8, 4}, {"\x64\x33"})));
        CHECK(apart(grey(0, 0), mixed(kUnder, light({100, 100, 100}), 0.2)) < kExact);
        const std::string palette = chunk("PLTE", "\x0a\x14\x1e\xc8\x64\x32") + chunk("tRNS", "\xff\x33");
        const Image indexed = read(folder.file("p.png", png({2, 1, 8, 3}, {std::string("\x00\x01", 2)}, palette)));
        CHECK(apart(indexed(0, 0), light({10, 20, 30})) < kExact);
        CHECK(apart(indexed(0, 1), mixed(kUnder, light({200, 100, 50}), 0.2)) < kExact);
        const std::string rgb_key = chunk("tRNS", std::string("\0\x04\0\x05\0\x06", 6));
        const Image keyed = read(folder.file("k.png", png({2, 1, 8, 2}, {"\x01\x02\x03\x04\x05\x06"}, rgb_key)));
        CHECK(apart(keyed(0, 0), light({1, 2, 3})) < kExact);
        CHECK(apart(keyed(0, 1), kUnder) < kExact);
    }

    TEST_CASE("the transparent grey of a grey PNG is heeded at every depth") {
        const Folder folder;
        const auto key = [](std::uint64_t grey) { return chunk("tRNS", number(grey, 2, Order::big)); };
        const Image eight = read(folder.file("8.png", png({2, 1, 8, 0}, {"\x64\x65"}, key(0x64))));
        CHECK(apart(eight(0, 0), kUnder) < kExact);
        CHECK(apart(eight(0, 1), light({101, 101, 101})) < kExact);
        const Image two = read(folder.file("2.png", png({4, 1, 2, 0}, {"\x1b"}, key(1))));
        CHECK(apart(two(0, 1), kUnder) < kExact);
        CHECK(apart(two(0, 2), light({170, 170, 170})) < kExact);
        const Image white = read(folder.file("w.png", png({4, 1, 2, 0}, {"\x1b"}, key(3))));
        CHECK(apart(white(0, 3), kUnder) < kExact);
        const Image wide = read(folder.file("16.png", png({2, 1, 16, 0}, {"\x12\x34\x12\x35"}, key(0x1234))));
        CHECK(apart(wide(0, 0), kUnder) < kExact);
        CHECK(wide(0, 1).g == doctest::Approx(code_light(0x1235, 65535)).epsilon(kExact));
    }

    TEST_CASE("a colour profile that libpng finds odd is passed over in silence") {
        const Folder folder;
        const auto file = folder.file("a.png", pattern_png(chunk("iCCP", std::string("abc\0\0junk", 9))));
        const std::string printed =
            printed_errors(folder, [&] { CHECK(apart(read(file), pattern_image(PatternAlpha::ignored)) < kExact); });
        CHECK(printed == "");
    }

    TEST_CASE("every EXIF orientation of a PNG, WebP and TIFF is applied") {
        const Folder folder;
        const Image stored = pattern_image(PatternAlpha::ignored);
        for (int orientation = 1; orientation <= 8; ++orientation) {
            CAPTURE(orientation);
            const Image seen = as_seen(stored, orientation);
            CHECK(apart(read(folder.file("a.png", pattern_png(chunk("eXIf", exif(orientation, Order::big))))), seen) <
                  kExact);
            CHECK(apart(read(folder.file("a.webp", webp(pattern_mat(3), exif(orientation, Order::little)))), seen) <
                  kExact);
            for (const int depth : {8, 16})
                for (const Order order : {Order::big, Order::little}) {
                    TiffShape shape;
                    shape.depth = depth;
                    shape.orientation = orientation;
                    shape.order = order;
                    CHECK(apart(read(folder.file("a.tif", pattern_tiff(shape))), seen) < kExact);
                }
            const PictureHeader header = picture_header(folder.path() / "a.webp");
            CHECK(header.orientation == orientation);
            CHECK(header.width == seen.columns());
            CHECK(header.height == seen.rows());
        }
    }

    TEST_CASE("every EXIF orientation of a JPEG is applied, as OpenCV applies it by itself") {
        const Folder folder;
        constexpr double kRounding = 3.0 / 255;  // the two set libjpeg's colour conversion up alike; one code is 1/255
        for (int orientation = 1; orientation <= 8; ++orientation)
            for (const Order order : {Order::big, Order::little}) {
                CAPTURE(orientation);
                JpegShape shape;
                shape.exif_data = exif(orientation, order);
                const auto file = folder.file("a.jpg", jpeg(soft_picture(29, 43), shape));
                const Image image = read(file);
                CHECK(apart(image, image_of(cv::imread(file.string(), cv::IMREAD_COLOR))) < kRounding);
                CHECK(apart(image, as_seen(image_of(soft_picture(29, 43)), orientation)) < 0.1);  // JPEG's own loss
            }
    }

    TEST_CASE("shrinking counts its boxes from the upright picture's corner, whatever the orientation") {
        const Folder folder;
        for (int orientation = 1; orientation <= 8; ++orientation) {
            CAPTURE(orientation);
            const auto file = folder.file("a.png", pattern_png(chunk("eXIf", exif(orientation, Order::big))));
            CHECK(apart(read(file, 2), box_mean(as_seen(pattern_image(PatternAlpha::ignored), orientation), 2)) <
                  kExact);
            JpegShape shape;
            shape.exif_data = exif(orientation, Order::big);
            const auto photo = folder.file("a.jpg", jpeg(soft_picture(203, 101), shape));
            for (const int shrink : {3, 4, 8, 16}) {
                CAPTURE(shrink);
                constexpr double kSoft =
                    0.03;  // light, as below, and padded blocks at the edge; a grid 4 pixels off gives 0.1
                CHECK(apart(read(photo, shrink), box_mean(read(photo), shrink)) < kSoft);
            }
        }
    }

    TEST_CASE("a JPEG decoded at an eighth is the mean of the full decode") {
        const Folder folder;
        const auto file = folder.file("a.jpg", jpeg(soft_picture(320, 240)));
        const Image small = read(file, 8), full = read(file);
        CHECK(small.rows() == 40);
        CHECK(small.columns() == 30);
        constexpr double kCodes = 3.0 / 255;  // rounding of two decodes, and colour kept at half the resolution
        CHECK(apart(codes(small), box_mean(codes(full), 8)) < kCodes);
        // In light it is a little darker: libjpeg takes the mean of codes. Within a block the codes' standard deviation
        // is up to 17 of 255, and light bends by 2.6 code^2 at most, so by 2.6 / 2 (17 / 255)^2 = 0.006 at most; one
        // code of rounding is 2.2 / 255 of light at most.
        constexpr double kLight = 0.006 + 2.2 / 255;
        CHECK(apart(small, box_mean(full, 8)) < kLight);
        JpegShape progressive;
        progressive.progressive = true;
        CHECK(apart(read(folder.file("p.jpg", jpeg(soft_picture(320, 240), progressive)), 8), small) < kExact);
    }

    TEST_CASE("an odd reduction of a noisy JPEG is the exact mean of its light") {
        const Folder folder;
        const auto file = folder.file("a.jpg", jpeg(noisy_picture(100, 75)));
        CHECK(apart(read(file, 7), box_mean(read(file), 7)) < kExact);
    }

    TEST_CASE("grey JPEGs are read and CMYK ones are refused in words") {
        const Folder folder;
        const Image image = read(folder.file("g.jpg", jpeg(cv::Mat(16, 16, CV_8UC1, cv::Scalar(100)))));
        CHECK(apart(image(5, 5), light({100, 100, 100})) < kExact);
        const auto cmyk = folder.file("c.jpg", jpeg(cv::Mat(16, 16, CV_8UC4, cv::Scalar(1, 2, 3, 4))));
        CHECK(has(refusal(folder, cmyk), "CMYK"));
        TiffShape shape;
        shape.channels = 4;
        shape.photometric = 5;
        CHECK(has(refusal(folder, folder.file("c.tif", pattern_tiff(shape))), "CMYK"));
    }

    TEST_CASE("a camera shows in its name or in lossy compression") {
        const Folder folder;
        CHECK(picture_header(folder.file("a.jpg", jpeg(soft_picture(8, 8)))).from_camera);
        const auto png_with = [&](const std::string& make) {
            return folder.file("a.png", pattern_png(chunk("eXIf", exif(1, Order::little, make))));
        };
        CHECK(picture_header(png_with("Harbour Cameras")).from_camera);
        CHECK_FALSE(picture_header(png_with("     ")).from_camera);
        CHECK_FALSE(picture_header(folder.file("a.webp", webp(pattern_mat(3)))).from_camera);
        std::vector<unsigned char> lossy;
        cv::imencode(".webp", soft_picture(16, 16), lossy, {cv::IMWRITE_WEBP_QUALITY, 80});
        const auto file = folder.file("b.webp", text_of(lossy));
        CHECK(picture_header(file).from_camera);
        CHECK(picture_header(file).width == 16);
    }

    TEST_CASE("a broken EXIF block leaves the picture as it is stored") {
        const Folder folder;
        std::string broken = exif(6, Order::big);
        broken.replace(4, 4, "\xff\xff\xff\xf0");
        CHECK(apart(read(folder.file("a.png", pattern_png(chunk("eXIf", broken)))),
                    pattern_image(PatternAlpha::ignored)) < kExact);
        CHECK(picture_header(folder.file("b.png", pattern_png(chunk("eXIf", exif(9, Order::big))))).orientation == 1);
    }

    TEST_CASE("alpha in WebP, TIFF and BMP counts where it is declared, straight or premultiplied") {
        const Folder folder;
        const Image heeded = pattern_image(PatternAlpha::heeded), ignored = pattern_image(PatternAlpha::ignored);
        CHECK(apart(read(folder.file("a.bmp", pattern_bmp(BmpAlpha::declared))), heeded) < kExact);
        CHECK(apart(read(folder.file("b.bmp", pattern_bmp(BmpAlpha::undeclared))), ignored) < kExact);
        CHECK(apart(read(folder.file("c.bmp", pattern_bmp(BmpAlpha::masks_without_alpha))), ignored) < kExact);
        for (const int depth : {8, 16}) {
            CAPTURE(depth);
            TiffShape shape;
            shape.depth = depth;
            shape.channels = 4;
            CHECK(apart(read(folder.file("a.tif", pattern_tiff(shape))), ignored) < kExact);
            shape.extra_samples = 2;  // straight
            CHECK(apart(read(folder.file("b.tif", pattern_tiff(shape))), heeded) < kExact);
            shape.extra_samples = 1;  // premultiplied: 1 of 64 is 4 of 255
            const Image divided = read(folder.file("c.tif", pattern_tiff(shape)));
            const double code = depth == 8 ? 4 / 255.0 : 255.0 * 257 / 64 / 65535;
            CHECK(std::abs(divided(1, 0).r - mixed(kUnder, {linear_from_encoded(code), 0, 0}, 64 / 255.0).r) < 2e-6);
        }
        // An encoder may drop the colour of a wholly transparent pixel; over `under` it cannot show.
        CHECK(apart(read(folder.file("a.webp", webp(pattern_mat(4)))), heeded) < kExact);
    }

    TEST_CASE("grey TIFFs are read both ways round at 8 and 16 bits") {
        const Folder folder;
        for (const int depth : {8, 16})
            for (const int photometric : {0, 1}) {
                CAPTURE(depth);
                CAPTURE(photometric);
                TiffShape shape;
                shape.depth = depth;
                shape.channels = 1;
                shape.photometric = photometric;
                const Image image = read(folder.file("a.tif", pattern_tiff(shape)));
                CHECK(image(0, 0).g == doctest::Approx(code_light(photometric == 0 ? 55 : 200)).epsilon(kExact));
                CHECK(image(0, 2).g == doctest::Approx(code_light(photometric == 0 ? 5 : 250)).epsilon(kExact));
            }
        TiffShape shape;
        shape.channels = 2;
        shape.photometric = 1;
        CHECK(has(refusal(folder, folder.file("b.tif", pattern_tiff(shape))), "export it as PNG"));
    }

    TEST_CASE("a claim of 60,000 x 60,000 pixels is refused from the header alone") {
        const Folder folder;
        const auto check = [&](const std::string& name, const std::string& bytes) {
            CAPTURE(name);
            const auto file = folder.file(name, bytes);
            const std::string message = refusal(folder, file);
            CHECK(has(message, "60000 x 60000"));
            CHECK(has(message, "limit of 200 megapixels"));
            CHECK_THROWS_AS(picture_header(file), Error);
        };
        check("a.png", std::string(kPngSignature) + ihdr({60000, 60000, 8, 2}));
        std::string photo = jpeg(soft_picture(8, 8));
        const std::size_t frame = photo.find("\xff\xc0");
        REQUIRE(frame != std::string::npos);
        photo.replace(frame + 5, 4, "\xea\x60\xea\x60");
        check("a.jpg", photo);
        std::string bitmap = pattern_bmp(BmpAlpha::undeclared);
        bitmap.replace(18, 8, number(60000, 4, Order::little) + number(60000, 4, Order::little));
        check("a.bmp", bitmap);
        std::string extended = webp(pattern_mat(3), exif(1, Order::big));
        extended.replace(24, 6, number(59999, 3, Order::little) + number(59999, 3, Order::little));
        check("a.webp", extended);
        std::string tiff = pattern_tiff({});
        const auto set = [&](std::uint64_t tag) {
            const std::size_t at = tiff.find(number(tag, 2, Order::little) + number(3, 2, Order::little));
            tiff.replace(at + 8, 2, number(60000, 2, Order::little));
        };
        set(256);
        set(257);
        check("a.tif", tiff);
    }

    TEST_CASE("the limit of megapixels is the caller's") {
        const Folder folder;
        const auto file = folder.file("a.png", pattern_png());
        CHECK_THROWS_AS(picture_header(file, 5e-6), Error);
        CHECK_NOTHROW(picture_header(file, 6e-6));
        CHECK_THROWS_AS(read_stencil(file, 1, 5e-6), Error);
    }

    TEST_CASE("a missing file, a folder and an empty file are refused by name") {
        const Folder folder;
        CHECK(has(refusal(folder, folder.path() / "no.png"), "no.png: there is no such file"));
        CHECK(has(refusal(folder, folder.path()), "is a folder"));
        CHECK(has(refusal(folder, folder.file("e.png", "")), "e.png: is empty"));
    }

    TEST_CASE("kinds that are not read are named, with what to export instead") {
        const Folder folder;
        const auto said = [&](const std::string& bytes) { return refusal(folder, folder.file("x.png", bytes)); };
        CHECK(has(said("stitch,colour\n1,red\n"), "x.png: is text, not a picture"));
        CHECK(has(said(std::string("\0\0\0\x18"
                                   "ftypavif\0\0\0\0",
                                   16)),
                  "AVIF"));
        CHECK(has(said("GIF89a\x01\x01"), "GIF picture, which is not read; export it as PNG"));
        CHECK(has(said("%PDF-1.7\n"), "PDF document"));
        CHECK(has(said("<?xml version=\"1.0\"?><svg/>"), "SVG drawing"));
        CHECK(has(said(std::string(64, '\0')), "not a kind of picture that is read"));
        CHECK(has(said("BM, the harbour's initials"), "is text"));
    }

    TEST_CASE("a file cut anywhere is refused as cut short and nothing is printed") {
        const Folder folder;
        std::vector<unsigned char> big_png;
        cv::imencode(".png", noisy_picture(40, 50), big_png);
        JpegShape progressive;
        progressive.progressive = true;
        const std::pair<const char*, std::string> files[] = {
            {"a.png", text_of(big_png)},
            {"a.jpg", jpeg(noisy_picture(40, 50))},
            {"p.jpg", jpeg(noisy_picture(40, 50), progressive)},
            {"a.webp", webp(noisy_picture(40, 50))},
            {"a.tif", pattern_tiff({})},
            {"a.bmp", pattern_bmp(BmpAlpha::undeclared)},
        };
        for (const auto& file : files) {
            const std::string name = file.first, &bytes = file.second;
            CAPTURE(name);
            CHECK(refusal(folder, folder.file(name, bytes)) == "");
            for (std::size_t part = 1; part <= 30; ++part) {
                const std::size_t kept = std::max<std::size_t>(12, bytes.size() * part / 31);
                CAPTURE(kept);
                CHECK(has(refusal(folder, folder.file(name, bytes.substr(0, kept))), kDamaged));
            }
            CHECK(has(refusal(folder, folder.file(name, bytes.substr(0, bytes.size() - 1))), kDamaged));
        }
    }

    TEST_CASE("bytes after the end of a picture do no harm") {
        const Folder folder;
        const std::string more(5000, '\x55');
        CHECK(refusal(folder, folder.file("a.jpg", jpeg(noisy_picture(40, 50)) + more)) == "");
        CHECK(refusal(folder, folder.file("a.png", pattern_png() + more)) == "");
    }

    TEST_CASE("a corrupt file is refused in silence") {
        const Folder folder;
        std::string broken = pattern_png();
        broken[60] = static_cast<char>(broken[60] ^ 1);
        CHECK(has(refusal(folder, folder.file("a.png", broken)), kDamaged));
        const PngShape indexed{3, 1, 8, 3};
        CHECK(has(refusal(folder, folder.file("b.png", png(indexed, {"abc"}))), kDamaged));  // no palette
        CHECK(has(refusal(folder, folder.file("c.png", png({9000, 9000, 8, 2}, {"abc"}))), kDamaged));
        std::string photo = jpeg(noisy_picture(64, 64));
        for (std::size_t at = photo.size() / 2; at < photo.size() / 2 + 40; ++at) photo[at] = '\xff';
        const std::string message = refusal(folder, folder.file("a.jpg", photo));
        CHECK(has(message, "damaged or cut short; copy it again from the camera"));
        std::string web = webp(noisy_picture(64, 64));
        for (std::size_t at = 40; at < web.size(); at += 7) web[at] = static_cast<char>(web[at] ^ 0x5a);
        CHECK(has(refusal(folder, folder.file("a.webp", web)), kDamaged));
        cv::Mat wide;
        noisy_picture(64, 64).convertTo(wide, CV_16U, 257);
        std::vector<unsigned char> packed;
        cv::imencode(".tiff", wide, packed);
        for (std::size_t at = packed.size() / 2; at < packed.size() / 2 + 40; ++at) packed[at] = 0xff;
        CHECK(has(refusal(folder, folder.file("a.tif", text_of(packed))), kDamaged));
    }

    TEST_CASE("a stencil is black on white, half grey is half covered, and nothing covers where it is transparent") {
        const Folder folder;
        const std::string grey("\x00\xff\x80", 3);
        const Plane plane = read_stencil(folder.file("a.png", png({3, 1, 8, 0}, {grey})), 1);
        CHECK(plane(0, 0) == 1);
        CHECK(plane(0, 1) == 0);
        CHECK(plane(0, 2) == doctest::Approx(127.0 / 255).epsilon(kExact));
        const std::string with_alpha("\x00\x00\x00\x00\x00\x00\x00\x33\xff\xff\xff\xff", 12);
        const Plane clear = read_stencil(folder.file("b.png", png({3, 1, 8, 6}, {with_alpha})), 1);
        CHECK(clear(0, 0) == 0);
        CHECK(clear(0, 1) == doctest::Approx(0.2).epsilon(kExact));
        CHECK(clear(0, 2) == 0);
        CHECK(read_stencil(folder.path() / "a.png", 2)(0, 0) == doctest::Approx(0.5).epsilon(kExact));
    }
}
