#include "cli/preview.h"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cmath>
#include <memory>
#include <optional>

#include "cli/doubt_summary.h"
#include "cli/examples.h"
#include "cli/lay_files.h"
#include "cli/photo_findings.h"
#include "cli/strand_files.h"
#include "cli/table_document.h"
#include "cli/yarn_input.h"
#include "loopread/base/error.h"
#include "loopread/base/text.h"
#include "loopread/doubt/words.h"
#include "loopread/draw/overview.h"
#include "loopread/lay/change.h"
#include "loopread/photo/write.h"
#include "loopread/raster/blank_cloth.h"
#include "loopread/report/dye_table.h"
#include "loopread/report/page.h"

namespace loopread::cli {
namespace {

struct PreviewOptions {
    std::filesystem::path image;
    CommonOptions common;
    BlankOptions blank;
    KnitOptions knitting;
    ChanceOptions chance;
    DoubtOptions doubt;
    std::string save_base;
};

constexpr double kPairPixelsPerCm = 20;  // of the page: single loops show, and it loads at once
constexpr double kPageHeight = 1240;     // pixels of the first screen's pictures: sharp on a dense screen

PagePicture page_picture(const Picture8& picture, const std::string& alt, const std::string& caption) {
    return {jpeg_bytes(picture, 86), alt, caption, picture.columns(), picture.rows()};
}

/// The blank as knitted, about kPageHeight high.
Picture8 blank_picture(const BlankInput& blank, const WindingOptions& winding, std::uint64_t seed) {
    // What lies before us is the side that took the paint, so it is drawn dyed through: flecks are what hides beneath.
    const std::vector<ColourRun> strands = dyed_through(blank, winding);
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
    const double row = pixels_per_round(drawing, knitting);
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

/// The knitting as a plain tube (or flat piece) of the same stitches, all that the ball gives.
Knitting opened_out(Knitting knitting) {
    knitting.shape = knitting.worked() == Worked::in_the_round ? "tube" : "flat";
    knitting.size = {.stitches = knitting.stitches, .gauge = knitting.gauge};
    return knitting;
}

/// All that the page shows, worked out.
struct PreviewFindings {
    BlankInput blank;
    WindingOptions winding;
    Knitting knitting = {};
    std::vector<ColourRun> strands = {};
    std::vector<KnittedBall> balls = {};       ///< in the asked-for shape
    std::vector<KnittedBall> pieces = {};      ///< the same balls as plain fabric
    std::vector<FabricLook> looks = {};        ///< of the balls
    std::optional<PoolingFiles> pooling = {};  ///< none where there is too little yarn to tell, the reason among ...
    std::optional<LayFiles> lays = {};
    std::optional<OneChange> change = {};
    Json how_sure = {};                      ///< null if not asked for or not to be told
    std::vector<std::string> warnings = {};  ///< ... these
    std::string table = {};                  ///< what the dye table starts from
};

/// A pair of socks where none is asked for, if the stitches make one; else plain fabric.
KnitOptions with_usual_shape(KnitOptions options) {
    const bool sock_count = !options.stitches || (*options.stitches >= 24 && *options.stitches % 4 == 0);
    if (options.shape.empty()) options.shape = sock_count && !options.rounds ? "sock" : "tube";
    return options;
}

PreviewFindings found(const PreviewOptions& options, Outputs& outputs) {
    const std::uint64_t seed = options.common.seed;
    const KnitOptions knit_options = with_usual_shape(options.knitting);
    const Knitting typed = settled(knit_options, 2);  // slips are told before any picture is read
    risk_options(options.chance, seed);
    swept_counts(options.chance, typed);
    check_doubt(options.doubt);
    if (typed.shape == "shawl")
        throw Error(ErrorKind::usage,
                    "--shape: preview looks for pools, and no two rows of a shawl are equally long; "
                    "see it with loopread knit");
    if (typed.alternate > 0)
        throw Error(ErrorKind::usage, "--alternate: see it with loopread pooling or loopread knit");
    BlankSource source(options.image, options.blank, outputs, BlankSource::Ways::all);
    PreviewFindings f{.blank = source.blank(), .winding = winding_options(options.blank, seed)};
    f.knitting = settled(knit_options, f.blank.layout.strands);
    f.table = table_document(source, f.blank.layout,
                             {.title = options.image.stem().string(),
                              .blank = options.blank,
                              .knitting = knit_options,
                              .settled = f.knitting,
                              .knitters = options.chance.knitters,
                              .seed = seed});
    f.strands = unravelled(f.blank, f.winding);
    f.balls = knitted_balls(f.strands, f.knitting);
    f.pieces = knitted_balls(f.strands, opened_out(f.knitting));
    f.looks = looks_of(f.balls, f.knitting);
    f.warnings = f.blank.warnings;
    for (std::string& warning : knitting_warnings(f.balls, f.knitting)) f.warnings.push_back(std::move(warning));
    if (!enough_to_tell(shortest_of(f.strands), f.knitting, options.chance)) {
        f.warnings.emplace_back(
            "too little yarn to tell pools from stripes: rounds of 16 stitches or more, three of them");
        return f;
    }
    Doubts doubts(&f.blank, f.strands, f.winding);
    doubts.settle(options.blank, knit_options, f.knitting);
    f.pooling = pooling_files(f.strands, f.knitting, {options.chance, seed, &doubts, options.doubt.draws});
    if (f.pooling->how_sure) {
        f.how_sure = f.pooling->summary["how_sure"];
        std::string words = look_sureness(*f.pooling->how_sure, finding_out_by_options);
        if (!risk_holds(*f.pooling->how_sure, asked_risk(*f.pooling)))
            words += " " + risk_sureness(*f.pooling->how_sure, asked_risk(*f.pooling), finding_out_by_options);
        f.how_sure["sentence"] = words;
    }
    f.lays = lay_files(source, f.blank, f.knitting, f.winding, {options.chance, Aim::no_pool, seed});
    f.change = one_change(f.pooling->risks, f.pooling->asked, f.looks.front(), f.lays->ways, f.lays->as_asked);
    return f;
}

/// The pair in its shape, as wide as the page; opened out, one picture a ball.
std::vector<PagePicture> pair_pictures(const PreviewFindings& f, const Picture8& pair, std::uint64_t seed) {
    std::vector<PagePicture> pictures;
    if (f.knitting.laid_flat()) {
        pictures.push_back(page_picture(pair, "The pair, ball A and ball B, laid flat.", ""));
        return pictures;
    }
    for (const KnittedBall& ball : f.balls)
        pictures.push_back(page_picture(ball_picture(ball, f.knitting, seed), "Fabric knitted from " + ball.name + ".",
                                        ball.name + ", round 1 at the bottom"));
    return pictures;
}

std::string change_heading(const OneChange& change) {
    return change.needed ? "One thing to change:" : "Nothing to change:";
}

PreviewPage page_of(const PreviewOptions& options, const PreviewFindings& f, const Json& summary) {
    PreviewPage page;
    page.title = options.image.filename().string();
    page.sentence = f.looks.front().verdict.sentence;
    if (!f.how_sure.is_null()) page.how_sure = f.how_sure["sentence"].get<std::string>();
    if (f.change) {
        page.change = f.change->words;
        page.change_heading = change_heading(*f.change);
    }
    if (f.pooling) page.facts.push_back(f.pooling->summary["sentence"].get<std::string>());
    const std::vector<std::string> more = {pair_in_words(pair_range(summary)),
                                           "One row of the blank is " +
                                               number_text(summary["rounds_per_row"].get<double>(), 2) + " rounds of " +
                                               std::to_string(f.knitting.stitches) + " stitches.",
                                           number_text(f.strands.front().length_mm() / 1000, 0) + " m a ball; " +
                                               yarn_left_in_words(f.balls.front(), f.knitting) + "."};
    page.facts.insert(page.facts.end(), more.begin(), more.end());
    page.assumed = summary["assumed"].get<std::vector<std::string>>();
    if (f.blank.show_through) page.facts.push_back(show_through_in_words(*f.blank.show_through));
    page.warnings = summary["warnings"].get<std::vector<std::string>>();
    return page;
}

void run_preview(const PreviewOptions& options, std::ostream& out) {
    Outputs outputs = Outputs::into_folder(options.common.output);
    if (!options.common.config.empty()) outputs.keep_safe(options.common.config);
    const std::uint64_t seed = options.common.seed;
    const PreviewFindings f = found(options, outputs);
    const StrandFiles files = strand_files(f.blank, f.strands, f.knitting, f.winding);
    Json summary = files.summary;
    summary["knitting"] = knitting_with_looks_json(f.knitting, f.balls, f.looks);
    summary["warnings"] = f.warnings;
    const PhotoFindings findings = photo_findings(f.blank, options.blank, options.save_base);
    findings.add_to(summary);
    summary["look"] = look_json(f.looks.front());
    if (f.change) summary["change"] = {{"needed", f.change->needed}, {"words", f.change->words}};
    if (f.pooling) {
        summary["pooling"] = f.pooling->summary;
        summary["pooling"].erase("how_sure");
    }
    if (!f.how_sure.is_null()) summary["how_sure"] = f.how_sure;
    if (f.lays) summary["lays"] = f.lays->summary;

    const Knitting plain = opened_out(f.knitting);
    FabricDrawing drawing;
    drawing.seed = seed;
    drawing.most_rounds = 120;
    const Picture8 sheet = knitted_sheet(f.pieces, plain, drawing);
    const Picture8 blank_drawn = blank_picture(f.blank, f.winding, seed);
    const Picture8 pair = f.knitting.laid_flat() ? laid_flat_sheet(f.balls, f.knitting, f.blank.layout.rows,
                                                                   {.pixels_per_cm = kPairPixelsPerCm, .seed = seed})
                                                 : sheet;

    PreviewPage page = page_of(options, f, summary);
    page.first_screen.push_back(page_picture(blank_drawn, "The blank as knitted and painted, ravel edge on top.",
                                             "the blank, ravel edge on top"));
    for (PagePicture& picture : pair_pictures(f, pair, seed)) page.first_screen.push_back(std::move(picture));
    if (f.pooling)
        page.below.push_back({f.pooling->png, "Pool risk over the yarn in a round, with pieces of fabric and advice.",
                              "", f.pooling->width, f.pooling->height});
    page.below.push_back({files.strands_png, "Both strands as ribbons in the order they come off.", "",
                          files.strands_width, files.strands_height});
    page.below.push_back(page_picture(sheet, "The first rounds of each ball with single stitches showing.", ""));
    if (f.lays)
        page.below.push_back({f.lays->png, "The ways to lay the design, best first, each with its knitted preview.", "",
                              f.lays->width, f.lays->height});

    const auto add = [&](const std::string& name, std::string bytes) {
        outputs.add(name, std::move(bytes));
        page.files.push_back(name);
    };
    add("yarn.csv", files.yarn_csv);
    add("runs.csv", files.runs_csv);
    add("strands.png", files.strands_png);
    for (const auto& [name, bytes] : findings.pictures) add(name, bytes);
    if (findings.base) outputs.add(findings.base->first, findings.base->second);
    add("blank.png", png_bytes(blank_drawn));
    if (f.knitting.laid_flat()) add(f.knitting.shape + ".png", png_bytes(pair));
    add("fabric.png", png_bytes(sheet));
    if (f.pooling) {
        add("pooling.csv", f.pooling->csv);
        add("pooling.png", f.pooling->png);
    }
    if (f.lays) {
        add("lays.csv", f.lays->csv);
        add("lays_counts.csv", f.lays->counts_csv);
        add("lays.png", f.lays->png);
    }
    add("overview.jpg", jpeg_bytes(overview(f.blank, f.strands, f.pieces, plain, blank_drawn, seed), 90));
    add("summary.json", json_bytes(summary));
    outputs.add("sheet.html", page_html(page));
    const std::string_view table = dye_table_page();
    if (!table.empty()) outputs.add("index.html", with_start_state(table, f.table));
    outputs.write();
    report(out, options.common, summary, outputs,
           f.looks.front().verdict.sentence +
               (f.how_sure.is_null() ? "" : "\n" + f.how_sure["sentence"].get<std::string>()) +
               (f.change ? "\n" + change_heading(*f.change) + " " + f.change->words : "") + findings.words + "\nOpen " +
               (options.common.output / (table.empty() ? "sheet.html" : "index.html")).string());
}

}  // namespace

void add_preview(CLI::App& app, Action& action) {
    const auto options = std::make_shared<PreviewOptions>();
    CLI::App* command = app.add_subcommand("preview", "Everything about a blank on one page: start here");
    command->add_option("IMAGE", options->image, "a picture of the blank, or a design.toml")->required();
    add_common(*command, options->common, "folder for the page, the sheet and their files");
    add_blank(*command, options->blank);
    add_save_base(*command, options->save_base);
    options->knitting.shape.clear();
    add_knitting(*command, options->knitting);
    command->get_option("--shape")->default_str("sock; a tube where stitches or rounds are not a sock's");
    add_chance(*command, options->chance);
    add_doubt(*command, options->doubt);
    add_examples(*command,
                 {{{"A first look at a new design", "loopread preview samples/lanterns.toml -o out/lanterns"},
                   {"The same from a photo of a blank that measures 24 x 86 cm",
                    "loopread preview samples/harbour-photo.jpg --size 24x86cm --ground auto -o out/photo"}}});
    command->callback([options, &action] { action = [options](std::ostream& out) { run_preview(*options, out); }; });
}

}  // namespace loopread::cli
