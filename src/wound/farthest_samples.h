#pragma once

#include <algorithm>
#include <array>
#include <cstddef>
#include <limits>

#include "wound/seen_segments.h"

namespace loopread::wound {

constexpr int kAcross = 2;  // samples across a pixel
constexpr int kSamples = kTile * kAcross;

/// How far towards the viewer the farthest sample of each square of a tile lies: what lies wholly behind it is hidden.
/// A square that shows some table counts as far off as the table's farthest sample.
class FarthestSamples {
public:
    static constexpr int kSquare = 8, kAcrossTile = kSamples / kSquare;  // samples; squares
    void reset(float table) {
        farthest_.fill(table);
        bare_.fill(kSquare * kSquare);
        tile_ = table;
    }
    float operator()(int x, int y) const { return farthest_[at(x, y)]; }
    float tile() const { return tile_; }

    /// Of a square that has been drawn in. @param newly  samples of it that showed the table until now
    void drawn(int x, int y, int newly, const float* heights) {
        int& bare = bare_[at(x, y)];
        bare -= newly;
        if (bare > 0) return;
        std::array<float, kSquare> lowest;  // of each column
        lowest.fill(std::numeric_limits<float>::max());
        for (std::size_t r = 0; r < kSquare; ++r)
            for (std::size_t c = 0; c < kSquare; ++c) lowest[c] = std::min(lowest[c], heights[r * kSamples + c]);
        farthest_[at(x, y)] = *std::min_element(lowest.begin(), lowest.end());
    }
    void sum_up() {
        coarse_.fill(std::numeric_limits<float>::max());
        for (int y = 0; y < kAcrossTile; ++y)
            for (int x = 0; x < kAcrossTile; ++x) {
                float& coarse = coarse_[coarse_at(x / kCoarser, y / kCoarser)];
                coarse = std::min(coarse, farthest_[at(x, y)]);
            }
        tile_ = *std::min_element(coarse_.begin(), coarse_.end());
    }
    /// Within the box of samples, as of the last summing up; rather too far off than too near.
    float within(int left, int right, int top, int bottom) const {
        float lowest = std::numeric_limits<float>::max();
        for (int y = top / (kSquare * kCoarser); y <= bottom / (kSquare * kCoarser); ++y)
            for (int x = left / (kSquare * kCoarser); x <= right / (kSquare * kCoarser); ++x)
                lowest = std::min(lowest, coarse_[coarse_at(x, y)]);
        return lowest;
    }

private:
    static constexpr int kCoarser = 4, kCoarseAcross = kAcrossTile / kCoarser;
    static_assert(kSamples % (kSquare * kCoarser) == 0, "squares fill the tile");
    static std::size_t at(int x, int y) {
        return static_cast<std::size_t>(y) * kAcrossTile + static_cast<std::size_t>(x);
    }
    static std::size_t coarse_at(int x, int y) {
        return static_cast<std::size_t>(y) * kCoarseAcross + static_cast<std::size_t>(x);
    }
    std::array<float, static_cast<std::size_t>(kAcrossTile) * kAcrossTile> farthest_{};
    std::array<int, static_cast<std::size_t>(kAcrossTile) * kAcrossTile> bare_{};
    std::array<float, static_cast<std::size_t>(kCoarseAcross) * kCoarseAcross> coarse_{};
    float tile_ = 0;
};

}  // namespace loopread::wound
