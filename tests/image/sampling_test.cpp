#include "loopread/image/sampling.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include <opencv2/imgproc.hpp>

#include "loopread/base/random.h"

using namespace loopread;

namespace {

constexpr double kClosedForm = 1e-12;   // a few roundings of numbers near 1
constexpr double kFloatWeights = 1e-6;  // OpenCV keeps its area weights in single precision
constexpr double kCutTails = 2e-4;      // OpenCV cuts at 4 sigma without making up for it
constexpr double kPixelSteps = 2e-3;    // relative; an 8 pixel edge read off in whole pixels (widening 1 / (24 s^2))

Plane noise(int rows, int columns) {
    Random random(7, 1);
    Plane plane(rows, columns);
    for (double& value : plane) value = random.uniform();
    return plane;
}

cv::Mat mat_of(const Plane& plane) {
    cv::Mat mat(plane.rows(), plane.columns(), CV_64F);
    for (int r = 0; r < plane.rows(); ++r) std::copy_n(plane.row(r), plane.columns(), mat.ptr<double>(r));
    return mat;
}

double largest_difference(const Plane& plane, const cv::Mat& mat) {
    REQUIRE(plane.rows() == mat.rows);
    REQUIRE(plane.columns() == mat.cols);
    double largest = 0;
    for (int r = 0; r < mat.rows; ++r)
        for (int c = 0; c < mat.cols; ++c) largest = std::max(largest, std::abs(plane(r, c) - mat.at<double>(r, c)));
    return largest;
}

double mean(const Plane& plane) {
    double sum = 0;
    for (const double value : plane) sum += value;
    return sum / static_cast<double>(plane.size());
}

PixelBox whole(const Plane& plane) {
    return {0, 0, static_cast<double>(plane.columns()), static_cast<double>(plane.rows())};
}

Plane impulse(int side) {
    Plane plane(side, side, 0.0);
    plane(side / 2, side / 2) = 1;
    return plane;
}

/// Where a rising row of values passes `level`, in pixels, straight between pixel middles.
double crossing(const Plane& row, double level) {
    int c = 0;
    while (row(0, c + 1) < level) ++c;
    return c + (level - row(0, c)) / (row(0, c + 1) - row(0, c));
}

}  // namespace

