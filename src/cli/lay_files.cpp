#include "cli/lay_files.h"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <optional>

#include "cli/progress.h"
#include "loopread/base/parallel.h"
#include "loopread/base/text.h"
#include "loopread/draw/lays_sheet.h"
#include "loopread/image/sampling.h"
#include "loopread/photo/write.h"
#include "loopread/unravel/unravelled.h"

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

/// How one way knits up, small.
struct Preview {
    Image fabric;
    std::string words;
};

Preview preview_of(const ColourRun& run, const Knitting& knitting, std::uint64_t seed) {
    FabricDrawing drawing;
    drawing.seed = seed;
    drawing.sights = 12;
    drawing.pixels_per_stitch = std::clamp(kFabricWidth / knitting.stitches, 2.0, 12.0);
    const double row = pixels_per_round(drawing, knitting);
    drawing.most_rounds = std::max(4, static_cast<int>(kDesignHeight / row));
    const int rounds = std::max(1, static_cast<int>(run.length_mm() / knitting.yarn_per_round().value));
    const KnittedBall ball = plain_piece(run, knitting, knitting.stitches, rounds);
    return {drawn_fabric(ball, knitting, drawing), look_of(ball, knitting).verdict.sentence};
}

/// What one way comes to; its yarn is dropped again.
struct WayFindings {
    Way way;
    JudgedWay judged;
    std::string counts_rows;           ///< of lays_counts.csv
    std::optional<double> worst_risk;  ///< over the round lengths that customers knit, where all counts were swept
    Image design;
    Preview preview;
};

double worst_of(const std::vector<std::vector<SweepPoint>>& strands) {
    double worst = 0;
    for (const auto& strand : strands)
        for (const SweepPoint& point : strand)
            if (point.yarn_per_round_mm >= kShortestRoundMm && point.yarn_per_round_mm <= kLongestRoundMm)
                worst = std::max(worst, point.pool_risk);
    return worst;
}

/// Lays, unravels, sweeps and draws one way after another, or several at once.
class WaysAtWork {
public:
    WaysAtWork(const BlankSource& source, const BlankInput& blank, const Knitting& knitting,
               const WindingOptions& winding, const LayPlan& plan)
        : source_(source),
          blank_(blank),
          knitting_(knitting),
          winding_(winding),
          seed_(plan.seed),
          every_count_(longest(), {swept_counts(plan.chance, knitting), yarn(), knitting.worked()}, one_thread(plan)),
          asked_count_(longest(), {{knitting.stitches}, yarn(), knitting.worked()}, one_thread(plan)) {}

    /// Both sides of one lay: the paint is laid once.
    void add_findings(WayFindings& knit_side, WayFindings& purl_side) const {
        Paint paint = source_.paint(source_.lay_with(knit_side.way.rotate, knit_side.way.mirror));
        knit_side.design = purl_side.design = design_picture(paint, kDesignHeight);
        paint = source_.crept(std::move(paint));
        add_findings(knit_side, paint);
        add_findings(purl_side, paint);
    }

private:
    void add_findings(WayFindings& out, const Paint& paint) const {
        BlankLayout layout = blank_.layout;
        layout.painted = out.way.painted;
        const std::vector<ColourRun> strands =
            loopread::unravelled(layout, paint, blank_.shape, blank_.shares, winding_);
        const std::vector<ColourRun> runs = runs_to_knit(strands, knitting_);
        // The other side of the same lay pools alike; the sweep over all counts is for the asked-for side.
        const bool every = out.way.painted == blank_.layout.painted;
        std::vector<std::vector<SweepPoint>> points;
        for (const ColourRun& run : runs) points.push_back((every ? every_count_ : asked_count_).swept(run));
        std::vector<SweepPoint> asked;
        for (const auto& strand : points)
            asked.push_back(*std::find_if(strand.begin(), strand.end(),
                                          [&](const SweepPoint& p) { return p.stitches == knitting_.stitches; }));
        out.judged = judged(out.way, asked);
        if (every) {
            append_counts(out.counts_rows, out.way, points, knitting_.strands);
            out.worst_risk = worst_of(points);
        }
        out.preview = preview_of(runs.front(), knitting_, seed_);
    }

