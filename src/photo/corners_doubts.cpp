#include "photo/corners_doubts.h"

#include <cmath>
#include <cstddef>
#include <opencv2/imgproc.hpp>
#include <optional>

namespace loopread::corner_search {
namespace {

/// 0 up to `low`, 1 from `high` on.
double ramp(double value, double low, double high) {
    return std::clamp((value - low) / (high - low), 0.0, 1.0);
}

/// Mean unlikeness in hue of what lies just outside a side, in units of the noise: a pale strip of the blank that is
/// almost the table's colour shows here, though no single pixel of it does.
double faint_strip(const Frame& frame, int which) {
    const double longer = frame.work.longer();
    cv::Vec3d sum;
    double count = 0;
    for (int k = 0; k < kStations; ++k) {
        const double along = 0.06 + 0.88 * (k + 0.5) / kStations;
        const PhotoPoint edge = frame.square(in_square(which, {along, 0}));
        const PhotoPoint inside = frame.square(in_square(which, {along, 0.05}));
        const PhotoPoint outwards = (edge - inside) * (1 / length(inside - edge));
        for (double t = 0.012 * longer; t < 0.03 * longer; t += 1) {
            const PhotoPoint p = edge + outwards * t;
            if (sample(frame.unlike.unshaded, p) >= kSeen) continue;  // threads, waste yarn
            sum += cv::Vec3d(sample(frame.unlike.misses, p));
            count += 1;
        }
    }
    if (count < 1) return 0;
    return std::hypot(sum[1], sum[2]) / count;
}

/// Dark lines out on the table, by how much of the blank's area they cover: shade along edges of cloth that has the
/// table's own colour, so that what was found is only the painted part of it.
double stray_shade(const Frame& frame) {
    const int longer = frame.work.longer();
    cv::Mat1b dark, cloth;
    cv::compare(frame.unlike.plain, kSeen, dark, cv::CMP_GE);
    cv::compare(frame.unlike.unshaded, kSeen, cloth, cv::CMP_GE);
    std::vector<cv::Point> outline;
    for (const PhotoPoint& p : frame.corners)
        outline.emplace_back(static_cast<int>(std::lround(p.x)), static_cast<int>(std::lround(p.y)));
    cv::fillConvexPoly(cloth, outline, cv::Scalar(255));
    const int shade = 2 * (longer / 40) + 1;  // as wide as a shadow along an edge may be
    cv::dilate(cloth, cloth, cv::getStructuringElement(cv::MORPH_RECT, {shade, shade}));
    dark.setTo(0, cloth);
    cv::morphologyEx(dark, dark, cv::MORPH_OPEN, cv::getStructuringElement(cv::MORPH_RECT, {2, 2}));
    return cv::countNonZero(dark) / cv::contourArea(outline);
}

/// A strip of one colour at one end, cut off by the only sharp line across the blank: waste yarn or paint, who knows.
bool end_strip(const Frame& frame, int long_way) {
    constexpr int kAlong = 320, kAcross = 24, kApart = 2;
    cv::Mat3f colours(kAlong, kAcross);
    for (int i = 0; i < kAlong; ++i)
        for (int k = 0; k < kAcross; ++k)
            colours(i, k) =
                sample(frame.work.oklab,
                       frame.square(in_square(long_way, {(i + 0.5) / kAlong, 0.06 + 0.88 * (k + 0.5) / kAcross})));
    constexpr double kSharp = 0.07;  // OKLab, about a CIEDE2000 of 7
    std::vector<int> lines;
    double before = 0;
    for (int i = kApart; i + kApart < kAlong; ++i) {
        int sharp = 0;
        double mean = 0;
        for (int k = 0; k < kAcross; ++k) {
            const double step = cv::norm(colours(i + kApart, k) - colours(i - kApart, k));
            mean += step / kAcross;
            sharp += step > kSharp ? 1 : 0;
        }
        const bool is_line = sharp >= 0.85 * kAcross;
        if (is_line && !lines.empty() && i - lines.back() <= 2 * kApart) {
            if (mean > before) lines.back() = i;
            before = std::max(before, mean);
        } else if (is_line) {
            lines.push_back(i);
            before = mean;
        }
    }
    const auto at_end = [&](int line) { return std::min(line, kAlong - line) < 0.16 * kAlong; };
    // What curls up at the very end shows its back.
    const double curl =
        std::max(0.012, 0.045 * mean_length(frame.corners, long_way + 1) / mean_length(frame.corners, long_way));
    std::erase_if(lines, [&](int line) { return std::min(line, kAlong - line) < curl * kAlong; });
    if (lines.empty()) return false;
    if (lines.size() <= 2) return std::all_of(lines.begin(), lines.end(), at_end);
    // Among bands, one that is much narrower than the rest.
    int narrowest = kAlong;
    for (std::size_t i = 1; i < lines.size(); ++i) narrowest = std::min(narrowest, lines[i] - lines[i - 1]);
    return std::min(lines.front(), kAlong - lines.back()) < 0.4 * narrowest;
}

const char* name_of(int which) {
    constexpr std::array<const char*, 4> kNames{"top", "right", "bottom", "left"};
    return kNames[static_cast<std::size_t>(which)];
}

/// What each side has to say for itself.
std::optional<std::string> doubt_of_side(const Frame& frame, const Fit& fit, int side, int place) {
    const Edge& edge = fit.edges[static_cast<std::size_t>(side)];
    const std::string name = std::string("the blank's ") + name_of(place) + " edge ";
    const bool is_end = mean_length(frame.corners, side) < mean_length(frame.corners, side + 1);
    if (edge.covered > (is_end ? 0.92 : 0.25)) return name + "has something lying against it";
    if (edge.support < 0.9) return name + "cannot be told from what it lies on";
    if (std::min(edge.support_start, edge.support_end) < 0.7) return name + "is not straight up to its corners";
    const double rough = edge.rms / std::max(roughness(fit.edges), 0.2);
    if (rough > 3) return name + "has threads or cloth along it";
    // With much of it hidden, what is left has to be good: the twentieth beside each corner clear, all but one place.
    const bool hidden = edge.covered > 0.25;
    if (hidden && (edge.nearest_corner < 6 || rough > 2.2)) return name + "is hidden by threads or waste yarn";
    if (edge.shade > 0.025 * frame.work.longer()) return name + "has a wide dark strip along it, shadow or cloth";
    if (faint_strip(frame, side) > 3) return name + "has a pale strip along it that is almost the table's colour";
    return std::nullopt;
}

double sureness(const Work& work, const Fit& fit) {
    double sure = 1;
    for (const Edge& edge : fit.edges) {
        sure = std::min(sure, 0.5 + 0.5 * ramp(edge.support, 0.9, 1));
        sure = std::min(sure, 0.5 + 0.5 * ramp(edge.contrast, 1, 2.5));
        sure = std::min(sure, 0.5 + 0.5 * ramp(-edge.rms, -2 * kRoughest * work.longer(), -kRoughest * work.longer()));
    }
    return sure;
}

constexpr double kShortest = 1.55, kLongest = 7.5;  // 2 and 6 foreshortened by a tilt of 30 degrees, and some more

}  // namespace

BlankCorners refused(const std::string& fault) {
    BlankCorners result;
    result.why_not = fault + "; give --corners x,y,x,y,x,y,x,y, clockwise from the blank's top left";
    return result;
}

BlankCorners judged(const Work& work, const Unlikeness& unlike, const cv::Mat1b& piece, const Fit& fit) {
    if (!all_finite(fit.corners)) return refused("no blank with four straight edges found");
    const Corners ordered = upright_order(fit.corners);
    if (fault_of(ordered, work.light.cols, work.light.rows))
        return refused(
            "the blank is cut off by the picture's edge: photograph it again with all four corners in the picture");
    const double across = mean_length(fit.corners, 0), down = mean_length(fit.corners, 1);
    const double ratio = std::max(across, down) / std::min(across, down);
    if (ratio < kShortest || ratio > kLongest) return refused("what lies there has not the proportions of a blank");
    const Frame frame{work, unlike, piece, fit.corners, from_square(fit.corners)};
    // Which side of the picture each edge is at: the ordered corners are the found ones, turned.
    int turn = 0;
    while (turn < 4 && length(corner(fit.corners, turn) - ordered[0]) > 1e-9) ++turn;
    for (int i = 0; i < 4; ++i)
        if (const auto doubt = doubt_of_side(frame, fit, i, (i - turn) & 3)) return refused(*doubt);
    // Unpainted edges of the table's colour leave 0.15 and vignetting at most 0.011 in photos that were made to try it.
    if (stray_shade(frame) > 0.03)
        return refused("there is shade on the table beyond the blank's edges, or cloth of the table's colour");
    if (end_strip(frame, across > down ? 0 : 1))
        return refused("a strip of another colour at the blank's end may be waste yarn or paint");
    BlankCorners result;
    result.confidence = sureness(work, fit);
    for (std::size_t i = 0; i < 4; ++i) result.corners[i] = {ordered[i].x * work.scale_x, ordered[i].y * work.scale_y};
    result.bows = bows_of(fit);
    std::rotate(result.bows.begin(), result.bows.begin() + turn, result.bows.end());
    return result;
}

}  // namespace loopread::corner_search
