#include "loopread/table/table.h"
#include "loopread/table/counted_photo.h"

#include <algorithm>
#include <cmath>
#include <deque>
#include <utility>

#include "loopread/base/error.h"
#include "loopread/base/require.h"
#include "loopread/base/text.h"
#include "loopread/blank/measures.h"
#include "loopread/colour/kubelka_munk.h"
#include "loopread/image/sampling.h"
#include "loopread/lay/motifs.h"
#include "loopread/loop/interlacing.h"
#include "loopread/table/counted_photo.h"
#include "table/strand_reader.h"

namespace loopread {
namespace {

constexpr long long kMostLoops = 60'000;  // chosen: six times a usual blank; a page has little memory and one thread

struct LoopDrawing {
    LoopProportions measured;
    int strands = 0;
    DrawnShape drawn;
    CellShares shares;
};

/// The latest few: a blank's measures are tried this way and that.
class LoopDrawings {
public:
    const LoopDrawing& of(const BlankLayout& layout) {
        const LoopProportions measured{layout.wale_spacing / layout.course_spacing,
                                       layout.loop_length / layout.wale_spacing};
        for (const LoopDrawing& known : known_)
            if (known.strands == layout.strands && known.measured.wale_per_course == measured.wale_per_course &&
                known.measured.length_per_wale == measured.length_per_wale)
                return known;
        const DrawnShape drawn = drawn_shape(measured);
        if (known_.size() >= 6) known_.pop_back();
        known_.push_front({measured, layout.strands, drawn, CellShares(drawn.shape, layout.strands)});
        return known_.front();
    }

private:
    std::deque<LoopDrawing> known_;
};

bool same(const BlankLayout& a, const BlankLayout& b) {
    return a.stitches == b.stitches && a.rows == b.rows && a.strands == b.strands && a.wale_spacing == b.wale_spacing &&
           a.course_spacing == b.course_spacing && a.loop_length == b.loop_length && a.construction == b.construction &&
           a.tail == b.tail && a.painted == b.painted;
}

GivenMeasures given_measures(const BlankState& blank, std::vector<std::string>& warnings) {
    GivenMeasures given;
    if (blank.stitches && blank.rows) given.blank = CountPair{*blank.stitches, *blank.rows};
    if (blank.stitches.has_value() != blank.rows.has_value())
        warnings.push_back("stitches without rows (or rows without stitches) are not used; count both");
    if (blank.width_cm && blank.length_cm)
        given.size = LengthPair{Millimetres{10 * *blank.width_cm}, Millimetres{10 * *blank.length_cm}};
    if (blank.width_cm.has_value() != blank.length_cm.has_value())
        warnings.push_back("a width without a length (or a length without a width) is not used; measure both");
    if (blank.strand_m) given.strand_length = Millimetres{1000 * *blank.strand_m};
    given.strands = blank.strands;
    given.construction = blank.construction;
    return given;
}

/// The half of a Gaussian's kernel (see blurred), in pixels.
int blur_reach(double sigma) {
    return static_cast<int>(std::ceil(4 * sigma));
}

Plane part_of(const Plane& plane, const RasterBox& box) {
    Plane part(box.bottom - box.top, box.right - box.left);
    for (int row = box.top; row < box.bottom; ++row)
        std::copy(plane.row(row) + box.left, plane.row(row) + box.right, part.row(row - box.top));
    return part;
}

void put(Plane& plane, const RasterBox& box, const Plane& from, int from_left, int from_top) {
    for (int row = box.top; row < box.bottom; ++row)
        std::copy_n(from.row(row - from_top) + (box.left - from_left), box.right - box.left, plane.row(row) + box.left);
}

}  // namespace

LaidAs turn_between(const LaidAs& from, const LaidAs& to) {
    const int turn = static_cast<int>(to.rotate) - static_cast<int>(from.rotate);
    const bool from_mirrored = from.mirror == Mirror::left_right;
    // What was mirrored turns the other way round.
    const int quarters = ((from_mirrored ? -turn : turn) % 4 + 4) % 4;
    return {static_cast<QuarterTurn>(quarters), from.mirror == to.mirror ? Mirror::no : Mirror::left_right};
}

/// What was worked out, stage by stage, each with what it was worked out from.
class DyeTable::Stages {
public:
    // ---- what is given
    SourcePicture source;
    std::uint64_t source_version = 0;
    PrintMasks masks;
    std::map<int, std::uint64_t> mask_versions;
    TableState state;
    SettledTable settled;
    Versions versions;

