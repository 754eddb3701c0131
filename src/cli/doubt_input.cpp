#include "cli/doubt_input.h"

#include <toml++/toml.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <utility>

#include "cli/knitted_picture.h"
#include "loopread/base/error.h"
#include "loopread/base/files.h"

namespace loopread::cli {
namespace {

const char* const kChosen = "not measured: chosen, no source";
const char* const kTyped = "given";

std::string key_of(Unmeasured what) {
    return what == Unmeasured::wrap ? "wrap" : "penetration";
}

/// Of a base file, what fits its photos hardly worse; none where the file does not say.
std::optional<Range> span_in_base(const std::string& file, const std::string& key, double used) {
    toml::table table;
    try {
        table = toml::parse(file_bytes(file, 100'000));
    } catch (const toml::parse_error&) {
        return std::nullopt;  // told where the file is read for its figures
    }
    if (!table.contains(key)) return std::nullopt;
    const auto low = table[key + "_range"][0].value<double>(), high = table[key + "_range"][1].value<double>();
    if (low && high && *low <= used && used <= *high) return Range{*low, used, *high};
    return range_about(used, std::max(0.0, used - kToldToEitherSide), std::min(1.0, used + kToldToEitherSide));
}

DoubtedFigure winding_figure(Unmeasured what, const BlankOptions& options, double used) {
    const bool typed = what == Unmeasured::turn ? options.turn_given : options.wander_given;
    if (typed) return {what, held(used), kTyped};
    return {what, stated_range(what, used), kChosen};
}

DoubtedFigure yarn_figure(const KnitOptions& typed, const Knitting& knitting) {
    if (!typed.yarn_per_round.empty() || !typed.yarn_per_stitch.empty())
        return {Unmeasured::yarn, held(1), "measured; the simulated knitters cover its spread"};
    if (!typed.gauge.empty())
        return {
            Unmeasured::yarn, yarn_at_known_gauge(),
            "from the gauge given: a knitter's own spread, and fabric fresh off the needles or relaxed (Munden 1959)"};
    return {Unmeasured::yarn, yarn_without_gauge(knitting.gauge.stitches),
            "not measured: 27 (Craft Yarn Council, super fine yarn) to 36 stitches in 10 cm (common practice, no "
            "source), fresh off the needles or relaxed (Munden 1959)"};
}

}  // namespace

void add_doubt(CLI::App& command, DoubtOptions& o) {
    command
        .add_option("--draws", o.draws,
                    "guesses to try for what nobody measured, to see whether the answer holds; 0 tries none")
        ->group("How sure")
        ->capture_default_str();
}

void check_doubt(const DoubtOptions& o) {
    if (o.draws < 0 || o.draws > 10'000) throw Error(ErrorKind::usage, "--draws: must lie between 0 and 10,000");
}

Doubts::Doubts(const BlankInput* blank, std::vector<ColourRun> strands, const WindingOptions& winding)
    : input_(blank), strands_(std::move(strands)), winding_(winding) {
    if (blank) blank_.emplace(blank->layout, blank->paint, blank->shape, blank->shares);
}

DoubtedFigure Doubts::dye_figure(Unmeasured what, const BlankOptions& options, double used) const {
    const bool wrap = what == Unmeasured::wrap;
    if (wrap ? options.wrap : options.penetration) return {what, held(used), kTyped};
    if (!wrap && !blank_->penetration_counts()) return {what, held(used), "each layer's own, as the design gives it"};
    if (!options.base.empty())
        if (const auto span = span_in_base(options.base, key_of(what), used))
            return {what, *span, "measured once (--base), within what its photos allow"};
    if (input_->show_through) {
        const ToldFigure& told = wrap ? input_->show_through->figures.wrap : input_->show_through->figures.penetration;
        if (told.told()) return {what, range_about(used, told.low, told.high), "as the photos of both sides allow"};
    }
    return {what, stated_range(what, used), kChosen};
}

void Doubts::settle(const BlankOptions& blank, const KnitOptions& typed, const Knitting& knitting) {
    figures_.clear();
    if (blank_) {
        figures_.push_back(dye_figure(Unmeasured::wrap, blank, input_->paint.wrap));
        figures_.push_back(dye_figure(Unmeasured::penetration, blank, input_->paint.penetration));
    }
    if (winds()) {
        figures_.push_back(winding_figure(Unmeasured::turn, blank, winding_.turn.value));
        figures_.push_back(winding_figure(Unmeasured::wander, blank, winding_.wander.value));
    }
    figures_.push_back(yarn_figure(typed, knitting));
}

Ranges Doubts::ranges() const {
    Ranges ranges;
    for (const DoubtedFigure& figure : figures_) ranges[figure.what] = figure.range;
    return ranges;
}

bool Doubts::all_known() const {
    return !winds() &&
           std::none_of(figures_.begin(), figures_.end(), [](const auto& figure) { return figure.range.drawn(); });
}

std::optional<HowSure> Doubts::how_sure(const Knitting& knitting, int draws, std::optional<RiskInUse> risk) const {
    DoubtedKnitting piece;
    piece.strands = knitting.strands;
    piece.first_end = first_end(knitting);
    piece.alternate = knitting.alternate;
    piece.stitches = knitting.stitches;
    piece.yarn_per_stitch = knitting.yarn_per_stitch;
    piece.worked = knitting.worked();
    piece.garment = [knitting](Millimetres yarn, Millimetres yarn_per_stitch) {
        Knitting drawn = knitting;
        drawn.yarn_per_stitch = yarn_per_stitch;
        return planned_garment(drawn, yarn.value);
    };
    DoubtPlan plan;
    plan.draws = draws;
    plan.ranges = ranges();
    return loopread::how_sure({blank_ ? &*blank_ : nullptr, strands_, winding_}, std::move(piece), plan,
                              std::move(risk));
}

}  // namespace loopread::cli
