#pragma once

#include <Eigen/Core>
#include <array>
#include <cstddef>
#include <span>
#include <vector>

#include "loopread/colour/spaces.h"
#include "loopread/shares/shares.h"

namespace loopread {

inline constexpr std::size_t kChannels = 3;
inline constexpr std::size_t kLeans = 2 * kWidestLean + 1;
/// One lane for each lean, from the widest to the right on, and one that is not used: whole vectors of two.
inline constexpr std::size_t kLanes = kLeans + 1;
using Lanes = Eigen::Array<double, static_cast<int>(kLanes), 1>;

inline int lean_of(std::size_t lane) {
    return static_cast<int>(lane) - kWidestLean;
}
/// The lane of the opposite lean; for lanes below kLeans.
inline std::size_t mirrored_lane(std::size_t lane) {
    return kLeans - 1 - lane;
}

/// products[j] += sum over i < count of left[i] * right[i + j]. Every lane adds up in the order of i, however wide the
/// machine's vectors are: the same bits everywhere. Reads right[0 .. count + kLanes - 2].
void add_products(const double* left, const double* right, std::size_t count, Lanes& products);

/// CIELAB of a stretch of stitches, less an offset that keeps the sums small, with the sums up to each stitch.
class StitchSums {
public:
    void assign(std::span<const Lab> stitches, Lab offset);

    std::size_t size() const { return size_; }
    /// Stitch 0 of a channel; kLanes zeros follow the last one.
    const double* values(std::size_t channel) const { return values_[channel].data(); }
    /// Sums of a channel: [n] is that of the n stitches before stitch n. Zeros from [-kWidestLean] on.
    const double* sums(std::size_t channel) const { return sums_[channel].data() + kWidestLean; }
    /// As sums, of the squares of all channels together.
    const double* squares() const { return squares_.data(); }

private:
    std::size_t size_ = 0;
    std::array<std::vector<double>, kChannels> values_;
    std::array<std::vector<double>, kChannels> sums_;
    std::vector<double> squares_;
};

/// Mean colour of each round.
struct RoundMeans {
    static constexpr std::size_t kFront = 2;  ///< zeros before the first round and after the last
    std::array<std::vector<double>, kChannels> padded;
    std::size_t rounds = 0;
    double squares = 0;  ///< sum over rounds of stitches x |mean|^2

    const double* mean(std::size_t channel) const { return padded[channel].data() + kFront; }
};

/// @param bounds  first stitch of each round, then the end of the last; rounds may differ in size
void assign_round_means(RoundMeans& means, const StitchSums& stitches, std::span<const std::size_t> bounds);

/// 0, stitches, 2 stitches ... up to rounds x stitches.
void assign_bounds(std::vector<std::size_t>& bounds, std::size_t stitches, std::size_t rounds);

}  // namespace loopread
