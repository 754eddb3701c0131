#include "loopread/wound/half_ravelled.h"

#include <doctest/doctest.h>

#include <cmath>

#include "loopread/wound/pictures.h"
#include "wound/wound_runs.h"

using namespace loopread;
using namespace loopread::wound_test;

namespace {

HalfRavelledOptions small_blank() {
    HalfRavelledOptions options;
    options.layout.stitches = 20;
    options.layout.rows = 60;
    return options;
}

/// The loops are thicker than the yarn that has come off them, and the bloom under them is thicker still.
bool loose(const StrandPath& path, const HalfRavelledOptions& options) {
    return std::abs(static_cast<double>(path.radius_mm) - options.diameter.value / 2) < 1e-4;
}

double red_left_of(const PaintedStrands& seen, int column, bool left) {
    double red = 0, all = 0;
    for (int r = 0; r < seen.albedo.rows(); ++r)
        for (int c = left ? 0 : column; c < (left ? column : seen.albedo.columns()); ++c) {
            const auto covered = static_cast<double>(seen.coverage(r, c));
            all += covered;
            red += seen.albedo(r, c).r > seen.albedo(r, c).b ? covered : 0;
        }
    return red / all;
}

}  // namespace

TEST_SUITE("wound") {
    TEST_CASE("the rows that are gone lie beside the blank, and the rows that are left do not") {
        HalfRavelledOptions options = small_blank();
        const double length = options.layout.strand_length().value;
        WoundPictureOptions picture;
        picture.rows = picture.columns = 700;
        picture.keep_albedo = KeepAlbedo::yes;
        const PaintedStrands seen = half_ravelled_picture(
            {.yarn = {halves(length), halves(length)}, .painted = {halves(length), halves(length)}}, options, picture);
        const HalfRavelled lying = half_ravelled(options);
        // Red was ravelled first: all of it, and nothing else, is off.
        const double scale = 0.86 * 700 / static_cast<double>(lying.width_mm);
        const int between = static_cast<int>(
            350 + scale * (options.layout.width().value + 8 - static_cast<double>(lying.width_mm) / 2));
        constexpr double kLead = 0.03;  // the yarn on its way from the blank to the coils
        CHECK(red_left_of(seen, between - 12, true) <= kLead);
        CHECK(red_left_of(seen, between + 12, false) >= 1 - kLead);
    }

    TEST_CASE("what is left of the blank shows its painted side, what is off shows the yarn") {
        const HalfRavelledOptions options = small_blank();
        const double length = options.layout.strand_length().value;
        WoundPictureOptions picture;
        picture.rows = picture.columns = 500;
        picture.keep_albedo = KeepAlbedo::yes;
        const ColourRun red = plain_run(length, kRed), blue = plain_run(length, kBlue);
        const PaintedStrands seen =
            half_ravelled_picture({.yarn = {blue, blue}, .painted = {red, red}}, options, picture);
        const HalfRavelled lying = half_ravelled(options);
        const double scale = 0.86 * 500 / static_cast<double>(lying.width_mm);
        const int between = static_cast<int>(
            250 + scale * (options.layout.width().value + 8 - static_cast<double>(lying.width_mm) / 2));
        constexpr double kLead = 0.03;
        CHECK(red_left_of(seen, between - 12, true) >= 1 - kLead);
        CHECK(red_left_of(seen, between + 12, false) <= kLead);
        CHECK_THROWS_AS(half_ravelled_picture({.yarn = {blue, blue}, .painted = {red}}, options, picture),
                        std::logic_error);
    }

    TEST_CASE("every millimetre of yarn is either off or in a loop") {
        const HalfRavelledOptions options = small_blank();
        const double length = options.layout.strand_length().value;
        double off_from = 1e9, off_to = 0, left_from = 1e9, left_to = 0;
        for (const StrandPath& path : half_ravelled(options).paths)
            for (const WoundPoint& p : path.points) {
                const auto along = static_cast<double>(p.along_mm);
                double& from = loose(path, options) ? off_from : left_from;
                double& to = loose(path, options) ? off_to : left_to;
                from = std::min(from, along);
                to = std::max(to, along);
            }
        const double loop = options.layout.loop_length.value;
        CHECK(off_from == 0);
        CHECK(std::abs(off_to - length / 2) <= 1);
        CHECK(std::abs(left_from - length / 2) <= loop);
        CHECK(std::abs(left_to - length) <= loop);
    }

    TEST_CASE("the yarn that is off leads to the stitch that comes off next") {
        for (const double share : {0.5, 0.37}) {
            HalfRavelledOptions options = small_blank();
            options.share = share;
            WoundPoint last, first;
            double least = 1e9, most = 0;
            for (const StrandPath& path : half_ravelled(options).paths) {
                if (path.strand != 0) continue;
                for (const WoundPoint& p : path.points) {
                    const auto along = static_cast<double>(p.along_mm);
                    if (loose(path, options) && along > most) {
                        most = along;
                        last = p;
                    }
                    if (!loose(path, options) && path.radius_mm < 1 && along < least) {
                        least = along;
                        first = p;
                    }
                }
            }
            constexpr double kCrimp = 6;  // mm: the last wave
            CHECK(std::hypot(static_cast<double>(last.x - first.x), static_cast<double>(last.y - first.y)) <= kCrimp);
        }
    }

    TEST_CASE("a tube, one strand and a blank painted on the purl side can be drawn too") {
        for (const Construction construction : {Construction::flat, Construction::tube})
            for (const int strands : {1, 2})
                for (const Painted painted : {Painted::face, Painted::back}) {
                    HalfRavelledOptions options = small_blank();
                    options.layout.construction = construction;
                    options.layout.strands = strands;
                    options.layout.painted = painted;
                    const HalfRavelled lying = half_ravelled(options);
                    REQUIRE_FALSE(lying.paths.empty());
                    for (const StrandPath& path : lying.paths) {
                        CHECK(path.strand < strands);
                        for (const WoundPoint& p : path.points)
                            if (!std::isfinite(p.x + p.y + p.z)) FAIL("a place that is none");
                    }
                }
    }

    TEST_CASE("a blank of two stitches and two rows can be half ravelled") {
        HalfRavelledOptions options;
        options.layout.stitches = 2;
        options.layout.rows = 2;
        CHECK_FALSE(half_ravelled(options).paths.empty());
    }
}
