#pragma once

#include <filesystem>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>

#include "cli/photo_input.h"
#include "loopread/sides/show_through.h"

namespace loopread::cli {

/// What the photos of both sides told.
struct ShowThroughFound {
    ShowThrough figures;
    Agreement agreement = Agreement::nothing_told;
    std::string turned_over;
    double correlation = 0;
    double mean_shift = 0, largest_shift = 0;  ///< stitches
    std::string painted_name, other_name;      ///< of the picture files, without their folders
};
ShowThroughFound show_through_found(const ShowThrough& figures, const OtherSideReading& other);

nlohmann::ordered_json show_through_json(const ShowThroughFound& found);
/// A few sentences, each on a line of its own.
std::string show_through_in_words(const ShowThroughFound& found);

/// A yarn base's wrap and penetration, as measured once.
struct YarnBase {
    std::optional<double> wrap, penetration;
    std::string measured_on;  ///< "2025-04-30, painted.jpg and other.jpg"
};
/// @throws Error(input) for a file that is not one of --save-base
YarnBase read_base(const std::filesystem::path& file);
/// The bytes of such a file: TOML; nothing if neither figure could be told.
/// @param today  like 2025-04-30
std::optional<std::string> base_bytes(const ShowThroughFound& found, const std::string& today);
/// The day by this machine's clock.
std::string today();

}  // namespace loopread::cli
