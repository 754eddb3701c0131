#include "loopread/photo/write.h"

#include <vector>

#include <opencv2/imgcodecs.hpp>

#include "loopread/base/error.h"

namespace loopread {
namespace {

constexpr int kCompression = 3;  // chosen: larger levels take several times as long for a few percent

cv::Mat bgr_mat(const Picture8& picture) {
    cv::Mat mat(picture.rows(), picture.columns(), CV_8UC3);
    for (int r = 0; r < mat.rows; ++r) {
        unsigned char* out = mat.ptr(r);
        for (const Srgb8 *p = picture.row(r), *const end = p + mat.cols; p < end; ++p) {
            *out++ = p->b;
            *out++ = p->g;
            *out++ = p->r;
        }
    }
    return mat;
}

}  // namespace

std::string png_bytes(const Picture8& picture) {
    require(!picture.empty(), "a picture has pixels");
    std::vector<unsigned char> bytes;
    bool encoded = false;
    try {
        encoded = cv::imencode(".png", bgr_mat(picture), bytes, {cv::IMWRITE_PNG_COMPRESSION, kCompression});
    } catch (const cv::Exception&) {
        encoded = false;
    }
    if (!encoded)
        throw Error(ErrorKind::output, "picture of " + std::to_string(picture.columns()) + " x " +
                                           std::to_string(picture.rows()) +
                                           " pixels: cannot be made into a PNG; ask for a smaller one");
    return {bytes.begin(), bytes.end()};
}

}  // namespace loopread
