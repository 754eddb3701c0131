#include "loopread/shares/shares.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "loopread/base/require.h"
#include "split.h"

namespace loopread {
namespace {

/// What rounds have to share to be compared.
struct Kind {
    int stitches = 0;
    Worked worked = Worked::in_the_round;
    bool operator==(const Kind&) const = default;
};

Kind kind_of(const Round& round) {
    return {round.stitches, round.worked};
}

bool counts(const FabricRound& round) {
    return round.complete() && counts_for_pooling(round.round);
}

/// The widest kind with enough rounds, or the widest of all; of two equally wide, the one knitted first.
std::optional<Kind> widest_kind(const Fabric& fabric) {
    std::optional<Kind> widest, widest_common;
    for (const FabricRound& candidate : fabric.rounds) {
        if (!counts(candidate)) continue;
        const Kind kind = kind_of(candidate.round);
        if (!widest || kind.stitches > widest->stitches) widest = kind;
        if (widest_common && kind.stitches <= widest_common->stitches) continue;
        const auto alike = std::count_if(fabric.rounds.begin(), fabric.rounds.end(), [&](const FabricRound& round) {
            return counts(round) && kind_of(round.round) == kind;
        });
        if (alike >= static_cast<std::ptrdiff_t>(kFewestRounds)) widest_common = kind;
    }
    return widest_common ? widest_common : widest;
}

void require_whole(const PlainRounds& rounds) {
    require(rounds.stitches >= 0, "a round has stitches");
    if (rounds.stitches == 0) {
        require(rounds.stitch.empty(), "stitches are in rounds");
        return;
    }
    const auto n = static_cast<std::size_t>(rounds.stitches);
    require(rounds.stitch.size() % n == 0, "rounds are whole");
    require(rounds.stitch.empty() || (!rounds.stretch_starts.empty() && rounds.stretch_starts.front() == 0),
            "the first stretch begins at the first stitch");
    for (std::size_t i = 0; i < rounds.stretch_starts.size(); ++i) {
        const std::size_t start = rounds.stretch_starts[i];
        require(start % n == 0, "a stretch begins with a round");
        require(start < rounds.stitch.size(), "a stretch has stitches");
        require(i == 0 || start > rounds.stretch_starts[i - 1], "stretches are in order");
    }
}

Lab mean_of(std::span<const Lab> stitches) {
    Lab mean;
    const double count = static_cast<double>(std::max<std::size_t>(1, stitches.size()));
    for (const Lab& stitch : stitches) {
        mean.l += stitch.l / count;
        mean.a += stitch.a / count;
        mean.b += stitch.b / count;
    }
    return mean;
}

double range_about(std::span<const Lab> stitches, Lab mean) {
    double squares = 0;
    for (const Lab& s : stitches)
        squares += (s.l - mean.l) * (s.l - mean.l) + (s.a - mean.a) * (s.a - mean.a) + (s.b - mean.b) * (s.b - mean.b);
    return std::sqrt(squares / static_cast<double>(std::max<std::size_t>(1, stitches.size())));
}

}  // namespace

PlainRounds plain_rounds(const Fabric& fabric) {
    const std::optional<Kind> kind = widest_kind(fabric);
    if (!kind) return {};
    PlainRounds rounds{.stitches = kind->stitches, .worked = kind->worked, .stitch = {}, .stretch_starts = {}};
    bool going_on = false;  // the round before belongs to the same stretch
    for (const FabricRound& round : fabric.rounds) {
        const bool begins_back = !going_on && kind->worked == Worked::back_and_forth && round.round.runs == Runs::back;
        if (!counts(round) || kind_of(round.round) != *kind || begins_back) {
            going_on = false;
            continue;
        }
        if (!going_on) rounds.stretch_starts.push_back(rounds.stitch.size());
        going_on = true;
        for (std::size_t i = round.first; i < round.end; ++i)
            rounds.stitch.push_back(lab_from_linear(fabric.stitches[i]));
    }
    return rounds;
}

Shares shares(const PlainRounds& rounds) {
    require_whole(rounds);
    const std::span<const Lab> all(rounds.stitch);
    const Lab mean = mean_of(all);
    if (std::string why = why_no_shares(rounds.stitches, rounds.rounds()); !why.empty()) {
        Shares none;
        const double range = range_about(all, mean);
        none.colour_range = range >= kConstantRange ? range : 0;
        none.why_none = std::move(why);
        return none;
    }
    std::vector<SummedStretch> stretches(rounds.stretch_starts.size());
    for (std::size_t i = 0; i < stretches.size(); ++i) {
        const std::size_t from = rounds.stretch_starts[i];
        const std::size_t end = i + 1 < stretches.size() ? rounds.stretch_starts[i + 1] : all.size();
        stretches[i].stitches.assign(all.subspan(from, end - from), mean);
        if (rounds.worked == Worked::in_the_round)
            stretches[i].lags.assign(stretches[i].stitches, std::span(&rounds.stitches, 1));
    }
    return shares_of(stretches, rounds.stitches, rounds.worked);
}

}  // namespace loopread
