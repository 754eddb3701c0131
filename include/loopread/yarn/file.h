#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "loopread/yarn/run.h"

namespace loopread {

/// yarn.csv: one row per piece in the order it comes off, strand 1 first:
/// strand,start_mm,length_mm,course,wale,part,L,a,b,hex with CIELAB D65 2 degree; every strand from its own 0.
std::string yarn_csv(const std::vector<ColourRun>& strands);

/// Reads yarn.csv, or a plain file with only strand,start_mm,length_mm,hex. Colours come from L,a,b where present (so
/// that what was written reads back), else from hex. Byte-order mark, CRLF and empty lines at the end are allowed.
///
/// @param name  the file's name, for messages
/// @throws Error(input) with all faults and their line numbers: missing or unknown columns, numbers that are none,
///         lengths not over 0, gaps or overlaps over 0.01 mm, strands other than 1 and 2 or out of order, a bad colour,
///         no rows; over 2,000,000 rows is refused before they are read
std::vector<ColourRun> parsed_yarn_csv(std::string_view text, std::string_view name);

}  // namespace loopread
