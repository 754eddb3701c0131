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
#include "loopread/shape/gauge.h"
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
void add_common(CLI::App& command, CommonOptions& options, const std::string& output_is);

/// The blank as typed; every field is text until read.
struct BlankOptions {
    std::string blank, size, strand_length, loop, construction = "flat";
    std::optional<int> strands;
    std::string ravel_edge = "top", tail = "left", fit = "stretch", painted = "face";
    std::string rotate = "0";
    bool mirror = false;
    std::string other_side, ground = "undyed", undyed = "#f3ede0", creep, treat_as;
    std::optional<double> wrap, penetration;
    std::string turn = "10cm";
    double wander = 30;
    double max_megapixels = 200;
    std::vector<std::string> colours;
};
void add_blank(CLI::App& command, BlankOptions& options);

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
    int stitches = 64;
    std::string gauge = "32x42", yarn_per_stitch, yarn_per_round, shape = "tube", strand = "both", start = "ravel-end";
    std::optional<int> rounds;
};
void add_knitting(CLI::App& command, KnitOptions& options);

/// The knitting as read: checked, with its yarn settled.
struct Knitting {
    int stitches = 64;
    Gauge gauge;
    Millimetres yarn_per_stitch;
    std::string shape = "tube";
    std::optional<int> rounds;
    std::vector<int> strands;  ///< which balls: 1, 2 or both
    enum class Start { ravel_end, far_end } start = Start::ravel_end;
    std::vector<std::string> assumed;

    Millimetres yarn_per_round() const { return yarn_per_stitch * stitches; }
};
/// @param strands_at_hand  1 or 2: asking for a ball that is not there is a usage error
Knitting settled(const KnitOptions& options, int strands_at_hand);

}  // namespace loopread::cli
