#pragma once

#include <string>

#include "cli/doubt_input.h"
#include "cli/summary.h"

namespace loopread::cli {

/// One plain sentence or three: whether the look told would be another if the guesses were, and what decides.
std::string look_sureness(const HowSure& sure);
/// Whether the asked-for round is clear, or is not, hardly hangs on the guesses.
/// @param risk_in_use  at the asked-for round
bool risk_holds(const HowSure& sure, double risk_in_use);
/// The same in words.
std::string risk_sureness(const HowSure& sure, double risk_in_use);
/// What is said where nothing was left to guess.
std::string nothing_to_guess();

/// @param sentence  as told elsewhere
Json how_sure_json(const HowSure& sure, const Doubts& doubts, const Knitting& knitting, const std::string& sentence);

/// "how far dye goes and how the strands wind": what of the figures was drawn, but for the yarn in a round.
std::string drawn_in_words(const Doubts& doubts);

}  // namespace loopread::cli
