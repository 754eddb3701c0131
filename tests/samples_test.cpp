#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <string>
#include <vector>

#include "loopread/colour/kubelka_munk.h"
#include "loopread/design/file.h"
#include "loopread/photo/read.h"

using namespace loopread;

namespace {

const std::string kSamples = LOOPREAD_SAMPLES;
constexpr int kWholeCode = 1;  // two programs may round the same number to neighbouring codes
constexpr double kBlankShape = 24.0 / 86;
constexpr double kHalfAPixel = 1e-3;  // of that shape, at 20 pixels a cm

/// The bath of a design as it lies at a row: evenly spaced stops, straight in linear light between them.
LinearRgb faded(const std::vector<Srgb8>& stops, double along) {
    const double place = along * static_cast<double>(stops.size() - 1);
    const auto stop = std::min(static_cast<std::size_t>(place), stops.size() - 2);
    return mixed(linear_from_srgb8(stops[stop]), linear_from_srgb8(stops[stop + 1]), place - static_cast<double>(stop));
}

int largest_step(Srgb8 a, Srgb8 b) {
    return std::max({std::abs(a.r - b.r), std::abs(a.g - b.g), std::abs(a.b - b.b)});
}

struct Dyed {
    Plane amount;
    KOverS dye;
};

/// What the layers of a design do to its undyed yarn at full strength.
std::vector<Dyed> dyes_of(const Design& design) {
    std::vector<Dyed> dyes;
    for (const DesignLayer& layer : design.layers) {
        const KOverS dye = k_over_s(linear_from_srgb8(layer.colour)) - k_over_s(linear_from_srgb8(design.undyed));
        dyes.push_back({read_stencil(layer.stencil, 1), dye * layer.strength});
    }
    return dyes;
}

/// One pixel of the finished design: dyes add in K/S, and what takes no dye stays as it is [Kubelka 1931].
Srgb8 finished(LinearRgb ground, const std::vector<Dyed>& dyes, int row, int column) {
    KOverS fibre = k_over_s(ground);
    bool dyed = false;
    for (const Dyed& layer : dyes) {
        if (layer.amount(row, column) <= 0) continue;
        fibre = fibre + layer.dye * layer.amount(row, column);
        dyed = true;
    }
    return srgb8_from_linear(dyed ? linear_from_k_over_s(fibre) : ground);
}

}  // namespace

TEST_SUITE("cli") {
    TEST_CASE("the flat picture of the lanterns is its layers, dye added to dye pixel by pixel") {
        const Design design = read_design(kSamples + "/lanterns.toml", ColourBook{});
        const Picture8 flat = encoded(read_picture(kSamples + "/lanterns.png", {}));
        const std::vector<Dyed> dyes = dyes_of(design);
        REQUIRE(dyes.size() == 2);
        int worst = 0;
        int pixels[3] = {};  // of bare ground, of the first layer, of the second alone
        for (int row = 0; row < flat.rows(); ++row) {
            const LinearRgb ground = faded(design.ground.colours, (row + 0.5) / flat.rows());
            for (int column = 0; column < flat.columns(); ++column) {
                const Srgb8 drawn = finished(ground, dyes, row, column);
                worst = std::max(worst, largest_step(drawn, flat(row, column)));
                pixels[dyes[0].amount(row, column) > 0 ? 1 : dyes[1].amount(row, column) > 0 ? 2 : 0] += 1;
            }
        }
        CHECK(worst <= kWholeCode);
        for (const int count : pixels) CHECK(count > 10'000);
    }

    TEST_CASE("every sample picture has the proportions of the usual blank") {
        for (const char* name : {"lanterns.png", "nets.png", "tide-lines.png", "gulls.png", "lanterns-stencil-1.png",
                                 "lanterns-stencil-2.png"}) {
            CAPTURE(std::string(name));
            const PictureHeader header = picture_header(kSamples + "/" + name);
            CHECK(std::abs(static_cast<double>(header.width) / header.height - kBlankShape) < kHalfAPixel);
        }
    }

    TEST_CASE("nets is upright stripes and tide lines level bands") {
        // Colour changes more across an upright stripe than along it, and the other way round for a level band.
        const auto across_over_along = [](const char* name) {
            const Picture8 p = encoded(read_picture(kSamples + "/" + name, {}));
            double across = 0, along = 0;
            for (int row = 1; row < p.rows(); ++row)
                for (int column = 1; column < p.columns(); ++column) {
                    across += largest_step(p(row, column), p(row, column - 1));
                    along += largest_step(p(row, column), p(row - 1, column));
                }
            return across / along;
        };
        CHECK(across_over_along("nets.png") > 3);
        CHECK(across_over_along("tide-lines.png") < 1.0 / 3);
    }
}
