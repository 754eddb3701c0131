#include "loopread/blank/measures.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/error.h"
#include "loopread/base/require.h"

namespace loopread {
namespace {

// Fully relaxed plain fabric [Munden 1959].
constexpr double kCoursesTimesLoop = 5.5;
constexpr double kWalesTimesLoop = 4.2;
constexpr double kLoopsTimesLoopSquared = 23.1;
constexpr double kDefaultLoop = 21.0;  // mm; common practice, no source
constexpr double kDefaultWidth = 240.0;
constexpr double kDefaultLength = 860.0;
constexpr double kMissesBy = 0.10;  // chosen: a blank stretched on a table is already 5 to 15 % off

double columns_of(const CountPair& blank, Construction construction) {
    return construction == Construction::flat ? blank.first : (blank.first + 1) / 2;
}

double munden_loop(double wale_spacing, double course_spacing) {
    return std::sqrt(kLoopsTimesLoopSquared * wale_spacing * course_spacing);
}

/// Width over length when no measure says it: the picture's, else that of the usual blank.
double proportion(const GivenMeasures& given) {
    return given.picture_width_per_length.value_or(kDefaultWidth / kDefaultLength);
}

double settled_loop(const GivenMeasures& given) {
    if (given.loop) return given.loop->value;
    if (given.strand_length && given.blank)
        return given.strand_length->value / (static_cast<double>(given.blank->first) * given.blank->second);
    if (given.blank && given.size)
        return munden_loop(given.size->first.value / columns_of(*given.blank, given.construction),
                           given.size->second.value / given.blank->second);
    if (given.size && given.strand_length) {
        const double layers = given.construction == Construction::flat ? 1 : 2;
        return layers * given.size->first.value * given.size->second.value * kLoopsTimesLoopSquared /
               given.strand_length->value;
    }
    return kDefaultLoop;
}

/// Stitches x rows from the size of a stitch, where they were not counted.
CountPair settled_counts(const GivenMeasures& given, double loop) {
    if (given.blank) return *given.blank;
    const double wale = loop / kWalesTimesLoop;
    const double course = loop / kCoursesTimesLoop;
    const double layers = given.construction == Construction::flat ? 1 : 2;
    double width = kDefaultWidth;
    double length = kDefaultLength;
    if (given.size) {
        width = given.size->first.value;
        length = given.size->second.value;
    } else if (given.strand_length) {  // area = loops x w x c, in the proportions at hand
        const double area = given.strand_length->value / loop * wale * course / layers;
        width = std::sqrt(area * proportion(given));
        length = area / width;
    }
    const double columns = std::max(1.0, std::round(width / wale));
    const double rows = std::max(1.0, std::round(length / course));
    if (columns * layers > 100'000 || rows > 100'000)
        throw Error(ErrorKind::usage, "--size: gives more than 100,000 stitches or rows at a loop of " +
                                          number_text(loop, 2) + " mm; check the units of --size and --loop");
    return {static_cast<int>(columns * layers), static_cast<int>(rows)};
}

std::string sized(const BlankLayout& layout) {
    return number_text(layout.width().value / 10, 1) + " x " + number_text(layout.length().value / 10, 1) + " cm";
}

void note_assumed(const GivenMeasures& given, SettledMeasures& out) {
    const BlankLayout& layout = out.layout;
    const auto assume = [&](const std::string& what) { out.assumed.push_back(what + " (not measured)"); };
    if (!given.blank) assume(std::to_string(layout.stitches) + " stitches x " + std::to_string(layout.rows) + " rows");
    if (!given.size) assume("a blank of " + sized(layout));
    if (!given.strand_length) assume(number_text(layout.strand_length().value / 1000, 1) + " m of yarn in a strand");
    if (!given.loop) assume(number_text(layout.loop_length.value, 1) + " mm of yarn in a loop");
    if (!given.strands) assume(layout.strands == 2 ? "two strands held together" : "one strand");
}

/// One way to the loop length, and which options it rests on.
struct LoopEvidence {
    double loop;
    std::string from;
};

std::vector<LoopEvidence> loop_evidence(const GivenMeasures& given) {
    std::vector<LoopEvidence> evidence;
    if (given.loop) evidence.push_back({given.loop->value, "--loop"});
    if (given.strand_length && given.blank)
        evidence.push_back(
            {given.strand_length->value / (static_cast<double>(given.blank->first) * given.blank->second),
             "--strand-length with --blank"});
    if (given.blank && given.size)
        evidence.push_back({munden_loop(given.size->first.value / columns_of(*given.blank, given.construction),
                                        given.size->second.value / given.blank->second),
                            "--blank with --size"});
    if (given.size && given.strand_length && !given.blank) {
        const double layers = given.construction == Construction::flat ? 1 : 2;
        evidence.push_back({layers * given.size->first.value * given.size->second.value * kLoopsTimesLoopSquared /
                                given.strand_length->value,
                            "--size with --strand-length"});
    }
    return evidence;
}

bool agree(const LoopEvidence& a, const LoopEvidence& b) {
    return std::abs(a.loop - b.loop) <= kMissesBy * std::min(a.loop, b.loop);
}

/// The piece of evidence that both others contradict while they agree, or none.
const LoopEvidence* odd_one_out(const std::vector<LoopEvidence>& evidence) {
    if (evidence.size() != 3) return nullptr;
    for (std::size_t i = 0; i < 3; ++i) {
        const LoopEvidence& one = evidence[i];
        const LoopEvidence& second = evidence[(i + 1) % 3];
        const LoopEvidence& third = evidence[(i + 2) % 3];
        if (!agree(one, second) && !agree(one, third) && agree(second, third)) return &one;
    }
    return nullptr;
}

void cross_check(const GivenMeasures& given, SettledMeasures& out) {
    const std::vector<LoopEvidence> evidence = loop_evidence(given);
    const auto all_agree = [&] {
        for (const LoopEvidence& a : evidence)
            for (const LoopEvidence& b : evidence)
                if (!agree(a, b)) return false;
        return true;
    };
    if (all_agree()) return;
    std::string text = "the figures do not agree: ";
    for (std::size_t i = 0; i < evidence.size(); ++i)
        text += (i ? ", " : "") + evidence[i].from + " gives a loop of " + number_text(evidence[i].loop, 1) + " mm";
    const LoopEvidence* odd = odd_one_out(evidence);
    text += odd ? "; measure " + odd->from + " again" : "; measure them again, " + evidence.back().from + " first";
    out.warnings.push_back(text + " (used: " + number_text(out.layout.loop_length.value, 1) + " mm)");
}

void refuse_length(std::optional<Millimetres> length, const std::string& option) {
    if (length && !(std::isfinite(length->value) && length->value > 0))
        throw Error(ErrorKind::usage, option + ": is not a length over 0; measure it again");
}

void refuse_impossible(const GivenMeasures& given) {
    const int strands = given.strands.value_or(2);
    if (strands != 1 && strands != 2)
        throw Error(ErrorKind::usage,
                    "--strands: " + std::to_string(strands) + " cannot be; a blank holds 1 or 2 strands");
    if (given.blank && (given.blank->first < 1 || given.blank->second < 1))
        throw Error(ErrorKind::usage, "--blank: " + std::to_string(given.blank->first) + " x " +
                                          std::to_string(given.blank->second) +
                                          " is no blank; count stitches across and rows, one or more of each");
    if (given.size) {
        refuse_length(given.size->first, "--size");
        refuse_length(given.size->second, "--size");
    }
    refuse_length(given.strand_length, "--strand-length");
    refuse_length(given.loop, "--loop");
}

}  // namespace

SettledMeasures settled(const GivenMeasures& given) {
    refuse_impossible(given);
    SettledMeasures out;
    BlankLayout& layout = out.layout;
    layout.construction = given.construction;
    layout.strands = given.strands.value_or(2);
    const bool nothing_given = !given.blank && !given.size && !given.strand_length && !given.loop;
    if (nothing_given && given.construction == Construction::flat) {
        note_assumed(given, out);
        return out;
    }
    const double loop = settled_loop(given);
    const CountPair counts = settled_counts(given, loop);
    layout.stitches = counts.first;
    layout.rows = counts.second;
    layout.loop_length = {loop};
    layout.wale_spacing =
        given.size ? given.size->first / columns_of(counts, given.construction) : Millimetres{loop / kWalesTimesLoop};
    layout.course_spacing = given.size ? given.size->second / counts.second : Millimetres{loop / kCoursesTimesLoop};
    if (static_cast<long long>(layout.stitches) * layout.rows > 250'000)
        throw Error(ErrorKind::usage, "--blank: " + std::to_string(layout.stitches) + " x " +
                                          std::to_string(layout.rows) +
                                          " is over 250,000 stitches; a blank has about 10,000: check the numbers");
    note_assumed(given, out);
    cross_check(given, out);
    return out;
}

bool size_looks_turned(const LengthPair& size, double picture_width_per_length) {
    require(picture_width_per_length > 0, "a picture has a shape");
    const double as_typed = size.first / size.second / picture_width_per_length;
    const double turned = size.second / size.first / picture_width_per_length;
    const auto misses = [](double ratio, double by) { return ratio > 1 + by || ratio < 1 / (1 + by); };
    return misses(as_typed, 0.40) && !misses(turned, 0.15);
}

}  // namespace loopread
