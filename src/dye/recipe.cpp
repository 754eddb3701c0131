#include "loopread/dye/recipe.h"

#include <algorithm>
#include <set>
#include <string_view>
#include <utility>

#include "loopread/base/error.h"
#include "loopread/base/require.h"
#include "loopread/base/text.h"
#include "loopread/dye/words.h"

namespace loopread {
namespace {

[[noreturn]] void refuse(const std::string& what) {
    throw Error(ErrorKind::usage, what);
}

std::string percent(double value) {
    return number_text(value, 3) + " %";
}

template <class Entry>
void check_once(const std::vector<Entry>& entries, const std::string& option) {
    std::set<std::string> names;
    for (const Entry& entry : entries)
        if (!names.insert(entry.name).second)
            refuse(option + ": '" + entry.name + "' is named twice; name each dye once, with all of its amount");
}

void check_stock(const std::string& option, const std::string& name, StockStrength stock) {
    // Stronger than a quarter of its weight in dye nothing pours; a gram in 100 l dyes nothing. chosen
    constexpr StockStrength kStrongest{25}, kWeakest{0.001};
    if (!(stock >= kWeakest))
        refuse(option + ": '" + name + "' of " + percent(stock.value) +
               " holds no dye; say how many grams are in 100 ml");
    if (stock > kStrongest)
        refuse(option + ": '" + name + "' of " + percent(stock.value) +
               " does not dissolve; grams in 100 ml are meant");
}

class RecipeMaker {
public:
    explicit RecipeMaker(const RecipeRequest& request) { recipe_.request = request; }

    Recipe made() && {
        check();
        add_places();
        add_dyes();
        add_used();
        for (const JarOfPaste& given : request().pastes) add_paste(given);
        for (const double strength : request().strengths) recipe_.steps_paler.push_back(paste_step(strength));
        add_total();
        check_depth();
        add_bath();
        doubt_liquid();
        recipe_.cautions = cautions(request().dye_class);
        for (std::string& words : class_differences(request().dye_class)) recipe_.warnings.push_back(std::move(words));
        return std::move(recipe_);
    }

private:
    const RecipeRequest& request() const { return recipe_.request; }
    void assume(const std::string& words) { recipe_.assumed.push_back(words); }
    void warn(const std::string& words) { recipe_.warnings.push_back(words); }

    void check() const {
        require(request().fibre.value > 0, "fibre > 0");
        check_once(request().dyes, "--dye");
        check_once(request().used, "--used");
        for (const WantedDye& dye : request().dyes) check_stock("--stock", dye.name, dye.stock);
        for (const UsedDye& dye : request().used) check_stock("--stock", dye.name, dye.stock);
        std::set<std::string> jars;
        for (const JarOfPaste& paste : request().pastes) {
            const std::string name = paste.place.empty() ? "paste" : paste.place;
            if (!jars.insert(name).second) refuse("--paste: '" + name + "' is named twice; one paste for each area");
            check_stock("--paste", name, paste.strength);
            if (paste.jar && paste.jar->used() < Grams{0})
                refuse("--jar: the jar of '" + name + "' is heavier after painting than before; turn the two weights");
        }
        for (const double strength : request().strengths)
            if (!(strength > 0 && strength <= 1))
                refuse("--strengths: " + number_text(strength, 3) + " is not over 0 and up to 1, like 1,1/2,1/4");
        if (!(request().ratio >= kLeastRatio && request().ratio <= kMostRatio))
            refuse("--ratio: " + number_text(request().ratio, 2) +
                   " ml of bath on 1 g of yarn cannot be; 8 to 50 are usual");
        check_acid(request().acid);
    }

    const DyedPlace& place(const std::string& name) const {
        static const DyedPlace all{.name = {}, .by = DyedPlace::By::bath};
        if (name.empty()) return all;
        const auto found = std::find_if(request().places.begin(), request().places.end(),
                                        [&](const DyedPlace& p) { return p.name == name; });
        require(found != request().places.end(), "the area is one of those told");
        return *found;
    }

    Grams fibre_at(const std::string& name) const { return request().fibre * place(name).dyed; }

    void add_places() {
        for (const DyedPlace& at : request().places) {
            const Grams fibre = fibre_at(at.name);
            recipe_.places.push_back({at, fibre, Millilitres{fibre.value * kMostHeld.value / kGramsPerMillilitre}});
        }
    }

    void add_dyes() {
        for (const WantedDye& wanted : request().dyes) {
            DyeAmount amount{wanted, fibre_at(wanted.place), {}, {}, {}};
            if (wanted.depth) {
                amount.depth = *wanted.depth * place(wanted.place).strength;
                amount.stock = stock_for(amount.fibre, *amount.depth, wanted.stock);
                amount.dye = dye_for(amount.fibre, *amount.depth);
            }
            recipe_.dyes.push_back(amount);
        }
    }

