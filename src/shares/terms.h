#pragma once

#include "lag_table.h"
#include "loopread/shape/rounds.h"
#include "sums.h"

namespace loopread {

/// Sums of squares under this part of the whole count as none.
inline constexpr double kNoVariance = 1e-9;
/// A fabric with less than this of colour range is constant: rounding of the yarn's integrals stays well below.
inline constexpr double kConstantRange = 1e-6;

/// What the shares are made of; terms of several stretches add, if they have one offset.
struct Terms {
    std::size_t stitches = 0;
    std::size_t rounds = 0;
    std::array<double, kChannels> sum{};
    double squares = 0;        ///< sum of |F|^2
    double round_squares = 0;  ///< sum over rounds of N |mean|^2
    // Pairs of stitches, the one in the round below and the one above it by each lean: products and sums of squares of
    // what the round means leave.
    Lanes products = Lanes::Zero();
    Lanes below = Lanes::Zero();
    Lanes above = Lanes::Zero();
    // The same for stitches 4 apart along the yarn.
    double dash_product = 0, dash_before = 0, dash_after = 0;

    double total() const;    ///< sum of squares about the mean
    double between() const;  ///< of that, between rounds
    Terms& operator+=(const Terms& other);
};

/// Stitches and rounds without pairs.
void add_variance(Terms& terms, const StitchSums& stitches, const RoundMeans& means, std::size_t n);

/// Pairs in the round: k and k + n + lean. Raw products from the table, the round means taken off by the sums: no
/// stitch is looked at twice.
/// @param n  stitches in a round, at least kFewestStitches; means are those of rounds of n
void add_pairs_in_the_round(Terms& terms, const StitchSums& stitches, const RoundMeans& means, std::size_t n,
                            const LagTable& lags);

/// Sums of squares of a row's columns, all channels, but for those a lean leaves without a partner.
struct RowSquares {
    Lanes as_lower = Lanes::Zero();  ///< with partners in the row above
    Lanes as_upper = Lanes::Zero();
};

/// What round means leave of each stitch, row on row as the columns lie: back and forth, odd rows are turned.
class Rows {
public:
    /// @param n  over 2 kWidestLean
    void assign(const StitchSums& stitches, const RoundMeans& means, std::size_t n, Worked worked);

    std::size_t rows() const { return squares_.size(); }
    std::size_t columns() const { return columns_; }
    /// Column 0 of a row; kWidestLean zeros before it, more than kLanes - 1 after the last column.
    const double* row(std::size_t channel, std::size_t row) const {
        return values_[channel].data() + row * stride_ + kWidestLean;
    }
    const RowSquares& squares(std::size_t row) const { return squares_[row]; }

private:
    RowSquares summed_squares(std::size_t row) const;

    std::size_t columns_ = 0, stride_ = 0;
    std::array<std::vector<double>, kChannels> values_;
    std::vector<RowSquares> squares_;
};

/// Pairs of two rows, column c of the lower one with column c + lean of the upper one.
struct RowPair {
    Lanes products = Lanes::Zero(), below = Lanes::Zero(), above = Lanes::Zero();
};
/// Both of as many columns.
RowPair row_pair(const Rows& lower_rows, std::size_t lower, const Rows& upper_rows, std::size_t upper);

/// Pairs back and forth: the sum over neighbouring rows.
void add_pairs_back_and_forth(Terms& terms, const Rows& rows);

/// Pairs along the yarn.
void add_dashes(Terms& terms, const StitchSums& stitches, const RoundMeans& means, std::size_t n);

/// product / sqrt(first x second); 0 if either is at most `none`.
double correlation(double product, double first, double second, double none);

}  // namespace loopread