    // ---- worked out
    BlankRaster raster;
    LoopDrawings loops;
    std::optional<LoopDrawing> loop;
    std::optional<StrandReader> reader;
    ReadStrands yarn;
    std::vector<ColourRun> runs;
    Paint paint;

    struct LayerStage {
        TableLayer layer;
        LaidAs way;
        std::uint64_t mask_version = 0;
        Plane sharp, crept;  // of the layer's whole strength
    };
    std::vector<LayerStage> layers;  // those that are on
    struct PictureStage {
        std::uint64_t source_version = 0;
        Image laid, crept;
        Image ground;  // 1 x 1, or over the raster
    };
    std::optional<PictureStage> picture;
    std::deque<std::pair<std::uint64_t, CourseRange>> changes;  // yarn versions and what each changed

    void apply(const TableState& next) {
        SettledTable measures = settled_of(next);
        for (const TableLayer& layer : next.layers) check_mask(layer);
        const bool new_layout = !reader || !same(measures.layout, settled.layout) || next.seed != state.seed;
        std::optional<LoopDrawing> drawing;
        if (new_layout) drawing = loops.of(measures.layout);
        if ((drawing ? *drawing : *loop).drawn.moved)
            measures.warnings.push_back(
                "a loop of " + number_text(measures.layout.loop_length.value, 1) + " mm in a stitch of " +
                number_text(measures.layout.wale_spacing.value, 1) + " x " +
                number_text(measures.layout.course_spacing.value, 1) +
                " mm cannot be drawn as it is; it is drawn in the nearest shape that can (yarn lengths are kept)");
        const TableState before = std::exchange(state, next);
        settled = std::move(measures);
        if (new_layout) {
            raster = blank_raster(settled.layout, kPixelsPerStitch);
            loop = std::move(drawing);
            reader.emplace(settled.layout, loop->drawn.shape, loop->shares, winding());
            layers.clear();
            picture.reset();
        }
        bring_yarn_up_to_date(before, new_layout);
        if (new_layout || !(before.knitting == state.knitting)) ++versions.knitting;
        bring_runs_up_to_date(before);
    }

    WindingOptions winding() const {
        WindingOptions options;
        options.seed = state.seed;
        return options;
    }

    Paint sharp_paint(const LaidAs& way) const {
        Paint out = bare_paint();
        if (state.picture) {
            const PictureStage laid = picture_stage(way);
            out.picture = laid.laid;
            out.ground = laid.ground;
        }
        out.layers = put_on(state.layers, way, state.dye.strike);
        return baked(std::move(out));
    }

    Paint layered_paint(const std::vector<TableLayer>& of, double strike) const {
        Paint out = bare_paint();
        if (picture) out.ground = picture->laid;
        out.layers = put_on(of, state.way, strike);
        return out;
    }

    Paint set_paint(Paint sharp) const {
        const bool photo = state.picture && state.picture->kind == PictureState::Kind::photo;
        return photo ? sharp : crept(std::move(sharp), Millimetres{state.dye.creep_mm});
    }

    Plane plane_of(const TableLayer& layer, const LaidAs& way) const {
        Plane plane = reach_of(layer, way);
        for (double& amount : plane) amount *= layer.strength;
        return plane;
    }

    /// Of its full strength.
    Plane reach_of(const TableLayer& layer, const LaidAs& way) const {
        Plane plane = drawn(layer.form, raster, masks);
        const LaidAs turn = turn_between(layer.laid_as, way);
        if (!(turn == LaidAs{}))
            plane =
                laid(plane, {RavelEdge::top, turn.rotate, turn.mirror, usual_fit(turn.rotate)}, settled.layout, raster);
        return plane;
    }

    /// The layers that are on, and what the dips wash out of those before them.
    std::vector<DyeLayer> put_on(const std::vector<TableLayer>& of, const LaidAs& way, double strike) const {
        std::vector<DyeLayer> out;
        std::vector<Plane> wet;
        for (const TableLayer& layer : of) {
            if (layer.on == TableLayer::Shown::no) continue;
            out.push_back({layer.name, plane_of(layer, way), dye_of(layer), penetration_of(layer)});
            const bool bath = strike < 1 && std::holds_alternative<Dip>(layer.form);
            wet.push_back(bath ? reach_of(layer, way) : Plane());
        }
        return washed(std::move(out), wet, strike);
    }

