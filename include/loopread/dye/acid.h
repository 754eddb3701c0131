#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "loopread/dye/units.h"

namespace loopread {

enum class AcidKind { vinegar, citric };

/// Acid as it is at hand: vinegar of 4-6 %, citric acid as dry crystals (no strength) or dissolved.
struct AcidAtHand {
    AcidKind kind = AcidKind::vinegar;
    std::optional<double> strength_pct;  ///< grams in 100 ml
};

/// Vinegar where the bottle's strength is not said: usual in shops (common practice, no source).
inline constexpr double kUsualVinegar = 5;
/// Least and most that vinegar is: at least 4 g of acetic acid in 100 ml [FDA CPG 525.825]; stronger than 6 % it is not
/// for the table any more (chosen).
inline constexpr double kWeakestVinegar = 4, kStrongestVinegar = 6;
/// Stronger solutions of citric acid are refused (chosen: easily splashed, and no use).
inline constexpr double kStrongestCitric = 25;

/// @throws Error(usage) for acid that is none of these: concentrated acetic acid burns
void check_acid(const AcidAtHand& acid);

/// How much acid for so much fibre.
struct AcidAmount {
    AcidAtHand acid;
    double least_owf_pct = 0, usual_owf_pct = 0, most_owf_pct = 0;  ///< pure acid on the weight of fibre
    Grams least, usual, most;                                       ///< pure acid
    std::optional<Millilitres> least_ml, usual_ml, most_ml;         ///< of the liquid; none for dry crystals
    std::string_view source;
};
/// Vinegar: the band of published craft amounts, a quarter to one US cup of 5 % vinegar to a pound of fibre, and in it
/// the textbook's 1 % of acetic acid. Citric: 1, 1.5 or 2 % with the depth of shade.
/// @param depth  of all dyes together; nothing if it is not known
AcidAmount acid_for(Grams fibre, const AcidAtHand& acid, std::optional<DepthOfShade> depth);

}  // namespace loopread
