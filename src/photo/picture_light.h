#pragma once

#include <optional>
#include <vector>

#include "loopread/image/image.h"
#include "photo/colour_profile.h"
#include "photo/samples.h"

namespace loopread {

/// Turns rows of samples into light over `under`, by the file's colour profile.
///
/// The matrix of a profile waits for finish(): averaging and laying over commute with it, and there are fewer pixels
/// then.
class PictureLight {
public:
    PictureLight(const FileHeader& header, LinearRgb under);

    void write(const SampleRow& row, LinearRgb* out);
    /// Makes linear sRGB of what write() gave, in whatever way it was averaged since.
    void finish(Image& picture) const;

private:
    void write_pixel_by_pixel(const SampleRow& row, LinearRgb* out);
    CodeLight code_light(SampleDepth depth);

    ColourProfile profile_;
    LinearRgb under_;  ///< before the matrix
    std::optional<SampleDepth> depth_of_curves_;
    std::array<std::vector<double>, 3> curves_;
    std::vector<CodePixel> codes_;  ///< of one row
};

}  // namespace loopread
