#include "cli/listing_pictures.h"

#include <algorithm>
#include <cmath>
#include <functional>

#include "cli/flat_photo.h"
#include "loopread/base/error.h"
#include "loopread/base/parallel.h"
#include "loopread/base/text.h"
#include "loopread/draw/contact_sheet.h"
#include "loopread/draw/palette_card.h"
#include "loopread/draw/wound_sheet.h"
#include "loopread/image/sampling.h"
#include "loopread/listing/close_up.h"
#include "loopread/listing/flat_scene.h"
#include "loopread/listing/yarn_wrap.h"
#include "loopread/photo/srgb_profile.h"
#include "loopread/photo/write.h"
#include "loopread/raster/blank_cloth.h"
#include "loopread/wound/pictures.h"

namespace loopread::cli {
namespace {

constexpr int kPictureQuality = 88;  // of the JPEGs: single fibres without blocks
constexpr const char* kComputed = "computed from the dyed blank";
constexpr int kContactColumns = 2000;
constexpr std::size_t kMostPictures = 9;
// Each draws with all cores, but for where it winds yarn and packs the file: two keep them busy, more would only take
// memory.
constexpr std::size_t kPicturesAtOnce = 2;

/// "Harbour, dark red and pale blue"
std::string main_colours(const std::vector<NamedShare>& colours) {
    constexpr std::size_t kNamed = 3;
    const std::size_t count = std::min(kNamed, colours.size());
    std::string words;
    for (std::size_t i = 0; i < count; ++i) words += (i == 0 ? "" : i + 1 == count ? " and " : ", ") + colours[i].name;
    return words;
}

class SetDrawing {
public:
    SetDrawing(const ListingSubject& subject, const ListingOptions& options, const ListingRequest& request)
        : subject_(subject), options_(options) {
        wound_ = request.wound.picture;
        wound_.diameter = subject.diameter;
        wound_.loop = subject.blank->layout.loop_length;
        wound_.seed = subject.seed;
    }

    std::vector<DrawnPicture> drawn() {
        balls_ = knitted_balls(subject_.strands, subject_.knitting);
        add_painted_side();
        if (!options_.blank.other_side.empty()) add_other_side();
        add([this] { return close_up_picture(); }, kComputed,
            {"03-stitches.jpg", std::string("The painted side from close up: single stitches") +
                                    (subject_.strands.size() == 2 ? ", each with its two threads." : ".")},
            "stitches");
        add_half_ravelled();
        const bool pair = subject_.strands.size() == 2;
        add([this] { return wound(WoundKind::skein); }, kComputed,
            {"05-skein.jpg",
             (pair ? "A twisted skein of ball A: " : "A twisted skein: ") + main_colours(subject_.colours) + "."},
            "skein");
        add([this, pair] { return wound(pair ? WoundKind::pair : WoundKind::ball); },
            pair ? std::string("ball A, ball B: ") + kComputed : kComputed,
            {pair ? "06-pair.jpg" : "06-ball.jpg",
             (pair ? "Ball A and ball B side by side, wound straight from the blank: "
                   : "The ball, wound straight from the blank: ") +
                 main_colours(subject_.colours) + "."},
            pair ? "ball A and ball B" : "ball");
        add_swatch();
        add_socks();
        add_colours();
        return made();
    }

private:
    struct Listed {
        std::string file, alt;
        bool computed = true;
    };
    struct Planned {
        std::function<Picture8()> draw;
        std::string line;
        Listed listed;
        std::string caption;
    };

    void add(std::function<Picture8()> draw, const std::string& line, Listed listed, std::string caption) {
        planned_.push_back({std::move(draw), line, std::move(listed), std::move(caption)});
    }

    static DrawnPicture made_of(const Planned& plan) {
        Picture8 picture = plan.draw();
        if (!plan.line.empty()) picture = with_caption(std::move(picture), plan.line);
        DrawnPicture out;
        out.listed = {plan.listed.file, plan.listed.alt + (plan.listed.computed ? " Computed, not photographed." : ""),
                      plan.listed.computed};
        out.caption = plan.caption;
        out.bytes = with_srgb_profile(jpeg_bytes(picture, kPictureQuality));
        out.small = made_small(picture, thumb_room(kContactColumns, kMostPictures).pixels);
        return out;
    }

    std::vector<DrawnPicture> made() const {
        std::vector<DrawnPicture> all(planned_.size());
        in_parallel(all.size(), std::min(kPicturesAtOnce, thread_count(0)),
                    [&] { return [&](std::size_t i) { all[i] = made_of(planned_[i]); }; });
        return all;
    }

