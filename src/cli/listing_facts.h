#pragma once

#include <string>

#include "cli/listing_input.h"
#include "cli/listing_pictures.h"
#include "cli/summary.h"
#include "loopread/listing/facts.h"
#include "loopread/report/slip.h"

namespace loopread::cli {

/// All that is told of the subject, its pictures not yet listed.
ListingFacts listing_facts(const ListingSubject& subject, const ListingOptions& options, const ListingRequest& request);

Json listing_json(const ListingFacts& facts);

/// The blank as it was painted, the ravel edge on top, small.
Picture8 blank_for_slip(const ListingSubject& subject);

/// The slip for the parcel.
/// @param blank  the blank with its ravel edge on top, small
ParcelSlip parcel_slip(const ListingFacts& facts, const Picture8& blank);

/// What it looks like at the stitches asked for.
std::string look_in_words(const ListingFacts& facts);

}  // namespace loopread::cli
