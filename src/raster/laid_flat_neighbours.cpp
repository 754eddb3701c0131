#include "raster/laid_flat_neighbours.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/grid.h"

namespace loopread {
namespace {

/// Stitches by the place they cover, in square bins.
class Bins {
public:
    explicit Bins(const std::vector<FlatStitch>& stitches) : stitches_(stitches) {
        const auto [least, most] = bounds(stitches);
        double area = 0;
        for (const FlatStitch& stitch : stitches) area += std::abs(stitch.area());
        corner_ = least;
        side_ = 2 * std::sqrt(area / static_cast<double>(stitches.size()));
        bins_ = Grid<std::vector<int>>(bin((most - least).y) + 1, bin((most - least).x) + 1);
        for (std::size_t s = 0; s < stitches.size(); ++s) enter(s);
    }
    int holding(FlatPoint point) const {
        const int x = bin(point.x - corner_.x);
        const int y = bin(point.y - corner_.y);
        if (x < 0 || y < 0 || x >= bins_.columns() || y >= bins_.rows()) return -1;
        for (const int s : bins_(y, x))
            if (stitches_[static_cast<std::size_t>(s)].holds(point)) return s;
        return -1;
    }

private:
    int bin(double along) const { return static_cast<int>(std::floor(along / side_)); }
    void enter(std::size_t s) {
        const auto [least, most] = stitches_[s].bounds();
        for (int y = bin(least.y - corner_.y); y <= bin(most.y - corner_.y); ++y)
            for (int x = bin(least.x - corner_.x); x <= bin(most.x - corner_.x); ++x)
                bins_(y, x).push_back(static_cast<int>(s));
    }

    const std::vector<FlatStitch>& stitches_;
    FlatPoint corner_;
    double side_ = 1;
    Grid<std::vector<int>> bins_;
};

}  // namespace

Neighbours::Neighbours(const std::vector<FlatStitch>& stitches) : around_(stitches.size()) {
    const Bins bins(stitches);
    constexpr double kStep = 0.15;  // of a stitch beyond its edge
    for (std::size_t s = 0; s < stitches.size(); ++s) {
        const FlatStitch& q = stitches[s];
        around_[s] = {bins.holding(q.at(-kStep, 0.5)), bins.holding(q.at(1 + kStep, 0.5)),
                      bins.holding(q.at(0.5, -kStep)), bins.holding(q.at(0.5, 1 + kStep))};
    }
}

int Neighbours::beside(std::size_t stitch, int right, int up) const {
    int at = static_cast<int>(stitch);
    if (up != 0) at = up > 0 ? around_[stitch].above : around_[stitch].below;
    if (right == 0 || at < 0) return at;
    const Around& around = around_[static_cast<std::size_t>(at)];
    return right > 0 ? around.right : around.left;
}

}  // namespace loopread
