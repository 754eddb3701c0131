#include "loopread/table/knitting.h"

#include <algorithm>

#include "loopread/base/error.h"
#include "loopread/base/text.h"
#include "loopread/fabric/fabric.h"
#include "loopread/loop/shape.h"
#include "loopread/shape/garments.h"

namespace loopread {
namespace {

constexpr int kMostStitches = 2000;

std::optional<Millimetres> from_cm(std::optional<double> cm) {
    if (!cm) return std::nullopt;
    return Millimetres{10 * *cm};
}

void settle_yarn(TableKnitting& out, const KnittingState& knitting) {
    if (knitting.yarn_per_round_cm) {
        out.yarn_per_stitch = Millimetres{10 * *knitting.yarn_per_round_cm} / out.stitches;
    } else {
        out.yarn_per_stitch = yarn_per_stitch(out.gauge);
        out.assumed.push_back(number_text(out.yarn_per_round().value / 10, 1) + " cm of yarn in a round of " +
                              std::to_string(out.stitches) + " stitches (from the gauge, not measured)");
    }
    if (!knitting.gauge_stitches || !knitting.gauge_rows)
        out.assumed.push_back("a gauge of " + number_text(out.gauge.stitches, 1) + " stitches x " +
                              number_text(out.gauge.rows, 1) + " rows in 10 cm (not measured)");
    const double widths = out.yarn_per_stitch / out.gauge.stitch_width();
    if (widths < least_loop_length())
        throw Error(ErrorKind::usage,
                    std::string(knitting.yarn_per_round_cm ? "yarn in a round" : "gauge") + ": leaves a stitch " +
                        number_text(widths, 2) + " times its own width of yarn, and a knitted loop needs " +
                        number_text(least_loop_length(), 2) + " times; check it against the size of a stitch");
}

void settle_sock(TableKnitting& out, const KnittingState& knitting) {
    GarmentSize size;
    size.stitches = out.stitches;
    size.gauge = out.gauge;
    size.sock.heel = knitting.heel;
    size.sock.foot_length = from_cm(knitting.foot_cm);
    size.sock.leg_length = from_cm(knitting.leg_cm);
    try {
        out.sock = garment("sock", size);
    } catch (const Error& fault) {
        if (fault.kind() != ErrorKind::usage) throw;
        out.warnings.push_back("shown as plain knitting: no sock can be made so (" + std::string(fault.what()) + ")");
        return;
    }
    const double row_cm = out.gauge.row_height().value / 10;
    out.leg_cm = rounds_in(*out.sock, Section::leg) * row_cm;
    out.foot_cm = knitting.foot_cm;  // otherwise so many rounds, whatever length that gives
}

}  // namespace

TableKnitting settled(const KnittingState& knitting) {
    TableKnitting out;
    if (knitting.stitches < 1 || knitting.stitches > kMostStitches)
        throw Error(ErrorKind::usage, "knitting: " + std::to_string(knitting.stitches) +
                                          " stitches in a round; give 1 to " + std::to_string(kMostStitches));
    out.stitches = knitting.stitches;
    out.gauge.stitches = knitting.gauge_stitches.value_or(Gauge{}.stitches);
    out.gauge.rows = knitting.gauge_rows.value_or(Gauge{}.rows);
    check_gauge(out.gauge);
    out.worked = knitting.form == KnittingState::Form::sock ? Worked::in_the_round : knitting.worked;
    out.from = knitting.from;
    settle_yarn(out, knitting);
    if (knitting.form == KnittingState::Form::sock) settle_sock(out, knitting);
    return out;
}

}  // namespace loopread
