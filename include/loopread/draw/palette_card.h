#pragma once

#include <string>
#include <vector>

#include "loopread/draw/canvas.h"
#include "loopread/image/image.h"

namespace loopread {

/// One colour of the card and where its yarn lies in the picture of the wrap.
struct PaletteBand {
    std::string name;         ///< "Harbour"
    std::string detail;       ///< "38 %, #2f7d9b"
    double top = 0, end = 0;  ///< rows of the wrap
};

struct PaletteCard {
    int columns = 2000, rows = 2000;
    Srgb8 paper = ink::kPaper;       ///< of the wrap's own ground
    std::string title, subtitle;     ///< may be empty
    Picture8 wrap;                   ///< yarn wound round a card, narrower than the room there is
    std::vector<PaletteBand> bands;  ///< from the top down
    std::string foot;                ///< "computed from the dyed blank"
};

/// Room for the wrap on a card of this size, from its top left corner.
struct WrapRoom {
    int x = 0, y = 0, columns = 0, rows = 0;
};
WrapRoom wrap_room(int columns, int rows);

/// Colours of the yarn beside their names; names too long for their line are broken.
Picture8 palette_card(const PaletteCard& card);

}  // namespace loopread
