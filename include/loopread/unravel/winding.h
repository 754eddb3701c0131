#pragma once

#include <cstdint>
#include <vector>

#include "loopread/base/quantity.h"

namespace loopread {

/// How two strands held together wind about each other. No source for either figure: so a difference between the balls
/// is a range, never a promise.
struct WindingOptions {
    Millimetres turn{100.0};  ///< one turn in so much yarn
    Degrees wander{30.0};     ///< standard deviation of the random walk added over 10 cm
    std::uint64_t seed = 1;
};

/// Angle of strand 1 about the loop's centreline along the yarn, radians: a steady turn and a seeded random walk in
/// steps of 10 mm, straight in between.
class Winding {
public:
    Winding(const WindingOptions& options, Millimetres length);
    double angle(double distance_mm) const;

private:
    double radians_per_mm_ = 0;
    std::vector<double> walk_;
};

}  // namespace loopread
