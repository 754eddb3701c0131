#include <algorithm>
#include <chrono>

#include "loopread/base/error.h"
#include "loopread/doubt/words.h"
#include "loopread/lay/change.h"
#include "loopread/lay/ways.h"
#include "loopread/shares/round_lengths.h"
#include "wasm/answer_parts.h"
#include "wasm/answers.h"
#include "wasm/page_words.h"

// Answers that come a step at a time.
namespace loopread::wasm {
namespace {

const char* side_name(Painted painted) {
    return painted == Painted::face ? "face" : "back";
}

}  // namespace

AskedRound Answers::asked_round() const {
    const TableKnitting& knitting = table_.settled().knitting;
    return {knitting.stitches, knitting.yarn_per_round().value};
}

RiskOptions Answers::risk_options() const {
    RiskOptions options;
    options.knitters = table_.state().knitters;
    options.seed = table_.state().seed;
    options.threads = 1;
    return options;
}

BlankToKnit Answers::blank_to_knit() const {
    const SettledTable& settled = table_.settled();
    BlankToKnit out{.layout = settled.layout, .shape = table_.shape(), .shares = table_.shares()};
    out.winding = table_.winding();
    out.strands.clear();
    for (int s = 1; s <= settled.layout.strands; ++s) out.strands.push_back(s);
    out.first_end = settled.knitting.first_end();
    out.stitches = settled.knitting.stitches;
    out.yarn_per_stitch = settled.knitting.yarn_per_stitch;
    out.worked = settled.knitting.worked;
    return out;
}

LaidAs Answers::way_of(const Way& way) const {
    return {way.rotate, way.mirror};
}

Json Answers::risk_step() {
    const TableKnitting& knitting = table_.settled().knitting;
    if (!risk_ || !(risk_->asked == asked())) {
        const std::vector<int> counts = swept_counts(CountRange{}, knitting.yarn_per_stitch, knitting.stitches);
        if (!enough_to_tell(table_.runs().front().length(), knitting.yarn_per_stitch, counts))
            throw Error(ErrorKind::input,
                        "risk: the yarn does not give three rounds of 16 stitches or more at any stitch count, so "
                        "nothing can be said about pools; take more yarn, or less in a round");
        risk_.emplace(Risk{asked(), RiskSweep(table_.runs(), {counts, knitting.yarn_per_stitch.value, knitting.worked},
                                              risk_options())});
    }
    // The page hears of every step: several short ones at once.
    constexpr std::chrono::milliseconds kAStep{15};
    const auto begun = std::chrono::steady_clock::now();
    do risk_->sweep.step();
    while (!risk_->sweep.done() && std::chrono::steady_clock::now() - begun < kAStep);
    return risk_told();
}

Json Answers::risk_told() const {
    const RiskSweep& sweep = risk_->sweep;
    const bool tells = sweep.done() || sweep.knitters() >= kFirstKnitters;
    const std::vector<RoundRisk> risks = tells ? sweep.risks() : std::vector<RoundRisk>{};
    Json points = Json::array(), clear = Json::array();
    for (const RoundRisk& risk : risks)
        points.push_back({{"stitches", risk.stitches},
                          {"yarn_per_round_mm", risk.yarn_per_round_mm},
                          {"risk", risk.risk},
                          {"pool", risk.pool},
                          {"known", risk.known}});
    Json json{{"done", sweep.done() ? 1.0 : sweep.progress()},
              {"knitters", sweep.knitters()},
              {"points", points},
              {"clear", clear},
              {"asked", nullptr},
              {"advice", Json::array()},
              {"change", nullptr}};
    if (risks.empty()) return json;
    for (const ClearStretch& stretch : clear_stretches(risks))
        json["clear"].push_back(
            {{"from_mm", stretch.from_mm}, {"to_mm", stretch.to_mm}, {"words", stretch_in_words(stretch)}});
    const AskedRound asked = asked_round();
    for (const RoundRisk& risk : risks)
        if (risk.stitches == asked.stitches)
            json["asked"] = {{"risk", risk.risk}, {"words", page_words(risk_in_words(risks, asked))}};
    if (!sweep.done()) return json;
    json["advice"] = texts(knitting_advice(risks, asked));
    const ColourRun& run = table_.runs().front();
    const TableKnitting& knitting = table_.settled().knitting;
    const Fabric fabric = plain_fabric(run, knitting.plain());
    const FabricLook look = look_of(fabric, run, asked.yarn_per_round_mm);
    const bool ways_known = ways_ && ways_->asked == this->asked() && ways_->turn.done();
    const OneChange change =
        one_change(risks, asked, look, ways_known ? ranked_ : std::vector<JudgedWay>{},
                   {table_.state().way.rotate, table_.state().way.mirror, table_.settled().layout.painted});
    json["change"] = {{"needed", change.needed}, {"words", page_words(change.words)}};
    return json;
}

Json Answers::sure_step() {
    const bool of_risk = risk_known();
    if (!sure_ || !(sure_->asked == asked()) || sure_->of_risk != of_risk) {
        std::optional<RiskInUse> risk;
        if (of_risk) risk = RiskInUse{risk_->sweep.risks(), risk_options()};
        sure_.emplace(Sure{asked(), of_risk, TableSureness(table_, std::move(risk))});
    }
    if (!sure_->sureness.done()) sure_->sureness.step();
    return sure_told();
}

Json Answers::sure_told() const {
    const TableSureness& sureness = sure_->sureness;
    Json json{{"done", sureness.progress()}, {"look", nullptr},    {"pools", nullptr}, {"drawn", ""},
              {"bands", Json::array()},      {"round_mm", nullptr}};
    if (sureness.all_told()) json["look"] = {{"dyer", nothing_to_guess()}, {"knitter", nothing_to_guess()}};
    if (!sureness.done() || !sureness.guesses()) return json;
    const HowSure sure = sureness.found();
    json["look"] = {{"dyer", look_sureness(sure, finding_out_at_table)},
                    {"knitter", look_sureness(sure, finding_out_by_knitting)}};
    json["drawn"] = drawn_in_words(sureness.ranges(), sureness.winds());
    if (sure.yarn_per_round_mm.p5 < sure.yarn_per_round_mm.p95)
        json["round_mm"] = {sure.yarn_per_round_mm.p5, sure.yarn_per_round_mm.p95};
    if (!sure.risk) return json;
    const std::vector<RoundRisk> risks = risk_->sweep.risks();
    for (const RoundRisk& risk : risks)
        if (risk.stitches == asked_round().stitches)
            json["pools"] = {{"dyer", risk_sureness(sure, risk.risk, finding_out_at_table)},
                             {"knitter", risk_sureness(sure, risk.risk, finding_out_by_knitting)}};
    for (const Band& band : sure.risk->bands) json["bands"].push_back({band.p5, band.p95});
    return json;
}

Json Answers::ways_step() {
    const TableKnitting& knitting = table_.settled().knitting;
    if (!ways_ || !(ways_->asked == asked())) {
        ranked_.clear();
        // One stitch count, the asked-for one: the sweep over all of them is the risk's.
        ways_.emplace(Ways{
            asked(), WaysInTurn(LayJudge(blank_to_knit(), {knitting.stitches}, risk_options()),
                                [this](const Way& way) { return table_.set_paint(table_.sharp_paint(way_of(way))); })});
    }
    if (!ways_->turn.done()) ways_->turn.step();
    std::vector<JudgedWay> judged;
    const std::vector<WayFindings> findings = ways_->turn.findings();
    for (const WayFindings& found : findings) judged.push_back(found.judged);
    ranked_ = ranked(std::move(judged), Aim::no_pool, table_.state().knitters);
    Json list = Json::array();
    for (const JudgedWay& way : ranked_) {
        const auto own = std::find_if(findings.begin(), findings.end(),
                                      [&](const WayFindings& found) { return found.judged.way == way.way; });
        list.push_back({{"rotate", 90 * static_cast<int>(way.way.rotate)},
                        {"mirror", way.way.mirror == Mirror::left_right},
                        {"painted", side_name(way.way.painted)},
                        {"words", way_in_words(way.way)},
                        {"stripe", way.shares.stripe},
                        {"pool", way.shares.pool},
                        {"dash", way.shares.dash},
                        {"speckle", way.shares.speckle},
                        {"pool_risk", way.pool_risk},
                        {"tie", way.tie},
                        {"rank", way.rank},
                        {"verdict", own->look.verdict.sentence}});
    }
    const Way as_asked{table_.state().way.rotate, table_.state().way.mirror, table_.settled().layout.painted};
    std::string why;
    if (ways_->turn.done()) why = why_in_words(ranked_, as_asked, Aim::no_pool, table_.state().knitters);
    return {{"done", ways_->turn.done() ? 1.0 : ways_->turn.progress()}, {"ways", list}, {"why", why}};
}

Json Answers::nudge_step() {
    if (!nudge_ || !(nudge_->asked == asked())) {
        nudge_.emplace(
            Trials{asked(), NudgeTrials(
                                blank_to_knit(), table_.sharp_paint(table_.state().way),
                                [this](Paint paint) { return table_.set_paint(std::move(paint)); }, risk_options())});
    }
    nudge_->trials.step();
    return nudge_found();
}

Json Answers::nudge_found() const {
    const NudgeTrials& trials = nudge_->trials;
    const NudgeSearch& found = trials.search();
    const bool done = trials.done();
    Json nudge = nullptr;
    if (done && !(found.nudge == Nudge{}))
        nudge = {{"scale", found.nudge.scale},
                 {"spacing_across", found.nudge.spacing_across},
                 {"spacing_along", found.nudge.spacing_along},
                 {"stagger_mm", found.nudge.stagger_mm},
                 {"slant", found.nudge.slant},
                 {"change_cm", rounded(found.nudge.change_cm(), 3)}};
    const double of = static_cast<double>(std::max<std::size_t>(1, trials.nudges()));
    Json json{{"done", done ? 1.0 : std::min(0.99, static_cast<double>(found.tried) / of)},
              {"tried", found.tried},
              {"of", trials.nudges()},
              {"found", found.clear},
              {"nudge", nudge},
              {"words", Json::array()},
              {"sentence", ""},
              {"risk_before", found.risk_before},
              {"worst_risk", found.worst_risk}};
    if (done) {
        json["words"] = texts(nudge_in_words(found.nudge, trials.motifs()));
        json["sentence"] = found_in_words(trials);
    }
    return json;
}

}  // namespace loopread::wasm
