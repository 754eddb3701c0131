#include "cli/nudge_files.h"

#include <algorithm>
#include <cmath>

#include "cli/progress.h"
#include "loopread/base/text.h"
#include "loopread/photo/write.h"
#include "loopread/unravel/unravelled.h"

namespace loopread::cli {
namespace {

constexpr int kFirstKnitters = 20;         // a quick look, on one ball, before all knitters knit both
constexpr double kQuickLookMargin = 0.15;  // by which a quick look may be wrong

std::string of_hundred(double risk) {
    return std::to_string(std::lround(100 * risk)) + " of 100 knitters";
}

/// The stitch counts whose rounds a customer may knit.
std::vector<int> usual_counts(const Knitting& knitting) {
    std::vector<int> counts;
    const double yarn = knitting.yarn_per_stitch.value;
    for (int n = static_cast<int>(std::ceil(kShortestRoundMm / yarn)); n * yarn <= kLongestRoundMm; ++n)
        if (n > 0) counts.push_back(n);
    if (counts.empty()) counts.push_back(knitting.stitches);
    return counts;
}

/// Knits nudged designs at every round length that customers knit.
class NudgeTrials {
public:
    NudgeTrials(const BlankSource& source, const BlankInput& blank, const Knitting& knitting,
                const WindingOptions& winding, const LayPlan& plan)
        : source_(source),
          blank_(blank),
          knitting_(knitting),
          winding_(winding),
          paint_(source.paint(source.asked_lay())),
          motifs_(motifs_of(paint_)),
          sweep_{usual_counts(knitting), knitting.yarn_per_stitch.value, knitting.worked()},
          all_(blank.layout.strand_length() + Millimetres{1}, sweep_, risk_options(plan.chance, plan.seed)),
          first_(blank.layout.strand_length() + Millimetres{1}, sweep_, fewer(plan)) {}

    const Motifs& motifs() const { return motifs_; }
    Paint nudged_paint(const Nudge& nudge) const { return nudged(paint_, motifs_, nudge); }
    std::vector<ColourRun> runs(const Nudge& nudge) const {
        return runs_to_knit(loopread::unravelled(blank_.layout, source_.crept(nudged_paint(nudge)), blank_.shape,
                                                 blank_.shares, winding_),
                            knitting_);
    }

    /// The largest risk of any ball at any round length; over `enough` it may be that of a quick look.
    double worst_risk(const Nudge& nudge, double enough) const {
        const std::vector<ColourRun> strands = runs(nudge);
        const double quick = worst_of(first_.swept(strands.front()));
        if (quick > enough + kQuickLookMargin) return quick;
        double worst = 0;
        for (const ColourRun& strand : strands) worst = std::max(worst, worst_of(all_.swept(strand)));
        return worst;
    }

    /// The stitch count at which a design pools most.
    int worst_count(const std::vector<ColourRun>& strands) const {
        const std::vector<SweepPoint> points = all_.swept(strands.front());
        return std::max_element(points.begin(), points.end(),
                                [](const SweepPoint& a, const SweepPoint& b) {
                                    return a.pool_risk != b.pool_risk ? a.pool_risk < b.pool_risk
                                                                      : a.shares.pool < b.shares.pool;
                                })
            ->stitches;
    }

private:
    static RiskOptions fewer(const LayPlan& plan) {
        RiskOptions options = risk_options(plan.chance, plan.seed);
        options.knitters = std::min(options.knitters, kFirstKnitters);
        return options;
    }
    static double worst_of(const std::vector<SweepPoint>& points) {
        double worst = 0;
        for (const SweepPoint& point : points) worst = std::max(worst, point.pool_risk);
        return worst;
    }

