#include "cli/overdye_files.h"

#include <algorithm>
#include <set>

#include "cli/design_files.h"
#include "loopread/base/text.h"
#include "loopread/blank/design_picture.h"
#include "loopread/colour/names.h"
#include "loopread/draw/overdye_sheet.h"
#include "loopread/dye/cautions.h"
#include "loopread/dye/paste.h"
#include "loopread/overdye/strengths.h"
#include "loopread/photo/write.h"

namespace loopread::cli {
namespace {

constexpr const char* kCautions =
    "Treat dye powder as a possible sensitiser: weigh it with mask, gloves and ventilation. Read the maker's safety "
    "data "
    "sheet. Local codes and licensed practice come first.";
Json caution_list() {
    Json list = Json::array();
    for (const Caution& caution : cautions()) list.push_back(in_words(caution));
    return list;
}

constexpr const char* kMixing = "parts of paste to parts of PLAIN paste, not water: water thins it and it runs";

/// The design dyed in one order.
struct Ordered {
    std::string name;       ///< "base-first"
    std::string file_stem;  ///< "design"
    double struck = 1;      ///< share of the stencil dye that stays where it was put
    Paint paint;
};

/// One strength as it comes out on its ground.
struct OutcomeOfStrength {
    LinearRgb ground, dyed;
    Apart apart;
    PasteStep mix;
};

/// What a step's ground is told over: where the stencils of its ladder dye, whatever their strength.
Plane places_of(const OverdyeInput& input, const StrengthStep& step) {
    Plane places(input.paint.raster.rows, input.paint.raster.columns);
    for (const std::size_t layer : step.ground_of) {
        auto amount = input.paint.layers[layer].amount.begin();
        for (double& place : places) place += *amount++ / input.steps[layer].strength;
    }
    return places;
}

OutcomeOfStrength outcome_of(const OverdyeInput& input, const Ordered& order, std::size_t layer, double lost_under) {
    OutcomeOfStrength outcome;
    outcome.ground = ground_under(order.paint.ground, places_of(input, input.steps[layer]));
    const double strength = input.steps[layer].strength;
    outcome.dyed = overdyed(outcome.ground, order.paint.layers[layer].dye, strength * order.struck);
    outcome.apart = apart(lab_from_linear(outcome.dyed), lab_from_linear(outcome.ground), lost_under);
    outcome.mix = paste_step(strength);
    return outcome;
}

std::string held_word(const Apart& apart) {
    return apart.held == Held::holds ? "holds" : "lost";
}

/// A name as a field of a file: no comma may split it.
std::string field(const std::string& text) {
    if (text.find_first_of(",\"\n") == std::string::npos) return text;
    std::string quoted = "\"";
    for (const char c : text) quoted += c == '"' ? "\"\"" : std::string(1, c);
    return quoted + "\"";
}

class OverdyeWriting {
public:
    OverdyeWriting(const OverdyeInput& input, const OverdyePlan& plan) : input_(input), plan_(plan) {
        if (plan.orders != DyeingOrders::stencil_first) orders_.push_back({"base-first", "design", 1, input.paint});
        if (plan.orders != DyeingOrders::base_first)
            orders_.push_back({"stencil-first", plan.orders == DyeingOrders::both ? "design-stencil-first" : "design",
                               plan.strike, stencilled_first(input.paint, plan.strike)});
        for (const Ordered& order : orders_)
            for (std::size_t layer = 0; layer < input.steps.size(); ++layer)
                outcomes_.push_back(outcome_of(input, order, layer, plan.lost_under));
    }

    OverdyeFiles files() {
        add_stencils();
        for (const Ordered& order : orders_) add_design(order);
        out_.files.emplace_back("strengths.csv", strengths_csv());
        write_summary();
        out_.files.emplace_back(orders_.size() > 1 ? "orders.png" : "strengths.png", png_bytes(overdye_sheet(sheet())));
        return std::move(out_);
    }

private:
    const OutcomeOfStrength& outcome(std::size_t order, std::size_t layer) const {
        return outcomes_[order * input_.steps.size() + layer];
    }

    void add_stencils() {
        for (std::size_t i = 0; i < input_.steps.size(); ++i) {
            stencil_names_.push_back("design-stencil-" + std::to_string(i + 1) + ".png");
            out_.files.emplace_back(stencil_names_.back(), png_bytes(stencil_picture(input_.paint.layers[i].amount,
                                                                                     input_.steps[i].strength)));
        }
    }

