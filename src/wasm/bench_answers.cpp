#include "loopread/dye/words.h"
#include "wasm/answer_parts.h"
#include "wasm/answers.h"

// The dye bench: how layers hold, the two orders, what to mix.
namespace loopread::wasm {
namespace {

constexpr int kDecimals = 8;  // enough for whoever compares; people see the words

double figure(double value) {
    return rounded(value, kDecimals);
}
template <class Unit>
Json figure(const Quantity<Unit>& amount) {
    return figure(amount.value);
}
template <class Unit>
Json figure(const std::optional<Quantity<Unit>>& amount) {
    return amount ? Json(figure(amount->value)) : Json(nullptr);
}

/// A neutral colour of the same lightness.
std::string grey_hex(LinearRgb colour) {
    const double y = xyz_from_linear(colour).y;
    return hex({y, y, y});
}

Json colour_json(LinearRgb colour) {
    return {{"hex", hex(colour)}, {"grey", grey_hex(colour)}, {"L", figure(lab_from_linear(colour).l)}};
}

void add(Json& json, const Apart& apart) {
    json.update({{"delta_L", figure(apart.delta_l)},
                 {"delta_e00", figure(apart.delta_e00)},
                 {"holds", apart.held == Held::holds},
                 {"verdict", in_words(apart)}});
}

Json strengths_json(const std::vector<BenchStrength>& strengths) {
    Json list = Json::array();
    for (const BenchStrength& one : strengths) {
        Json json = colour_json(one.colour);
        json.update({{"strength", figure(one.strength)}, {"stir", one.stir}});
        add(json, one.apart);
        list.push_back(json);
    }
    return list;
}

Json layer_json(const BenchLayer& layer) {
    Json remedies = Json::array();
    for (const BenchRemedy& one : layer.remedies) {
        Json json{{"words", one.words},
                  {"motif", colour_json(one.remedy.darker)},
                  {"ground", colour_json(one.remedy.lighter)},
                  {"strength", or_null(one.strength)}};
        add(json, one.remedy.apart);
        remedies.push_back(json);
    }
    Json json{{"id", layer.id},
              {"motif", colour_json(layer.contrast.with)},
              {"ground", colour_json(layer.contrast.without)},
              {"lost_share", figure(layer.lost_share)},
              {"remedies", remedies},
              {"strengths", strengths_json(layer.strengths)},
              {"even", strengths_json(layer.even)}};
    add(json, layer.contrast.apart);
    return json;
}

const char* name_of(TableMix::Layer::On on) {
    switch (on) {
        case TableMix::Layer::On::bath:
            return "bath";
        case TableMix::Layer::On::paste:
            return "paste";
        case TableMix::Layer::On::stock:
            return "stock";
    }
    return "";
}

Json layers_json(const TableMix& mix) {
    Json list = Json::array();
    for (const TableMix::Layer& layer : mix.layers) {
        const PlaceAmount& at = mix.recipe.places[layer.place];
        const DyeAmount& dye = mix.recipe.dyes[layer.place];
        list.push_back({{"id", layer.id},
                        {"name", at.place.name},
                        {"on", name_of(layer.on)},
                        {"covered_share", figure(at.place.covered)},
                        {"dyed_share", figure(at.place.dyed)},
                        {"fibre_g", figure(at.fibre)},
                        {"fibre", fibre_text(at.fibre, mix.recipe.request.units)},
                        {"dos_pct", figure(dye.depth)},
                        {"stock_ml", figure(dye.stock)},
                        {"dye_g", figure(dye.dye)},
                        {"words", texts(layer.words)}});
    }
    return list;
}

Json sourced(const std::string& words, std::string_view source) {
    return {{"words", words}, {"source", source}};
}

Json mix_json(const TableMix& mix, const std::string& title) {
    const Recipe& recipe = mix.recipe;
    Json steps = Json::array(), cautions = Json::array();
    for (const DyeStep& step : recipe.steps)
        steps.push_back({{"heading", step.heading}, {"words", step.words}, {"source", step.source}});
    for (const Caution& caution : recipe.cautions)
        cautions.push_back(sourced(std::string(caution.words), caution.source));
    Json acid = nullptr;
    if (recipe.acid) {
        acid = sourced(acid_words(*recipe.acid, recipe.request.units), recipe.acid->source);
        acid.update({{"ml", figure(recipe.acid->usual_ml)}, {"pure_g", figure(recipe.acid->usual)}});
    }
    Json bath = sourced(bath_words(recipe), published_ratios().source);
    bath["l"] = figure(recipe.bath.value / 1000);
    return {{"done", 1.0},
            {"fibre_g", figure(recipe.request.fibre)},
            {"total", total_words(recipe)},
            {"layers", layers_json(mix)},
            {"acid", acid},
            {"bath", bath},
            {"steps", steps},
            {"cautions", cautions},
            {"assumed", texts(recipe.assumed)},
            {"warnings", texts(recipe.warnings)},
            {"text", mix_text(mix, title)}};
}

}  // namespace

Json Answers::bench_step() {
    const std::uint64_t yarn = table_.versions().yarn;
    if (!bench_ || bench_->yarn_version != yarn) bench_.emplace(OnBench{yarn, Bench(table_)});
    Bench& bench = bench_->bench;
    if (!bench.done()) bench.step();
    Json layers = Json::array();
    for (const BenchLayer& layer : bench.told()) layers.push_back(layer_json(layer));
    return {{"done", bench.done() ? 1.0 : bench.progress()}, {"lost_under", kLostUnder}, {"layers", layers}};
}

Json Answers::order_drawn(const Fields& request, ShownPicture& pixels) const {
    const auto order = request.choice<LayerOrder>(
        "order", {{"dipped-first", LayerOrder::dipped_first}, {"stencilled-first", LayerOrder::stencilled_first}});
    if (!order) request.refuse("order", "is missing; it is dipped-first or stencilled-first");
    pixels.keep(order_picture(table_, *order, box_of(request)));
    Json json = sized(pixels.now());
    if (*order == LayerOrder::stencilled_first) json["difference"] = figure(order_difference(table_));
    return json;
}

Json Answers::mix(const Json& object) {
    const Fields request(object, "mix");
    const Units units =
        request.choice<Units>("units", {{"metric", Units::metric}, {"us", Units::us}}).value_or(Units::metric);
    const std::uint64_t yarn = table_.versions().yarn;
    if (!reached_ || reached_->yarn_version != yarn) reached_ = Reached{yarn, reached_areas(table_)};
    return mix_json(table_mix(table_, reached_->areas, units), table_.state().title);
}

}  // namespace loopread::wasm
