#include "loopread/wound/skein.h"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <vector>

using namespace loopread;

namespace {

double distance(const WoundPoint& a, const WoundPoint& b) {
    return std::hypot(static_cast<double>(a.x - b.x), static_cast<double>(a.y - b.y), static_cast<double>(a.z - b.z));
}

/// Of every strand's points in one cut across the band, the distance along the yarn to the neighbour nearest in space.
std::vector<double> neighbours_apart(const StrandPath& path, double girth_mm) {
    constexpr double kCut = 0.4;  // of the way round, away from where turns change places
    std::vector<WoundPoint> cut;
    double wanted = kCut * girth_mm;
    for (const WoundPoint& p : path.points)
        if (static_cast<double>(p.along_mm) >= wanted) {
            cut.push_back(p);
            wanted += girth_mm;
        }
    std::vector<double> apart;
    for (const WoundPoint& own : cut) {
        double nearest = std::numeric_limits<double>::max(), along = 0;
        for (const WoundPoint& p : path.points) {
            // Its own yarn to both sides is no neighbour.
            if (std::abs(static_cast<double>(p.along_mm - own.along_mm)) < girth_mm / 4) continue;
            if (distance(p, own) < nearest) {
                nearest = distance(p, own);
                along = std::abs(static_cast<double>(p.along_mm - own.along_mm));
            }
        }
        apart.push_back(along);
    }
    return apart;
}

double turn_length(const StrandPath& path, double girth_mm, int turn) {
    double length = 0;
    for (std::size_t i = 1; i < path.points.size(); ++i) {
        const double along = static_cast<double>(path.points[i].along_mm);
        if (along >= turn * girth_mm && along < (turn + 1) * girth_mm)
            length += distance(path.points[i], path.points[i - 1]);
    }
    return length;
}

HankOptions usual() {
    return {.yarn = {{60000}, {0.72}, 1}};
}

}  // namespace

TEST_SUITE("wound") {
    TEST_CASE("strands side by side in a hank are whole turns apart") {
        const HankOptions options = usual();
        const StrandPath path = hank_paths(options).front();
        constexpr double kSlant = 12;  // mm: strands do not lie quite square to the cut
        const std::vector<double> apart = neighbours_apart(path, options.girth.value);
        REQUIRE(apart.size() == 40);
        for (const double along : apart) {
            CAPTURE(along);
            const double turns = std::round(along / options.girth.value);
            CHECK(turns >= 1);
            CHECK(std::abs(along - turns * options.girth.value) <= kSlant);
        }
    }

    TEST_CASE("all of the yarn is wound, in the order it comes") {
        for (const StrandPath& path : {hank_paths(usual()).front(), skein_paths(usual()).front()}) {
            REQUIRE(path.points.size() > 1000);
            CHECK(path.points.front().along_mm == 0);
            CHECK(path.points.back().along_mm > 60000 - 1);
            for (std::size_t i = 1; i < path.points.size(); ++i)
                if (!(path.points[i].along_mm > path.points[i - 1].along_mm)) FAIL("runs backwards");
        }
    }

    TEST_CASE("a turn of hank or skein is as long in space as the reel's girth") {
        constexpr double kWays = 0.10;  // inner turns are shorter, outer and straying ones longer
        constexpr double kMean = 0.05;
        for (const StrandPath& path : {hank_paths(usual()).front(), skein_paths(usual()).front()}) {
            double sum = 0;
            for (int turn = 0; turn < 40; ++turn) {
                const double length = turn_length(path, 1500, turn);
                CAPTURE(length);
                CHECK(std::abs(length / 1500 - 1) <= kWays);
                sum += length;
            }
            CHECK(std::abs(sum / 40 / 1500 - 1) <= kMean);
        }
    }

    TEST_CASE("nothing lies under the table") {
        for (const auto& paths : {hank_paths(usual()), skein_paths(usual())})
            for (const StrandPath& path : paths)
                for (const WoundPoint& p : path.points)
                    if (!(p.z >= 0.99F * path.radius_mm)) FAIL("under the table");
    }

    TEST_CASE("a yarn of little more than one turn still makes a skein and a hank") {
        HankOptions options = usual();
        options.yarn.length = {1600};
        for (const auto& paths : {hank_paths(options), skein_paths(options)})
            for (const StrandPath& path : paths)
                for (const WoundPoint& p : path.points)
                    if (!std::isfinite(p.x + p.y + p.z)) FAIL("a place that is none");
    }

    TEST_CASE("crimped yarn winds to and fro, with a wave for each loop of the blank") {
        HankOptions options = usual();
        const StrandPath straight = hank_paths(options).front();
        options.crimp = {21};
        const StrandPath crimped = hank_paths(options).front();
        CHECK(turn_length(crimped, 1500, 10) > 1.02 * turn_length(straight, 1500, 10));
    }
}
