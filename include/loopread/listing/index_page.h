#pragma once

#include <string>
#include <vector>

#include "loopread/report/page.h"

namespace loopread {

/// One listing of many.
struct IndexedListing {
    std::string folder;  ///< beside the page
    std::string title;
    std::string look;  ///< a sentence
    std::vector<std::string> facts = {};
    PagePicture sheet = {};        ///< its contact sheet, small
    std::string buyers_page = {};  ///< its file name; empty: none was made
};
struct FailedListing {
    std::string picture;  ///< file name
    std::string why;
};
struct IndexPage {
    std::string title;
    std::vector<IndexedListing> listings;
    std::vector<FailedListing> failed;
};

/// One HTML file with a card a listing, each leading to its folder, and what could not be listed. All text is escaped.
std::string index_html(const IndexPage& page);

/// The same failures as a table: picture,fault.
std::string failures_csv(const std::vector<FailedListing>& failed);

}  // namespace loopread
