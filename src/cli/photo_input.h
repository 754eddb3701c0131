#pragma once

#include <optional>
#include <string>
#include <vector>

#include "cli/flat_photo.h"
#include "loopread/image/image.h"
#include "loopread/sides/registered.h"

namespace loopread::cli {

/// The other side's photo, laid on the painted side's picture.
struct OtherSideReading {
    Image picture;     ///< size of the painted picture, as seen through; without the shade of the loops
    Image with_shade;  ///< the same with it; empty where no stitches were counted
    Picture8 corners;  ///< the photo, small, with what was taken for the blank drawn in
    Agreement agreement = Agreement::nothing_told;
    double correlation = 0;
    double mean_shift = 0, largest_shift = 0;  ///< stitches
    std::string turned_over;                   ///< "like a page", "end over end": how it lay in its photo, in words
};

/// A photo of a blank made into a flat picture of its colours: seen from straight above, the ravel edge on top, every
/// stitch where it belongs, without the colour of the light and without the shade of the loops.
struct PhotoReading {
    Image picture;
    std::optional<CountPair> counted;       ///< stitches and rows as they lie before us, if they could be counted
    double confidence = 0;                  ///< of the count
    Picture8 corners;                       ///< the photo, small, with what was taken for the blank drawn in
    std::optional<OtherSideReading> other;  ///< none too if the other photo shows another blank: a warning says so
    std::string why_uncounted;              ///< in plain words; empty if they were
    std::vector<std::string> assumed;
    std::vector<std::string> warnings;
};

/// @throws Error(input) where the blank cannot be found, Error(usage) for corners or patches that make no sense, and
/// for a ravel edge along which the stitches cannot come apart
PhotoReading read_photo(const PictureFile& file, const BlankOptions& options, const PhotoRequest& request);

/// The same with a photo of the other side. The knit lattice of whichever photo shows the knit side serves both.
PhotoReading read_both_photos(const PictureFile& painted, const PictureFile& other, const BlankOptions& options,
                              const PhotoRequest& request);

/// A photo of the other side of a blank whose painted side is a design.
struct OtherOfDesign {
    std::optional<OtherSideReading> other;
    std::vector<std::string> assumed;
    std::vector<std::string> warnings;
};
/// @param painted  the design as it lies on the blank
OtherOfDesign read_other_of_design(const PictureFile& other, const BlankOptions& options, const PhotoRequest& request,
                                   const Image& painted, CellCount cells);

}  // namespace loopread::cli
