#pragma once

#include <string>
#include <vector>

#include "cli/listing_input.h"
#include "cli/summary.h"
#include "loopread/listing/facts.h"

namespace loopread::cli {

/// One blank, all that its pictures show.
struct ListingSubject {
    std::filesystem::path image;
    std::string title, maker;
    const BlankInput* blank = nullptr;
    std::vector<ColourRun> strands;
    std::vector<ColourRun> painted;  ///< as if dyed through: what the side that took the paint looks like
    WindingOptions winding;
    Knitting knitting;  ///< of the pair: the sock's stitches and gauge
    std::vector<NamedShare> colours;
    Grams strand_weight{50};
    Millimetres diameter{0.715};
    std::uint64_t seed = 1;
};

/// A picture as its file holds it, and small.
struct DrawnPicture {
    ListedPicture listed;
    std::string caption;  ///< "skein"
    std::string bytes;    ///< of a JPEG, sRGB profile embedded
    Picture8 small;
};

/// The set in its order, without the contact sheet.
std::vector<DrawnPicture> listing_pictures(const ListingSubject& subject, const ListingOptions& options,
                                           const ListingRequest& request);

/// The set on one sheet.
Picture8 contact_sheet_of(const std::vector<DrawnPicture>& pictures, const ListingFacts& facts);

}  // namespace loopread::cli