    void add_used() {
        for (const UsedDye& used : request().used) {
            UsedAmount amount{used, fibre_at(used.place), {}, {}, {}};
            if (used.used) {
                amount.dye = dye_in(*used.used, used.stock);
                if (amount.fibre.value > 0) amount.depth = depth_of(*amount.dye, amount.fibre);
            }
            for (const DyeAmount& planned : recipe_.dyes)
                if (planned.wanted.name == used.name) amount.planned = planned.depth;
            recipe_.used.push_back(amount);
        }
    }

    void add_paste(const JarOfPaste& given) {
        PasteAmount amount;
        amount.given = given;
        amount.fibre = fibre_at(given.place);
        amount.holds = Millilitres{amount.fibre.value * kMostHeld.value / kGramsPerMillilitre};
        const std::string name = given.place.empty() ? "paste" : given.place;
        if (given.jar && amount.fibre.value > 0) {
            amount.pick_up = pick_up_of(given.jar->used(), amount.fibre);
            amount.depth = paste_depth(given.strength, *amount.pick_up);
            amount.dye = dye_for(amount.fibre, *amount.depth);
            if (*amount.pick_up > kMostHeld)
                warn(name + ": " + powder_text(given.jar->used()) + " left the jar, more than its " +
                     powder_text(amount.fibre) +
                     " of yarn hold (about their own weight: common practice, no source); what stayed on the stencil "
                     "or the table is not on the yarn");
        }
        plan_paste(amount, name);
        recipe_.pastes.push_back(amount);
    }

    /// What is asked of an area, all of its dyes together.
    struct AskedDye {
        int dyes = 0;
        bool known = true;
        Grams dye{0};
        StockStrength stock{0};  ///< of the last one
    };
    AskedDye asked_of(const std::string& place) const {
        AskedDye asked;
        for (const DyeAmount& planned : recipe_.dyes) {
            if (planned.wanted.place != place) continue;
            ++asked.dyes;
            asked.stock = planned.wanted.stock;
            if (planned.dye)
                asked.dye = asked.dye + *planned.dye;
            else
                asked.known = false;
        }
        return asked;
    }

    /// How much paste to make for an area, and of what.
    void plan_paste(PasteAmount& amount, const std::string& name) {
        const std::string& at = amount.given.place;
        if (at.empty() || !(amount.fibre.value > 0)) return;
        const AskedDye asked = asked_of(at);
        const double strength = place(at).strength;
        const StockStrength thinned = amount.given.strength * std::min(1.0, strength);
        if (!asked.known || (asked.dyes == 0 && amount.given.jar)) return;
        if (strength < 1) amount.thinned = paste_step(strength);
        amount.make = asked.dyes > 0 ? PasteAmount::Make::for_depth : PasteAmount::Make::as_held;
        amount.to_make = asked.dyes > 0 ? Millilitres{100 * asked.dye.value / thinned.value} : amount.holds;
        amount.thickener = thickener_for(*amount.to_make, request().dye_class);
        mix_paste(amount, thinned, asked);
        constexpr double kRounding = 1e-9;  // a paste that is just strong enough is
        if (asked.dyes > 0 && *amount.to_make > amount.holds * (1 + kRounding))
            warn(name + ": " + volume_text(*amount.to_make, Units::metric) + " of paste is more than its " +
                 powder_text(amount.fibre) + " of yarn hold (about " + volume_text(amount.holds, Units::metric) +
                 ": common practice, no source); make the paste at least " +
                 percent(100 * asked.dye.value / amount.holds.value) + " strong");
    }

    /// From stock where that leaves room for the gum, which all goes into the plain paste: at least half of the whole.
    /// chosen
    void mix_paste(PasteAmount& amount, StockStrength thinned, const AskedDye& asked) {
        const Grams dye = dye_in(*amount.to_make, thinned);
        if (asked.dyes == 1 && thinned * 2 <= asked.stock) {
            amount.from_stock = Millilitres{100 * dye.value / asked.stock.value};
            amount.plain = *amount.to_make - *amount.from_stock;
            return;
        }
        amount.from_powder = dye;
        amount.plain = *amount.to_make;
        if (asked.dyes == 1)
            assume(amount.given.place + ": a " + percent(asked.stock.value) +
                   " stock leaves too little plain paste to thicken it with, so the paste is made with weighed powder, "
                   "wetted first (a stock of " +
                   percent(thinned.value * 2) + " would do)");
    }

    void add_total() {
        Grams known{0};
        bool all_known = true;
        std::set<std::string> told, places;
        const auto count = [&](const std::optional<Grams>& dye) {
            if (dye) known = known + *dye;
            all_known = all_known && dye.has_value();
        };
        for (const DyeAmount& dye : recipe_.dyes) {
            told.insert(dye.wanted.name);
            places.insert(dye.wanted.place);
            count(dye.dye);
        }
        for (const UsedAmount& used : recipe_.used) {
            if (told.contains(used.used.name)) continue;
            places.insert(used.used.place);
            count(used.dye);
        }
        for (const PasteAmount& paste : recipe_.pastes)
            if (paste.given.place.empty() || !places.contains(paste.given.place)) count(paste.dye);
        recipe_.known_total = depth_of(known, request().fibre);
        if (all_known) recipe_.total = recipe_.known_total;
    }

