#include "loopread/table/mixing.h"

#include <algorithm>
#include <set>

#include "loopread/base/require.h"
#include "loopread/base/text.h"
#include "loopread/blank/defaults.h"
#include "loopread/dye/words.h"

namespace loopread {
namespace {

std::vector<const TableLayer*> shown_layers(const TableState& state) {
    std::vector<const TableLayer*> shown;
    for (const TableLayer& layer : state.layers)
        if (layer.on == TableLayer::Shown::yes) shown.push_back(&layer);
    return shown;
}

/// Two layers of one name are two dyes.
std::vector<std::string> names_of(const std::vector<const TableLayer*>& layers) {
    std::vector<std::string> names;
    std::set<std::string> taken;
    for (const TableLayer* layer : layers) {
        const std::string own = layer->name.empty() ? "layer" : layer->name;
        std::string name = own;
        for (int number = 2; !taken.insert(name).second; ++number) name = own + " " + std::to_string(number);
        names.push_back(name);
    }
    return names;
}

TableMix::Layer::On on_of(const TableLayer& layer) {
    if (std::holds_alternative<Dip>(layer.form)) return TableMix::Layer::On::bath;
    return layer.mix.as == LayerMix::As::paste ? TableMix::Layer::On::paste : TableMix::Layer::On::stock;
}

/// So strong that what the yarn holds of it carries the depth, where the dyer has no strength of her own.
std::optional<StockStrength> paste_of(const LayerMix& mix) {
    if (mix.paste_pct) return StockStrength{*mix.paste_pct};
    if (mix.depth_pct && *mix.depth_pct > 0) return StockStrength{*mix.depth_pct / kMostHeld.value};
    return std::nullopt;
}

RecipeRequest request_of(const TableState& state, const std::vector<const TableLayer*>& layers,
                         const std::vector<AreaShare>& areas, double balls) {
    RecipeRequest request;
    request.fibre = Grams{balls * state.blank.ball_g};
    request.dye_class = state.mix.dye_class;
    request.acid = {state.mix.acid, state.mix.acid_pct};
    request.ratio = state.mix.ratio;
    const std::vector<std::string> names = names_of(layers);
    for (std::size_t i = 0; i < layers.size(); ++i) {
        const LayerMix& mix = layers[i]->mix;
        const auto on = on_of(*layers[i]);
        const auto by = on == TableMix::Layer::On::bath ? DyedPlace::By::bath : DyedPlace::By::painting;
        request.places.push_back({names[i], areas[i].strength, areas[i].covered, areas[i].dyed, by});
        WantedDye dye{names[i], names[i], {}, StockStrength{mix.stock_pct}};
        if (mix.depth_pct) dye.depth = DepthOfShade{*mix.depth_pct};
        request.dyes.push_back(dye);
        const std::optional<StockStrength> paste = paste_of(mix);
        if (on == TableMix::Layer::On::paste && paste) request.pastes.push_back({names[i], *paste, {}});
    }
    return request;
}

std::vector<std::string> words_of(const Recipe& recipe, const DyeAmount& dye, TableMix::Layer::On on) {
    const Units units = recipe.request.units;
    if (!dye.depth)
        return {"unknown: give its depth of shade (grams of dry dye on 100 g of yarn), or leave it unknown"};
    std::vector<std::string> words = {volume_text(*dye.stock, units) + " of " + stock_text(dye.wanted.stock) +
                                      " stock, or " + powder_text(*dye.dye) + " of dry dye"};
    if (on != TableMix::Layer::On::paste) return words;
    for (const PasteAmount& paste : recipe.pastes) {
        if (paste.given.place != dye.wanted.place || !paste.to_make) continue;
        const std::vector<std::string> lines = paste_words(paste, units);
        words.insert(words.end(), lines.begin(), lines.end());
    }
    return words;
}

}  // namespace

std::vector<AreaShare> reached_areas(const DyeTable& table) {
    const Paint paint = crept(table.layered_paint(table.state().layers, 1), Millimetres{table.state().dye.creep_mm});
    std::vector<double> strengths;
    for (const TableLayer* layer : shown_layers(table.state())) strengths.push_back(layer->strength);
    return painted_areas(table.settled().layout, paint, table.shape(), table.shares(), table.winding(), strengths);
}

TableMix table_mix(const DyeTable& table, const std::vector<AreaShare>& areas, Units units) {
    const TableState& state = table.state();
    const std::vector<const TableLayer*> layers = shown_layers(state);
    require(areas.size() == layers.size(), "an area for each layer that is on");
    const double balls = state.mix.balls.value_or(table.settled().layout.strands);
    RecipeRequest request = request_of(state, layers, areas, balls);
    request.units = units;
    TableMix out;
    out.recipe = recipe(request);
    for (std::size_t i = 0; i < layers.size(); ++i) {
        const auto on = on_of(*layers[i]);
        out.layers.push_back({layers[i]->id, i, on, words_of(out.recipe, out.recipe.dyes[i], on)});
    }
    return out;
}

std::string mix_text(const TableMix& mix, const std::string& title) {
    const Recipe& recipe = mix.recipe;
    const Units units = recipe.request.units;
    std::string text = "To mix: " + title + "\n" + total_words(recipe) + ".\n\n";
    for (const TableMix::Layer& layer : mix.layers) {
        const PlaceAmount& at = recipe.places[layer.place];
        text += at.place.name + ": on " + fibre_text(at.fibre, units) + " of yarn, depth " +
                depth_text(recipe.dyes[layer.place].depth) + "\n";
        for (const std::string& line : layer.words) text += "  " + line + "\n";
    }
    text += "\n";
    if (recipe.acid)
        text += "Acid: " + acid_words(*recipe.acid, units) + "; " + std::string(recipe.acid->source) + "\n";
    text += "Bath: " + bath_words(recipe) + "; " + std::string(published_ratios().source) + "\n";
    for (const DyeStep& step : recipe.steps)
        text += std::string(step.heading) + ". " + step.words + " (" + std::string(step.source) + ")\n";
    for (const auto* list : {&recipe.assumed, &recipe.warnings})
        for (const std::string& line : *list) text += "Note: " + line + "\n";
    text += "\nTake care:\n";
    for (const Caution& caution : recipe.cautions) text += "  " + in_words(caution) + "\n";
    return text;
}

}  // namespace loopread
