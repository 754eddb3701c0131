#include "cli/summary.h"

#include <algorithm>
#include <cmath>
#include <ostream>

#include "loopread/base/text.h"

namespace loopread::cli {
namespace {

constexpr int kOtherWindings = 4;  // chosen: with the asked-for one five, enough to show that it is a range
constexpr int kCourseStep = 8;     // chosen: an eighth of the blank tells the mean to about 3 %

LinearRgb mean_colour(const ColourRun& run) {
    return run.mean(0, run.length_mm());
}

}  // namespace

double rounded(double value, int decimals) {
    const double scale = std::pow(10.0, decimals);
    return std::round(value * scale) / scale;
}

Json blank_json(const BlankLayout& layout) {
    return {{"stitches", layout.stitches},
            {"rows", layout.rows},
            {"strands", layout.strands},
            {"construction", layout.construction == Construction::flat ? "flat" : "tube"},
            {"loop_mm", rounded(layout.loop_length.value, 4)},
            {"strand_length_m", rounded(layout.strand_length().value / 1000, 4)},
            {"width_cm", rounded(layout.width().value / 10, 3)},
            {"length_cm", rounded(layout.length().value / 10, 3)},
            {"row_yarn_cm", rounded(layout.row_yarn().value / 10, 3)}};
}

Json strands_json(const std::vector<ColourRun>& strands) {
    Json list = Json::array();
    for (std::size_t s = 0; s < strands.size(); ++s) {
        const LinearRgb mean = mean_colour(strands[s]);
        const Lab lab = lab_from_linear(mean);
        list.push_back({{"strand", s + 1},
                        {"length_m", rounded(strands[s].length_mm() / 1000, 4)},
                        {"mean_lab", {rounded(lab.l, 3), rounded(lab.a, 3), rounded(lab.b, 3)}},
                        {"mean_hex", hex_text(srgb8_from_linear(mean))}});
    }
    return list;
}

Json pair_json(const BlankInput& blank, const std::vector<ColourRun>& strands, const WindingOptions& winding) {
    if (strands.size() < 2) return nullptr;
    const PairDifference own = pair_difference(strands[0], strands[1]);
    double least = own.mean_de00;
    double most = own.mean_de00;
    for (int other = 1; other <= kOtherWindings; ++other) {
        WindingOptions wound = winding;
        wound.seed = winding.seed + 1000 * static_cast<std::uint64_t>(other);
        const double mean =
            pair_difference(blank.layout, blank.paint, blank.shape, blank.shares, wound, kCourseStep).mean_de00;
        least = std::min(least, mean);
        most = std::max(most, mean);
    }
    return {{"mean_de00", rounded(own.mean_de00, 3)},
            {"p95_de00", rounded(own.p95_de00, 3)},
            {"mean_de00_range", {rounded(least, 3), rounded(most, 3)}}};
}

std::optional<PairRange> pair_range(const Json& summary) {
    if (!summary.contains("pair") || summary["pair"].is_null()) return std::nullopt;
    const auto range = summary["pair"]["mean_de00_range"].get<std::vector<double>>();
    return PairRange{range[0], range[1]};
}

Json knitting_json(const Knitting& knitting, const std::vector<KnittedBall>& balls) {
    Json list = Json::array();
    for (const KnittedBall& ball : balls)
        list.push_back({{"ball", ball.name},
                        {"rounds", ball.fabric.rounds.size()},
                        {"rounds_planned", ball.garment.rounds.size()},
                        {"stitches_planned", total_stitches(ball.garment)},
                        {"yarn_used_m", rounded(ball.fabric.yarn_used.value / 1000, 3)},
                        {"yarn_left_m", rounded((ball.ball_mm - ball.fabric.yarn_used.value) / 1000, 3)},
                        {"ran_out", ball.fabric.ran_out()}});
    return {{"stitches", knitting.stitches},
            {"shape", knitting.shape},
            {"gauge", {knitting.gauge.stitches, knitting.gauge.rows}},
            {"yarn_per_stitch_mm", rounded(knitting.yarn_per_stitch.value, 4)},
            {"yarn_per_round_mm", rounded(knitting.yarn_per_round().value, 3)},
            {"alternate", knitting.alternate},
            {"start", knitting.start == Knitting::Start::far_end ? "far-end" : "ravel-end"},
            {"balls", list}};
}

std::string json_bytes(const Json& json) {
    return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

void report(std::ostream& out, const CommonOptions& common, const Json& summary, const Outputs& outputs,
            const std::string& headline) {
    if (common.json) {
        out << json_bytes(summary);
        return;
    }
    out << headline << '\n';
    for (const auto& path : outputs.paths()) out << "  " << path.string() << '\n';
    if (summary.contains("assumed") && !summary["assumed"].empty()) {
        out << "Assumed:\n";
        for (const auto& what : summary["assumed"]) out << "  " << what.get<std::string>() << '\n';
    }
    if (summary.contains("warnings"))
        for (const auto& what : summary["warnings"]) out << "Warning: " << what.get<std::string>() << '\n';
}

}  // namespace loopread::cli
