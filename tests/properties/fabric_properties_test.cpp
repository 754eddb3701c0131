#include <cmath>

#include "loopread/base/error.h"
#include "loopread/fabric/alternated.h"
#include "loopread/fabric/fabric.h"
#include "loopread/shape/garments.h"
#include "loopread/shares/shares.h"
#include "properties/any_blank.h"

using namespace loopread;
using namespace loopread::properties;

namespace {

constexpr double kRounding = 1e-9;  // relative, of sums of some hundred terms

Garment any_garment() {
    const std::vector<std::string_view> names = shape_names();
    const std::string_view shape =
        names[static_cast<std::size_t>(whole_in(0, static_cast<int>(names.size()) - 1, "shape"))];
    GarmentSize size;
    if (shape == "sock") {
        size.stitches = 4 * whole_in(8, 20, "quarter of the stitches");
        size.sock.heel = static_cast<Heel>(whole_in(0, 2, "heel"));
        size.sock.start = static_cast<Start>(whole_in(0, 1, "start"));
    } else {
        size.stitches = 8 * whole_in(2, 12, "eighth of the stitches");
        size.rounds = whole_in(1, 40, "rounds");
    }
    try {
        return garment(shape, size);
    } catch (const Error&) {  // sizes this garment does not come in
        RC_DISCARD("no such garment");
    }
}

/// Fabrics of all kinds: plain, striped, pooling, of chance.
PlainRounds any_rounds() {
    PlainRounds rounds;
    rounds.stitches = whole_in(16, 40, "stitches");
    rounds.worked = static_cast<Worked>(whole_in(0, 1, "in the round, back and forth"));
    const int count = whole_in(3, 30, "rounds");
    const int repeat = whole_in(1, 90, "repeat");
    const double chance = number_in(0, 1, "chance");
    Random random(any_seed("fabric seed"));
    std::vector<Lab> colours;
    for (int i = 0; i < repeat; ++i)
        colours.push_back({100 * random.uniform(), 80 * random.normal(), 80 * random.normal()});
    for (int i = 0; i < count * rounds.stitches; ++i) {
        const bool stray = random.uniform() < chance * chance;
        rounds.stitch.push_back(stray ? colours[static_cast<std::size_t>(random.uniform() * repeat)]
                                      : colours[static_cast<std::size_t>(i % repeat)]);
    }
    rounds.stretch_starts = {0};
    return rounds;
}

void check_alike(const Shares& a, const Shares& b) {
    // Sums in another order, and a root of what they cancel to.
    constexpr double kOtherOrder = 1e-7;
    RC_ASSERT(std::abs(a.stripe - b.stripe) < kOtherOrder);
    RC_ASSERT(std::abs(a.pool - b.pool) < kOtherOrder);
    RC_ASSERT(std::abs(a.dash - b.dash) < kOtherOrder);
    RC_ASSERT(std::abs(a.speckle - b.speckle) < kOtherOrder);
}

double sum_of(const Shares& found) {
    return found.stripe + found.pool + found.dash + found.speckle;
}

}  // namespace

