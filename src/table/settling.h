#pragma once

#include "loopread/table/counted_photo.h"
#include "loopread/table/source_picture.h"
#include "loopread/table/state.h"
#include "loopread/table/table.h"

namespace loopread {

/// How the picture lies on the blank, the design laid so.
Lay lay_of(const PictureState& picture, const LaidAs& way);

/// The state's measures, with what was open settled from the rest, from the count of the photo and from the picture's
/// shape.
/// @param source  the picture that state.picture speaks of
/// @param photo   of which stitches were to be counted; nullptr if none
/// @throws Error for figures no blank or knitting has, or a picture that is not there
SettledTable settled_table(const TableState& state, const SourcePicture& source, const CountedPhoto* photo);

}  // namespace loopread
