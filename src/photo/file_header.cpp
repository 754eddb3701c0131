#include "photo/file_header.h"

#include <algorithm>
#include <optional>

#include "photo/byte_reader.h"
#include "photo/heic.h"
#include "photo/ifd.h"

namespace loopread {
namespace {

struct ForeignKind {
    std::size_t at;
    std::string_view mark;
    std::string_view fault;
};

/// Kinds people try that are not read. The marks are the formats' published signatures.
constexpr ForeignKind kForeign[] = {
    {4, "ftyphev", "is a HEIC sequence, which is not read; export it as JPEG"},
    {4, "ftypmif1", "is a HEIF picture, which is not read; export it as JPEG"},
    {4, "ftypmsf1", "is a HEIF sequence, which is not read; export it as JPEG"},
    {4, "ftypavif", "is an AVIF picture, which is not read; export it as PNG or JPEG"},
    {4, "ftypavis", "is an AVIF sequence, which is not read; export one picture of it as PNG or JPEG"},
    {4, "ftyp", "is a film or a camera's own format; export one picture of it as JPEG"},
    {0, "GIF8", "is a GIF picture, which is not read; export it as PNG"},
    {0, "%PDF", "is a PDF document, not a picture; export the page as PNG"},
    {0, "8BPS", "is a picture with layers, which is not read; export it as PNG"},
    {0, "\xFF\x4F\xFF\x51", "is a JPEG 2000 picture, which is not read; export it as PNG or JPEG"},
    {4, "jP  ", "is a JPEG 2000 picture, which is not read; export it as PNG or JPEG"},
    {4, "JXL ", "is a JPEG XL picture, which is not read; export it as PNG or JPEG"},
    {0, "\xFF\x0A", "is a JPEG XL picture, which is not read; export it as PNG or JPEG"},
    {0, "PK\x03\x04", "is a zip archive or a document, not a picture; export the picture in it as PNG or JPEG"},
};

bool is_text(std::string_view bytes) {
    const std::string_view start = bytes.substr(0, 512);
    return std::all_of(start.begin(), start.end(), [](char c) {
        const auto code = static_cast<unsigned char>(c);
        return code >= 0x20 || c == '\n' || c == '\r' || c == '\t' || c == '\f';
    });
}

std::string fault_of_foreign(std::string_view bytes) {
    if (is_avif_in_heif(bytes)) return "is an AVIF picture, which is not read; export it as PNG or JPEG";
    for (const ForeignKind& kind : kForeign)
        if (bytes.size() > kind.at && bytes.substr(kind.at).starts_with(kind.mark)) return std::string(kind.fault);
    const std::string_view start = bytes.substr(0, 512);
    if (start.find("<svg") != std::string_view::npos) return "is an SVG drawing, which is not read; export it as PNG";
    if (is_text(bytes)) return "is text, not a picture; give a picture (PNG, JPEG, HEIC, WebP, TIFF or BMP)";
    return "is not a kind of picture that is read; export it as PNG or JPEG";
}

std::optional<PictureFormat> format_of(std::string_view bytes) {
    if (bytes.starts_with("\x89PNG\r\n\x1a\n")) return PictureFormat::png;
    if (bytes.starts_with("\xFF\xD8\xFF")) return PictureFormat::jpeg;
    if (bytes.starts_with("RIFF") && bytes.size() >= 12 && bytes.substr(8, 4) == "WEBP") return PictureFormat::webp;
    if (bytes.starts_with(std::string_view("II*\0", 4)) || bytes.starts_with(std::string_view("MM\0*", 4)))
        return PictureFormat::tiff;
    // Two letters alone could begin a text; the four reserved bytes of the header are 0.
    if (bytes.starts_with("BM") && bytes.size() >= 10 && bytes.substr(6, 4) == std::string_view("\0\0\0\0", 4))
        return PictureFormat::bmp;
    if (is_heic(bytes)) return PictureFormat::heic;
    return std::nullopt;
}

}  // namespace

void read_exif(FileHeader& header, std::string_view data) {
    if (data.starts_with(kExifMark)) data.remove_prefix(kExifMark.size());
    std::optional<Ifd> ifd = Ifd::first_in(data);
    if (!ifd) return;
    header.orientation = ifd->orientation();
    header.names_camera = ifd->names_camera();
}

FileHeader file_header(std::string_view bytes) {
    const std::optional<PictureFormat> format = format_of(bytes);
    if (!format) {
        FileHeader foreign;
        foreign.fault = fault_of_foreign(bytes);
        return foreign;
    }
    switch (*format) {
        case PictureFormat::png:
            return png_header(bytes);
        case PictureFormat::jpeg:
            return jpeg_header(bytes);
        case PictureFormat::webp:
            return webp_header(bytes);
        case PictureFormat::tiff:
            return tiff_header(bytes);
        case PictureFormat::bmp:
            return bmp_header(bytes);
        case PictureFormat::heic:
            return heic_header(bytes);
    }
    return {};
}

bool is_whole(std::string_view bytes, PictureFormat format) {
    switch (format) {
        case PictureFormat::png:
            return is_whole_png(bytes);
        case PictureFormat::jpeg:
        case PictureFormat::webp:
        case PictureFormat::heic:
            return true;
        case PictureFormat::tiff:
            return is_whole_tiff(bytes);
        case PictureFormat::bmp:
            return is_whole_bmp(bytes);
    }
    return false;
}

}  // namespace loopread
