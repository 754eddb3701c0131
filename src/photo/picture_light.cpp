#include "photo/picture_light.h"

namespace loopread {

PictureLight::PictureLight(const FileHeader& header, LinearRgb under) : profile_(header), under_(under) {
    if (profile_.kind() == ColourProfile::Kind::curves) under_ = inverse(profile_.matrix()) * under;
}

void PictureLight::write(const SampleRow& row, LinearRgb* out) {
    if (profile_.kind() == ColourProfile::Kind::table)
        write_pixel_by_pixel(row, out);
    else
        write_light(row, code_light(row.depth), under_, out);
}

CodeLight PictureLight::code_light(SampleDepth depth) {
    if (profile_.kind() == ColourProfile::Kind::srgb) return srgb_code_light(depth);
    if (depth_of_curves_ != depth) {
        curves_ = profile_.curves(depth);
        depth_of_curves_ = depth;
    }
    return {curves_[0].data(), curves_[1].data(), curves_[2].data()};
}

void PictureLight::write_pixel_by_pixel(const SampleRow& row, LinearRgb* out) {
    codes_.resize(static_cast<std::size_t>(row.columns));
    write_codes(row, codes_.data());
    profile_.convert(codes_, out);
    for (const CodePixel& code : codes_) {
        if (code.alpha < 1) *out = mixed(under_, *out, static_cast<double>(code.alpha));
        ++out;
    }
}

void PictureLight::finish(Image& picture) const {
    if (profile_.kind() != ColourProfile::Kind::curves) return;
    for (LinearRgb& light : picture) light = profile_.matrix() * light;
}

}  // namespace loopread
