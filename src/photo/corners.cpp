#include "loopread/photo/corners.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <vector>

#include <opencv2/core.hpp>
#include <opencv2/imgproc.hpp>

#include "loopread/base/random.h"
#include "loopread/image/sampling.h"

namespace loopread {
namespace {

// ---- geometry

PhotoPoint operator+(PhotoPoint a, PhotoPoint b) {
    return {a.x + b.x, a.y + b.y};
}
PhotoPoint operator-(PhotoPoint a, PhotoPoint b) {
    return {a.x - b.x, a.y - b.y};
}
PhotoPoint operator*(PhotoPoint a, double f) {
    return {a.x * f, a.y * f};
}
double cross(PhotoPoint a, PhotoPoint b) {
    return a.x * b.y - a.y * b.x;
}
double dot(PhotoPoint a, PhotoPoint b) {
    return a.x * b.x + a.y * b.y;
}
double length(PhotoPoint a) {
    return std::hypot(a.x, a.y);
}

const PhotoPoint& corner(const Corners& corners, int i) {
    return corners[static_cast<std::size_t>(i & 3)];
}
double side(const Corners& corners, int i) {
    return length(corner(corners, i + 1) - corner(corners, i));
}

double mean_length(const Corners& c, int which) {
    return (side(c, which) + side(c, which + 2)) / 2;
}

bool all_finite(const Corners& c) {
    return std::all_of(c.begin(), c.end(), [](PhotoPoint p) { return std::isfinite(p.x) && std::isfinite(p.y); });
}

/// A projective map of the plane.
struct Homography {
    std::array<double, 9> m{};

