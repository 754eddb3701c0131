#pragma once

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "loopread/base/files.h"
#include "loopread/colour/palette.h"
#include "loopread/wound/strand_painter.h"
#include "loopread/yarn/file.h"
#include "loopread/yarn/reduced.h"
#include "loopread/yarn/run.h"

namespace loopread::wound_test {

inline ColourRun plain_run(double length_mm, LinearRgb colour) {
    return ColourRun({{0, length_mm, -1, -1, Part::sinker, colour}});
}

inline constexpr LinearRgb kRed{0.55, 0.02, 0.03}, kBlue{0.03, 0.06, 0.50};

/// The end that comes off first is red, the rest blue.
inline ColourRun halves(double length_mm) {
    return ColourRun(
        {{0, length_mm / 2, -1, -1, Part::sinker, kRed}, {length_mm / 2, length_mm / 2, -1, -1, Part::sinker, kBlue}});
}

/// A sample yarn of five colours in runs of 15 cm to 4.2 m.
inline ColourRun rope() {
    const std::string file = std::string(LOOPREAD_SAMPLES) + "/rope.csv";
    return parsed_yarn_csv(file_bytes(file), file).front();
}

/// Shares of the palette's colours along the yarn.
inline std::vector<double> shares_along(const ColourRun& run, const std::vector<PaletteColour>& palette) {
    std::vector<double> shares(palette.size());
    for (const Piece& piece : run.pieces())
        shares[nearest_in(palette, piece.colour)] += piece.length_mm / run.length_mm();
    return shares;
}

/// How far a colour is from a mixture of two others, and the second one's part in it.
struct Mixture {
    double off = 0, part = 0;
};
inline Mixture as_mixture(LinearRgb seen, LinearRgb a, LinearRgb b) {
    const LinearRgb way = b - a, from = seen - a;
    const double part = std::clamp(
        (from.r * way.r + from.g * way.g + from.b * way.b) / (way.r * way.r + way.g * way.g + way.b * way.b), 0.0, 1.0);
    const LinearRgb off = from - way * part;
    return {off.r * off.r + off.g * off.g + off.b * off.b, part};
}

/// Shares of the palette's colours in a picture, light and shade taken off. A pixel where two strands meet holds some
/// of both: blue and yellow are no green.
inline std::vector<double> shares_seen(const PaintedStrands& seen, const std::vector<PaletteColour>& palette) {
    std::vector<double> shares(palette.size());
    double all = 0;
    for (int r = 0; r < seen.albedo.rows(); ++r)
        for (int c = 0; c < seen.albedo.columns(); ++c) {
            const auto covered = static_cast<double>(seen.coverage(r, c));
            if (covered <= 0) continue;
            Mixture best{1e9, 0};
            std::size_t first = 0, second = 0;
            for (std::size_t a = 0; a < palette.size(); ++a)
                for (std::size_t b = a + 1; b < palette.size(); ++b) {
                    const Mixture mixture = as_mixture(seen.albedo(r, c), palette[a].colour, palette[b].colour);
                    if (mixture.off >= best.off) continue;
                    best = mixture;
                    first = a;
                    second = b;
                }
            shares[first] += covered * (1 - best.part);
            shares[second] += covered * best.part;
            all += covered;
        }
    for (double& share : shares) share /= all;
    return shares;
}

inline double largest_difference(const std::vector<double>& a, const std::vector<double>& b) {
    double most = 0;
    for (std::size_t i = 0; i < a.size(); ++i) most = std::max(most, std::abs(a[i] - b[i]));
    return most;
}

/// Red's part of the yarn in a picture of red and blue; pixels where they meet count in proportion.
inline double red_share(const PaintedStrands& seen) {
    double red = 0, all = 0;
    for (int r = 0; r < seen.albedo.rows(); ++r)
        for (int c = 0; c < seen.albedo.columns(); ++c) {
            const auto covered = static_cast<double>(seen.coverage(r, c));
            if (covered <= 0) continue;
            all += covered;
            red += covered * (seen.albedo(r, c).r - kBlue.r) / (kRed.r - kBlue.r);
        }
    return red / all;
}

}  // namespace loopread::wound_test
