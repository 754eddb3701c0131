#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "cli/options.h"
#include "cli/show_through.h"
#include "loopread/base/files.h"
#include "loopread/blank/layout.h"
#include "loopread/blank/paint.h"
#include "loopread/design/file.h"
#include "loopread/loop/cell.h"
#include "loopread/loop/shape.h"
#include "loopread/yarn/run.h"

namespace loopread::cli {

/// A blank as read from a picture or a layered design: all that unravelling needs.
struct BlankInput {
    BlankLayout layout;
    Paint paint;
    LoopShape shape;    ///< as drawn
    CellShares shares;  ///< what each side shows of each strand of such loops
    std::vector<std::string> assumed;
    std::vector<std::string> warnings;
    /// Of a photo: the photo with what was taken for the blank drawn in.
    std::optional<Picture8> corners = std::nullopt;
    std::optional<CountPair> counted = std::nullopt;  ///< of a photo: stitches and rows, if they could be counted
    double count_confidence = 0;
    std::optional<Picture8> other_corners = std::nullopt;  ///< as corners, of the other side's photo
    std::optional<ShowThroughFound> show_through = std::nullopt;
};

/// A blank's pictures, decoded once, and all that does not change however its design is laid.
class BlankSource {
public:
    /// How fine the pictures are decoded: for the asked-for lay, or fine enough for a quarter turn too.
    enum class Ways { asked, all };

    /// @param outputs  told which files are inputs, so that none is overwritten
    /// @throws Error(usage) for a yarn file and options that make no sense, Error(input) for an unreadable picture
    BlankSource(const std::filesystem::path& image, const BlankOptions& options, Outputs& outputs,
                Ways ways = Ways::asked);
    ~BlankSource();
    BlankSource(BlankSource&&) noexcept;
    BlankSource& operator=(BlankSource&&) noexcept;

    const BlankLayout& layout() const;
    const Lay& asked_lay() const;
    /// The asked-for lay, but turned and mirrored so; a quarter turn is tiled at true scale where no fit was asked for.
    Lay lay_with(QuarterTurn rotate, Mirror mirror) const;
    /// The paint as it is put on, before it creeps. A photo of the other side belongs to the asked-for lay alone.
    Paint paint(const Lay& lay) const;
    /// The same, crept and ready to be unravelled.
    Paint crept(Paint paint) const;
    bool has_other_side() const;
    LinearRgb undyed() const;
    double wrap() const;
    Millimetres creep() const;
    /// The layers of a design.toml, if it is one.
    const std::optional<Design>& design() const;
    /// As asked. Takes the loop's drawing and the notes with it: call it once.
    BlankInput blank() &;
    /// The same of a source that is not wanted any more: its pictures leave their memory to the paint.
    BlankInput blank() &&;

private:
    class Reading;
    std::unique_ptr<Reading> reading_;
};

BlankInput read_blank(const std::filesystem::path& image, const BlankOptions& options, Outputs& outputs);

/// @throws Error(usage) for a slip of the pen in the options, before any picture is read
void check_blank_words(const BlankOptions& options);

/// Is it a yarn file by its name? Such a one is not a blank.
bool is_yarn_file(const std::filesystem::path& input);

}  // namespace loopread::cli
