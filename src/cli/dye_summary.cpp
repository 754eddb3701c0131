#include "cli/dye_summary.h"

#include "loopread/base/text.h"
#include "loopread/dye/words.h"

namespace loopread::cli {
namespace {

constexpr int kDecimals = 5;  // hundredths of a milligram

template <class Unit>
Json known(const std::optional<Quantity<Unit>>& amount) {
    return amount ? Json(rounded(amount->value, kDecimals)) : Json(nullptr);
}
template <class Unit>
Json known(const Quantity<Unit>& amount) {
    return rounded(amount.value, kDecimals);
}

std::string place_name(const std::string& place) {
    return place.empty() ? "bath" : place;
}

std::string class_name(DyeClass dye_class) {
    return dye_class == DyeClass::acid ? "acid" : dye_class == DyeClass::reactive ? "reactive" : "metal-complex";
}

Json dyes_json(const Recipe& recipe) {
    Json list = Json::array();
    for (const DyeAmount& dye : recipe.dyes)
        list.push_back({{"name", dye.wanted.name},
                        {"on", place_name(dye.wanted.place)},
                        {"fibre_g", known(dye.fibre)},
                        {"asked_dos_pct", known(dye.wanted.depth)},
                        {"dos_pct", known(dye.depth)},
                        {"stock_pct", known(dye.wanted.stock)},
                        {"stock_ml", known(dye.stock)},
                        {"dye_g", known(dye.dye)}});
    return list;
}

Json used_json(const Recipe& recipe) {
    Json list = Json::array();
    for (const UsedAmount& dye : recipe.used)
        list.push_back({{"name", dye.used.name},
                        {"on", place_name(dye.used.place)},
                        {"fibre_g", known(dye.fibre)},
                        {"used_ml", known(dye.used.used)},
                        {"stock_pct", known(dye.used.stock)},
                        {"dos_pct", known(dye.depth)},
                        {"planned_dos_pct", known(dye.planned)},
                        {"dye_g", known(dye.dye)}});
    return list;
}

Json areas_json(const Recipe& recipe) {
    Json list = Json::array();
    for (const PlaceAmount& at : recipe.places)
        list.push_back({{"name", at.place.name},
                        {"strength", rounded(at.place.strength, kDecimals)},
                        {"covered_share", rounded(at.place.covered, kDecimals)},
                        {"dyed_share", rounded(at.place.dyed, kDecimals)},
                        {"fibre_g", known(at.fibre)},
                        {"holds_ml", known(at.holds)}});
    return list;
}

Json pastes_json(const Recipe& recipe) {
    Json list = Json::array();
    for (const PasteAmount& paste : recipe.pastes) {
        const bool weighed = paste.given.jar.has_value();
        const bool made = paste.thickener.has_value();
        list.push_back(
            {{"on", paste.given.place.empty() ? "fibre" : paste.given.place},
             {"strength_pct", known(paste.given.strength)},
             {"fibre_g", known(paste.fibre)},
             {"used_g", weighed ? known(paste.given.jar->used()) : Json(nullptr)},
             {"pick_up", known(paste.pick_up)},
             {"dos_pct", known(paste.depth)},
             {"dye_g", known(paste.dye)},
             {"to_make_ml", known(paste.to_make)},
             {"made_for", !paste.to_make                               ? Json(nullptr)
                          : paste.make == PasteAmount::Make::for_depth ? Json("depth")
                                                                       : Json("as much as it holds")},
             {"thinned", paste.thinned ? Json(in_words(*paste.thinned)) : Json(nullptr)},
             {"from_stock_ml", known(paste.from_stock)},
             {"from_powder_g", known(paste.from_powder)},
             {"plain_paste_ml", known(paste.plain)},
             {"gum", made ? Json(paste.thickener->name) : Json(nullptr)},
             {"gum_us_tsp",
              made ? Json(rounded(paste.thickener->powder_spoon.value / kMillilitresPerTeaspoon, 3)) : Json(nullptr)},
             {"gum_g", made ? known(paste.thickener->weight) : Json(nullptr)},
             {"holds_ml", known(paste.holds)}});
    }
    return list;
}

Json acid_json(const Recipe& recipe) {
    if (!recipe.acid) return {{"kind", nullptr}, {"why", "given for acid dyes only; see the maker's sheet"}};
    const AcidAmount& acid = *recipe.acid;
    return {{"kind", acid.acid.kind == AcidKind::vinegar ? "vinegar" : "citric"},
            {"strength_pct", acid.acid.strength_pct ? Json(*acid.acid.strength_pct) : Json(nullptr)},
            {"ml", known(acid.usual_ml)},
            {"ml_band", {known(acid.least_ml), known(acid.most_ml)}},
            {"pure_g", known(acid.usual)},
            {"pure_g_band", {known(acid.least), known(acid.most)}},
            {"owf_pct", rounded(acid.usual_owf_pct, kDecimals)},
            {"owf_pct_band", {rounded(acid.least_owf_pct, kDecimals), rounded(acid.most_owf_pct, kDecimals)}},
            {"source", acid.source}};
}

std::string padded(std::string text, std::size_t width) {
    if (text.size() < width) text.resize(width, ' ');
    return text;
}

void add_dye_lines(std::string& text, const Recipe& recipe) {
    std::size_t width = 0;
    for (const DyeAmount& dye : recipe.dyes) width = std::max(width, dye.wanted.name.size());
    for (const DyeAmount& dye : recipe.dyes) {
        text += "  " + padded(dye.wanted.name, width) + "  ";
        if (!dye.depth) {
            text += "unknown";
        } else {
            text += depth_text(dye.depth) + ": " + volume_text(*dye.stock, recipe.request.units) + " of " +
                    stock_text(dye.wanted.stock) + " stock, or " + powder_text(*dye.dye) + " of dry dye";
        }
        text += dye.wanted.place.empty() ? ", in the bath\n"
                                         : ", on " + fibre_text(dye.fibre, recipe.request.units) + " of yarn\n";
    }
}

void add_used_lines(std::string& text, const Recipe& recipe) {
    for (const UsedAmount& dye : recipe.used) {
        text += "  " + dye.used.name + ": ";
        text += dye.used.used ? volume_text(*dye.used.used, recipe.request.units) + " of " +
                                    stock_text(dye.used.stock) + " stock went in, a depth of " + depth_text(dye.depth)
                              : "how much went in is unknown";
        text += (dye.planned ? " (planned " + depth_text(dye.planned) + ")" : "") + "\n";
    }
}

void add_paint_lines(std::string& text, const Recipe& recipe) {
    for (const PlaceAmount& at : recipe.places)
        text += "  " + at.place.name + ": covers " + number_text(100 * at.place.covered, 1) + " % of the yarn, dyes " +
                fibre_text(at.fibre, recipe.request.units) + " of it; holds about " +
                volume_text(at.holds, Units::metric) + " (common practice, no source)\n";
    for (const PasteAmount& paste : recipe.pastes)
        for (const std::string& line : paste_words(paste, recipe.request.units))
            text += "  " + (paste.given.place.empty() ? "paste" : paste.given.place) + ": " + line + "\n";
    for (const PasteStep& step : recipe.steps_paler)
        text += "  strength " + number_text(step.strength, 3) + ": " + in_words(step) + "\n";
}

}  // namespace

Json recipe_json(const Recipe& recipe) {
    Json steps = Json::array();
    for (const DyeStep& step : recipe.steps)
        steps.push_back({{"heading", step.heading}, {"words", step.words}, {"source", step.source}});
    Json paler = Json::array();
    for (const PasteStep& step : recipe.steps_paler)
        paler.push_back({{"strength", rounded(step.strength, kDecimals)},
                         {"paste_parts", rounded(step.paste_parts, kDecimals)},
                         {"plain_parts", rounded(step.plain_parts, kDecimals)},
                         {"words", in_words(step)}});
    Json cautions = Json::array();
    for (const Caution& caution : recipe.cautions) cautions.push_back(in_words(caution));
    return {{"fibre_g", known(recipe.request.fibre)},
            {"class", class_name(recipe.request.dye_class)},
            {"dyes", dyes_json(recipe)},
            {"total_dos_pct", known(recipe.total)},
            {"known_dos_pct", known(recipe.known_total)},
            {"used", used_json(recipe)},
            {"areas", areas_json(recipe)},
            {"pastes", pastes_json(recipe)},
            {"paste_steps", paler},
            {"ratio", rounded(recipe.request.ratio, kDecimals)},
            {"bath_l", rounded(recipe.bath.value / 1000, kDecimals)},
            {"acid", acid_json(recipe)},
            {"steps", steps},
            {"cautions", cautions},
            {"assumed", recipe.assumed},
            {"warnings", recipe.warnings}};
}

std::string recipe_lines(const Recipe& recipe) {
    std::string text = total_words(recipe) + ".\n";
    add_dye_lines(text, recipe);
    add_used_lines(text, recipe);
    add_paint_lines(text, recipe);
    if (recipe.acid)
        text += "  acid: " + acid_words(*recipe.acid, recipe.request.units) + "; " + std::string(recipe.acid->source) +
                "\n";
    text += "  bath: " + bath_words(recipe) + "; " + std::string(published_ratios().source) + "\n";
    text += "Steps:\n";
    for (const DyeStep& step : recipe.steps)
        text += "  " + std::string(step.heading) + ". " + step.words + " (" + std::string(step.source) + ")\n";
    text += "Take care:\n";
    for (const Caution& caution : recipe.cautions) text += "  " + in_words(caution) + "\n";
    return text;
}

}  // namespace loopread::cli
