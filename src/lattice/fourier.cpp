#include "lattice/fourier.h"

#include <bit>
#include <cmath>
#include <numbers>
#include <utility>
#include <vector>

namespace loopread {
namespace {

/// One line of values; twiddle factors and the order of bits are made once for all lines of a length.
class LineTransform {
public:
    explicit LineTransform(std::size_t length) : order_(length), turns_(length / 2) {
        require(std::has_single_bit(length), "a transform has a power of two of values");
        const int bits = std::countr_zero(length);
        for (std::size_t i = 0; i < length; ++i)
            for (int b = 0; b < bits; ++b)
                if ((i >> b) & 1U) order_[i] |= std::size_t{1} << (bits - 1 - b);
        for (std::size_t i = 0; i < turns_.size(); ++i) {
            const double angle = -2 * std::numbers::pi * static_cast<double>(i) / static_cast<double>(length);
            turns_[i] = {static_cast<float>(std::cos(angle)), static_cast<float>(std::sin(angle))};
        }
    }
    void apply(Wave* line) const {
        const std::size_t length = order_.size();
        for (std::size_t i = 0; i < length; ++i)
            if (i < order_[i]) std::swap(line[i], line[order_[i]]);
        for (std::size_t half = 1; half < length; half *= 2) {
            const std::size_t stride = length / (2 * half);
            for (std::size_t start = 0; start < length; start += 2 * half)
                for (std::size_t i = 0; i < half; ++i)
                    butterfly(line[start + i], line[start + i + half], turns_[i * stride]);
        }
    }

private:
    /// Written out: the product of std::complex looks for infinities.
    static void butterfly(Wave& a, Wave& b, Wave turn) {
        const float re = b.real() * turn.real() - b.imag() * turn.imag();
        const float im = b.real() * turn.imag() + b.imag() * turn.real();
        b = {a.real() - re, a.imag() - im};
        a = {a.real() + re, a.imag() + im};
    }
    std::vector<std::size_t> order_;
    std::vector<Wave> turns_;
};

}  // namespace

void transform(Grid<Wave>& values) {
    const LineTransform across(static_cast<std::size_t>(values.columns()));
    const LineTransform along(static_cast<std::size_t>(values.rows()));
    for (int y = 0; y < values.rows(); ++y) across.apply(values.row(y));
    std::vector<Wave> line(static_cast<std::size_t>(values.rows()));
    for (int x = 0; x < values.columns(); ++x) {
        for (int y = 0; y < values.rows(); ++y) line[static_cast<std::size_t>(y)] = values(y, x);
        along.apply(line.data());
        for (int y = 0; y < values.rows(); ++y) values(y, x) = line[static_cast<std::size_t>(y)];
    }
}

}  // namespace loopread
