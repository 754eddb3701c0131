#pragma once

#include <string_view>

#include "photo/file_header.h"

namespace loopread {

/// Whether the brands of the file promise a still picture in HEVC.
bool is_heic(std::string_view bytes);
/// Whether a file of the general brand "mif1" holds AVIF.
bool is_avif_in_heif(std::string_view bytes);

FileHeader heic_header(std::string_view bytes);

}  // namespace loopread
