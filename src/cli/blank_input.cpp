#include "cli/blank_input.h"

#include <algorithm>
#include <future>

#include "cli/blank_ground.h"
#include "cli/blank_measures.h"
#include "cli/dye_figures.h"
#include "cli/photo_input.h"
#include "loopread/base/error.h"
#include "loopread/base/parallel.h"
#include "loopread/base/text.h"
#include "loopread/blank/defaults.h"
#include "loopread/design/file.h"
#include "loopread/loop/interlacing.h"
#include "loopread/photo/read.h"

namespace loopread::cli {
namespace fs = std::filesystem;
namespace {

bool has_ending(const fs::path& file, std::string_view ending) {
    return lowered(file.extension().string()) == ending;
}

enum class Kind { photo, design };

struct LoopDrawing {
    LoopShape shape;
    CellShares shares;
    bool moved = false;
};

}  // namespace

/// The steps from a file to a painted blank, one after another.
class BlankSource::Reading {
public:
    Reading(const fs::path& image, const BlankOptions& options, Outputs& outputs, Ways ways)
        : image_(image),
          options_(options),
          ways_(ways),
          book_(colour_book(options)),
          lay_(chosen_lay(options)),
          pictured_edge_(lay_.ravel_edge),
          outputs_(outputs) {
        check_blank_words(options);
        if (!options_.base.empty()) {
            outputs_.keep_safe(options_.base);
            base_ = read_base(options_.base);
        }
        undyed_ = linear_from_srgb8(book_.colour(options.undyed, "--undyed"));
        outputs_.keep_safe(image);
        if (has_ending(image_, ".toml"))
            read_layers();
        else
            read_flat();
        settle_dye();
    }

    const BlankLayout& layout() const { return layout_; }
    const Lay& lay() const { return lay_; }
    LinearRgb undyed() const { return undyed_; }
    double wrap() const { return wrap_; }
    Millimetres creep() const { return creep_; }
    const std::optional<Design>& design() const { return design_; }
    bool has_other_side() const { return other_side_ || other_; }

    Lay lay_with(QuarterTurn rotate, Mirror mirror) const {
        Lay lay = lay_;
        lay.rotate = rotate;
        lay.mirror = mirror;
        if (options_.fit.empty()) lay.fit = usual_fit(rotate);
        return lay;
    }

    Paint paint(const Lay& lay) const {
        Paint paint;
        paint.raster = raster_;
        paint.wrap = wrap_;
        paint.penetration = penetration_;
        if (design_)
            lay_layers(paint, lay);
        else
            lay_flat(paint, lay);
        return paint;
    }

    Paint crept(Paint paint) const { return loopread::crept(std::move(paint), creep_); }

    enum class Pictures { kept, dropped };

    BlankInput blank(Pictures pictures) {
        Paint laid = paint(lay_);
        if (pictures == Pictures::dropped) {  // as large as the paint, which creeping doubles
            picture_ = Image();
            ground_ = Image();
            stencils_.clear();
        }
        Paint laid_and_crept = crept(std::move(laid));
        LoopDrawing loop = loop_.get();
        if (loop.moved)
            warnings_.push_back(
                "a loop of " + number_text(layout_.loop_length.value, 1) + " mm in a stitch of " +
                number_text(layout_.wale_spacing.value, 1) + " x " + number_text(layout_.course_spacing.value, 1) +
                " mm cannot be drawn; it is drawn in the nearest shape that can be (lengths of yarn stay right)");
        BlankInput blank{layout_,
                         std::move(laid_and_crept),
                         loop.shape,
                         std::move(loop.shares),
                         std::move(assumed_),
                         std::move(warnings_)};
        if (photo_) {
            blank.corners = std::move(photo_->corners);
            blank.counted = photo_->counted;
            blank.count_confidence = photo_->confidence;
        }
        if (other_) blank.other_corners = std::move(other_->corners);
        blank.show_through = show_through_;
        return blank;
    }

private:
    void assume(const std::string& what) { assumed_.push_back(what); }

