#include "loopread/wound/ball.h"

#include <doctest/doctest.h>

#include <cmath>

#include "loopread/wound/pictures.h"
#include "wound/wound_runs.h"

using namespace loopread;
using namespace loopread::wound_test;

namespace {

constexpr double kLengthMm = 120'000;

WoundPictureOptions small_picture(WoundKind kind) {
    WoundPictureOptions options;
    options.kind = kind;
    options.rows = options.columns = 500;
    options.keep_albedo = KeepAlbedo::yes;
    return options;
}

}  // namespace

TEST_SUITE("wound") {
    TEST_CASE("the ball that is drawn is as large as its yarn's volume says, and round") {
        const BallOptions options{.yarn = {{kLengthMm}, {0.72}, 1}};
        const double radius = ball_diameter(options.yarn).value / 2;
        double sum = 0, most = 0;
        int count = 0;
        for (const StrandPath& path : ball_paths(options))
            for (const WoundPoint& p : path.points) {
                if (static_cast<double>(p.along_mm) > kLengthMm - 200) continue;  // the loose end
                if (static_cast<double>(p.along_mm) < 0.9 * kLengthMm) continue;  // under others
                const double far =
                    std::hypot(static_cast<double>(p.x), static_cast<double>(p.y), static_cast<double>(p.z) - radius);
                sum += far;
                most = std::max(most, std::abs(far - radius));
                ++count;
            }
        REQUIRE(count > 1000);
        constexpr double kMean = 0.05;   // the outermost tenth lies a little over the mean surface
        constexpr double kHills = 0.12;  // where bands cross
        CHECK(std::abs(sum / count / radius - 1) <= kMean);
        CHECK(most / radius <= kHills);
    }

    TEST_CASE("a cake stands as high and as wide as its yarn's volume says, round an empty hole") {
        const BallOptions options{.yarn = {{kLengthMm}, {0.72}, 1}};
        const CakeSize size = cake_size(options.yarn);
        double top = 0, wide = 0, narrow = 1e9;
        for (const StrandPath& path : cake_paths(options))
            for (const WoundPoint& p : path.points) {
                if (static_cast<double>(p.along_mm) > kLengthMm - 200) continue;
                const double far = std::hypot(static_cast<double>(p.x), static_cast<double>(p.y));
                top = std::max(top, static_cast<double>(p.z));
                wide = std::max(wide, far);
                narrow = std::min(narrow, far);
            }
        constexpr double kStrands = 2;  // mm: some strands stand out
        CHECK(std::abs(top - size.height.value) <= kStrands);
        CHECK(std::abs(wide - size.diameter.value / 2) <= kStrands);
        CHECK(narrow >= size.hole.value / 2 - 0.5);
    }

    TEST_CASE("wound straight from the blank the end that came off first is inside, and outside the other way") {
        const std::vector<ColourRun> yarn{halves(kLengthMm)};
        for (const WoundKind kind : {WoundKind::ball, WoundKind::cake}) {
            CAPTURE(static_cast<int>(kind));
            WoundPictureOptions options = small_picture(kind);
            const double straight = red_share(wound_picture(yarn, options));
            options.outside = Outside::ravel_end;
            const double other_way = red_share(wound_picture(yarn, options));
            // A cake shows its inner end on top, round the hole; a ball hides it.
            CHECK(straight <= (kind == WoundKind::ball ? 0.01 : 0.30));
            CHECK(other_way >= (kind == WoundKind::ball ? 0.99 : 0.70));
        }
    }

    TEST_CASE("on top of a cake the end wound first lies round the hole") {
        const std::vector<ColourRun> yarn{halves(kLengthMm)};
        WoundPictureOptions options = small_picture(WoundKind::cake);
        CHECK(red_share(wound_picture(yarn, options)) >= 0.05);
        double red_far = 0, blue_far = 0;
        int reds = 0, blues = 0;
        for (const StrandPath& path : cake_paths({.yarn = {{kLengthMm}, {0.72}, 1}}))
            for (const WoundPoint& p : path.points) {
                const double far = std::hypot(static_cast<double>(p.x), static_cast<double>(p.y));
                const bool red = static_cast<double>(p.along_mm) < kLengthMm / 2;
                (red ? red_far : blue_far) += far;
                ++(red ? reds : blues);
            }
        CHECK(red_far / reds < 0.75 * blue_far / blues);
    }

    TEST_CASE("both strands wound together show to equal parts") {
        const std::vector<ColourRun> yarns{plain_run(kLengthMm, kRed), plain_run(kLengthMm, kBlue)};
        double red = 0;
        constexpr int kBalls = 4;
        for (int ball = 0; ball < kBalls; ++ball) {
            WoundPictureOptions options = small_picture(WoundKind::together);
            options.seed = 1 + static_cast<std::uint64_t>(ball);
            red += red_share(wound_picture(yarns, options)) / kBalls;
        }
        constexpr double kLuck = 0.05;  // which of the two lies uppermost in the outermost bands
        CHECK(std::abs(red - 0.5) <= kLuck);
    }

    TEST_CASE("of a pair ball A is on the left and ball B on the right") {
        const std::vector<ColourRun> yarns{plain_run(kLengthMm, kRed), plain_run(kLengthMm, kBlue)};
        const PaintedStrands seen = wound_picture(yarns, small_picture(WoundKind::pair));
        double red_at = 0, reds = 0, blue_at = 0, blues = 0;
        for (int r = 0; r < seen.albedo.rows(); ++r)
            for (int c = 0; c < seen.albedo.columns(); ++c) {
                if (seen.coverage(r, c) <= 0) continue;
                const bool red = seen.albedo(r, c).r > seen.albedo(r, c).b;
                (red ? red_at : blue_at) += c;
                (red ? reds : blues) += 1;
            }
        CHECK(red_at / reds + 100 < blue_at / blues);
        CHECK(std::abs(reds / blues - 1) < 0.1);
    }

    TEST_CASE("a ball of a few metres is a ball too") {
        for (const double length : {800.0, 3000.0})
            for (const auto& paths :
                 {ball_paths({.yarn = {{length}, {0.72}, 1}}), cake_paths({.yarn = {{length}, {0.72}, 1}})})
                for (const StrandPath& path : paths)
                    for (const WoundPoint& p : path.points)
                        if (!std::isfinite(p.x + p.y + p.z)) FAIL("a place that is none");
    }
}