    /// A bath takes dye from what was painted before it.
    bool washes() const {
        if (state.dye.strike == 1) return false;
        bool painted = false;
        for (const TableLayer& layer : state.layers) {
            if (layer.on == TableLayer::Shown::no) continue;
            if (!std::holds_alternative<Dip>(layer.form))
                painted = true;
            else if (painted)
                return true;
        }
        return false;
    }

private:
    struct PhotoKey {
        std::uint64_t source_version = 0;
        std::vector<PicturePoint> corners;
        RavelEdge edge = RavelEdge::top;
        Srgb8 undyed;
        bool operator==(const PhotoKey&) const = default;
    };
    struct KnownPhoto {
        PhotoKey key;
        CountedPhoto photo;
    };
    mutable std::optional<KnownPhoto> photo_;

    /// Of a photo in which stitches are to be counted; worked out anew only where photo, corners or edge are others.
    const CountedPhoto* photo_of(const TableState& next) const {
        if (!next.picture || next.picture->kind != PictureState::Kind::photo ||
            next.picture->count == PictureState::Count::no || source.empty())
            return nullptr;
        const PictureState& shown = *next.picture;
        PhotoKey key{source_version, shown.corners, shown.ravel_edge, next.blank.undyed};
        if (!photo_ || !(photo_->key == key))
            photo_ = {key,
                      counted_photo(source, shown.corners, shown.ravel_edge, linear_from_srgb8(next.blank.undyed))};
        return &photo_->photo;
    }

    /// What the photo says of the blank, and what is to be said of the photo.
    static void take_count(const CountedPhoto& photo, const BlankState& blank, GivenMeasures& given,
                           SettledTable& out) {
        if (!photo.why_not.empty()) {
            out.warnings.push_back("the stitches could not be counted in the photo: " + photo.why_not +
                                   "; the shade of the loops is read as colour");
            return;
        }
        const std::string count = std::to_string(photo.cells.stitches) + " x " + std::to_string(photo.cells.rows);
        out.assumed.push_back(count + " stitches x rows counted in the photo (sure to " +
                              number_text(100 * photo.confidence, 0) + " %)");
        if (photo.upside_down)
            out.warnings.push_back(
                "the V's of the stitches open away from the ravel edge: the blank seems to come apart at the opposite "
                "side of the photo");
        if (!given.blank) {
            given.blank = CountPair{photo.cells.stitches, photo.cells.rows};
            if (blank.construction == Construction::tube) given.blank->first *= 2;  // one layer lies before us
        } else if (blank.construction == Construction::flat &&
                   (given.blank->first != photo.cells.stitches || given.blank->second != photo.cells.rows)) {
            out.warnings.push_back("the photo shows " + count + " stitches x rows, the blank is set to " +
                                   std::to_string(given.blank->first) + " x " + std::to_string(given.blank->second));
        }
    }

