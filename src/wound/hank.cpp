#include <algorithm>
#include <cmath>
#include <numbers>

#include "loopread/wound/skein.h"
#include "wound/closed_bundle.h"
#include "wound/smooth_noise.h"

namespace loopread {
namespace {

using namespace wound;

constexpr float kBend = 4.1F;              // radians that the long loop bends; chosen: fills a square
constexpr float kApart = 27;               // mm from the middle of the loop to each side
constexpr double kTieMm = 150;             // yarn in a tie
constexpr float kTies[] = {0.22F, 0.70F};  // places on the way round

/// The two sides of the loop along an arc, with round ends.
std::vector<Vec> loop_line(float radius, std::uint32_t seed) {
    std::vector<Vec> line;
    const auto at = [&](float angle, float off) {
        const float r = radius + off + 5 * smooth_noise(seed, angle * 1.3F + 9);
        line.push_back({r * std::sin(angle), r * std::cos(angle), 0});
    };
    const float half = kBend / 2;
    constexpr int kSteps = 300;
    const auto apart = [&](float angle) { return kApart + 4 * smooth_noise(seed + 1, angle * 2 + 5); };
    for (int i = 0; i <= kSteps; ++i) {
        const float angle = half * (2 * static_cast<float>(i) / kSteps - 1);
        at(angle, apart(angle));
    }
    for (int i = 1; i < 40; ++i) {
        const float turn = kPi * static_cast<float>(i) / 40;
        at(half + kApart * 1.25F / radius * std::sin(turn), apart(half) * std::cos(turn));
    }
    for (int i = kSteps; i >= 0; --i) {
        const float angle = half * (2 * static_cast<float>(i) / kSteps - 1);
        at(angle, -apart(angle));
    }
    for (int i = 1; i < 40; ++i) {
        const float turn = kPi * static_cast<float>(i) / 40;
        at(-half - kApart * 1.25F / radius * std::sin(turn), -apart(-half) * std::cos(turn));
    }
    return line;
}

float gathered(float round) {
    float most = 0;
    for (const float tie : kTies) {
        float far = std::abs(round - tie);
        far = std::min(far, 1 - far);
        most = std::max(most, 1 - smooth_step(std::min(1.0F, far / 0.055F)));
    }
    return most;
}

ClosedBundle band_round(const std::vector<Vec>& line, double area, std::uint32_t seed) {
    const std::vector<Vec> middles = evenly_spaced(line);
    ClosedBundle bundle;
    const std::size_t count = middles.size();
    for (std::size_t i = 0; i < count; ++i) {
        const float round = static_cast<float>(i) / static_cast<float>(count);
        const Vec tangent = unit(middles[(i + 3) % count] - middles[(i + count - 3) % count]);
        const Vec out{-tangent.y, tangent.x, 0};
        const float tie = gathered(round);
        const float spread = 17.5F + 4.0F * smooth_noise(seed + 2, 12 * std::min(round, 1 - round));
        const float width = spread * (1 - tie) + 7.0F * tie;
        const float height = static_cast<float>(area / std::numbers::pi) / width;
        Vec middle = middles[i];
        middle.z = height;
        bundle.push_back({middle, out, {0, 0, 1}, width, height});
    }
    return bundle;
}

/// Three turns round the gathered strands and two loose ends.
StrandPath tie(const BundlePlace& at, const HankOptions& options, float first_mm) {
    StrandPath path{0, static_cast<float>(options.yarn.diameter.value) / 2, {}};
    const Vec way = cross(at.upward, at.outward);
    const auto diameter = static_cast<float>(options.yarn.diameter.value);
    std::vector<Vec> through;
    const auto round = [&](float turn, float shift) {
        return at.middle + at.outward * ((at.half_width + diameter) * std::cos(turn)) +
               at.upward * ((at.half_height + diameter) * std::sin(turn)) + way * shift;
    };
    const Vec knot = round(kPi / 2, 0);
    through.push_back(knot + at.outward * 26 + way * 9 - at.upward * at.half_height * 1.9F);
    through.push_back(knot + at.outward * 15 + way * 7 - at.upward * at.half_height * 1.0F);
    through.push_back(knot + at.outward * 4 + way * 1 + at.upward * 0.8F);
    for (int i = 0; i <= 60; ++i) {
        const float u = static_cast<float>(i) / 60;
        through.push_back(round(kPi / 2 + 6 * kPi * u, diameter * 3.3F * (u - 0.5F)));
    }
    through.push_back(knot - at.outward * 1.5F + at.upward * 1.1F);
    through.push_back(knot + at.outward * 1.5F - way * 2.0F + at.upward * 1.5F);
    through.push_back(knot + at.outward * 13 - way * 8 - at.upward * at.half_height * 0.9F);
    through.push_back(knot + at.outward * 24 - way * 7 - at.upward * at.half_height * 1.9F);
    float along = first_mm;
    Vec last{};
    for (const Vec& p : smooth_line(through)) {
        if (!path.points.empty()) along += norm(p - last);
        path.points.push_back({p.x, p.y, std::max(p.z, diameter / 2), along});
        last = p;
    }
    return path;
}

}  // namespace

std::vector<StrandPath> hank_paths(const HankOptions& options) {
    const auto seed = static_cast<std::uint32_t>(options.seed) * 7U + 5U;
    const auto girth = static_cast<float>(options.girth.value);
    float radius = girth / 8;
    for (int i = 0; i < 8; ++i) radius += (girth - closed_length(loop_line(radius, seed))) / (2 * kBend);
    const ClosedBundle band =
        band_round(loop_line(radius, seed), yarn_volume_mm3(options.yarn) / options.girth.value / kHankPacking, seed);
    std::vector<StrandPath> paths = bundle_paths(band, {.yarn = options.yarn,
                                                        .girth_mm = options.girth.value,
                                                        .section_turns = 0,
                                                        .crimp_mm = options.crimp.value,
                                                        .stray = 2.1,
                                                        .seed = options.seed});
    for (std::size_t i = 0; i < std::size(kTies); ++i) {
        const double first = i == 0 ? 0.0 : options.yarn.length.value - kTieMm;
        paths.push_back(tie(band[static_cast<std::size_t>(kTies[i] * static_cast<float>(band.size()))], options,
                            static_cast<float>(first)));
    }
    for (StrandPath& path : paths)
        for (WoundPoint& p : path.points) p.z = std::max(p.z, path.radius_mm);
    return paths;
}

}  // namespace loopread
