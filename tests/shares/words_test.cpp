#include "loopread/shares/words.h"

#include <doctest/doctest.h>

#include <stdexcept>
#include <string>

#include "fabrics.h"

using namespace loopread;

namespace {

constexpr double kStitchMm = 13;

Verdict verdict_of(const PlainRounds& plain) {
    return verdict(shares(plain), plain, yarn_of(plain, kStitchMm), plain.stitches * kStitchMm);
}

bool says(const Verdict& verdict, const std::string& words) {
    return verdict.sentence.find(words) != std::string::npos;
}

}  // namespace

TEST_SUITE("shares") {
    TEST_CASE("stripes are told with their height though a round between two of them is mixed") {
        const Verdict seven = verdict_of(two_colours({.rounds = 140}, 14 * 64));
        CHECK(seven.kind == "stripes");
        CHECK(says(seven, "Stripes of about 7 rounds."));
        const Verdict one = verdict_of(two_colours({.rounds = 140}, 2 * 64));
        CHECK(one.kind == "stripes");
        CHECK(says(one, "Stripes of one round."));
        const Verdict uneven = verdict_of(two_colours({.rounds = 140}, 14 * 64 + 30));
        CHECK(uneven.kind == "stripes");
        CHECK(says(uneven, "Stripes of about 7 rounds."));
    }

    TEST_CASE("colours that last a round and a half step") {
        const Verdict stepped = verdict_of(two_colours({.rounds = 140}, 3 * 64 + 2));
        CHECK(stepped.kind == "stepped stripes");
        CHECK(says(stepped, "lasts about 1.5 rounds"));
    }

    TEST_CASE("pools are told with their width and the way they lean") {
        const auto pooled = [](int repeat, Worked worked) {
            return verdict_of(
                fabric_of({.rounds = 80, .worked = worked}, [&](int k) { return k % repeat < 9 ? kDark : kPale; }));
        };
        const Verdict upright = pooled(64, Worked::in_the_round);
        CHECK(upright.kind == "pools");
        CHECK(says(upright, "Pools about 9 stitches wide, stacked upright."));
        CHECK(says(pooled(65, Worked::in_the_round), "Pools about 9 stitches wide, leaning left."));
        CHECK(says(pooled(63, Worked::in_the_round), "Pools about 9 stitches wide, leaning right."));
        CHECK(says(pooled(66, Worked::in_the_round), "leaning left by 2 stitches a round."));
        CHECK(says(verdict_of(two_colours({.rounds = 80}, 64)), "Pools about 32 stitches wide"));
    }

    TEST_CASE("columns that wander further than any one lean follows are pools that wander") {
        Random random(5);
        std::vector<int> offset{0};
        for (int r = 1; r < 150; ++r) offset.push_back(offset.back() + static_cast<int>(random.bits() % 9) - 4);
        const Verdict wandering = verdict_of(fabric_of({.rounds = 150}, [&](int k) {
            return (k % 64 - offset[static_cast<std::size_t>(k / 64)] + 64000) % 64 < 8 ? kDark : kPale;
        }));
        CHECK(wandering.kind == "pools");
        CHECK(says(wandering, "in columns that wander"));
    }

    TEST_CASE("bands of many rounds with sharp borders are broad stripes, not a fade") {
        const Verdict bands =
            verdict_of(fabric_of({.rounds = 200}, [](int k) { return k / (64 * 20) % 2 == 0 ? kDark : kPale; }));
        CAPTURE(bands.sentence);
        CHECK(bands.kind == "stripes");
        CHECK(says(bands, "of about 20 rounds"));
        // Smoothing over 24 rounds leaves most of the slow wave of bands of 50 rounds, so that only their borders tell.
        const Verdict wide =
            verdict_of(fabric_of({.rounds = 200}, [](int k) { return k / (64 * 50) % 2 == 0 ? kDark : kPale; }));
        CAPTURE(wide.sentence);
        CHECK(wide.kind == "stripes");
        CHECK(says(wide, "Broad stripes of about 50 rounds"));
    }

    TEST_CASE("a slow change is a fade and says so instead of stripes") {
        const Verdict fade = verdict_of(fabric_of({.rounds = 200}, [](int k) { return Lab{30 + k * 0.003, 20, 0}; }));
        CHECK(fade.kind == "fade");
    }

    TEST_CASE("dashes of eight stitches are no speckle and single stitches are no dashes") {
        Random random(8);
        bool dark = false;
        const auto at_random = [&](int length) {
            return verdict_of(fabric_of({.rounds = 100}, [&](int k) {
                if (k % length == 0) dark = random.uniform() < 0.5;
                return dark ? kDark : kPale;
            }));
        };
        CHECK(at_random(8).kind == "dashes");
        CHECK(at_random(1).kind == "speckle");
        CHECK(at_random(3).kind == "speckle");
    }

    TEST_CASE("the range of colour decides whether there is a pattern at all") {
        const auto faint = [](double step) {
            return verdict_of(fabric_of({.rounds = 30}, [&](int k) {
                return Lab{50 + (k % 64 < 32 ? step : 0), 0, 0};
            }));
        };
        CHECK(faint(4).kind == "one colour");  // a range of 2
        CHECK(faint(6).kind == "pools");       // of 3
        CHECK(says(faint(6), "Faint contrast (colour range 3)"));
        CHECK(says(faint(36), "Clear contrast (colour range 18)"));
        CHECK(verdict_of(fabric_of({.rounds = 30}, [](int) { return kDark; })).kind == "one colour");
    }

    TEST_CASE("speckle too faint to cut the yarn into runs is no stepped stripe") {
        Random random(3);
        CHECK(verdict_of(fabric_of({.rounds = 60}, [&](int) {
                  return Lab{50 + 3 * random.normal(), 0, 0};
              })).kind == "speckle");
    }

    TEST_CASE("back and forth the words speak of rows") {
        PlainRounds plain = two_colours({.stitches = 40, .rounds = 60, .worked = Worked::back_and_forth}, 40 * 8);
        CHECK(says(verdict_of(plain), "Stripes of about 4 rows."));
    }

    TEST_CASE("where there are no shares the reason is the sentence") {
        const PlainRounds two_rounds = two_colours({.rounds = 2}, 64);
        const Verdict none = verdict_of(two_rounds);
        CHECK(none.kind == "none");
        CHECK(none.sentence == shares(two_rounds).why_none);
        CHECK_THROWS_AS(verdict(shares(two_rounds), two_rounds, ColourRun(), 0), std::logic_error);
    }
}
