#pragma once

#include <functional>
#include <string_view>

#include "photo/file_header.h"
#include "photo/samples.h"

namespace loopread {

/// Takes the rows of a picture as stored, top row first.
using RowSink = std::function<void(const SampleRow&)>;

enum class Decoding { complete, damaged };

/// A JPEG at 1/cell of its size, each value standing for cell x cell pixels (cell 1, 2, 4 or 8).
///
/// The reduction is libjpeg's: low frequencies of each 8 x 8 block, so a mean of encoded values, not of light.
Decoding decode_jpeg(std::string_view bytes, const FileHeader& header, int cell, const RowSink& sink);

}  // namespace loopread
