#pragma once

#include <cstdint>
#include <vector>

#include "loopread/base/random.h"
#include "loopread/shares/shares.h"
#include "loopread/yarn/run.h"

namespace loopread {

inline constexpr Lab kDark{30, 40, 10};
inline constexpr Lab kPale{80, -5, 20};

struct FabricSize {
    int stitches = 64;
    int rounds = 100;
    Worked worked = Worked::in_the_round;
};

/// A fabric from the colour of each stitch of the yarn, as colour_of(k).
template <class ColourOf>
PlainRounds fabric_of(const FabricSize& size, ColourOf colour_of) {
    PlainRounds plain{.stitches = size.stitches, .worked = size.worked, .stitch = {}, .stretch_starts = {0}};
    for (int k = 0; k < size.stitches * size.rounds; ++k) plain.stitch.push_back(colour_of(k));
    return plain;
}

/// Two colours in turn, `repeat` stitches for both.
inline PlainRounds two_colours(const FabricSize& size, int repeat) {
    return fabric_of(size, [&](int k) { return k % repeat < repeat / 2 ? kDark : kPale; });
}

/// Blobs of colour that are neither stripes nor pools nor noise alone: everything a sum could get wrong.
inline PlainRounds motley(const FabricSize& size, std::uint64_t seed) {
    Random random(seed);
    Lab colour = kDark;
    return fabric_of(size, [&](int k) {
        if (random.uniform() < 0.1)
            colour = {20 + 60 * random.uniform(), 60 * random.uniform() - 30, 30 * random.normal()};
        const int column = k % (size.stitches + 1);
        return Lab{colour.l + (column < 20 ? 15 : 0) + 2 * random.normal(), colour.a + k * 1e-3,
                   colour.b + random.normal()};
    });
}

/// Yarn with a piece of a colour for every stitch of `stitch_mm`.
inline ColourRun yarn_of(const PlainRounds& plain, double stitch_mm) {
    std::vector<Piece> pieces;
    for (std::size_t i = 0; i < plain.stitch.size(); ++i) {
        Piece piece;
        piece.start_mm = static_cast<double>(i) * stitch_mm;
        piece.length_mm = stitch_mm;
        piece.colour = linear_from_lab(plain.stitch[i]);
        pieces.push_back(piece);
    }
    return ColourRun(std::move(pieces));
}

}  // namespace loopread
