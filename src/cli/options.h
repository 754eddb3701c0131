#pragma once

#include <cstdint>
#include <filesystem>
#include <iosfwd>
#include <optional>
#include <string>
#include <vector>

#include "loopread/base/quantity.h"
#include "loopread/blank/lay.h"
#include "loopread/blank/measures.h"
#include "loopread/colour/names.h"
#include "loopread/shape/garments.h"
#include "loopread/shape/gauge.h"
#include "loopread/shares/knitters.h"
#include "loopread/shares/round_lengths.h"
#include "loopread/unravel/winding.h"

namespace CLI {
class App;
}

namespace loopread::cli {

/// What every command takes.
struct CommonOptions {
    std::filesystem::path output;
    bool json = false;
    std::uint64_t seed = 1;
    std::string config;  // read before the parse; here so that --help names it
};
/// @param output_is  what -o names; empty: the command writes nothing and takes none
void add_common(CLI::App& command, CommonOptions& options, const std::string& output_is);

/// The blank as typed; every field is text until read.
struct BlankOptions {
    std::string blank, size, strand_length, loop, construction = "flat";
    std::optional<int> strands;
    std::string ravel_edge = "top", tail = "left", fit, painted = "face";
    std::string rotate = "0";
    bool mirror = false;
    std::string counted;                     // stitches x rows in 10 cm of the blank
    std::string corners, white;              // of a photo
    std::string other_corners, other_white;  // of the other side's
    std::string base;                        // a file of a yarn base's wrap and penetration
    std::string other_side, ground = "undyed", undyed = "#f3ede0", creep, treat_as;
    std::optional<double> wrap, penetration;
    std::string turn = "10cm";
    double wander = 30;
    bool turn_given = false, wander_given = false;
    double max_megapixels = 200;
    std::vector<std::string> colours;
};
void add_blank(CLI::App& command, BlankOptions& options);

/// Numbers between commas, like the pixels of --corners and --white.
/// @throws Error(usage) unless there are exactly `count` of them
std::vector<double> parsed_numbers(const std::string& text, std::size_t count, const std::string& option,
                                   const std::string& example);

/// Stitches and rows in 10 cm.
struct Density {
    double stitches = 0, rows = 0;
};
/// What so many stitches and rows measure.
LengthPair size_of(const CountPair& blank, const Density& counted, Construction construction);
/// As counted by hand in 10 cm of the blank, if they were.
/// @throws Error(usage) for anything else
std::optional<Density> counted_density(const BlankOptions& options);
/// What counts in 10 cm give cause for: no blank of sock yarn is knitted so, or it was counted otherwise by hand.
std::vector<std::string> density_warnings(const BlankOptions& options, double stitches, double rows);
/// What was measured; --counted gives the one of --blank and --size that is missing.
GivenMeasures given_measures(const BlankOptions& options);
Lay chosen_lay(const BlankOptions& options);
Tail chosen_tail(const BlankOptions& options);
Painted chosen_side(const BlankOptions& options);
/// @throws Error(usage) for a share outside 0..1
void check_paint(const BlankOptions& options);
ColourBook colour_book(const BlankOptions& options);
WindingOptions winding_options(const BlankOptions& options, std::uint64_t seed);

/// The knitting as typed.
struct KnitOptions {
    std::optional<int> stitches, rounds, alternate;
    std::string gauge, yarn_per_stitch, yarn_per_round, shape = "tube", strand = "both", start = "ravel-end";
    std::string heel, foot_round, foot_length, leg, cuff;  // of a sock
    bool from_toe = false, ribbed_leg = false;
};
void add_knitting(CLI::App& command, KnitOptions& options);

/// The knitting as read: checked, with its yarn settled.
struct Knitting {
    int stitches = 64;  ///< of the plain rounds; of a piece that grows, the most
    Gauge gauge;
    Millimetres yarn_per_stitch;
    std::string shape = "tube";
    GarmentSize size;
    std::vector<int> strands;  ///< which balls: 1, 2 or both
    enum class Start { ravel_end, far_end } start = Start::ravel_end;
    int alternate = 0;  ///< rounds before the other end of yarn is taken; 0: one end all along
    std::vector<std::string> assumed;

    Millimetres yarn_per_round() const { return yarn_per_stitch * stitches; }
    bool laid_flat() const { return shape == "sock" || shape == "hat" || shape == "shawl"; }
    Worked worked() const;
};
/// @param strands_at_hand  1 or 2: asking for a ball that is not there is a usage error
Knitting settled(const KnitOptions& options, int strands_at_hand);

/// A range of stitch counts, like 40-120.
/// @throws Error(usage) for anything else, a range upside down, counts no one knits
CountRange parsed_count_range(const std::string& text, const std::string& option);

/// Simulated knitters as typed.
struct ChanceOptions {
    std::string counts = "40-120", drift_length = "1.6m";
    int knitters = 100;
    double length_sd = 0.05, drift_sd = 0.02, pooling_from = 0.3, contrast_from = 5;
};
void add_chance(CLI::App& command, ChanceOptions& options);
/// @throws Error(usage) for what no knitter is
RiskOptions risk_options(const ChanceOptions& options, std::uint64_t seed);
/// Every count of the asked-for range, and those whose rounds take 75 to 100 cm of yarn; rising.
std::vector<int> swept_counts(const ChanceOptions& options, const Knitting& knitting);
/// "100 simulated knitters, ...": the chosen numbers behind a risk, in words.
std::string chance_in_words(const RiskOptions& options);

}  // namespace loopread::cli
