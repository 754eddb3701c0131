#include "loopread/contrast/patches.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numeric>

#include "loopread/base/require.h"

namespace loopread {
namespace {

constexpr double kFlat = 0.03;       // OKLab step to a neighbour; chosen: paint differs by less within a colour
constexpr double kEdgeWeight = 0.1;  // of a pixel on an edge, when the palette is chosen
constexpr std::size_t kMostSamples = 40'000;
constexpr int kSpeck = 16;            // pixels
constexpr double kHairline = 2;       // pixels: a quarter of a stitch
constexpr int kBandHalf = 2;          // a band has no block of 5 x 5
constexpr double kOfBoundary = 0.15;  // each of the two neighbours touches so much of a band
constexpr double kOffLine = 0.35;     // how far a colour between two may lie off their line, in parts of its length

struct Pixel {
    int row = 0, column = 0;
};
constexpr std::array<Pixel, 4> kAround{{{-1, 0}, {1, 0}, {0, -1}, {0, 1}}};

double distance(Oklab a, Oklab b) {
    return std::hypot(a.l - b.l, a.a - b.a, a.b - b.b);
}

Grid<Oklab> seen(const Image& picture) {
    Grid<Oklab> out(picture.rows(), picture.columns());
    std::transform(picture.begin(), picture.end(), out.begin(), oklab_from_linear);
    return out;
}

Grid<unsigned char> flat_pixels(const Grid<Oklab>& colours) {
    Grid<unsigned char> flat(colours.rows(), colours.columns(), 1);
    const auto compare = [&](Pixel p, Pixel q) {
        if (distance(colours(p.row, p.column), colours(q.row, q.column)) > kFlat)
            flat(p.row, p.column) = flat(q.row, q.column) = 0;
    };
    for (int row = 0; row < colours.rows(); ++row)
        for (int column = 0; column < colours.columns(); ++column) {
            if (column + 1 < colours.columns()) compare({row, column}, {row, column + 1});
            if (row + 1 < colours.rows()) compare({row, column}, {row + 1, column});
        }
    return flat;
}

std::vector<PaletteColour> chosen_palette(const Image& picture, const Grid<unsigned char>& flat, int most,
                                          std::uint64_t seed) {
    const int step = std::max(1, static_cast<int>(std::ceil(std::sqrt(static_cast<double>(picture.size()) /
                                                                      static_cast<double>(kMostSamples)))));
    std::vector<WeightedColour> samples;
    for (int row = step / 2; row < picture.rows(); row += step)
        for (int column = step / 2; column < picture.columns(); column += step)
            samples.push_back({picture(row, column), flat(row, column) ? 1.0 : kEdgeWeight});
    if (samples.empty()) samples.push_back({picture(0, 0), 1.0});
    return palette_of(samples, most, seed);
}

/// One connected shape of one colour.
struct Shape {
    int owner = 0;
    std::vector<Pixel> pixels;
    std::map<int, int> touches;  ///< sides it has in common with each other colour
    bool broad = false;          ///< holds a block of 5 x 5
};

class Shapes {
public:
    explicit Shapes(const Grid<int>& owner) : owner_(owner), seen_(owner.rows(), owner.columns(), 0) {}

    std::vector<Shape> all() {
        std::vector<Shape> shapes;
        for (int row = 0; row < owner_.rows(); ++row)
            for (int column = 0; column < owner_.columns(); ++column)
                if (!seen_(row, column)) shapes.push_back(filled({row, column}));
        return shapes;
    }

private:
    bool inside(int row, int column) const {
        return row >= 0 && column >= 0 && row < owner_.rows() && column < owner_.columns();
    }

    Shape filled(Pixel start) {
        Shape shape{.owner = owner_(start.row, start.column), .pixels = {start}, .touches = {}};
        seen_(start.row, start.column) = 1;
        for (std::size_t i = 0; i < shape.pixels.size(); ++i) {
            const Pixel p = shape.pixels[i];
            for (const Pixel by : kAround) {
                const int row = p.row + by.row, column = p.column + by.column;
                if (!inside(row, column)) continue;
                if (owner_(row, column) != shape.owner) {
                    ++shape.touches[owner_(row, column)];
                } else if (!seen_(row, column)) {
                    seen_(row, column) = 1;
                    shape.pixels.push_back({row, column});
                }
            }
            shape.broad = shape.broad || block_around(p, shape.owner);
        }
        return shape;
    }

    bool block_around(Pixel p, int owner) const {
        for (int dr = -kBandHalf; dr <= kBandHalf; ++dr)
            for (int dc = -kBandHalf; dc <= kBandHalf; ++dc)
                if (!inside(p.row + dr, p.column + dc) || owner_(p.row + dr, p.column + dc) != owner) return false;
        return true;
    }

