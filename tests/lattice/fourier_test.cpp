#include "lattice/fourier.h"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <stdexcept>

#include "loopread/base/random.h"

using namespace loopread;

namespace {

constexpr double kSingle = 2e-5;  // of the largest value: single precision over some 10 steps

Grid<Wave> noise(int rows, int columns) {
    Random random(3);
    Grid<Wave> values(rows, columns);
    for (Wave& wave : values) wave = {static_cast<float>(random.normal()), static_cast<float>(random.normal())};
    return values;
}

/// The definition, term by term.
std::complex<double> slow(const Grid<Wave>& values, int row, int column) {
    std::complex<double> sum = 0;
    for (int y = 0; y < values.rows(); ++y)
        for (int x = 0; x < values.columns(); ++x) {
            const double turns =
                static_cast<double>(row * y) / values.rows() + static_cast<double>(column * x) / values.columns();
            sum += std::complex<double>(values(y, x)) * std::polar(1.0, -2 * std::numbers::pi * turns);
        }
    return sum;
}

}  // namespace

TEST_SUITE("lattice") {
    TEST_CASE("the fast transform is the plain sum, for windows of several shapes") {
        for (const auto& [rows, columns] : {std::pair{8, 32}, {32, 8}, {1, 16}, {16, 1}, {1, 1}, {16, 16}}) {
            const Grid<Wave> values = noise(rows, columns);
            Grid<Wave> fast = values;
            transform(fast);
            for (int row = 0; row < rows; ++row)
                for (int column = 0; column < columns; ++column) {
                    const std::complex<double> expected = slow(values, row, column);
                    CHECK(std::abs(std::complex<double>(fast(row, column)) - expected) < kSingle * rows * columns);
                }
        }
    }

    TEST_CASE("sides that are no powers of two break the contract") {
        Grid<Wave> values(6, 8);
        CHECK_THROWS_AS(transform(values), std::logic_error);
        Grid<Wave> others(8, 12);
        CHECK_THROWS_AS(transform(others), std::logic_error);
    }
}
