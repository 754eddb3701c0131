#include "cli/pooling_files.h"

#include <algorithm>
#include <cmath>
#include <future>
#include <optional>

#include "cli/doubt_summary.h"
#include "loopread/base/error.h"
#include "loopread/base/parallel.h"
#include "loopread/base/text.h"
#include "loopread/doubt/words.h"
#include "loopread/photo/write.h"
#include "loopread/shape/garments.h"
#include "loopread/shares/round_lengths.h"

namespace loopread::cli {
namespace {

constexpr double kSwatchesWidth = 1340;  // pixels of the chart that its pieces of fabric share
constexpr double kSwatchHeight = 230;
constexpr double kStopsMatching = 1.5;  // chosen: times the difference of a pair that matches as well as it can

void append_row(std::string& csv, const SweepPoint& point, int strand) {
    const Shares& s = point.shares;
    csv += std::to_string(point.stitches) + ',';
    append_fixed(csv, point.yarn_per_round_mm, 2);
    csv += ',' + std::to_string(strand);
    for (const double share : {s.stripe, s.pool, s.dash, s.speckle}) {
        csv += ',';
        append_fixed(csv, share, 5);
    }
    csv += ',' + std::to_string(s.lean);
    for (const double value : {s.colour_range, s.fade, s.wiggle, s.pooled_contrast, point.pool_risk}) {
        csv += ',';
        append_fixed(csv, value, 5);
    }
    csv += '\n';
}

std::string pooling_csv(const std::vector<std::vector<SweepPoint>>& sweeps, const std::vector<int>& strands) {
    std::string csv =
        "stitches,yarn_per_round_mm,strand,stripe,pool,dash,speckle,lean,colour_range,fade,wiggle,pooled_contrast,"
        "pool_risk\n";
    for (std::size_t i = 0; i < sweeps.front().size(); ++i)
        for (std::size_t s = 0; s < sweeps.size(); ++s) append_row(csv, sweeps[s][i], strands[s]);
    return csv;
}

/// The risk where the balls take turns, at the counts in fours and the asked-for one.
struct TurnsRisk {
    std::vector<int> counts;
    std::vector<double> risks;

    std::optional<double> at(int stitches) const {
        const auto found = std::find(counts.begin(), counts.end(), stitches);
        if (found == counts.end()) return std::nullopt;
        return risks[static_cast<std::size_t>(found - counts.begin())];
    }
};

TurnsRisk risk_by_turns(const std::vector<ColourRun>& runs, const SweepPlan& plan, const Knitting& knitting,
                        const RiskOptions& options) {
    TurnsRisk out;
    if (knitting.alternate == 0) return out;
    SweepPlan fours = plan;
    std::erase_if(fours.stitches, [&](int n) { return n % 4 != 0 && n != knitting.stitches; });
    const KnitterSweep sweep(std::max(runs.front().length(), runs.back().length()), fours, options);
    out.counts = fours.stitches;
    out.risks.assign(out.counts.size(), 0);
    for (const TwoEnds& ends : ends_to_knit(runs, knitting.alternate)) {
        const std::vector<SweepPoint> points = sweep.swept(ends);
        for (std::size_t i = 0; i < points.size(); ++i) out.risks[i] = std::max(out.risks[i], points[i].pool_risk);
    }
    return out;
}

std::string pools_for(double risk) {
    return "pools for " + knitters_of_hundred(risk);
}

class Swatches {
public:
    Swatches(const std::vector<ColourRun>& runs, const Knitting& knitting, std::uint64_t seed, int count)
        : runs_(runs), knitting_(knitting), seed_(seed), width_(kSwatchesWidth / count - 30) {}

    PoolingSwatch at(const RoundRisk& risk, const std::string& title) const {
        PoolingSwatch swatch = drawn(runs_.front(), risk.stitches, title);
        swatch.lines = {
            std::to_string(risk.stitches) + " stitches, " + number_text(risk.yarn_per_round_mm / 10, 1) + " cm a round",
            risk.known ? pools_for(risk.risk) : "too little yarn to tell", words_of(risk)};
        return swatch;
    }

