#include "eyes/eye_fabrics.h"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <utility>

#include "cli/yarn_input.h"
#include "loopread/base/random.h"
#include "loopread/shape/garments.h"

namespace loopread::eyes {
namespace {

constexpr std::uint64_t kSeed = 20'26;
constexpr double kYarnPerStitch = 13.1;  // mm

std::size_t drawn(Random& random, std::size_t count) {
    return static_cast<std::size_t>(random.bits() % count);
}

EyeFabric knitted_fabric(ColourRun run, int stitches, bool back_and_forth) {
    EyeFabric out{.number = 0, .run = std::move(run), .fabric = {}, .yarn_per_round_mm = stitches * kYarnPerStitch};
    const int rounds = static_cast<int>(out.run.length_mm() / out.yarn_per_round_mm);
    out.fabric = knitted(out.run, back_and_forth ? flat(stitches, rounds) : tube(stitches, rounds), {kYarnPerStitch});
    return out;
}

/// A sample laid and knitted in a way that the draw decides.
EyeFabric sample_fabric(Random& random, int index) {
    static const char* const kSamples[] = {"lanterns.toml", "tide-lines.png", "nets.png",
                                           "gulls.png",     "lanterns.png",   "rope.csv"};
    static constexpr int kStitches[] = {44, 52, 56, 60, 64, 68, 72, 80, 96};
    static const char* const kBlanks[] = {"46x214", "46x214", "60x164", "36x274"};
    cli::BlankOptions options;
    options.rotate = drawn(random, 3) == 0 ? "90" : "0";
    options.fit = options.rotate == "90" || drawn(random, 3) == 0 ? "tile" : "";
    options.blank = kBlanks[drawn(random, 4)];
    options.penetration = drawn(random, 2) == 0 ? 0.4 : 0.9;
    const int stitches = kStitches[drawn(random, std::size(kStitches))];
    const bool back_and_forth = drawn(random, 4) == 0;
    Outputs outputs = Outputs::into_folder(std::filesystem::temp_directory_path());
    const std::string sample = std::string(LOOPREAD_SAMPLES) + "/" + kSamples[index % 6];
    const std::vector<ColourRun> strands = cli::read_yarn(sample, options, 1, outputs).strands;
    return knitted_fabric(strands.front(), stitches, back_and_forth);
}

Srgb8 any_colour(Random& random) {
    const auto channel = [&] { return static_cast<std::uint8_t>(30 + random.uniform() * 210); };
    return {channel(), channel(), channel()};
}

/// A yarn of a few colours: runs that repeat, runs of any length, a slow change, single flecks.
ColourRun drawn_yarn(Random& random, int index, double round_mm) {
    constexpr double kLength = 180'000;
    std::vector<Srgb8> colours;
    const std::size_t count = 2 + drawn(random, 4);
    for (std::size_t i = 0; i < count; ++i) colours.push_back(any_colour(random));
    std::vector<Piece> pieces;
    double end = 0;
    const auto add = [&](double length, LinearRgb colour) {
        Piece piece;
        piece.start_mm = end;
        piece.length_mm = length;
        piece.colour = colour;
        pieces.push_back(piece);
        end += length;
    };
    const int kind = index % 5;
    if (kind == 0) {  // one repeat all along, about as long as the round or a part of it
        const double repeat = round_mm * (0.96 + 0.08 * random.uniform()) / static_cast<double>(1 + drawn(random, 2));
        std::vector<double> parts;
        double sum = 0;
        for (std::size_t i = 0; i < count; ++i) {
            parts.push_back(0.2 + random.uniform());
            sum += parts.back();
        }
        while (end < kLength)
            for (std::size_t i = 0; i < count; ++i) add(repeat * parts[i] / sum, linear_from_srgb8(colours[i]));
    } else if (kind == 4) {  // slow change with or without flecks
        const bool flecks = drawn(random, 2) == 0;
        const LinearRgb from = linear_from_srgb8(colours[0]), to = linear_from_srgb8(colours[1]);
        while (end < kLength) {
            add(20 + 60 * random.uniform(), mixed(from, to, end / kLength));
            if (flecks) add(13, mixed(mixed(from, to, end / kLength), linear_from_srgb8(colours.back()), 0.5));
        }
    } else {  // runs of any length about a median that the draw decides, from flecks to many rounds
        static constexpr double kMedians[] = {15, 40, 90, 200, 500, 1500, 4000};
        const double median = kMedians[drawn(random, std::size(kMedians))];
        std::size_t last = 0;
        while (end < kLength) {
            std::size_t next = drawn(random, count);
            if (next == last) next = (next + 1) % count;
            add(median * std::exp(0.4 * random.normal()), linear_from_srgb8(colours[next]));
            last = next;
        }
    }
    return ColourRun(std::move(pieces));
}

EyeFabric yarn_fabric(Random& random, int index) {
    const int stitches = 44 + 4 * static_cast<int>(drawn(random, 10));
    ColourRun run = drawn_yarn(random, index, stitches * kYarnPerStitch);
    return knitted_fabric(std::move(run), stitches, drawn(random, 5) == 0);
}

}  // namespace

std::vector<EyeFabric> eye_fabrics() {
    std::vector<EyeFabric> fabrics;
    for (int i = 0; i < kFabrics; ++i) {
        Random random(kSeed, static_cast<std::uint64_t>(i));
        fabrics.push_back(i < kFabrics / 2 ? sample_fabric(random, i) : yarn_fabric(random, i));
    }
    Random shuffle(kSeed, 1000);
    for (std::size_t i = fabrics.size() - 1; i > 0; --i) std::swap(fabrics[i], fabrics[drawn(shuffle, i + 1)]);
    for (std::size_t i = 0; i < fabrics.size(); ++i) fabrics[i].number = static_cast<int>(i) + 1;
    return fabrics;
}

}  // namespace loopread::eyes