TEST_SUITE("properties") {
    TEST_CASE("a fabric uses each stretch of yarn once and in order, and what is over is left") {
        holds([] {
            const ColourRun run = any_run();
            const Garment garment = any_garment();
            const Millimetres per_stitch{number_in(0.2, 20, "yarn per stitch")};
            const Fabric fabric = knitted(run, garment, per_stitch);
            std::size_t next = 0;
            for (std::size_t r = 0; r < fabric.rounds.size(); ++r) {
                const FabricRound& round = fabric.rounds[r];
                RC_ASSERT(round.first == next);
                RC_ASSERT(round.end > round.first || run.length() < per_stitch);
                RC_ASSERT(round.complete() || r + 1 == fabric.rounds.size());
                RC_ASSERT(round.round == garment.rounds[r]);
                next = round.end;
            }
            RC_ASSERT(next == fabric.stitches.size());
            RC_ASSERT(static_cast<long long>(next) <= total_stitches(garment));
            const double used = per_stitch.value * static_cast<double>(next);
            RC_ASSERT(std::abs(fabric.yarn_used.value - used) <= kRounding * (1 + used));
            RC_ASSERT(std::abs(fabric.yarn_used.value + fabric.yarn_left.value - run.length_mm()) <=
                      kRounding * (1 + run.length_mm()));
            RC_ASSERT(fabric.ran_out() || static_cast<long long>(next) == total_stitches(garment));
            if (fabric.ran_out()) RC_ASSERT(fabric.yarn_left.value < per_stitch.value * (1 + kRounding));
            const double mm = per_stitch.value;
            for (std::size_t i = 0; i < next; ++i) {
                const double start = static_cast<double>(i) * mm;
                const LinearRgb legs = mixed(run.mean(start + 0.145 * mm, start + 0.355 * mm),
                                             run.mean(start + 0.645 * mm, start + 0.855 * mm), 0.5);
                RC_ASSERT(largest_difference(fabric.stitches[i], legs) < kRounding);
            }
        });
    }

    TEST_CASE("a garment's sections hold all its stitches and rounds") {
        holds([] {
            const Garment garment = any_garment();
            long long stitches = 0;
            int rounds = 0;
            for (int s = 0; s <= static_cast<int>(Section::growing); ++s) {
                stitches += stitches_in(garment, static_cast<Section>(s));
                rounds += rounds_in(garment, static_cast<Section>(s));
            }
            RC_ASSERT(stitches == total_stitches(garment));
            RC_ASSERT(rounds == static_cast<int>(garment.rounds.size()));
            for (const Round& round : garment.rounds) RC_ASSERT(round.stitches > 0);
        });
    }

    TEST_CASE("yarn of one colour knits up in that colour") {
        holds([] {
            Random random(any_seed("colour"));
            const LinearRgb colour = any_light(random);
            std::vector<Piece> pieces = any_run().pieces();
            for (Piece& piece : pieces) piece.colour = colour;
            const Fabric fabric =
                knitted(ColourRun(pieces), any_garment(), Millimetres{number_in(0.5, 20, "yarn per stitch")});
            for (const LinearRgb& stitch : fabric.stitches) RC_ASSERT(largest_difference(stitch, colour) < kRounding);
        });
    }

    TEST_CASE("yarn turned round twice is the same yarn, and once has the same colour at the same place") {
        holds([] {
            const ColourRun run = any_run();
            const ColourRun back = run.reversed(), again = back.reversed();
            RC_ASSERT(back.pieces().size() == run.pieces().size());
            RC_ASSERT(again.pieces().size() == run.pieces().size());
            for (std::size_t i = 0; i < run.pieces().size(); ++i) {
                const Piece &piece = run.pieces()[i], &turned = back.pieces()[run.pieces().size() - 1 - i];
                RC_ASSERT(piece.colour == turned.colour && piece.course == turned.course && piece.part == turned.part);
                RC_ASSERT(piece.colour == again.pieces()[i].colour);
                RC_ASSERT(std::abs(piece.start_mm - again.pieces()[i].start_mm) < kRounding * (1 + run.length_mm()));
            }
        });
    }

    TEST_CASE("the colour of a stretch is the mean of its parts") {
        holds([] {
            const ColourRun run = any_run();
            const double from = run.length_mm() * number_in(0, 0.3, "from"),
                         middle = run.length_mm() * number_in(0.4, 0.6, "middle"),
                         to = run.length_mm() * number_in(0.7, 1, "to");
            const LinearRgb parts = run.mean(from, middle) * (middle - from) + run.mean(middle, to) * (to - middle);
            RC_ASSERT(largest_difference(parts * (1 / (to - from)), run.mean(from, to)) < kRounding);
        });
    }

    TEST_CASE("yarn taken by turns from two ends is never more than both, nor than the garment takes") {
        holds([] {
            const TwoEnds ends = near_and_far(any_run(), any_run(), whole_in(1, 5, "every"));
            const Garment garment = any_garment();
            const Millimetres per_stitch{number_in(0.2, 20, "yarn per stitch")};
            RC_PRE(ends.first.length() > per_stitch && ends.second.length() > per_stitch);
            const ColourRun run = alternated(ends, garment, per_stitch);
            const double most = ends.first.length_mm() + ends.second.length_mm();
            RC_ASSERT(run.length_mm() <= most * (1 + kRounding));
            RC_ASSERT(run.length_mm() <=
                      per_stitch.value * static_cast<double>(total_stitches(garment)) * (1 + kRounding) + kRounding);
        });
    }

    TEST_CASE("shares lie between 0 and 1 and add to 1, or all are 0") {
        holds([] {
            const Shares found = shares(any_rounds());
            for (const double share : {found.stripe, found.pool, found.dash, found.speckle})
                RC_ASSERT(share >= 0 && share <= 1 + kRounding);
            RC_ASSERT(sum_of(found) == 0 || std::abs(sum_of(found) - 1) < kRounding);
            RC_ASSERT(found.colour_range >= 0 && found.fade >= 0 && found.fade <= found.stripe + kRounding);
        });
    }

    TEST_CASE("shares do not ask which colours they are: channels swapped, moved or all made stronger are the same") {
        holds([] {
            const PlainRounds rounds = any_rounds();
            const Shares found = shares(rounds);
            PlainRounds swapped = rounds, moved = rounds, stronger = rounds;
            const double by = number_in(-30, 30, "moved by"), times = number_in(0.5, 2, "times");
            for (Lab& c : swapped.stitch) c = {c.b, c.l, c.a};
            for (Lab& c : moved.stitch) c = {c.l + by, c.a - by, c.b + 2 * by};
            for (Lab& c : stronger.stitch) c = {c.l * times, c.a * times, c.b * times};
            check_alike(shares(swapped), found);
            check_alike(shares(moved), found);
            check_alike(shares(stronger), found);
        });
    }
}