    SettledTable settled_of(const TableState& next) const {
        SettledTable out;
        GivenMeasures given = given_measures(next.blank, out.warnings);
        if (const CountedPhoto* photo = photo_of(next)) take_count(*photo, next.blank, given, out);
        const std::optional<double> shape = picture_shape(next);
        given.picture_width_per_length = shape;
        if (given.size && shape && size_looks_turned(*given.size, *shape))
            throw Error(ErrorKind::usage,
                        "blank size: is width x length, but the picture is the other way round; turn the two figures, "
                        "or say at which edge of the picture the blank comes apart");
        SettledMeasures measures = loopread::settled(given);
        out.layout = measures.layout;
        if (static_cast<long long>(out.layout.stitches) * out.layout.rows > kMostLoops)
            throw Error(ErrorKind::usage, "blank: " + std::to_string(out.layout.stitches) + " x " +
                                              std::to_string(out.layout.rows) + " is over " +
                                              std::to_string(kMostLoops) +
                                              " stitches; a blank has about 10,000: check the numbers");
        out.layout.tail = next.blank.tail;
        out.layout.painted = next.blank.painted;
        if (Millimetres{next.dye.creep_mm} > std::min(out.layout.width(), out.layout.length()))
            throw Error(ErrorKind::usage, "creep: " + number_text(next.dye.creep_mm, 1) +
                                              " mm is more than the blank; check its measures");
        out.knitting = loopread::settled(next.knitting);
        if (out.knitting.yarn_per_round() > out.layout.strand_length())
            throw Error(ErrorKind::usage,
                        "knitting: one round takes " + number_text(out.knitting.yarn_per_round().value / 1000, 1) +
                            " m, more than the " + number_text(out.layout.strand_length().value / 1000, 1) +
                            " m of the strand; ask for fewer stitches");
        for (auto* from : {&measures.assumed, &out.knitting.assumed})
            out.assumed.insert(out.assumed.end(), from->begin(), from->end());
        for (auto* from : {&measures.warnings, &out.knitting.warnings})
            out.warnings.insert(out.warnings.end(), from->begin(), from->end());
        warn_of_shape(out, shape);
        return out;
    }

    static void warn_of_shape(SettledTable& out, const std::optional<double>& shape) {
        const double own = out.layout.width() / out.layout.length();
        if (shape && std::abs(std::log(*shape / own)) > std::log(1 + kShapesDiffer))
            out.warnings.push_back("the picture is " + number_text(1 / *shape, 2) +
                                   " times as long as wide, the blank " + number_text(1 / own, 2) +
                                   " times: it is stretched to fit; measure the blank, or let the picture cover it or "
                                   "repeat");
    }

    /// Width over length of a picture that fills the blank.
    std::optional<double> picture_shape(const TableState& next) const {
        if (!next.picture) return std::nullopt;
        if (source.empty())
            throw Error(ErrorKind::input, "picture: it is not there; choose it again, or take it off the blank");
        const FlatSize size =
            next.picture->corners.empty() ? FlatSize{source.width, source.height} : flat_size(next.picture->corners);
        Lay filling = lay_of(*next.picture, next.way);
        if (!next.picture->fit) {
            if (filling.fit == Fit::tile) filling.rotate = QuarterTurn::none;
            filling.fit = Fit::stretch;
        }
        if (filling.fit != Fit::stretch) return std::nullopt;
        const TurnedSize turned = turned_size(size.width, size.height, filling);
        return static_cast<double>(turned.width) / turned.height;
    }

    static Lay lay_of(const PictureState& picture, const LaidAs& way) {
        return {picture.ravel_edge, way.rotate, way.mirror, picture.fit.value_or(usual_fit(way.rotate))};
    }

    void check_mask(const TableLayer& layer) const {
        const auto* prints = std::get_if<Prints>(&layer.form);
        if (layer.on == TableLayer::Shown::yes && prints && prints->shape == PrintShape::mask &&
            !masks.contains(prints->mask))
            throw Error(ErrorKind::input,
                        "layer '" + layer.name + "': its picture is not there; choose the picture again");
    }

    LinearRgb undyed() const { return linear_from_srgb8(state.blank.undyed); }
    KOverS dye_of(const TableLayer& layer) const {
        return k_over_s(linear_from_srgb8(layer.colour)) - k_over_s(undyed());
    }
    static double penetration_of(const TableLayer& layer) {
        return std::holds_alternative<Dip>(layer.form) ? 1.0 : layer.penetration;
    }

    /// No paint yet.
    Paint bare_paint() const {
        Paint out;
        out.raster = raster;
        out.ground = Image(1, 1, undyed());
        out.wrap = state.dye.wrap;
        if (state.picture) out.penetration = state.picture->penetration;
        return out;
    }

    /// The picture within its corners, no finer than the blank is read.
    Image flat_source(const Lay& lay) const {
        const std::vector<PicturePoint>& corners = state.picture->corners;
        const FlatSize size = corners.empty() ? FlatSize{source.width, source.height} : flat_size(corners);
        const int shrink = shrink_of(size.width, size.height, lay, settled.layout);
        Image flat = light_of(source, undyed(), shrink);
        return corners.empty() ? flat : flattened(flat, corners, shrink);
    }

