#pragma once

#include <cstdint>

namespace loopread {

/// Seeded random numbers, the same on every machine: integer arithmetic and the four operations only.
/// Generator: SplitMix64 [Steele 2014]. Normal deviates: the inverse of the normal distribution by
/// rational approximation [Wichura 1988, AS 241, PPND16], with a logarithm of our own so that no library decides a bit.
class Random {
public:
    explicit Random(std::uint64_t seed) : state_(seed) {}
    /// An independent generator for one purpose, so that a new use does not shift the numbers of an old one.
    Random(std::uint64_t seed, std::uint64_t purpose);

    std::uint64_t bits();
    /// In (0, 1), never an end.
    double uniform();
    /// Mean 0, standard deviation 1.
    double normal();

private:
    std::uint64_t state_;
};

/// A value in [0, 1) that belongs to a place: the same for the same numbers, without any state.
double hashed_unit(std::uint64_t seed, std::int64_t a, std::int64_t b = 0, std::int64_t c = 0);

/// The standard normal quantile of p in (0, 1) [Wichura 1988, AS 241].
double normal_quantile(double p);

}  // namespace loopread
