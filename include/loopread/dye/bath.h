#pragma once

#include <string_view>
#include <vector>

#include "loopread/dye/paste.h"
#include "loopread/dye/units.h"

namespace loopread {

inline constexpr std::string_view kCommonPractice = "common practice, no source";

/// A band with where it comes from.
struct PublishedBand {
    double least = 0, most = 0;
    std::string_view source;
};

/// Litres of bath to a kilogram of fibre, as published for hand and works.
std::vector<PublishedBand> liquor_ratios();
inline constexpr double kUsualRatio = 30;  ///< the textbook's least, the middle of what is published
/// What makes sense for a vessel at all. chosen
inline constexpr double kLeastRatio = 5, kMostRatio = 200;

/// ml of bath. @throws contract unless ratio > 0
Millilitres bath_for(Grams fibre, double ratio);

/// The widest that is published.
PublishedBand published_ratios();

/// What to do, one after another, with temperatures and times.
struct DyeStep {
    std::string_view heading;
    std::string words;
    std::string_view source;
};

/// What the steps depend on.
struct Process {
    enum class Bath { none, dipped } bath = Bath::dipped;
    enum class Paint { none, painted } paint = Paint::none;
    DyeClass dye_class = DyeClass::acid;
    std::string acid_words;  ///< "20 ml of vinegar"; empty: none is given
    Millilitres bath_volume;
    Units units = Units::metric;
};
std::vector<DyeStep> dye_steps(const Process& process);

/// What differs for dyes that are not acid dyes, and why no acid, heat or time is given for them.
std::vector<std::string> class_differences(DyeClass dye_class);

}  // namespace loopread