    PoolingSwatch by_turns(const TwoEnds& ends, const std::string& title, std::optional<double> risk) const {
        const Garment piece = tube(knitting_.stitches, 4000);
        PoolingSwatch swatch = drawn(alternated(ends, piece, knitting_.yarn_per_stitch), knitting_.stitches, title);
        swatch.lines = {"two ends by turns, every " + std::to_string(knitting_.alternate) + " rounds",
                        risk ? pools_for(*risk) : ""};
        return swatch;
    }

private:
    std::string words_of(const RoundRisk& risk) const {
        const ColourRun& run = runs_.front();
        const Fabric all = plain_fabric(run, {risk.stitches, knitting_.yarn_per_stitch, knitting_.worked()});
        const std::string words = loopread::look_of(all, run, risk.yarn_per_round_mm).verdict.sentence;
        return words.substr(0, words.find(". "));
    }

    PoolingSwatch drawn(const ColourRun& run, int stitches, const std::string& title) const {
        FabricDrawing drawing;
        drawing.seed = seed_;
        drawing.sights = 16;
        drawing.pixels_per_stitch = std::clamp(width_ / stitches, 2.0, 12.0);
        const double row = pixels_per_round(drawing, knitting_);
        const int rounds = std::max(4, static_cast<int>(kSwatchHeight / row));
        return {drawn_fabric(plain_piece(run, knitting_, stitches, rounds), knitting_, drawing), title, {}};
    }

