#include "loopread/lay/ways.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/require.h"
#include "loopread/shares/advice.h"

namespace loopread {
namespace {

double aimed_share(const JudgedWay& way, Aim aim) {
    switch (aim) {
        case Aim::stripe:
            return way.shares.stripe;
        case Aim::dash:
            return way.shares.dash;
        case Aim::speckle:
            return way.shares.speckle;
        case Aim::no_pool:
            return 1 - way.shares.pool;
    }
    require(false, "an aim has a share");
    return 0;
}

/// Risks that so many knitters cannot tell apart: twice the binomial standard error of their mean.
bool same_risk(double a, double b, int knitters) {
    const double mean = (a + b) / 2;
    return std::abs(a - b) <= 2 * std::sqrt(mean * (1 - mean) / knitters) + 1e-12;
}

bool same_share(const JudgedWay& a, const JudgedWay& b, Aim aim) {
    return std::abs(aimed_share(a, aim) - aimed_share(b, aim)) <= kTiedShares;
}

int steps_from_drawn(const Way& way) {
    const int turns = static_cast<int>(way.rotate);
    return (way.painted == Painted::back ? 16 : 0) + (way.mirror == Mirror::left_right ? 4 : 0) + turns;
}

std::string percent(double share) {
    return std::to_string(std::lround(100 * share)) + " %";
}

std::string risk_in_words(double risk) {
    const auto of_hundred = std::lround(100 * risk);
    if (of_hundred == 0) return "pools for no one in 100 knitters";
    if (of_hundred == 100) return "pools for every one of 100 knitters";
    return "pools for " + knitters_of_hundred(risk);
}

std::string aim_in_words(Aim aim) {
    switch (aim) {
        case Aim::stripe:
            return "for stripes";
        case Aim::dash:
            return "for short dashes";
        case Aim::speckle:
            return "for speckle";
        case Aim::no_pool:
            return "against pools";
    }
    require(false, "an aim has a name");
    return {};
}

std::string look_in_words(const JudgedWay& way) {
    std::string words;
    const auto add = [&](double share, const std::string& name) {
        if (share >= 0.1) words += (words.empty() ? "" : ", ") + percent(share) + " " + name;
    };
    add(way.shares.stripe, "stripe");
    add(way.shares.pool, "pool");
    add(way.shares.dash, "short dashes");
    add(way.shares.speckle, "speckle");
    return words.empty() ? "one colour" : words;
}

std::string upper_first(std::string words) {
    if (!words.empty() && words.front() >= 'a' && words.front() <= 'z')
        words.front() = static_cast<char>(words.front() - 'a' + 'A');
    return words;
}

}  // namespace

std::vector<Way> all_ways() {
    std::vector<Way> ways;
    for (const Painted painted : {Painted::face, Painted::back})
        for (const Mirror mirror : {Mirror::no, Mirror::left_right})
            for (const QuarterTurn turn :
                 {QuarterTurn::none, QuarterTurn::clockwise_90, QuarterTurn::clockwise_180, QuarterTurn::clockwise_270})
                ways.push_back({turn, mirror, painted});
    return ways;
}

std::string way_in_words(const Way& way) {
    static constexpr const char* kTurns[] = {"as drawn", "turned a quarter clockwise", "turned upside down",
                                             "turned a quarter anticlockwise"};
    const bool mirrored = way.mirror == Mirror::left_right;
    std::string words = kTurns[static_cast<int>(way.rotate)];
    if (mirrored) words = way.rotate == QuarterTurn::none ? "mirrored" : words + ", mirrored";
    return words + (way.painted == Painted::face ? ", on the knit side" : ", on the purl side");
}

JudgedWay judged(const Way& way, const std::vector<SweepPoint>& strands) {
    require(!strands.empty(), "a way has strands");
    JudgedWay out{.way = way};
    const double part = 1 / static_cast<double>(strands.size());
    Shares& mean = out.shares;
    mean.lean = strands.front().shares.lean;
    mean.why_none = strands.front().shares.why_none;
    for (const SweepPoint& point : strands) {
        mean.stripe += part * point.shares.stripe;
        mean.pool += part * point.shares.pool;
        mean.dash += part * point.shares.dash;
        mean.speckle += part * point.shares.speckle;
        mean.colour_range += part * point.shares.colour_range;
        mean.fade += part * point.shares.fade;
        mean.wiggle += part * point.shares.wiggle;
        mean.pooled_contrast += part * point.shares.pooled_contrast;
        out.pool_risk = std::max(out.pool_risk, point.pool_risk);
    }
    return out;
}

std::vector<JudgedWay> ranked(std::vector<JudgedWay> ways, Aim aim, int knitters) {
    require(knitters > 0, "risks were found with knitters");
    // Risks that cannot be told apart first, from the least on; a group is told from its best way, so that it cannot
    // creep from one end of the list to the other.
    std::vector<int> group(ways.size(), 0);
    if (aim == Aim::no_pool) {
        std::stable_sort(ways.begin(), ways.end(),
                         [](const JudgedWay& a, const JudgedWay& b) { return a.pool_risk < b.pool_risk; });
        for (std::size_t i = 1, first = 0; i < ways.size(); ++i) {
            const bool new_group = !same_risk(ways[first].pool_risk, ways[i].pool_risk, knitters);
            group[i] = group[i - 1] + (new_group ? 1 : 0);
            if (new_group) first = i;
        }
    }
    for (std::size_t i = 0; i < ways.size(); ++i) ways[i].tie = group[i];
    std::stable_sort(ways.begin(), ways.end(), [&](const JudgedWay& a, const JudgedWay& b) {
        return a.tie != b.tie ? a.tie < b.tie : aimed_share(a, aim) > aimed_share(b, aim);
    });
    // Then, within such a group, shares.
    int tie = 0;
    for (std::size_t i = 0, first = 0; i < ways.size(); ++i) {
        const int own_group = ways[i].tie;
        const bool goes_on = i > 0 && own_group == group[first] && same_share(ways[first], ways[i], aim);
        group[i] = own_group;
        if (!goes_on) {
            first = i;
            ++tie;
        }
        ways[i].tie = tie;
    }
    std::stable_sort(ways.begin(), ways.end(), [](const JudgedWay& a, const JudgedWay& b) {
        return a.tie != b.tie ? a.tie < b.tie : steps_from_drawn(a.way) < steps_from_drawn(b.way);
    });
    for (std::size_t i = 0; i < ways.size(); ++i) ways[i].rank = static_cast<int>(i) + 1;
    return ways;
}

std::string why_in_words(const std::vector<JudgedWay>& ways, const Way& as_drawn, Aim aim, int knitters) {
    require(!ways.empty(), "there are ways");
    const JudgedWay& best = ways.front();
    const JudgedWay& worst = ways.back();
    if (!best.shares.why_none.empty()) return "Nothing can be told of the ways: " + best.shares.why_none;
    if (best.shares.colour_range < kOneColourRange) return "It knits as one colour, whichever way it is laid.";
    if (best.tie == worst.tie)
        return "However it is laid, it does equally well " + aim_in_words(aim) + " (" + look_in_words(best) +
               "; what differs is chance): choose by which end should be at the cuff.";
    const auto own = std::find_if(ways.begin(), ways.end(), [&](const JudgedWay& w) { return w.way == as_drawn; });
    const auto judged_in_words = [&](const JudgedWay& way) {
        return risk_in_words(way.pool_risk) + "; " + look_in_words(way);
    };
    if (own != ways.end() && own->tie == best.tie) {
        std::string words =
            "Lay it as you have it: nothing does better " + aim_in_words(aim) + " (it " + judged_in_words(*own) + ").";
        if (aim == Aim::no_pool && same_risk(worst.pool_risk, own->pool_risk, knitters)) return words;
        return words + " Worst would be " + way_in_words(worst.way) + " (" + judged_in_words(worst) + ").";
    }
    std::string words = upper_first(way_in_words(best.way)) + " is best " + aim_in_words(aim) + ": it " +
                        risk_in_words(best.pool_risk) + " (" + look_in_words(best) + ")";
    if (own != ways.end())
        words += "; as you have it, it " + risk_in_words(own->pool_risk) + " (" + look_in_words(*own) + ")";
    return words + ".";
}

}  // namespace loopread
