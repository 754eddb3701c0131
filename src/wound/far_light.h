#pragma once

#include <memory>
#include <vector>

#include "wound/seen_strands.h"

namespace loopread::wound {

/// How much of lamp and sky reaches the pixels of a row past everything else in the picture, [0, 1].
struct RowLight {
    std::vector<float> lamp, sky;
};

/// Shadows and crevices: what is far is worked out at once over squares of pixels, what is near row by row.
class FarLight {
public:
    /// @param seen  has to outlive this
    FarLight(const SeenPixels& seen, const PaintOptions& options);
    ~FarLight();
    void row(int row, RowLight& light) const;

private:
    struct Parts;
    std::unique_ptr<const Parts> parts_;
};

}  // namespace loopread::wound
