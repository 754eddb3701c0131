#include "wound/closed_bundle.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "loopread/base/require.h"
#include "wound/smooth_noise.h"

namespace loopread::wound {
namespace {

constexpr float kStep = 0.6F;  // of the yarn's diameter, from point to point of a strand

/// Where a strand lies in the cross-section. On its way round it passes through all parts of the section, as
/// strands of a reeled hank cross under and over each other: so none is always outside and none always hidden. At the
/// end of a turn it goes over to the next turn's place.
DiskPlace place_of(const std::vector<DiskPlace>& places, const BundleYarn& options, std::size_t turn, float round,
                   int strand) {
    constexpr std::size_t kParts = 7;  // chosen: fewer let a picture show some turns more than others
    const auto strands = static_cast<std::size_t>(options.yarn.strands);
    const std::size_t turns = places.size() / strands;
    const float way = round * kParts;
    const auto part = std::min(static_cast<std::size_t>(way), kParts - 1);
    const auto at = [&](std::size_t q) {
        const std::size_t own = q < kParts ? turn + q * turns / kParts : turn + 1;
        return places[own % turns * strands + static_cast<std::size_t>(strand)];
    };
    const float t = smooth_step(way - static_cast<float>(part));
    const DiskPlace a = at(part), b = at(part + 1);
    return {a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t};
}

BundlePlace at_round(const ClosedBundle& bundle, float round) {
    const float place = round * static_cast<float>(bundle.size());
    const auto i = static_cast<std::size_t>(place);
    const float t = place - static_cast<float>(i);
    const BundlePlace &a = bundle[i % bundle.size()], &b = bundle[(i + 1) % bundle.size()];
    return {mixed(a.middle, b.middle, t), mixed(a.outward, b.outward, t), mixed(a.upward, b.upward, t),
            a.half_width + (b.half_width - a.half_width) * t, a.half_height + (b.half_height - a.half_height) * t};
}

struct Wander {
    float x, y;
};
/// No strand keeps to its place: slow and quick humps, and a few that stand far off. Continuous from turn to turn.
Wander wander(std::uint32_t seed, float metres, int strand, float diameter) {
    const auto hump = [&](std::uint32_t which, float per_metre) {
        return smooth_noise(seed + which, metres * per_metre, strand);
    };
    const float far = std::max(0.0F, hump(5, 9) - 0.72F) * 9;
    const float x = 1.1F * hump(8, 3) + 0.75F * hump(1, 14) + 0.30F * hump(2, 60) + far * hump(6, 5);
    const float y = 0.6F * hump(9, 3) + 0.75F * hump(3, 14) + 0.30F * hump(4, 60) + far * hump(7, 5);
    return {x * diameter, y * diameter};
}

/// What the loops of the blank left in yarn that is wound as it came off; under the pull of the reel, so smaller.
Vec crimp_wave(const BundleYarn& options, double along_mm, int strand) {
    if (options.crimp_mm <= 0) return {};
    const auto waves = static_cast<float>(along_mm / options.crimp_mm);
    const auto seed = static_cast<std::uint32_t>(options.seed) * 101U + 9U;
    const float phase = 2 * std::numbers::pi_v<float> * (waves + 0.4F * smooth_noise(seed, waves / 3, strand));
    const float size =
        0.065F * static_cast<float>(options.crimp_mm) * (0.8F + 0.4F * smooth_noise(seed + 1, waves / 5, strand));
    return {size * std::sin(phase), 0.5F * size * std::cos(phase), 0};
}

StrandPath strand_path(const ClosedBundle& bundle, const BundleYarn& options, const std::vector<DiskPlace>& places,
                       int strand) {
    const auto diameter = static_cast<float>(options.yarn.diameter.value);
    const double girth = options.girth_mm, length = options.yarn.length.value;
    StrandPath path{strand, diameter / 2, {}};
    const double step = static_cast<double>(kStep * diameter);
    path.points.reserve(static_cast<std::size_t>(length / step) + 2);
    const auto seed = static_cast<std::uint32_t>(options.seed) * 101U;
    for (double along = 0; along <= length; along += step) {
        const double turns = along / girth;
        const auto turn = static_cast<std::size_t>(turns);
        const auto round = static_cast<float>(turns - static_cast<double>(turn));
        const BundlePlace here = at_round(bundle, round);
        const DiskPlace a = place_of(places, options, turn, round, strand);
        const float angle = static_cast<float>(options.section_turns) * round * 2 * std::numbers::pi_v<float>;
        const float c = std::cos(angle), s = std::sin(angle);
        const Wander off = wander(seed, static_cast<float>(along) / 1000, strand, diameter);
        const auto stray = static_cast<float>(options.stray);
        const float x = (a.x * c - a.y * s) * here.half_width + stray * off.x;
        const float y = (a.x * s + a.y * c) * here.half_height + stray * off.y;
        const Vec wave = crimp_wave(options, along, strand);
        const Vec p = here.middle + here.outward * (x + wave.x) + here.upward * (y + wave.y);
        path.points.push_back({p.x, p.y, p.z, static_cast<float>(along)});
    }
    return path;
}

/// Rows of a triangular lattice within the disk, there and back.
std::vector<DiskPlace> lattice_places(float pitch) {
    std::vector<DiskPlace> places;
    const float row_height = pitch * std::sqrt(3.0F) / 2;
    const int rows = static_cast<int>(1 / row_height);
    for (int r = -rows; r <= rows; ++r) {
        const float y = static_cast<float>(r) * row_height;
        const float reach = std::sqrt(std::max(0.0F, 1 - y * y));
        std::vector<DiskPlace> row;
        const float shift = (r & 1) != 0 ? 0.5F : 0.0F;
        const int most = static_cast<int>(reach / pitch) + 1;
        for (int i = -most; i <= most; ++i) {
            const float x = (static_cast<float>(i) + shift) * pitch;
            if (std::abs(x) <= reach) row.push_back({x, y});
        }
        if ((r & 1) != 0) std::reverse(row.begin(), row.end());
        places.insert(places.end(), row.begin(), row.end());
    }
    return places;
}

}  // namespace

std::vector<DiskPlace> disk_places(int count) {
    require(count > 0, "a bundle has strands");
    float pitch = 2;
    std::vector<DiskPlace> places = lattice_places(pitch);
    while (static_cast<int>(places.size()) < count) places = lattice_places(pitch *= 0.985F);
    places.resize(static_cast<std::size_t>(count));
    return places;
}

std::vector<StrandPath> bundle_paths(const ClosedBundle& bundle, const BundleYarn& yarn) {
    require(bundle.size() > 2, "a bundle goes round");
    const int turns = static_cast<int>(std::ceil(hank_turns(yarn.yarn.length, {yarn.girth_mm})));
    const std::vector<DiskPlace> places = disk_places((turns + 1) * yarn.yarn.strands);
    std::vector<StrandPath> paths;
    for (int s = 0; s < yarn.yarn.strands; ++s) paths.push_back(strand_path(bundle, yarn, places, s));
    return paths;
}

float closed_length(const std::vector<Vec>& closed) {
    float length = 0;
    for (std::size_t i = 0; i < closed.size(); ++i) length += norm(closed[(i + 1) % closed.size()] - closed[i]);
    return length;
}

std::vector<Vec> evenly_spaced(const std::vector<Vec>& closed) {
    const float length = closed_length(closed);
    const auto count = static_cast<std::size_t>(std::max(8.0F, length));
    const float step = length / static_cast<float>(count);
    std::vector<Vec> out;
    out.reserve(count);
    float passed = 0;  // length before point i
    std::size_t i = 0;
    for (std::size_t k = 0; k < count; ++k) {
        const float at = static_cast<float>(k) * step;
        float piece = norm(closed[(i + 1) % closed.size()] - closed[i % closed.size()]);
        while (passed + piece < at && i + 1 < closed.size()) {
            passed += piece;
            ++i;
            piece = norm(closed[(i + 1) % closed.size()] - closed[i]);
        }
        const float t = piece > 0 ? std::min(1.0F, (at - passed) / piece) : 0;
        out.push_back(mixed(closed[i], closed[(i + 1) % closed.size()], t));
    }
    return out;
}

std::vector<Vec> smooth_line(const std::vector<Vec>& through) {
    require(through.size() >= 2, "a line has two ends");
    std::vector<Vec> line;
    const auto at = [&](std::ptrdiff_t i) {
        return through[static_cast<std::size_t>(
            std::clamp<std::ptrdiff_t>(i, 0, static_cast<std::ptrdiff_t>(through.size()) - 1))];
    };
    for (std::ptrdiff_t i = 0; i + 1 < static_cast<std::ptrdiff_t>(through.size()); ++i) {
        const Vec p0 = at(i - 1), p1 = at(i), p2 = at(i + 1), p3 = at(i + 2);
        const int steps = std::max(1, static_cast<int>(std::ceil(norm(p2 - p1))));
        for (int k = 0; k < steps; ++k) {  // Catmull and Rom's cubic
            const float t = static_cast<float>(k) / static_cast<float>(steps), t2 = t * t, t3 = t2 * t;
            line.push_back(
                (p1 * 2 + (p2 - p0) * t + (p0 * 2 - p1 * 5 + p2 * 4 - p3) * t2 + (p1 * 3 - p0 - p2 * 3 + p3) * t3) *
                0.5F);
        }
    }
    line.push_back(through.back());
    return line;
}

}  // namespace loopread::wound
