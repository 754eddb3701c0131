#include "loopread/doubt/words.h"

#include <cmath>

#include "loopread/base/require.h"

namespace loopread {
namespace {

constexpr double kSure = 0.95, kFairlySure = 0.8;  // of the draws; chosen

std::string what_decides(const std::vector<Mover>& movers, const FindingOut& finding_out) {
    const auto mover = clear_mover(movers);
    if (!mover) return " No single figure decides.";
    const std::string words = finding_out(*mover);
    return words.empty() ? "" : " Most depends on " + words + ".";
}

std::string kind_in_words(const std::string& kind) {
    if (kind == "fade") return "a fade";
    if (kind == "dashes") return "short dashes";
    if (kind == "none") return "too little yarn to tell";
    return kind;
}

/// "in 68 of 100 trials with other guesses at what was not measured"
std::string in_trials(int draws, int all) {
    return (draws == all ? "in all " + std::to_string(all)
                         : "in " + std::to_string(draws) + " of " + std::to_string(all)) +
           " trials with other guesses at what was not measured";
}

/// How sure so many of all draws make one.
std::string opening(int draws, int all) {
    const double part = static_cast<double>(draws) / all;
    return part >= kSure ? "sure. " : part >= kFairlySure ? "fairly sure. " : "not sure. ";
}

/// Draws with which the asked-for round is clear, if it is with the figures in use; not clear, if it is not.
int draws_that_agree(const HowSure& sure, double risk_in_use) {
    require(sure.risk.has_value(), "the risk was asked for");
    return risk_in_use <= kClearRisk ? sure.risk->clear : sure.draws - sure.risk->clear;
}

std::string hundred(double risk) {
    return std::to_string(std::lround(100 * risk));
}

}  // namespace

std::string look_sureness(const HowSure& sure, const FindingOut& finding_out) {
    std::string words = "The look: " + opening(sure.kinds.front().draws, sure.draws);
    for (std::size_t i = 0; i < sure.kinds.size(); ++i) {
        const KindCount& kind = sure.kinds[i];
        if (i == 0)
            words += "It is " + kind_in_words(kind.kind) + " " + in_trials(kind.draws, sure.draws);
        else
            words += ", " + kind_in_words(kind.kind) + " in " + std::to_string(kind.draws);
    }
    words += ".";
    if (sure.kind_in_use != sure.kinds.front().kind)
        words += " With the figures used here it is " + kind_in_words(sure.kind_in_use) + ".";
    if (sure.kinds.front().draws < kSure * sure.draws) words += what_decides(sure.verdict_moved_by, finding_out);
    return words;
}

bool risk_holds(const HowSure& sure, double risk_in_use) {
    return draws_that_agree(sure, risk_in_use) >= kSure * sure.draws;
}

std::string risk_sureness(const HowSure& sure, double risk_in_use, const FindingOut& finding_out) {
    const bool clear = risk_in_use <= kClearRisk;
    const int agree = draws_that_agree(sure, risk_in_use);
    const std::string low = hundred(sure.risk->asked.p5), high = hundred(sure.risk->asked.p95);
    const std::string seen = high == "0" ? "none" : low == high ? low : low + " to " + high;
    // A look of weak pools beside a clear round would read as if one of them were wrong.
    std::string words =
        (clear && sure.kind_in_use == "pools" ? "Marked pools: " : "Pools: ") + opening(agree, sure.draws) +
        (clear ? "Your round stays clear of them " : "Your round is at risk of them ") + in_trials(agree, sure.draws) +
        "; in nine trials of ten, " + seen + " of 100 knitters would see them.";
    if (!risk_holds(sure, risk_in_use)) words += what_decides(sure.risk_moved_by, finding_out);
    return words;
}

std::string nothing_to_guess() {
    return "Nothing had to be guessed: the yarn, and how much of it a round takes, were given.";
}

std::string drawn_in_words(const Ranges& ranges, bool winds) {
    const bool dye = ranges[Unmeasured::wrap].drawn() || ranges[Unmeasured::penetration].drawn();
    if (dye && winds) return "how far the dye went and how the strands lie were";
    return dye ? "how far the dye went was" : winds ? "how the strands lie was" : "";
}

}  // namespace loopread
