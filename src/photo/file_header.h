#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "loopread/photo/read.h"
#include "photo/colour_tags.h"

namespace loopread {

/// What the bytes of a picture file say of it, before a pixel is decoded.
struct FileHeader {
    PictureFormat format = PictureFormat::png;
    std::int64_t width = 0, height = 0;  ///< as stored: before the orientation is applied
    int orientation = 1;
    bool names_camera = false;
    bool lossy = false;
    bool grey = false;  ///< one channel, alpha aside
    ColourTags colours;
    std::string fault;  ///< "fault; what to do" if the file cannot be read; empty if it can
};

inline constexpr const char* kCutShort = "the file is damaged or cut short; copy or export it again";
inline constexpr const char* kCutShortPhoto = "the file is damaged or cut short; copy it again from the camera";

FileHeader file_header(std::string_view bytes);

inline constexpr std::string_view kExifMark("Exif\0\0", 6);
/// The orientation and whether a camera is named, of EXIF data with its mark or without.
void read_exif(FileHeader& header, std::string_view data);

/// Whether all the data the header promises is there, so that the decoder has no cause to complain aloud or to make
/// up what is missing. JPEG, WebP and HEIC are left to their decoders, which tell without a word.
bool is_whole(std::string_view bytes, PictureFormat format);

/// One for each format; the bytes start with its signature.
FileHeader png_header(std::string_view bytes);
FileHeader jpeg_header(std::string_view bytes);
FileHeader webp_header(std::string_view bytes);
FileHeader tiff_header(std::string_view bytes);
FileHeader bmp_header(std::string_view bytes);

bool is_whole_png(std::string_view bytes);
bool is_whole_tiff(std::string_view bytes);
bool is_whole_bmp(std::string_view bytes);

/// Whether the fourth channel of a 32-bit BMP is declared as alpha; OpenCV 4.6 believes it is whenever there are masks.
bool bmp_has_alpha(std::string_view bytes);

}  // namespace loopread
