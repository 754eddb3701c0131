#include "loopread/shares/words.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <vector>

#include "features.h"
#include "loopread/base/require.h"

namespace loopread {
namespace {

// All chosen, none has a source.
constexpr double kPoolsFrom = 0.15;           // pool or wiggle from which columns are seen
constexpr double kStripesFrom = 0.5;          // stripe from which rounds are what one sees first
constexpr double kSomeStripes = 0.35;         // stripe from which they are seen among other things
constexpr double kCleanStripes = 0.8;         // stripe from which a colour's change within a round is not noticed
constexpr std::size_t kBroadStripesFrom = 3;  // sharp borders from which broad stripes are no fade
constexpr double kLongRunsFrom = 0.5;         // of the yarn
constexpr std::size_t kFewestLongRuns = 3;    // fewer are no stripes
constexpr double kDashesFrom = 0.25;          // of dash + speckle: runs of five or six stitches on
constexpr double kNamedInMix = 0.2;
constexpr double kWindowStitches = 2;  // a loop of the blank is longer than a knitted stitch

enum class Look { none, one_colour, stripes, stepped_stripes, fade, pools, dashes, speckle, mixed };

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
            return "pools";
        case Look::dashes:
            return "dashes";
        case Look::speckle:
            return "speckle";
        case Look::mixed:
            return "mixed";
    }
    require(false, "a look has a name");
    return {};
}

bool has_pools(const Shares& shares) {
    return std::max(shares.pool, shares.wiggle) >= kPoolsFrom;
}

bool fades(const Shares& shares) {
    return shares.fade > shares.stripe / 2;
}

Look look_of(const Shares& shares, const PlainRounds& rounds, const LongRuns& long_runs) {
    if (!shares.why_none.empty()) return Look::none;
    if (shares.colour_range < kOneColourRange) return Look::one_colour;
    const bool steps = long_runs.share > kLongRunsFrom && long_runs.count >= kFewestLongRuns;
    if (shares.stripe >= kStripesFrom) {
        if (fades(shares) && sharp_borders(rounds, shares.colour_range) < kBroadStripesFrom) return Look::fade;
        return steps && shares.stripe < kCleanStripes ? Look::stepped_stripes : Look::stripes;
    }
    if (steps) return Look::stepped_stripes;
    if (has_pools(shares)) return Look::pools;
    if (shares.stripe >= kSomeStripes) return Look::mixed;
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

std::string leaning(const Shares& shares, Worked worked) {
    if (shares.wiggle > shares.pool) return "in columns that wander";
    if (shares.lean == 0) return "stacked upright";
    std::string way = shares.lean > 0 ? "leaning left" : "leaning right";
    if (std::abs(shares.lean) == 1) return way;
    return way + " by " + std::to_string(std::abs(shares.lean)) + " stitches a " +
           (worked == Worked::in_the_round ? "round" : "row");
}

std::string pools_in_words(const Shares& shares, const PlainRounds& rounds) {
    const auto width = pool_width(rounds, shares.wiggle > shares.pool ? 0 : shares.lean);
    return "pools " + (width ? of_stitches(*width) + " wide, " : std::string()) + leaning(shares, rounds.worked);
}

std::string with_pools(const std::string& words, const Shares& shares, const PlainRounds& rounds) {
    return has_pools(shares) ? words + ", with " + pools_in_words(shares, rounds) : words;
}

std::string stripes_in_words(const Shares& shares, const PlainRounds& rounds) {
    if (fades(shares)) {  // broad ones: borders tell them apart, where the smaller stripes would pass for slivers
        const double height =
            static_cast<double>(rounds.rounds()) / static_cast<double>(sharp_borders(rounds, shares.colour_range) + 1);
        return "Broad stripes of " + of_rounds(height, rounds.worked);
    }
    const auto height = stripe_height(rounds, shares.colour_range);
    return height ? "Stripes of " + of_rounds(*height, rounds.worked) : "Stripes";
}

std::string dashes_in_words(const PlainRounds& rounds) {
    const auto length = dash_length(rounds);
    return "Short dashes" + (length ? " " + of_stitches(*length) + " long" : std::string()) + " that do not stack";
}

std::string percent(double share) {
    return whole(100 * share) + " %";
}

std::string mix_in_words(const Shares& shares) {
    std::vector<std::string> parts;
    if (shares.stripe >= kNamedInMix)
        parts.push_back(percent(shares.stripe) + (fades(shares) ? " of it fade" : " of it stripe"));
    if (shares.dash >= kNamedInMix) parts.push_back(percent(shares.dash) + " short dashes");
    if (shares.speckle >= kNamedInMix) parts.push_back(percent(shares.speckle) + " speckle");
    std::string words = "A mix in which nothing leads";
    for (std::size_t i = 0; i < parts.size(); ++i) words += (i == 0 ? ": " : ", ") + parts[i];
    return words;
}

std::string pattern_in_words(Look look, const Shares& shares, const PlainRounds& rounds, double rounds_per_run) {
    switch (look) {
        case Look::none:
            return {};
        case Look::one_colour:
            return "Reads as one colour";
        case Look::stripes:
            return with_pools(stripes_in_words(shares, rounds), shares, rounds);
        case Look::stepped_stripes:
            return with_pools("Stepped stripes: a colour lasts " + of_rounds(rounds_per_run, rounds.worked) +
                                  " and changes partway along",
                              shares, rounds);
        case Look::fade:
            return with_pools("A fade: the colour changes slowly from one end to the other", shares, rounds);
        case Look::pools: {
            std::string words = pools_in_words(shares, rounds);
            words.front() = 'P';
            return words;
        }
        case Look::dashes:
            return dashes_in_words(rounds);
        case Look::speckle:
            return "Speckle: flecks of a stitch or a few";
        case Look::mixed:
            return mix_in_words(shares);
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
    LongRuns long_ones;
    if (shares.why_none.empty() && rounds.stitches > 0 && !run.empty())
        long_ones = long_runs(run, kWindowStitches * yarn_per_round_mm / rounds.stitches, yarn_per_round_mm);
    const Look look = look_of(shares, rounds, long_ones);
    if (look == Look::none) return {kind_of(look), shares.why_none};
    return {kind_of(look), pattern_in_words(look, shares, rounds, long_ones.mean_mm / yarn_per_round_mm) + ". " +
                               contrast_in_words(shares.colour_range) + "."};
}

}  // namespace loopread
