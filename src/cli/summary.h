#pragma once

#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "cli/blank_input.h"
#include "cli/knitted_picture.h"
#include "loopread/base/files.h"
#include "loopread/shares/advice.h"
#include "loopread/unravel/unravelled.h"

namespace loopread::cli {

using Json = nlohmann::ordered_json;

Json blank_json(const BlankLayout& layout);
Json strands_json(const std::vector<ColourRun>& strands);
/// The difference of the two strands with this seed, and its range over other seeds: how the strands wound is not
/// known.
Json pair_json(const BlankInput& blank, const std::vector<ColourRun>& strands, const WindingOptions& winding);
/// The range that pair_json found.
std::optional<PairRange> pair_range(const Json& summary);
Json knitting_json(const Knitting& knitting, const std::vector<KnittedBall>& balls);

/// A number rounded so that the file reads well and the last bit does not matter.
double rounded(double value, int decimals);
std::string json_bytes(const Json& json);

/// Prints what was done: JSON alone if asked, else the results, what was assumed and the warnings.
void report(std::ostream& out, const CommonOptions& common, const Json& summary, const Outputs& outputs,
            const std::string& headline);

}  // namespace loopread::cli
