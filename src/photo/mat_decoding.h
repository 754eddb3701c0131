#pragma once

#include <string_view>

#include "photo/file_header.h"
#include "photo/jpeg_decoding.h"

namespace loopread {

/// A whole PNG, WebP, TIFF or BMP (is_whole), its rows as stored: no orientation applied. Or a HEIC, which comes
/// upright.
Decoding decode_as_mat(std::string_view bytes, const FileHeader& header, const RowSink& sink);

}  // namespace loopread