    PhotoPoint operator()(PhotoPoint p) const {
        const double w = m[6] * p.x + m[7] * p.y + m[8];
        return {(m[0] * p.x + m[1] * p.y + m[2]) / w, (m[3] * p.x + m[4] * p.y + m[5]) / w};
    }
    /// Up to a factor, which a projective map does not have.
    Homography inverse() const {
        return {{m[4] * m[8] - m[5] * m[7], m[2] * m[7] - m[1] * m[8], m[1] * m[5] - m[2] * m[4],
                 m[5] * m[6] - m[3] * m[8], m[0] * m[8] - m[2] * m[6], m[2] * m[3] - m[0] * m[5],
                 m[3] * m[7] - m[4] * m[6], m[1] * m[6] - m[0] * m[7], m[0] * m[4] - m[1] * m[3]}};
    }
};

/// From the unit square, (0, 0) to the top left corner [Heckbert 1989].
Homography from_square(const Corners& c) {
    const PhotoPoint d1 = c[1] - c[2], d2 = c[3] - c[2], s = c[0] - c[1] + c[2] - c[3];
    const double den = cross(d1, d2);
    const double g = cross(s, d2) / den, h = cross(d1, s) / den;
    return {{c[1].x - c[0].x + g * c[1].x, c[3].x - c[0].x + h * c[3].x, c[0].x, c[1].y - c[0].y + g * c[1].y,
             c[3].y - c[0].y + h * c[3].y, c[0].y, g, h, 1}};
}

// ---- the picture made small and how far each pixel is from the table

constexpr int kWorkSide = 700;  // pixels of the longer side: an edge is then found to a twentieth of a percent of it
constexpr int kSmallestSide = 80;

struct Work {
    cv::Mat3f light;
    cv::Mat3f oklab;
    double scale_x = 1, scale_y = 1;  ///< picture pixels a pixel
    int longer() const { return std::max(light.rows, light.cols); }
};

Work worked_on(const Image& picture) {
    const double shrink = std::max(1.0, std::max(picture.rows(), picture.columns()) / static_cast<double>(kWorkSide));
    const int rows = std::max(1, static_cast<int>(std::lround(picture.rows() / shrink)));
    const int columns = std::max(1, static_cast<int>(std::lround(picture.columns() / shrink)));
    const PixelBox whole{0, 0, static_cast<double>(picture.columns()), static_cast<double>(picture.rows())};
    const bool as_is = rows == picture.rows() && columns == picture.columns();
    const Image small = as_is ? picture : resampled(picture, whole, rows, columns);
    cv::Mat3f raw(rows, columns);
    for (int r = 0; r < rows; ++r)
        for (int c = 0; c < columns; ++c) {
            const LinearRgb p = small(r, c);
            raw(r, c) = {static_cast<float>(p.r), static_cast<float>(p.g), static_cast<float>(p.b)};
        }
    Work work;
    cv::GaussianBlur(raw, work.light, {}, 0.8, 0.8, cv::BORDER_REPLICATE);  // chosen: camera noise, not edges
    work.oklab.create(rows, columns);
    for (int r = 0; r < rows; ++r)
        for (int c = 0; c < columns; ++c) {
            const cv::Vec3f& p = work.light(r, c);
            const Oklab lab = oklab_from_linear({p[0], p[1], p[2]});
            work.oklab(r, c) = {static_cast<float>(lab.l), static_cast<float>(lab.a), static_cast<float>(lab.b)};
        }
    work.scale_x = static_cast<double>(picture.columns()) / columns;
    work.scale_y = static_cast<double>(picture.rows()) / rows;
    return work;
}

double median(std::vector<double> values) {
    if (values.empty()) return 0;
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

/// Tukey's biweight of a residual in units of where it ends.
double biweight(double miss) {
    return std::abs(miss) >= 1 ? 0.0 : (1 - miss * miss) * (1 - miss * miss);
}

constexpr int kTerms = 6;  // 1, x, y, x^2, xy, y^2
using Terms = cv::Matx<double, 1, kTerms>;
using Surface = cv::Matx<double, kTerms, 3>;

struct Spot {
    double x = 0, y = 0;  // -1..1 over the picture
    cv::Vec3d colour;
};

Terms terms(double x, double y) {
    return {1, x, y, x * x, x * y, y * y};
}

cv::Vec3d value(const Surface& surface, double x, double y) {
    const cv::Matx<double, 1, 3> v = terms(x, y) * surface;
    return {v(0), v(1), v(2)};
}

/// The smallest differences worth noticing, OKLab: what encoding in 8 bits and JPEG leave behind. chosen
const cv::Vec3d kFaintest{0.004, 0.002, 0.002};

Surface fitted_table(const std::vector<Spot>& spots) {
    std::vector<double> weights(spots.size(), 1.0), misses(spots.size());
    Surface surface = Surface::zeros();
    constexpr int kRounds = 12;
    for (int round = 0; round < kRounds; ++round) {
        cv::Matx<double, kTerms, kTerms> normal = cv::Matx<double, kTerms, kTerms>::eye() * 1e-6;
        Surface right = Surface::zeros();
        for (std::size_t i = 0; i < spots.size(); ++i) {
            const Terms t = terms(spots[i].x, spots[i].y);
            normal += t.t() * t * weights[i];
            right += t.t() * spots[i].colour.t() * weights[i];
        }
        surface = normal.solve(right, cv::DECOMP_CHOLESKY);
        for (std::size_t i = 0; i < spots.size(); ++i) {
            const cv::Vec3d miss = spots[i].colour - value(surface, spots[i].x, spots[i].y);
            misses[i] = std::sqrt(miss[0] * miss[0] / 4 + miss[1] * miss[1] + miss[2] * miss[2]);
        }
        const double scale = 6 * std::max(median(misses), kFaintest[1]);
        for (std::size_t i = 0; i < spots.size(); ++i) weights[i] = biweight(misses[i] / scale);
    }
    return surface;
}

double place_in(int i, int pixels) {
    return (2 * i + 1.0) / pixels - 1;
}

template <class IsTable>
std::vector<Spot> spots(const Work& work, int step, IsTable is_table) {
    std::vector<Spot> all;
    for (int r = step / 2; r < work.oklab.rows; r += step)
        for (int c = step / 2; c < work.oklab.cols; c += step)
            if (is_table(r, c))
                all.push_back(
                    {place_in(c, work.oklab.cols), place_in(r, work.oklab.rows), cv::Vec3d(work.oklab(r, c))});
    return all;
}

/// Typical size of what the table's grain and the camera's noise do to each channel.
cv::Vec3d noise_of(const std::vector<Spot>& spots, const Surface& table) {
    std::array<std::vector<double>, 3> misses;
    for (const Spot& spot : spots) {
        const cv::Vec3d miss = spot.colour - value(table, spot.x, spot.y);
        for (std::size_t k = 0; k < 3; ++k) misses[k].push_back(std::abs(miss[static_cast<int>(k)]));
    }
    cv::Vec3d noise;
    for (std::size_t k = 0; k < 3; ++k) {
        const int channel = static_cast<int>(k);
        // 1.4826: from the median deviation to the standard deviation of normal noise
        noise[channel] = std::max(1.4826 * median(misses[k]), kFaintest[channel]);
    }
    return noise;
}

constexpr double kSeen = 6;             // times the noise: this is not table
constexpr double kDeepestShadow = 0.8;  // on OKLab's scale: half the light

/// How unlike the table each pixel is, in units of the table's noise.
struct Unlikeness {
    cv::Mat1f plain;     ///< from the table in full light
    cv::Mat1f unshaded;  ///< from the table in any light down to half of it
    cv::Mat3f misses;    ///< channel by channel, with its sign, from the table in full light
};

Unlikeness unlikeness(const Work& work, const Surface& table, const cv::Vec3d& noise) {
    const int rows = work.oklab.rows, columns = work.oklab.cols;
    Unlikeness u{cv::Mat1f(rows, columns), cv::Mat1f(rows, columns), cv::Mat3f(rows, columns)};
    const cv::Vec3d unit(1 / noise[0], 1 / noise[1], 1 / noise[2]);
    const auto term = [&](int i) { return cv::Vec3d(table(i, 0), table(i, 1), table(i, 2)).mul(unit); };
    const cv::Vec3f unit_f(unit);
    for (int r = 0; r < rows; ++r) {
        // The surface along a row is a parabola.
        const double y = place_in(r, rows);
        const cv::Vec3f c0(term(0) + term(2) * y + term(5) * (y * y)), c1(term(1) + term(4) * y), c2(term(3));
        for (int c = 0; c < columns; ++c) {
            const auto x = static_cast<float>(place_in(c, columns));
            const cv::Vec3f t = c0 + (c1 + c2 * x) * x;
            const cv::Vec3f p = work.oklab(r, c).mul(unit_f);
            // In shade all three OKLab coordinates shrink by one factor, the cube root of the light's.
            const float shade = std::clamp(p.dot(t) / t.dot(t), static_cast<float>(kDeepestShadow), 1.0F);
            const cv::Vec3f miss = p - t, unshaded = p - t * shade;
            u.misses(r, c) = miss;
            u.plain(r, c) = std::sqrt(miss.dot(miss));
            u.unshaded(r, c) = std::sqrt(unshaded.dot(unshaded));
        }
    }
    return u;
}

struct Table {
    Surface surface;
    cv::Vec3d noise;
    double of_frame = 0;  ///< the part of the picture's frame that is table
};

bool near_frame(const Work& work, int r, int c) {
    const int band = std::max(3, work.longer() / 40);
    return r < band || c < band || r >= work.oklab.rows - band || c >= work.oklab.cols - band;
}

/// Seeds at the frame, then everything that hangs together with it.
Table found_table(const Work& work) {
    const std::vector<Spot> frame = spots(work, 4, [&](int r, int c) { return near_frame(work, r, c); });
    Table table;
    table.surface = fitted_table(frame);
    table.noise = noise_of(frame, table.surface);
    cv::Mat1b like;
    cv::compare(unlikeness(work, table.surface, table.noise).unshaded, kSeen, like, cv::CMP_LT);
    cv::erode(like, like, cv::getStructuringElement(cv::MORPH_RECT, {5, 5}));
    cv::Mat1i pieces;
    const int count = cv::connectedComponents(like, pieces, 4, CV_32S);
    std::vector<char> reaches_frame(static_cast<std::size_t>(count), 0);
    for (int r = 0; r < pieces.rows; ++r)
        for (int c = 0; c < pieces.cols; ++c)
            if (near_frame(work, r, c)) reaches_frame[static_cast<std::size_t>(pieces(r, c))] = 1;
    reaches_frame[0] = 0;
    const std::vector<Spot> around =
        spots(work, 8, [&](int r, int c) { return reaches_frame[static_cast<std::size_t>(pieces(r, c))] != 0; });
    if (around.size() > 200) {
        table.surface = fitted_table(around);
        table.noise = noise_of(around, table.surface);
    }
    double like_table = 0;
    for (const Spot& spot : frame) {
        const cv::Vec3d miss = spot.colour - value(table.surface, spot.x, spot.y);
        double sum = 0;
        for (int k = 0; k < 3; ++k) sum += miss[k] * miss[k] / (table.noise[k] * table.noise[k]);
        like_table += std::sqrt(sum) < kSeen ? 1 : 0;
    }
    table.of_frame = frame.empty() ? 0 : like_table / static_cast<double>(frame.size());
    return table;
}

// ---- the one large piece that is not table

struct Piece {
    cv::Mat1b mask;
    double area = 0;
    cv::Rect box;
};

/// Pieces without holes and without threads, the largest first.
std::vector<Piece> pieces_of(const cv::Mat1b& seen, int longer) {
    // Threads first, as one that comes back to the blank would be filled up with what it encloses.
    const auto disc = [](int size) { return cv::getStructuringElement(cv::MORPH_ELLIPSE, {size, size}); };
    cv::Mat1b mask;
    cv::morphologyEx(seen, mask, cv::MORPH_OPEN, disc(2 * std::max(2, longer / 200) + 1));
    cv::morphologyEx(mask, mask, cv::MORPH_CLOSE, disc(5));
    std::vector<std::vector<cv::Point>> outlines;
    cv::findContours(mask, outlines, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_NONE);
    cv::drawContours(mask, outlines, -1, cv::Scalar(255), cv::FILLED);
    cv::morphologyEx(mask, mask, cv::MORPH_OPEN, disc(2 * std::max(2, longer / 140) + 1));  // chosen: tangles, no strip
    cv::Mat labels, stats, middles;
    const int count = cv::connectedComponentsWithStats(mask, labels, stats, middles, 8, CV_32S);
    std::vector<Piece> pieces;
    for (int i = 1; i < count; ++i) {
        Piece piece;
        piece.area = stats.at<int>(i, cv::CC_STAT_AREA);
        piece.box = {stats.at<int>(i, cv::CC_STAT_LEFT), stats.at<int>(i, cv::CC_STAT_TOP),
                     stats.at<int>(i, cv::CC_STAT_WIDTH), stats.at<int>(i, cv::CC_STAT_HEIGHT)};
        if (piece.area < 0.0005 * static_cast<double>(mask.total())) continue;
        piece.mask = labels == i;
        pieces.push_back(piece);
    }
    std::stable_sort(pieces.begin(), pieces.end(), [](const Piece& a, const Piece& b) { return a.area > b.area; });
    return pieces;
}

/// The part of the piece's width that lies at the picture's edge.
bool touches_frame(const Piece& piece) {
    const cv::Mat1b& m = piece.mask;
    int touching = 0;
    for (int c = 0; c < m.cols; ++c) touching += (m(0, c) != 0) + (m(m.rows - 1, c) != 0);
    for (int r = 0; r < m.rows; ++r) touching += (m(r, 0) != 0) + (m(r, m.cols - 1) != 0);
    return touching > 0.04 * std::sqrt(piece.area);
}

/// y = at + slope x.
struct Line {
    double at = 0, slope = 0;
    double operator()(double x) const { return at + slope * x; }
};

/// The line most points lie within `near` of, then the least squares of those.
Line robust_line(const std::vector<PhotoPoint>& points, double near) {
    Line best;
    std::size_t most = 0;
    Random random(1);
    constexpr int kTrials = 160;  // enough for a line in a third of the points, 1 - (1 - 1/9)^160
    const auto any = [&] {
        return points[static_cast<std::size_t>(random.uniform() * static_cast<double>(points.size()))];
    };
    const auto within = [&](const Line& line, const PhotoPoint& p) { return std::abs(p.y - line(p.x)) < near; };
    for (int trial = 0; trial < kTrials; ++trial) {
        const PhotoPoint a = any(), b = any();
        if (std::abs(a.x - b.x) < 1e-9) continue;
        Line line;
        line.slope = (b.y - a.y) / (b.x - a.x);
        line.at = a.y - line.slope * a.x;
        const auto count = static_cast<std::size_t>(
            std::count_if(points.begin(), points.end(), [&](const PhotoPoint& p) { return within(line, p); }));
        if (count > most) {
            most = count;
            best = line;
        }
    }
    double n = 0, sx = 0, sy = 0, sxx = 0, sxy = 0;
    for (const PhotoPoint& p : points)
        if (within(best, p)) {
            n += 1;
            sx += p.x;
            sy += p.y;
            sxx += p.x * p.x;
            sxy += p.x * p.y;
        }
    const double den = n * sxx - sx * sx;
    if (den > 1e-9) {
        best.slope = (n * sxy - sx * sy) / den;
        best.at = (sy - best.slope * sx) / n;
    }
    return best;
}

/// A frame along the piece: s along it, t across it.
struct Axes {
    PhotoPoint middle, along, across;
    double s(PhotoPoint p) const { return dot(p - middle, along); }
    double t(PhotoPoint p) const { return dot(p - middle, across); }
    PhotoPoint point(double s, double t) const { return middle + along * s + across * t; }
};

Axes axes_of(const Piece& piece) {
    const cv::Moments m = cv::moments(piece.mask, true);
    const double angle = 0.5 * std::atan2(2 * m.mu11, m.mu20 - m.mu02);
    return {{m.m10 / m.m00 + 0.5, m.m01 / m.m00 + 0.5},
            {std::cos(angle), std::sin(angle)},
            {-std::sin(angle), std::cos(angle)}};
}

/// The two long sides of a piece, as t over s, and where along them it begins and ends.
struct LongSides {
    Line low, high;
    double first = 0, last = 0;
    int bodies = 1;  ///< stretches as wide as the lines are apart, with a gap of table between
};

struct Extents {
    double first = 0;               ///< s of the first bin
    std::vector<double> low, high;  ///< of t in each bin, a pixel each
};

Extents extents(const Piece& piece, const Axes& axes) {
    std::vector<std::vector<cv::Point>> outlines;
    cv::findContours(piece.mask, outlines, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_NONE);
    std::vector<PhotoPoint> st;
    for (const auto& outline : outlines)
        for (const cv::Point& p : outline) {
            const PhotoPoint point{p.x + 0.5, p.y + 0.5};
            st.push_back({axes.s(point), axes.t(point)});
        }
    Extents e;
    double last = -1e9;
    e.first = 1e9;
    for (const PhotoPoint& p : st) {
        e.first = std::min(e.first, p.x);
        last = std::max(last, p.x);
    }
    const auto bins = static_cast<std::size_t>(last - e.first) + 1;
    e.low.assign(bins, 1e9);
    e.high.assign(bins, -1e9);
    for (const PhotoPoint& p : st) {
        const auto bin = static_cast<std::size_t>(p.x - e.first);
        e.low[bin] = std::min(e.low[bin], p.y);
        e.high[bin] = std::max(e.high[bin], p.y);
    }
    return e;
}

bool is_set(const cv::Mat1b& mask, PhotoPoint p) {
    return p.x >= 0 && p.y >= 0 && p.x < mask.cols && p.y < mask.rows &&
           mask(static_cast<int>(p.y), static_cast<int>(p.x)) != 0;
}

/// The part of the width between the long sides that is cloth, at each pixel along them, well beyond the ends too.
std::vector<double> coverage(const cv::Mat1b& cloth, const Axes& axes, const LongSides& sides, double from, int count) {
    constexpr int kAcross = 60;
    std::vector<double> covered(static_cast<std::size_t>(count));
    for (int i = 0; i < count; ++i) {
        const double s = from + i + 0.5, low = sides.low(s), high = sides.high(s);
        if (high - low < 2) continue;
        int hits = 0;
        for (int k = 0; k < kAcross; ++k)
            hits += is_set(cloth, axes.point(s, low + (k + 0.5) / kAcross * (high - low))) ? 1 : 0;
        covered[static_cast<std::size_t>(i)] = static_cast<double>(hits) / kAcross;
    }
    return covered;
}

constexpr double kFullWidth = 0.9;  // chosen: a strip of waste yarn narrower than that is no part of the blank

/// Where the coverage is full; short notches (table-coloured paint at an edge) do not part it.
void find_ends(LongSides& sides, const std::vector<double>& covered, double from) {
    struct Stretch {
        int first, last;
    };
    std::vector<Stretch> stretches;
    const int count = static_cast<int>(covered.size());
    for (int i = 0; i < count; ++i) {
        if (covered[static_cast<std::size_t>(i)] < kFullWidth) continue;
        if (!stretches.empty()) {
            double least = 1;
            for (int k = stretches.back().last + 1; k < i; ++k)
                least = std::min(least, covered[static_cast<std::size_t>(k)]);
            const int gap = i - stretches.back().last - 1;
            if (gap <= 3 || least > 0.25) {
                stretches.back().last = i;
                continue;
            }
        }
        stretches.push_back({i, i});
    }
    if (stretches.empty()) {
        sides.bodies = 0;
        return;
    }
    const auto size = [](const Stretch& s) { return s.last - s.first + 1; };
    const Stretch longest = *std::max_element(stretches.begin(), stretches.end(),
                                              [&](const Stretch& a, const Stretch& b) { return size(a) < size(b); });
    sides.bodies = static_cast<int>(std::count_if(stretches.begin(), stretches.end(), [&](const Stretch& s) {
        return size(s) >= std::max(3.0, 0.02 * size(longest));
    }));
    sides.first = from + longest.first;
    sides.last = from + longest.last + 1;
}

LongSides long_sides(const Piece& piece, const cv::Mat1b& cloth, const Axes& axes) {
    const Extents e = extents(piece, axes);
    std::vector<PhotoPoint> low, high;
    for (std::size_t i = 0; i < e.low.size(); ++i) {
        if (e.low[i] > e.high[i]) continue;
        const double s = e.first + static_cast<double>(i) + 0.5;
        low.push_back({s, e.low[i]});
        high.push_back({s, e.high[i]});
    }
    const double near = std::max(1.5, 0.008 * static_cast<double>(e.low.size()));  // cloth bows by about that
    LongSides sides;
    sides.low = robust_line(low, near);
    sides.high = robust_line(high, near);
    const int spare = static_cast<int>(e.low.size() / 2);
    const double from = e.first - spare;
    find_ends(sides, coverage(cloth, axes, sides, from, static_cast<int>(e.low.size()) + 2 * spare), from);
    return sides;
}

/// Clockwise, the first corner being the one from which the next lies most nearly to the right.
Corners upright_order(Corners c) {
    double area = 0;
    for (int i = 0; i < 4; ++i) area += cross(corner(c, i), corner(c, i + 1));
    if (area < 0) std::swap(c[1], c[3]);
    int best = 0;
    double most = -2;
    for (int i = 0; i < 4; ++i) {
        const PhotoPoint top = corner(c, i + 1) - corner(c, i), bottom = corner(c, i + 2) - corner(c, i + 3);
        const double rightwards = (top + bottom).x / (length(top) + length(bottom));
        if (rightwards > most) {
            most = rightwards;
            best = i;
        }
    }
    std::rotate(c.begin(), c.begin() + best, c.end());
    return c;
}

// ---- edges to fractions of a pixel

/// A square seen from one of its sides: `along` it clockwise, `depth` inwards.
struct SidePoint {
    double along = 0, depth = 0;
};
PhotoPoint in_square(int which, SidePoint p) {
    switch (which) {
        case 0:
            return {p.along, p.depth};
        case 1:
            return {1 - p.depth, p.along};
        case 2:
            return {1 - p.along, 1 - p.depth};
        default:
            return {p.depth, 1 - p.along};
    }
}
SidePoint from_side(int which, PhotoPoint p) {
    switch (which) {
        case 0:
            return {p.x, p.y};
        case 1:
            return {p.y, 1 - p.x};
        case 2:
            return {1 - p.x, 1 - p.y};
        default:
            return {1 - p.y, p.x};
    }
}

template <class T>
T sample(const cv::Mat_<T>& mat, PhotoPoint p) {
    // In this order of arguments a value that is not a number becomes 0.
    const double x = std::min(std::max(0.0, p.x - 0.5), mat.cols - 1.0);
    const double y = std::min(std::max(0.0, p.y - 0.5), mat.rows - 1.0);
    const int c = std::min(static_cast<int>(x), mat.cols - 2), r = std::min(static_cast<int>(y), mat.rows - 2);
    const float u = static_cast<float>(x - c), v = static_cast<float>(y - r);
    return (mat(r, c) * (1 - u) + mat(r, c + 1) * u) * (1 - v) + (mat(r + 1, c) * (1 - u) + mat(r + 1, c + 1) * u) * v;
}

/// What lies across an edge at one place of it.
enum class Crossing {
    edge,     ///< table, then cloth
    covered,  ///< not table outside: threads or a strip of waste yarn hang there
    none,     ///< no cloth
};
struct Station {
    Crossing crossing = Crossing::none;
    SidePoint point;      ///< of the edge, in the square
    double contrast = 0;  ///< of the cloth just inside, in units of kSeen
    double shade = 0;     ///< pixels that are dark as if shaded before the edge
};

constexpr double kStep = 0.5;         // pixels
constexpr double kJustIn = 4;         // pixels inside an edge: cloth
constexpr int kStations = 160;        // along each side
constexpr double kRoughest = 0.0007;  // of the longer side of the picture: how far knitted edges wander. chosen

struct Profile {
    const Work& work;
    const Unlikeness& unlike;
    const cv::Mat1b& piece;
    PhotoPoint start, inwards;

    PhotoPoint at(double t) const { return start + inwards * t; }
    double unshaded(double t) const { return sample(unlike.unshaded, at(t)); }
    double plain(double t) const { return sample(unlike.plain, at(t)); }
    cv::Vec3f light(double from, double to) const {
        cv::Vec3f sum;
        int count = 0;
        for (double t = from; t <= to + 1e-9; t += kStep, ++count) sum += sample(work.light, at(t));
        return sum / static_cast<float>(count);
    }
    double mean_unshaded(double from, double to) const {
        double sum = 0;
        int count = 0;
        for (double t = from; t <= to + 1e-9; t += kStep, ++count) sum += unshaded(t);
        return sum / count;
    }
};

/// Half way between the light outside and inside, near t: where a blurred edge really is.
double half_way(const Profile& profile, double t) {
    const cv::Vec3f outside = profile.light(t - 4, t - 2), inside = profile.light(t + 2.5, t + 5);
    const cv::Vec3f rise = inside - outside;
    const float size = rise.dot(rise);
    if (size < 1e-8F) return t;
    const auto part = [&](double u) {
        return static_cast<double>((sample(profile.work.light, profile.at(u)) - outside).dot(rise) / size);
    };
    double before = part(t - 3);
    for (double u = t - 3 + kStep; u <= t + 4; u += kStep) {
        const double now = part(u);
        if (before < 0.5 && now >= 0.5) return u - kStep * (now - 0.5) / (now - before);
        before = now;
    }
    return t;
}

/// The first place from outside where cloth begins; the piece, from which threads have been taken, says what is cloth.
Station station_at(const Profile& profile, double reach) {
    Station station;
    if (is_set(profile.piece, profile.at(-reach))) {
        station.crossing = Crossing::covered;
        return station;
    }
    double shaded_from = reach;
    for (double t = -reach; t <= reach; t += kStep) {
        if (shaded_from == reach && profile.plain(t) >= kSeen && profile.plain(t + 1) >= kSeen) shaded_from = t;
        if (!is_set(profile.piece, profile.at(t))) continue;
        const bool clear = profile.unshaded(t - 3) < kSeen && profile.unshaded(t - 4) < kSeen;
        station.crossing = clear ? Crossing::edge : Crossing::covered;
        station.point.depth = half_way(profile, t);
        station.contrast = profile.mean_unshaded(t + 1, t + kJustIn) / kSeen;
        station.shade = std::max(0.0, t - shaded_from);
        return station;
    }
    return station;
}

/// depth = c0 + c1 a + c2 a^2 along a side.
struct Edge {
    std::array<double, 3> c{};
    double operator()(double a) const { return c[0] + a * (c[1] + a * c[2]); }

    std::vector<Station> stations;
    double support = 0;                         ///< places on the edge, of all that are not covered
    double covered = 0;                         ///< places where something hangs over it, of all
    double support_start = 0, support_end = 0;  ///< the same beside its corners
    int nearest_corner = 0;                     ///< places on the edge right beside the worse corner
    double rms = 0;                             ///< pixels, of those on it
    double contrast = 0, shade = 0;             ///< median
};

struct Frame {
    const Work& work;
    const Unlikeness& unlike;
    const cv::Mat1b& piece;
    Corners corners;
    Homography square;
};

std::vector<Station> stations(const Frame& frame, int which, double reach) {
    const Homography back = frame.square.inverse();
    std::vector<Station> all;
    for (int k = 0; k < kStations; ++k) {
        const double along = 0.015 + 0.97 * (k + 0.5) / kStations;
        const PhotoPoint edge = frame.square(in_square(which, {along, 0}));
        const PhotoPoint inside = frame.square(in_square(which, {along, 0.05}));
        const Profile profile{frame.work, frame.unlike, frame.piece, edge,
                              (inside - edge) * (1 / length(inside - edge))};
        Station station = station_at(profile, reach);
        station.point = from_side(which, station.crossing == Crossing::edge ? back(profile.at(station.point.depth))
                                                                            : in_square(which, {along, 0}));
        all.push_back(station);
    }
    return all;
}

bool near_end(double along, double part) {
    return std::min(along, 1 - along) < part;
}

constexpr double kEndPart = 0.12;   // of a side: here nothing hangs, a strip of waste yarn being narrower
constexpr double kMostBow = 0.035;  // of a side's length, as the height of its arc

/// The parabola through two places near the corners and one more that most places lie on. Being held at the corners it
/// cannot run along the end of a strip that hangs between them.
std::array<double, 3> held_parabola(const std::vector<SidePoint>& points, double near, double most_bow) {
    std::vector<SidePoint> start, end;
    for (const SidePoint& p : points) {
        if (p.along < kEndPart) start.push_back(p);
        if (p.along > 1 - kEndPart) end.push_back(p);
    }
    std::array<double, 3> best{};
    if (start.empty() || end.empty()) return best;
    Random random(1);
    const auto any = [&](const std::vector<SidePoint>& from) {
        return from[static_cast<std::size_t>(random.uniform() * static_cast<double>(from.size()))];
    };
    int most = 0;
    constexpr int kTrials = 200;
    for (int trial = 0; trial < kTrials; ++trial) {
        const SidePoint a = any(start), b = any(end), c = any(points);
        const double slope = (b.depth - a.depth) / (b.along - a.along);
        const double lens = (c.along - a.along) * (c.along - b.along);
        const double bend = std::abs(lens) < 0.02 ? 0 : (c.depth - a.depth - slope * (c.along - a.along)) / lens;
        if (std::abs(bend) / 4 > most_bow) continue;
        const std::array<double, 3> p{a.depth - slope * a.along + bend * a.along * b.along,
                                      slope - bend * (a.along + b.along), bend};
        int count = 0;
        for (const SidePoint& q : points)
            if (std::abs(q.depth - p[0] - q.along * (p[1] + q.along * p[2])) < near)
                count += near_end(q.along, kEndPart) ? 3 : 1;
        if (count > most) {
            most = count;
            best = p;
        }
    }
    return best;
}

/// Tukey's biweight about a parabola, ending at `reach`; a line where only the shoulders beside a strip are seen.
void refit(Edge& edge, const std::vector<SidePoint>& points, double reach) {
    constexpr int kRounds = 5;
    for (int round = 0; round < kRounds; ++round) {
        bool middle_seen = false;
        for (const SidePoint& p : points)
            middle_seen = middle_seen || (std::abs(p.depth - edge(p.along)) < reach && !near_end(p.along, 0.3));
        cv::Matx33d normal = cv::Matx33d::eye() * 1e-9;
        cv::Vec3d right;
        for (const SidePoint& p : points) {
            const double w = biweight((p.depth - edge(p.along)) / reach);
            const cv::Vec3d t(1, p.along, middle_seen ? p.along * p.along : 0);
            normal += t * t.t() * w;
            right += t * (w * p.depth);
        }
        const cv::Vec3d c = normal.solve(right, cv::DECOMP_CHOLESKY);
        edge.c = {c[0], c[1], c[2]};
    }
}

void judge(Edge& edge, double pixels_deep, double on_edge) {
    double on = 0, covered = 0, sum = 0;
    std::array<double, 2> on_at_end{}, clear_at_end{};
    std::array<int, 2> on_at_corner{};
    std::vector<double> contrasts, shades;
    for (const Station& s : edge.stations) {
        const bool seen = s.crossing == Crossing::edge;
        const double miss = seen ? (s.point.depth - edge(s.point.along)) * pixels_deep : 0;
        const bool is_on = seen && std::abs(miss) < on_edge;
        const bool is_covered = s.crossing == Crossing::covered || miss < -on_edge;
        covered += is_covered ? 1 : 0;
        if (near_end(s.point.along, kEndPart)) {
            const std::size_t end = s.point.along < 0.5 ? 0 : 1;
            clear_at_end[end] += is_covered ? 0 : 1;
            on_at_end[end] += is_on ? 1 : 0;
            on_at_corner[end] += is_on && near_end(s.point.along, kEndPart / 2) ? 1 : 0;
        }
        if (!is_on) continue;
        on += 1;
        sum += miss * miss;
        contrasts.push_back(s.contrast);
        shades.push_back(s.shade);
    }
    const double count = static_cast<double>(edge.stations.size());
    constexpr double kFewest = 4;  // stations beside a corner
    edge.support = on / std::max(count - covered, 0.1 * count);
    edge.covered = covered / count;
    edge.support_start = on_at_end[0] / std::max(kFewest, clear_at_end[0]);
    edge.support_end = on_at_end[1] / std::max(kFewest, clear_at_end[1]);
    edge.nearest_corner = std::min(on_at_corner[0], on_at_corner[1]);
    edge.rms = on > 0 ? std::sqrt(sum / on) : 0;
    edge.contrast = median(contrasts);
    edge.shade = median(shades);
}

/// @param rough  pixels by which places of an edge miss it
Edge fitted_edge(const Frame& frame, int which, double reach, double rough) {
    Edge edge;
    edge.stations = stations(frame, which, reach);
    std::vector<SidePoint> points;
    for (const Station& s : edge.stations)
        if (s.crossing == Crossing::edge) points.push_back(s.point);
    if (points.size() < 8) return edge;
    const double pixels_deep = mean_length(frame.corners, which + 1);
    const double near = 2.5 * rough / pixels_deep;
    edge.c = held_parabola(points, near, kMostBow * mean_length(frame.corners, which) / pixels_deep);
    refit(edge, points, 2 * near);
    judge(edge, pixels_deep, 4.5 * rough);
    return edge;
}

/// Where side `which` ends and the next begins.
PhotoPoint crossing(const std::array<Edge, 4>& edges, int which) {
    const Edge& a = edges[static_cast<std::size_t>(which)];
    const Edge& b = edges[static_cast<std::size_t>((which + 1) & 3)];
    double depth_b = 0, depth_a = 0;
    for (int round = 0; round < 30; ++round) {
        depth_a = a(1 - depth_b);
        depth_b = b(depth_a);
    }
    return in_square(which, {1 - depth_b, depth_a});
}

/// All four are edges of one cloth: what is much rougher than the two smoothest is threads.
double roughness(const std::array<Edge, 4>& edges) {
    std::array<double, 4> rms{};
    std::transform(edges.begin(), edges.end(), rms.begin(), [](const Edge& edge) { return edge.rms; });
    std::sort(rms.begin(), rms.end());
    return rms[1];
}

struct Fit {
    Corners corners;
    std::array<Edge, 4> edges;
};

Fit refined(const Work& work, const Unlikeness& unlike, const cv::Mat1b& piece, const Corners& start) {
    Fit fit;
    fit.corners = start;
    const double width = std::min(side(start, 0) + side(start, 2), side(start, 1) + side(start, 3)) / 2;
    double rough = std::max(0.4, kRoughest * work.longer());
    for (const double reach : {0.10 * width + 8, 0.06 * width + 6, 0.06 * width + 6}) {
        const Frame frame{work, unlike, piece, fit.corners, from_square(fit.corners)};
        for (int i = 0; i < 4; ++i) fit.edges[static_cast<std::size_t>(i)] = fitted_edge(frame, i, reach, rough);
        for (int i = 0; i < 4; ++i)
            fit.corners[static_cast<std::size_t>((i + 1) & 3)] = frame.square(crossing(fit.edges, i));
        if (!all_finite(fit.corners)) break;
        rough = std::clamp(roughness(fit.edges), 0.2, rough);
    }
    return fit;
}

// ---- doubts

/// 0 up to `low`, 1 from `high` on.
double ramp(double value, double low, double high) {
    return std::clamp((value - low) / (high - low), 0.0, 1.0);
}

BlankCorners refused(const std::string& fault) {
    BlankCorners result;
    result.why_not = fault + "; give --corners x,y,x,y,x,y,x,y, clockwise from the blank's top left";
    return result;
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

BlankCorners judged(const Work& work, const Unlikeness& unlike, const cv::Mat1b& piece, const Fit& fit) {
    if (!all_finite(fit.corners)) return refused("no blank with four straight edges found");
    const Corners ordered = upright_order(fit.corners);
    if (fault_of(ordered, work.light.cols, work.light.rows))
        return refused("the blank is cut off by the picture's edge");
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
    return result;
}

BlankCorners corners_of_piece(const Work& work, const Unlikeness& unlike, const cv::Mat1b& seen, const Piece& piece) {
    if (touches_frame(piece)) return refused("the blank is cut off by the picture's edge");
    const Axes axes = axes_of(piece);
    const LongSides sides = long_sides(piece, seen, axes);
    if (sides.bodies == 0) return refused("no blank with four straight edges found");
    if (sides.bodies > 1)
        return refused("more than one piece lies in line, or paint of the table's colour parts the blank");
    const auto point = [&](const Line& line, double s) { return axes.point(s, line(s)); };
    const Corners start = upright_order({point(sides.low, sides.first), point(sides.low, sides.last),
                                         point(sides.high, sides.last), point(sides.high, sides.first)});
    if (fault_of(start, work.light.cols, work.light.rows)) return refused("no blank with four straight edges found");
    return judged(work, unlike, piece.mask, refined(work, unlike, piece.mask, start));
}

}  // namespace

BlankCorners found_corners(const Image& upright) {
    if (upright.rows() < kSmallestSide || upright.columns() < kSmallestSide)
        return refused("the picture is too small to find a blank in");
    const Work work = worked_on(upright);
    const Table table = found_table(work);
    if (table.of_frame < 0.6) return refused("the table is not plain, or the blank is cut off by the picture's edge");
    const Unlikeness unlike = unlikeness(work, table.surface, table.noise);
    cv::Mat1b seen;
    cv::compare(unlike.unshaded, kSeen, seen, cv::CMP_GE);
    const std::vector<Piece> pieces = pieces_of(seen, work.longer());
    if (pieces.empty() || pieces[0].area < 0.03 * static_cast<double>(seen.total()))
        return refused("no blank found that stands out from the table");
    // chosen: a grey card or a ruler may lie there too
    if (pieces.size() > 1 && pieces[1].area > 0.3 * pieces[0].area)
        return refused("more than one piece lies on the table");
    return corners_of_piece(work, unlike, seen, pieces[0]);
}

std::optional<std::string> fault_of(const Corners& c, int width, int height) {
    const std::string mend = "; give them clockwise from the blank's top left, in pixels of the upright picture";
    if (!all_finite(c)) return "corners are not numbers" + mend;
    for (const PhotoPoint& p : c)
        if (p.x < 0 || p.y < 0 || p.x > width || p.y > height)
            return "a corner lies outside the picture of " + std::to_string(width) + " x " + std::to_string(height) +
                   " pixels" + mend;
    double longest = 0;
    for (int i = 0; i < 4; ++i) longest = std::max({longest, side(c, i), length(corner(c, i + 2) - corner(c, i))});
    int clockwise = 0;
    bool flat = longest < 2;
    for (int i = 0; i < 4; ++i) {
        const double turn = cross(corner(c, i + 1) - corner(c, i), corner(c, i + 2) - corner(c, i + 1));
        flat = flat || std::abs(turn) < 0.01 * longest * longest;
        clockwise += turn > 0 ? 1 : 0;
    }
    if (flat) return "three corners lie on one line or in one place" + mend;
    if (clockwise == 0) return "the corners run anticlockwise" + mend;
    if (clockwise == 2) return "the edges between the corners cross: they are in the wrong order" + mend;
    if (clockwise != 4) return "one corner lies inside the other three" + mend;
    const PhotoPoint right = c[1] - c[0] + c[2] - c[3];
    if (right.x < 0.5 * length(right)) return "the corners do not begin at the blank's top left" + mend;
    return std::nullopt;
}

Image rectified(const Image& upright, const Corners& corners, const RectifiedRaster& raster) {
    require(!upright.empty() && raster.rows > 0 && raster.columns > 0, "there is a picture and a raster");
    require(raster.margin >= 0 && raster.margin <= 0.25, "a margin is at most a quarter of the shorter side");
    require(!fault_of(corners, upright.columns(), upright.rows()), "the corners have no fault");
    const Homography picture_of = from_square(corners);
    const double shorter = std::min(raster.rows, raster.columns);
    const double margin_x = raster.margin * shorter / raster.columns, margin_y = raster.margin * shorter / raster.rows;
    const double step_x = (1 - 2 * margin_x) / raster.columns, step_y = (1 - 2 * margin_y) / raster.rows;
    Image result(raster.rows, raster.columns);
    for (int r = 0; r < raster.rows; ++r)
        for (int c = 0; c < raster.columns; ++c) {
            const PhotoPoint from{margin_x + c * step_x, margin_y + r * step_y};
            const PhotoPoint middle = picture_of(from + PhotoPoint{step_x / 2, step_y / 2});
            const PhotoPoint right = picture_of(from + PhotoPoint{step_x, step_y / 2}) - middle;
            const PhotoPoint down = picture_of(from + PhotoPoint{step_x / 2, step_y}) - middle;
            // Points at most a pixel apart, so that every pixel under the cell counts.
            const int nx = std::max(1, static_cast<int>(std::ceil(2 * length(right))));
            const int ny = std::max(1, static_cast<int>(std::ceil(2 * length(down))));
            LinearRgb sum;
            for (int j = 0; j < ny; ++j)
                for (int i = 0; i < nx; ++i) {
                    const PhotoPoint p =
                        picture_of(from + PhotoPoint{(i + 0.5) / nx * step_x, (j + 0.5) / ny * step_y});
                    sum += at(upright, p.x, p.y);
                }
            result(r, c) = sum * (1.0 / (nx * ny));
        }
    return result;
}

namespace {

/// Covers each pixel by how much of a band about the line from a to b lies on it.
template <class Paint>
void along_line(const Image& image, PhotoPoint a, PhotoPoint b, double half_width, Paint paint) {
    const PhotoPoint way = b - a;
    const double squared = std::max(dot(way, way), 1e-12);
    const auto low = [](double v) { return std::max(0, static_cast<int>(std::floor(v))); };
    const double spare = half_width + 1;
    for (int r = low(std::min(a.y, b.y) - spare); r < std::min<double>(image.rows(), std::max(a.y, b.y) + spare); ++r)
        for (int c = low(std::min(a.x, b.x) - spare); c < std::min<double>(image.columns(), std::max(a.x, b.x) + spare);
             ++c) {
            const PhotoPoint p{c + 0.5, r + 0.5};
            const double t = std::clamp(dot(p - a, way) / squared, 0.0, 1.0);
            const double cover = std::clamp(half_width + 0.5 - length(p - (a + way * t)), 0.0, 1.0);
            if (cover > 0) paint(r, c, cover);
        }
}

constexpr LinearRgb kDarkInk{0.01, 0.01, 0.01}, kLightInk{1, 1, 1};

void draw_line(Image& image, PhotoPoint a, PhotoPoint b, double half_width, LinearRgb ink) {
    along_line(image, a, b, half_width,
               [&](int r, int c, double cover) { image(r, c) = mixed(image(r, c), ink, cover); });
}

}  // namespace

Picture8 corners_picture(const Image& upright, const Corners& corners, int longest_side) {
    require(!upright.empty() && longest_side > 0, "there is a picture to draw on");
    const double shrink =
        std::max(1.0, static_cast<double>(std::max(upright.rows(), upright.columns())) / longest_side);
    const int rows = std::max(1, static_cast<int>(std::lround(upright.rows() / shrink)));
    const int columns = std::max(1, static_cast<int>(std::lround(upright.columns() / shrink)));
    const PixelBox whole{0, 0, static_cast<double>(upright.columns()), static_cast<double>(upright.rows())};
    Image image = resampled(upright, whole, rows, columns);
    Corners drawn;
    for (std::size_t i = 0; i < 4; ++i)
        drawn[i] = {corners[i].x * columns / upright.columns(), corners[i].y * rows / upright.rows()};
    // Dark, light, dark: one of them shows on any ground.
    struct Band {
        double half_width, dot;
        LinearRgb ink;
    };
    for (const Band& band : {Band{2.5, 8, kDarkInk}, Band{1.3, 6.5, kLightInk}}) {
        for (int i = 0; i < 4; ++i) draw_line(image, corner(drawn, i), corner(drawn, i + 1), band.half_width, band.ink);
        for (const PhotoPoint& p : drawn) draw_line(image, p, p, band.dot, band.ink);
    }
    for (std::size_t i = 1; i < 4; ++i) draw_line(image, drawn[i], drawn[i], 5, kDarkInk);
    for (std::size_t i = 1; i < 4; ++i) draw_line(image, drawn[i], drawn[i], 3.5, kLightInk);
    draw_line(image, drawn[0], drawn[0], 5, {0.6, 0.02, 0.02});
    return encoded(image);
}

}  // namespace loopread