    void add_design(const Ordered& order) {
        Design design = input_.design;
        for (DesignLayer& layer : design.layers) layer.strength *= order.struck;
        std::string ground;
        const bool washed = order.struck < 1;
        if (washed && order.paint.ground.size() == 1)
            design.ground.colours = {srgb8_from_linear(order.paint.ground(0, 0))};
        else if (input_.ground_is_picture || washed)
            ground = order.file_stem + "-ground.png";
        if (!ground.empty()) out_.files.emplace_back(ground, png_bytes(encoded(order.paint.ground)));
        out_.files.emplace_back(order.file_stem + ".toml", design_toml(design, stencil_names_, ground));
        out_.files.emplace_back(order.file_stem + ".png",
                                png_bytes(encoded(design_picture(order.paint, order.paint.raster.rows))));
    }

    std::string strengths_csv() const {
        std::string csv =
            caution_comments() +
            "# parts_paste to parts_plain_paste: thin with PLAIN paste, not water\n"
            "order,colour,hex,L,ground_L,delta_L,delta_e00,verdict,parts_paste,parts_plain_paste,strength,stencil,"
            "ground_hex,hue_tells\n";
        for (std::size_t o = 0; o < orders_.size(); ++o)
            for (std::size_t i = 0; i < input_.steps.size(); ++i) {
                const OutcomeOfStrength& row = outcome(o, i);
                csv += orders_[o].name + "," + plain_words(lab_from_linear(row.dyed)) + "," +
                       hex_text(srgb8_from_linear(row.dyed)) + ",";
                append_fixed(csv, lab_from_linear(row.dyed).l, 3);
                csv += ",";
                append_fixed(csv, lab_from_linear(row.ground).l, 3);
                csv += ",";
                append_fixed(csv, row.apart.delta_l, 3);
                csv += ",";
                append_fixed(csv, row.apart.delta_e00, 3);
                csv += "," + held_word(row.apart) + "," + number_text(row.mix.paste_parts, 3) + "," +
                       number_text(row.mix.plain_parts, 3) + "," + number_text(input_.steps[i].strength, 6) + "," +
                       field(input_.steps[i].stencil) + "," + hex_text(srgb8_from_linear(row.ground)) + "," +
                       (row.apart.hue_tells ? "yes" : "no") + "\n";
            }
        return csv;
    }

    // ---- in words

    bool alike() const { return orders_.size() > 1 && plan_.strike == 1; }

    std::string sentence() const {
        std::size_t held = 0;
        std::string lost;
        for (std::size_t i = 0; i < input_.steps.size(); ++i) {
            if (outcome(0, i).apart.held == Held::holds)
                ++held;
            else
                lost += (lost.empty() ? "" : ", ") + input_.steps[i].words + " (" +
                        number_text(outcome(0, i).apart.delta_l, 1) + ")";
        }
        const std::string limit = number_text(plan_.lost_under, 1);
        const std::string first = orders_.front().name == "base-first" ? "Dipped first, stencilled after: "
                                                                       : "Stencilled first, then dipped: ";
        const std::size_t all = input_.steps.size();
        if (held == all)
            return first +
                   (all == 1   ? "the stencil holds"
                    : all == 2 ? "both strengths hold"
                               : "all " + std::to_string(all) + " strengths hold") +
                   " against the ground (" + limit + " or more apart in lightness)." + second_order();
        return first +
               (held == 0 ? std::string("none of the strengths holds")
                          : std::to_string(held) + " of " + std::to_string(all) +
                                (held == 1 ? " strengths holds" : " strengths hold")) +
               " against the ground; lost, being less than " + limit + " apart in lightness: " + lost + "." +
               second_order();
    }

    std::string second_order() const {
        if (orders_.size() < 2) return "";
        if (alike())
            return " With all of the stencil dye fixed before the bath (strike 1) the other order comes out alike.";
        std::size_t held = 0;
        for (std::size_t i = 0; i < input_.steps.size(); ++i) held += outcome(1, i).apart.held == Held::holds ? 1U : 0U;
        return " Stencilled first, " + percent_washed() + " % of the stencil dye washes into the bath and " +
               std::to_string(held) + " of " + std::to_string(input_.steps.size()) + " hold.";
    }

    std::string percent_washed() const { return number_text(100 * (1 - plan_.strike), 0); }

