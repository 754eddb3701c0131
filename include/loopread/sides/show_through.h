#pragma once

#include <string>

#include "loopread/image/image.h"
#include "loopread/lattice/shade.h"
#include "loopread/loop/cell.h"
#include "loopread/loop/shape.h"

namespace loopread {

/// Both sides of a blank, stitch on stitch.
struct SidePair {
    Image painted;    ///< light, the shade of the loops taken off; cells on a regular grid, 3 pixels or more each way
    Image other;      ///< the same size, as seen through; the shade of its loops still in it
    CellCount cells;  ///< 4 or more each way
};

/// What the model needs to know to say how much dye the other side shows.
struct SidesModel {
    LoopShape shape{LoopProportions{}};
    int strands = 2;
    Side other = Side::back;            ///< the technical side that was not painted
    LinearRgb undyed{0.9, 0.85, 0.74};  ///< about; only its hue and saturation count
    double usual_wrap = 0.7;            ///< taken where the photos do not tell
};

/// A figure the photos may or may not tell.
struct ToldFigure {
    double value = 0;
    double low = 0, high = 1;  ///< what fits the photos hardly worse: 95 in 100
    std::string why_not;       ///< why it cannot be told; empty if it can

    bool told() const { return why_not.empty(); }
};

/// How much of the paint on one side comes through to the other.
struct ShowThrough {
    double lightness_difference = 0;  ///< L*, painted minus other, mean over painted stitches
    double pale_flecks_share = 0;     ///< of the painted stitches' surface as photographed on the painted side: nearer
                                      ///< the ground than the paint around it
    double painted_share = 0;         ///< of all stitches: those that took paint
    double ground_share = 0;          ///< of all stitches: undyed ones; 0: none was seen, all count as painted
    bool light_matched = false;       ///< the undyed stitches brought both photos to one exposure and colour of light
    LinearRgb gain{1, 1, 1};          ///< that does so: the other photo, the shade of its loops taken off, times this
    ToldFigure wrap, penetration;
    double residual =
        0;  ///< root mean square of light that the best fit leaves unexplained, undyed yarn being `undyed`
};

/// What two photos of a blank painted on one side tell of how far the dye went.
///
/// The model is that of yarn_colour: of a place whose visible share on the painted side is v, min(1, v (1 + wrap)) of
/// the round surface is painted and of the rest the part `penetration`. Seen from the other side: paint that goes round
/// a thread takes what neither side shows before it comes into view, so of a place that shows the part o there
/// max(0, min(1, v (1 + wrap)) - (1 - o)) / o is painted. Which place a line of sight meets is read off the loop cell.
///
/// The other photo is shade x (ground + k (paint - ground)): the shade of each part of a stitch is free, its k is the
/// model's. Least squares over all stitches in linear light, for every wrap and penetration on a grid; how sharp the
/// photo is and where in the stitch its lattice lies are let free within what photos have. A figure counts as told if
/// what fits hardly worse spans no more than 0.3. Of two strands the wrap hardly comes into view: mostly not told.
/// Where wrap is not told, penetration is that at the usual wrap.
ShowThrough show_through(const SidePair& pair, const SidesModel& model);

/// The part of the surface met by lines of sight from the other side that is painted, for each of 8 x 6 parts of a
/// stitch (across x along, from the top left, ravel edge on top), photographed sharply.
Plane painted_from_other_side(const SidesModel& model, double wrap);

}  // namespace loopread