    const Grid<int>& owner_;
    Grid<unsigned char> seen_;
};

/// Does a colour lie between two others, near their line?
bool lies_between(Oklab colour, Oklab a, Oklab b) {
    const double length = distance(a, b);
    if (length == 0) return true;
    const double along =
        ((colour.l - a.l) * (b.l - a.l) + (colour.a - a.a) * (b.a - a.a) + (colour.b - a.b) * (b.b - a.b)) /
        (length * length);
    const Oklab foot{a.l + along * (b.l - a.l), a.a + along * (b.a - a.a), a.b + along * (b.b - a.b)};
    return along > 0 && along < 1 && distance(colour, foot) < kOffLine * length;
}

/// Is the shape no patch of its own but the softened edge between two?
bool softened_edge(const Shape& shape, const std::vector<PaletteColour>& palette) {
    if (shape.touches.empty()) return false;
    std::vector<std::pair<int, int>> by_length;  // negative sides, owner
    int sides = 0;
    for (const auto& [owner, count] : shape.touches) {
        by_length.emplace_back(-count, owner);
        sides += count;
    }
    const auto pixels = static_cast<double>(shape.pixels.size());
    const double width = 2 * pixels / sides;  // of a band
    if (pixels < kSpeck || width < kHairline) return true;
    if (shape.broad || shape.touches.size() < 2) return false;
    std::sort(by_length.begin(), by_length.end());
    if (-by_length[1].first < kOfBoundary * sides) return false;
    const auto colour = [&](int owner) { return oklab_from_linear(palette[static_cast<std::size_t>(owner)].colour); };
    return lies_between(colour(shape.owner), colour(by_length[0].second), colour(by_length[1].second));
}

/// Pixels without an owner take their nearest neighbour's, ring by ring.
void fill_gaps(Grid<int>& owner) {
    std::vector<Pixel> edge, next;
    for (int row = 0; row < owner.rows(); ++row)
        for (int column = 0; column < owner.columns(); ++column)
            if (owner(row, column) >= 0) edge.push_back({row, column});
    for (; !edge.empty(); edge.swap(next)) {
        next.clear();
        for (const Pixel p : edge)
            for (const Pixel by : kAround) {
                const int row = p.row + by.row, column = p.column + by.column;
                if (row < 0 || column < 0 || row >= owner.rows() || column >= owner.columns()) continue;
                if (owner(row, column) >= 0) continue;
                owner(row, column) = owner(p.row, p.column);
                next.push_back({row, column});
            }
    }
}

void take_in_edges(Grid<int>& owner, const std::vector<PaletteColour>& palette) {
    constexpr int kRounds = 3;  // a wide edge has bands between bands
    for (int round = 0; round < kRounds; ++round) {
        bool taken = false, left = false;
        Grid<int> next = owner;
        for (const Shape& shape : Shapes(owner).all()) {
            const bool edge = softened_edge(shape, palette);
            taken = taken || edge;
            left = left || !edge;
            if (edge)
                for (const Pixel p : shape.pixels) next(p.row, p.column) = -1;
        }
        if (!taken || !left) return;
        fill_gaps(next);
        owner = std::move(next);
    }
}

/// Means away from edges, shares of the picture; what owns nothing any more is left out.
void settle_colours(Patches& patches, const Image& picture, const Grid<unsigned char>& flat) {
    struct Sum {
        LinearRgb flat, all;
        double flat_count = 0, count = 0;
    };
    std::vector<Sum> sums(patches.colours.size());
    auto owner = patches.owner.begin();
    auto is_flat = flat.begin();
    for (const LinearRgb& colour : picture) {
        Sum& sum = sums[static_cast<std::size_t>(*owner++)];
        sum.all += colour;
        sum.count += 1;
        if (*is_flat++) {
            sum.flat += colour;
            sum.flat_count += 1;
        }
    }
    std::vector<std::size_t> order(sums.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return sums[a].count > sums[b].count; });
    std::vector<PaletteColour> settled;
    std::vector<int> index(sums.size(), -1);
    for (const std::size_t i : order) {
        const Sum& sum = sums[i];
        if (sum.count == 0) continue;
        index[i] = static_cast<int>(settled.size());
        const LinearRgb mean = sum.flat_count > 0 ? sum.flat * (1 / sum.flat_count) : sum.all * (1 / sum.count);
        settled.push_back({mean, sum.count / static_cast<double>(picture.size()), patches.colours[i].words});
    }
    patches.colours = std::move(settled);
    for (int& one : patches.owner) one = index[static_cast<std::size_t>(one)];
}

}  // namespace

Patches patches_of(const Image& picture, int most, std::uint64_t seed) {
    require(!picture.empty() && most >= 1, "a picture and a colour at least");
    const Grid<unsigned char> flat = flat_pixels(seen(picture));
    Patches patches{chosen_palette(picture, flat, most, seed), Grid<int>(picture.rows(), picture.columns())};
    std::transform(picture.begin(), picture.end(), patches.owner.begin(),
                   [&](const LinearRgb& colour) { return static_cast<int>(nearest_in(patches.colours, colour)); });
    take_in_edges(patches.owner, patches.colours);
    settle_colours(patches, picture, flat);
    return patches;
}

}  // namespace loopread
