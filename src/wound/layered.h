#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

#include "loopread/wound/ball.h"
#include "loopread/wound/strand_path.h"
#include "wound/vec.h"

namespace loopread::wound {

/// A place on the way that yarn takes over a wound body.
struct LaidPoint {
    Vec direction;       ///< on the body, in whatever frame its shape uses
    Vec sideways;        ///< across the yarn, along the body
    float along_mm = 0;  ///< of yarn, from the end wound first
    float level = 0;     ///< of the yarn's middle over where winding began, mm
};

/// How high yarn lies already at each place of a body: what is wound next lies on top.
class Layers {
public:
    Layers(std::size_t cells, float diameter) : heights_(cells, 0.0F), diameter_(diameter) {}

    float mean() const { return static_cast<float>(sum_ / static_cast<double>(heights_.size())); }
    float at(std::size_t cell) const { return heights_[cell]; }

    /// Yarn comes to lie over cells; a strand bridges the hollows between what carries it.
    /// @param cells  `kBeside` places across the yarn for each point
    static constexpr std::size_t kBeside = 5;
    void lay(std::vector<LaidPoint>& points, const std::vector<std::size_t>& cells);

private:
    static constexpr float kThickness = 0.55F;  // of the diameter: strands sink in between each other
    std::vector<float> heights_;
    double sum_ = 0;
    float diameter_;
};

/// Where one of the strands held together lies beside their middle: two wind about each other once in 10 cm (no
/// source).
struct Beside {
    float sideways = 0, outward = 0;  ///< mm
};
inline Beside beside(const BallOptions& options, int strand, float along_mm) {
    const float off = (static_cast<float>(strand) - static_cast<float>(options.yarn.strands - 1) / 2) *
                      static_cast<float>(options.yarn.diameter.value);
    const float turn = 0.0628318F * along_mm;
    return {off * std::cos(turn), 0.5F * off * std::sin(turn)};
}

/// Where a place of yarn lies along its run, by which end is outside.
inline float along_run(const BallOptions& options, double wound_mm) {
    const double run = options.yarn.length.value;
    return static_cast<float>(options.outside == Outside::far_end ? wound_mm : run - wound_mm);
}

/// The outer end of yarn: from its last point on the body to the table and in a curve along it.
void add_loose_end(StrandPath& path, Vec from, Vec heading, const BallOptions& options, double wound_mm);

inline constexpr double kLooseEndMm = 125;  ///< chosen: enough to be seen as an end

}  // namespace loopread::wound