    void settle_layout(const std::optional<PictureHeader>& header) {
        PicturedMeasures measures = pictured_measures(options_, lay_, header, photo_ ? photo_->counted : std::nullopt);
        layout_ = measures.layout;
        assumed_.insert(assumed_.begin(), measures.assumed.begin(), measures.assumed.end());
        warnings_.insert(warnings_.begin(), measures.warnings.begin(), measures.warnings.end());
        raster_ = blank_raster(layout_, kPixelsPerStitch);
        // The loop needs the layout only: it is worked out while the picture is decoded.
        loop_ = begun([layout = layout_] {
            const DrawnShape drawn =
                drawn_shape({layout.wale_spacing / layout.course_spacing, layout.loop_length / layout.wale_spacing});
            return LoopDrawing{drawn.shape, CellShares(drawn.shape, layout.strands), drawn.moved};
        });
    }

    int shrink_for(const PictureHeader& header) const {
        const int asked = shrink_of(header.width, header.height, lay_, layout_);
        if (ways_ == Ways::asked) return asked;
        const Lay upright = lay_with(QuarterTurn::none, Mirror::no);
        const Lay turned = lay_with(QuarterTurn::clockwise_90, Mirror::no);
        return std::min({asked, shrink_of(header.width, header.height, upright, layout_),
                         shrink_of(header.width, header.height, turned, layout_)});
    }

    Image read(const fs::path& file, const PictureHeader& header) const {
        PictureRequest request;
        request.shrink = shrink_for(header);
        request.under_transparent = undyed_;
        request.max_megapixels = options_.max_megapixels;
        return read_picture(file, request);
    }
    Image read(const fs::path& file) const { return read(file, picture_header(file, options_.max_megapixels)); }

    Kind kind_of(const PictureHeader& header) {
        if (options_.treat_as == "photo" || options_.treat_as == "design")
            return options_.treat_as == "photo" ? Kind::photo : Kind::design;
        if (!options_.treat_as.empty())
            throw Error(ErrorKind::usage, "--treat-as: '" + options_.treat_as + "' is not one of photo, design");
        if (!options_.corners.empty()) return Kind::photo;
        Kind kind = Kind::design;
        std::string why = "taken for a flat design (--treat-as photo if it is a photo)";
        if (header.names_camera) {
            kind = Kind::photo;
            why = "taken for a photo, as it names a camera (--treat-as design if it is a design)";
        } else if (header.from_camera && shows_a_blank({image_, header}, options_)) {
            kind = Kind::photo;
            why = "taken for a photo, as a blank on a table was found in it (--treat-as design if it is a design)";
        } else if (header.from_camera) {
            warnings_.push_back(image_.string() +
                                ": no blank on a table was found in it, so all of it is taken for the design; if it is "
                                "a photo, add --treat-as photo");
        }
        assume(why);
        return kind;
    }

    Millimetres creep_of(Kind kind) {
        if (options_.creep == "0mm" || options_.creep == "0") return {0.0};
        if (!options_.creep.empty()) {
            const Millimetres given = parsed_length(options_.creep, "--creep");
            if (given > std::min(layout_.width(), layout_.length()))
                throw Error(ErrorKind::usage,
                            "--creep: '" + options_.creep + "' is more than the blank; check the unit");
            return given;
        }
        if (kind == Kind::photo) return {0.0};
        if (kDesignCreep > std::min(layout_.width(), layout_.length()))
            throw Error(ErrorKind::usage,
                        "--creep: paint creeps " + number_text(kDesignCreep.value, 1) +
                            " mm if not told otherwise, and the blank is smaller than that; check the "
                            "units of --size, --strand-length and --loop");
        assume("paint creeps " + number_text(kDesignCreep.value, 1) + " mm before it sets (not measured)");
        return kDesignCreep;
    }

    void settle_dye() {
        DyeFigures figures =
            dye_figures(options_, base_, show_through_ ? &show_through_->figures : nullptr,
                        design_ && !design_->layers.empty() ? Penetration::by_layer : Penetration::of_all);
        wrap_ = figures.wrap;
        penetration_ = figures.penetration;
        assumed_.insert(assumed_.end(), figures.assumed.begin(), figures.assumed.end());
    }

    // ---- one flat picture of finished colours

