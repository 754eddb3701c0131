#include "cli/blank_input.h"

#include <algorithm>
#include <cmath>
#include <future>

#include "cli/photo_input.h"
#include "loopread/base/error.h"
#include "loopread/base/text.h"
#include "loopread/design/file.h"
#include "loopread/loop/interlacing.h"
#include "loopread/photo/read.h"
#include "loopread/unravel/unravelled.h"
#include "loopread/yarn/file.h"

namespace loopread::cli {
namespace fs = std::filesystem;
namespace {

constexpr int kPixelsPerStitch = 8;
constexpr double kDesignCreep = 2.0;         // mm
constexpr double kDefaultWrap = 0.7;         // no source
constexpr double kDefaultPenetration = 0.4;  // of paste; no source
constexpr double kShapesDiffer = 0.10;

bool has_ending(const fs::path& file, std::string_view ending) {
    std::string own = file.extension().string();
    std::transform(own.begin(), own.end(), own.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return own == ending;
}

/// Whole-number reduction that leaves a stitch its pixels.
int shrink_of(int picture_width, int picture_height, const Lay& lay, const BlankLayout& layout) {
    Lay filling = lay;
    if (lay.fit == Fit::tile) filling.rotate = QuarterTurn::none;  // at the scale at which the upright picture fills
    const TurnedSize size = turned_size(picture_width, picture_height, filling);
    const double per_stitch = static_cast<double>(size.width) / layout.columns();
    const double per_row = lay.fit == Fit::tile ? per_stitch * (layout.course_spacing / layout.wale_spacing)
                                                : static_cast<double>(size.height) / layout.rows;
    return std::max(1, static_cast<int>(std::min(per_stitch, per_row * 1.3) / kPixelsPerStitch));
}

enum class Kind { photo, design };

struct LoopDrawing {
    LoopShape shape;
    CellShares shares;
    bool moved = false;
};

void check_words(const BlankOptions& options) {
    given_measures(options);
    chosen_lay(options);
    chosen_tail(options);
    chosen_side(options);
    check_paint(options);
    colour_book(options);
}

/// A fade as a strip of colours, straight in linear light from stop to stop.
Image fade(const DesignGround& ground) {
    constexpr int kSteps = 1024;
    const bool along_length = ground.along == DesignGround::Along::length;
    Image strip(along_length ? kSteps : 1, along_length ? 1 : kSteps);
    const auto stops = ground.colours.size();
    for (int i = 0; i < kSteps; ++i) {
        const double place = (i + 0.5) / kSteps * static_cast<double>(stops - 1);
        const auto stop = std::min(static_cast<std::size_t>(place), stops - 2);
        strip(along_length ? i : 0, along_length ? 0 : i) =
            mixed(linear_from_srgb8(ground.colours[stop]), linear_from_srgb8(ground.colours[stop + 1]),
                  place - static_cast<double>(stop));
    }
    return strip;
}

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
        check_words(options);
        undyed_ = linear_from_srgb8(book_.colour(options.undyed, "--undyed"));
        outputs_.keep_safe(image);
        if (has_ending(image_, ".toml"))
            read_layers();
        else
            read_flat();
        wrap_ = options_.wrap.value_or(kDefaultWrap);
        if (!options_.wrap) assume("paint goes round a thread by " + number_text(wrap_, 2) + " (wrap, not measured)");
    }

    const BlankLayout& layout() const { return layout_; }
    const Lay& lay() const { return lay_; }
    const std::optional<Design>& design() const { return design_; }
    bool has_other_side() const { return other_side_.has_value(); }

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

    Paint crept(Paint paint) const {
        const RasterBlur blur = creep_blur(creep_, raster_);
        if (!(blur.sigma_x > 0 || blur.sigma_y > 0)) return paint;
        if (paint.picture) paint.picture = blurred(*paint.picture, blur.sigma_x, blur.sigma_y);
        for (DyeLayer& layer : paint.layers) layer.amount = blurred(layer.amount, blur.sigma_x, blur.sigma_y);
        return paint;
    }

    BlankInput blank() {
        Paint laid_and_crept = crept(paint(lay_));
        LoopDrawing loop = loop_.get();
        if (loop.moved)
            warnings_.push_back(
                "a loop of " + number_text(layout_.loop_length.value, 1) + " mm in a stitch of " +
                number_text(layout_.wale_spacing.value, 1) + " x " + number_text(layout_.course_spacing.value, 1) +
                " mm cannot be drawn as it is; it is drawn in the nearest shape that can (yarn lengths are kept)");
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
        return blank;
    }

private:
    void assume(const std::string& what) { assumed_.push_back(what); }

