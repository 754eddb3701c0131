#include "compare/distance.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

namespace loopread {
namespace {

constexpr double kVeryFar = 1e12;

/// Lower envelope of the parabolas step^2 (x - i)^2 + line[i].
std::vector<double> envelope(const std::vector<double>& line, double step) {
    const auto n = static_cast<int>(line.size());
    const double square = step * step;
    const auto value = [&](int i) { return line[static_cast<std::size_t>(i)]; };
    std::vector<int> vertices;
    std::vector<double> from;  // where each parabola begins to be the lowest
    for (int i = 0; i < n; ++i) {
        double begin = -kVeryFar;
        while (!vertices.empty()) {
            const int v = vertices.back();
            begin = ((value(i) - value(v)) / square + static_cast<double>(i) * i - static_cast<double>(v) * v) /
                    (2.0 * (i - v));
            if (begin > from.back()) break;
            vertices.pop_back();
            from.pop_back();
            begin = -kVeryFar;
        }
        vertices.push_back(i);
        from.push_back(begin);
    }
    std::vector<double> out(line.size());
    std::size_t k = 0;
    for (int x = 0; x < n; ++x) {
        while (k + 1 < vertices.size() && from[k + 1] <= x) ++k;
        out[static_cast<std::size_t>(x)] = square * (x - vertices[k]) * (x - vertices[k]) + value(vertices[k]);
    }
    return out;
}

}  // namespace

Grid<double> distances(const Grid<unsigned char>& marked, double cell_width, double cell_height) {
    Grid<double> out(marked.rows(), marked.columns());
    std::vector<double> line(static_cast<std::size_t>(marked.rows()));
    for (int c = 0; c < marked.columns(); ++c) {
        for (int r = 0; r < marked.rows(); ++r) line[static_cast<std::size_t>(r)] = marked(r, c) ? 0 : kVeryFar;
        const std::vector<double> lowest = envelope(line, cell_height);
        for (int r = 0; r < marked.rows(); ++r) out(r, c) = lowest[static_cast<std::size_t>(r)];
    }
    for (int r = 0; r < marked.rows(); ++r) {
        const std::vector<double> lowest = envelope({out.row(r), out.row(r) + out.columns()}, cell_width);
        std::transform(lowest.begin(), lowest.end(), out.row(r), [](double square) { return std::sqrt(square); });
    }
    return out;
}

}  // namespace loopread