    void read_flat() {
        const PictureHeader header = picture_header(image_, options_.max_megapixels);
        if (!options_.other_side.empty()) {
            outputs_.keep_safe(options_.other_side);
            other_file_ =
                PictureFile{options_.other_side, picture_header(options_.other_side, options_.max_megapixels)};
        } else {
            no_options_without("--other-side",
                               {{"--other-corners", options_.other_corners}, {"--other-white", options_.other_white}});
        }
        if (!header.colour_note.empty()) warnings_.push_back(image_.string() + ": " + header.colour_note);
        const Kind kind = kind_of(header);
        if (kind == Kind::photo) {
            read_photographed(header);
        } else {
            no_photo_options();
            settle_layout(header);
            picture_ = read(image_, header);
        }
        creep_ = creep_of(kind);
        read_ground();
        if (kind == Kind::photo) doubt_ground();
        if (!photo_ && other_file_) read_other_side();
        if (other_) read_show_through();
    }

    /// Is the picture of the other side a photo of a blank on a table?
    bool other_is_photo(Kind painted) const {
        if (painted == Kind::photo || !options_.other_corners.empty() || !options_.other_white.empty()) return true;
        if (options_.treat_as == "design") return false;
        const PictureHeader& header = other_file_->header;
        return header.names_camera || (header.from_camera && shows_a_blank(*other_file_, options_));
    }

    PhotoRequest photo_request() const { return {pictured_edge_, undyed_}; }

    /// Of a design.
    void read_other_side() {
        if (!other_is_photo(Kind::design)) {
            other_side_ = read(other_file_->path, other_file_->header);
            return;
        }
        OtherOfDesign found =
            read_other_of_design(*other_file_, options_, photo_request(), laid(picture_, lay_, layout_, raster_),
                                 {layout_.columns(), layout_.rows});
        assumed_.insert(assumed_.end(), found.assumed.begin(), found.assumed.end());
        warnings_.insert(warnings_.end(), found.warnings.begin(), found.warnings.end());
        other_ = std::move(found.other);
    }

    /// How far the dye went, where both sides were photographed.
    void read_show_through() {
        if (!photo_ || layout_.construction == Construction::tube)
            return;  // of a tube both are knit sides of two layers
        if (other_->with_shade.empty()) {
            warnings_.emplace_back(
                "--other-side: no stitches could be counted in either photo, so they do not tell how far the dye went; "
                "take sharper ones");
            return;
        }
        SidesModel model;
        const DrawnShape drawn =
            drawn_shape({layout_.wale_spacing / layout_.course_spacing, layout_.loop_length / layout_.wale_spacing});
        model.shape = drawn.shape;
        model.strands = layout_.strands;
        model.other = layout_.painted == Painted::face ? Side::back : Side::face;
        model.undyed = undyed_;
        model.usual_wrap = options_.wrap.value_or(base_ && base_->wrap ? *base_->wrap : kDefaultWrap);
        const CellCount cells{photo_->counted->first, photo_->counted->second};
        show_through_ = show_through_found(show_through({picture_, other_->with_shade, cells}, model), *other_);
        show_through_->painted_name = image_.filename().string();
        show_through_->other_name = other_file_->path.filename().string();
        const LinearRgb gain = show_through_->figures.gain;
        for (LinearRgb& p : other_->picture) p = {p.r * gain.r, p.g * gain.g, p.b * gain.b};
        other_->with_shade = Image();
    }

    /// A dipped blank read as an undyed one.
    void doubt_ground() {
        if (options_.ground != "undyed") return;
        const std::optional<LinearRgb> ground = dyed_ground(picture_, undyed_);
        if (ground)
            warnings_.push_back("no undyed yarn shows, and the ground looks dyed (about " +
                                hex_text(srgb8_from_linear(*ground)) +
                                "): if the blank was dipped before it was painted, add --ground auto");
    }

    void no_photo_options() const {
        for (const auto& [name, value] : {std::pair{"--corners", options_.corners}, {"--white", options_.white}})
            if (!value.empty())
                throw Error(ErrorKind::usage,
                            std::string(name) + ": is for a photo; add --treat-as photo, or leave it out");
    }

