#include "photo/colour_profile.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/require.h"

namespace loopread {
namespace {

constexpr const char* kDamagedProfile = "its colour profile is damaged, so its colours are read as sRGB";
constexpr const char* kMisfit = "its colour profile is made for another kind of picture; its colours are read as sRGB";
constexpr const char* kUnknownPoints = "its colours are of a rare kind and are read as sRGB; better export it as sRGB";
constexpr const char* kHdr =
    "it is made for bright (HDR) screens and is read as if it were not; better export it as sRGB";

// The red, green, blue and white of sRGB [IEC 61966-2-1:1999].
constexpr cmsCIExyY kD65{0.3127, 0.3290, 1};
constexpr cmsCIExyYTRIPLE kSrgbPrimaries{{0.640, 0.330, 1}, {0.300, 0.600, 1}, {0.150, 0.060, 1}};

struct KnownPrimaries {
    int code;
    cmsCIExyYTRIPLE colours;
};
/// Those of [ITU-T H.273] table 2 whose white is D65.
constexpr KnownPrimaries kPrimaries[] = {
    {1, kSrgbPrimaries},
    {2, kSrgbPrimaries},  // not said
    {5, {{0.640, 0.330, 1}, {0.290, 0.600, 1}, {0.150, 0.060, 1}}},
    {6, {{0.630, 0.340, 1}, {0.310, 0.595, 1}, {0.155, 0.070, 1}}},
    {7, {{0.630, 0.340, 1}, {0.310, 0.595, 1}, {0.155, 0.070, 1}}},
    {9, {{0.708, 0.292, 1}, {0.170, 0.797, 1}, {0.131, 0.046, 1}}},
    {12, {{0.680, 0.320, 1}, {0.265, 0.690, 1}, {0.150, 0.060, 1}}},
};

struct FreeCurve {
    void operator()(cmsToneCurve* curve) const { cmsFreeToneCurve(curve); }
};
using Curve = std::unique_ptr<cmsToneCurve, FreeCurve>;

/// Transfer as [ITU-T H.273] table 3 numbers it; nothing for one that is not read.
Curve curve_of(int transfer) {
    const auto power = [](double exponent) { return Curve(cmsBuildGamma(nullptr, exponent)); };
    switch (transfer) {
        case 4:
            return power(2.2);
        case 5:
            return power(2.8);
        case 8:
            return power(1);
        case 1:  // of cameras for television; screens show them as sRGB (common practice, no source)
        case 2:
        case 6:
        case 13:
        case 14:
        case 15: {
            const double srgb[] = {2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045};
            return Curve(cmsBuildParametricToneCurve(nullptr, 4, srgb));
        }
        default:
            return {};
    }
}

void* rgb_profile(const cmsCIExyYTRIPLE& primaries, cmsToneCurve* curve) {
    cmsToneCurve* const curves[] = {curve, curve, curve};
    return cmsCreateRGBProfile(&kD65, &primaries, curves);
}

void* linear_srgb() {
    const Curve straight(cmsBuildGamma(nullptr, 1));
    return rgb_profile(kSrgbPrimaries, straight.get());
}

LightMatrix colorants(cmsHPROFILE profile) {
    constexpr cmsTagSignature kTags[] = {cmsSigRedColorantTag, cmsSigGreenColorantTag, cmsSigBlueColorantTag};
    LightMatrix matrix;
    for (std::size_t i = 0; i < 3; ++i) {
        const auto* const xyz = static_cast<const cmsCIEXYZ*>(cmsReadTag(profile, kTags[i]));
        matrix.columns[i] = xyz == nullptr ? LinearRgb{} : LinearRgb{xyz->X, xyz->Y, xyz->Z};
    }
    return matrix;
}

LightMatrix product(const LightMatrix& a, const LightMatrix& b) {
    return {{a * b.columns[0], a * b.columns[1], a * b.columns[2]}};
}

/// All greys of 8 bits, and a coarse cube.
std::vector<CodePixel> probes() {
    std::vector<CodePixel> pixels;
    for (int code = 0; code <= 255; ++code) {
        const float share = static_cast<float>(code) / 255;
        pixels.push_back({share, share, share});
    }
    constexpr int kSteps = 8;
    for (int i = 0; i <= kSteps; ++i)
        for (int j = 0; j <= kSteps; ++j)
            for (int k = 0; k <= kSteps; ++k)
                pixels.push_back(
                    {static_cast<float>(i) / kSteps, static_cast<float>(j) / kSteps, static_cast<float>(k) / kSteps});
    return pixels;
}

struct Agreement {
    bool as_srgb = true;
    bool plausible = true;  ///< light a picture can have
};

Agreement agreement_of(double code, double light) {
    // Profiles in use that call themselves sRGB differ from it by 0.04 of a code in greys and, since their primaries
    // are rounded, by up to 0.00044 of light in the purest colours. A quarter of a code of white is 0.002.
    constexpr double kRounding = 0.0005;
    constexpr double kMostLight = 4;  // chosen: the reddest red of the widest space in use comes to 1.8
    return {std::abs(light - linear_from_encoded(code)) <= kRounding, std::abs(light) <= kMostLight};
}

/// Greys, where half a code of 8 bits of either sign counts even in the dark.
bool is_same_grey(const CodePixel& code, const LinearRgb& light) {
    constexpr double kHalfCode = 0.5 / 255;
    const bool grey = code.r == code.g && code.g == code.b;
    const double as_srgb = encoded_from_linear(std::clamp(light.g, 0.0, 1.0));
    return !grey || std::abs(as_srgb - code.g) <= kHalfCode;
}

Agreement agreement_of(const std::vector<CodePixel>& codes, const std::vector<LinearRgb>& light) {
    Agreement all;
    for (std::size_t i = 0; i < codes.size(); ++i) {
        for (const Agreement& one : {agreement_of(codes[i].r, light[i].r), agreement_of(codes[i].g, light[i].g),
                                     agreement_of(codes[i].b, light[i].b)}) {
            all.as_srgb = all.as_srgb && one.as_srgb;
            all.plausible = all.plausible && one.plausible;
        }
        all.as_srgb = all.as_srgb && is_same_grey(codes[i], light[i]);
    }
    return all;
}

cmsUInt32Number code_format(cmsColorSpaceSignature space) {
    // A grey one takes the first of the four numbers of a CodePixel.
    constexpr cmsUInt32Number kFloat = FLOAT_SH(1) | BYTES_SH(4);
    return space == cmsSigGrayData ? kFloat | COLORSPACE_SH(PT_GRAY) | CHANNELS_SH(1) | EXTRA_SH(3)
                                   : kFloat | COLORSPACE_SH(PT_RGB) | CHANNELS_SH(3) | EXTRA_SH(1);
}

/// Whether lcms2 goes by curves and matrix, which it does where there is no table.
bool has_no_table(cmsHPROFILE profile) {
    constexpr cmsTagSignature kTables[] = {cmsSigAToB0Tag, cmsSigAToB1Tag, cmsSigDToB0Tag, cmsSigDToB1Tag};
    return std::none_of(std::begin(kTables), std::end(kTables),
                        [&](cmsTagSignature tag) { return cmsIsTag(profile, tag) != 0; });
}

/// Whether the profile is of the picture's kind of colours. It says so in its bytes 16 to 19 [ICC 1:2010]; not through
/// cmsGetColorSpace, since a damaged one names what no value of that enum stands for.
bool fits(const FileHeader& header) {
    const std::string space = header.colours.profile.substr(16, 4);
    return space == "RGB " || (space == "GRAY" && header.grey);
}

}  // namespace

double determinant(const LightMatrix& matrix) {
    const auto& [a, b, c] = matrix.columns;
    return a.r * (b.g * c.b - b.b * c.g) - b.r * (a.g * c.b - a.b * c.g) + c.r * (a.g * b.b - a.b * b.g);
}

LightMatrix inverse(const LightMatrix& matrix) {
    const auto cross = [](LinearRgb a, LinearRgb b) {
        return LinearRgb{a.g * b.b - a.b * b.g, a.b * b.r - a.r * b.b, a.r * b.g - a.g * b.r};
    };
    const auto& [a, b, c] = matrix.columns;
    const double factor = 1 / determinant(matrix);
    const LinearRgb rows[] = {cross(b, c) * factor, cross(c, a) * factor, cross(a, b) * factor};
    return {
        {{{rows[0].r, rows[1].r, rows[2].r}, {rows[0].g, rows[1].g, rows[2].g}, {rows[0].b, rows[1].b, rows[2].b}}}};
}

ColourProfile::ColourProfile(const FileHeader& header) {
    const ColourTags& colours = header.colours;
    if (colours.damaged)
        note_ = kDamagedProfile;
    else if (colours.code_points)
        use_code_points(*colours.code_points);
    else if (!colours.profile.empty())
        use_profile(header);
}

void ColourProfile::use_profile(const FileHeader& header) {
    profile_.reset(cmsOpenProfileFromMem(header.colours.profile.data(),
                                         static_cast<cmsUInt32Number>(header.colours.profile.size())));
    if (!profile_) return pass_over(kDamagedProfile);
    if (!fits(header)) return pass_over(kMisfit);
    settle_kind();
}

void ColourProfile::use_code_points(const CodePoints& points) {
    constexpr int kPq = 16, kHlg = 18;
    if (points.transfer == kPq || points.transfer == kHlg) return pass_over(kHdr);
    const auto* const known = std::find_if(std::begin(kPrimaries), std::end(kPrimaries),
                                           [&](const KnownPrimaries& p) { return p.code == points.primaries; });
    const Curve curve = curve_of(points.transfer);
    if (known == std::end(kPrimaries) || !curve) return pass_over(kUnknownPoints);
    profile_.reset(rgb_profile(known->colours, curve.get()));
    settle_kind();
}

void ColourProfile::pass_over(const char* note) {
    transform_.reset();
    profile_.reset();
    kind_ = Kind::srgb;
    note_ = note;
}

void ColourProfile::settle_kind() {
    const Profile target(linear_srgb());
    const cmsColorSpaceSignature space = cmsGetColorSpace(profile_.get());
    transform_.reset(cmsCreateTransform(profile_.get(), code_format(space), target.get(), TYPE_RGB_DBL,
                                        INTENT_RELATIVE_COLORIMETRIC, cmsFLAGS_NOCACHE | cmsFLAGS_NOOPTIMIZE));
    if (!transform_) return pass_over(kDamagedProfile);
    std::vector<CodePixel> codes = probes();
    if (space == cmsSigGrayData) codes.resize(256);
    std::vector<LinearRgb> light(codes.size());
    convert(codes, light.data());
    const Agreement agreement = agreement_of(codes, light);
    if (!agreement.plausible) return pass_over(kDamagedProfile);
    if (agreement.as_srgb) return;
    kind_ = space == cmsSigGrayData || settle_matrix() ? Kind::curves : Kind::table;
}

bool ColourProfile::settle_matrix() {
    constexpr cmsTagSignature kCurves[] = {cmsSigRedTRCTag, cmsSigGreenTRCTag, cmsSigBlueTRCTag};
    constexpr double kFlat = 1e-3;  // of a determinant: P3 has 0.8; the colours of such a profile lie in a plane
    if (cmsIsMatrixShaper(profile_.get()) == 0 || !has_no_table(profile_.get())) return false;
    const Profile target(linear_srgb());
    matrix_ = product(inverse(colorants(target.get())), colorants(profile_.get()));
    for (std::size_t i = 0; i < 3; ++i)
        curves_[i] = static_cast<const cmsToneCurve*>(cmsReadTag(profile_.get(), kCurves[i]));
    return std::abs(determinant(matrix_)) > kFlat &&
           std::all_of(curves_.begin(), curves_.end(), [](const cmsToneCurve* curve) { return curve != nullptr; });
}

std::array<std::vector<double>, 3> ColourProfile::curves(SampleDepth depth) const {
    require(kind_ == Kind::curves, "the profile is made of curves");
    const auto codes = static_cast<std::size_t>(highest_code(depth)) + 1;
    const auto share = [&](std::size_t code) { return static_cast<float>(code) / static_cast<float>(codes - 1); };
    std::array<std::vector<double>, 3> tables;
    for (std::size_t i = 0; i < 3 && curves_[i] != nullptr; ++i)
        for (std::size_t code = 0; code < codes; ++code)
            tables[i].push_back(cmsEvalToneCurveFloat(curves_[i], share(code)));
    if (curves_[0] != nullptr) return tables;
    std::vector<CodePixel> greys(codes);
    for (std::size_t code = 0; code < codes; ++code) greys[code].r = share(code);
    std::vector<LinearRgb> light(codes);
    convert(greys, light.data());
    for (std::vector<double>& table : tables)
        for (const LinearRgb& grey : light) table.push_back(grey.g);
    return tables;
}

void ColourProfile::convert(const std::vector<CodePixel>& codes, LinearRgb* light) const {
    static_assert(sizeof(LinearRgb) == 3 * sizeof(double) && sizeof(CodePixel) == 4 * sizeof(float),
                  "pixels lie as lcms2 reads and writes them");
    cmsDoTransform(transform_.get(), codes.data(), light, static_cast<cmsUInt32Number>(codes.size()));
}

}  // namespace loopread
