#include "wasm/answers.h"

#include "loopread/base/text.h"
#include "loopread/yarn/file.h"
#include "loopread/yarn/reduced.h"
#include "wasm/answer_parts.h"

namespace loopread::wasm {
namespace {

Json shares_json(const Shares& s) {
    Json json{{"stripe", s.stripe},   {"pool", s.pool},     {"dash", s.dash},
              {"speckle", s.speckle}, {"lean", s.lean},     {"colour_range", s.colour_range},
              {"fade", s.fade},       {"wiggle", s.wiggle}, {"pooled_contrast", s.pooled_contrast}};
    if (!s.why_none.empty()) json["why_none"] = s.why_none;
    return json;
}

/// The layers as a design.toml, over the stencils that the page saves beside it. Dips are stencils of full penetration.
std::string design_toml(const TableState& state) {
    std::string toml = "undyed = " + toml_text(hex_text(state.blank.undyed)) + "\n\n[ground]\n";
    toml +=
        state.picture ? "picture = \"picture.png\"\n" : "colour = " + toml_text(hex_text(state.blank.undyed)) + "\n";
    if (state.dye.strike < 1)
        toml = "# Stencils as painted. " + number_text(100 * (1 - state.dye.strike), 1) +
               " % of their dye washes into a dip that comes later (overdye --strike " +
               number_text(state.dye.strike, 4) + ").\n" + toml;
    int number = 0;
    for (const TableLayer& layer : state.layers) {
        if (layer.on == TableLayer::Shown::no) continue;
        const bool dip = std::holds_alternative<Dip>(layer.form);
        toml += "\n[[layer]]\nname = " + toml_text(layer.name) + "\nstencil = \"stencil-" + std::to_string(++number) +
                ".png\"\ncolour = " + toml_text(hex_text(layer.colour)) +
                "\nstrength = " + number_text(layer.strength, 4) +
                "\npenetration = " + number_text(dip ? 1 : layer.penetration, 4) + "\n";
    }
    return toml;
}

}  // namespace

// ---- what the state comes to

Json Answers::settled() const {
    const SettledTable& settled = table_.settled();
    const BlankLayout& layout = settled.layout;
    const TableKnitting& knitting = settled.knitting;
    return {{"stitches", layout.stitches},
            {"rows", layout.rows},
            {"strands", layout.strands},
            {"width_cm", rounded(layout.width().value / 10, 4)},
            {"length_cm", rounded(layout.length().value / 10, 4)},
            {"strand_m", rounded(layout.strand_length().value / 1000, 4)},
            {"loop_mm", rounded(layout.loop_length.value, 4)},
            {"ball_g", table_.state().blank.ball_g},
            {"gauge_stitches", knitting.gauge.stitches},
            {"gauge_rows", knitting.gauge.rows},
            {"yarn_per_round_cm", rounded(knitting.yarn_per_round().value / 10, 4)},
            {"yarn_per_stitch_mm", rounded(knitting.yarn_per_stitch.value, 4)},
            {"sock", knitting.sock.has_value()},
            {"yarn_version", table_.versions().yarn},
            {"knitting_version", table_.versions().knitting},
            {"foot_cm", or_null(knitting.foot_cm)},
            {"leg_cm", or_null(knitting.leg_cm)},
            {"assumed", texts(settled.assumed)},
            {"warnings", texts(settled.warnings)}};
}

Json Answers::told() const {
    const Told told = loopread::told(table_);
    Json balls = Json::array(), left = Json::array(), palette = Json::array(), layers = Json::array();
    for (const ToldBall& ball : told.balls) {
        balls.push_back({{"name", ball.name},
                         {"kind", ball.look.verdict.kind},
                         {"slants", ball.look.verdict.slants},
                         {"sentence", ball.look.verdict.sentence},
                         {"shares", shares_json(ball.look.shares)}});
        left.push_back({{"m", ball.left_m}, {"g", ball.left_g}, {"words", ball.left_in_words}});
    }
    for (const ColourRun& strand : table_.strands()) {
        const Lab mean = lab_from_linear(strand.mean(0, strand.length_mm()));
        balls[static_cast<std::size_t>(&strand - table_.strands().data())]["mean_lab"] = {mean.l, mean.a, mean.b};
    }
    for (const PaletteColour& colour : told.palette)
        palette.push_back({{"hex", hex(colour.colour)}, {"share", colour.share}, {"name", colour.words}});
    for (const ToldLayer& layer : told.layers)
        layers.push_back({{"id", layer.id}, {"contrast_L", rounded(layer.contrast_l, 2)}});
    Json pair = nullptr;
    if (told.pair)
        pair = {{"mean_de00", told.pair->own.mean_de00},
                {"p95_de00", told.pair->own.p95_de00},
                {"mean_de00_range", {told.pair->range.least, told.pair->range.most}},
                {"words", told.pair->words}};
    return {{"sentence", told.sentence},
            {"balls", balls},
            {"pair", pair},
            {"rounds_per_row", told.rounds_per_row},
            {"strand_m", table_.settled().layout.strand_length().value / 1000},
            {"ball_g", table_.state().blank.ball_g},
            {"yarn_per_round_mm", table_.settled().knitting.yarn_per_round().value},
            {"yarn_left", left},
            {"palette", palette},
            {"layers", layers}};
}

// ---- files

Json Answers::file(const Json& object, ShownPicture& pixels) const {
    const Fields request(object, "file");
    enum class What { yarn, runs, design, stencil };
    const auto what = request.choice<What>("what", {{"yarn.csv", What::yarn},
                                                    {"runs.csv", What::runs},
                                                    {"design.toml", What::design},
                                                    {"stencil", What::stencil}});
    if (!what) request.refuse("what", "is missing; it is yarn.csv, runs.csv, design.toml or stencil");
    switch (*what) {
        case What::yarn:
            return {{"text", yarn_csv(table_.strands())}};
        case What::runs:
            return {{"text",
                     runs_csv(table_.strands(), yarn_palette(table_.strands(), kPaletteColours, table_.state().seed),
                              table_.settled().layout.loop_length.value)}};
        case What::design:
            return {{"text", design_toml(table_.state())}};
        case What::stencil:
            pixels.keep(stencil_picture(table_, request.text("layer").value_or("")));
            return sized(pixels.now());
    }
    return {};
}

}  // namespace loopread::wasm
