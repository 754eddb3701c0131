#include "wasm/state_json.h"

#include <limits>

#include "loopread/base/error.h"
#include "loopread/base/text.h"

namespace loopread::wasm {
namespace {

constexpr NumberRange kShare{0, 1};
constexpr std::size_t kMostLayers = 40;       // chosen: a plane of numbers each, and a page has little memory
constexpr std::size_t kMostPoints = 200'000;  // of all strokes
constexpr std::uint64_t kMostSeed = (std::uint64_t{1} << 53) - 1;  // whole numbers that JSON keeps
constexpr NumberRange kSeeds{0, static_cast<double>(kMostSeed)};
constexpr NumberRange kPlace{-10'000, 10'000};  // mm

Srgb8 colour(const Fields& fields, const char* field, Srgb8 otherwise) {
    const auto text = fields.text(field);
    if (!text) return otherwise;
    const auto parsed = parsed_hex(*text);
    if (!parsed) fields.refuse(field, "is not a colour like #39467c");
    return *parsed;
}

std::optional<int> count(const Fields& fields, const char* field, NumberRange range) {
    const auto value = fields.whole(field, range);
    if (!value) return std::nullopt;
    return static_cast<int>(*value);
}

BlankState blank_state(const Fields& fields) {
    BlankState blank;
    blank.stitches = count(fields, "stitches", {1, 2000});
    blank.rows = count(fields, "rows", {1, 20'000});
    blank.width_cm = fields.number("width_cm", {0.5, 300});
    blank.length_cm = fields.number("length_cm", {0.5, 1000});
    blank.strand_m = fields.number("strand_m", {0.1, 5000});
    blank.strands = count(fields, "strands", {1, 2});
    blank.ball_g = fields.number("ball_g", {0.1, 5000}).value_or(blank.ball_g);
    blank.construction =
        fields.choice<Construction>("construction", {{"flat", Construction::flat}, {"tube", Construction::tube}})
            .value_or(blank.construction);
    blank.tail = fields.choice<Tail>("tail", {{"left", Tail::left}, {"right", Tail::right}}).value_or(blank.tail);
    blank.painted =
        fields.choice<Painted>("painted", {{"face", Painted::face}, {"back", Painted::back}}).value_or(blank.painted);
    blank.undyed = colour(fields, "undyed", blank.undyed);
    return blank;
}

QuarterTurn quarter_turn(const Fields& fields, const char* field) {
    const auto degrees = fields.whole(field, {0, 270});
    if (!degrees) return QuarterTurn::none;
    if (*degrees % 90 != 0) fields.refuse(field, std::to_string(*degrees) + " is not one of 0, 90, 180, 270");
    return static_cast<QuarterTurn>(*degrees / 90);
}

LaidAs laid_as(const Json* object, const std::string& name) {
    if (!object) return {};
    const Fields fields(*object, name);
    return {quarter_turn(fields, "rotate"), fields.truth("mirror").value_or(false) ? Mirror::left_right : Mirror::no};
}

GroundState ground_state(const Fields& fields) {
    const auto text = fields.text("ground");
    if (!text || *text == "undyed") return {};
    if (*text == "auto") return {GroundState::Kind::estimated, {}};
    const auto parsed = parsed_hex(*text);
    if (!parsed) fields.refuse("ground", "is not undyed, auto or a colour like #39467c");
    return {GroundState::Kind::colour, *parsed};
}

PictureState picture_state(const Fields& fields) {
    PictureState picture;
    picture.name = fields.text("name").value_or("");
    picture.kind = fields
                       .choice<PictureState::Kind>(
                           "kind", {{"design", PictureState::Kind::design}, {"photo", PictureState::Kind::photo}})
                       .value_or(picture.kind);
    picture.fit = fields.choice<Fit>("fit", {{"stretch", Fit::stretch}, {"tile", Fit::tile}, {"cover", Fit::cover}});
    picture.ravel_edge = fields
                             .choice<RavelEdge>("ravel_edge", {{"top", RavelEdge::top},
                                                               {"right", RavelEdge::right},
                                                               {"bottom", RavelEdge::bottom},
                                                               {"left", RavelEdge::left}})
                             .value_or(picture.ravel_edge);
    const std::vector<double> corners = fields.numbers("corners", 2, {-100'000, 100'000});
    if (!corners.empty() && corners.size() != 8) fields.refuse("corners", "are not four points");
    for (std::size_t i = 0; i < corners.size(); i += 2) picture.corners.push_back({corners[i], corners[i + 1]});
    picture.ground = ground_state(fields);
    picture.penetration = fields.number("penetration", kShare).value_or(picture.penetration);
    if (!fields.truth("count").value_or(true)) picture.count = PictureState::Count::no;
    return picture;
}

std::vector<BlankPoint> points(const Fields& fields, const char* field) {
    const std::vector<double> numbers = fields.numbers(field, 2, kPlace);
    std::vector<BlankPoint> out;
    out.reserve(numbers.size() / 2);
    for (std::size_t i = 0; i < numbers.size(); i += 2) out.push_back({numbers[i], numbers[i + 1]});
    return out;
}

Dip dip(const Fields& fields) {
    Dip out;
    out.edge = fields
                   .choice<Dip::Edge>("edge", {{"ravel", Dip::Edge::ravel},
                                               {"far", Dip::Edge::far},
                                               {"left", Dip::Edge::left},
                                               {"right", Dip::Edge::right}})
                   .value_or(out.edge);
    out.level = fields.number("level", kShare).value_or(out.level);
    out.fade_cm = fields.number("fade_cm", {0, 1000}).value_or(out.fade_cm);
    return out;
}

Bands bands(const Fields& fields) {
    Bands out;
    out.along = fields.choice<Bands::Along>("along", {{"rows", Bands::Along::rows}, {"length", Bands::Along::length}})
                    .value_or(out.along);
    out.width_cm = fields.number("width_cm", {0.05, 1000}).value_or(out.width_cm);
    out.gap_cm = fields.number("gap_cm", {0, 1000}).value_or(out.gap_cm);
    out.start_cm = fields.number("start_cm", {-1000, 1000}).value_or(out.start_cm);
    out.slant_deg = fields.number("slant_deg", {-90, 90}).value_or(out.slant_deg);
    out.soft_cm = fields.number("soft_cm", {0, 100}).value_or(out.soft_cm);
    return out;
}

Dots dots(const Fields& fields) {
    Dots out;
    out.size_cm = fields.number("size_cm", {0.1, 30}).value_or(out.size_cm);
    out.spacing_cm = fields.number("spacing_cm", {0.3, 300}).value_or(out.spacing_cm);
    if (out.spacing_cm < out.size_cm / 4)
        fields.refuse("spacing_cm", "is under a quarter of the dots' size; set them farther apart");
    out.jitter = fields.number("jitter", kShare).value_or(out.jitter);
    out.seed = static_cast<std::uint64_t>(fields.whole("seed", kSeeds).value_or(static_cast<long long>(out.seed)));
    return out;
}

Brush brush(const Fields& fields, std::size_t& points_left) {
    Brush out;
    const Json* strokes = fields.list("strokes");
    if (!strokes) return out;
    for (const Json& entry : *strokes) {
        const Fields stroke(entry, fields.name("stroke"));
        Stroke& to = out.strokes.emplace_back();
        to.width_cm = stroke.number("width_cm", {0.05, 15}).value_or(to.width_cm);
        to.soft = stroke.number("soft", kShare).value_or(to.soft);
        to.points = points(stroke, "points");
        if (to.points.size() > points_left) stroke.refuse("points", "are too many; a blank holds 200,000");
        points_left -= to.points.size();
    }
    return out;
}

Prints prints(const Fields& fields) {
    Prints out;
    out.shape = fields
                    .choice<PrintShape>("shape", {{"leaf", PrintShape::leaf},
                                                  {"boat", PrintShape::boat},
                                                  {"fish", PrintShape::fish},
                                                  {"star", PrintShape::star},
                                                  {"drop", PrintShape::drop},
                                                  {"ring", PrintShape::ring},
                                                  {"wave", PrintShape::wave},
                                                  {"mask", PrintShape::mask}})
                    .value_or(out.shape);
    out.mask = count(fields, "mask", {0, 31}).value_or(out.mask);
    out.size_cm = fields.number("size_cm", {0.2, 100}).value_or(out.size_cm);
    out.turn_deg = fields.number("turn_deg", {-3600, 3600}).value_or(out.turn_deg);
    if (const Json* object = fields.object("repeat")) {
        const Fields repeat(*object, fields.name("repeat"));
        out.repeat.emplace();
        const double least = out.size_cm / 4;
        out.repeat->across_cm = repeat.number("across_cm", {least, 1000}).value_or(std::max(least, 6.0));
        out.repeat->along_cm = repeat.number("along_cm", {least, 1000}).value_or(std::max(least, 7.0));
        out.repeat->stagger = repeat.number("stagger", {-1, 1}).value_or(out.repeat->stagger);
    }
    out.places = points(fields, "places");
    constexpr double kMostPrinted = 200'000;  // square centimetres, about a hundred blanks
    if (static_cast<double>(out.places.size()) * out.size_cm * out.size_cm > kMostPrinted)
        fields.refuse("places", "are too many for prints of this size");
    return out;
}

LayerForm layer_form(const Fields& fields, std::size_t& points_left) {
    enum class Kind { dip, bands, dots, brush, motif };
    const auto kind = fields.choice<Kind>("kind", {{"dip", Kind::dip},
                                                   {"bands", Kind::bands},
                                                   {"dots", Kind::dots},
                                                   {"brush", Kind::brush},
                                                   {"motif", Kind::motif}});
    if (!kind) fields.refuse("kind", "is missing; it is dip, bands, dots, brush or motif");
    switch (*kind) {
        case Kind::dip:
            return dip(fields);
        case Kind::bands:
            return bands(fields);
        case Kind::dots:
            return dots(fields);
        case Kind::brush:
            return brush(fields, points_left);
        case Kind::motif:
            return prints(fields);
    }
    return Dip{};
}

LayerMix layer_mix(const Json* object, const std::string& name) {
    LayerMix mix;
    if (!object) return mix;
    const Fields fields(*object, name);
    constexpr NumberRange kStrength{0.01, 25};  // of a liquid: nothing stronger pours
    mix.depth_pct = fields.number("depth_pct", {0, 100});
    mix.stock_pct = fields.number("stock_pct", kStrength).value_or(mix.stock_pct);
    mix.as = fields.choice<LayerMix::As>("as", {{"paste", LayerMix::As::paste}, {"stock", LayerMix::As::stock}})
                 .value_or(mix.as);
    mix.paste_pct = fields.number("paste_pct", kStrength);
    return mix;
}

MixState mix_state(const Fields& fields) {
    MixState mix;
    mix.balls = fields.number("balls", {0.01, 1000});
    mix.dye_class = fields
                        .choice<DyeClass>("class", {{"acid", DyeClass::acid},
                                                    {"metal-complex", DyeClass::metal_complex},
                                                    {"reactive", DyeClass::reactive}})
                        .value_or(mix.dye_class);
    mix.acid = fields.choice<AcidKind>("acid", {{"vinegar", AcidKind::vinegar}, {"citric", AcidKind::citric}})
                   .value_or(mix.acid);
    mix.acid_pct = fields.number("acid_pct", {0, 100});
    mix.ratio = fields.number("ratio", {kLeastRatio, kMostRatio}).value_or(mix.ratio);
    return mix;
}

TableLayer table_layer(const Fields& fields, std::size_t& points_left) {
    TableLayer layer;
    layer.form = layer_form(fields, points_left);
    layer.id = fields.text("id").value_or("");
    layer.name = fields.text("name").value_or("");
    layer.colour = colour(fields, "colour", layer.colour);
    layer.strength = fields.number("strength", kShare).value_or(layer.strength);
    layer.penetration = fields.number("penetration", kShare).value_or(layer.penetration);
    layer.on = fields.truth("on").value_or(true) ? TableLayer::Shown::yes : TableLayer::Shown::no;
    layer.laid_as = laid_as(fields.object("way"), fields.name("way"));
    layer.mix = layer_mix(fields.object("mix"), fields.name("mix"));
    return layer;
}

KnittingState knitting_state(const Fields& fields) {
    KnittingState knitting;
    knitting.stitches = count(fields, "stitches", {1, 2000}).value_or(knitting.stitches);
    knitting.gauge_stitches = fields.number("gauge_stitches", {1, 200});
    knitting.gauge_rows = fields.number("gauge_rows", {1, 200});
    knitting.yarn_per_round_cm = fields.number("yarn_per_round_cm", {0.1, 10'000});
    using Form = KnittingState::Form;
    knitting.form = fields.choice<Form>("shape", {{"sock", Form::sock}, {"flat", Form::plain}, {"tube", Form::plain}})
                        .value_or(knitting.form);
    knitting.heel =
        fields
            .choice<Heel>("heel",
                          {{"flap", Heel::flap}, {"short-row", Heel::short_row}, {"afterthought", Heel::afterthought}})
            .value_or(knitting.heel);
    knitting.foot_cm = fields.number("foot_cm", {1, 100});
    knitting.leg_cm = fields.number("leg_cm", {0.5, 200});
    using From = KnittingState::From;
    knitting.from = fields.choice<From>("start", {{"ravel-end", From::ravel_end}, {"far-end", From::far_end}})
                        .value_or(knitting.from);
    knitting.worked =
        fields.choice<Worked>("worked", {{"round", Worked::in_the_round}, {"back-and-forth", Worked::back_and_forth}})
            .value_or(knitting.worked);
    return knitting;
}

/// Of a document's part that is missing: an object without fields.
Fields part(const Fields& document, const char* field) {
    static const Json kNothing;
    const Json* object = document.object(field);
    return {object ? *object : kNothing, field};
}

std::optional<Nudge> nudge_state(const Fields& document) {
    const Json* object = document.object("nudge");
    if (!object) return std::nullopt;
    const Fields fields(*object, "nudge");
    Nudge nudge;
    nudge.scale = fields.number("scale", {0.3, 3}).value_or(nudge.scale);
    nudge.spacing_across = fields.number("spacing_across", {0.5, 2}).value_or(nudge.spacing_across);
    nudge.spacing_along = fields.number("spacing_along", {0.5, 2}).value_or(nudge.spacing_along);
    nudge.stagger_mm = fields.number("stagger_mm", {-500, 500}).value_or(nudge.stagger_mm);
    nudge.slant = fields.number("slant", {-1, 1}).value_or(nudge.slant);
    return nudge;
}

}  // namespace

TableState table_state(const Json& document) {
    const Fields fields(document, "");
    TableState state;
    state.title = fields.text("title").value_or("");
    state.blank = blank_state(part(fields, "blank"));
    if (const Json* picture = fields.object("picture")) state.picture = picture_state(Fields(*picture, "picture"));
    if (const Json* layers = fields.list("layers")) {
        if (layers->size() > kMostLayers)
            fields.refuse("layers", std::to_string(layers->size()) + " are too many; a blank takes " +
                                        std::to_string(kMostLayers));
        std::size_t points_left = kMostPoints;
        for (std::size_t i = 0; i < layers->size(); ++i)
            state.layers.push_back(table_layer(Fields((*layers)[i], "layer " + std::to_string(i + 1)), points_left));
    }
    state.way = laid_as(fields.object("way"), "way");
    state.nudge = nudge_state(fields);
    const Fields dye = part(fields, "dye");
    state.dye.wrap = dye.number("wrap", kShare).value_or(state.dye.wrap);
    state.dye.creep_mm = dye.number("creep_mm", {0, 50}).value_or(state.dye.creep_mm);
    state.dye.strike = dye.number("strike", kShare).value_or(state.dye.strike);
    state.mix = mix_state(part(fields, "mix"));
    state.knitting = knitting_state(part(fields, "knitting"));
    state.knitters = count(part(fields, "chance"), "knitters", {1, 1000}).value_or(state.knitters);
    state.seed = static_cast<std::uint64_t>(fields.whole("seed", kSeeds).value_or(1));
    return state;
}

}  // namespace loopread::wasm
