#pragma once

#include <string>
#include <vector>

#include "loopread/image/image.h"

namespace loopread {

/// One picture of the set, made small.
struct ContactPicture {
    Picture8 picture;
    std::string caption;  ///< "skein"
};

struct ContactSheet {
    int columns = 2000;  ///< of the sheet, pixels
    std::string title, subtitle;
    std::vector<ContactPicture> pictures;  ///< at least one
    std::vector<std::string> lines;        ///< under the pictures
};

/// Room for each picture of a sheet of so many.
struct ThumbRoom {
    int across = 0;  ///< pictures to a row
    int pixels = 0;  ///< width of one
};
ThumbRoom thumb_room(int columns, std::size_t pictures);

/// All pictures of a listing on one sheet, rows as tall as their tallest picture.
Picture8 contact_sheet(const ContactSheet& sheet);

}  // namespace loopread
