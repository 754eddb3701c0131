#include "photo/corners_table.h"

#include <array>
#include <cmath>
#include <cstddef>
#include <opencv2/imgproc.hpp>

#include "image/shared_rows.h"
#include "loopread/image/sampling.h"

namespace loopread::corner_search {
namespace {

constexpr int kWorkSide = 700;  // pixels of the longer side: an edge is then found to a twentieth of a percent of it
constexpr double kDeepestShadow = 0.8;  // on OKLab's scale: half the light

using Terms = cv::Matx<double, 1, kTerms>;

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

bool near_frame(const Work& work, int r, int c) {
    const int band = std::max(3, work.longer() / 40);
    return r < band || c < band || r >= work.oklab.rows - band || c >= work.oklab.cols - band;
}

}  // namespace

Work worked_on(const Image& picture) {
    const double shrink = std::max(1.0, std::max(picture.rows(), picture.columns()) / static_cast<double>(kWorkSide));
    const int rows = std::max(1, static_cast<int>(std::lround(picture.rows() / shrink)));
    const int columns = std::max(1, static_cast<int>(std::lround(picture.columns() / shrink)));
    const PixelBox whole{0, 0, static_cast<double>(picture.columns()), static_cast<double>(picture.rows())};
    const bool as_is = rows == picture.rows() && columns == picture.columns();
    const Image small = as_is ? picture : resampled(picture, whole, rows, columns);
    cv::Mat3f raw(rows, columns);
    std::transform(small.begin(), small.end(), raw.begin(), [](LinearRgb p) {
        return cv::Vec3f{static_cast<float>(p.r), static_cast<float>(p.g), static_cast<float>(p.b)};
    });
    Work work;
    cv::GaussianBlur(raw, work.light, {}, 0.8, 0.8, cv::BORDER_REPLICATE);  // chosen: camera noise, not edges
    work.oklab.create(rows, columns);
    for_each_row(rows, columns, [&](int r) {
        const cv::Vec3f* const light = work.light[r];
        std::transform(light, light + columns, work.oklab[r], [](const cv::Vec3f& p) {
            const Oklab lab = oklab_from_linear({p[0], p[1], p[2]});
            return cv::Vec3f{static_cast<float>(lab.l), static_cast<float>(lab.a), static_cast<float>(lab.b)};
        });
    });
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

Unlikeness unlikeness(const Work& work, const Surface& table, const cv::Vec3d& noise) {
    const int rows = work.oklab.rows, columns = work.oklab.cols;
    Unlikeness u{cv::Mat1f(rows, columns), cv::Mat1f(rows, columns), cv::Mat3f(rows, columns)};
    const cv::Vec3d unit(1 / noise[0], 1 / noise[1], 1 / noise[2]);
    const auto term = [&](int i) { return cv::Vec3d(table(i, 0), table(i, 1), table(i, 2)).mul(unit); };
    const cv::Vec3f unit_f(unit);
    for_each_row(rows, columns, [&](int r) {
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
    });
    return u;
}

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

}  // namespace loopread::corner_search
