#pragma once

#include <string>

#include "loopread/image/image.h"

namespace loopread {

/// A picture with a small line of letters along its lower edge, dark on a light ground and light on a dark one.
Picture8 with_caption(Picture8 picture, const std::string& words);

}  // namespace loopread