    /// The bath's dye and an area's own, where they lie on one another, by what `amounts` says of each.
    template <class Amounts>
    DepthOfShade deepest_of(const Amounts& amounts) const {
        DepthOfShade bath{0}, most{0};
        for (const auto& [at, depth] : amounts)
            if (at.empty()) bath = bath + depth;
        for (const DyedPlace& area : request().places) {
            DepthOfShade here{0};
            for (const auto& [at, depth] : amounts)
                if (at == area.name) here = here + depth;
            most = std::max(most, here);
        }
        return bath + most;
    }

    /// What is planned or went in beyond all sense is refused; a jar on the scale is a fact, and much of it may not be
    /// on the yarn.
    void check_depth() {
        std::vector<std::pair<std::string, DepthOfShade>> planned, used;
        for (const DyeAmount& dye : recipe_.dyes)
            if (dye.depth) planned.emplace_back(dye.wanted.place, *dye.depth);
        for (const UsedAmount& dye : recipe_.used)
            if (dye.depth) used.emplace_back(dye.used.place, *dye.depth);
        const DepthOfShade deepest = std::max({deepest_of(planned), deepest_of(used), recipe_.known_total});
        constexpr DepthOfShade kDeepShade{5.0};
        if (deepest > kDeepest && request().deep == RecipeRequest::Deep::refused)
            refuse("--dye: " + percent(deepest.value) + " of dye on the yarn is over " + percent(kDeepest.value) +
                   ", more than it can take up; check depths and stocks, or add --allow-deep");
        if (deepest > kDeepShade)
            warn(percent(deepest.value) +
                 " of dye is more than deep shades take (2 to 5 %: common practice, no source); what the fibre does "
                 "not take up stays in the bath or rinses out");
    }

    bool in_bath() const {
        const auto bath = [&](const auto& dye) { return place(dye.place).by == DyedPlace::By::bath; };
        return std::any_of(request().dyes.begin(), request().dyes.end(), bath) ||
               std::any_of(request().used.begin(), request().used.end(), bath);
    }

    void add_bath() {
        recipe_.bath = bath_for(request().fibre, request().ratio);
        const PublishedBand published = published_ratios();
        if (request().ratio < published.least || request().ratio > published.most)
            warn("a bath of " + number_text(request().ratio, 1) +
                 " ml on 1 g of yarn lies outside what is published (" + number_text(published.least, 0) + " to " +
                 number_text(published.most, 0) + ")");
        Process process;
        const auto by_painting = [](const DyedPlace& at) { return at.by == DyedPlace::By::painting; };
        const bool painted =
            !request().pastes.empty() || std::any_of(request().places.begin(), request().places.end(), by_painting);
        process.paint = painted ? Process::Paint::painted : Process::Paint::none;
        process.bath = in_bath() || !painted ? Process::Bath::dipped : Process::Bath::none;
        process.dye_class = request().dye_class;
        process.bath_volume = recipe_.bath;
        process.units = request().units;
        if (request().dye_class == DyeClass::acid) {
            recipe_.acid = acid_for(request().fibre, request().acid, recipe_.total);
            process.acid_words = acid_to_pour(*recipe_.acid, request().units);
            if (request().acid.kind == AcidKind::vinegar && !request().acid.strength_pct)
                assume("vinegar of 5 % (not said: read the bottle)");
        }
        recipe_.steps = dye_steps(process);
    }

    /// More liquid than an area can hold runs off it.
    void doubt_liquid() {
        for (const PlaceAmount& at : recipe_.places) {
            const bool paste = std::any_of(request().pastes.begin(), request().pastes.end(),
                                           [&](const JarOfPaste& given) { return given.place == at.place.name; });
            Millilitres asked{0};
            DepthOfShade depth{0};
            for (const DyeAmount& dye : recipe_.dyes)
                if (dye.wanted.place == at.place.name && dye.stock) {
                    asked = asked + *dye.stock;
                    depth = depth + *dye.depth;
                }
            if (!paste && at.place.by == DyedPlace::By::painting && asked > at.holds)
                warn(at.place.name + ": " + volume_text(asked, Units::metric) + " of stock is more than its " +
                     powder_text(at.fibre) + " of yarn hold (about " + volume_text(at.holds, Units::metric) +
                     ": common practice, no source); paint it with stock of at least " +
                     percent(depth.value / kMostHeld.value));
        }
    }

    Recipe recipe_;
};

}  // namespace

Recipe recipe(const RecipeRequest& request) {
    return RecipeMaker(request).made();
}

}  // namespace loopread
