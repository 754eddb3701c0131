#pragma once

#include <optional>
#include <string>
#include <vector>

#include "loopread/report/page.h"

namespace loopread {

/// What lies in the parcel.
enum class Parcel { whole_blank, wound_yarn };

/// A slip for the parcel, half a sheet of paper.
struct ParcelSlip {
    std::string title, maker;  ///< the maker may be empty
    Parcel parcel = Parcel::whole_blank;
    int strands = 2;
    std::vector<std::string> facts = {};    ///< a line each
    std::string knitting = {};              ///< a sentence on round lengths; may be empty
    std::optional<PagePicture> blank = {};  ///< the ravel edge on top
    std::optional<PagePicture> code = {};   ///< QR code, the address below it
};

/// One HTML file for one A5 page: no script, no network, nothing beside it needed. All text is escaped.
std::string slip_html(const ParcelSlip& slip);

}  // namespace loopread
