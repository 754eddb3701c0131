#include "loopread/dye/words.h"

#include <set>

#include "loopread/base/text.h"

namespace loopread {
namespace {

std::string band_text(double least, double most, const std::string& unit) {
    return number_text(least, 1) + " to " + number_text(most, 1) + " " + unit;
}

/// Painted areas that no dye is named for.
std::size_t undyed_places(const Recipe& recipe) {
    std::set<std::string> dyed;
    for (const DyeAmount& dye : recipe.dyes) dyed.insert(dye.wanted.place);
    for (const UsedAmount& dye : recipe.used) dyed.insert(dye.used.place);
    for (const PasteAmount& paste : recipe.pastes) dyed.insert(paste.given.place);
    std::size_t open = 0;
    for (const PlaceAmount& at : recipe.places) open += dyed.contains(at.place.name) ? 0U : 1U;
    return open;
}

}  // namespace

std::string depth_text(const std::optional<DepthOfShade>& depth) {
    return depth ? number_text(depth->value, 3) + " %" : kUnknown;
}

std::string stock_text(StockStrength stock) {
    return number_text(stock.value, 3) + " %";
}

std::string acid_to_pour(const AcidAmount& acid, Units units) {
    const bool vinegar = acid.acid.kind == AcidKind::vinegar;
    if (!acid.usual_ml) return powder_text(acid.usual) + " of citric acid crystals, dissolved first";
    return volume_text(*acid.usual_ml, units) + " of " + number_text(*acid.acid.strength_pct, 1) + " % " +
           (vinegar ? "vinegar" : "citric acid");
}

std::string acid_words(const AcidAmount& acid, Units units) {
    const std::string band = acid.usual_ml ? band_text(acid.least_ml->value, acid.most_ml->value, "ml")
                                           : band_text(acid.least.value, acid.most.value, "g");
    return acid_to_pour(acid, units) + " (published: " + band + ")";
}

std::string bath_words(const Recipe& recipe) {
    const PublishedBand published = published_ratios();
    return volume_text(recipe.bath, recipe.request.units) + ", " + number_text(recipe.request.ratio, 1) +
           " ml on 1 g of yarn (published: " + band_text(published.least, published.most, "ml") + ")";
}

std::vector<std::string> paste_words(const PasteAmount& paste, Units units) {
    std::vector<std::string> lines;
    if (paste.to_make) {
        const bool as_held = paste.make == PasteAmount::Make::as_held;
        const std::string made =
            (as_held ? "at most " : "") + volume_text(*paste.to_make, units) +
            (as_held ? " of paste, about the weight of its yarn (common practice, no source): " : " of paste: ");
        const std::string dye = paste.from_stock ? volume_text(*paste.from_stock, units) + " of stock + "
                                                 : powder_text(*paste.from_powder) + " of dye, weighed and wetted, in ";
        lines.push_back(made + dye + volume_text(*paste.plain, units) + " of plain paste");
        lines.push_back(
            "gum for all of it: " + (paste.thickener->weight ? powder_text(*paste.thickener->weight) + ", " : "") +
            us_spoons(paste.thickener->powder_spoon) + ", of " + std::string(paste.thickener->name) + " (" +
            std::string(paste.thickener->source) + ")");
    }
    if (paste.thinned)
        lines.push_back("of strength " + number_text(paste.thinned->strength, 3) + ": that is " +
                        in_words(*paste.thinned));
    if (paste.given.jar) {
        lines.push_back(powder_text(paste.given.jar->used()) + " left the jar (" +
                        powder_text(paste.given.jar->before) + " before, " + powder_text(paste.given.jar->after) +
                        " after)");
        if (paste.depth)
            lines.push_back(
                "on " + powder_text(paste.fibre) + " of yarn: " + powder_text(*paste.dye) +
                (*paste.pick_up > kMostHeld ? " of dye at most, a depth of up to " : " of dye, a depth of ") +
                depth_text(paste.depth) +
                " (1 ml taken to weigh 1 g: common "
                "practice, no source)");
    } else {
        lines.push_back("dye on the yarn: unknown until the jar is weighed before and after");
    }
    return lines;
}

std::string total_words(const Recipe& recipe) {
    const Grams fibre = recipe.request.fibre;
    const std::string on = " on " + fibre_text(fibre, recipe.request.units) + " of dry yarn";
    std::string text;
    if (recipe.total)
        text = depth_text(recipe.total) + " of dye" + on + ": " + powder_text(dye_for(fibre, *recipe.total)) +
               " of dry dye in all";
    else if (recipe.known_total.value > 0)
        text = "Dye" + on + ": unknown in all; what is known comes to " + depth_text(recipe.known_total);
    else
        text = "Dye" + on + ": unknown";
    const std::size_t open = undyed_places(recipe);
    if (open > 0)
        text += "; no dye is named for " + std::to_string(open) + (open == 1 ? " painted area" : " painted areas");
    return text;
}

}  // namespace loopread
