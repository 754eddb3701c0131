#include "raster/laid_flat_mesh.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/require.h"

namespace loopread {
namespace {

// Chosen by eye: a rib of two knit stitches stands forward and covers part of the purl ones beside it.
constexpr double kKnitInRib = 1.28;
constexpr double kPurlInRib = 2 - kKnitInRib;
constexpr int kRibFades = 5;  // rounds over which ribs end in plain fabric; chosen by eye

/// Where stitches of a piece begin and end along one of its lines, as shares of it.
std::vector<double> shares_along(const FlatPiece& piece, double rib) {
    std::vector<double> shares{0};
    for (std::size_t i = 0; i < piece.stitches.size(); ++i) {
        const bool purl = purl_column(piece.first_column + static_cast<int>(i));
        shares.push_back(shares.back() + 1 - rib + rib * (purl ? kPurlInRib : kKnitInRib));
    }
    const double all = shares.back();
    for (double& share : shares) share /= all;
    return shares;
}

}  // namespace

double length(FlatPoint v) {
    return std::sqrt(dot(v, v));
}

FlatPoint at(const FlatLine& line, double share) {
    const double place = std::clamp(share, 0.0, 1.0) * static_cast<double>(line.size() - 1);
    const std::size_t before = std::min(static_cast<std::size_t>(place), line.size() - 2);
    return between(line[before], line[before + 1], place - static_cast<double>(before));
}

FlatLine straight_line(FlatPoint from, FlatPoint to) {
    return {from, to};
}

FlatLine turned_round(FlatLine line) {
    std::reverse(line.begin(), line.end());
    return line;
}

bool FlatStitch::holds(FlatPoint point) const {
    const std::array<FlatPoint, 4> corner = corners();
    for (std::size_t i = 0; i < 4; ++i)
        if (cross(corner[(i + 1) % 4] - corner[i], point - corner[i]) < 0) return false;
    return true;
}

FlatBounds FlatStitch::bounds() const {
    const auto [left, right] = std::minmax({top_left.x, top_right.x, bottom_right.x, bottom_left.x});
    const auto [top, bottom] = std::minmax({top_left.y, top_right.y, bottom_right.y, bottom_left.y});
    return {{left, top}, {right, bottom}};
}

FlatBounds bounds(const std::vector<FlatStitch>& stitches) {
    require(!stitches.empty(), "there are stitches");
    FlatBounds all = stitches.front().bounds();
    for (const FlatStitch& stitch : stitches) {
        const auto [least, most] = stitch.bounds();
        all.least = {std::min(all.least.x, least.x), std::min(all.least.y, least.y)};
        all.most = {std::max(all.most.x, most.x), std::max(all.most.y, most.y)};
    }
    return all;
}

void add_piece(FlatMesh& mesh, const FlatPiece& piece, const Garment& garment) {
    const std::vector<double> older = shares_along(piece, piece.rib_begin);
    const std::vector<double> newer = shares_along(piece, piece.rib_end);
    const bool ribbed = garment.rounds[piece.round].texture == Texture::rib;
    for (std::size_t i = 0; i < piece.stitches.size(); ++i) {
        FlatStitch stitch;
        stitch.bottom_right = at(piece.begin, older[i]);
        stitch.bottom_left = at(piece.begin, older[i + 1]);
        stitch.top_left = at(piece.end, newer[i + 1]);
        stitch.top_right = at(piece.end, newer[i]);
        stitch.round = piece.round;
        stitch.stitch = piece.stitches[i];
        if (ribbed) stitch.in_rib = (piece.first_column + static_cast<int>(i)) % 4;
        mesh.stitches.push_back(stitch);
    }
}

std::vector<double> rib_strengths(const std::vector<Round>& rounds) {
    std::vector<double> strengths(rounds.size() + 1, 0);
    const auto lines = static_cast<int>(strengths.size());
    for (int r = 0; r + 1 < lines; ++r) {
        if (rounds[static_cast<std::size_t>(r)].texture != Texture::rib) continue;
        for (int line = std::max(0, r - kRibFades); line <= std::min(lines - 1, r + 1 + kRibFades); ++line) {
            const int away = std::max({0, r - line, line - r - 1});
            double& strength = strengths[static_cast<std::size_t>(line)];
            strength = std::max(strength, 1 - eased(static_cast<double>(away) / kRibFades));
        }
    }
    return strengths;
}

std::vector<double> smoothed(const std::vector<double>& values, double places) {
    const auto count = static_cast<int>(values.size());
    const int reach = static_cast<int>(std::ceil(3 * places));
    std::vector<double> out;
    for (int i = 0; i < count; ++i) {
        double sum = 0, weight = 0;
        for (int j = -reach; j <= reach; ++j) {
            const double w = std::exp(-0.5 * j * j / (places * places));
            sum += w * values[static_cast<std::size_t>(std::clamp(i + j, 0, count - 1))];
            weight += w;
        }
        out.push_back(sum / weight);
    }
    return out;
}

double eased(double share) {
    const double s = std::clamp(share, 0.0, 1.0);
    return s * s * (3 - 2 * s);
}

FlatMesh flat_mesh(const Garment& garment, const Gauge& gauge) {
    require(!garment.rounds.empty(), "a garment has rounds");
    check_gauge(gauge);
    return is_sock(garment) ? sock_mesh(garment, gauge) : stacked_mesh(garment, gauge);
}

}  // namespace loopread