    PictureStage picture_stage(const LaidAs& way) const {
        const PictureState& shown = *state.picture;
        Lay lay = lay_of(shown, way);
        PictureStage out;
        out.source_version = source_version;
        const CountedPhoto* photo = photo_of(state);
        if (photo && photo->why_not.empty()) {
            lay.ravel_edge = RavelEdge::top;  // of the flat picture
            out.laid = laid(photo->flat, lay, settled.layout, raster);
        } else {
            out.laid = laid(flat_source(lay), lay, settled.layout, raster);
        }
        switch (shown.ground.kind) {
            case GroundState::Kind::undyed:
                out.ground = Image(1, 1, undyed());
                break;
            case GroundState::Kind::colour:
                out.ground = Image(1, 1, linear_from_srgb8(shown.ground.colour));
                break;
            case GroundState::Kind::estimated:
                out.ground = estimated_ground(out.laid);
                break;
        }
        return out;
    }

    /// Layers on a picture: their dyes add on the picture's colours, and a bath's on the ground beneath as well.
    /// Then the picture carries them, with its own penetration.
    static Paint baked(Paint paint) {
        if (!paint.picture || paint.layers.empty()) return paint;
        const std::vector<DyeLayer> layers = std::move(paint.layers);
        paint.layers.clear();
        const bool bath =
            std::any_of(layers.begin(), layers.end(), [](const DyeLayer& l) { return l.penetration >= 1; });
        if (bath && paint.ground.size() == 1)
            paint.ground = Image(paint.raster.rows, paint.raster.columns, paint.ground(0, 0));
        bake(*paint.picture, layers, 0, whole(paint.raster));
        if (bath) bake(paint.ground, layers, 1, whole(paint.raster));
        return paint;
    }

    /// Dyes of at least so much penetration added to the colours within a box.
    static void bake(Image& colours, const std::vector<DyeLayer>& layers, double least_penetration,
                     const RasterBox& box) {
        for (int row = box.top; row < box.bottom; ++row)
            for (int column = box.left; column < box.right; ++column) {
                KOverS added;
                bool any = false;
                for (const DyeLayer& layer : layers) {
                    const double amount = layer.amount(row, column);
                    if (!(amount > 0) || layer.penetration < least_penetration) continue;
                    added = added + layer.dye * amount;
                    any = true;
                }
                if (!any) continue;
                LinearRgb& colour = colours(row, column);
                colour = linear_from_k_over_s(k_over_s(colour) + added);
            }
    }

    std::uint64_t mask_version(const TableLayer& layer) const {
        const auto* prints = std::get_if<Prints>(&layer.form);
        if (!prints || prints->shape != PrintShape::mask) return 0;
        return mask_versions.at(prints->mask);
    }

    bool picture_is_current(const TableState& before) const {
        return picture && picture->source_version == source_version && before.picture == state.picture &&
               before.way == state.way && before.blank.undyed == state.blank.undyed &&
               before.dye.creep_mm == state.dye.creep_mm;
    }

    void bring_yarn_up_to_date(const TableState& before, bool new_layout) {
        bool anew = new_layout || before.blank.undyed != state.blank.undyed || !(before.dye == state.dye) ||
                    before.picture.has_value() != state.picture.has_value() || !(before.nudge == state.nudge);
        if (state.picture && !picture_is_current(before)) {
            picture = picture_stage(state.way);
            const RasterBlur blur = creep_blur({state.dye.creep_mm}, raster);
            const bool design = state.picture->kind == PictureState::Kind::design;
            picture->crept = design ? blurred(picture->laid, blur.sigma_x, blur.sigma_y) : picture->laid;
            anew = true;
        }
        if (!state.picture) picture.reset();
        const LayerChange change = bring_layers_up_to_date(before.dye.creep_mm != state.dye.creep_mm);
        if (anew || change.anew) {
            read_all();
        } else if (!change.box.empty()) {
            if (state.nudge || washes())
                read_all();
            else
                read_box(change.box);
        }
    }

    struct LayerChange {
        bool anew = false;
        RasterBox box;  // of crept pixels that changed, where the layers are the same but for strokes
    };

