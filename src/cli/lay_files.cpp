#include "cli/lay_files.h"

#include <algorithm>
#include <atomic>
#include <cmath>

#include "cli/progress.h"
#include "loopread/base/parallel.h"
#include "loopread/base/text.h"
#include "loopread/blank/design_picture.h"
#include "loopread/draw/lays_sheet.h"
#include "loopread/photo/write.h"

namespace loopread::cli {
namespace {

constexpr int kDesignHeight = 240;  // pixels of a panel's small pictures
constexpr double kFabricWidth = 250;

const char* side_name(Painted painted) {
    return painted == Painted::face ? "face" : "back";
}

std::string way_columns(const Way& way) {
    return std::to_string(90 * static_cast<int>(way.rotate)) + (way.mirror == Mirror::left_right ? ",1," : ",0,") +
           side_name(way.painted);
}

void append_shares(std::string& csv, const Shares& s) {
    for (const double share : {s.stripe, s.pool, s.dash, s.speckle}) {
        csv += ',';
        append_fixed(csv, share, 5);
    }
}

void append_counts(std::string& csv, const Way& way, const std::vector<std::vector<SweepPoint>>& strands,
                   const std::vector<int>& names) {
    for (std::size_t i = 0; i < strands.front().size(); ++i)
        for (std::size_t s = 0; s < strands.size(); ++s) {
            const SweepPoint& point = strands[s][i];
            csv += way_columns(way) + ',' + std::to_string(point.stitches) + ',';
            append_fixed(csv, point.yarn_per_round_mm, 2);
            csv += ',' + std::to_string(names[s]);
            append_shares(csv, point.shares);
            csv += ',' + std::to_string(point.shares.lean) + ',';
            append_fixed(csv, point.pool_risk, 5);
            csv += '\n';
        }
}

std::string ways_csv(const std::vector<JudgedWay>& ways) {
    std::string csv = "rotate,mirror,painted,stripe,pool,dash,speckle,pool_risk,tie,rank\n";
    for (const JudgedWay& way : ways) {
        csv += way_columns(way.way);
        append_shares(csv, way.shares);
        csv += ',';
        append_fixed(csv, way.pool_risk, 5);
        csv += ',' + std::to_string(way.tie) + ',' + std::to_string(way.rank) + '\n';
    }
    return csv;
}

/// The first rounds of a way, small.
Image fabric_picture(KnittedWay way, const Knitting& knitting, std::uint64_t seed) {
    FabricDrawing drawing;
    drawing.seed = seed;
    drawing.sights = 12;
    drawing.pixels_per_stitch = std::clamp(kFabricWidth / knitting.stitches, 2.0, 12.0);
    const double row = pixels_per_round(drawing, knitting);
    drawing.most_rounds = std::max(4, static_cast<int>(kDesignHeight / row));
    KnittedBall ball;
    ball.run = std::move(way.runs.front());
    ball.fabric = std::move(way.fabric);
    return drawn_fabric(ball, knitting, drawing);
}

/// A way with its pictures; its yarn is dropped again.
struct DrawnWay {
    WayFindings found;
    Image design, fabric;
};

/// Ways run side by side, so that all of the work is shared out, not the knitters' alone.
RiskOptions one_thread(RiskOptions risk) {
    risk.threads = 1;
    return risk;
}

/// Those on the knit side, then the same on the purl side.
std::vector<DrawnWay> drawn_ways(const BlankSource& source, const LayJudge& judge, const Knitting& knitting,
                                 std::uint64_t seed) {
    const std::vector<Way> lays = all_lays();
    std::vector<DrawnWay> ways(2 * lays.size());
    const auto drawn = [&](KnittedWay knitted, const Image& design) {
        WayFindings found = knitted.findings;
        return DrawnWay{std::move(found), design, fabric_picture(std::move(knitted), knitting, seed)};
    };
    Progress progress("laying the design");
    std::atomic<std::size_t> done = 0;
    in_parallel(lays.size(), thread_count(0), [&] {
        return [&](std::size_t i) {
            Paint paint = source.paint(source.lay_with(lays[i].rotate, lays[i].mirror));
            const Image design = design_picture(paint, kDesignHeight);
            paint = source.crept(std::move(paint));
            KnittedLay lay = judge.both_sides(lays[i], paint);
            ways[i] = drawn(std::move(lay.knit_side), design);
            ways[i + lays.size()] = drawn(std::move(lay.purl_side), design);
            progress.at(++done, lays.size());
        };
    });
    return ways;
}

LayPanel panel_of(const JudgedWay& judged, const DrawnWay& own) {
    const Shares& s = judged.shares;
    return {.rank = judged.rank,
            .tie = judged.tie,
            .name = way_in_words(judged.way),
            .blank = own.design,
            .fabric = own.fabric,
            .stripe = s.stripe,
            .pool = s.pool,
            .dash = s.dash,
            .speckle = s.speckle,
            .risk = judged.pool_risk,
            .verdict = own.found.look.verdict.sentence};
}

Json ways_json(const std::vector<JudgedWay>& ways) {
    Json list = Json::array();
    for (const JudgedWay& way : ways) {
        Json json = {{"rank", way.rank},
                     {"tie", way.tie},
                     {"words", way_in_words(way.way)},
                     {"rotate", 90 * static_cast<int>(way.way.rotate)},
                     {"mirror", way.way.mirror == Mirror::left_right},
                     {"painted", side_name(way.way.painted)},
                     {"pool_risk", rounded(way.pool_risk, 5)}};
        json.update(shares_json(way.shares));
        list.push_back(json);
    }
    return list;
}

}  // namespace

BlankToKnit blank_to_knit(const BlankInput& blank, const Knitting& knitting, const WindingOptions& winding) {
    return {.layout = blank.layout,
            .shape = blank.shape,
            .shares = blank.shares,
            .winding = winding,
            .strands = knitting.strands,
            .first_end = first_end(knitting),
            .stitches = knitting.stitches,
            .yarn_per_stitch = knitting.yarn_per_stitch,
            .worked = knitting.worked()};
}

LayFiles lay_files(const BlankSource& source, const BlankInput& blank, const Knitting& knitting,
                   const WindingOptions& winding, const LayPlan& plan) {
    const RiskOptions risk = risk_options(plan.chance, plan.seed);
    const LayJudge judge(blank_to_knit(blank, knitting, winding), swept_counts(plan.chance, knitting),
                         one_thread(risk));
    const std::vector<DrawnWay> ways = drawn_ways(source, judge, knitting, plan.seed);
    LayFiles found;
    found.as_asked = {source.asked_lay().rotate, source.asked_lay().mirror, blank.layout.painted};
    found.counts_csv =
        "rotate,mirror,painted,stitches,yarn_per_round_mm,strand,stripe,pool,dash,speckle,lean,pool_risk\n";
    Json worst = Json::array();
    std::vector<JudgedWay> judged_ways;
    for (const DrawnWay& drawn : ways) {
        const WayFindings& own = drawn.found;
        judged_ways.push_back(own.judged);
        if (!own.worst_risk) continue;
        append_counts(found.counts_csv, own.judged.way, own.strands, knitting.strands);
        worst.push_back({{"words", way_in_words(own.judged.way)}, {"pool_risk", *own.worst_risk}});
    }
    found.ways = ranked(std::move(judged_ways), plan.aim, plan.chance.knitters);
    LaysSheet sheet;
    const JudgedWay& best = found.ways.front();
    const bool stays = std::any_of(found.ways.begin(), found.ways.end(), [&](const JudgedWay& way) {
        return way.way == found.as_asked && way.tie == best.tie;
    });
    sheet.headline = stays ? "Lay it as you have it" : "Best " + way_in_words(best.way);
    sheet.why = why_in_words(found.ways, found.as_asked, plan.aim, plan.chance.knitters);
    for (const JudgedWay& way : found.ways)
        sheet.panels.push_back(panel_of(way, *std::find_if(ways.begin(), ways.end(), [&](const DrawnWay& drawn) {
                                            return drawn.found.judged.way == way.way;
                                        })));
    found.csv = ways_csv(found.ways);
    const Picture8 picture = lays_sheet(sheet);
    found.png = png_bytes(picture);
    found.width = picture.columns();
    found.height = picture.rows();
    found.summary = {{"sentence", sheet.why},
                     {"stitches", knitting.stitches},
                     {"yarn_per_round_mm", rounded(knitting.yarn_per_round().value, 3)},
                     {"ways", ways_json(found.ways)},
                     {"worst_risk_75_to_100_cm", worst},
                     {"model", chance_in_words(risk)}};
    return found;
}

}  // namespace loopread::cli
