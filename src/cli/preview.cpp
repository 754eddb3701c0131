#include "cli/preview.h"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cmath>
#include <memory>

#include "cli/look.h"
#include "cli/strand_files.h"
#include "loopread/base/text.h"
#include "loopread/draw/overview.h"
#include "loopread/photo/write.h"
#include "loopread/raster/blank_cloth.h"
#include "loopread/report/page.h"

namespace loopread::cli {
namespace {

struct PreviewOptions {
    std::filesystem::path image;
    CommonOptions common;
    BlankOptions blank;
    KnitOptions knitting;
};

constexpr double kPageHeight = 1240;  // pixels of the first screen's pictures: sharp on a dense screen

PagePicture page_picture(const Picture8& picture, const std::string& alt, const std::string& caption) {
    return {jpeg_bytes(picture, 86), alt, caption, picture.columns(), picture.rows()};
}

/// The blank as knitted, about kPageHeight high.
Picture8 blank_picture(const BlankInput& blank, const WindingOptions& winding, std::uint64_t seed) {
    // What lies before us is the side that took the paint, so it is drawn dyed through: flecks are what hides beneath.
    BlankInput dyed_through = blank;
    dyed_through.paint.penetration = 1;
    for (DyeLayer& layer : dyed_through.paint.layers) layer.penetration = 1;
    const std::vector<ColourRun> strands = unravelled(dyed_through, winding);
    ClothLook look;
    look.wale_per_course = blank.layout.wale_spacing / blank.layout.course_spacing;
    look.pixels_per_stitch = std::clamp(kPageHeight / blank.layout.rows * look.wale_per_course, 2.0, 24.0);
    look.side = blank.layout.painted == Painted::face ? Side::face : Side::back;
    look.paper = linear_from_srgb8({0xfb, 0xfa, 0xf7});
    look.seed = seed;
    look.unevenness = 0.5;
    return encoded(drawn_cloth(blank_cloth(blank.layout, strands, winding), blank.shape, look));
}

/// Blank, yarn and fabric on one sheet.
Picture8 overview(const BlankInput& blank, const std::vector<ColourRun>& strands, const std::vector<KnittedBall>& balls,
                  const Knitting& knitting, const Picture8& blank_drawn, std::uint64_t seed) {
    constexpr double kHeight = 760;
    Overview sheet;
    const PixelBox whole{0, 0, static_cast<double>(blank_drawn.columns()), static_cast<double>(blank_drawn.rows())};
    const int columns = static_cast<int>(std::lround(blank_drawn.columns() * kHeight / blank_drawn.rows()));
    sheet.blank =
        encoded(resampled(decoded(blank_drawn), whole, static_cast<int>(kHeight), std::clamp(columns, 40, 800)));
    sheet.strands = strands;
    sheet.loop_mm = blank.layout.loop_length.value;
    FabricDrawing drawing;
    drawing.seed = seed;
    drawing.pixels_per_stitch = std::clamp(420.0 / knitting.stitches, 3.0, 12.0);
    const double row = drawing.pixels_per_stitch * (knitting.gauge.row_height() / knitting.gauge.stitch_width());
    drawing.most_rounds = std::max(1, static_cast<int>(kHeight / row));
    for (const KnittedBall& ball : balls)
        sheet.fabric.push_back({drawn_fabric(ball, knitting, drawing), ball.name,
                                std::to_string(knitting.stitches) + " stitches, round 1 at the bottom"});
    sheet.fabric_pixels_per_cm = drawing.pixels_per_stitch * knitting.gauge.stitches / 10;
    return overview_picture(sheet);
}

/// The whole ball as fabric, about kPageHeight high.
Picture8 ball_picture(const KnittedBall& ball, const Knitting& knitting, std::uint64_t seed) {
    const double row_per_stitch = knitting.gauge.row_height() / knitting.gauge.stitch_width();
    FabricDrawing drawing;
    drawing.seed = seed;
    drawing.pixels_per_stitch =
        std::clamp(kPageHeight / static_cast<double>(ball.fabric.rounds.size()) / row_per_stitch, 2.0, 12.0);
    drawing.most_rounds = static_cast<int>(kPageHeight * 1.5 / (drawing.pixels_per_stitch * row_per_stitch));
    return encoded(drawn_fabric(ball, knitting, drawing));
}

void run_preview(const PreviewOptions& options, std::ostream& out) {
    Outputs outputs = Outputs::into_folder(options.common.output);
    if (!options.common.config.empty()) outputs.keep_safe(options.common.config);
    const std::uint64_t seed = options.common.seed;
    const BlankInput blank = read_blank(options.image, options.blank, outputs);
    const WindingOptions winding = winding_options(options.blank, seed);
    const Knitting knitting = settled(options.knitting, blank.layout.strands);
    const std::vector<ColourRun> strands = unravelled(blank, winding);
    const std::vector<KnittedBall> balls = knitted_balls(strands, knitting);
    const StrandFiles files = strand_files(blank, strands, knitting, winding);
    Json summary = files.summary;
    summary["knitting"] = knitting_json(knitting, balls);
    for (const std::string& warning : knitting_warnings(balls, knitting)) summary["warnings"].push_back(warning);
    const Look look = look_of(balls.front(), knitting);
    summary["look"] = look_json(look);

    FabricDrawing drawing;
    drawing.seed = seed;
    drawing.most_rounds = 120;
    const Picture8 sheet = knitted_sheet(balls, knitting, drawing);
    const Picture8 blank_drawn = blank_picture(blank, winding, seed);

    PreviewPage page;
    page.title = options.image.filename().string();
    page.sentence = look.verdict.sentence;
    page.facts = {pair_in_words(pair_range(summary)),
                  "One row of the blank is " + number_text(summary["rounds_per_row"].get<double>(), 2) + " rounds of " +
                      std::to_string(knitting.stitches) + " stitches.",
                  number_text(strands.front().length_mm() / 1000, 0) + " m a ball, " +
                      std::to_string(balls.front().fabric.rounds.size()) + " whole rounds."};
    page.assumed = summary["assumed"].get<std::vector<std::string>>();
    page.warnings = summary["warnings"].get<std::vector<std::string>>();
    page.first_screen.push_back(page_picture(blank_drawn, "The blank as knitted and painted, ravel edge on top.",
                                             "the blank, ravel edge on top"));
    for (const KnittedBall& ball : balls)
        page.first_screen.push_back(page_picture(ball_picture(ball, knitting, seed),
                                                 "Fabric knitted from " + ball.name + ".",
                                                 ball.name + ", round 1 at the bottom"));
    page.below.push_back({files.strands_png, "Both strands as ribbons in the order they come off.", "",
                          files.strands_width, files.strands_height});
    page.below.push_back(page_picture(sheet, "The first rounds of each ball with single stitches showing.", ""));
    for (const char* name :
         {"yarn.csv", "runs.csv", "strands.png", "fabric.png", "blank.png", "overview.jpg", "summary.json"})
        page.files.emplace_back(name);

    outputs.add("yarn.csv", files.yarn_csv);
    outputs.add("runs.csv", files.runs_csv);
    outputs.add("strands.png", files.strands_png);
    outputs.add("blank.png", png_bytes(blank_drawn));
    outputs.add("fabric.png", png_bytes(sheet));
    outputs.add("overview.jpg", jpeg_bytes(overview(blank, strands, balls, knitting, blank_drawn, seed), 90));
    outputs.add("summary.json", json_bytes(summary));
    outputs.add("index.html", page_html(page));
    outputs.write();
    report(out, options.common, summary, outputs,
           look.verdict.sentence + " Open " + (options.common.output / "index.html").string());
}

}  // namespace

void add_preview(CLI::App& app, Action& action) {
    const auto options = std::make_shared<PreviewOptions>();
    CLI::App* command = app.add_subcommand("preview", "Everything about a blank on one page: start here");
    command->add_option("IMAGE", options->image, "a picture of the blank, or a design.toml")->required();
    add_common(*command, options->common, "folder for the page and its files");
    add_blank(*command, options->blank);
    add_knitting(*command, options->knitting);
    command->callback([options, &action] { action = [options](std::ostream& out) { run_preview(*options, out); }; });
}

}  // namespace loopread::cli
