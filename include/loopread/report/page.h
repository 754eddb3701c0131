#pragma once

#include <string>
#include <vector>

namespace loopread {

/// A picture that travels inside the page.
struct PagePicture {
    std::string bytes;    ///< of a PNG or JPEG file
    std::string alt;      ///< what it shows, for those who cannot see it
    std::string caption;  ///< plain text
    int width = 0;        ///< pixels of the file
    int height = 0;
};

/// The page that `preview` writes: one file, no network, nothing beside it needed.
struct PreviewPage {
    std::string title;
    std::string sentence;              ///< what it will look like
    std::string how_sure = {};         ///< whether that holds if the guesses are off; may be empty
    std::string change_heading;        ///< "One thing to change:"
    std::string change;                ///< what it is; may be empty
    std::vector<std::string> facts;    ///< figures under the sentence
    std::vector<std::string> assumed;  ///< figures that were not measured
    std::vector<std::string> warnings;
    std::vector<PagePicture> first_screen;  ///< blank, then what is knitted: side by side, seen without scrolling
    std::vector<PagePicture> below;
    std::vector<std::string> files;  ///< names of what lies beside the page
};

/// All text is escaped; pictures are inlined.
std::string page_html(const PreviewPage& page);

std::string html_escape(const std::string& text);
std::string base64(const std::string& bytes);

}  // namespace loopread