    void settle_layout(const std::optional<PictureHeader>& header) {
        GivenMeasures given = given_measures(options_);
        if (photo_ && photo_->counted && !given.blank) given.blank = photo_->counted;
        // Where a quarter turn tiles of itself, it is the upright picture that fills the blank.
        Lay filling = lay_;
        if (options_.fit.empty()) {
            filling.fit = Fit::stretch;
            if (lay_.fit == Fit::tile) filling.rotate = QuarterTurn::none;
        }
        std::optional<double> shape;
        if (header && filling.fit == Fit::stretch) {
            const TurnedSize size = turned_size(header->width, header->height, filling);
            shape = static_cast<double>(size.width) / size.height;
        }
        given.picture_width_per_length = shape;
        if (given.size && shape && size_looks_turned(*given.size, *shape))
            throw Error(ErrorKind::usage, "--size: '" + options_.size +
                                              "' is width x length, but the picture is the other way round; turn the "
                                              "two figures, or say with --ravel-edge where the blank comes apart");
        SettledMeasures measures = settled(given);
        layout_ = measures.layout;
        layout_.tail = chosen_tail(options_);
        layout_.painted = chosen_side(options_);
        assumed_.insert(assumed_.begin(), measures.assumed.begin(), measures.assumed.end());
        warnings_.insert(warnings_.begin(), measures.warnings.begin(), measures.warnings.end());
        const double own = layout_.width() / layout_.length();
        if (shape && std::abs(std::log(*shape / own)) > std::log(1 + kShapesDiffer))
            warnings_.push_back(
                "the picture is " + number_text(1 / *shape, 2) + " times as long as wide, the blank " +
                number_text(1 / own, 2) +
                " times: it is stretched to fit; give --size or --blank, or lay it with --fit cover or tile");
        raster_ = blank_raster(layout_, kPixelsPerStitch);
        // The loop needs the layout only: it is worked out while the picture is decoded.
        loop_ = std::async(std::launch::async, [layout = layout_] {
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
        std::string why = "treated as a design, painted flat (--treat-as photo otherwise)";
        if (header.names_camera) {
            kind = Kind::photo;
            why = "treated as a photo: it names a camera (--treat-as design otherwise)";
        } else if (header.from_camera && shows_a_blank(image_, header, options_)) {
            kind = Kind::photo;
            why = "treated as a photo: a blank on a table was found in it (--treat-as design otherwise)";
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
        if (Millimetres{kDesignCreep} > std::min(layout_.width(), layout_.length()))
            throw Error(ErrorKind::usage,
                        "--creep: paint creeps " + number_text(kDesignCreep, 1) +
                            " mm if not told otherwise, and the blank is smaller than that; check the "
                            "units of --size, --strand-length and --loop");
        assume("paint creeps " + number_text(kDesignCreep, 1) + " mm before it sets (not measured)");
        return {kDesignCreep};
    }

    double penetration_of_paint() {
        if (options_.penetration) return *options_.penetration;
        assume("dye reached " + number_text(kDefaultPenetration, 1) +
               " of the covered yarn (penetration, not measured)");
        return kDefaultPenetration;
    }

    // ---- one flat picture of finished colours

    void read_flat() {
        const PictureHeader header = picture_header(image_, options_.max_megapixels);
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
        penetration_ = penetration_of_paint();
        if (!options_.other_side.empty()) {
            outputs_.keep_safe(options_.other_side);
            other_side_ = read(options_.other_side);
        }
    }

    void no_photo_options() const {
        for (const auto& [name, value] : {std::pair{"--corners", options_.corners}, {"--white", options_.white}})
            if (!value.empty())
                throw Error(ErrorKind::usage,
                            std::string(name) + ": is for a photo; add --treat-as photo, or leave it out");
    }

    /// The photo as a flat picture with the ravel edge on top, whatever side it was on.
    void read_photographed(const PictureHeader& header) {
        photo_ = read_photo(image_, header, options_, lay_.ravel_edge, undyed_);
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
            assume("a dipped ground, estimated from the picture off the motifs");
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
        if (other_side_ && as_photographed) {
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
            ground_ = fade(design_->ground);
        creep_ = creep_of(Kind::design);
        for (const DesignLayer& layer : design_->layers) {
            const PictureHeader header = picture_header(layer.stencil, options_.max_megapixels);
            stencils_.push_back(read_stencil(layer.stencil, shrink_for(header), options_.max_megapixels));
        }
        assume("a design in layers, the ground dyed first");
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
            paint.layers.push_back(
                {layer.name, std::move(amount), dye, options_.penetration.value_or(layer.penetration)});
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
    std::optional<Image> other_side_;
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
const std::optional<Design>& BlankSource::design() const {
    return reading_->design();
}
BlankInput BlankSource::blank() {
    return reading_->blank();
}

bool is_yarn_file(const fs::path& input) {
    return has_ending(input, ".csv");
}

BlankInput read_blank(const fs::path& image, const BlankOptions& options, Outputs& outputs) {
    return BlankSource(image, options, outputs).blank();
}

std::vector<ColourRun> unravelled(const BlankInput& blank, const WindingOptions& winding) {
    return loopread::unravelled(blank.layout, blank.paint, blank.shape, blank.shares, winding);
}

YarnInput read_yarn(const fs::path& input, const BlankOptions& options, std::uint64_t seed, Outputs& outputs) {
    YarnInput yarn;
    if (is_yarn_file(input)) {
        check_words(options);  // of no use here, but a slip of the pen all the same
        outputs.keep_safe(input);
        yarn.strands = parsed_yarn_csv(file_bytes(input), input.string());
        return yarn;
    }
    yarn.blank = read_blank(input, options, outputs);
    yarn.strands = unravelled(*yarn.blank, winding_options(options, seed));
    yarn.assumed = yarn.blank->assumed;
    yarn.warnings = yarn.blank->warnings;
    return yarn;
}

}  // namespace loopread::cli
