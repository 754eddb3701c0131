#include "loopread/wound/skein.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "wound/closed_bundle.h"
#include "wound/smooth_noise.h"

namespace loopread {
namespace {

using namespace wound;

constexpr float kCableTurns = 3.2F;  // of the two plies about each other; chosen by eye
constexpr float kPairTurns = -2.0F;  // of the two sides of the hank within a ply, the other way; chosen by eye

/// The way of the doubled hank from its tucked end along one ply to the fold and back to the eye.
struct Spine {
    std::vector<Vec> line;
    float tucked = 0, eye = 0;  // lengths of the two ends that are no cable
};

/// @param radius  of one bundle
Spine skein_spine(float cable, float radius) {
    const float apart = 1.12F * radius;
    std::vector<Vec> through;
    const auto add = [&](float x, float y, float z) { through.push_back(Vec{x, y, z} * radius); };
    add(-8.6F, -1.3F, 0.3F);  // the tucked end, through the eye from below
    add(-7.4F, -0.9F, 1.3F);
    add(-6.0F, -0.2F, 1.9F);
    add(-4.7F, 0.1F, 1.3F);
    add(-3.4F, -0.1F, -0.2F);
    add(-2.2F, -0.7F, -0.9F);
    add(-1.0F, -1.15F, -0.5F);
    const auto cable_at = [&](float share, float side) {
        const float angle = kPi + kCableTurns * 2 * kPi * share;
        const float r = side * apart;
        through.push_back({share * cable, r * std::cos(angle), r * std::sin(angle)});
    };
    const int steps = 40;
    for (int i = 0; i <= steps; ++i) cable_at(static_cast<float>(i) / steps, 1);
    const float end = kPi + kCableTurns * 2 * kPi;
    for (int i = 1; i < 6; ++i) {
        const float turn = kPi * static_cast<float>(i) / 6;
        const float r = apart * std::cos(turn);
        through.push_back({cable + 1.2F * apart * std::sin(turn), r * std::cos(end), r * std::sin(end)});
    }
    for (int i = steps; i >= 0; --i) cable_at(static_cast<float>(i) / steps, -1);
    add(-1.2F, 1.05F, 0.4F);
    add(-2.6F, 0.6F, 0.5F);
    add(-4.2F, 0.2F, 0.3F);
    add(-6.0F, 0.1F, 0.0F);
    add(-7.2F, 0.1F, 0.0F);
    return {smooth_line(through), 8.0F * radius, 7.0F * radius};
}

/// Unit vectors across a line that turn about it no more than they must.
std::vector<Vec> steady_normals(const std::vector<Vec>& line, Vec first) {
    std::vector<Vec> normals;
    Vec normal = first;
    for (std::size_t i = 0; i < line.size(); ++i) {
        const Vec tangent = unit(line[std::min(i + 1, line.size() - 1)] - line[i == 0 ? 0 : i - 1]);
        normal = unit(normal - tangent * dot(normal, tangent));
        normals.push_back(normal);
    }
    return normals;
}

struct Pair {
    std::vector<Vec> closed;
    std::vector<Vec> spine_of;  // the spine's point that each belongs to
};

/// Both sides of the hank along the spine, closed at its two ends.
Pair pair_along(const Spine& spine, float radius) {
    const std::size_t last = spine.line.size() - 1;
    const auto length = static_cast<float>(last);  // about 1 mm a point
    const std::vector<Vec> steady = steady_normals(spine.line, {0, 1, 0});
    // The eye has to lie flat: so much more turn that its two sides lie beside each other.
    const Vec tangent = unit(spine.line[last] - spine.line[last - 3]);
    const Vec flat = unit(Vec{0, 1, 0} - tangent * tangent.y);
    const float at_end = std::atan2(dot(cross(steady[last], flat), tangent), dot(steady[last], flat));
    const auto direction = [&](std::size_t i) {
        const Vec t = unit(spine.line[std::min(i + 1, last)] - spine.line[i == 0 ? 0 : i - 1]);
        const float from = spine.tucked, to = length - spine.eye;
        const float share = std::clamp((static_cast<float>(i) - from) / (to - from), 0.0F, 1.0F);
        const float angle = share * (at_end + 2 * kPi * kPairTurns);
        return steady[i] * std::cos(angle) + cross(t, steady[i]) * std::sin(angle);
    };
    const auto apart = [&](std::size_t i) {
        const auto u = static_cast<float>(i);
        const float in_eye = smooth_step(std::clamp((u - (length - spine.eye)) / (0.55F * spine.eye), 0.0F, 1.0F));
        return radius * (0.72F + 1.15F * in_eye);
    };
    Pair pair;
    const auto add = [&](float u, float side) {
        const auto i = static_cast<std::size_t>(std::clamp(u, 0.0F, length));
        pair.closed.push_back(spine.line[i] + direction(i) * (side * apart(i)));
        pair.spine_of.push_back(spine.line[i]);
    };
    const float tip = 1.5F * radius, eye_tip = 2.6F * radius;
    for (float turn = -kPi / 2; turn < kPi / 2; turn += 0.12F) add(tip * (1 - std::cos(turn)), std::sin(turn));
    for (float u = tip; u < length - eye_tip; u += 1) add(u, 1);
    for (float turn = kPi / 2; turn > -kPi / 2; turn -= 0.12F)
        add(length - eye_tip * (1 - std::cos(turn)), std::sin(turn));
    for (float u = length - eye_tip; u > tip; u -= 1) add(u, -1);
    return pair;
}

/// The closed line with its corners taken off: means over `reach` points to both sides.
std::vector<Vec> rounded_off(std::vector<Vec> line, int reach, int passes) {
    const auto count = static_cast<int>(line.size());
    for (int pass = 0; pass < passes; ++pass) {
        const std::vector<Vec> before = line;
        for (int i = 0; i < count; ++i) {
            Vec sum;
            for (int d = -reach; d <= reach; ++d) sum += before[static_cast<std::size_t>((i + d + count) % count)];
            line[static_cast<std::size_t>(i)] = sum * (1 / static_cast<float>(2 * reach + 1));
        }
    }
    return line;
}

/// Each bundle is flattened against its neighbour of the same ply.
ClosedBundle bundle_round(const Pair& pair, float radius) {
    const std::vector<Vec> middles = rounded_off(evenly_spaced(pair.closed), 5, 3);
    ClosedBundle bundle;
    std::size_t nearest = 0;
    const std::size_t count = middles.size();
    for (std::size_t i = 0; i < count; ++i) {
        const Vec tangent = unit(middles[(i + 2) % count] - middles[(i + count - 2) % count]);
        const auto far = [&](std::size_t k) { return norm(pair.closed[k] - middles[i]); };
        while (nearest + 1 < pair.closed.size() && far(nearest + 1) <= far(nearest)) ++nearest;
        Vec out = middles[i] - pair.spine_of[nearest];
        out = unit(out - tangent * dot(out, tangent));
        bundle.push_back({middles[i], out, cross(tangent, out), 0.80F * radius, 1.22F * radius});
    }
    // Frames taken point by point jump a little: neighbours even that out.
    for (int pass = 0; pass < 60; ++pass) {
        const ClosedBundle before = bundle;
        for (std::size_t i = 0; i < count; ++i) {
            const Vec out =
                before[(i + 1) % count].outward + before[i].outward + before[(i + count - 1) % count].outward;
            const Vec tangent = unit(before[(i + 2) % count].middle - before[(i + count - 2) % count].middle);
            bundle[i].outward = unit(out - tangent * dot(out, tangent));
            bundle[i].upward = cross(tangent, bundle[i].outward);
        }
    }
    return bundle;
}

float hank_radius(const HankOptions& o) {
    const double area = yarn_volume_mm3(o.yarn) / o.girth.value / kHankPacking;
    return static_cast<float>(std::sqrt(area / std::numbers::pi));
}

/// What would lie under the table lies flat on it.
void lay_down(std::vector<StrandPath>& paths, float axis_height) {
    for (StrandPath& path : paths)
        for (WoundPoint& p : path.points) {
            const float z = p.z + axis_height - path.radius_mm;
            p.z = path.radius_mm + (z > 3 ? z : z < -6 ? 0.0F : (z + 6) * (z + 6) / 27);
        }
}

void centre(std::vector<StrandPath>& paths) {
    float left = 1e9F, right = -1e9F, low = 1e9F, high = -1e9F;
    for (const StrandPath& path : paths)
        for (const WoundPoint& p : path.points) {
            left = std::min(left, p.x);
            right = std::max(right, p.x);
            low = std::min(low, p.y);
            high = std::max(high, p.y);
        }
    for (StrandPath& path : paths)
        for (WoundPoint& p : path.points) {
            p.x -= (left + right) / 2;
            p.y -= (low + high) / 2;
        }
}

}  // namespace

std::vector<StrandPath> skein_paths(const HankOptions& options) {
    const float radius = hank_radius(options);
    const auto girth = static_cast<float>(options.girth.value);
    float cable = 0.2F * girth;
    Pair pair;
    for (int i = 0; i < 12; ++i) {  // as long as the girth allows
        pair = pair_along(skein_spine(cable, radius), radius);
        cable += (girth - closed_length(pair.closed)) / 4.6F;
    }
    std::vector<StrandPath> paths = bundle_paths(bundle_round(pair, radius), {.yarn = options.yarn,
                                                                              .girth_mm = options.girth.value,
                                                                              .section_turns = 3,
                                                                              .crimp_mm = options.crimp.value,
                                                                              .seed = options.seed});
    lay_down(paths, 2.2F * radius);
    centre(paths);
    return paths;
}

}  // namespace loopread
