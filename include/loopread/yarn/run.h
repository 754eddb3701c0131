#pragma once

#include <cstdint>
#include <span>
#include <string_view>
#include <vector>

#include "loopread/base/quantity.h"
#include "loopread/colour/spaces.h"

namespace loopread {

/// The four parts of a loop in the order they come off the blank. In a course that runs right to left, leg1 is the
/// right leg.
enum class Part : std::uint8_t { sinker, leg1, needle, leg2 };

std::string_view part_name(Part part);

/// A stretch of yarn of one colour and, where known, the place of the blank it came from.
struct Piece {
    double start_mm = 0;   ///< from the end that comes off first
    double length_mm = 0;  ///< over 0
    int course = -1;       ///< -1: the place is not known
    int wale = -1;
    Part part = Part::sinker;
    LinearRgb colour;
};

/// Colour along one strand: all that passes between unravelling and knitting.
///
/// Invariant: pieces follow each other from 0 without gap or overlap (to 1e-6 mm).
class ColourRun {
public:
    ColourRun() = default;
    /// @throws contract if a piece has no length or does not begin where the last one ends
    explicit ColourRun(std::vector<Piece> pieces);

    const std::vector<Piece>& pieces() const { return pieces_; }
    bool empty() const { return pieces_.empty(); }
    double length_mm() const { return pieces_.empty() ? 0.0 : pieces_.back().start_mm + pieces_.back().length_mm; }
    Millimetres length() const { return {length_mm()}; }
    bool has_places() const { return !pieces_.empty() && pieces_.front().course >= 0; }

    /// Colour of the piece at a distance; beyond either end that end's colour.
    LinearRgb at(double distance_mm) const { return pieces_[piece_at(distance_mm)].colour; }
    /// Index of the piece at a distance, held within the run.
    std::size_t piece_at(double distance_mm) const;
    /// Integral of the colour from 0 to a distance (colour x mm), exact; held constant beyond the ends.
    LinearRgb integral_to(double distance_mm) const;
    /// Mean in linear light over [from, to], exact. @throws contract unless from < to
    LinearRgb mean(double from_mm, double to_mm) const;

    /// The same yarn from its other end. Places and part names stay those of the blank.
    ColourRun reversed() const;

private:
    std::vector<Piece> pieces_;
    std::vector<LinearRgb> integral_;           // to the start of each piece
    std::vector<std::uint32_t> first_in_cell_;  // piece at k * cell_mm_: turns a search into a step or two
    double cell_mm_ = 1;
};

}  // namespace loopread
