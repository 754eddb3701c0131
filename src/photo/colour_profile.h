#pragma once

#include <lcms2.h>

#include <array>
#include <memory>
#include <string>
#include <vector>

#include "photo/file_header.h"
#include "photo/samples.h"

namespace loopread {

/// A linear map of light.
struct LightMatrix {
    std::array<LinearRgb, 3> columns{{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}};
    LinearRgb operator*(LinearRgb c) const { return columns[0] * c.r + columns[1] * c.g + columns[2] * c.b; }
};
double determinant(const LightMatrix& matrix);
/// Of a matrix whose determinant is not 0.
LightMatrix inverse(const LightMatrix& matrix);

/// How the codes of a picture become linear sRGB light: relative colorimetric, that is, white becomes white; nothing is
/// clipped.
class ColourProfile {
public:
    enum class Kind {
        srgb,    ///< sRGB to within the rounding of its numbers, or not to be used: nothing to convert
        curves,  ///< a curve for each channel, then a matrix
        table,   ///< anything else, pixel by pixel
    };

    explicit ColourProfile(const FileHeader& header);

    Kind kind() const { return kind_; }
    /// What is to be told of it; empty if it was used, or is none.
    const std::string& note() const { return note_; }

    /// Of Kind::curves: the curves at all codes, and the matrix from there to linear sRGB.
    std::array<std::vector<double>, 3> curves(SampleDepth depth) const;
    const LightMatrix& matrix() const { return matrix_; }

    /// Of every kind but srgb; alpha is passed over.
    void convert(const std::vector<CodePixel>& codes, LinearRgb* light) const;

private:
    template <auto release>
    struct Release {
        void operator()(void* handle) const { release(handle); }
    };
    using Profile = std::unique_ptr<void, Release<cmsCloseProfile>>;
    using Transform = std::unique_ptr<void, Release<cmsDeleteTransform>>;

    void use_profile(const FileHeader& header);
    void use_code_points(const CodePoints& points);
    void settle_kind();
    bool settle_matrix();
    void pass_over(const char* note);

    Profile profile_;
    Transform transform_;
    std::array<const cmsToneCurve*, 3> curves_{};  ///< parts of profile_; none for a grey one
    LightMatrix matrix_;
    Kind kind_ = Kind::srgb;
    std::string note_;
};

}  // namespace loopread
