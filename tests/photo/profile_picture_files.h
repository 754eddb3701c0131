#pragma once

// Colour profiles made by lcms2 from published primaries, and picture files that carry them.

#include <lcms2.h>

#include <string>
#include <utility>
#include <vector>

#include <opencv2/core.hpp>

#include "photo/picture_files.h"

namespace loopread::picture_files {

// Chromaticities of red, green, blue. Display P3 and sRGB: CSS Color 4, section 10. Adobe RGB: its 1998 specification,
// 4.2.1. White of all three: D65.
inline constexpr cmsCIExyYTRIPLE kDisplayP3{{0.680, 0.320, 1}, {0.265, 0.690, 1}, {0.150, 0.060, 1}};
inline constexpr cmsCIExyYTRIPLE kAdobeRgb{{0.640, 0.330, 1}, {0.210, 0.710, 1}, {0.150, 0.060, 1}};
inline constexpr cmsCIExyYTRIPLE kSrgb{{0.640, 0.330, 1}, {0.300, 0.600, 1}, {0.150, 0.060, 1}};
inline constexpr cmsCIExyY kD65White{0.3127, 0.3290, 1};

inline cmsToneCurve* srgb_curve() {
    const double numbers[] = {2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045};
    return cmsBuildParametricToneCurve(nullptr, 4, numbers);
}

/// Closes the profile.
inline std::string saved(cmsHPROFILE profile) {
    cmsUInt32Number size = 0;
    cmsSaveProfileToMem(profile, nullptr, &size);
    std::string bytes(size, '\0');
    cmsSaveProfileToMem(profile, bytes.data(), &size);
    cmsCloseProfile(profile);
    return bytes;
}

/// Frees the curve.
inline std::string rgb_profile(const cmsCIExyYTRIPLE& primaries, cmsToneCurve* curve) {
    cmsToneCurve* const curves[] = {curve, curve, curve};
    cmsHPROFILE profile = cmsCreateRGBProfile(&kD65White, &primaries, curves);
    cmsFreeToneCurve(curve);
    return saved(profile);
}

inline std::string display_p3() {
    return rgb_profile(kDisplayP3, srgb_curve());
}

inline std::string adobe_rgb() {
    return rgb_profile(kAdobeRgb, cmsBuildGamma(nullptr, 563.0 / 256));
}

inline std::string grey_profile(double gamma) {
    cmsToneCurve* const curve = cmsBuildGamma(nullptr, gamma);
    cmsHPROFILE profile = cmsCreateGrayProfile(&kD65White, curve);
    cmsFreeToneCurve(curve);
    return saved(profile);
}

/// The colours of another RGB profile as a table of 33 steps a side, with Lab in between and no matrix.
inline std::string table_profile(const std::string& rgb) {
    cmsHPROFILE from = cmsOpenProfileFromMem(rgb.data(), static_cast<cmsUInt32Number>(rgb.size()));
    cmsHPROFILE lab = cmsCreateLab4Profile(nullptr);
    cmsHTRANSFORM transform =
        cmsCreateTransform(from, TYPE_RGB_16, lab, TYPE_Lab_16, INTENT_RELATIVE_COLORIMETRIC, cmsFLAGS_NOOPTIMIZE);
    cmsPipeline* const pipeline = cmsPipelineAlloc(nullptr, 3, 3);
    cmsStage* const table = cmsStageAllocCLut16bit(nullptr, 33, 3, 3, nullptr);
    cmsStageSampleCLut16bit(
        table,
        [](const cmsUInt16Number in[], cmsUInt16Number out[], void* cargo) {
            cmsDoTransform(cargo, in, out, 1);
            return TRUE;
        },
        transform, 0);
    // A table of this kind is stored between curves [ICC 1:2010, lutAToBType]; these leave all as it is.
    cmsPipelineInsertStage(pipeline, cmsAT_END, cmsStageAllocToneCurves(nullptr, 3, nullptr));
    cmsPipelineInsertStage(pipeline, cmsAT_END, table);
    cmsPipelineInsertStage(pipeline, cmsAT_END, cmsStageAllocToneCurves(nullptr, 3, nullptr));
    cmsHPROFILE profile = cmsCreateProfilePlaceholder(nullptr);
    cmsSetProfileVersion(profile, 4.3);
    cmsSetDeviceClass(profile, cmsSigDisplayClass);
    cmsSetColorSpace(profile, cmsSigRgbData);
    cmsSetPCS(profile, cmsSigLabData);
    cmsWriteTag(profile, cmsSigMediaWhitePointTag, cmsD50_XYZ());
    cmsWriteTag(profile, cmsSigAToB0Tag, pipeline);
    std::string bytes = saved(profile);
    cmsPipelineFree(pipeline);
    cmsDeleteTransform(transform);
    cmsCloseProfile(lab);
    cmsCloseProfile(from);
    return bytes;
}

inline std::string lab_profile() {
    return saved(cmsCreateLab4Profile(nullptr));
}

// ---- files that carry a profile

inline std::string profile_part(const std::string& data, int number, int count) {
    const std::string body =
        std::string("ICC_PROFILE\0", 12) + static_cast<char>(number) + static_cast<char>(count) + data;
    return "\xff\xe2" + loopread::picture_files::number(body.size() + 2, 2, Order::big) + body;
}

/// In `count` parts of one size.
inline std::vector<std::string> profile_parts(const std::string& profile, int count) {
    const std::size_t each = (profile.size() + static_cast<std::size_t>(count) - 1) / static_cast<std::size_t>(count);
    std::vector<std::string> parts;
    for (int i = 0; i < count; ++i)
        parts.push_back(profile_part(profile.substr(static_cast<std::size_t>(i) * each, each), i + 1, count));
    return parts;
}

/// Puts segments behind the first two bytes of a JPEG.
inline std::string with_segments(const std::string& jpeg, const std::vector<std::string>& segments) {
    std::string bytes = jpeg.substr(0, 2);
    for (const std::string& segment : segments) bytes += segment;
    return bytes + jpeg.substr(2);
}

inline std::string iccp(const std::string& profile) {
    return chunk("iCCP", std::string("made up\0\0", 9) + stored_zlib(profile));
}

inline std::string webp_with_profile(const cv::Mat& mat, const std::string& profile) {
    const std::string plain = webp(mat);
    const auto part = [](const std::string& name, const std::string& data) {
        return name + number(data.size(), 4, Order::little) + data + std::string(data.size() % 2, '\0');
    };
    constexpr int kHasProfile = 0x20;
    const std::string canvas = number(kHasProfile, 4, Order::little) +
                               number(static_cast<std::uint64_t>(mat.cols - 1), 3, Order::little) +
                               number(static_cast<std::uint64_t>(mat.rows - 1), 3, Order::little);
    const std::string body = "WEBP" + part("VP8X", canvas) + part("ICCP", profile) + plain.substr(12);
    return "RIFF" + number(body.size(), 4, Order::little) + body;
}

/// The directory of pattern_tiff is the last thing in its file; the profile's entry goes to its end.
inline std::string tiff_with_profile(const TiffShape& shape, const std::string& profile) {
    constexpr int kProfileTag = 34675, kUndefined = 7;
    std::string file = pattern_tiff(shape);
    std::size_t directory = 0;
    for (std::size_t i = 0; i < 4; ++i)
        directory = directory << 8 | static_cast<unsigned char>(file[shape.order == Order::big ? 4 + i : 7 - i]);
    const std::size_t entries = (file.size() - 4 - directory - 2) / 12;
    file.replace(directory, 2, number(entries + 1, 2, shape.order));
    file.resize(file.size() - 4);
    file += number(kProfileTag, 2, shape.order) + number(kUndefined, 2, shape.order) +
            number(profile.size(), 4, shape.order) + number(file.size() + 12 + 4, 4, shape.order);
    return file + std::string(4, '\0') + profile;
}

}  // namespace loopread::picture_files