    static void no_options_without(const std::string& needed,
                                   const std::vector<std::pair<std::string, std::string>>& options) {
        for (const auto& [name, value] : options)
            if (!value.empty())
                throw Error(ErrorKind::usage, std::string(name).append(": needs " + needed + " to go with it"));
    }

    /// The photo as a flat picture with the ravel edge on top, whatever side it was on.
    void read_photographed(const PictureHeader& header) {
        photo_ = other_file_ ? read_both_photos({image_, header}, *other_file_, options_, photo_request())
                             : read_photo({image_, header}, options_, photo_request());
        other_ = std::move(photo_->other);
        lay_.ravel_edge = RavelEdge::top;  // of the flat picture; other pictures lie as the photo did
        picture_ = std::move(photo_->picture);
        PictureHeader flat = header;
        flat.width = picture_.columns();
        flat.height = picture_.rows();
        settle_layout(flat);
        assumed_.insert(assumed_.begin(), photo_->assumed.begin(), photo_->assumed.end());
        warnings_.insert(warnings_.begin(), photo_->warnings.begin(), photo_->warnings.end());
    }

    void read_ground() {
        const std::string& ground = options_.ground;
        if (ground == "undyed") {
            ground_ = Image(1, 1, undyed_);
            assume("painted on undyed yarn (--ground auto if it was dipped)");
        } else if (ground == "auto") {
            assume("a dipped ground, told from the picture where no motif lies (--ground auto)");
        } else if (std::error_code ignored; fs::exists(ground, ignored)) {
            outputs_.keep_safe(ground);
            ground_ = read(ground);
        } else {
            ground_ = Image(1, 1, linear_from_srgb8(book_.colour(ground, "--ground")));
        }
    }

    Lay as_pictured(Lay lay) const {
        lay.ravel_edge = pictured_edge_;
        return lay;
    }

    void lay_flat(Paint& paint, const Lay& lay) const {
        paint.picture = laid(picture_, lay, layout_, raster_);
        if (ground_.empty())
            paint.ground = estimated_ground(*paint.picture);
        else
            paint.ground = ground_.size() == 1 ? ground_ : laid(ground_, as_pictured(lay), layout_, raster_);
        const bool as_photographed = lay.rotate == lay_.rotate && lay.mirror == lay_.mirror;
        if (other_ &&
            as_photographed) {  // on the painted photo it goes wherever that goes; on a design it lies already
            paint.other_side = photo_ ? laid(other_->picture, lay, layout_, raster_) : other_->picture;
        } else if (other_side_ && as_photographed) {
            // Seen from the other side, left and right have changed places.
            Lay through;
            through.ravel_edge = pictured_edge_;
            through.mirror = Mirror::left_right;
            paint.other_side = laid(*other_side_, through, layout_, raster_);
        }
    }

    // ---- a design in layers

    void read_layers() {
        design_ = read_design(image_, book_);
        for (const fs::path& picture : design_->pictures()) outputs_.keep_safe(picture);
        if (design_->layers.empty() && !design_->ground.picture)
            settle_layout(std::nullopt);
        else
            settle_layout(
                picture_header(design_->layers.empty() ? *design_->ground.picture : design_->layers.front().stencil,
                               options_.max_megapixels));
        undyed_ = linear_from_srgb8(design_->undyed);
        if (design_->ground.picture)
            ground_ = read(*design_->ground.picture);
        else if (design_->ground.colours.size() == 1)
            ground_ = Image(1, 1, linear_from_srgb8(design_->ground.colours.front()));
        else
            ground_ = ground_fade(design_->ground);
        creep_ = creep_of(Kind::design);
        for (const DesignLayer& layer : design_->layers) {
            const PictureHeader header = picture_header(layer.stencil, options_.max_megapixels);
            stencils_.push_back(read_stencil(layer.stencil, shrink_for(header), options_.max_megapixels));
        }
        assume("a design in layers: ground first, then each layer");
    }

    /// A layer's own, if other than usual, goes before the yarn base's.
    double penetration_of(const DesignLayer& layer) const {
        if (options_.penetration) return *options_.penetration;
        const bool usual = layer.penetration == DesignLayer{}.penetration;
        return usual && base_ && base_->penetration ? *base_->penetration : layer.penetration;
    }

