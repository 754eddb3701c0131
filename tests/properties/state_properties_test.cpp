#include "properties/any_blank.h"
#include "wasm/state_json.h"

using namespace loopread;
using namespace loopread::properties;
using loopread::wasm::Json;

// The document of the dye table as README and the page have it, written here by a second hand and read by the reader of
// the page and the program.

namespace {

/// Quarters, so that JSON keeps them to the last bit.
double any_quarter(int least, int most, const std::string& name) {
    return whole_in(4 * least, 4 * most, name) / 4.0;
}

/// Nothing in one of two cases.
template <class Draw>
auto perhaps(const std::string& name, Draw draw) -> std::optional<decltype(draw())> {
    if (whole_in(0, 1, name + " is there") == 0) return std::nullopt;
    return draw();
}

template <class T>
Json json_of(const std::optional<T>& value) {
    return value ? Json(*value) : Json(nullptr);
}

Srgb8 any_colour(const std::string& name) {
    const int code = whole_in(0, 0xffffff, name);
    return {static_cast<std::uint8_t>(code >> 16), static_cast<std::uint8_t>(code >> 8 & 0xff),
            static_cast<std::uint8_t>(code & 0xff)};
}

/// A word of a list and which it is.
template <class T>
struct Choice {
    T value;
    std::string word;
};
template <class T>
Choice<T> any_of(const std::vector<Choice<T>>& choices, const std::string& name) {
    return choices[static_cast<std::size_t>(whole_in(0, static_cast<int>(choices.size()) - 1, name))];
}

/// Part of a state and what the document says of it.
template <class T>
struct Written {
    T state;
    Json json;
};

Written<BlankState> any_blank_state() {
    BlankState s;
    s.stitches = perhaps("stitches", [] { return whole_in(1, 2000, "stitches"); });
    s.rows = perhaps("rows", [] { return whole_in(1, 20'000, "rows"); });
    s.width_cm = perhaps("width", [] { return any_quarter(1, 300, "width"); });
    s.length_cm = perhaps("length", [] { return any_quarter(1, 1000, "length"); });
    s.strand_m = perhaps("strand", [] { return any_quarter(1, 5000, "strand"); });
    s.strands = perhaps("strands", [] { return whole_in(1, 2, "strands"); });
    s.ball_g = any_quarter(1, 5000, "ball");
    s.undyed = any_colour("undyed");
    const auto construction =
        any_of<Construction>({{Construction::flat, "flat"}, {Construction::tube, "tube"}}, "construction");
    const auto tail = any_of<Tail>({{Tail::left, "left"}, {Tail::right, "right"}}, "tail");
    const auto painted = any_of<Painted>({{Painted::face, "face"}, {Painted::back, "back"}}, "painted");
    s.construction = construction.value;
    s.tail = tail.value;
    s.painted = painted.value;
    return {s,
            {{"stitches", json_of(s.stitches)},
             {"rows", json_of(s.rows)},
             {"width_cm", json_of(s.width_cm)},
             {"length_cm", json_of(s.length_cm)},
             {"strand_m", json_of(s.strand_m)},
             {"strands", json_of(s.strands)},
             {"ball_g", s.ball_g},
             {"construction", construction.word},
             {"tail", tail.word},
             {"painted", painted.word},
             {"undyed", hex_text(s.undyed)}}};
}

Written<LaidAs> any_way(const std::string& name) {
    const int quarter = whole_in(0, 3, name + " quarter");
    const bool mirrored = whole_in(0, 1, name + " mirrored") == 1;
    return {{static_cast<QuarterTurn>(quarter), mirrored ? Mirror::left_right : Mirror::no},
            {{"rotate", 90 * quarter}, {"mirror", mirrored}}};
}

Written<LayerForm> any_dip() {
    const auto edge = any_of<Dip::Edge>(
        {{Dip::Edge::ravel, "ravel"}, {Dip::Edge::far, "far"}, {Dip::Edge::left, "left"}, {Dip::Edge::right, "right"}},
        "edge");
    const Dip s{edge.value, any_quarter(0, 1, "level"), any_quarter(0, 1000, "fade")};
    return {s, {{"kind", "dip"}, {"edge", edge.word}, {"level", s.level}, {"fade_cm", s.fade_cm}}};
}

Written<LayerForm> any_bands() {
    const auto along = any_of<Bands::Along>({{Bands::Along::rows, "rows"}, {Bands::Along::length, "length"}}, "along");
    const Bands s{along.value,
                  any_quarter(1, 1000, "width"),
                  any_quarter(0, 1000, "gap"),
                  any_quarter(-1000, 1000, "start"),
                  any_quarter(-90, 90, "slant"),
                  any_quarter(0, 100, "soft")};
    return {s,
            {{"kind", "bands"},
             {"along", along.word},
             {"width_cm", s.width_cm},
             {"gap_cm", s.gap_cm},
             {"start_cm", s.start_cm},
             {"slant_deg", s.slant_deg},
             {"soft_cm", s.soft_cm}}};
}

Written<LayerForm> any_dots() {
    const double size = any_quarter(1, 30, "size");
    const Dots s{size, size + any_quarter(0, 200, "spacing"), any_quarter(0, 1, "jitter"), any_seed("dots seed")};
    return {s,
            {{"kind", "dots"},
             {"size_cm", s.size_cm},
             {"spacing_cm", s.spacing_cm},
             {"jitter", s.jitter},
             {"seed", s.seed}}};
}

Written<LayerForm> any_strokes() {
    Brush s;
    Json strokes = Json::array();
    for (int count = whole_in(0, 3, "strokes"); count > 0; --count) {
        Stroke stroke{any_quarter(1, 15, "width"), any_quarter(0, 1, "soft"), {}};
        Json points = Json::array();
        for (int more = whole_in(0, 4, "points"); more > 0; --more) {
            stroke.points.push_back({any_quarter(-10'000, 10'000, "x"), any_quarter(-10'000, 10'000, "y")});
            points.push_back(stroke.points.back().x_mm);
            points.push_back(stroke.points.back().y_mm);
        }
        strokes.push_back({{"width_cm", stroke.width_cm}, {"soft", stroke.soft}, {"points", points}});
        s.strokes.push_back(stroke);
    }
    return {s, {{"kind", "brush"}, {"strokes", strokes}}};
}

Written<LayerForm> any_form() {
    switch (whole_in(0, 3, "dip, bands, dots, brush")) {
        case 0:
            return any_dip();
        case 1:
            return any_bands();
        case 2:
            return any_dots();
        default:
            return any_strokes();
    }
}

Written<TableLayer> any_layer(int number) {
    Written<LayerForm> form = any_form();
    const Written<LaidAs> way = any_way("layer's way");
    TableLayer s;
    s.id = "layer-" + std::to_string(number);
    s.name = "a \"name\" with \\ and \xc3\xa9";
    s.colour = any_colour("dye");
    s.strength = any_quarter(0, 1, "strength");
    s.penetration = any_quarter(0, 1, "penetration");
    s.on = whole_in(0, 1, "on") == 1 ? TableLayer::Shown::yes : TableLayer::Shown::no;
    s.laid_as = way.state;
    s.form = form.state;
    s.mix.depth_pct = perhaps("depth", [] { return any_quarter(0, 100, "depth"); });
    s.mix.stock_pct = any_quarter(1, 25, "stock");
    s.mix.as = whole_in(0, 1, "paste, stock") == 0 ? LayerMix::As::paste : LayerMix::As::stock;
    s.mix.paste_pct = perhaps("paste", [] { return any_quarter(1, 25, "paste"); });
    Json json = form.json;
    json["id"] = s.id;
    json["name"] = s.name;
    json["colour"] = hex_text(s.colour);
    json["strength"] = s.strength;
    json["penetration"] = s.penetration;
    json["on"] = s.on == TableLayer::Shown::yes;
    json["way"] = way.json;
    json["mix"] = {{"depth_pct", json_of(s.mix.depth_pct)},
                   {"stock_pct", s.mix.stock_pct},
                   {"as", s.mix.as == LayerMix::As::paste ? "paste" : "stock"},
                   {"paste_pct", json_of(s.mix.paste_pct)}};
    return {s, json};
}

Written<KnittingState> any_knitting() {
    using Form = KnittingState::Form;
    using From = KnittingState::From;
    const auto heel = any_of<Heel>(
        {{Heel::flap, "flap"}, {Heel::short_row, "short-row"}, {Heel::afterthought, "afterthought"}}, "heel");
    const auto form = any_of<Form>({{Form::sock, "sock"}, {Form::plain, "flat"}}, "shape");
    const auto from = any_of<From>({{From::ravel_end, "ravel-end"}, {From::far_end, "far-end"}}, "start");
    const auto worked =
        any_of<Worked>({{Worked::in_the_round, "round"}, {Worked::back_and_forth, "back-and-forth"}}, "worked");
    KnittingState s;
    s.stitches = whole_in(1, 2000, "stitches of the knitting");
    s.gauge_stitches = perhaps("gauge", [] { return any_quarter(1, 200, "gauge"); });
    s.gauge_rows = perhaps("gauge of rows", [] { return any_quarter(1, 200, "gauge of rows"); });
    s.yarn_per_round_cm = perhaps("yarn", [] { return any_quarter(1, 10'000, "yarn"); });
    s.foot_cm = perhaps("foot", [] { return any_quarter(1, 100, "foot"); });
    s.leg_cm = perhaps("leg", [] { return any_quarter(1, 200, "leg"); });
    s.heel = heel.value;
    s.form = form.value;
    s.from = from.value;
    s.worked = worked.value;
    return {s,
            {{"stitches", s.stitches},
             {"gauge_stitches", json_of(s.gauge_stitches)},
             {"gauge_rows", json_of(s.gauge_rows)},
             {"yarn_per_round_cm", json_of(s.yarn_per_round_cm)},
             {"shape", form.word},
             {"heel", heel.word},
             {"foot_cm", json_of(s.foot_cm)},
             {"leg_cm", json_of(s.leg_cm)},
             {"start", from.word},
             {"worked", worked.word}}};
}

Written<TableState> any_state() {
    const Written<BlankState> blank = any_blank_state();
    const Written<LaidAs> way = any_way("way");
    const Written<KnittingState> knitting = any_knitting();
    TableState s;
    s.title = "nets at low water";
    s.blank = blank.state;
    s.way = way.state;
    s.knitting = knitting.state;
    s.dye = {any_quarter(0, 1, "wrap"), any_quarter(0, 50, "creep"), any_quarter(0, 1, "strike")};
    s.knitters = whole_in(1, 1000, "knitters");
    s.seed = any_seed("seed");
    Json layers = Json::array();
    for (int i = 0, count = whole_in(0, 5, "layers"); i < count; ++i) {
        const Written<TableLayer> layer = any_layer(i);
        s.layers.push_back(layer.state);
        layers.push_back(layer.json);
    }
    return {s,
            {{"title", s.title},
             {"blank", blank.json},
             {"way", way.json},
             {"layers", layers},
             {"dye", {{"wrap", s.dye.wrap}, {"creep_mm", s.dye.creep_mm}, {"strike", s.dye.strike}}},
             {"knitting", knitting.json},
             {"chance", {{"knitters", s.knitters}}},
             {"seed", s.seed}}};
}

}  // namespace

TEST_SUITE("properties") {
    TEST_CASE("a dye table that was written down reads back as it stood") {
        holds([] {
            const Written<TableState> written = any_state();
            const TableState read = wasm::table_state(wasm::parsed_object(written.json.dump(), "the document"));
            RC_ASSERT(read.blank == written.state.blank);
            RC_ASSERT(read.way == written.state.way);
            RC_ASSERT(read.knitting == written.state.knitting);
            RC_ASSERT(read.layers.size() == written.state.layers.size());
            for (std::size_t i = 0; i < read.layers.size(); ++i) RC_ASSERT(read.layers[i] == written.state.layers[i]);
            RC_ASSERT(read == written.state);
        });
    }
}
