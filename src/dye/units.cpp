#include "loopread/dye/units.h"

#include <array>
#include <cmath>
#include <optional>
#include <span>

#include "loopread/base/error.h"
#include "loopread/base/text.h"

namespace loopread {
namespace {

struct Unit {
    std::string_view name;
    double size;
};
// Longer names first where one ends as another does.
constexpr std::array<Unit, 5> kWeights{
    {{"mg", 0.001}, {"kg", 1000}, {"oz", kGramsPerOunce}, {"lb", kGramsPerPound}, {"g", 1}}};
constexpr std::array<Unit, 5> kVolumes{{{"ml", 1},
                                        {"tbsp", kMillilitresPerTablespoon},
                                        {"tsp", kMillilitresPerTeaspoon},
                                        {"cup", kMillilitresPerCup},
                                        {"l", 1000}}};
constexpr double kMostGrams = 100'000;
constexpr double kLeastGrams = 0.0001;  // the last digit of a laboratory's scale. chosen
constexpr double kMostPercent = 1000;   // of any figure told so. chosen
constexpr double kMostMillilitres = 1'000'000;

[[noreturn]] void bad(std::string_view what, std::string_view text, std::string_view fault) {
    throw Error(ErrorKind::usage, std::string(what) + ": '" + std::string(text) + "' " + std::string(fault));
}

std::optional<double> in_unit(std::string_view text, std::span<const Unit> units) {
    for (const Unit& unit : units)
        if (text.ends_with(unit.name)) {
            const auto number = parsed_number(text.substr(0, text.size() - unit.name.size()));
            return number ? std::optional(*number * unit.size) : std::nullopt;
        }
    return std::nullopt;
}

bool names_a_spoon(std::string_view text) {
    for (const std::string_view spoon : {"tsp", "tbsp", "cup", "cups", "spoon", "spoons"})
        if (text.ends_with(spoon)) return true;
    return false;
}

int decimals_for(double value) {
    return value < 10 ? 2 : value < 100 ? 1 : 0;
}

/// Eighths as a spoon set has them: "1/2", "1 3/4", "3".
std::string eighths_text(long long eighths) {
    const long long whole = eighths / 8;
    long long over = eighths % 8, under = 8;
    while (over != 0 && over % 2 == 0) {
        over /= 2;
        under /= 2;
    }
    std::string text = whole > 0 ? std::to_string(whole) : "";
    if (over > 0) text += (whole > 0 ? " " : "") + std::to_string(over) + "/" + std::to_string(under);
    return text;
}

double fahrenheit(Celsius celsius) {
    return celsius.value * 9 / 5 + 32;
}

}  // namespace

Grams parsed_weight(std::string_view given, std::string_view what) {
    const std::string text = trimmed(given);
    if (parsed_number(text)) bad(what, text, "has no unit; write " + text + "g, " + text + "oz or " + text + "lb");
    if (names_a_spoon(text))
        bad(what, text, "is a measure of liquids: powder packs, so a spoonful is no weight; weigh it and write grams");
    const auto grams = in_unit(text, kWeights);
    if (!grams) bad(what, text, "is not a weight; write a number and a unit, like 100g, 4oz or 1lb");
    if (!(*grams > 0)) bad(what, text, "must be more than 0");
    if (*grams < kLeastGrams) bad(what, text, "is less than a scale can weigh; check the unit");
    if (*grams > kMostGrams) bad(what, text, "is over 100 kg; check the unit");
    return {*grams};
}

Millilitres parsed_volume(std::string_view given, std::string_view what) {
    const std::string text = trimmed(given);
    if (parsed_number(text)) bad(what, text, "has no unit; write " + text + "ml, " + text + "tsp or " + text + "cup");
    const auto ml = in_unit(text, kVolumes);
    if (!ml) bad(what, text, "is not a volume; write a number and a unit, like 5ml, 1.2l, 2tsp, 1tbsp or 0.5cup");
    if (!(*ml >= 0)) bad(what, text, "must not be less than 0");
    if (*ml > kMostMillilitres) bad(what, text, "is over 1000 l; check the unit");
    return {*ml};
}

double parsed_percent(std::string_view given, std::string_view what) {
    const std::string text = trimmed(given);
    if (parsed_number(text)) bad(what, text, "has no unit; write " + text + "%");
    const auto number =
        text.ends_with('%') ? parsed_number(std::string_view(text).substr(0, text.size() - 1)) : std::nullopt;
    if (!number) bad(what, text, "is not a percentage; write it like 0.4%");
    if (!(*number >= 0)) bad(what, text, "must not be less than 0");
    if (*number > kMostPercent) bad(what, text, "is over 1000 %; check the number");
    return *number;
}

std::string fibre_text(Grams weight, Units units) {
    std::string metric = number_text(weight.value, decimals_for(weight.value) == 0 ? 1 : 2) + " g";
    if (units == Units::metric) return metric;
    return metric + " (" + number_text(weight.value / kGramsPerOunce, 2) + " oz)";
}

std::string powder_text(Grams weight) {
    return number_text(weight.value, weight.value < 1 ? 3 : 2) + " g";
}

std::string volume_text(Millilitres volume, Units units) {
    const double ml = volume.value;
    std::string metric = ml < 1000 ? number_text(ml, decimals_for(ml)) + " ml" : number_text(ml / 1000, 2) + " l";
    if (units == Units::metric || !(ml > 0)) return metric;
    return metric + " (" + us_spoons(volume) + ")";
}

std::string temperature_text(Celsius temperature, Units units) {
    std::string metric = number_text(temperature.value, 0) + " \u00b0C";
    return units == Units::metric ? metric : metric + " (" + number_text(fahrenheit(temperature), 0) + " \u00b0F)";
}

std::string temperature_text(Celsius least, Celsius most, Units units) {
    std::string metric = number_text(least.value, 0) + "-" + number_text(most.value, 0) + " \u00b0C";
    if (units == Units::metric) return metric;
    return metric + " (" + number_text(fahrenheit(least), 0) + "-" + number_text(fahrenheit(most), 0) + " \u00b0F)";
}

std::string us_spoons(Millilitres volume) {
    constexpr long long kTablespoon = 24, kQuarterCup = 96;  // eighths of a teaspoon
    const double exact = volume.value / (kMillilitresPerTeaspoon / 8);
    // As fine as is worth measuring: nobody adds an eighth of a teaspoon to four cups.
    const double fineness = exact >= 16 * kQuarterCup ? kQuarterCup : exact >= kQuarterCup ? 8 : 1;
    long long left = std::llround(exact / fineness) * static_cast<long long>(fineness);
    if (left == 0) return "under 1/8 US tsp";
    std::string text;
    const auto add = [&](long long eighths, const std::string& unit) {
        if (eighths > 0) text += (text.empty() ? "" : " + ") + eighths_text(eighths) + unit;
    };
    const long long cups = left / kQuarterCup * 2;
    add(cups, cups > 8 ? " US cups" : " US cup");
    left %= kQuarterCup;
    add(left / kTablespoon * 8, " US tbsp");
    add(left % kTablespoon, " US tsp");
    return text;
}

}  // namespace loopread
