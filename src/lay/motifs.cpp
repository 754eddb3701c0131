#include "loopread/lay/motifs.h"

#include <algorithm>
#include <cmath>

#include "loopread/colour/difference.h"

namespace loopread {
namespace {

constexpr double kDyedFrom = 0.1;        // of full strength
constexpr double kDiffersFrom = 8;       // CIEDE2000
constexpr double kFaintFrom = 0.005;     // of full strength: a motif's soft surroundings
constexpr double kFaintDiffersFrom = 2;  // CIEDE2000
constexpr double kSurroundingsMm = 4;
constexpr double kSmallestMm2 = 9;
constexpr std::size_t kFewestMotifs = 6;
constexpr double kMostCover = 0.6;

LinearRgb ground_pixel(const Paint& paint, int row, int column) {
    return paint.ground.size() == 1 ? paint.ground(0, 0) : paint.ground(row, column);
}

struct MaskLimits {
    double dyed = 0;     ///< of full strength
    double differs = 0;  ///< CIEDE2000
};

Grid<unsigned char> dyed_mask(const Paint& paint, MaskLimits limits) {
    Grid<unsigned char> mask(paint.raster.rows, paint.raster.columns, 0);
    for (int row = 0; row < mask.rows(); ++row)
        for (int column = 0; column < mask.columns(); ++column) {
            bool dyed = false;
            if (paint.picture)
                dyed = delta_e_2000(lab_from_linear((*paint.picture)(row, column)),
                                    lab_from_linear(ground_pixel(paint, row, column))) > limits.differs;
            for (const DyeLayer& layer : paint.layers) dyed = dyed || layer.amount(row, column) > limits.dyed;
            mask(row, column) = dyed ? 1 : 0;
        }
    return mask;
}

/// Gives each motif the faint pixels around it, ring by ring, the motif nearest first.
void grow_into(const Grid<unsigned char>& faint, Grid<int>& owner, int rings) {
    std::vector<std::pair<int, int>> edge, next;
    for (int row = 0; row < owner.rows(); ++row)
        for (int column = 0; column < owner.columns(); ++column)
            if (owner(row, column) >= 0) edge.emplace_back(row, column);
    for (int ring = 0; ring < rings && !edge.empty(); ++ring) {
        next.clear();
        for (const auto& [row, column] : edge)
            for (const auto& [y, x] :
                 {std::pair{row - 1, column}, {row + 1, column}, {row, column - 1}, {row, column + 1}}) {
                if (y < 0 || x < 0 || y >= owner.rows() || x >= owner.columns()) continue;
                if (!faint(y, x) || owner(y, x) >= 0) continue;
                owner(y, x) = owner(row, column);
                next.emplace_back(y, x);
            }
        edge.swap(next);
    }
}

/// Fills one connected shape (corners count as touching), its pixels owned by `index`.
Motif filled(const Grid<unsigned char>& mask, Grid<int>& owner, int row, int column, int index) {
    Motif motif{.left = column, .top = row, .right = column + 1, .bottom = row + 1};
    std::vector<std::pair<int, int>> open = {{row, column}};
    owner(row, column) = index;
    while (!open.empty()) {
        const auto [r, c] = open.back();
        open.pop_back();
        ++motif.area;
        motif.left = std::min(motif.left, c);
        motif.right = std::max(motif.right, c + 1);
        motif.top = std::min(motif.top, r);
        motif.bottom = std::max(motif.bottom, r + 1);
        for (int dr = -1; dr <= 1; ++dr)
            for (int dc = -1; dc <= 1; ++dc) {
                const int y = r + dr, x = c + dc;
                if (y < 0 || x < 0 || y >= mask.rows() || x >= mask.columns()) continue;
                if (!mask(y, x) || owner(y, x) >= 0) continue;
                owner(y, x) = index;
                open.emplace_back(y, x);
            }
    }
    return motif;
}

double median(std::vector<double> values) {
    if (values.empty()) return 0;
    std::sort(values.begin(), values.end());
    return values[values.size() / 2];
}

struct FoundMotif {
    Motif motif;
    std::size_t found_as = 0;
};

/// Numbers the lines: a motif whose middle lies more than half a median height below the line's first begins a new one.
void set_lines(std::vector<FoundMotif>& found) {
    std::vector<double> heights;
    for (const auto& [motif, index] : found) heights.push_back(motif.bottom - motif.top);
    const double half = std::max(1.0, median(heights) / 2);
    std::stable_sort(found.begin(), found.end(),
                     [](const FoundMotif& a, const FoundMotif& b) { return a.motif.middle_y() < b.motif.middle_y(); });
    int line = 0;
    double first = found.front().motif.middle_y();
    for (auto& [motif, index] : found) {
        if (motif.middle_y() - first > half) {
            ++line;
            first = motif.middle_y();
        }
        motif.line = line;
    }
    std::stable_sort(found.begin(), found.end(), [](const FoundMotif& a, const FoundMotif& b) {
        return a.motif.line != b.motif.line ? a.motif.line < b.motif.line : a.motif.middle_x() < b.motif.middle_x();
    });
}

void set_distances(Motifs& found, const BlankRaster& raster) {
    std::vector<double> sizes, across, along;
    double line_start = found.motifs.front().middle_y();
    for (std::size_t i = 0; i < found.motifs.size(); ++i) {
        const Motif& motif = found.motifs[i];
        sizes.push_back(std::max((motif.right - motif.left) * raster.mm_per_column,
                                 (motif.bottom - motif.top) * raster.mm_per_row));
        if (i == 0) continue;
        const Motif& before = found.motifs[i - 1];
        if (motif.line == before.line) {
            across.push_back((motif.middle_x() - before.middle_x()) * raster.mm_per_column);
        } else {
            along.push_back((motif.middle_y() - line_start) * raster.mm_per_row);
            line_start = motif.middle_y();
        }
    }
    found.size_mm = median(sizes);
    found.across_mm = median(across);
    found.along_mm = median(along);
}

}  // namespace

Motifs motifs_of(const Paint& paint) {
    const Grid<unsigned char> mask = dyed_mask(paint, {kDyedFrom, kDiffersFrom});
    Grid<int> owner(mask.rows(), mask.columns(), -1);
    const double pixel_mm2 = paint.raster.mm_per_column * paint.raster.mm_per_row;
    std::vector<Motif> all;
    double covered = 0;
    for (int row = 0; row < mask.rows(); ++row)
        for (int column = 0; column < mask.columns(); ++column) {
            if (!mask(row, column) || owner(row, column) >= 0) continue;
            all.push_back(filled(mask, owner, row, column, static_cast<int>(all.size())));
            covered += all.back().area;
        }
    std::vector<FoundMotif> kept;
    for (std::size_t i = 0; i < all.size(); ++i)
        if (all[i].area * pixel_mm2 >= kSmallestMm2) kept.push_back({all[i], i});
    if (kept.size() < kFewestMotifs || covered > kMostCover * static_cast<double>(mask.size())) return {};
    set_lines(kept);
    Motifs found;
    std::vector<int> index_of(all.size(), -1);
    for (const FoundMotif& motif : kept) {
        index_of[motif.found_as] = static_cast<int>(found.motifs.size());
        found.motifs.push_back(motif.motif);
    }
    for (int& index : owner) index = index >= 0 ? index_of[static_cast<std::size_t>(index)] : -1;
    const double pixel_mm = std::sqrt(pixel_mm2);
    grow_into(dyed_mask(paint, {kFaintFrom, kFaintDiffersFrom}), owner,
              static_cast<int>(std::lround(kSurroundingsMm / pixel_mm)));
    found.owner = std::move(owner);
    set_distances(found, paint.raster);
    return found;
}

}  // namespace loopread
