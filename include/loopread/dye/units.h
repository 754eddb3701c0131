#pragma once

#include <string>
#include <string_view>

#include "loopread/base/quantity.h"

namespace loopread {

using Millilitres = Quantity<struct MillilitreUnit>;
using DepthOfShade = Quantity<struct DepthOfShadeUnit>;    ///< grams of dry dye on 100 g of dry fibre: "% of fibre"
using StockStrength = Quantity<struct StockStrengthUnit>;  ///< grams of dry dye made up to 100 ml: "% stock"
using Celsius = Quantity<struct CelsiusUnit>;

// [NIST HB 44], appendix C (from memory): all exact.
inline constexpr double kGramsPerOunce = 28.349523125;
inline constexpr double kGramsPerPound = 453.59237;
inline constexpr double kMillilitresPerTeaspoon = 4.92892159375;  ///< US
inline constexpr double kMillilitresPerTablespoon = 14.78676478125;
inline constexpr double kMillilitresPerCup = 236.5882365;

/// How amounts are told. US units stand beside the metric ones, never alone: a spoon is too coarse to dye again by.
enum class Units { metric, us };

/// A weight over zero with its unit: 100g, 1.5kg, 50mg, 4oz, 1lb.
/// @param what  the option it came from, for the message
/// @throws Error(usage) for a bare number, nonsense, under 0.1 mg or over 100 kg, and for a spoon or cup with the
///         reason: powder packs, so a spoonful is no weight
Grams parsed_weight(std::string_view text, std::string_view what);

/// A volume of liquid from zero up with its unit: 5ml, 1.2l, 2tsp, 1tbsp, 0.5cup (the last three are US measures).
/// @throws Error(usage) as parsed_weight
Millilitres parsed_volume(std::string_view text, std::string_view what);

/// A number with a per cent sign, from 0 to 1000: 0.4%. @throws Error(usage)
double parsed_percent(std::string_view text, std::string_view what);

/// As a person measures it: "2.5 g", "454 g (1 lb)", in US units for fibre, which is weighed in ounces.
std::string fibre_text(Grams weight, Units units);
/// Of dry powder: grams always, and never a spoon.
std::string powder_text(Grams weight);
/// "59 ml", or "59 ml (1/4 US cup)"; the spoons to the nearest eighth of a US teaspoon.
std::string volume_text(Millilitres volume, Units units);
/// "85 C", or "85 C (185 F)", with degree signs.
std::string temperature_text(Celsius temperature, Units units);
/// The same as a band: "85-93 C (185-199 F)".
std::string temperature_text(Celsius least, Celsius most, Units units);
/// Nearest US spoons and cups in words: "1/4 US cup + 2 US tbsp + 1/2 US tsp"; "under 1/8 US tsp" where nothing fits.
std::string us_spoons(Millilitres volume);

}  // namespace loopread
