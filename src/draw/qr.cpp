#include "loopread/draw/qr.h"

#include <qrencode.h>

#include <memory>

#include "loopread/base/require.h"

namespace loopread {
namespace {

constexpr int kQuietDots = 4;
constexpr Srgb8 kBlack{0, 0, 0}, kWhite{255, 255, 255};

struct CodeEnd {
    void operator()(QRcode* code) const { QRcode_free(code); }
};

}  // namespace

Picture8 qr_picture(const std::string& bytes, int pixels_per_dot) {
    require(!bytes.empty() && bytes.size() <= kLongestQrAddress && pixels_per_dot > 0, "a code of some bytes and size");
    const std::unique_ptr<QRcode, CodeEnd> code(QRcode_encodeData(
        static_cast<int>(bytes.size()), reinterpret_cast<const unsigned char*>(bytes.data()), 0, QR_ECLEVEL_M));
    require(code != nullptr, "an address of this length can be encoded");
    const int dots = code->width + 2 * kQuietDots;
    Picture8 picture(dots * pixels_per_dot, dots * pixels_per_dot, kWhite);
    for (int y = 0; y < code->width; ++y)
        for (int x = 0; x < code->width; ++x) {
            if ((code->data[y * code->width + x] & 1U) == 0) continue;
            for (int r = 0; r < pixels_per_dot; ++r)
                for (int c = 0; c < pixels_per_dot; ++c)
                    picture((y + kQuietDots) * pixels_per_dot + r, (x + kQuietDots) * pixels_per_dot + c) = kBlack;
        }
    return picture;
}

}  // namespace loopread
