#include "wasm/answer_parts.h"

#include <cmath>

#include "loopread/base/error.h"
#include "wasm/page_words.h"

namespace loopread::wasm {

double rounded(double value, int decimals) {
    const double scale = std::pow(10.0, decimals);
    return std::round(value * scale) / scale;
}

std::string hex(LinearRgb colour) {
    return hex_text(srgb8_from_linear(colour));
}

Json texts(const std::vector<std::string>& list) {
    Json out = Json::array();
    for (const std::string& text : list) out.push_back(page_words(text));
    return out;
}

Json sized(const ScreenPicture& picture) {
    return {{"width", picture.width}, {"height", picture.height}};
}

PictureBox box_of(const Fields& request) {
    constexpr NumberRange kSide{1, 8192};
    const auto width = request.whole("width", kSide);
    const auto height = request.whole("height", kSide);
    if (!width || !height) throw Error(ErrorKind::usage, "drawing: its width and height in pixels are missing");
    return {static_cast<int>(*width), static_cast<int>(*height)};
}

int ball_of(const Fields& request, int otherwise) {
    return static_cast<int>(request.whole("ball", {1, 2}).value_or(otherwise));
}

}  // namespace loopread::wasm
