#pragma once

#include <deque>
#include <memory>
#include <optional>
#include <vector>

#include "loopread/loop/interlacing.h"
#include "loopread/raster/quick_cloth.h"
#include "loopread/table/layers.h"
#include "loopread/table/table.h"

namespace loopread {

struct PictureBox {
    int width = 0, height = 0;
    bool operator==(const PictureBox&) const = default;
};
/// quick: whole pixels a stitch and a row, every loop alike; lively: as on the command line's sheets.
enum class Drawing { quick, lively };
enum class Surroundings { light, dark };

/// The painted side, the ravel edge on top.
struct BlankPicture {
    ScreenPicture picture;
    int stitches = 0, rows = 0;
    double mm_per_pixel_x = 0, mm_per_pixel_y = 0;
};

/// Plain knitting opened out: rounds from `from_round` up, the first at the bottom; stitch 1 at the right.
struct FabricPicture {
    ScreenPicture picture;
    int stitches = 0, rounds = 0, from_round = 0, rounds_in_all = 0;
    double pixels_per_stitch = 0, pixels_per_round = 0;
};
struct FabricRequest {
    PictureBox box;
    int ball = 1;
    int from_round = 0;
    Drawing drawing = Drawing::quick;
    bool operator==(const FabricRequest&) const = default;
};

/// Lines of yarn, wrapped like text, ball A above ball B; each begins at the left, the end that comes off first on top.
struct RibbonLine {
    int ball = 1;
    double from_mm = 0, to_mm = 0;
    int x = 0, y = 0, width = 0, height = 0;  ///< pixels
};
struct RibbonPicture {
    ScreenPicture picture;
    std::vector<RibbonLine> lines;
    double mm_per_pixel = 0, line_mm = 0;
};
/// @param lines_a_ball  0: as many as the box has room for
RibbonPicture ribbon_picture(const DyeTable& table, PictureBox box, int lines_a_ball);

/// Socks laid flat.
struct SockPlace {
    int ball = 1;
    int x = 0, y = 0, width = 0, height = 0;  ///< pixels of the whole picture
};
struct SockPicture {
    ScreenPicture picture;
    std::vector<SockPlace> socks;
    double pixels_per_cm = 0;
    bool fine = false;  ///< a lively drawing would be the same
};
struct SockRequest {
    PictureBox box;
    std::vector<int> balls = {1, 2};
    Drawing drawing = Drawing::quick;
    Surroundings around = Surroundings::light;
};
/// @throws Error(usage) where no sock is knitted
SockPicture sock_picture(const DyeTable& table, const SockRequest& request);

/// The design as it is painted, fully dyed, without loops.
ScreenPicture design_picture(const DyeTable& table, PictureBox box);
/// The same with its layers put on in another order.
ScreenPicture order_picture(const DyeTable& table, LayerOrder order, PictureBox box);
/// One layer black on white, as a stencil, so many pixels a stitch. @throws Error(usage) for a layer that is not there
ScreenPicture stencil_picture(const DyeTable& table, const std::string& layer_id);

/// A picture as a screen takes it: paper is transparent, a shadow on it see-through black.
ScreenPicture on_screen(const Image& image, LinearRgb paper);

/// Draws blank, ribbons and fabric of one table, and keeps the latest ones: of a picture asked for again only what
/// changed is drawn, to the bit as if all were. A picture lives until the next one is drawn.
class ClothPictures {
public:
    const BlankPicture& blank(const DyeTable& table, PictureBox box, Drawing drawing);
    const RibbonPicture& ribbons(const DyeTable& table, PictureBox box, int lines_a_ball);
    const FabricPicture& fabric(const DyeTable& table, const FabricRequest& request);
    /// The same of any run, knitted plain as the table's knitting is.
    FabricPicture fabric(const ColourRun& run, const TableKnitting& knitting, const FabricRequest& request);

private:
    const QuickStamp& stamp(const LoopShape& shape, int strands, const QuickLook& look);
    const LoopShape& stitch_shape(const TableKnitting& knitting);
    void draw_quickly(const DyeTable& table, const QuickLook& look);
    FabricPicture lively(const ColourRun& run, const TableKnitting& knitting, FabricPicture out);

    struct KnownStamp {
        LoopProportions proportions;
        QuickStamp stamp;
    };
    std::deque<KnownStamp> stamps_;
    struct KnownShape {
        double wale_per_course, length_per_wale;
        LoopShape shape;
    };
    std::deque<KnownShape> shapes_;
    struct DrawnBlank {
        std::uint64_t yarn_version = 0;
        QuickLook look;
        LoopProportions proportions;
        BlankLayout layout;
        QuickCloth cloth;
        BlankPicture shown;
    };
    std::deque<DrawnBlank> blanks_;  // the latest first
    BlankPicture lively_blank_;
    struct DrawnRibbons {
        std::uint64_t yarn_version = 0;
        PictureBox box;
        int lines_a_ball = 0;
        BlankLayout layout;
        RibbonPicture shown;
    };
    std::optional<DrawnRibbons> ribbons_;
    struct DrawnFabric {
        DyeTable::Versions versions;
        FabricRequest request;
        FabricPicture shown;
    };
    std::deque<DrawnFabric> fabrics_;  // the latest first
    FabricPicture lively_fabric_;
};

}  // namespace loopread