TEST_SUITE("image") {
    TEST_CASE("a reduction to any raster is the area average of an independent implementation") {
        const Plane plane = noise(70, 41);
        for (const cv::Size size : {cv::Size(41, 70), cv::Size(20, 35), cv::Size(13, 29), cv::Size(1, 1)}) {
            CAPTURE(size.width);
            cv::Mat expected;
            cv::resize(mat_of(plane), expected, size, 0, 0, cv::INTER_AREA);
            CHECK(largest_difference(resampled(plane, whole(plane), size.height, size.width), expected) <
                  kFloatWeights);
        }
    }

    TEST_CASE("a raster over the whole image keeps its mean") {
        const Plane plane = noise(19, 23);
        CHECK(mean(resampled(plane, whole(plane), 7, 5)) == doctest::Approx(mean(plane)).epsilon(kClosedForm));
        CHECK(mean(resampled(plane, whole(plane), 190, 46)) == doctest::Approx(mean(plane)).epsilon(kClosedForm));
    }

    TEST_CASE("a box that cuts through pixels takes the parts it covers") {
        Plane plane(1, 3);
        plane(0, 0) = 1;
        plane(0, 1) = 10;
        plane(0, 2) = 100;
        const Plane two = resampled(plane, {0.5, 0.25, 2.75, 0.75}, 1, 1);
        CHECK(two(0, 0) == doctest::Approx((0.5 * 1 + 10 + 0.75 * 100) / 2.25).epsilon(kClosedForm));
    }

    TEST_CASE("outside the image its edge goes on") {
        Plane plane(1, 2);
        plane(0, 0) = 3;
        plane(0, 1) = 5;
        const Plane far = resampled(plane, {-20, -9, -10, -8}, 2, 2);
        CHECK(far(0, 0) == doctest::Approx(3).epsilon(kClosedForm));
        CHECK(far(1, 1) == doctest::Approx(3).epsilon(kClosedForm));
        CHECK(resampled(plane, {1, 0, 31, 4}, 1, 1)(0, 0) == doctest::Approx(5).epsilon(kClosedForm));
        CHECK(resampled(plane, {-1, 0, 2, 1}, 1, 1)(0, 0) == doctest::Approx((3 + 3 + 5) / 3.0).epsilon(kClosedForm));
    }

    TEST_CASE("light is averaged channel by channel as planes are") {
        const Plane red = noise(9, 8);
        Image image(9, 8);
        for (int r = 0; r < 9; ++r)
            for (int c = 0; c < 8; ++c) image(r, c) = {red(r, c), 0.25, 1 - red(r, c)};
        const Image small = resampled(image, {0.3, 1.1, 7.9, 8.5}, 3, 2);
        const Plane small_red = resampled(red, {0.3, 1.1, 7.9, 8.5}, 3, 2);
        for (int r = 0; r < 3; ++r)
            for (int c = 0; c < 2; ++c) {
                CHECK(small(r, c).r == doctest::Approx(small_red(r, c)).epsilon(kClosedForm));
                CHECK(small(r, c).g == doctest::Approx(0.25).epsilon(kClosedForm));
                CHECK(small(r, c).b == doctest::Approx(1 - small_red(r, c)).epsilon(kClosedForm));
            }
    }

    TEST_CASE("an empty image, raster or box breaks the contract") {
        const Plane plane(2, 2, 1.0);
        CHECK_THROWS_AS(resampled(Plane{}, {0, 0, 1, 1}, 1, 1), std::logic_error);
        CHECK_THROWS_AS(resampled(plane, {0, 0, 1, 1}, 0, 1), std::logic_error);
        CHECK_THROWS_AS(resampled(plane, {1, 0, 1, 1}, 1, 1), std::logic_error);
        CHECK_THROWS_AS(at(Plane{}, 0, 0), std::logic_error);
        CHECK_THROWS_AS(blurred(plane, -1, 0), std::logic_error);
    }

    TEST_CASE("between pixel middles the colour is bilinear and beyond them constant") {
        Plane plane(2, 2);
        plane(0, 0) = 0;
        plane(0, 1) = 1;
        plane(1, 0) = 10;
        plane(1, 1) = 31;
        CHECK(at(plane, 0.5, 0.5) == 0);
        CHECK(at(plane, 1.5, 1.5) == 31);
        CHECK(at(plane, 1.0, 0.5) == doctest::Approx(0.5).epsilon(kClosedForm));
        CHECK(at(plane, 0.75, 1.25) ==
              doctest::Approx(0.25 * (0.75 * 0 + 0.25 * 1) + 0.75 * (0.75 * 10 + 0.25 * 31)).epsilon(kClosedForm));
        CHECK(at(plane, -100, 0.2) == 0);
        CHECK(at(plane, 1e300, 1e300) == 31);
        Image image(1, 2);
        image(0, 1) = {1, 2, 3};
        CHECK(at(image, 1.0, 0.0) == LinearRgb{0.5, 1, 1.5});
    }

    TEST_CASE("a blurred point has the standard deviation asked for and the same sum") {
        for (const double sigma : {0.05, 0.3, 0.7, 1.2, 2.0, 3.0, 11.0}) {
            CAPTURE(sigma);
            const int side = 2 * static_cast<int>(std::ceil(4 * sigma)) + 5;
            const Plane spot = blurred(impulse(side), sigma, 0.5 * sigma);
            const int middle = side / 2;
            double sum = 0, across = 0, down = 0;
            for (int r = 0; r < side; ++r)
                for (int c = 0; c < side; ++c) {
                    sum += spot(r, c);
                    across += spot(r, c) * (c - middle) * (c - middle);
                    down += spot(r, c) * (r - middle) * (r - middle);
                }
            CHECK(sum == doctest::Approx(1).epsilon(1e-12));
            CHECK(std::sqrt(across) == doctest::Approx(sigma).epsilon(1e-9));
            CHECK(std::sqrt(down) == doctest::Approx(0.5 * sigma).epsilon(1e-9));
        }
    }

    TEST_CASE("a blur is the Gaussian of an independent implementation, edge held constant") {
        const Plane plane = noise(31, 40);
        for (const double sigma : {1.2, 2.0, 3.0}) {  // the last is past the kernels of fixed reach
            CAPTURE(sigma);
            const int side = 2 * static_cast<int>(std::ceil(4 * sigma)) + 1;
            cv::Mat expected;
            cv::GaussianBlur(mat_of(plane), expected, {side, side}, sigma, sigma, cv::BORDER_REPLICATE);
            CHECK(largest_difference(blurred(plane, sigma, sigma), expected) < kCutTails);
        }
    }

    TEST_CASE("a blurred step rises from 10 to 90 percent in 2.5631 standard deviations") {
        // Twice the normal quantile of 0.9, 1.2815515655.
        constexpr double kSigma = 8;
        Plane step(1, 120, 0.0);
        for (int c = 60; c < 120; ++c) step(0, c) = 1;
        const Plane soft = blurred(step, kSigma, 0);
        CHECK(crossing(soft, 0.9) - crossing(soft, 0.1) == doctest::Approx(2.5631031311 * kSigma).epsilon(kPixelSteps));
        CHECK(crossing(soft, 0.5) == doctest::Approx(59.5).epsilon(kClosedForm));
    }

    TEST_CASE("a blur of 0 leaves the image as it is and one way leaves the other alone") {
        const Plane plane = noise(6, 7);
        CHECK(blurred(plane, 0, 0) == plane);
        Plane stripes(6, 7);
        for (int r = 0; r < 6; ++r)
            for (int c = 0; c < 7; ++c) stripes(r, c) = r % 2;
        const Plane across = blurred(stripes, 2, 0);
        for (int r = 0; r < 6; ++r)
            for (int c = 0; c < 7; ++c) CHECK(across(r, c) == doctest::Approx(r % 2).epsilon(kClosedForm));
        CHECK(blurred(Plane(1, 1, 0.7), 50, 50)(0, 0) == doctest::Approx(0.7).epsilon(kClosedForm));
    }

    TEST_CASE("a clockwise quarter turn carries the top left pixel to the top right") {
        Grid<int> grid(2, 3);
        for (int i = 0; i < 6; ++i) grid(i / 3, i % 3) = i + 1;
        const Grid<int> turn = turned(grid, QuarterTurn::clockwise_90);
        REQUIRE(turn.rows() == 3);
        REQUIRE(turn.columns() == 2);
        CHECK(turn(0, 1) == 1);
        CHECK(turn(2, 1) == 3);
        CHECK(turn(0, 0) == 4);
        CHECK(turned(turn, QuarterTurn::clockwise_90) == turned(grid, QuarterTurn::clockwise_180));
        CHECK(turned(turn, QuarterTurn::clockwise_180) == turned(grid, QuarterTurn::clockwise_270));
        CHECK(turned(turn, QuarterTurn::clockwise_270) == grid);
        CHECK(turned(grid, QuarterTurn::none) == grid);
        CHECK(mirrored(grid)(0, 0) == 3);
        CHECK(mirrored(mirrored(grid)) == grid);
    }
}
