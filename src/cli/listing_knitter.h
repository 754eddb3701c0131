#pragma once

#include <filesystem>
#include <string>

#include "cli/blank_input.h"
#include "cli/listing_pictures.h"
#include "loopread/listing/facts.h"
#include "loopread/report/slip.h"

namespace loopread::cli {

inline constexpr const char* kKnitterFile = "knitter.html";

/// The page for the buyer of this blank; empty where the program was built without the page, and for a blank whose
/// other side was photographed: the page would tell another yarn, as it knows the painted side alone.
/// @param source  of the subject's blank
/// @param slip    has the code of the address
std::string knitter_html(const BlankSource& source, const ListingSubject& subject, const ListingOptions& options,
                         const ParcelSlip& slip);

/// Where it is, or why it was left out.
std::string knitter_in_words(const ListingOptions& options);

}  // namespace loopread::cli
