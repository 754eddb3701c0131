#include "loopread/photo/read.h"

#include <algorithm>
#include <new>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "loopread/base/error.h"
#include "loopread/base/files.h"
#include "loopread/base/text.h"
#include "photo/file_header.h"
#include "photo/jpeg_decoding.h"
#include "photo/mat_decoding.h"
#include "photo/picture_light.h"
#include "photo/reduction.h"
#include "photo/row_relay.h"

namespace loopread {
namespace {

constexpr std::int64_t kLongestSide = 1'000'000;  ///< libpng's own limit; it would complain aloud

[[noreturn]] void refuse(const std::filesystem::path& file, const std::string& fault) {
    throw Error(ErrorKind::input, file.string() + ": " + fault);
}

std::string size_fault(const FileHeader& header, double max_megapixels) {
    const double megapixels = static_cast<double>(header.width) * static_cast<double>(header.height) / 1e6;
    const std::string claim =
        "claims " + std::to_string(header.width) + " x " + std::to_string(header.height) + " pixels";
    if (header.width <= 0 || header.height <= 0) return "has a side of 0 pixels; export it again";
    if (megapixels > max_megapixels)
        return claim + " (" + number_text(megapixels, 1) + " megapixels), over the limit of " +
               number_text(max_megapixels, 1) + " megapixels; make it smaller";
    if (std::max(header.width, header.height) > kLongestSide)
        return claim + ", over the limit of " + std::to_string(kLongestSide) + " a side; make it smaller";
    return {};
}

FileHeader accepted_header(const std::string& bytes, const std::filesystem::path& file, double max_megapixels) {
    FileHeader header = file_header(bytes);
    if (!header.fault.empty()) refuse(file, header.fault);
    if (const std::string fault = size_fault(header, max_megapixels); !fault.empty()) refuse(file, fault);
    return header;
}

/// How far a JPEG can be decoded small in the first place: blocks are counted from the upright start, so a side that is
/// stored reversed must hold whole cells.
int jpeg_cell(const FileHeader& header, int shrink) {
    const UprightMoves moves = upright_moves(header.orientation);
    for (const int cell : {8, 4, 2})
        if (shrink % cell == 0 && (!moves.columns_reversed || header.width % cell == 0) &&
            (!moves.rows_reversed || header.height % cell == 0))
            return cell;
    return 1;
}

/// @param write  write(row, out) turns one row of samples into values of T
template <class T, class Write>
Grid<T> reduced(const std::string& bytes, const FileHeader& header, int shrink, const Write& write) {
    const bool jpeg = header.format == PictureFormat::jpeg;
    const int cell = jpeg ? jpeg_cell(header, shrink) : 1;
    // Made with the first rows, so that its memory is got while a JPEG's next ones are decoded.
    std::optional<Reduction<T>> reduction;
    std::vector<T> values;
    const auto take = [&](const SampleRow& row) {
        if (!reduction) {
            reduction.emplace(ReductionSize{static_cast<int>(header.width), static_cast<int>(header.height), cell,
                                            shrink, header.orientation});
            values.resize(static_cast<std::size_t>(reduction->along().cells()));
        }
        require(row.columns == reduction->along().cells(), "a decoded row is as long as the header says");
        if (reduction->takes_rows_as_they_come()) {
            write(row, reduction->next_place());
        } else {
            write(row, values.data());
            reduction->add_row(values.data());
        }
    };
    const auto decode = [&] {
        if (!jpeg) return decode_as_mat(bytes, header, take);
        RowRelay relay(take);
        const Decoding decoding = decode_jpeg(bytes, header, cell, [&](const SampleRow& row) { relay.add(row); });
        if (decoding == Decoding::complete) relay.finish();
        return decoding;
    };
    return decode() == Decoding::complete ? reduction.value().taken() : Grid<T>{};
}

struct OpenedPicture {
    std::string bytes;
    FileHeader header;
};

const char* damage(const FileHeader& header) {
    const bool photo = header.format == PictureFormat::jpeg || header.format == PictureFormat::heic;
    return photo ? kCutShortPhoto : kCutShort;
}

OpenedPicture opened_picture(const std::filesystem::path& file, double max_megapixels) {
    OpenedPicture picture;
    picture.bytes = file_bytes(file);
    picture.header = accepted_header(picture.bytes, file, max_megapixels);
    if (!is_whole(picture.bytes, picture.header.format)) refuse(file, damage(picture.header));
    return picture;
}

template <class Act>
auto in_memory(const std::filesystem::path& file, const Act& act) {
    try {
        return act();
    } catch (const std::bad_alloc&) {
        refuse(file, "needs more memory than there is; make the picture smaller");
    }
}

}  // namespace

PictureHeader picture_header(const std::filesystem::path& file, double max_megapixels) {
    const FileHeader header = accepted_header(file_bytes(file), file, max_megapixels);
    PictureHeader upright;
    upright.format = header.format;
    upright.width = static_cast<int>(header.width);
    upright.height = static_cast<int>(header.height);
    if (upright_moves(header.orientation).transposed) std::swap(upright.width, upright.height);
    upright.orientation = header.orientation;
    upright.names_camera = header.names_camera;
    upright.from_camera = header.names_camera || header.lossy;
    upright.colour_note = ColourProfile(header).note();
    return upright;
}

Image read_picture(const std::filesystem::path& file, const PictureRequest& request) {
    require(request.shrink >= 1, "a picture is reduced by a whole number");
    return in_memory(file, [&] {
        const OpenedPicture opened = opened_picture(file, request.max_megapixels);
        PictureLight light(opened.header, request.under_transparent);
        Image picture = reduced<LinearRgb>(opened.bytes, opened.header, request.shrink,
                                           [&](const SampleRow& row, LinearRgb* out) { light.write(row, out); });
        if (picture.empty()) refuse(file, damage(opened.header));
        light.finish(picture);
        return picture;
    });
}

Plane read_stencil(const std::filesystem::path& file, int shrink, double max_megapixels) {
    require(shrink >= 1, "a picture is reduced by a whole number");
    return in_memory(file, [&] {
        const OpenedPicture opened = opened_picture(file, max_megapixels);
        Plane stencil = reduced<double>(opened.bytes, opened.header, shrink, write_coverage);
        if (stencil.empty()) refuse(file, damage(opened.header));
        return stencil;
    });
}

}  // namespace loopread