    PhotoRequest photo_request() const {
        return {chosen_lay(options_.blank).ravel_edge,
                linear_from_srgb8(colour_book(options_.blank).colour(options_.blank.undyed, "--undyed")),
                PhotoRequest::CornersPicture::not_written};
    }
    /// Without the outermost half stitch, where the table shows between the loops of an edge.
    Image photo_of(const std::filesystem::path& file, PhotoOf side) const {
        const Image flat = flat_photo({file, picture_header(file, options_.blank.max_megapixels)}, options_.blank,
                                      photo_request(), side)
                               .flat;
        const double rim = 0.5 * flat.columns() / subject_.blank->layout.columns();
        const PixelBox inner{rim, rim, flat.columns() - rim, flat.rows() - rim};
        return resampled(flat, inner, flat.rows(), flat.columns());
    }

    Picture8 blank_on_table(const Image& blank) const {
        return blank_scene({.rows = wound_.rows, .columns = wound_.columns, .ground = wound_.ground}, blank,
                           subject_.blank->layout);
    }

    Picture8 wound(WoundKind kind) const {
        WoundPictureOptions options = wound_;
        options.kind = kind;
        return wound_picture(subject_.strands, options).picture;
    }

    void add_half_ravelled() {
        const BlankInput& blank = *subject_.blank;
        add(
            [this, &blank] {
                return half_ravelled_picture({subject_.strands, subject_.painted},
                                             {.layout = blank.layout,
                                              .shape = blank.shape,
                                              .winding = subject_.winding,
                                              .diameter = wound_.diameter,
                                              .seed = subject_.seed},
                                             wound_)
                    .picture;
            },
            kComputed,
            {"04-half-ravelled.jpg",
             "The blank half ravelled: the painted rest of it, and beside it the crimped yarn "
             "that has come off, running to the stitch that comes off next."},
            "half ravelled");
    }

    void add_painted_side() {
        const bool photographed = subject_.blank->corners.has_value();
        const std::string alt =
            "The painted side of the blank lying flat, its ravel edge at the top: " + main_colours(subject_.colours) +
            ". Beside it the upper part, closer.";
        add(
            [this, photographed] {
                return blank_on_table(photographed ? photo_of(subject_.image, PhotoOf::painted_side) : knitted_blank());
            },
            photographed ? "" : kComputed, {"01-painted-side.jpg", alt, !photographed}, "painted side");
    }

    /// The other side's photo, turned as the painted side lies where its colours tell how.
    void add_other_side() {
        const BlankInput& blank = *subject_.blank;
        const bool photographed = blank.other_corners.has_value();
        if (!photographed && !blank.paint.other_side) return;
        add([this] { return blank_on_table(other_side()); }, photographed ? "" : kComputed,
            {"02-other-side.jpg", "The other side of the blank, turned over like a page, its ravel edge at the top.",
             !photographed},
            "other side");
    }

    Image other_side() const {
        const BlankInput& blank = *subject_.blank;
        if (!blank.other_corners) return mirrored(*blank.paint.other_side);
        const Image picture = photo_of(options_.blank.other_side, PhotoOf::other_side);
        return blank.paint.other_side ? upright_like(picture, mirrored(*blank.paint.other_side)) : picture;
    }

    /// The blank as knitted and painted, the ravel edge on top.
    Image knitted_blank() const {
        const BlankLayout& layout = subject_.blank->layout;
        ClothLook look = blank_look();
        const double tall = blank_height(wound_.rows);
        look.pixels_per_stitch = std::clamp(1.3 * tall / layout.rows * look.wale_per_course, 2.0, 24.0);
        look.sights = 18;
        return drawn_cloth(blank_cloth(layout, subject_.painted, subject_.winding), subject_.blank->shape, look);
    }

    ClothLook blank_look() const {
        const BlankLayout& layout = subject_.blank->layout;
        ClothLook look;
        look.wale_per_course = layout.wale_spacing / layout.course_spacing;
        look.side = layout.painted == Painted::face ? Side::face : Side::back;
        look.seed = subject_.seed;
        look.unevenness = 0.5;
        return look;
    }

    /// Cloth all over, but for a strip of table with the line of letters.
    Picture8 close_up_picture() const {
        const BlankInput& blank = *subject_.blank;
        const int strip = static_cast<int>(std::ceil(0.042 * std::max(wound_.rows, wound_.columns)));
        const Picture8 cloth = close_up({.rows = std::max(1, wound_.rows - strip),
                                         .columns = wound_.columns,
                                         .layout = blank.layout,
                                         .shape = blank.shape,
                                         .winding = subject_.winding,
                                         .ground = wound_.ground,
                                         .seed = subject_.seed},
                                        subject_.painted);
        return above_table(cloth, {.rows = wound_.rows,
                                   .columns = wound_.columns,
                                   .pixels_per_mm = wound_.columns / (20 * blank.layout.wale_spacing.value),
                                   .ground = wound_.ground});
    }

