#include "cli/knitted_picture.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "loopread/base/error.h"
#include "loopread/base/text.h"
#include "loopread/draw/sock_sheet.h"
#include "loopread/raster/laid_flat.h"
#include "loopread/shape/garments.h"
#include "loopread/shares/look.h"

namespace loopread::cli {
namespace {

double wale_per_course(const Knitting& knitting) {
    return knitting.gauge.stitch_width() / knitting.gauge.row_height();
}

KnittedBall knitted_ball(std::string name, ColourRun run, double ball_mm, Garment planned, const Knitting& knitting) {
    KnittedBall ball{.name = std::move(name),
                     .run = std::move(run),
                     .ball_mm = ball_mm,
                     .garment = std::move(planned),
                     .fabric = {}};
    ball.fabric = knitted(ball.run, ball.garment, knitting.yarn_per_stitch);
    return ball;
}

/// The blank's row that a place of the run came from, from 1; 0 where that is not known.
int row_at(const ColourRun& run, double mm) {
    if (!run.has_places()) return 0;
    return run.pieces()[run.piece_at(mm)].course + 1;
}

}  // namespace

Garment planned_garment(const Knitting& knitting, double yarn_mm) {
    GarmentSize size = knitting.size;
    const bool by_yarn = knitting.shape == "tube" || knitting.shape == "flat";
    if (by_yarn && !size.rounds)
        size.rounds =
            std::max(1, static_cast<int>(std::min(100'000.0, yarn_mm / knitting.yarn_per_round().value + 1e-9)));
    return garment(knitting.shape, size);
}

DrawnShape drawn_stitch(const Knitting& knitting) {
    return drawn_shape({wale_per_course(knitting), knitting.yarn_per_stitch / knitting.gauge.stitch_width()});
}

FirstEnd first_end(const Knitting& knitting) {
    return knitting.start == Knitting::Start::far_end ? FirstEnd::far_end : FirstEnd::ravel_end;
}

std::vector<ColourRun> runs_to_knit(const std::vector<ColourRun>& strands, const Knitting& knitting) {
    return loopread::runs_to_knit(strands, knitting.strands, first_end(knitting));
}

Millimetres shortest_of(const std::vector<ColourRun>& runs) {
    return std::min_element(
               runs.begin(), runs.end(),
               [](const ColourRun& one, const ColourRun& other) { return one.length_mm() < other.length_mm(); })
        ->length();
}

void check_round_fits(Millimetres yarn, const Knitting& knitting) {
    if (knitting.yarn_per_round() > yarn)
        throw Error(ErrorKind::usage, "--stitches: one round takes " +
                                          number_text(knitting.yarn_per_round().value / 1000, 1) +
                                          " m, more than the " + number_text(yarn.value / 1000, 1) +
                                          " m of the strand; ask for fewer stitches");
}

std::vector<TwoEnds> ends_to_knit(const std::vector<ColourRun>& runs, int every) {
    std::vector<TwoEnds> ends;
    for (std::size_t i = 0; i < runs.size(); ++i)
        ends.push_back(near_and_far(runs[i], runs[runs.size() - 1 - i], every));
    return ends;
}

std::vector<KnittedBall> knitted_balls(const std::vector<ColourRun>& strands, const Knitting& knitting) {
    const std::vector<ColourRun> runs = runs_to_knit(strands, knitting);
    check_round_fits(shortest_of(runs), knitting);
    const std::vector<TwoEnds> ends =
        knitting.alternate > 0 ? ends_to_knit(runs, knitting.alternate) : std::vector<TwoEnds>{};
    const std::string piece = knitting.shape == "sock" ? "sock " : "piece ";
    std::vector<KnittedBall> balls;
    for (std::size_t i = 0; i < runs.size(); ++i) {
        const double yarn_mm = runs[i].length_mm();
        Garment planned = planned_garment(knitting, yarn_mm);
        if (knitting.alternate > 0) {
            ColourRun taken = alternated(ends[i], planned, knitting.yarn_per_stitch);
            balls.push_back(knitted_ball(runs.size() == 1 ? "both ends of the ball" : piece + std::to_string(i + 1),
                                         std::move(taken), yarn_mm, std::move(planned), knitting));
            continue;
        }
        const std::string name = strands.size() == 1 ? "the ball" : knitting.strands[i] == 1 ? "ball A" : "ball B";
        balls.push_back(knitted_ball(name, runs[i], yarn_mm, std::move(planned), knitting));
    }
    return balls;
}

std::string yarn_left_in_words(const KnittedBall& ball, const Knitting& knitting) {
    const double needed = static_cast<double>(total_stitches(ball.garment)) * knitting.yarn_per_stitch.value;
    const double left = ball.ball_mm - needed;
    if (left >= 0 && !ball.fabric.ran_out())
        return number_text(left / 1000, 0) + " m left over, " + number_text(100 * left / ball.ball_mm, 0) +
               " % of the " + (knitting.alternate > 0 ? "yarn" : "ball");
    const Section section =
        ball.fabric.rounds.empty() ? ball.garment.rounds.front().section : ball.fabric.rounds.back().round.section;
    return "the yarn ends in the " + section_in_words(section) +
           (knitting.worked() == Worked::back_and_forth ? ", row " : ", round ") +
           std::to_string(ball.fabric.rounds.size()) + " of " + std::to_string(ball.garment.rounds.size()) + "; " +
           number_text((needed - ball.fabric.yarn_used.value) / 1000, 0) + " m more is needed";
}

std::vector<std::string> knitting_warnings(const std::vector<KnittedBall>& balls, const Knitting& knitting) {
    std::vector<std::string> warnings;
    if (drawn_stitch(knitting).moved)
        warnings.push_back(
            number_text(knitting.yarn_per_stitch.value, 1) + " mm of yarn in a stitch of " +
            number_text(knitting.gauge.stitch_width().value, 2) + " x " +
            number_text(knitting.gauge.row_height().value, 2) +
            " mm cannot be drawn; the fabric is drawn in the nearest shape that can be (colours keep their places): "
            "check --gauge against --yarn-per-round or --yarn-per-stitch");
    for (const KnittedBall& ball : balls)
        if (ball.fabric.ran_out())
            warnings.push_back(ball.name + " is too short for this " + knitting.shape + ": " +
                               yarn_left_in_words(ball, knitting));
    return warnings;
}

double pixels_per_round(const FabricDrawing& drawing, const Knitting& knitting) {
    return drawing.pixels_per_stitch / wale_per_course(knitting);
}

KnittedBall plain_piece(const ColourRun& run, const Knitting& knitting, int stitches, int rounds) {
    KnittedBall ball;
    ball.run = run;
    ball.ball_mm = run.length_mm();
    ball.garment = plain_garment({stitches, knitting.yarn_per_stitch, knitting.worked(), rounds}, run.length());
    ball.fabric = knitted(ball.run, ball.garment, knitting.yarn_per_stitch);
    return ball;
}

Image drawn_fabric(const KnittedBall& ball, const Knitting& knitting, const FabricDrawing& drawing) {
    const Cloth cloth = fabric_cloth(ball.fabric, ball.run, drawing.most_rounds);
    const double ratio = wale_per_course(knitting);
    const DrawnShape loop = drawn_stitch(knitting);
    ClothLook look;
    look.pixels_per_stitch = drawing.pixels_per_stitch;
    look.wale_per_course = ratio;
    look.paper = linear_from_srgb8({0xfb, 0xfa, 0xf7});
    look.seed = drawing.seed;
    look.sights = drawing.sights;
    return drawn_cloth(cloth, loop.shape, look);
}

Picture8 knitted_sheet(const std::vector<KnittedBall>& balls, const Knitting& knitting, const FabricDrawing& drawing) {
    std::vector<FabricPanel> panels;
    FabricSheetScale scale;
    scale.pixels_per_cm = drawing.pixels_per_stitch * knitting.gauge.stitches / 10;
    scale.pixels_per_round = pixels_per_round(drawing, knitting);
    scale.counting = knitting.worked() == Worked::back_and_forth ? "row" : "round";
    for (const KnittedBall& ball : balls) {
        const int rounds = static_cast<int>(ball.fabric.rounds.size());
        const int drawn = std::min(rounds, drawing.most_rounds);
        std::string words = std::to_string(knitting.stitches) + " stitches, " + (drawn < rounds ? "first " : "") +
                            std::to_string(drawn) + (drawn < rounds ? " of " + std::to_string(rounds) : "") + " " +
                            scale.counting + "s";
        if (knitting.worked() == Worked::in_the_round) words += ", opened out";
        panels.push_back({drawn_fabric(ball, knitting, drawing), ball.name, words});
        scale.rounds = std::max(scale.rounds, drawn);
    }
    return fabric_sheet(panels, scale);
}

namespace {

/// Where on the blank the knitting starts and ends.
std::string blank_end_in_words(int row, int blank_rows) {
    if (row == 0 || blank_rows == 0) return {};
    if (row == 1) return "ravel edge of the blank";
    if (row == blank_rows) return "far end of the blank";
    return "row " + std::to_string(row) + " of " + std::to_string(blank_rows) + " of the blank";
}

std::string with_place(const std::string& what, const std::string& place) {
    return place.empty() ? what : what + ": " + place;
}

/// Where along the yarn a part of the garment ends; none where the yarn did not last so far.
std::optional<double> far_edge_mm(const KnittedBall& ball, Section section) {
    std::size_t end = 0;
    for (const FabricRound& round : ball.fabric.rounds)
        if (round.round.section == section) {
            if (!round.complete()) return std::nullopt;
            end = round.end;
        }
    const auto planned = std::count_if(ball.garment.rounds.begin(), ball.garment.rounds.end(),
                                       [&](const Round& round) { return round.section == section; });
    const auto knitted = std::count_if(ball.fabric.rounds.begin(), ball.fabric.rounds.end(),
                                       [&](const FabricRound& round) { return round.round.section == section; });
    if (end == 0 || knitted < planned) return std::nullopt;
    return static_cast<double>(end) * ball.fabric.yarn_per_stitch.value - 1;
}

struct FlatPanel {
    SockPanel panel;
    double pixels_per_cm = 0;
};

FlatPanel flat_panel(const KnittedBall& ball, const Knitting& knitting, int blank_rows, const FlatDrawing& drawing) {
    LaidFlatLook look;
    look.pixels_per_cm = drawing.pixels_per_cm;
    look.gauge = knitting.gauge;
    look.paper = linear_from_srgb8({0xfb, 0xfa, 0xf7});
    look.seed = drawing.seed;
    const LaidFlat flat = laid_flat(ball.fabric, ball.run, ball.garment, drawn_stitch(knitting).shape, look);
    SockPanel panel;
    panel.sock = flat.picture;
    panel.title = ball.name;
    panel.caption = yarn_left_in_words(ball, knitting);
    const auto note = [&](LaidFlat::Point at, const std::string& what, double mm) {
        panel.notes.push_back({at.x, at.y, with_place(what, blank_end_in_words(row_at(ball.run, mm), blank_rows))});
    };
    const double end_mm = std::max(0.0, ball.fabric.yarn_used.value - 1);
    if (flat.yarn_end) note(*flat.yarn_end, "the yarn ends here", end_mm);
    if (knitting.shape != "sock") {
        note(flat.first_round, "starts here", 0);
        if (!flat.yarn_end) note(flat.last_round, "ends here", end_mm);
        return {std::move(panel), flat.pixels_per_cm};
    }
    const bool from_toe = knitting.size.sock.start == Start::toe;
    const auto toe_mm = far_edge_mm(ball, Section::toe);
    const auto cuff_mm = far_edge_mm(ball, Section::cuff);
    if (flat.cuff && cuff_mm) note(*flat.cuff, from_toe ? "cuff" : "cuff, knitted first", from_toe ? *cuff_mm : 0);
    if (flat.toe && toe_mm) note(*flat.toe, from_toe ? "toe, knitted first" : "toe", from_toe ? 0 : *toe_mm);
    return {std::move(panel), flat.pixels_per_cm};
}

}  // namespace

Picture8 laid_flat_sheet(const std::vector<KnittedBall>& balls, const Knitting& knitting, int blank_rows,
                         const FlatDrawing& drawing) {
    SockSheet sheet;
    for (const KnittedBall& ball : balls) {
        FlatPanel drawn = flat_panel(ball, knitting, blank_rows, drawing);
        sheet.socks.push_back(std::move(drawn.panel));
        sheet.pixels_per_cm = drawn.pixels_per_cm;
    }
    return sock_sheet(sheet);
}

}  // namespace loopread::cli
