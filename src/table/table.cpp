#include "loopread/table/table.h"

#include <algorithm>
#include <cmath>
#include <deque>
#include <utility>

#include "loopread/base/error.h"
#include "loopread/base/require.h"
#include "loopread/base/text.h"
#include "loopread/image/sampling.h"
#include "loopread/lay/motifs.h"
#include "loopread/loop/interlacing.h"
#include "table/laid_table.h"
#include "table/settling.h"
#include "table/strand_reader.h"

namespace loopread {
namespace {

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
        LaidPicture sharp;
        Image crept;
    };
    std::optional<PictureStage> picture;
    std::deque<std::pair<std::uint64_t, CourseRange>> changes;  // yarn versions and what each changed

    void apply(const TableState& next) {
        SettledTable measures = settled_table(next, source, photo_of(next));
        for (const TableLayer& layer : next.layers) check_mask(layer);
        const bool new_layout = !reader || !same(measures.layout, settled.layout) || next.seed != state.seed;
        std::optional<LoopDrawing> drawing;
        if (new_layout) drawing = loops.of(measures.layout);
        if ((drawing ? *drawing : *loop).drawn.moved)
            measures.warnings.push_back(
                "a loop of " + number_text(measures.layout.loop_length.value, 1) + " mm in a stitch of " +
                number_text(measures.layout.wale_spacing.value, 1) + " x " +
                number_text(measures.layout.course_spacing.value, 1) +
                " mm cannot be drawn; it is drawn in the nearest shape that can be (lengths of yarn stay right)");
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

    LaidTable on_blank() const { return LaidTable({state, settled.layout, raster, source, masks, photo_of(state)}); }

    Paint layered_paint(const std::vector<TableLayer>& of, double strike) const {
        Paint out = on_blank().bare_paint();
        if (picture) out.ground = picture->sharp.laid;
        out.layers = on_blank().put_on(of, state.way, strike);
        return out;
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

    void check_mask(const TableLayer& layer) const {
        const auto* prints = std::get_if<Prints>(&layer.form);
        if (layer.on == TableLayer::Shown::yes && prints && prints->shape == PrintShape::mask &&
            !masks.contains(prints->mask))
            throw Error(ErrorKind::input,
                        "layer '" + layer.name + "': its picture is not there; choose the picture again");
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
            picture = PictureStage{source_version, on_blank().picture(state.way), {}};
            picture->crept = on_blank().crept_picture(picture->sharp.laid);
            anew = true;
        }
        if (!state.picture) picture.reset();
        const LayerChange change = bring_layers_up_to_date(before.dye.creep_mm != state.dye.creep_mm);
        if (anew || change.anew) {
            read_all();
        } else if (!change.box.empty()) {
            if (state.nudge || washes(state))
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
        LayerStage stage{layer, state.way, mask_version(layer), on_blank().plane_of(layer, state.way), {}};
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
        for (const LayerStage& stage : layers) out.push_back(on_blank().dyed(stage.layer, stage.crept));
        return out;
    }

    void read_all() {
        if (state.nudge) {
            const Paint sharp = on_blank().sharp_paint(state.way);
            paint = on_blank().set_paint(nudged(sharp, motifs_of(sharp), *state.nudge));
        } else if (washes(state)) {
            paint = on_blank().set_paint(on_blank().sharp_paint(state.way));
        } else {
            paint = on_blank().bare_paint();
            if (picture_is_ground(state)) {
                paint.ground = picture->crept;
            } else if (picture) {
                paint.picture = picture->crept;
                paint.ground = picture->sharp.ground;
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
        if (paint.picture) {
            const std::vector<DyeLayer> dyes = crept_layers();
            const auto restore = [&](Image& colours, const Image& from) {
                for (int row = box.top; row < box.bottom; ++row)
                    for (int column = box.left; column < box.right; ++column)
                        colours(row, column) = from.size() == 1 ? from(0, 0) : from(row, column);
            };
            restore(*paint.picture, picture->crept);
            bake(*paint.picture, dyes, 0, box);
            if (paint.ground.size() > 1) {
                restore(paint.ground, picture->sharp.ground);
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
    return stages_->on_blank().sharp_paint(way);
}
Paint DyeTable::set_paint(Paint sharp) const {
    return stages_->on_blank().set_paint(std::move(sharp));
}
Paint DyeTable::layered_paint(const std::vector<TableLayer>& layers, double strike) const {
    return stages_->layered_paint(layers, strike);
}
Plane DyeTable::layer_amount(const TableLayer& layer) const {
    return stages_->on_blank().reach_of(layer, stages_->state.way);
}
std::vector<const Plane*> DyeTable::laid_layers() const {
    std::vector<const Plane*> planes;
    for (const Stages::LayerStage& stage : stages_->layers) planes.push_back(&stage.sharp);
    return planes;
}
const Image* DyeTable::laid_picture() const {
    return stages_->picture ? &stages_->picture->sharp.laid : nullptr;
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
