#include "loopread/yarn/run.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "loopread/base/require.h"

namespace loopread {
namespace {

constexpr double kRoundingMm = 1e-6;  // the invariant's allowance for rounding

/// Never falls as the distance grows, so one and the same function may fill the table and look things up in it.
std::size_t cell_of(double distance_mm, double cell_mm, std::size_t cells) {
    if (!(distance_mm > 0)) return 0;
    const double cell = distance_mm / cell_mm;
    return cell >= static_cast<double>(cells) ? cells - 1 : static_cast<std::size_t>(cell);
}

void require_unbroken(const std::vector<Piece>& pieces) {
    double end_mm = 0;
    for (const Piece& piece : pieces) {
        require(piece.length_mm > 0 && std::isfinite(piece.length_mm), "a piece of yarn has a length");
        require(std::abs(piece.start_mm - end_mm) <= kRoundingMm, "a piece of yarn begins where the last one ends");
        require(std::isfinite(piece.colour.r + piece.colour.g + piece.colour.b), "a piece of yarn has a colour");
        end_mm = piece.start_mm + piece.length_mm;
    }
}

}  // namespace

std::string_view part_name(Part part) {
    switch (part) {
        case Part::sinker:
            return "sinker";
        case Part::leg1:
            return "leg1";
        case Part::needle:
            return "needle";
        case Part::leg2:
            return "leg2";
    }
    require(false, "a loop has four parts");
    return {};
}

ColourRun::ColourRun(std::vector<Piece> pieces) : pieces_(std::move(pieces)) {
    if (pieces_.empty()) return;
    require_unbroken(pieces_);
    const std::size_t count = pieces_.size();
    require(count < std::numeric_limits<std::uint32_t>::max(), "pieces can be counted in 32 bits");

    integral_.resize(count);
    integral_[0] = pieces_[0].colour * pieces_[0].start_mm;
    for (std::size_t i = 1; i < count; ++i)
        integral_[i] = integral_[i - 1] + pieces_[i - 1].colour * (pieces_[i].start_mm - pieces_[i - 1].start_mm);

    cell_mm_ = length_mm() / static_cast<double>(count);
    first_in_cell_.assign(count + 1, static_cast<std::uint32_t>(count - 1));
    std::size_t next_cell = 0;  // its first piece is the last one that begins in an earlier cell
    for (std::size_t i = 0; i < count; ++i) {
        const std::size_t cell = cell_of(pieces_[i].start_mm, cell_mm_, count);
        for (; next_cell <= cell; ++next_cell)
            first_in_cell_[next_cell] = static_cast<std::uint32_t>(i > 0 ? i - 1 : 0);
    }
}

std::size_t ColourRun::piece_at(double distance_mm) const {
    require(!pieces_.empty(), "an empty run has no colour");
    const std::size_t cell = cell_of(distance_mm, cell_mm_, pieces_.size());
    const auto first = pieces_.begin() + first_in_cell_[cell];
    const auto last = pieces_.begin() + first_in_cell_[cell + 1];
    const auto after = std::upper_bound(first + 1, last + 1, distance_mm,
                                        [](double distance, const Piece& piece) { return distance < piece.start_mm; });
    return static_cast<std::size_t>(after - pieces_.begin()) - 1;
}

LinearRgb ColourRun::integral_to(double distance_mm) const {
    const std::size_t i = piece_at(distance_mm);
    return integral_[i] + pieces_[i].colour * (distance_mm - pieces_[i].start_mm);
}

LinearRgb ColourRun::mean(double from_mm, double to_mm) const {
    require(from_mm < to_mm, "a mean is taken from a place to a later one");
    const std::size_t first = piece_at(from_mm);
    const std::size_t last = piece_at(to_mm);
    if (first == last) return pieces_[first].colour;
    const LinearRgb between = integral_[last] - integral_[first + 1];
    const LinearRgb ends = pieces_[first].colour * (pieces_[first + 1].start_mm - from_mm) +
                           pieces_[last].colour * (to_mm - pieces_[last].start_mm);
    return (between + ends) * (1 / (to_mm - from_mm));
}

ColourRun ColourRun::reversed() const {
    std::vector<Piece> turned(pieces_.rbegin(), pieces_.rend());
    double start_mm = 0;
    for (Piece& piece : turned) {
        const double end_mm = length_mm() - piece.start_mm;
        piece.start_mm = start_mm;
        piece.length_mm = end_mm - start_mm;
        start_mm = end_mm;
    }
    return ColourRun(std::move(turned));
}

}  // namespace loopread