    LayerChange bring_layers_up_to_date(bool new_creep) {
        LayerChange change;
        std::vector<LayerStage> old = std::exchange(layers, {});
        for (const TableLayer& layer : state.layers) {
            if (layer.on == TableLayer::Shown::no) continue;
            const std::size_t place = layers.size();
            const auto known = std::find_if(old.begin(), old.end(), [&](const LayerStage& stage) {
                return !stage.sharp.empty() && stage.layer.id == layer.id;
            });
            if (known == old.end() || static_cast<std::size_t>(known - old.begin()) != place) change.anew = true;
            if (known != old.end() && !new_creep && same_but_strokes(known->layer, layer) && known->way == state.way &&
                known->mask_version == mask_version(layer)) {
                if (known->layer.colour != layer.colour || known->layer.penetration != layer.penetration)
                    change.anew = true;
                change.box = united(change.box, update_strokes(*known, layer));
                layers.push_back(std::move(*known));
            } else {
                change.anew = true;
                layers.push_back(new_stage(layer));
            }
        }
        if (layers.size() != old.size()) change.anew = true;
        return change;
    }

    /// Its planes may be kept, but where strokes changed.
    static bool same_but_strokes(const TableLayer& before, const TableLayer& after) {
        if (before.strength != after.strength || !(before.laid_as == after.laid_as)) return false;
        if (before.form == after.form) return true;
        return std::holds_alternative<Brush>(before.form) && std::holds_alternative<Brush>(after.form) &&
               before.laid_as == LaidAs{};
    }

    LayerStage new_stage(const TableLayer& layer) const {
        LayerStage stage{layer, state.way, mask_version(layer), plane_of(layer, state.way), {}};
        const RasterBlur blur = creep_blur({state.dye.creep_mm}, raster);
        stage.crept = blurred(stage.sharp, blur.sigma_x, blur.sigma_y);
        return stage;
    }

    /// Draws and creeps anew what changed. @returns the pixels that did, creep included
    RasterBox update_strokes(LayerStage& stage, const TableLayer& layer) const {
        if (stage.layer.form == layer.form) {
            stage.layer = layer;
            return {};
        }
        const RasterBlur blur = creep_blur({state.dye.creep_mm}, raster);
        const int reach = std::max(blur_reach(blur.sigma_x), blur_reach(blur.sigma_y));
        if (!(turn_between(layer.laid_as, stage.way) == LaidAs{})) {
            stage = new_stage(layer);
            return whole(raster);
        }
        const RasterBox box = changed_box(std::get<Brush>(stage.layer.form), std::get<Brush>(layer.form), raster);
        stage.layer = layer;
        if (box.empty()) return box;
        redraw(stage.sharp, layer.form, raster, masks, box);
        for (int row = box.top; row < box.bottom; ++row)
            for (int column = box.left; column < box.right; ++column) stage.sharp(row, column) *= layer.strength;
        const RasterBox changed = widened(box, reach, raster);
        const RasterBox around = widened(changed, reach, raster);
        put(stage.crept, changed, blurred(part_of(stage.sharp, around), blur.sigma_x, blur.sigma_y), around.left,
            around.top);
        return changed;
    }

    std::vector<DyeLayer> crept_layers() const {
        std::vector<DyeLayer> out;
        for (const LayerStage& stage : layers)
            out.push_back({stage.layer.name, stage.crept, dye_of(stage.layer), penetration_of(stage.layer)});
        return out;
    }

    void read_all() {
        if (state.nudge) {
            const Paint sharp = sharp_paint(state.way);
            paint = set_paint(nudged(sharp, motifs_of(sharp), *state.nudge));
        } else if (washes()) {
            paint = set_paint(sharp_paint(state.way));
        } else {
            paint = bare_paint();
            if (picture) {
                paint.picture = picture->crept;
                paint.ground = picture->ground;
            }
            paint.layers = crept_layers();
            paint = baked(std::move(paint));
        }
        reader->read(paint);
        yarn = reader->read_strands();
        ++versions.yarn;
        changes.clear();
    }

