#pragma once

#include <functional>
#include <string>
#include <vector>

#include "loopread/doubt/how_sure.h"

namespace loopread {

/// What a figure is and how its reader can find it out: "the yarn in a round: measure it"; empty where she cannot, and
/// nothing is said of it.
using FindingOut = std::function<std::string(Unmeasured)>;

/// One plain sentence or three: whether the look told would be another if the guesses were, and what decides.
std::string look_sureness(const HowSure& sure, const FindingOut& finding_out);

/// Whether the asked-for round is clear, or is not, hardly hangs on the guesses.
/// @param sure         with the risk (require)
/// @param risk_in_use  at the asked-for round
bool risk_holds(const HowSure& sure, double risk_in_use);
/// The same in words.
std::string risk_sureness(const HowSure& sure, double risk_in_use, const FindingOut& finding_out);

/// What is said where nothing was left to guess.
std::string nothing_to_guess();

/// What of the figures is drawn, but for the yarn in a round: "how far the dye went and how the strands lie were";
/// empty where nothing is.
/// @param winds  two strands, which wind by chance
std::string drawn_in_words(const Ranges& ranges, bool winds);

}  // namespace loopread
