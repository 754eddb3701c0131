#include "loopread/wound/pictures.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "loopread/base/require.h"

namespace loopread {
namespace {

constexpr double kFromAbove = 1.5707963267948966;
constexpr double kAslant = 0.70;  // radians over the table: a body on it is seen from before and from above
constexpr double kRoom = 0.885;   // of the picture's sides that things take up

WoundYarn yarn_of(const std::vector<ColourRun>& runs, const WoundPictureOptions& o, int strands) {
    const std::size_t first = strands == 1 ? static_cast<std::size_t>(o.strand) : 0;
    require(first + static_cast<std::size_t>(strands) <= runs.size(), "the strands are there");
    double length = std::numeric_limits<double>::max();
    for (std::size_t s = first; s < first + static_cast<std::size_t>(strands); ++s)
        length = std::min(length, runs[s].length_mm());
    return {{length}, o.diameter, strands};
}

void move(std::vector<StrandPath>& paths, float x, float y) {
    for (StrandPath& path : paths)
        for (WoundPoint& p : path.points) {
            p.x += x;
            p.y += y;
        }
}
void turn(std::vector<StrandPath>& paths, double angle) {
    const auto c = static_cast<float>(std::cos(angle)), s = static_cast<float>(std::sin(angle));
    for (StrandPath& path : paths)
        for (WoundPoint& p : path.points) {
            const float x = p.x;
            p.x = x * c - p.y * s;
            p.y = x * s + p.y * c;
        }
}
void name_strand(std::vector<StrandPath>& paths, int strand) {
    for (StrandPath& path : paths) path.strand = strand;
}

std::vector<StrandPath> pair_of_balls(const std::vector<ColourRun>& runs, const WoundPictureOptions& o) {
    std::vector<StrandPath> paths;
    for (int s = 0; s < 2; ++s) {
        const WoundYarn yarn{runs[static_cast<std::size_t>(s)].length(), o.diameter, 1};
        std::vector<StrandPath> ball = ball_paths({yarn, o.outside, s, o.seed * 2 + static_cast<std::uint64_t>(s)});
        const auto radius = static_cast<float>(ball_diameter(yarn).value) / 2;
        const float side = s == 0 ? -1.0F : 1.0F;
        move(ball, side * (radius + 4), s == 0 ? 0.35F * radius : -0.15F * radius);
        paths.insert(paths.end(), ball.begin(), ball.end());
    }
    return paths;
}

std::vector<StrandPath> paths_of(const std::vector<ColourRun>& runs, const WoundPictureOptions& o) {
    const HankOptions hank{yarn_of(runs, o, 1), o.girth, o.crimp == Crimp::just_unravelled ? o.loop : Millimetres{0},
                           o.seed};
    std::vector<StrandPath> paths;
    switch (o.kind) {
        case WoundKind::skein:
            paths = skein_paths(hank);
            // Across the light, so that its roundness shows.
            turn(paths, 0.80 * std::atan2(o.rows, o.columns));
            break;
        case WoundKind::hank:
            paths = hank_paths(hank);
            break;
        case WoundKind::ball:
            return ball_paths({hank.yarn, o.outside, o.strand, o.seed});
        case WoundKind::cake:
            return cake_paths({hank.yarn, o.outside, o.strand, o.seed});
        case WoundKind::pair:
            return pair_of_balls(runs, o);
        case WoundKind::together:
            return ball_paths({yarn_of(runs, o, 2), o.outside, 0, o.seed});
        case WoundKind::half_ravelled:
            require(false, "half_ravelled_picture draws blanks");
    }
    name_strand(paths, o.strand);
    return paths;
}

/// As large as it fits, in the middle.
StrandView fitted_view(const std::vector<StrandPath>& paths, double elevation, const WoundPictureOptions& o) {
    const double sine = std::sin(elevation), cosine = std::cos(elevation);
    double left = 1e12, right = -1e12, low = 1e12, high = -1e12;
    for (const StrandPath& path : paths)
        for (const WoundPoint& p : path.points) {
            const auto x = static_cast<double>(p.x);
            const double up = static_cast<double>(p.y) * sine + static_cast<double>(p.z) * cosine;
            left = std::min(left, x);
            right = std::max(right, x);
            low = std::min(low, up);
            high = std::max(high, up);
        }
    StrandView view;
    view.elevation = elevation;
    view.pixels_per_mm = kRoom * std::min(o.columns / (right - left + 1), o.rows / (high - low + 1));
    view.middle = {static_cast<float>((left + right) / 2), static_cast<float>((low + high) / 2 / sine), 0, 0};
    return view;
}

}  // namespace

LaidYarn laid_yarn(const std::vector<ColourRun>& runs, const WoundPictureOptions& options) {
    require(!runs.empty(), "there is yarn");
    const bool flat = options.kind == WoundKind::skein || options.kind == WoundKind::hank;
    return {paths_of(runs, options), runs, flat ? kFromAbove : kAslant};
}

LaidYarn laid_half_ravelled(const BlankRuns& runs, const HalfRavelledOptions& blank) {
    const int strands = blank.layout.strands;
    require(static_cast<int>(runs.yarn.size()) == strands && static_cast<int>(runs.painted.size()) == strands,
            "the strands are the blank's");
    HalfRavelled lying = half_ravelled(blank);
    for (std::size_t i = 0; i < lying.still_knitted; ++i) lying.paths[i].strand += strands;
    std::vector<ColourRun> all = runs.yarn;
    all.insert(all.end(), runs.painted.begin(), runs.painted.end());
    return {std::move(lying.paths), std::move(all), kFromAbove};
}

PaintedStrands painted_picture(const LaidYarn& yarn, const WoundPictureOptions& o) {
    return painted_strands(yarn.paths, yarn.runs,
                           {.rows = o.rows,
                            .columns = o.columns,
                            .view = fitted_view(yarn.paths, yarn.elevation, o),
                            .ground = o.ground,
                            .seed = o.seed,
                            .threads = o.threads,
                            .keep_albedo = o.keep_albedo});
}

PaintedStrands wound_picture(const std::vector<ColourRun>& runs, const WoundPictureOptions& options) {
    return painted_picture(laid_yarn(runs, options), options);
}

PaintedStrands half_ravelled_picture(const BlankRuns& runs, const HalfRavelledOptions& blank,
                                     const WoundPictureOptions& options) {
    return painted_picture(laid_half_ravelled(runs, blank), options);
}

}  // namespace loopread