    Picture8 swatch() const {
        const int stitches = subject_.knitting.stitches;
        FabricDrawing drawing;
        drawing.seed = subject_.seed;
        drawing.pixels_per_stitch = std::max(2.0, std::floor(0.84 * wound_.columns / stitches * 4) / 4);
        const double row = pixels_per_round(drawing, subject_.knitting);
        const int rounds = std::max(1, static_cast<int>(0.84 * wound_.rows / row));
        const KnittedBall piece = plain_piece(balls_.front().run, subject_.knitting, stitches, rounds);
        const double pixels_per_mm = drawing.pixels_per_stitch / subject_.knitting.gauge.stitch_width().value;
        return swatch_scene(
            {.rows = wound_.rows, .columns = wound_.columns, .pixels_per_mm = pixels_per_mm, .ground = wound_.ground},
            drawn_fabric(piece, subject_.knitting, drawing));
    }

    void add_swatch() {
        const std::string stitches = std::to_string(subject_.knitting.stitches), &ball = balls_.front().name;
        add([this] { return swatch(); }, stitches + " stitches, " + ball + " - " + kComputed,
            {"07-swatch.jpg", "A swatch knitted from " + ball + " at " + stitches + " stitches, opened out."},
            "swatch, " + stitches + " stitches");
    }

    Picture8 socks() const {
        std::vector<SockToLay> socks;
        for (const KnittedBall& ball : balls_) socks.push_back({&ball.fabric, &ball.run, &ball.garment});
        return socks_scene({.rows = wound_.rows, .columns = wound_.columns, .ground = wound_.ground}, socks,
                           drawn_stitch(subject_.knitting).shape, subject_.knitting.gauge);
    }

    void add_socks() {
        const bool pair = balls_.size() == 2;
        add([this] { return socks(); }, kComputed,
            {"08-socks.jpg", (pair ? "The pair of socks" : "A sock") + std::string(" knitted at ") +
                                 std::to_string(subject_.knitting.stitches) + " stitches, laid flat."},
            pair ? "pair of socks" : "sock");
    }

    Picture8 colours_card() const {
        const WrapRoom room = wrap_room(wound_.columns, wound_.rows);
        YarnWrap wrap = yarn_wrap(subject_.strands, subject_.colours,
                                  {.columns = room.columns,
                                   .rows = room.rows,
                                   .diameter = wound_.diameter,
                                   .loop_mm = subject_.blank->layout.loop_length.value});
        return palette_card({.columns = wound_.columns,
                             .rows = wound_.rows,
                             .paper = wrap.paper,
                             .title = subject_.title,
                             .subtitle = subject_.maker.empty() ? "Colours along the yarn"
                                                                : "Colours along the yarn, dyed by " + subject_.maker,
                             .wrap = std::move(wrap.picture),
                             .bands = std::move(wrap.bands),
                             .foot = kComputed});
    }

    void add_colours() {
        std::string alt = "The colours of the yarn wound on a card:";
        for (const NamedShare& one : subject_.colours)
            alt += " " + one.name + " " + number_text(100 * one.share, 0) + " %,";
        alt.back() = '.';
        add([this] { return colours_card(); }, "", {"09-colours.jpg", alt}, "colours");
    }

    const ListingSubject& subject_;
    const ListingOptions& options_;
    WoundPictureOptions wound_;
    std::vector<KnittedBall> balls_;
    std::vector<Planned> planned_;
};

}  // namespace

std::vector<DrawnPicture> listing_pictures(const ListingSubject& subject, const ListingOptions& options,
                                           const ListingRequest& request) {
    return SetDrawing(subject, options, request).drawn();
}

Picture8 contact_sheet_of(const std::vector<DrawnPicture>& pictures, const ListingFacts& facts) {
    ContactSheet sheet{.columns = kContactColumns, .title = facts.title, .subtitle = "", .pictures = {}, .lines = {}};
    if (!facts.maker.empty()) sheet.subtitle = "dyed by " + facts.maker;
    const ThumbRoom room = thumb_room(kContactColumns, pictures.size());
    for (const DrawnPicture& one : pictures) {
        sheet.pictures.push_back(
            {made_small(one.small, room.pixels), one.caption + (one.listed.computed ? "" : " (photo)")});
    }
    sheet.lines = {yarn_in_words(facts) + (facts.fibre.empty() ? "" : "; " + fibre_line(facts.fibre)),
                   "Pictures are computed from the dyed blank, unless marked as photos."};
    return contact_sheet(sheet);
}

}  // namespace loopread::cli
