#pragma once

#include <iosfwd>

#include "cli/listing_input.h"

namespace loopread::cli {

/// A listing of every picture and design in a folder, each in a folder of its own; an index of them, and a table of
/// what could not be listed and why.
/// @throws Error(usage) for an output folder inside the input folder and for options that belong to one picture,
///         Error(input) where there is no picture, or none of them could be listed
void run_folder(const ListingOptions& options, const ListingRequest& request, std::ostream& out);

}  // namespace loopread::cli