    const std::vector<ColourRun>& runs_;
    const Knitting& knitting_;
    std::uint64_t seed_;
    double width_;
};

std::vector<PoolingSwatch> swatches_of(const PoolingFiles& found, const std::vector<ColourRun>& runs,
                                       const Knitting& knitting, const TurnsRisk& turns, std::uint64_t seed) {
    const RoundsToShow rounds = rounds_to_show(found.risks, found.asked.stitches);
    const std::vector<TwoEnds> pairs =
        knitting.alternate > 0 ? ends_to_knit(runs, knitting.alternate) : std::vector<TwoEnds>{};
    const Swatches draw(runs, knitting, seed, 3 + static_cast<int>(pairs.size()));
    std::vector<PoolingSwatch> swatches = {draw.at(rounds.asked, "as asked"),
                                           draw.at(rounds.fewest_pools, "fewest pools"),
                                           draw.at(rounds.most_pools, "most pools")};
    for (std::size_t i = 0; i < pairs.size(); ++i)
        swatches.push_back(
            draw.by_turns(pairs[i], "sock " + std::to_string(i + 1) + ", by turns", turns.at(knitting.stitches)));
    return swatches;
}

Json asked_json(const RoundRisk& asked, const SweepPoint& point) {
    Json json = {{"stitches", asked.stitches},
                 {"yarn_per_round_mm", rounded(asked.yarn_per_round_mm, 3)},
                 {"pool_risk", asked.risk}};
    json.update(shares_json(point.shares));
    return json;
}

Json clear_json(const std::vector<ClearStretch>& stretches) {
    Json list = Json::array();
    for (const ClearStretch& stretch : stretches)
        list.push_back({{"from_mm", rounded(stretch.from_mm, 2)},
                        {"to_mm", rounded(stretch.to_mm, 2)},
                        {"stitches", stretch.fours},
                        {"words", stretch_in_words(stretch)}});
    return list;
}

Json turns_json(const std::vector<ColourRun>& runs, const Knitting& knitting, const TurnsRisk& turns) {
    if (knitting.alternate == 0) return nullptr;
    const std::vector<TwoEnds> ends = ends_to_knit(runs, knitting.alternate);
    Json json = {{"every", knitting.alternate}, {"ends_for_a_pair", 2 * runs.size()}};
    if (const auto risk = turns.at(knitting.stitches)) json["pool_risk"] = *risk;
    if (runs.size() < 2) return json;
    const Garment piece = tube(knitting.stitches, 4000);
    const ColourRun one = alternated(ends[0], piece, knitting.yarn_per_stitch);
    const ColourRun other = alternated(ends[1], piece, knitting.yarn_per_stitch);
    // The second sock begun with the wrong end: what was a round of near yarn is one of far yarn.
    const ColourRun swapped =
        alternated({ends[1].second, ends[1].first, knitting.alternate}, piece, knitting.yarn_per_stitch);
    json["pair_mean_de00"] = {
        {"one_end_each", rounded(stitch_difference(runs[0], runs[1], knitting.yarn_per_stitch), 2)},
        {"both_begun_with_the_near_end", rounded(stitch_difference(one, other, knitting.yarn_per_stitch), 2)},
        {"one_begun_with_the_far_end", rounded(stitch_difference(one, swapped, knitting.yarn_per_stitch), 2)}};
    return json;
}

/// Whether a pair whose balls take turns still matches.
std::string matching_in_words(const Json& difference) {
    const auto figure = [&](const char* name) { return number_text(difference[name].get<double>(), 1); };
    const double near = difference["both_begun_with_the_near_end"].get<double>();
    const double far = difference["one_begun_with_the_far_end"].get<double>();
    const std::string words = "Begin both socks with the near end: stitch for stitch they then differ by " +
                              figure("both_begun_with_the_near_end") +
                              " (CIEDE2000; one ball a sock: " + figure("one_end_each") +
                              "). Begun with different ends they ";
    return words + (far > kStopsMatching * near ? "stop matching: " : "match no worse: ") +
           figure("one_begun_with_the_far_end") + ".";
}

/// How sure it all is, in words and on the chart.
void show_how_sure(PoolingChart& chart, const PoolingFiles& found, const Doubts& doubts, const Knitting& knitting) {
    if (doubts.all_known()) chart.how_sure = nothing_to_guess();
    if (!found.how_sure || !found.how_sure->risk) return;
    const HowSure& sure = *found.how_sure;
    chart.how_sure = risk_sureness(sure, asked_risk(found), finding_out_by_options);
    const std::string drawn = drawn_in_words(doubts.ranges(), doubts.winds());
    if (!drawn.empty()) {
        std::size_t at = 0;
        for (std::size_t i = 0; i < found.risks.size(); ++i)
            if (found.risks[i].known) chart.points[at++].band = {sure.risk->bands[i].p5, sure.risk->bands[i].p95};
        chart.band_is = std::string("Grey band: where the ") + (knitting.alternate > 0 ? "solid " : "") +
                        "line lies in nine trials of ten, as " + drawn + " not measured (the ranges are chosen).";
    }
    if (sure.yarn_per_round_mm.p5 < sure.yarn_per_round_mm.p95) {
        chart.asked_span = {sure.yarn_per_round_mm.p5 / 10, sure.yarn_per_round_mm.p95 / 10};
        chart.span_is = "Red bar: where your round may lie, " + number_text(chart.asked_span->from, 0) + " to " +
                        number_text(chart.asked_span->to, 0) + " cm, as its yarn was not measured.";
    }
}

}  // namespace

double asked_risk(const PoolingFiles& found) {
    const auto asked = std::find_if(found.risks.begin(), found.risks.end(),
                                    [&](const RoundRisk& risk) { return risk.stitches == found.asked.stitches; });
    return asked == found.risks.end() ? 0 : asked->risk;
}

bool enough_to_tell(Millimetres shortest, const Knitting& knitting, const ChanceOptions& chance) {
    return loopread::enough_to_tell(shortest, knitting.yarn_per_stitch, swept_counts(chance, knitting));
}

void check_enough_to_tell(Millimetres shortest, const Knitting& knitting, const ChanceOptions& chance) {
    if (!enough_to_tell(shortest, knitting, chance))
        throw Error(ErrorKind::input,
                    "the yarn of " + number_text(shortest.value / 1000, 1) + " m does not give " +
                        std::to_string(kFewestRounds) + " rounds of " + std::to_string(kFewestStitches) +
                        " stitches or more at any of these counts, so nothing can be said about pools; take more yarn, "
                        "or fewer stitches with --counts");
    check_round_fits(shortest, knitting);
}

PoolingFiles pooling_files(const std::vector<ColourRun>& strands, const Knitting& knitting, const PoolingPlan& plan) {
    const RiskOptions options = risk_options(plan.chance, plan.seed);
    const std::vector<ColourRun> runs = runs_to_knit(strands, knitting);
    check_enough_to_tell(shortest_of(runs), knitting, plan.chance);
    SweepPlan sweep;
    sweep.stitches = swept_counts(plan.chance, knitting);
    sweep.yarn_per_stitch_mm = knitting.yarn_per_stitch.value;
    sweep.worked = knitting.worked();
    const std::vector<std::vector<SweepPoint>> sweeps = swept(runs, sweep, options);
    PoolingFiles found;
    found.risks = round_risks(sweeps);
    found.asked = {knitting.stitches, knitting.yarn_per_round().value};
    std::future<std::optional<HowSure>> how_sure;  // worked out while the swatches are drawn
    if (plan.doubts && plan.draws > 0 && !plan.doubts->all_known())
        how_sure = begun(
            [&, risk = RiskInUse{found.risks, options}] { return plan.doubts->how_sure(knitting, plan.draws, risk); });
    const TurnsRisk turns = risk_by_turns(runs, sweep, knitting, options);
    const std::vector<ClearStretch> clear = clear_stretches(found.risks);
    const Json alternating = turns_json(runs, knitting, turns);
    std::vector<std::string> advice = knitting_advice(found.risks, found.asked, turns.at(knitting.stitches));
    if (alternating.contains("pair_mean_de00")) advice.push_back(matching_in_words(alternating["pair_mean_de00"]));

    PoolingChart chart;
    chart.headline = risk_in_words(found.risks, found.asked);
    chart.subtitle = chance_in_words(options);
    for (const RoundRisk& risk : found.risks)
        if (risk.known)
            chart.points.push_back({risk.stitches, risk.yarn_per_round_mm / 10, risk.risk, turns.at(risk.stitches)});
    chart.asked_cm = found.asked.yarn_per_round_mm / 10;
    chart.asked_stitches = found.asked.stitches;
    chart.clear_risk = kClearRisk;
    for (const ClearStretch& stretch : clear)
        chart.clear.push_back({stretch.from_mm / 10, stretch.to_mm / 10, stretch_in_words(stretch)});
    chart.swatches = swatches_of(found, runs, knitting, turns, plan.seed);
    chart.advice = advice;
    if (how_sure.valid()) found.how_sure = how_sure.get();
    if (plan.doubts && plan.draws > 0) show_how_sure(chart, found, *plan.doubts, knitting);

    const auto asked_at = static_cast<std::size_t>(
        std::find(sweep.stitches.begin(), sweep.stitches.end(), knitting.stitches) - sweep.stitches.begin());
    found.csv = pooling_csv(sweeps, knitting.strands);
    const Picture8 picture = pooling_chart(chart);
    found.png = png_bytes(picture);
    found.width = picture.columns();
    found.height = picture.rows();
    found.summary = {{"sentence", chart.headline},
                     {"asked", asked_json(found.risks[asked_at], sweeps.front()[asked_at])},
                     {"clear_risk", kClearRisk},
                     {"clear", clear_json(clear)},
                     {"nearest_clear_stitches", nullptr},
                     {"alternated", alternating},
                     {"advice", advice},
                     {"knitters", options.knitters},
                     {"model", chance_in_words(options)}};
    if (!chart.how_sure.empty()) found.summary["how_sure"] = {{"sentence", chart.how_sure}};
    if (found.how_sure)
        found.summary["how_sure"] =
            how_sure_json(*found.how_sure, *plan.doubts, knitting,
                          chart.how_sure + " " + look_sureness(*found.how_sure, finding_out_by_options));
    if (const auto nearest = nearest_clear_count(found.risks, found.asked))
        found.summary["nearest_clear_stitches"] = *nearest;
    return found;
}

}  // namespace loopread::cli
