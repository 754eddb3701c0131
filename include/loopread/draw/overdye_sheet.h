#pragma once

#include <string>
#include <vector>

#include "loopread/image/image.h"
#include "loopread/overdye/visible.h"

namespace loopread {

/// One strength of a stencil on its ground.
struct StrengthSwatch {
    std::string name;  ///< "1/2 of dark red"
    std::string mix;   ///< "1 part paste to 1 part plain paste"
    LinearRgb ground, dyed;
    Apart apart;
};

/// The design dyed in one order.
struct OverdyePanel {
    std::string title;    ///< "Dipped first, stencilled after"
    std::string caption;  ///< a sentence; may be empty
    Image design;         ///< ravel edge on top
    std::vector<StrengthSwatch> strengths;
};

struct OverdyeSheet {
    std::string headline;
    std::string why;
    std::vector<OverdyePanel> panels;  ///< one or two
    std::string foot;
};

/// Each order's design with its strengths beside it, in colour and as a grey photo would show them.
Picture8 overdye_sheet(const OverdyeSheet& sheet);

}  // namespace loopread
