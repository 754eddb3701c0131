#include "loopread/table/source_picture.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

#include "loopread/base/error.h"
#include "loopread/base/require.h"
#include "loopread/image/sampling.h"

namespace loopread {
namespace {

double distance(PicturePoint a, PicturePoint b) {
    return std::hypot(b.x - a.x, b.y - a.y);
}

/// From the unit square to four points, (0, 0) (1, 0) (1, 1) (0, 1) in their order.
Eigen::Matrix3d projective(const std::vector<PicturePoint>& to) {
    constexpr double kFrom[4][2] = {{0, 0}, {1, 0}, {1, 1}, {0, 1}};
    Eigen::Matrix<double, 8, 8> left;
    Eigen::Matrix<double, 8, 1> right;
    for (Eigen::Index i = 0; i < 4; ++i) {
        const double u = kFrom[i][0], v = kFrom[i][1];
        const PicturePoint p = to[static_cast<std::size_t>(i)];
        left.row(2 * i) << u, v, 1, 0, 0, 0, -u * p.x, -v * p.x;
        left.row(2 * i + 1) << 0, 0, 0, u, v, 1, -u * p.y, -v * p.y;
        right[2 * i] = p.x;
        right[2 * i + 1] = p.y;
    }
    const Eigen::Matrix<double, 8, 1> h = left.fullPivLu().solve(right);
    Eigen::Matrix3d map;
    map << h[0], h[1], h[2], h[3], h[4], h[5], h[6], h[7], 1;
    return map;
}

void check_corners(const std::vector<PicturePoint>& corners) {
    bool good = corners.size() == 4;
    for (std::size_t i = 0; good && i < 4; ++i) {
        const PicturePoint a = corners[i], b = corners[(i + 1) % 4], c = corners[(i + 2) % 4];
        good = (b.x - a.x) * (c.y - b.y) - (b.y - a.y) * (c.x - b.x) > 1 && distance(a, b) >= 2;
    }
    if (!good)
        throw Error(ErrorKind::input,
                    "corners: do not go clockwise round the blank; put them on its four corners again, the upper left "
                    "first");
}

}  // namespace

Image light_of(const SourcePicture& picture, LinearRgb under, int shrink) {
    require(!picture.empty() && shrink >= 1, "there is a picture, reduced by a whole number");
    const int rows = (picture.height - 1) / shrink + 1, columns = (picture.width - 1) / shrink + 1;
    Image out(rows, columns);
    for (int y = 0; y < picture.height; ++y) {
        const std::uint8_t* p =
            picture.rgba.data() + 4 * static_cast<std::size_t>(y) * static_cast<std::size_t>(picture.width);
        LinearRgb* line = out.row(y / shrink);
        for (int x = 0; x < picture.width; ++x, p += 4) {
            const LinearRgb over = linear_from_srgb8({p[0], p[1], p[2]});
            line[x / shrink] += p[3] == 255 ? over : mixed(under, over, p[3] / 255.0);
        }
    }
    for (int row = 0; row < rows; ++row)
        for (int column = 0; column < columns; ++column) {
            const int high = std::min(shrink, picture.height - row * shrink);
            const int wide = std::min(shrink, picture.width - column * shrink);
            out(row, column) = out(row, column) * (1.0 / (high * wide));
        }
    return out;
}

Plane coverage_of(const SourcePicture& picture) {
    require(!picture.empty(), "there is a picture");
    Plane out(picture.height, picture.width);
    const std::uint8_t* p = picture.rgba.data();
    for (double& cover : out) {
        const double luma = p[0] == p[1] && p[1] == p[2] ? p[0] : 0.2126 * p[0] + 0.7152 * p[1] + 0.0722 * p[2];
        cover = (1 - luma / 255) * (p[3] / 255.0);
        p += 4;
    }
    return out;
}

FlatSize flat_size(const std::vector<PicturePoint>& corners) {
    check_corners(corners);
    const double width = (distance(corners[0], corners[1]) + distance(corners[3], corners[2])) / 2;
    const double height = (distance(corners[0], corners[3]) + distance(corners[1], corners[2])) / 2;
    return {std::max(1, static_cast<int>(std::lround(width))), std::max(1, static_cast<int>(std::lround(height)))};
}

Image flattened(const Image& picture, const std::vector<PicturePoint>& corners, int shrink) {
    const FlatSize full = flat_size(corners);
    std::vector<PicturePoint> reduced = corners;
    for (PicturePoint& p : reduced) p = {p.x / shrink, p.y / shrink};
    const Eigen::Matrix3d map = projective(reduced);
    Image out(std::max(1, full.height / shrink), std::max(1, full.width / shrink));
    for (int row = 0; row < out.rows(); ++row)
        for (int column = 0; column < out.columns(); ++column) {
            const Eigen::Vector3d p =
                map * Eigen::Vector3d((column + 0.5) / out.columns(), (row + 0.5) / out.rows(), 1);
            out(row, column) = at(picture, p[0] / p[2], p[1] / p[2]);
        }
    return out;
}

}  // namespace loopread
