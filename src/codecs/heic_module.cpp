#include <libheif/heif.h>

#include <algorithm>
#include <cstdint>
#include <memory>
#include <string>
#include <utility>

#include <opencv2/imgproc.hpp>

#include "photo/codecs_module.h"

namespace {

using loopread::HeicFinding;
using loopread::HeicHeader;
using loopread::Premultiplied;

template <class T, auto release>
struct Release {
    void operator()(T* object) const { release(object); }
};
template <class T, auto release>
using Owned = std::unique_ptr<T, Release<T, release>>;
using Context = Owned<heif_context, heif_context_free>;
using Handle = Owned<const heif_image_handle, heif_image_handle_release>;
using Picture = Owned<const heif_image, heif_image_release>;
using Nclx = Owned<heif_color_profile_nclx, heif_nclx_color_profile_free>;

bool went_well(const heif_error& error) {
    return error.code == heif_error_Ok;
}

/// The first picture of a file; the boxes have been read, and nothing else.
struct Opened {
    Context context;
    Handle handle;
    heif_error error{};
};

Opened opened(std::string_view bytes) {
    constexpr int kLongestSide = 1'000'000;  // libheif has a limit of its own; ours names the size it refuses
    Opened file;
    file.context.reset(heif_context_alloc());
    heif_context_set_maximum_image_size_limit(file.context.get(), kLongestSide);
    file.error = heif_context_read_from_memory_without_copy(file.context.get(), bytes.data(), bytes.size(), nullptr);
    heif_image_handle* handle = nullptr;
    if (went_well(file.error)) file.error = heif_context_get_primary_image_handle(file.context.get(), &handle);
    file.handle.reset(handle);
    return file;
}

bool is_foreign(const heif_error& error) {
    return error.code == heif_error_Unsupported_filetype || error.code == heif_error_Unsupported_feature ||
           error.code == heif_error_Decoder_plugin_error;
}

loopread::ColourTags colours_of(const heif_image_handle* handle) {
    loopread::ColourTags colours;
    const heif_color_profile_type type = heif_image_handle_get_color_profile_type(handle);
    if (type == heif_color_profile_type_nclx) {
        heif_color_profile_nclx* found = nullptr;
        const heif_error error = heif_image_handle_get_nclx_color_profile(handle, &found);
        const Nclx nclx(found);  // libheif hands it out even where it does not know a number in it
        if (!went_well(error)) return colours;
        colours.code_points = {nclx->color_primaries, nclx->transfer_characteristics};
    } else if (type != heif_color_profile_type_not_present) {
        colours.profile.resize(heif_image_handle_get_raw_color_profile_size(handle));
        colours.damaged = colours.profile.empty() ||
                          !went_well(heif_image_handle_get_raw_color_profile(handle, colours.profile.data()));
    }
    return colours;
}

struct PixelKind {
    bool wide = false, alpha = false;
    int channels() const { return alpha ? 4 : 3; }
    heif_chroma chroma() const {
        if (wide) return alpha ? heif_chroma_interleaved_RRGGBBAA_LE : heif_chroma_interleaved_RRGGBB_LE;
        return alpha ? heif_chroma_interleaved_RGBA : heif_chroma_interleaved_RGB;
    }
};

/// Odd colour numbers inside the coded picture leave it whole; any other warning means that parts are missing.
bool is_harmless(const heif_error& warning) {
    return warning.subcode == heif_suberror_Unknown_NCLX_color_primaries ||
           warning.subcode == heif_suberror_Unknown_NCLX_transfer_characteristics ||
           warning.subcode == heif_suberror_Unknown_NCLX_matrix_coefficients;
}

bool is_whole(heif_image* picture) {
    heif_error warning{};
    for (int i = 0; heif_image_get_decoding_warnings(picture, i, &warning, 1) == 1; ++i)
        if (!is_harmless(warning)) return false;
    return true;
}

/// A picture put together of tiles says its size once more beside them, and libheif sets aside what is said there: it
/// may not be more than the boxes say, which have been checked against our own limit.
void hold_to_its_size(const Opened& file) {
    constexpr int kCodedMore = 64;   // a coded picture is filled up to whole blocks, at most so large [ITU-T H.265]
    constexpr int kHarmless = 4096;  // chosen: a small picture may be cut out of a larger tile, and this takes 50 MB
    const heif_image_handle* const handle = file.handle.get();
    const int longest = std::max({heif_image_handle_get_width(handle), heif_image_handle_get_height(handle),
                                  heif_image_handle_get_ispe_width(handle), heif_image_handle_get_ispe_height(handle)});
    heif_context_set_maximum_image_size_limit(file.context.get(), std::max(longest + kCodedMore, kHarmless));
}

Picture decoded(const Opened& file, const PixelKind& kind) {
    hold_to_its_size(file);
    heif_image* picture = nullptr;
    const heif_error error =
        heif_decode_image(file.handle.get(), &picture, heif_colorspace_RGB, kind.chroma(), nullptr);
    Picture owned(picture);
    return went_well(error) && is_whole(picture) ? std::move(owned) : Picture{};
}

/// Blue, green, red and alpha over the full range of 8 or 16 bits.
cv::Mat mat_of(const heif_image* picture, const PixelKind& kind) {
    int stride = 0;
    const std::uint8_t* const first = heif_image_get_plane_readonly(picture, heif_channel_interleaved, &stride);
    const int columns = heif_image_get_width(picture, heif_channel_interleaved);
    const int rows = heif_image_get_height(picture, heif_channel_interleaved);
    const int bits = heif_image_get_bits_per_pixel_range(picture, heif_channel_interleaved);
    if (first == nullptr || columns <= 0 || rows <= 0 || bits < 8 || bits > 16) return {};
    // cv::Mat takes no constant pixels, and these are only read.
    const cv::Mat stored(rows, columns, CV_MAKETYPE(kind.wide ? CV_16U : CV_8U, kind.channels()),
                         const_cast<std::uint8_t*>(first), static_cast<std::size_t>(stride));
    cv::Mat mat;
    cv::cvtColor(stored, mat, kind.alpha ? cv::COLOR_RGBA2BGRA : cv::COLOR_RGB2BGR);
    if (kind.wide) mat.convertTo(mat, CV_16U, 65535.0 / ((1 << bits) - 1));
    return mat;
}

}  // namespace

void loopread_codecs_heic_header(const std::string_view& bytes, HeicHeader& header) {
    const Opened file = opened(bytes);
    if (!went_well(file.error)) {
        header.finding = is_foreign(file.error) ? HeicFinding::foreign : HeicFinding::damaged;
        return;
    }
    const bool has_decoder = heif_have_decoder_for_format(heif_compression_HEVC) != 0;
    header.finding = has_decoder ? HeicFinding::readable : HeicFinding::no_decoder;
    header.width = heif_image_handle_get_width(file.handle.get());
    header.height = heif_image_handle_get_height(file.handle.get());
    header.colours = colours_of(file.handle.get());
}

void loopread_codecs_decode_heic(const std::string_view& bytes, cv::Mat& picture, Premultiplied& colours) {
    const Opened file = opened(bytes);
    if (!went_well(file.error)) return;
    PixelKind kind;
    kind.alpha = heif_image_handle_has_alpha_channel(file.handle.get()) != 0;
    kind.wide = heif_image_handle_get_luma_bits_per_pixel(file.handle.get()) > 8;
    const Picture pixels = decoded(file, kind);
    if (!pixels) return;
    picture = mat_of(pixels.get(), kind);
    if (heif_image_handle_is_premultiplied_alpha(file.handle.get()) != 0) colours = Premultiplied::yes;
}
