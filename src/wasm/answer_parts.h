#pragma once

#include <optional>
#include <string>
#include <vector>

#include "loopread/colour/spaces.h"
#include "loopread/table/pictures.h"
#include "wasm/json_fields.h"

namespace loopread::wasm {

// What answers are made of.

double rounded(double value, int decimals);
std::string hex(LinearRgb colour);
/// In the words of the page.
Json texts(const std::vector<std::string>& list);
Json sized(const ScreenPicture& picture);
template <class T>
Json or_null(const std::optional<T>& value) {
    return value ? Json(*value) : Json(nullptr);
}

PictureBox box_of(const Fields& request);
int ball_of(const Fields& request, int otherwise);

}  // namespace loopread::wasm
