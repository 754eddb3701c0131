#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "cli/options.h"
#include "cli/skein_pictures.h"
#include "loopread/base/files.h"
#include "loopread/listing/colour_names.h"
#include "loopread/listing/facts.h"

namespace loopread::cli {

/// A listing as typed.
struct ListingOptions {
    std::filesystem::path image;
    CommonOptions common;
    BlankOptions blank;
    KnitOptions knitting;
    ChanceOptions chance;
    SkeinOptions wound;
    std::string names, fibre, title, maker, words, offer = "both", address;
};

/// The same as read: checked, before any picture is.
struct ListingRequest {
    SkeinSettings wound;  ///< size and ground of every picture, girth, weight of a strand
    std::vector<ColourNameLine> names;
    std::vector<FibrePart> fibre;
    Offer offer = Offer::both;
};

/// @param outputs  told of the files that were read
/// @throws Error(usage) for options that make no sense, Error(input) for a file of names that cannot be read
ListingRequest listing_request(const ListingOptions& options, Outputs& outputs);

/// The title of one picture's listing: as typed, or made from the file's name.
std::string listing_title(const ListingOptions& options, const std::filesystem::path& image);

}  // namespace loopread::cli
