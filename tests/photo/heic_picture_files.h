#pragma once

// HEIC files made by libheif's encoder, stored without loss.

#include <libheif/heif.h>

#include <string>

#include <opencv2/imgproc.hpp>

#include "photo/picture_files.h"

namespace loopread::picture_files {

struct HeicShape {
    int orientation = 1;  ///< written as the boxes irot and imir
    std::string profile;
    int primaries = 0, transfer = 0;  ///< as nclx, if not 0
    bool premultiplied = false;
    int bits = 8;
};

namespace heic_detail {

inline heif_image* picture_of(const cv::Mat& mat, const HeicShape& shape) {
    const bool alpha = mat.channels() == 4, wide = shape.bits > 8;
    const heif_chroma chroma = wide ? (alpha ? heif_chroma_interleaved_RRGGBBAA_LE : heif_chroma_interleaved_RRGGBB_LE)
                                    : (alpha ? heif_chroma_interleaved_RGBA : heif_chroma_interleaved_RGB);
    cv::Mat rgb;
    cv::cvtColor(mat, rgb, alpha ? cv::COLOR_BGRA2RGBA : cv::COLOR_BGR2RGB);
    heif_image* picture = nullptr;
    heif_image_create(mat.cols, mat.rows, heif_colorspace_RGB, chroma, &picture);
    heif_image_add_plane(picture, heif_channel_interleaved, mat.cols, mat.rows, shape.bits);
    int stride = 0;
    unsigned char* const plane = heif_image_get_plane(picture, heif_channel_interleaved, &stride);
    for (int r = 0; r < mat.rows; ++r)
        std::copy_n(rgb.ptr(r), static_cast<std::size_t>(mat.cols) * rgb.elemSize(), plane + r * stride);
    if (!shape.profile.empty())
        heif_image_set_raw_color_profile(picture, "prof", shape.profile.data(), shape.profile.size());
    if (shape.premultiplied) heif_image_set_premultiplied_alpha(picture, 1);
    return picture;
}

inline heif_error keep(heif_context*, const void* data, std::size_t size, void* text) {
    static_cast<std::string*>(text)->assign(static_cast<const char*>(data), size);
    return {heif_error_Ok, heif_suberror_Unspecified, ""};
}

}  // namespace heic_detail

/// @param mat  8 bits, or 16 with values of shape.bits; 3 channels (blue, green, red) or 4 (and alpha)
inline std::string heic(const cv::Mat& mat, const HeicShape& shape = {}) {
    heif_context* const context = heif_context_alloc();
    heif_encoder* encoder = nullptr;
    heif_context_get_encoder_for_format(context, heif_compression_HEVC, &encoder);
    heif_encoder_set_lossless(encoder, 1);
    heif_encoder_set_parameter_string(encoder, "chroma", "444");
    heif_encoder_set_parameter_string(encoder, "preset", "ultrafast");
    heif_image* const picture = heic_detail::picture_of(mat, shape);
    heif_encoding_options* const options = heif_encoding_options_alloc();
    heif_color_profile_nclx* const nclx = heif_nclx_color_profile_alloc();
    nclx->matrix_coefficients = heif_matrix_coefficients_RGB_GBR;  // the codes as they are
    nclx->full_range_flag = 1;
    nclx->color_primaries = static_cast<heif_color_primaries>(shape.primaries != 0 ? shape.primaries : 2);
    nclx->transfer_characteristics =
        static_cast<heif_transfer_characteristics>(shape.transfer != 0 ? shape.transfer : 2);
    heif_image_set_nclx_color_profile(picture, nclx);
    options->output_nclx_profile = nclx;
    options->save_two_colr_boxes_when_ICC_and_nclx_available = 1;
    options->macOS_compatibility_workaround_no_nclx_profile = 0;
    options->image_orientation = static_cast<heif_orientation>(shape.orientation);
    const heif_error error = heif_context_encode_image(context, picture, encoder, options, nullptr);
    std::string bytes;
    heif_writer writer{1, heic_detail::keep};
    if (error.code == heif_error_Ok) heif_context_write(context, &writer, &bytes);
    heif_nclx_color_profile_free(nclx);
    heif_encoding_options_free(options);
    heif_image_release(picture);
    heif_encoder_release(encoder);
    heif_context_free(context);
    return bytes;
}

}  // namespace loopread::picture_files