    Millimetres longest() const { return blank_.layout.strand_length() + Millimetres{1}; }  // room for rounding
    double yarn() const { return knitting_.yarn_per_stitch.value; }
    /// Ways run side by side, so that all of the work is shared out, not the knitters' alone.
    static RiskOptions one_thread(const LayPlan& plan) {
        RiskOptions options = risk_options(plan.chance, plan.seed);
        options.threads = 1;
        return options;
    }

    const BlankSource& source_;
    const BlankInput& blank_;
    const Knitting& knitting_;
    const WindingOptions& winding_;
    std::uint64_t seed_;
    KnitterSweep every_count_, asked_count_;
};

std::vector<WayFindings> all_findings(const WaysAtWork& work) {
    const std::vector<Way> ways = all_ways();  // those on the knit side, then the same on the purl side
    const std::size_t lays = ways.size() / 2;
    std::vector<WayFindings> findings(ways.size());
    for (std::size_t i = 0; i < ways.size(); ++i) findings[i].way = ways[i];
    Progress progress("laying the design");
    std::atomic<std::size_t> done = 0;
    in_parallel(lays, thread_count(0), [&] {
        return [&](std::size_t i) {
            work.add_findings(findings[i], findings[i + lays]);
            progress.at(++done, lays);
        };
    });
    return findings;
}

LayPanel panel_of(const JudgedWay& judged, const WayFindings& own) {
    const Shares& s = judged.shares;
    return {.rank = judged.rank,
            .tie = judged.tie,
            .name = way_in_words(judged.way),
            .blank = own.design,
            .fabric = own.preview.fabric,
            .stripe = s.stripe,
            .pool = s.pool,
            .dash = s.dash,
            .speckle = s.speckle,
            .risk = judged.pool_risk,
            .verdict = own.preview.words};
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

Image design_picture(const Paint& paint, int rows) {
    const BlankRaster& raster = paint.raster;
    const int columns = std::max(1, static_cast<int>(std::lround(rows * raster.columns * raster.mm_per_column /
                                                                 (raster.rows * raster.mm_per_row))));
    constexpr int kFiner = 3;  // looked up finer than shown, so that edges stay soft
    const int fine_rows = std::min(raster.rows, rows * kFiner);
    const int fine_columns = std::min(raster.columns, columns * kFiner);
    Image fine(fine_rows, fine_columns);
    for (int row = 0; row < fine_rows; ++row)
        for (int column = 0; column < fine_columns; ++column)
            fine(row, column) =
                yarn_colour(paint, (column + 0.5) / fine_columns * raster.columns * raster.mm_per_column,
                            (row + 0.5) / fine_rows * raster.rows * raster.mm_per_row, {.painted = 1, .other = 0});
    return resampled(fine, {0, 0, static_cast<double>(fine_columns), static_cast<double>(fine_rows)}, rows, columns);
}

LayFiles lay_files(const BlankSource& source, const BlankInput& blank, const Knitting& knitting,
                   const WindingOptions& winding, const LayPlan& plan) {
    const std::vector<WayFindings> findings = all_findings({source, blank, knitting, winding, plan});
    LayFiles found;
    found.as_asked = {source.asked_lay().rotate, source.asked_lay().mirror, blank.layout.painted};
    found.counts_csv =
        "rotate,mirror,painted,stitches,yarn_per_round_mm,strand,stripe,pool,dash,speckle,lean,pool_risk\n";
    Json worst = Json::array();
    std::vector<JudgedWay> judged_ways;
    for (const WayFindings& way : findings) {
        judged_ways.push_back(way.judged);
        found.counts_csv += way.counts_rows;
        if (way.worst_risk) worst.push_back({{"words", way_in_words(way.way)}, {"pool_risk", *way.worst_risk}});
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
        sheet.panels.push_back(panel_of(way, *std::find_if(findings.begin(), findings.end(),
                                                           [&](const WayFindings& f) { return f.way == way.way; })));
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
                     {"model", chance_in_words(risk_options(plan.chance, plan.seed))}};
    return found;
}

}  // namespace loopread::cli
