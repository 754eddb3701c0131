#include "loopread/shares/words.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <vector>

#include "features.h"
#include "loopread/base/require.h"

namespace loopread {
namespace {

// All chosen; those that tell one look from another were set on fabrics judged by eye (tests/eyes).
constexpr double kPoolsFrom = 0.15;           // pool or wiggle from which columns are seen
constexpr double kStandsOutFrom = 0.06;       // of the whole, in one wave, from which a pattern stands out
constexpr double kUprightTo = 0.2;            // stitches a round that still look upright on a sock
constexpr double kStripesFrom = 0.65;         // stripe from which a colour's change within a round is not noticed
constexpr double kSomeStripes = 0.3;          // stripe from which they are seen before dashes and flecks
constexpr double kSteppedFrom = 0.7;          // stripe + dash: hardly a fleck, so that the steps are what one sees
constexpr std::size_t kBroadStripesFrom = 3;  // sharp borders from which broad stripes are no fade
constexpr double kBroadBorder = 1.3;        // of the colour range: two colours in turn lie two ranges apart, a line of
                                            // motifs and its ground about one
constexpr double kAnyBorder = 0.7;          // of the colour range: once there are broad stripes, every border counts
constexpr double kBroadFrom = 8;            // rounds; borders closer than that are not all found
constexpr double kLongRunsFrom = 0.5;       // of the yarn
constexpr std::size_t kFewestLongRuns = 3;  // fewer are no stripes
constexpr double kDashesFrom = 0.15;        // of dash + speckle: runs of five stitches on
constexpr double kNamedBeside = 0.2;        // of the whole: what is named besides the first
constexpr double kWindowStitches = 2;       // a loop of the blank is longer than a knitted stitch

enum class Look { none, one_colour, stripes, stepped_stripes, fade, pools, diamonds, dashes, speckle };

std::string kind_of(Look look) {
    switch (look) {
        case Look::none:
            return "none";
        case Look::one_colour:
            return "one colour";
        case Look::stripes:
            return "stripes";
        case Look::stepped_stripes:
            return "stepped stripes";
        case Look::fade:
            return "fade";
        case Look::pools:
        case Look::diamonds:
            return "pools";
        case Look::dashes:
            return "dashes";
        case Look::speckle:
            return "speckle";
    }
    require(false, "a look has a name");
    return {};
}

bool has_columns(const Shares& shares) {
    return std::max(shares.pool, shares.wiggle) >= kPoolsFrom;
}

/// How much of the fabric a pattern makes up that the eye follows from round to round.
double pooled(const Shares& shares, const StandingPattern& pattern) {
    const double columns = std::max(shares.pool, shares.wiggle);
    const bool stands_out = (1 - shares.stripe) * pattern.share >= kStandsOutFrom;
    return std::max(columns >= kPoolsFrom ? columns : 0, stands_out ? kPoolsFrom : 0);
}

bool fades(const Shares& shares) {
    return shares.fade > shares.stripe / 2;
}

struct Seen {
    LongRuns long_runs;
    StandingPattern pattern;
    double yarn_per_round_mm = 0;
};

bool steps(const LongRuns& runs) {
    return runs.share > kLongRunsFrom && runs.count >= kFewestLongRuns;
}

/// What one sees first: an even spread of flecks is no stepped stripe, however long the ground between them runs.
Look look_of(const Shares& shares, const PlainRounds& rounds, const Seen& seen) {
    if (!shares.why_none.empty()) return Look::none;
    if (shares.colour_range < kOneColourRange) return Look::one_colour;
    const bool fade = fades(shares);
    if (shares.stripe >= kStripesFrom)
        return fade && sharp_borders(rounds, kBroadBorder * shares.colour_range) < kBroadStripesFrom ? Look::fade
                                                                                                     : Look::stripes;
    if (pooled(shares, seen.pattern) > shares.stripe)
        return seen.pattern.crossing && !has_columns(shares) ? Look::diamonds : Look::pools;
    if (shares.stripe >= kSomeStripes) {
        if (shares.stripe + shares.dash >= kSteppedFrom || (steps(seen.long_runs) && !fade))
            return Look::stepped_stripes;
        return fade ? Look::fade : Look::stripes;
    }
    return shares.dash >= kDashesFrom * (shares.dash + shares.speckle) ? Look::dashes : Look::speckle;
}

std::string whole(double number) {
    return std::to_string(std::lround(number));
}

/// "3" or, under 3, "1.5": halves matter in low stripes.
std::string low_number(double number) {
    const long halves = std::lround(2 * number);
    return number >= 3 || halves % 2 == 0 ? whole(number) : std::to_string(halves / 2) + ".5";
}

std::string of_rounds(double count, Worked worked) {
    const std::string unit = worked == Worked::in_the_round ? "round" : "row";
    return low_number(count) == "1" ? "one " + unit : "about " + low_number(count) + " " + unit + "s";
}

std::string of_stitches(double count) {
    return std::lround(count) <= 1 ? "a stitch" : "about " + whole(count) + " stitches";
}

std::string leaning(const Shares& shares, const PlainRounds& rounds, const StandingPattern& pattern) {
    if (shares.wiggle > shares.pool && shares.wiggle >= kPoolsFrom) return "in columns that wander";
    const double steep = std::abs(pattern.lean);
    if (steep < kUprightTo) return "stacked upright";
    std::string way = pattern.lean > 0 ? "leaning left" : "leaning right";
    if (steep < 0.75) return way + " a little";
    if (std::lround(steep) == 1) return way;
    return way + " by " + whole(steep) + " stitches a " + (rounds.worked == Worked::in_the_round ? "round" : "row");
}

std::string pools_in_words(const Shares& shares, const PlainRounds& rounds, const StandingPattern& pattern) {
    const bool wander = shares.wiggle > shares.pool && shares.wiggle >= kPoolsFrom;
    const auto width = pool_width(rounds, wander ? 0 : static_cast<int>(std::lround(pattern.lean)));
    return "pools " + (width ? of_stitches(*width) + " wide, " : std::string()) + leaning(shares, rounds, pattern);
}

/// The first thing seen, and beside it what else cannot be missed.
std::string with_rest(const std::string& words, const Shares& shares, const PlainRounds& rounds,
                      const StandingPattern& pattern) {
    if (has_columns(shares)) return words + ", with " + pools_in_words(shares, rounds, pattern);
    if (shares.dash >= kNamedBeside) return words + ", with short dashes";
    if (shares.speckle >= kNamedBeside) return words + ", flecked with other colours";
    return words;
}

std::string stripes_in_words(const Shares& shares, const PlainRounds& rounds, double rounds_per_run) {
    // Of broad ones the borders tell most: the smaller among them would pass for slivers of the others.
    const std::size_t borders = sharp_borders(rounds, kAnyBorder * shares.colour_range);
    const double between = static_cast<double>(rounds.rounds()) / static_cast<double>(borders + 1);
    if (fades(shares) || (borders >= kBroadStripesFrom && between >= kBroadFrom))
        return "Broad stripes of " + of_rounds(between, rounds.worked);
    // Rounds in which one stripe passes into the next make stripes look lower than the runs they are knitted from.
    const double height = std::max(stripe_height(rounds, shares.colour_range).value_or(0), rounds_per_run);
    return height > 0 ? "Stripes of " + of_rounds(height, rounds.worked) : "Stripes";
}

std::string dashes_in_words(const PlainRounds& rounds) {
    const auto length = dash_length(rounds);
    return "Short dashes" + (length ? " " + of_stitches(*length) + " long" : std::string()) + " that do not stack";
}

std::string stepped_in_words(double rounds_per_run, Worked worked) {
    const std::string steps = "Stepped stripes: a colour ";
    if (rounds_per_run <= 0) return steps + "lasts less than a round and changes partway along";
    return steps + "lasts " + of_rounds(rounds_per_run, worked) + " and changes partway along";
}

std::string pattern_in_words(Look look, const Shares& shares, const PlainRounds& rounds, const Seen& seen) {
    const double rounds_per_run = steps(seen.long_runs) ? seen.long_runs.mean_mm / seen.yarn_per_round_mm : 0;
    switch (look) {
        case Look::none:
            return {};
        case Look::one_colour:
            return "Reads as one colour";
        case Look::stripes:
            return with_rest(stripes_in_words(shares, rounds, rounds_per_run), shares, rounds, seen.pattern);
        case Look::stepped_stripes:
            return stepped_in_words(rounds_per_run, rounds.worked);
        case Look::fade:
            return with_rest("A fade: the colour changes slowly from one end to the other", shares, rounds,
                             seen.pattern);
        case Look::pools: {
            std::string words = pools_in_words(shares, rounds, seen.pattern);
            words.front() = 'P';
            return words;
        }
        case Look::diamonds:
            return "Crossing diagonals, like diamonds";
        case Look::dashes:
            return dashes_in_words(rounds);
        case Look::speckle:
            return "Speckle: flecks of a stitch or a few";
    }
    require(false, "a look has words");
    return {};
}

/// chosen: twice and four times what still reads as one colour, then 20.
std::string contrast_in_words(double colour_range) {
    const std::string range =
        " (colour range " + (colour_range < 10 ? low_number(colour_range) : whole(colour_range)) + ")";
    if (colour_range < kOneColourRange) return "Hardly any contrast" + range;
    if (colour_range < 2 * kOneColourRange) return "Faint contrast" + range;
    if (colour_range < 4 * kOneColourRange) return "Soft contrast" + range;
    return (colour_range < 20 ? "Clear contrast" : "Strong contrast") + range;
}

}  // namespace

Verdict verdict(const Shares& shares, const PlainRounds& rounds, const ColourRun& run, double yarn_per_round_mm) {
    require(yarn_per_round_mm > 0, "a round takes some yarn");
    Seen seen;
    seen.yarn_per_round_mm = yarn_per_round_mm;
    if (shares.why_none.empty() && rounds.stitches > 0 && !run.empty()) {
        if (shares.stripe >= kSomeStripes)  // with less no look asks for them
            seen.long_runs = long_runs(run, kWindowStitches * yarn_per_round_mm / rounds.stitches, yarn_per_round_mm);
        seen.pattern = standing_pattern(rounds);
    }
    const Look look = look_of(shares, rounds, seen);
    if (look == Look::none) return {kind_of(look), false, shares.why_none};
    return {kind_of(look), std::abs(seen.pattern.lean) >= kUprightTo,
            pattern_in_words(look, shares, rounds, seen) + ". " + contrast_in_words(shares.colour_range) + "."};
}

}  // namespace loopread