    void read_box(const RasterBox& box) {
        if (picture) {
            const std::vector<DyeLayer> dyes = crept_layers();
            const auto restore = [&](Image& colours, const Image& from) {
                for (int row = box.top; row < box.bottom; ++row)
                    for (int column = box.left; column < box.right; ++column)
                        colours(row, column) = from.size() == 1 ? from(0, 0) : from(row, column);
            };
            restore(*paint.picture, picture->crept);
            bake(*paint.picture, dyes, 0, box);
            if (paint.ground.size() > 1) {
                restore(paint.ground, picture->ground);
                bake(paint.ground, dyes, 1, box);
            }
        } else {
            for (std::size_t i = 0; i < layers.size(); ++i) put(paint.layers[i].amount, box, layers[i].crept, 0, 0);
        }
        const CourseRange courses = reader->reread(paint, box);
        yarn = reader->read_strands();
        changes.emplace_back(++versions.yarn, courses);
        if (changes.size() > 64) changes.pop_front();
    }

    void bring_runs_up_to_date(const TableState& before) {
        const bool turned = before.knitting.from != state.knitting.from;
        if (runs_of_yarn_ == versions.yarn && !turned) return;
        runs_of_yarn_ = versions.yarn;
        runs.clear();
        if (state.knitting.from == KnittingState::From::far_end)
            for (const ColourRun& strand : yarn.strands) runs.push_back(strand.reversed());
    }
    std::uint64_t runs_of_yarn_ = 0;
};

DyeTable::DyeTable() : stages_(std::make_unique<Stages>()) {}
DyeTable::~DyeTable() = default;
DyeTable::DyeTable(DyeTable&&) noexcept = default;
DyeTable& DyeTable::operator=(DyeTable&&) noexcept = default;

void DyeTable::set_source(SourcePicture picture) {
    stages_->source = std::move(picture);
    ++stages_->source_version;
}

void DyeTable::set_mask(int number, const SourcePicture& picture) {
    ++stages_->mask_versions[number];
    if (picture.empty())
        stages_->masks.erase(number);
    else
        stages_->masks[number] = coverage_of(picture);
}

const SettledTable& DyeTable::apply(const TableState& state) {
    stages_->apply(state);
    return stages_->settled;
}

const TableState& DyeTable::state() const {
    return stages_->state;
}
const SettledTable& DyeTable::settled() const {
    return stages_->settled;
}
const Paint& DyeTable::paint() const {
    return stages_->paint;
}
const LoopShape& DyeTable::shape() const {
    require(stages_->loop.has_value(), "a state was applied");
    return stages_->loop->drawn.shape;
}
const CellShares& DyeTable::shares() const {
    require(stages_->loop.has_value(), "a state was applied");
    return stages_->loop->shares;
}
WindingOptions DyeTable::winding() const {
    return stages_->winding();
}
Paint DyeTable::sharp_paint(const LaidAs& way) const {
    return stages_->sharp_paint(way);
}
Paint DyeTable::set_paint(Paint sharp) const {
    return stages_->set_paint(std::move(sharp));
}
Paint DyeTable::layered_paint(const std::vector<TableLayer>& layers, double strike) const {
    return stages_->layered_paint(layers, strike);
}
Plane DyeTable::layer_amount(const TableLayer& layer) const {
    return stages_->reach_of(layer, stages_->state.way);
}
std::vector<const Plane*> DyeTable::laid_layers() const {
    std::vector<const Plane*> planes;
    for (const Stages::LayerStage& stage : stages_->layers) planes.push_back(&stage.sharp);
    return planes;
}
const Image* DyeTable::laid_picture() const {
    return stages_->picture ? &stages_->picture->laid : nullptr;
}
const std::vector<ColourRun>& DyeTable::strands() const {
    return stages_->yarn.strands;
}
const ColourRun& DyeTable::seen_side() const {
    return stages_->yarn.seen_side;
}
const std::vector<ColourRun>& DyeTable::runs() const {
    return stages_->runs.empty() ? stages_->yarn.strands : stages_->runs;
}
DyeTable::Versions DyeTable::versions() const {
    return stages_->versions;
}

CourseRange DyeTable::courses_changed_since(std::uint64_t version) const {
    const Stages& stages = *stages_;
    const CourseRange all{0, stages.settled.layout.rows};
    if (version == stages.versions.yarn) return {};
    if (stages.changes.empty() || stages.changes.front().first > version + 1) return all;
    CourseRange out{all.end, 0};
    for (const auto& [changed, courses] : stages.changes)
        if (changed > version) out = {std::min(out.first, courses.first), std::max(out.end, courses.end)};
    return out.first < out.end ? out : CourseRange{};
}

}  // namespace loopread
