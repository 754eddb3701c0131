#pragma once

#include <optional>

#include "loopread/colour/spaces.h"
#include "loopread/design/file.h"
#include "loopread/image/image.h"

namespace loopread::cli {

/// A fade as a strip of colours, straight in linear light from stop to stop.
Image ground_fade(const DesignGround& ground);

/// The colour of a ground that is smooth, light and surely not undyed yarn, where no undyed yarn shows.
/// @param picture  a blank lying flat, as decoded
std::optional<LinearRgb> dyed_ground(const Image& picture, LinearRgb undyed);

}  // namespace loopread::cli
