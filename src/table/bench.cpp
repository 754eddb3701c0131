#include "loopread/table/bench.h"

#include <algorithm>
#include <utility>

#include "loopread/base/require.h"
#include "loopread/base/text.h"
#include "loopread/blank/defaults.h"
#include "loopread/colour/difference.h"
#include "loopread/dye/paste.h"
#include "loopread/overdye/strengths.h"

namespace loopread {
namespace {

constexpr double kStrengths[] = {1, 0.5, 0.25};
constexpr int kEvenSteps = 3;
constexpr double kPartIsLost = 0.05;  // of a layer; chosen: less is its soft edge
constexpr int kAStitch = 8;           // pixels of the raster
constexpr SeenShares kPaintedSide{.painted = 1, .other = 0};

bool is_dip(const TableLayer& layer) {
    return std::holds_alternative<Dip>(layer.form);
}

double lightness(LinearRgb colour) {
    return lab_from_linear(colour).l;
}

/// A dip is no paste: its bath gets less dye.
std::string stir_words(const TableLayer& layer, double strength) {
    if (strength == 1) return is_dip(layer) ? "the bath with all of its dye" : "the paste as it is";
    if (is_dip(layer)) return "a bath with " + number_text(100 * strength, 0) + " % of the dye";
    return in_words(paste_step(strength)) + ", not water";
}

std::string words_of(DyeChange change) {
    switch (change) {
        case DyeChange::stencil_darker:
            return "two steps darker (four times the dye)";
        case DyeChange::ground_half:
            return "what lies under it at half strength";
        case DyeChange::both:
            return "both together";
    }
    return "";
}

std::vector<TableLayer> copies_of_shown(const TableState& state) {
    std::vector<TableLayer> shown;
    for (const TableLayer& layer : state.layers)
        if (layer.on == TableLayer::Shown::yes) shown.push_back(layer);
    return shown;
}

/// Where it lies with at least half of its strongest amount.
std::vector<PixelPlace> painted_places(const Plane& amount) {
    const double strongest = *std::max_element(amount.begin(), amount.end());
    std::vector<PixelPlace> places;
    for (int row = kAStitch / 2; row < amount.rows(); row += kAStitch)
        for (int column = kAStitch / 2; column < amount.columns(); column += kAStitch)
            if (amount(row, column) > 0 && amount(row, column) >= strongest / 2) places.push_back({row, column});
    return places;
}

LinearRgb colour_at(const Paint& paint, PixelPlace place) {
    return yarn_colour(paint, (place.column + 0.5) * paint.raster.mm_per_column,
                       (place.row + 0.5) * paint.raster.mm_per_row, kPaintedSide);
}

/// Of the places that are lost.
LayerContrast lost_mean(const std::vector<LayerContrast>& places) {
    LayerContrast mean;
    double count = 0;
    for (const LayerContrast& place : places)
        if (place.apart.held == Held::lost) {
            mean.with += place.with;
            mean.without += place.without;
            count += 1;
        }
    require(count > 0, "a place is lost");
    mean.with = mean.with * (1 / count);
    mean.without = mean.without * (1 / count);
    return mean;
}

}  // namespace

Bench::Bench(const DyeTable& table)
    : shown_(copies_of_shown(table.state())),
      undyed_(linear_from_srgb8(table.state().blank.undyed)),
      paint_(table.layered_paint(shown_, table.state().dye.strike)) {
    const bool washes = table.state().dye.strike < 1;
    const std::vector<DyeLayer> painted = washes ? table.layered_paint(shown_, 1).layers : std::vector<DyeLayer>();
    for (std::size_t i = 0; i < shown_.size(); ++i)
        painted_.push_back(painted_places((washes ? painted : paint_.layers)[i].amount));
}

double Bench::progress() const {
    return shown_.empty() ? 1 : static_cast<double>(told_.size()) / static_cast<double>(shown_.size());
}

void Bench::step() {
    require(!done(), "a layer is left");
    told_.push_back(told_of(shown_[told_.size()], layer_contrast(paint_, told_.size(), kLostUnder)));
}

std::vector<LayerContrast> Bench::at_places(std::size_t layer) const {
    Paint bare = paint_;
    bare.layers.erase(bare.layers.begin() + static_cast<std::ptrdiff_t>(layer));
    std::vector<LayerContrast> found;
    for (const PixelPlace place : painted_[layer]) {
        LayerContrast here{colour_at(paint_, place), colour_at(bare, place), {}};
        here.apart = apart(lab_from_linear(here.with), lab_from_linear(here.without), kLostUnder);
        found.push_back(here);
    }
    return found;
}

BenchLayer Bench::told_of(const TableLayer& layer, const LayerContrast& contrast) const {
    BenchLayer out{.id = layer.id, .contrast = contrast, .remedies = {}, .strengths = {}, .even = {}};
    out.l = lightness(contrast.with);
    out.ground_l = lightness(contrast.without);
    const KOverS dye = dye_of(linear_from_srgb8(layer.colour), undyed_);
    const auto of_strength = [&](double strength) {
        const LinearRgb colour = overdyed(contrast.without, dye, strength);
        const Apart gap = apart(lab_from_linear(colour), lab_from_linear(contrast.without), kLostUnder);
        return BenchStrength{strength, colour, lightness(colour), gap, stir_words(layer, strength)};
    };
    for (const double strength : kStrengths) out.strengths.push_back(of_strength(strength));
    if (const auto even = even_strengths(contrast.without, dye, kEvenSteps, 1))
        for (const double strength : *even) out.even.push_back(of_strength(strength));
    const std::vector<LayerContrast> places = at_places(told_.size());
    const auto lost = std::count_if(places.begin(), places.end(),
                                    [](const LayerContrast& place) { return place.apart.held == Held::lost; });
    if (!places.empty()) out.lost_share = static_cast<double>(lost) / static_cast<double>(places.size());
    if (contrast.apart.held == Held::holds && out.lost_share < kPartIsLost) return out;
    const LayerContrast help = lost > 0 ? lost_mean(places) : contrast;
    for (const Remedy& remedy : remedies({help.with, help.without, undyed_}, kLostUnder)) {
        BenchRemedy found{remedy, words_of(remedy.change), {}};
        const double strength = kTwoSteps * layer.strength;
        if (remedy.change == DyeChange::stencil_darker && strength <= 1) found.strength = strength;
        out.remedies.push_back(std::move(found));
    }
    return out;
}

TriedOrder tried_order(const DyeTable& table, LayerOrder order) {
    const TableState& state = table.state();
    Paint sharp = table.layered_paint(in_order(state.layers, order), state.dye.strike);
    return {order, crept(std::move(sharp), Millimetres{state.dye.creep_mm})};
}

double order_difference(const DyeTable& table) {
    const Paint dipped = tried_order(table, LayerOrder::dipped_first).paint;
    const Paint stencilled = tried_order(table, LayerOrder::stencilled_first).paint;
    double most = 0;
    for (int row = kAStitch / 2; row < dipped.raster.rows; row += kAStitch)
        for (int column = kAStitch / 2; column < dipped.raster.columns; column += kAStitch)
            most = std::max(most, delta_e_2000(lab_from_linear(colour_at(dipped, {row, column})),
                                               lab_from_linear(colour_at(stencilled, {row, column}))));
    return most;
}

std::string in_words(const Apart& apart) {
    if (apart.held == Held::holds) return "holds";
    return apart.hue_tells ? "lost in light and dark; only the hue tells them apart" : "lost in light and dark";
}

}  // namespace loopread
