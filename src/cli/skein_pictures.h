#pragma once

#include <optional>
#include <string>
#include <vector>

#include "cli/summary.h"
#include "cli/yarn_input.h"
#include "loopread/wound/pictures.h"

namespace CLI {
class App;
}

namespace loopread::cli {

/// The pictures of wound yarn as typed.
struct SkeinOptions {
    int pixels = 2000;
    std::string aspect = "square", on = "white", girth = "1.5m", strand = "1", outside = "far-end", ball_weight;
    bool crimp = false, together = false;
    std::vector<std::string> only;
};
void add_skein_pictures(CLI::App& command, SkeinOptions& options);

/// The same as read.
struct SkeinSettings {
    WoundPictureOptions picture;
    std::vector<std::string> only;     ///< names of the pictures wanted; empty: all
    bool together = false;             ///< the pair as one ball of both strands
    std::optional<Grams> ball_weight;  ///< of one strand
};
/// @throws Error(usage) for a slip in an option, before any picture is read
SkeinSettings settled_skein(const SkeinOptions& options, const BlankOptions& blank);

/// One picture of a shop page.
struct WoundPicture {
    std::string name;   ///< of the file, without its ending
    std::string words;  ///< what it shows, for those who cannot see it
    std::string png;    ///< with its line of letters
};
// NOLINTNEXTLINE(bugprone-exception-escape): moving an ordered JSON object is not marked noexcept
struct WoundPictures {
    std::vector<WoundPicture> pictures;
    Json summary;
    std::vector<std::string> assumed;
    std::vector<std::string> notes;  ///< which pictures could not be made, and why
};
/// @param blank_options  as used for reading
/// @throws Error(input) for a strand shorter than one turn, or too long to be drawn
WoundPictures wound_pictures(const YarnInput& yarn, const SkeinSettings& settings, const BlankOptions& blank_options,
                             std::uint64_t seed);

}  // namespace loopread::cli