    void write_summary() {
        Json orders = Json::array();
        for (std::size_t o = 0; o < orders_.size(); ++o) {
            Json strengths = Json::array();
            for (std::size_t i = 0; i < input_.steps.size(); ++i) strengths.push_back(strength_json(o, i));
            orders.push_back({{"order", orders_[o].name},
                              {"design", orders_[o].file_stem + ".toml"},
                              {"ground_hex", hex_text(srgb8_from_linear(mean_ground(orders_[o])))},
                              {"strengths", strengths}});
        }
        out_.summary = {{"sentence", sentence()},
                        {"orders", orders},
                        {"strike", plan_.strike},
                        {"lost_under", plan_.lost_under},
                        {"mix", kMixing},
                        {"shared_out", input_.shared_out},
                        {"blank", blank_json(input_.layout)},
                        {"cautions", caution_list()}};
        if (plan_.orders != DyeingOrders::base_first) {
            const KOverS washed = washed_dye(input_.paint, plan_.strike);
            out_.summary["washed_into_bath_k_over_s"] = {rounded(washed.r, 5), rounded(washed.g, 5),
                                                         rounded(washed.b, 5)};
        }
    }

    Json strength_json(std::size_t o, std::size_t i) const {
        const OutcomeOfStrength& row = outcome(o, i);
        return {{"strength", rounded(input_.steps[i].strength, 6)},
                {"stencil", input_.steps[i].stencil},
                {"colour", plain_words(lab_from_linear(row.dyed))},
                {"hex", hex_text(srgb8_from_linear(row.dyed))},
                {"L", rounded(lab_from_linear(row.dyed).l, 3)},
                {"ground_L", rounded(lab_from_linear(row.ground).l, 3)},
                {"delta_L", rounded(row.apart.delta_l, 3)},
                {"delta_e00", rounded(row.apart.delta_e00, 3)},
                {"verdict", held_word(row.apart)},
                {"hue_tells", row.apart.hue_tells},
                {"parts_paste", row.mix.paste_parts},
                {"parts_plain_paste", rounded(row.mix.plain_parts, 3)},
                {"mix", in_words(row.mix)}};
    }

    static LinearRgb mean_ground(const Ordered& order) {
        LinearRgb sum;
        for (const LinearRgb& colour : order.paint.ground) sum += colour;
        return sum * (1.0 / static_cast<double>(order.paint.ground.size()));
    }

    // ---- the sheet

    OverdyeSheet sheet() const {
        OverdyeSheet sheet;
        sheet.headline = out_.summary["sentence"].get<std::string>();
        for (const std::string& how : input_.shared_out) sheet.why += sentence_of(how) + " ";
        sheet.why += "A motif counts as lost if it is less than " + number_text(plan_.lost_under, 1) +
                     " lighter or darker than its ground (black is 0, white 100): at the size of a stitch an edge "
                     "under about 7 is hard to "
                     "see. No standard sets a limit for knitting.";
        sheet.foot = std::string("Thin with PLAIN paste, not water. ") + kCautions;
        for (std::size_t o = 0; o < orders_.size(); ++o) sheet.panels.push_back(panel(o));
        return sheet;
    }

    static std::string sentence_of(std::string words) {
        words.front() = static_cast<char>(std::toupper(static_cast<unsigned char>(words.front())));
        return words + ".";
    }

    OverdyePanel panel(std::size_t o) const {
        const Ordered& order = orders_[o];
        OverdyePanel panel;
        const bool base_first = order.name == "base-first";
        panel.title = base_first ? "Dipped first, stencilled after" : "Stencilled first, then dipped";
        panel.caption = base_first ? "The whole loop takes the bath; paste adds its dye on top."
                        : order.struck == 1
                            ? "All of the stencil dye stays where it was put; the bath adds to it everywhere."
                            : "Of the stencil dye " + number_text(100 * order.struck, 0) + " % stays; " +
                                  percent_washed() + " % washes out and tints the whole blank.";
        panel.design = design_picture(order.paint, order.paint.raster.rows);
        for (std::size_t i = 0; i < input_.steps.size(); ++i) {
            const OutcomeOfStrength& row = outcome(o, i);
            const std::string strength =
                input_.steps[i].strength == 1 ? std::string("Full strength") : input_.steps[i].words;
            panel.strengths.push_back(
                {strength + " of " + plain_words(lab_from_linear(linear_from_srgb8(input_.design.layers[i].colour))),
                 in_words(row.mix), row.ground, row.dyed, row.apart});
        }
        return panel;
    }

    const OverdyeInput& input_;
    const OverdyePlan& plan_;
    std::vector<Ordered> orders_;
    std::vector<OutcomeOfStrength> outcomes_;  // order by order, layer by layer
    std::vector<std::string> stencil_names_;
    OverdyeFiles out_;
};

}  // namespace

OverdyeFiles overdye_files(const OverdyeInput& input, const OverdyePlan& plan) {
    return OverdyeWriting(input, plan).files();
}

}  // namespace loopread::cli
