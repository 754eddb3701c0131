#include "cli/knitted_picture.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/error.h"
#include "loopread/base/text.h"
#include "loopread/loop/interlacing.h"
#include "loopread/raster/cloth.h"
#include "loopread/shape/garments.h"

namespace loopread::cli {
namespace {

double wale_per_course(const Knitting& knitting) {
    return knitting.gauge.stitch_width() / knitting.gauge.row_height();
}

DrawnShape drawn_stitch(const Knitting& knitting) {
    return drawn_shape({wale_per_course(knitting), knitting.yarn_per_stitch / knitting.gauge.stitch_width()});
}

}  // namespace

std::vector<std::string> drawing_warnings(const Knitting& knitting) {
    if (!drawn_stitch(knitting).moved) return {};
    return {
        number_text(knitting.yarn_per_stitch.value, 1) + " mm of yarn in a stitch of " +
        number_text(knitting.gauge.stitch_width().value, 2) + " x " +
        number_text(knitting.gauge.row_height().value, 2) +
        " mm cannot be drawn as it is; the fabric is drawn in the nearest shape that can (colours keep their places). "
        "Check --gauge against --yarn-per-round or --yarn-per-stitch"};
}

std::vector<KnittedBall> knitted_balls(const std::vector<ColourRun>& strands, const Knitting& knitting) {
    std::vector<KnittedBall> balls;
    for (const int strand : knitting.strands) {
        KnittedBall ball;
        ball.name = strands.size() == 1 ? "the ball" : strand == 1 ? "ball A" : "ball B";
        const ColourRun& run = strands[static_cast<std::size_t>(strand - 1)];
        ball.run = knitting.start == Knitting::Start::far_end ? run.reversed() : run;
        const double round_mm = knitting.yarn_per_round().value;
        if (round_mm > run.length_mm())
            throw Error(ErrorKind::usage, "--stitches: one round takes " + number_text(round_mm / 1000, 1) +
                                              " m, more than the " + number_text(run.length_mm() / 1000, 1) +
                                              " m of the strand; ask for fewer stitches");
        GarmentSize size;
        size.stitches = knitting.stitches;
        size.rounds =
            knitting.rounds.value_or(static_cast<int>(std::min(100'000.0, run.length_mm() / round_mm + 1e-9)));
        size.gauge = knitting.gauge;
        ball.fabric = knitted(ball.run, garment(knitting.shape, size), knitting.yarn_per_stitch);
        balls.push_back(std::move(ball));
    }
    return balls;
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
    return drawn_cloth(cloth, loop.shape, look);
}

Picture8 knitted_sheet(const std::vector<KnittedBall>& balls, const Knitting& knitting, const FabricDrawing& drawing) {
    std::vector<FabricPanel> panels;
    FabricSheetScale scale;
    scale.pixels_per_cm = drawing.pixels_per_stitch * knitting.gauge.stitches / 10;
    scale.pixels_per_round = drawing.pixels_per_stitch / wale_per_course(knitting);
    scale.counting = knitting.shape == "flat" ? "row" : "round";
    for (const KnittedBall& ball : balls) {
        const int rounds = static_cast<int>(ball.fabric.rounds.size());
        const int drawn = std::min(rounds, drawing.most_rounds);
        std::string words = std::to_string(knitting.stitches) + " stitches, " + (drawn < rounds ? "first " : "") +
                            std::to_string(drawn) + (drawn < rounds ? " of " + std::to_string(rounds) : "") + " " +
                            scale.counting + "s";
        if (knitting.shape == "tube") words += ", opened out";
        panels.push_back({drawn_fabric(ball, knitting, drawing), ball.name, words});
        scale.rounds = std::max(scale.rounds, drawn);
    }
    return fabric_sheet(panels, scale);
}

}  // namespace loopread::cli