    void lay_layers(Paint& paint, const Lay& lay) const {
        Lay ground_lay = lay;
        ground_lay.fit = Fit::stretch;  // a bath is the blank's, whatever the stencils repeat
        // A fade is told from the ravel edge, wherever that is in the pictures.
        if (!design_->ground.picture) ground_lay.ravel_edge = RavelEdge::top;
        paint.ground = ground_.size() == 1 ? ground_ : laid(ground_, ground_lay, layout_, raster_);
        for (std::size_t i = 0; i < stencils_.size(); ++i) {
            const DesignLayer& layer = design_->layers[i];
            Plane amount = laid(stencils_[i], lay, layout_, raster_);
            for (double& value : amount) value *= layer.strength;
            const KOverS dye = k_over_s(linear_from_srgb8(layer.colour)) - k_over_s(undyed_);
            paint.layers.push_back({layer.name, std::move(amount), dye, penetration_of(layer)});
        }
    }

    fs::path image_;
    BlankOptions options_;
    Ways ways_;
    ColourBook book_;
    Lay lay_;
    RavelEdge pictured_edge_;
    Outputs& outputs_;
    LinearRgb undyed_;
    BlankLayout layout_;
    BlankRaster raster_;
    Millimetres creep_{0};
    double wrap_ = kDefaultWrap;
    double penetration_ = kDefaultPenetration;
    Image picture_;  // finished colours as decoded
    Image ground_;   // 1 x 1, a picture as decoded, or empty: to be estimated
    std::optional<PictureFile> other_file_;
    std::optional<Image> other_side_;        // a flat picture, as decoded
    std::optional<OtherSideReading> other_;  // a photo, laid on the painted picture
    std::optional<ShowThroughFound> show_through_;
    std::optional<YarnBase> base_;
    std::optional<Design> design_;
    std::vector<Plane> stencils_;  // of the design's layers, as decoded
    std::optional<PhotoReading> photo_;
    std::future<LoopDrawing> loop_;
    std::vector<std::string> assumed_;
    std::vector<std::string> warnings_;
};

BlankSource::BlankSource(const fs::path& image, const BlankOptions& options, Outputs& outputs, Ways ways) {
    if (is_yarn_file(image))
        throw Error(ErrorKind::usage,
                    image.string() + ": is a yarn file; this command needs a picture or a design.toml of a blank");
    reading_ = std::make_unique<Reading>(image, options, outputs, ways);
}
BlankSource::~BlankSource() = default;
BlankSource::BlankSource(BlankSource&&) noexcept = default;
BlankSource& BlankSource::operator=(BlankSource&&) noexcept = default;

const BlankLayout& BlankSource::layout() const {
    return reading_->layout();
}
const Lay& BlankSource::asked_lay() const {
    return reading_->lay();
}
Lay BlankSource::lay_with(QuarterTurn rotate, Mirror mirror) const {
    return reading_->lay_with(rotate, mirror);
}
Paint BlankSource::paint(const Lay& lay) const {
    return reading_->paint(lay);
}
Paint BlankSource::crept(Paint paint) const {
    return reading_->crept(std::move(paint));
}
bool BlankSource::has_other_side() const {
    return reading_->has_other_side();
}
LinearRgb BlankSource::undyed() const {
    return reading_->undyed();
}
double BlankSource::wrap() const {
    return reading_->wrap();
}
Millimetres BlankSource::creep() const {
    return reading_->creep();
}
const std::optional<Design>& BlankSource::design() const {
    return reading_->design();
}
BlankInput BlankSource::blank() & {
    return reading_->blank(Reading::Pictures::kept);
}
BlankInput BlankSource::blank() && {
    return reading_->blank(Reading::Pictures::dropped);
}

void check_blank_words(const BlankOptions& options) {
    given_measures(options);
    chosen_lay(options);
    chosen_tail(options);
    chosen_side(options);
    check_paint(options);
    colour_book(options);
}

bool is_yarn_file(const fs::path& input) {
    return has_ending(input, ".csv");
}

BlankInput read_blank(const fs::path& image, const BlankOptions& options, Outputs& outputs) {
    return BlankSource(image, options, outputs).blank();
}

}  // namespace loopread::cli
