#include "loopread/contrast/borders.h"

#include <algorithm>
#include <map>
#include <utility>

#include "loopread/colour/difference.h"

namespace loopread {
namespace {

constexpr int kNear = 4;         // pixels: half a stitch
constexpr int kFar = 12;         // one and a half
constexpr double kNoStep = 1.5;  // CIEDE2000 over a stitch
constexpr double kOfFar = 0.5;   // an edge makes most of the difference within that stitch
constexpr double kLeastShare = 0.005;
constexpr double kLeastEdge = 0.5;

class BorderReading {
public:
    BorderReading(const Image& picture, const Patches& patches, double lost_under)
        : owner_(patches.owner), lost_under_(lost_under), colours_(picture.rows(), picture.columns()) {
        std::transform(picture.begin(), picture.end(), colours_.begin(), lab_from_linear);
    }

    std::vector<BorderPoint> points() const {
        std::vector<BorderPoint> found;
        for (int row = 0; row < owner_.rows(); ++row)
            for (int column = 0; column < owner_.columns(); ++column) {
                if (column + 1 < owner_.columns() && owner_(row, column) != owner_(row, column + 1))
                    found.push_back(point({row, column}, BorderPoint::Lies::right));
                if (row + 1 < owner_.rows() && owner_(row, column) != owner_(row + 1, column))
                    found.push_back(point({row, column}, BorderPoint::Lies::below));
            }
        return found;
    }

private:
    /// Pixels from a border inwards that belong to its patch, at most kFar.
    int depth(PixelPlace from, PixelPlace step) const {
        const int patch = owner_(from.row, from.column);
        int depth = 1;
        for (; depth < kFar; ++depth) {
            const int row = from.row + depth * step.row, column = from.column + depth * step.column;
            if (row < 0 || column < 0 || row >= owner_.rows() || column >= owner_.columns()) break;
            if (owner_(row, column) != patch) break;
        }
        return depth;
    }

    struct Side {
        PixelPlace near, far;
    };
    /// Where a side shows its own colour: half a stitch in, or the middle of what is thinner.
    Side side(PixelPlace from, PixelPlace step) const {
        const int deep = depth(from, step);
        const int near = std::min(kNear, deep / 2);
        const int far = deep == kFar ? kFar - 1 : near;  // of a thin shape the far side is another edge
        return {{from.row + near * step.row, from.column + near * step.column},
                {from.row + far * step.row, from.column + far * step.column}};
    }

    BorderPoint point(PixelPlace place, BorderPoint::Lies lies) const {
        const PixelPlace step = lies == BorderPoint::Lies::right ? PixelPlace{0, 1} : PixelPlace{1, 0};
        const PixelPlace across{place.row + step.row, place.column + step.column};
        const Side first = side(place, {-step.row, -step.column}), second = side(across, step);
        BorderPoint found{.place = place,
                          .lies = lies,
                          .first = static_cast<std::size_t>(owner_(place.row, place.column)),
                          .second = static_cast<std::size_t>(owner_(across.row, across.column)),
                          .in_first = first.near,
                          .in_second = second.near,
                          .apart = {}};
        found.apart = apart(colour(first.near), colour(second.near), lost_under_);
        const double over_far = delta_e_2000(colour(first.far), colour(second.far));
        if (found.apart.delta_e00 < kNoStep || found.apart.delta_e00 < kOfFar * over_far)
            found.step = BorderPoint::Step::fade;
        return found;
    }

    Lab colour(PixelPlace p) const { return colours_(p.row, p.column); }

    const Grid<int>& owner_;
    double lost_under_;
    Grid<Lab> colours_;
};

/// Borders as a drawing in one line: from corner to corner, each piece once.
class LineTracing {
public:
    explicit LineTracing(const std::vector<BorderPoint>& points) {
        for (const BorderPoint& point : points) {
            if (point.step != BorderPoint::Step::edge || point.apart.held != Held::lost) continue;
            const Corner end{point.place.row + 1, point.place.column + 1};
            const Corner start = point.lies == BorderPoint::Lies::right ? Corner{point.place.row, end.second}
                                                                        : Corner{end.first, point.place.column};
            ways_[start].push_back(end);
            ways_[end].push_back(start);
        }
    }

    std::vector<EdgeLine> lines() {
        std::vector<EdgeLine> found;
        for (const bool loose_ends_first : {true, false})
            for (auto& [corner, ends] : ways_)
                while (!ends.empty() && (!loose_ends_first || ends.size() % 2 == 1)) found.push_back(traced(corner));
        return found;
    }

private:
    using Corner = std::pair<int, int>;  // row, column

    EdgeLine traced(Corner corner) {
        EdgeLine line = {{corner.first, corner.second}};
        while (!ways_[corner].empty()) {
            const Corner next = ways_[corner].back();
            ways_[corner].pop_back();
            std::vector<Corner>& back = ways_[next];
            back.erase(std::find(back.begin(), back.end(), corner));
            line.push_back({next.first, next.second});
            corner = next;
        }
        return line;
    }

    std::map<Corner, std::vector<Corner>> ways_;
};

}  // namespace

std::vector<BorderPoint> border_points(const Image& picture, const Patches& patches, double lost_under) {
    return BorderReading(picture, patches, lost_under).points();
}

LinearRgb as_told(LinearRgb colour) {
    return linear_from_srgb8(srgb8_from_linear(colour));
}

std::vector<NeighbourPair> neighbour_pairs(const std::vector<BorderPoint>& points, const Patches& patches,
                                           double lost_under) {
    struct Count {
        double all = 0, edge = 0, lost = 0;
    };
    std::map<std::pair<std::size_t, std::size_t>, Count> counts;
    for (const BorderPoint& point : points) {
        Count& count = counts[std::minmax(point.first, point.second)];
        count.all += 1;
        if (point.step == BorderPoint::Step::fade) continue;
        count.edge += 1;
        count.lost += point.apart.held == Held::lost ? 1 : 0;
    }
    std::vector<NeighbourPair> pairs;
    for (const auto& [who, count] : counts) {
        NeighbourPair pair;
        pair.border_share = count.all / static_cast<double>(points.size());
        if (pair.border_share < kLeastShare) continue;
        const Lab one = lab_from_linear(as_told(patches.colours[who.first].colour));
        const Lab other = lab_from_linear(as_told(patches.colours[who.second].colour));
        pair.darker = one.l <= other.l ? who.first : who.second;
        pair.lighter = one.l <= other.l ? who.second : who.first;
        pair.edge_share = count.edge / count.all;
        pair.lost_share = count.edge > 0 ? count.lost / count.edge : 0;
        pair.apart = apart(one, other, lost_under);
        pair.verdict = pair.edge_share < kLeastEdge     ? PairVerdict::fade
                       : pair.apart.held == Held::holds ? PairVerdict::holds
                                                        : PairVerdict::lost;
        pairs.push_back(pair);
    }
    std::stable_sort(pairs.begin(), pairs.end(),
                     [](const NeighbourPair& a, const NeighbourPair& b) { return a.border_share > b.border_share; });
    return pairs;
}

std::vector<EdgeLine> lost_lines(const std::vector<BorderPoint>& points) {
    return LineTracing(points).lines();
}

}  // namespace loopread
