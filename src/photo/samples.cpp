#include "photo/samples.h"

#include <cstddef>
#include <cstdint>
#include <limits>
#include <vector>

#include "loopread/base/require.h"

namespace loopread {
namespace {

template <class Sample>
constexpr double kHighest = std::numeric_limits<Sample>::max();

template <class Sample>
const double* light_of_codes() {
    static const std::vector<double> table = [] {
        std::vector<double> light(static_cast<std::size_t>(kHighest<Sample>) + 1);
        for (std::size_t code = 0; code < light.size(); ++code)
            light[code] = linear_from_encoded(static_cast<double>(code) / kHighest<Sample>);
        return light;
    }();
    return table.data();
}

/// Calls use(red, green, blue, alpha) for every pixel.
template <class Sample, class Use>
void for_each_pixel(const SampleRow& row, const Use& use) {
    constexpr Sample kOpaque = std::numeric_limits<Sample>::max();
    const auto* p = reinterpret_cast<const Sample*>(row.first);
    const Sample* const end = p + static_cast<std::ptrdiff_t>(row.columns) * row.channels;
    switch (row.channels) {
        case 1:
            for (; p < end; ++p) use(p[0], p[0], p[0], kOpaque);
            break;
        case 3:
            for (; p < end; p += 3) use(p[2], p[1], p[0], kOpaque);
            break;
        case 4:
            for (; p < end; p += 4) use(p[2], p[1], p[0], p[3]);
            break;
        default:
            require(false, "a decoded row has 1, 3 or 4 channels");
    }
}

template <class Sample>
void light_of_row(const SampleRow& row, const CodeLight& light, LinearRgb under, LinearRgb* out) {
    for_each_pixel<Sample>(row, [&](Sample r, Sample g, Sample b, Sample a) {
        const LinearRgb over{light.red[r], light.green[g], light.blue[b]};
        *out++ = a == std::numeric_limits<Sample>::max() ? over : mixed(under, over, a / kHighest<Sample>);
    });
}

template <class Sample>
void codes_of_row(const SampleRow& row, CodePixel* out) {
    const auto share = [](Sample code) { return static_cast<float>(code / kHighest<Sample>); };
    for_each_pixel<Sample>(row, [&](Sample r, Sample g, Sample b, Sample a) {
        *out++ = {share(r), share(g), share(b), share(a)};
    });
}

template <class Sample>
void coverage_of_row(const SampleRow& row, double* out) {
    for_each_pixel<Sample>(row, [&](Sample r, Sample g, Sample b, Sample a) {
        const double luma = r == g && g == b ? r : 0.2126 * r + 0.7152 * g + 0.0722 * b;
        *out++ = (1 - luma / kHighest<Sample>)*(a / kHighest<Sample>);
    });
}

}  // namespace

CodeLight srgb_code_light(SampleDepth depth) {
    const double* const light =
        depth == SampleDepth::bits_8 ? light_of_codes<std::uint8_t>() : light_of_codes<std::uint16_t>();
    return {light, light, light};
}

void write_light(const SampleRow& row, const CodeLight& light, LinearRgb under, LinearRgb* out) {
    switch (row.depth) {
        case SampleDepth::bits_8:
            return light_of_row<std::uint8_t>(row, light, under, out);
        case SampleDepth::bits_16:
            return light_of_row<std::uint16_t>(row, light, under, out);
    }
}

void write_codes(const SampleRow& row, CodePixel* out) {
    switch (row.depth) {
        case SampleDepth::bits_8:
            return codes_of_row<std::uint8_t>(row, out);
        case SampleDepth::bits_16:
            return codes_of_row<std::uint16_t>(row, out);
    }
}

void write_coverage(const SampleRow& row, double* out) {
    switch (row.depth) {
        case SampleDepth::bits_8:
            return coverage_of_row<std::uint8_t>(row, out);
        case SampleDepth::bits_16:
            return coverage_of_row<std::uint16_t>(row, out);
    }
}

}  // namespace loopread
