#pragma once

#include <string>
#include <vector>

#include "loopread/image/image.h"

namespace loopread {

struct SockNote {
    double x = 0, y = 0;  ///< pixel in the picture of that sock
    std::string words;    ///< "cuff: ravel edge of the blank"
};

struct SockPanel {
    Image sock;
    std::string title;    ///< "ball A"
    std::string caption;  ///< "62 m left over, 29 % of the ball"; may be empty
    std::vector<SockNote> notes;
};

struct SockSheet {
    std::string headline;  ///< may be empty
    std::vector<SockPanel> socks;
    double pixels_per_cm = 0;  ///< of the socks: the scale bar; 0: none
};

/// Socks side by side, feet level, each with its notes beside it and a line from every note to its place.
Picture8 sock_sheet(const SockSheet& sheet);

}  // namespace loopread