    const BlankSource& source_;
    const BlankInput& blank_;
    const Knitting& knitting_;
    const WindingOptions& winding_;
    Paint paint_;
    Motifs motifs_;
    SweepPlan sweep_;
    KnitterSweep all_, first_;
};

/// Where small changes do not help: what greater ones would do.
std::string what_would_help(const NudgeTrials& trials, Json& tried) {
    std::string best_words;
    double best = 1;
    for (const double scale : {0.5, 0.35, 1.5, 2.0}) {
        const double risk = trials.worst_risk({.scale = scale}, 1);
        const std::string words = scale < 1 ? "drawn " + number_text(100 * scale, 0) + " % as large"
                                            : "drawn " + number_text(scale, 1) + " times as large";
        tried.push_back({{"words", words}, {"scale", scale}, {"worst_risk", risk}});
        if (risk < best) {
            best = risk;
            best_words = words;
        }
    }
    if (best <= kClearRisk) return "What would: motifs " + best_words + " (" + of_hundred(best) + ").";
    return "Nor does another size of motif" +
           (best_words.empty() ? std::string() : " (best " + best_words + ", " + of_hundred(best) + ")") +
           ": break the motifs up into scattered dabs under 1 cm, or lay the design another way.";
}

/// The first rounds at the stitch count where it pooled most, before and after.
Picture8 before_and_after(const NudgeTrials& trials, const Knitting& knitting, const Nudge& nudge, std::uint64_t seed) {
    constexpr int kRounds = 90;
    const std::vector<ColourRun> before = trials.runs({});
    const std::vector<ColourRun> after = trials.runs(nudge);
    const int stitches = trials.worst_count(before);
    FabricDrawing drawing;
    drawing.seed = seed;
    drawing.pixels_per_stitch = std::clamp(700.0 / stitches, 3.0, 12.0);
    const double row = pixels_per_round(drawing, knitting);
    std::vector<FabricPanel> panels;
    const auto add = [&](const ColourRun& run, const std::string& title) {
        panels.push_back({drawn_fabric(plain_piece(run, knitting, stitches, kRounds), knitting, drawing), title,
                          std::to_string(stitches) + " stitches, " +
                              number_text(stitches * knitting.yarn_per_stitch.value / 10, 1) +
                              " cm a round, where it pooled most"});
    };
    add(before.front(), "as drawn");
    add(after.front(), "nudged");
    FabricSheetScale scale;
    scale.pixels_per_cm = drawing.pixels_per_stitch * knitting.gauge.stitches / 10;
    scale.pixels_per_round = row;
    scale.rounds = kRounds;
    scale.counting = knitting.worked() == Worked::in_the_round ? "round" : "row";
    return fabric_sheet(panels, scale);
}

Picture8 stencil_picture(const Plane& amount, double strength) {
    Picture8 picture(amount.rows(), amount.columns());
    for (int row = 0; row < amount.rows(); ++row)
        for (int column = 0; column < amount.columns(); ++column) {
            const double part = strength > 0 ? std::clamp(amount(row, column) / strength, 0.0, 1.0) : 0.0;
            const auto grey = static_cast<std::uint8_t>(std::lround(255 * (1 - part)));
            picture(row, column) = {grey, grey, grey};
        }
    return picture;
}

/// A TOML basic string.
std::string toml_text(const std::string& text) {
    static constexpr char kDigits[] = "0123456789abcdef";
    std::string out = "\"";
    for (const char c : text) {
        const auto code = static_cast<unsigned char>(c);
        if (code < 0x20 || code == 0x7f) {
            out += std::string("\\u00") + kDigits[code >> 4] + kDigits[code & 15];
            continue;
        }
        if (c == '"' || c == '\\') out += '\\';
        out += c;
    }
    return out + '"';
}

/// The layers of the design over their nudged stencils.
/// @param ground_picture  instead of its colour or fade; may be empty
std::string nudged_toml(const Design& design, const std::vector<std::string>& stencils,
                        const std::string& ground_picture) {
    std::string toml = "undyed = " + toml_text(hex_text(design.undyed)) + "\n\n[ground]\n";
    if (!ground_picture.empty()) {
        toml += "picture = " + toml_text(ground_picture) + "\n";
    } else if (design.ground.colours.size() == 1) {
        toml += "colour = " + toml_text(hex_text(design.ground.colours.front())) + "\n";
    } else {
        toml += "fade = [";
        for (std::size_t i = 0; i < design.ground.colours.size(); ++i)
            toml += (i == 0 ? "" : ", ") + toml_text(hex_text(design.ground.colours[i]));
        toml += "]\n";
        if (design.ground.along == DesignGround::Along::width) toml += "along = \"width\"\n";
    }
    for (std::size_t i = 0; i < design.layers.size(); ++i) {
        const DesignLayer& layer = design.layers[i];
        toml += "\n[[layer]]\nname = " + toml_text(layer.name) + "\nstencil = " + toml_text(stencils[i]) +
                "\ncolour = " + toml_text(hex_text(layer.colour)) + "\nstrength = " + number_text(layer.strength, 4) +
                "\npenetration = " + number_text(layer.penetration, 4) + "\n";
    }
    return toml;
}

void add_design(NudgeFiles& out, const BlankSource& source, const Paint& paint) {
    out.files.emplace_back("nudged.png", png_bytes(encoded(design_picture(paint, paint.raster.rows))));
    if (!source.design()) return;
    const Design& design = *source.design();
    std::vector<std::string> names;
    for (std::size_t i = 0; i < design.layers.size(); ++i) {
        names.push_back("nudged-stencil-" + std::to_string(i + 1) + ".png");
        out.files.emplace_back(names.back(),
                               png_bytes(stencil_picture(paint.layers[i].amount, design.layers[i].strength)));
    }
    // Turned, a fade or a picture lies as the stencils now do; the new design is the right way up as it is.
    const Lay& lay = source.asked_lay();
    const bool turned = lay.ravel_edge != RavelEdge::top || lay.rotate != QuarterTurn::none || lay.mirror != Mirror::no;
    std::string ground;
    if (design.ground.picture || (turned && design.ground.colours.size() > 1)) {
        ground = "nudged-ground.png";
        out.files.emplace_back(ground, png_bytes(encoded(paint.ground)));
    }
    out.files.emplace_back("nudged.toml", nudged_toml(design, names, ground));
}

}  // namespace

NudgeFiles nudge_files(const BlankSource& source, const BlankInput& blank, const Knitting& knitting,
                       const WindingOptions& winding, const LayPlan& plan) {
    const NudgeTrials trials(source, blank, knitting, winding, plan);
    NudgeSearch search;
    {
        Progress progress("looking for a small change");
        search = least_nudge(
            nudges_to_try(trials.motifs()), kClearRisk,
            [&](const Nudge& nudge, double enough) { return trials.worst_risk(nudge, enough); },
            [&](std::size_t done, std::size_t of) { progress.at(done, of); });
    }
    NudgeFiles out;
    const std::string range = " at any round of 75 to 100 cm";
    const std::vector<std::string> changes = nudge_in_words(search.nudge, trials.motifs());
    std::string all;
    for (const std::string& change : changes) all += " " + change;
    Json greater = Json::array();
    std::string sentence;
    if (search.clear && search.nudge == Nudge{}) {
        sentence = "The design needs no nudge: at worst it pools for " + of_hundred(search.risk_before) + range + ".";
    } else if (search.clear) {
        sentence = "The least change that stays clear of pools" + range + ":" + all + " At worst it then pools for " +
                   of_hundred(search.worst_risk) + ", before for " + of_hundred(search.risk_before) + ".";
    } else {
        sentence = "No small change keeps it clear of pools" + range + " (before: " + of_hundred(search.risk_before) +
                   "; best found: " + of_hundred(search.worst_risk) + ", by:" + all + ") " +
                   what_would_help(trials, greater);
    }
    out.summary = {{"sentence", sentence},
                   {"clear", search.clear},
                   {"changes", changes},
                   {"change_cm", rounded(search.nudge.change_cm(), 3)},
                   {"scale", rounded(search.nudge.scale, 4)},
                   {"spacing_across", rounded(search.nudge.spacing_across, 4)},
                   {"spacing_along", rounded(search.nudge.spacing_along, 4)},
                   {"stagger_cm", rounded(search.nudge.stagger_mm / 10, 3)},
                   {"slant_cm_over_10_cm", rounded(10 * search.nudge.slant, 3)},
                   {"worst_risk_before", rounded(search.risk_before, 5)},
                   {"worst_risk", rounded(search.worst_risk, 5)},
                   {"motifs", trials.motifs().motifs.size()},
                   {"tried", search.tried},
                   {"greater_changes", greater}};
    if (!(search.nudge == Nudge{})) {
        add_design(out, source, trials.nudged_paint(search.nudge));
        out.files.emplace_back("nudged-knitted.png",
                               png_bytes(before_and_after(trials, knitting, search.nudge, plan.seed)));
    }
    return out;
}

}  // namespace loopread::cli
