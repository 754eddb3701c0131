#include "loopread/colour/palette.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "colour/nearest.h"
#include "loopread/base/random.h"
#include "loopread/base/require.h"
#include "loopread/colour/difference.h"
#include "loopread/colour/names.h"

namespace loopread {
namespace {

constexpr double kAlike = 5;              // CIEDE2000 within which two colours are one entry
constexpr int kStarts = 4;                // chosen: k-means finds a local best, the best of four is taken
constexpr int kMostSteps = 40;            // chosen: it settles in 5 to 20
constexpr std::uint64_t kPurpose = 0x70;  // of the random numbers

/// Light that was gathered, as a sum, so that it can be gathered further.
struct Heap {
    LinearRgb sum;
    double weight = 0;

    void take(LinearRgb weighted_light, double more_weight) {
        sum += weighted_light;
        weight += more_weight;
    }
    LinearRgb mean() const { return sum * (1 / weight); }
};

struct Bin {
    Heap heap;
    Oklab place;
};

/// Colours thrown together by the upper 5 bits of their sRGB codes: 100,000 become a few hundred, each kept as its
/// mean.
std::vector<Bin> coarse_histogram(std::span<const WeightedColour> colours) {
    std::vector<Heap> heaps(std::size_t{32} * 32 * 32);
    for (const WeightedColour& one : colours) {
        require(one.weight > 0 && std::isfinite(one.weight), "a colour in a palette has a weight");
        const Srgb8 code = srgb8_from_linear(one.colour);
        const auto cell = static_cast<std::size_t>((code.r >> 3) << 10 | (code.g >> 3) << 5 | code.b >> 3);
        heaps[cell].take(one.colour * one.weight, one.weight);
    }
    std::vector<Bin> bins;
    for (const Heap& heap : heaps)
        if (heap.weight > 0) bins.push_back({heap, oklab_from_linear(heap.mean())});
    return bins;
}

/// A bin drawn with a chance in proportion to its entry of `chances`.
std::size_t drawn(const std::vector<double>& chances, Random& random) {
    double total = 0;
    for (const double chance : chances) total += chance;
    double left = random.uniform() * total;
    std::size_t last = 0;
    for (std::size_t i = 0; i < chances.size(); ++i) {
        if (chances[i] <= 0) continue;
        last = i;
        left -= chances[i];
        if (left < 0) break;
    }
    return last;
}

/// k-means++: each next centre with a chance in proportion to weight and squared distance [Arthur 2007]. Fewer than
/// `most` where there are no more different colours.
std::vector<Oklab> first_centres(const std::vector<Bin>& bins, int most, Random& random) {
    std::vector<double> chances;
    for (const Bin& bin : bins) chances.push_back(bin.heap.weight);
    std::vector<Oklab> centres = {bins[drawn(chances, random)].place};
    std::vector<double> distances;
    for (const Bin& bin : bins) distances.push_back(squared_distance(bin.place, centres[0]));
    while (static_cast<int>(centres.size()) < most) {
        bool any = false;
        for (std::size_t i = 0; i < bins.size(); ++i) {
            chances[i] = bins[i].heap.weight * distances[i];
            any = any || chances[i] > 0;
        }
        if (!any) break;
        centres.push_back(bins[drawn(chances, random)].place);
        for (std::size_t i = 0; i < bins.size(); ++i)
            distances[i] = std::min(distances[i], squared_distance(bins[i].place, centres.back()));
    }
    return centres;
}

struct Clustering {
    std::vector<std::size_t> owner;  // of each bin
    std::size_t count = 0;
    double cost = 0;
};

/// Moves the centres to the middle of what is theirs. A centre that lost everything stays where it is.
void move_centres(std::vector<Oklab>& centres, const std::vector<Bin>& bins, const std::vector<std::size_t>& owner) {
    std::vector<Oklab> sums(centres.size());
    std::vector<double> weights(centres.size());
    for (std::size_t i = 0; i < bins.size(); ++i) {
        Oklab& sum = sums[owner[i]];
        const double weight = bins[i].heap.weight;
        sum = {sum.l + bins[i].place.l * weight, sum.a + bins[i].place.a * weight, sum.b + bins[i].place.b * weight};
        weights[owner[i]] += weight;
    }
    for (std::size_t k = 0; k < centres.size(); ++k)
        if (weights[k] > 0) centres[k] = {sums[k].l / weights[k], sums[k].a / weights[k], sums[k].b / weights[k]};
}

Clustering clustering(const std::vector<Bin>& bins, std::vector<Oklab> centres) {
    Clustering result{std::vector<std::size_t>(bins.size()), centres.size(), 0};
    for (int step = 0; step < kMostSteps; ++step) {
        bool changed = step == 0;
        result.cost = 0;
        for (std::size_t i = 0; i < bins.size(); ++i) {
            const std::size_t nearest = nearest_index(centres, bins[i].place);
            changed = changed || nearest != result.owner[i];
            result.owner[i] = nearest;
            result.cost += bins[i].heap.weight * squared_distance(bins[i].place, centres[nearest]);
        }
        if (!changed) break;
        move_centres(centres, bins, result.owner);
    }
    return result;
}

std::vector<Heap> heaps_of(const std::vector<Bin>& bins, int most, std::uint64_t seed) {
    Random random(seed, kPurpose);
    Clustering best = clustering(bins, first_centres(bins, most, random));
    for (int start = 1; start < kStarts; ++start) {
        Clustering next = clustering(bins, first_centres(bins, most, random));
        if (next.cost < best.cost) best = std::move(next);
    }
    std::vector<Heap> heaps(best.count);
    for (std::size_t i = 0; i < bins.size(); ++i) heaps[best.owner[i]].take(bins[i].heap.sum, bins[i].heap.weight);
    std::erase_if(heaps, [](const Heap& heap) { return heap.weight <= 0; });
    return heaps;
}

/// Joins the two that are most alike until no two are within kAlike.
void join_alike(std::vector<Heap>& heaps) {
    while (true) {
        double least = kAlike;
        std::size_t a = 0, b = 0;
        for (std::size_t i = 0; i < heaps.size(); ++i)
            for (std::size_t j = i + 1; j < heaps.size(); ++j) {
                const double difference =
                    delta_e_2000(lab_from_linear(heaps[i].mean()), lab_from_linear(heaps[j].mean()));
                if (difference >= least) continue;
                least = difference;
                a = i;
                b = j;
            }
        if (a == b) return;
        heaps[a].take(heaps[b].sum, heaps[b].weight);
        heaps.erase(heaps.begin() + static_cast<std::ptrdiff_t>(b));
    }
}

void name_apart(std::vector<PaletteColour>& palette) {
    std::map<std::string, int> seen;
    for (PaletteColour& one : palette) {
        one.words = plain_words(lab_from_linear(one.colour));
        const int number = ++seen[one.words];
        if (number > 1) one.words += " " + std::to_string(number);
    }
}

}  // namespace

std::vector<PaletteColour> palette_of(std::span<const WeightedColour> colours, int most, std::uint64_t seed) {
    require(!colours.empty(), "a palette is made of at least one colour");
    require(most >= 1, "a palette has at least one colour");
    std::vector<Heap> heaps = heaps_of(coarse_histogram(colours), most, seed);
    join_alike(heaps);
    std::ranges::sort(heaps, [](const Heap& a, const Heap& b) {
        if (a.weight != b.weight) return a.weight > b.weight;
        return xyz_from_linear(a.mean()).y > xyz_from_linear(b.mean()).y;
    });
    double whole = 0;
    for (const Heap& heap : heaps) whole += heap.weight;
    std::vector<PaletteColour> palette;
    for (const Heap& heap : heaps) palette.push_back({heap.mean(), heap.weight / whole, {}});
    name_apart(palette);
    return palette;
}

std::size_t nearest_in(const std::vector<PaletteColour>& palette, LinearRgb colour) {
    require(!palette.empty(), "a palette has at least one colour");
    std::vector<Oklab> places;
    for (const PaletteColour& one : palette) places.push_back(oklab_from_linear(one.colour));
    return nearest_index(places, oklab_from_linear(colour));
}

}  // namespace loopread
