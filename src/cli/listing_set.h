#pragma once

#include "cli/listing_input.h"
#include "cli/summary.h"
#include "loopread/listing/facts.h"

namespace loopread::cli {

/// One blank's listing, its files added to the outputs.
// NOLINTNEXTLINE(bugprone-exception-escape): moving an ordered JSON object is not marked noexcept
struct ListingSet {
    ListingFacts facts;
    Json summary;
    Picture8 contact_sheet;
};

/// @throws Error(input) for an unreadable picture, Error(usage) for options that do not go with it
ListingSet listing_set(const std::filesystem::path& image, const ListingOptions& options, const ListingRequest& request,
                       Outputs& outputs);

}  // namespace loopread::cli
