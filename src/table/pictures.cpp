#include "loopread/table/pictures.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/error.h"
#include "loopread/base/require.h"
#include "loopread/blank/design_picture.h"
#include "loopread/raster/blank_cloth.h"
#include "loopread/raster/laid_flat.h"
#include "loopread/raster/ribbon.h"
#include "loopread/table/bench.h"

namespace loopread {
namespace {

// The page's own linen (#efe6d5, #1d1916): pixels at an outline are part yarn, part this, and would show any other as a
// bright rim. Exactly these colours become transparent.
constexpr LinearRgb kLightPaper{0.8632, 0.7912, 0.6653};
constexpr LinearRgb kDarkPaper{0.0123, 0.0097, 0.0080};
constexpr LinearRgb kNoPaper{-1, -1, -1};  // no colour is this

bool same_size(const BlankLayout& a, const BlankLayout& b) {
    return a.stitches == b.stitches && a.rows == b.rows && a.strands == b.strands && a.painted == b.painted &&
           a.construction == b.construction && a.tail == b.tail && a.loop_length == b.loop_length;
}

bool same_form(const LoopProportions& a, const LoopProportions& b) {
    return a.wale_per_course == b.wale_per_course && a.length_per_wale == b.length_per_wale;
}

int pixels_per_row(int pixels_per_stitch, double wale_per_course) {
    return std::max(1, static_cast<int>(std::lround(pixels_per_stitch / wale_per_course)));
}

/// The largest whole pixels with which the blank fits its box; at least one.
QuickLook fitting(const BlankLayout& layout, PictureBox box) {
    const double ratio = layout.wale_spacing / layout.course_spacing;
    QuickLook look;
    look.side = layout.painted == Painted::face ? Side::face : Side::back;
    look.pixels_per_stitch = 1;
    look.pixels_per_row = 1;
    for (int p = 2; p * layout.columns() <= box.width && pixels_per_row(p, ratio) * layout.rows <= box.height; ++p) {
        look.pixels_per_stitch = p;
        look.pixels_per_row = pixels_per_row(p, ratio);
    }
    return look;
}

void require_box(PictureBox box) {
    constexpr int kMost = 8192;
    if (box.width < 1 || box.height < 1 || box.width > kMost || box.height > kMost)
        throw Error(ErrorKind::usage, "picture: width and height must lie between 1 and 8192 pixels");
}

const ColourRun& run_of(const DyeTable& table, int ball) {
    const std::vector<ColourRun>& runs = table.runs();
    if (ball < 1 || ball > static_cast<int>(runs.size()))
        throw Error(ErrorKind::usage, "ball: there is no ball " + std::to_string(ball) + " here");
    return runs[static_cast<std::size_t>(ball - 1)];
}

void set_pixel(std::uint8_t* out, Srgb8 colour, std::uint8_t alpha) {
    out[0] = colour.r;
    out[1] = colour.g;
    out[2] = colour.b;
    out[3] = alpha;
}

/// The part of its light that bare paper keeps in a shadow; under 0 where it is not paper.
double paper_light(LinearRgb colour, LinearRgb paper) {
    constexpr double kRounding = 1e-9;  // paper's colours are odd enough that no yarn's shade meets them so closely
    const double light = colour.r / paper.r;
    const bool paper_shows = light >= 0 && light <= 1 + kRounding && std::abs(colour.g - light * paper.g) < kRounding &&
                             std::abs(colour.b - light * paper.b) < kRounding && paper.r > 0;
    return paper_shows ? std::min(1.0, light) : -1;
}

ScreenPicture empty_picture(int width, int height) {
    ScreenPicture picture{width, height, {}};
    picture.rgba.resize(4 * static_cast<std::size_t>(width) * static_cast<std::size_t>(height));
    return picture;
}

std::uint8_t* pixel(ScreenPicture& picture, int x, int y) {
    return picture.rgba.data() +
           4 * (static_cast<std::size_t>(y) * static_cast<std::size_t>(picture.width) + static_cast<std::size_t>(x));
}

void paste(ScreenPicture& picture, const ScreenPicture& part, int x, int y) {
    for (int row = 0; row < part.height; ++row)
        std::copy_n(part.rgba.data() + 4 * static_cast<std::size_t>(row) * static_cast<std::size_t>(part.width),
                    4 * static_cast<std::size_t>(part.width), pixel(picture, x, y + row));
}

struct YarnStretch {
    double from_mm = 0, to_mm = 0;
};

/// The yarn of whole courses, from the end that comes off first.
YarnStretch as_unravelled(const BlankLayout& layout, CourseRange courses) {
    const double course_mm = layout.loop_length.value * layout.stitches;
    return {courses.first * course_mm, courses.end * course_mm};
}

/// The same from the end that is knitted first.
YarnStretch yarn_of(const DyeTable& table, CourseRange courses) {
    const YarnStretch yarn = as_unravelled(table.settled().layout, courses);
    if (table.state().knitting.from != KnittingState::From::far_end) return yarn;
    const double length = table.strands().front().length_mm();
    return {length - yarn.to_mm, length - yarn.from_mm};
}

struct RoundRange {
    int first = 0, end = 0;
};

/// Rounds that take any of it; one more at either end, so that no rounding matters.
RoundRange rounds_of(const YarnStretch& yarn, const DyeTable& table) {
    const double round_mm = table.settled().knitting.yarn_per_round().value;
    return {static_cast<int>(std::floor(yarn.from_mm / round_mm)) - 1,
            static_cast<int>(std::ceil(yarn.to_mm / round_mm)) + 1};
}

QuickLook quick_look(const TableKnitting& knitting, PictureBox box) {
    QuickLook look;
    look.pixels_per_stitch = std::max(1, box.width / knitting.stitches);
    look.pixels_per_row =
        pixels_per_row(look.pixels_per_stitch, knitting.gauge.stitch_width() / knitting.gauge.row_height());
    return look;
}

QuickRounds quick_rounds(const TableKnitting& knitting, const FabricPicture& room) {
    return {knitting.stitches, knitting.yarn_per_stitch.value, knitting.worked, room.from_round, room.rounds};
}

/// All but the picture; as many rounds as the box has room for.
FabricPicture fabric_measures(const ColourRun& run, const TableKnitting& knitting, const FabricRequest& request) {
    require_box(request.box);
    const double ratio = knitting.gauge.stitch_width() / knitting.gauge.row_height();
    FabricPicture out;
    out.stitches = knitting.stitches;
    out.rounds_in_all = static_cast<int>(std::ceil(run.length_mm() / knitting.yarn_per_round().value - 1e-6));
    out.from_round = std::clamp(request.from_round, 0, std::max(0, out.rounds_in_all - 1));
    const QuickLook look = quick_look(knitting, request.box);
    const bool quick = request.drawing == Drawing::quick;
    out.pixels_per_stitch =
        quick ? look.pixels_per_stitch : std::max(1.0, static_cast<double>(request.box.width) / knitting.stitches);
    out.pixels_per_round = quick ? look.pixels_per_row : out.pixels_per_stitch / ratio;
    out.rounds = std::max(1, static_cast<int>(request.box.height / out.pixels_per_round));
    return out;
}

/// Where the lines of a ribbon picture lie; nothing drawn yet.
RibbonPicture ribbon_lines(const DyeTable& table, PictureBox box, int lines_a_ball) {
    require_box(box);
    constexpr int kPitch = 16;      // pixels from line to line, where there is room
    constexpr int kMostLines = 40;  // of a ball
    const std::vector<ColourRun>& strands = table.strands();
    const int balls = static_cast<int>(strands.size());
    const int room = box.height / balls;  // of a ball
    const int lines = std::clamp(lines_a_ball > 0 ? lines_a_ball : std::min(12, room / kPitch), 1,
                                 std::max(1, std::min(kMostLines, room / 3)));
    const double pitch = static_cast<double>(room) / (lines + 0.5);  // half a line between the balls
    const int high = std::max(1, static_cast<int>(pitch * 0.72));
    RibbonPicture out;
    out.picture = empty_picture(box.width, box.height);
    out.line_mm = strands.front().length_mm() / lines;
    out.mm_per_pixel = out.line_mm / box.width;
    for (int ball = 1; ball <= balls; ++ball)
        for (int line = 0; line < lines; ++line)
            out.lines.push_back({ball, line * out.line_mm, (line + 1) * out.line_mm, 0,
                                 static_cast<int>((ball - 1) * room + line * pitch), box.width, high});
    return out;
}

/// Yarn that a pixel of a ribbon is the mean of, at least.
double least_window_mm(const RibbonPicture& ribbons, const DyeTable& table) {
    const double loop_mm = table.settled().layout.loop_length.value;
    return ribbons.mm_per_pixel > loop_mm / 4 ? loop_mm : 0.0;
}

void draw_line(RibbonPicture& ribbons, const RibbonLine& place, const DyeTable& table) {
    const Image image =
        ribbon(table.strands()[static_cast<std::size_t>(place.ball - 1)],
               {place.from_mm, place.to_mm, place.width, place.height, least_window_mm(ribbons, table)});
    const auto wide = static_cast<std::size_t>(place.width);
    for (int row = 0; row < place.height; ++row) {
        std::uint8_t* to = pixel(ribbons.picture, place.x, place.y + row);
        if (row > 0 && std::equal(image.row(row), image.row(row) + place.width, image.row(row - 1))) {
            std::copy_n(pixel(ribbons.picture, place.x, place.y + row - 1), 4 * wide, to);
            continue;
        }
        for (int x = 0; x < place.width; ++x, to += 4) {
            const LinearRgb colour = image(row, x);
            set_pixel(to,
                      {quickly_encoded(static_cast<float>(colour.r)), quickly_encoded(static_cast<float>(colour.g)),
                       quickly_encoded(static_cast<float>(colour.b))},
                      255);
        }
    }
}

}  // namespace

ScreenPicture on_screen(const Image& image, LinearRgb paper) {
    ScreenPicture picture = empty_picture(image.columns(), image.rows());
    std::uint8_t* out = picture.rgba.data();
    for (const LinearRgb& colour : image) {
        const double light = paper_light(colour, paper);
        if (light >= 0)
            set_pixel(out, {}, static_cast<std::uint8_t>(std::lround(255 * (1 - light))));
        else
            set_pixel(out, srgb8_from_linear(colour), 255);
        out += 4;
    }
    return picture;
}

const QuickStamp& ClothPictures::stamp(const LoopShape& shape, int strands, const QuickLook& look) {
    for (const KnownStamp& known : stamps_)
        if (known.stamp.strands() == strands && known.stamp.look() == look &&
            same_form(known.proportions, shape.proportions()))
            return known.stamp;
    constexpr std::size_t kMost = 24;
    if (stamps_.size() >= kMost) stamps_.pop_back();
    stamps_.push_front({shape.proportions(), QuickStamp(shape, strands, look)});
    return stamps_.front().stamp;
}

const LoopShape& ClothPictures::stitch_shape(const TableKnitting& knitting) {
    const double ratio = knitting.gauge.stitch_width() / knitting.gauge.row_height();
    const double length = knitting.yarn_per_stitch / knitting.gauge.stitch_width();
    for (const KnownShape& known : shapes_)
        if (known.wale_per_course == ratio && known.length_per_wale == length) return known.shape;
    constexpr std::size_t kMost = 24;
    if (shapes_.size() >= kMost) shapes_.pop_back();
    shapes_.push_front({ratio, length, drawn_shape({ratio, length}).shape});
    return shapes_.front().shape;
}

void ClothPictures::draw_quickly(const DyeTable& table, const QuickLook& look) {
    const BlankLayout& layout = table.settled().layout;
    const LoopProportions& proportions = table.shape().proportions();
    const QuickStamp& with = stamp(table.shape(), layout.strands, look);
    const auto known = std::find_if(blanks_.begin(), blanks_.end(), [&](const DrawnBlank& drawn) {
        return drawn.look == look && same_size(drawn.layout, layout) && same_form(drawn.proportions, proportions);
    });
    const CourseRange changed =
        known == blanks_.end() ? CourseRange{0, layout.rows} : table.courses_changed_since(known->yarn_version);
    if (changed.end - changed.first < layout.rows) {
        std::rotate(blanks_.begin(), known, known + 1);
        DrawnBlank& drawn = blanks_.front();
        drawn.yarn_version = table.versions().yarn;
        if (changed.first >= changed.end) return;
        recolour_blank(drawn.cloth, layout, {table.seen_side()}, changed);
        drawn.cloth.close_edges();
        redraw_quickly(drawn.shown.picture, drawn.cloth, with,
                       {changed.first - QuickCloth::kMargin, changed.end + QuickCloth::kMargin, 0, layout.columns()});
        return;
    }
    constexpr std::size_t kMost = 2;  // the page's own, and the one under its glass
    if (known != blanks_.end())
        blanks_.erase(known);
    else if (blanks_.size() >= kMost)
        blanks_.pop_back();
    QuickCloth cloth = quick_blank_cloth(layout, {table.seen_side()}, table.winding());
    BlankPicture shown;
    shown.picture = quickly_drawn(cloth, with);
    blanks_.push_front({table.versions().yarn, look, proportions, layout, std::move(cloth), std::move(shown)});
}

const BlankPicture& ClothPictures::blank(const DyeTable& table, PictureBox box, Drawing drawing) {
    require_box(box);
    const BlankLayout& layout = table.settled().layout;
    const double ratio = layout.wale_spacing / layout.course_spacing;
    if (drawing == Drawing::lively) {
        ClothLook look;
        look.wale_per_course = ratio;
        look.pixels_per_stitch = std::max(
            1.0, std::min(static_cast<double>(box.width) / layout.columns(), box.height * ratio / layout.rows));
        look.side = layout.painted == Painted::face ? Side::face : Side::back;
        look.paper = kLightPaper;
        look.seed = table.state().seed;
        look.unevenness = 0.5;
        const std::vector<ColourRun> seen(static_cast<std::size_t>(layout.strands), table.seen_side());
        lively_blank_.picture =
            on_screen(drawn_cloth(blank_cloth(layout, seen, table.winding()), table.shape(), look), kLightPaper);
    } else {
        draw_quickly(table, fitting(layout, box));
    }
    BlankPicture& out = drawing == Drawing::lively ? lively_blank_ : blanks_.front().shown;
    out.stitches = layout.columns();
    out.rows = layout.rows;
    out.mm_per_pixel_x = layout.width().value / out.picture.width;
    out.mm_per_pixel_y = layout.length().value / out.picture.height;
    return out;
}

FabricPicture ClothPictures::lively(const ColourRun& run, const TableKnitting& knitting, FabricPicture out) {
    const PlainPiece piece = knitting.plain();
    Fabric fabric = plain_fabric(run, piece);
    fabric.rounds.erase(
        fabric.rounds.begin(),
        fabric.rounds.begin() +
            std::min<std::ptrdiff_t>(out.from_round, static_cast<std::ptrdiff_t>(fabric.rounds.size()) - 1));
    out.rounds = std::min(out.rounds, static_cast<int>(fabric.rounds.size()));
    ClothLook look;
    look.pixels_per_stitch = out.pixels_per_stitch;
    look.wale_per_course = knitting.gauge.stitch_width() / knitting.gauge.row_height();
    look.paper = kLightPaper;
    out.picture =
        on_screen(drawn_cloth(fabric_cloth(fabric, run, out.rounds), stitch_shape(knitting), look), kLightPaper);
    return out;
}

FabricPicture ClothPictures::fabric(const ColourRun& run, const TableKnitting& knitting, const FabricRequest& request) {
    FabricPicture out = fabric_measures(run, knitting, request);
    if (request.drawing == Drawing::lively) return lively(run, knitting, std::move(out));
    const QuickCloth cloth = quick_fabric_cloth(run, quick_rounds(knitting, out));
    out.rounds = cloth.rows();
    out.picture = quickly_drawn(cloth, stamp(stitch_shape(knitting), 1, quick_look(knitting, request.box)));
    return out;
}

const FabricPicture& ClothPictures::fabric(const DyeTable& table, const FabricRequest& request) {
    const ColourRun& run = run_of(table, request.ball);
    const TableKnitting& knitting = table.settled().knitting;
    const DyeTable::Versions now = table.versions();
    if (request.drawing == Drawing::lively) return lively_fabric_ = fabric(run, knitting, request);
    const auto known = std::find_if(fabrics_.begin(), fabrics_.end(), [&](const DrawnFabric& drawn) {
        return drawn.request == request && drawn.versions.knitting == now.knitting;
    });
    if (known == fabrics_.end()) {
        constexpr std::size_t kMost = 3;  // both balls', and the one beside the chart
        if (fabrics_.size() >= kMost) fabrics_.pop_back();
        fabrics_.push_front({now, request, fabric(run, knitting, request)});
        return fabrics_.front().shown;
    }
    std::rotate(fabrics_.begin(), known, known + 1);
    DrawnFabric& drawn = fabrics_.front();
    const CourseRange changed = table.courses_changed_since(drawn.versions.yarn);
    drawn.versions = now;
    if (changed.first >= changed.end) return drawn.shown;
    const QuickCloth cloth = quick_fabric_cloth(run, quick_rounds(knitting, fabric_measures(run, knitting, request)));
    const RoundRange rounds = rounds_of(yarn_of(table, changed), table);
    const int last = drawn.shown.from_round + cloth.rows() - 1;  // drawn on top
    redraw_quickly(drawn.shown.picture, cloth, stamp(stitch_shape(knitting), 1, quick_look(knitting, request.box)),
                   {last - rounds.end + 1 - QuickCloth::kMargin, last - rounds.first + 1 + QuickCloth::kMargin, 0,
                    cloth.columns()});
    return drawn.shown;
}

RibbonPicture ribbon_picture(const DyeTable& table, PictureBox box, int lines_a_ball) {
    RibbonPicture out = ribbon_lines(table, box, lines_a_ball);
    for (const RibbonLine& line : out.lines) draw_line(out, line, table);
    return out;
}

const RibbonPicture& ClothPictures::ribbons(const DyeTable& table, PictureBox box, int lines_a_ball) {
    const BlankLayout& layout = table.settled().layout;
    const bool goes_on = ribbons_ && ribbons_->box == box && ribbons_->lines_a_ball == lines_a_ball &&
                         same_size(ribbons_->layout, layout);
    if (!goes_on) {
        ribbons_ = {table.versions().yarn, box, lines_a_ball, layout, ribbon_picture(table, box, lines_a_ball)};
        return ribbons_->shown;
    }
    const CourseRange changed = table.courses_changed_since(ribbons_->yarn_version);
    ribbons_->yarn_version = table.versions().yarn;
    if (changed.first >= changed.end) return ribbons_->shown;
    RibbonPicture& shown = ribbons_->shown;
    const YarnStretch yarn = as_unravelled(layout, changed);
    const double reach = std::max(shown.mm_per_pixel, least_window_mm(shown, table));
    for (const RibbonLine& line : shown.lines)
        if (line.from_mm - reach < yarn.to_mm && line.to_mm + reach > yarn.from_mm) draw_line(shown, line, table);
    return shown;
}

SockPicture sock_picture(const DyeTable& table, const SockRequest& request) {
    require_box(request.box);
    const TableKnitting& knitting = table.settled().knitting;
    if (!knitting.sock) throw Error(ErrorKind::usage, "sock: plain knitting is asked for; draw the fabric instead");
    const auto count = static_cast<int>(request.balls.size());
    const LaidFlatSize size = laid_flat_size(*knitting.sock, knitting.gauge);
    constexpr double kMargin = 1.12;  // about a sock, as it is drawn
    SockPicture out;
    LaidFlatLook look;
    look.gauge = knitting.gauge;
    look.seed = table.state().seed;
    look.paper = request.around == Surroundings::light ? kLightPaper : kDarkPaper;
    look.pixels_per_cm = std::min(request.box.width * 10.0 / (count * size.width.value * kMargin),
                                  request.box.height * 10.0 / (size.height.value * kMargin));
    constexpr double kQuickPixelsPerCm = 14;
    out.fine = request.drawing == Drawing::lively || look.pixels_per_cm <= kQuickPixelsPerCm;
    if (request.drawing == Drawing::quick) look.pixels_per_cm = std::min(look.pixels_per_cm, kQuickPixelsPerCm);
    look.pixels_per_cm = std::max(look.pixels_per_cm, 1.0);
    const LoopShape shape = drawn_shape({knitting.gauge.stitch_width() / knitting.gauge.row_height(),
                                         knitting.yarn_per_stitch / knitting.gauge.stitch_width()})
                                .shape;
    std::vector<ScreenPicture> drawn;
    int width = 0, height = 0;
    for (const int ball : request.balls) {
        const ColourRun& run = run_of(table, ball);
        const LaidFlat flat =
            laid_flat(knitted(run, *knitting.sock, knitting.yarn_per_stitch), run, *knitting.sock, shape, look);
        drawn.push_back(on_screen(flat.picture, look.paper));
        out.pixels_per_cm = flat.pixels_per_cm;
        out.socks.push_back({ball, width, 0, drawn.back().width, drawn.back().height});
        width += drawn.back().width;
        height = std::max(height, drawn.back().height);
    }
    out.picture = empty_picture(width, height);
    for (std::size_t i = 0; i < drawn.size(); ++i) paste(out.picture, drawn[i], out.socks[i].x, out.socks[i].y);
    return out;
}

namespace {

int design_rows(const DyeTable& table, PictureBox box) {
    require_box(box);
    const BlankLayout& layout = table.settled().layout;
    const double scale = std::min(box.width / layout.width().value, box.height / layout.length().value);
    return std::max(1, static_cast<int>(layout.length().value * scale));
}

}  // namespace

ScreenPicture design_picture(const DyeTable& table, PictureBox box) {
    return on_screen(design_picture(table.paint(), design_rows(table, box)), kNoPaper);
}

ScreenPicture order_picture(const DyeTable& table, LayerOrder order, PictureBox box) {
    return on_screen(design_picture(tried_order(table, order).paint, design_rows(table, box)), kNoPaper);
}

ScreenPicture stencil_picture(const DyeTable& table, const std::string& layer_id) {
    const std::vector<TableLayer>& layers = table.state().layers;
    const auto found =
        std::find_if(layers.begin(), layers.end(), [&](const TableLayer& layer) { return layer.id == layer_id; });
    if (found == layers.end()) throw Error(ErrorKind::usage, "layer: there is no layer '" + layer_id + "'");
    const Plane amount = table.layer_amount(*found);
    ScreenPicture picture = empty_picture(amount.columns(), amount.rows());
    std::uint8_t* out = picture.rgba.data();
    for (const double value : amount) {
        const auto grey = static_cast<std::uint8_t>(std::lround(255 * (1 - std::clamp(value, 0.0, 1.0))));
        set_pixel(out, {grey, grey, grey}, 255);
        out += 4;
    }
    return picture;
}

}  // namespace loopread
