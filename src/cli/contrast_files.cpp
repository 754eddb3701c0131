#include "cli/contrast_files.h"

#include <algorithm>

#include "loopread/base/text.h"
#include "loopread/blank/design_picture.h"
#include "loopread/contrast/borders.h"
#include "loopread/contrast/knitted.h"
#include "loopread/contrast/layers.h"
#include "loopread/contrast/remedy.h"
#include "loopread/draw/contrast_sheet.h"
#include "loopread/photo/write.h"

namespace loopread::cli {
namespace {

std::string word_of(PairVerdict verdict) {
    switch (verdict) {
        case PairVerdict::holds:
            return "holds";
        case PairVerdict::lost:
            return "lost";
        case PairVerdict::fade:
            return "fade";
    }
    return "";
}

std::string word_of(Held held) {
    return held == Held::holds ? "holds" : "lost";
}

/// @param stencil  what is made darker
std::string words_of(DyeChange change, const std::string& stencil) {
    switch (change) {
        case DyeChange::stencil_darker:
            return stencil + " two steps darker (four times the dye)";
        case DyeChange::ground_half:
            return "ground at half strength";
        case DyeChange::both:
            return "both together";
    }
    return "";
}

std::string key_of(DyeChange change) {
    switch (change) {
        case DyeChange::stencil_darker:
            return "stencil_two_steps_darker";
        case DyeChange::ground_half:
            return "ground_at_half_strength";
        case DyeChange::both:
            return "both";
    }
    return "";
}

std::string capitalised(std::string words) {
    if (!words.empty()) words.front() = static_cast<char>(std::toupper(static_cast<unsigned char>(words.front())));
    return words;
}

std::string one_decimal(double value) {
    return number_text(value, 1);
}

/// Neutral pixels of the same L*.
Picture8 grey_picture(const Image& picture) {
    Picture8 grey(picture.rows(), picture.columns());
    std::transform(picture.begin(), picture.end(), grey.begin(), [](const LinearRgb& colour) {
        const double y = xyz_from_linear(colour).y;
        return srgb8_from_linear({y, y, y});
    });
    return grey;
}

/// A remedy and, where it was knitted up too, what it comes out as.
struct ToldRemedy {
    Remedy remedy;
    std::optional<Apart> knitted;
    bool holds() const { return remedy.apart.held == Held::holds && (!knitted || knitted->held == Held::holds); }
};

/// One pair of neighbours with all that is told of it.
struct ToldPair {
    NeighbourPair pair;
    std::optional<KnittedPair> stitches;  ///< what it comes out as
    std::optional<Apart> knitted;
    std::vector<ToldRemedy> remedies;       ///< of a lost pair, in the order of DyeChange
    std::optional<std::size_t> layer;       ///< the one made stronger, of a design in layers
    std::optional<Apart> along_the_border;  ///< of a design in layers: before the remedy, where it was looked at
};

class ContrastWriting {
public:
    ContrastWriting(const ContrastInput& input, const ContrastPlan& plan)
        : input_(input),
          plan_(plan),
          picture_(design_picture(input.painted, input.painted.raster.rows)),
          patches_(patches_of(picture_, plan.colours, plan.seed)),
          points_(border_points(picture_, patches_, plan.lost_under)),
          stitches_(patch_stitches({input.strands, input.blank.layout, input.blank.shape, input.yarn_per_stitch_mm},
                                   patches_, input.painted.raster)) {
        if (layered()) layers_ = layer_contrasts(input.painted, plan.lost_under);
        constexpr int kKnittedUp = 4;  // lost pairs whose remedies are knitted up: each takes a moment
        int knitted_up = 0;
        for (const NeighbourPair& pair : neighbour_pairs(points_, patches_, plan.lost_under)) {
            pairs_.push_back(told(pair));
            if (!pairs_.back().remedies.empty() && pairs_.back().knitted && ++knitted_up <= kKnittedUp)
                knit_up(pairs_.back());
        }
    }

    ContrastFiles files() {
        ContrastFiles out;
        const Picture8 grey = grey_picture(picture_);
        out.summary = summary();
        out.files.emplace_back("grey.png", png_bytes(grey));
        out.files.emplace_back("contrast.csv", csv());
        out.files.emplace_back("lost-edges.png", png_bytes(contrast_sheet(sheet(grey))));
        return out;
    }

private:
    bool layered() const { return !input_.painted.picture && !input_.painted.layers.empty(); }
    LinearRgb colour(std::size_t patch) const { return patches_.colours[patch].colour; }
    const std::string& name(std::size_t patch) const { return patches_.colours[patch].words; }
    std::string names(const ToldPair& told) const { return name(told.pair.darker) + " on " + name(told.pair.lighter); }

    ToldPair told(const NeighbourPair& pair) const {
        ToldPair told{.pair = pair, .stitches = {}, .knitted = {}, .remedies = {}, .layer = {}, .along_the_border = {}};
        told.stitches = knitted_pair(stitches_, points_, pair);
        if (told.stitches)
            told.knitted = apart(lab_from_linear(told.stitches->darker), lab_from_linear(told.stitches->lighter),
                                 plan_.lost_under);
        if (!lost(told)) return told;
        std::vector<Remedy> found;
        if (layered()) {
            const auto by_layer =
                layered_remedies(input_.painted, input_.source.undyed(), points_, pair, plan_.lost_under);
            if (by_layer) {
                found = by_layer->remedies;
                told.layer = by_layer->layer;
                told.along_the_border = by_layer->now;
            }
        } else {
            found = remedies({colour(pair.darker), colour(pair.lighter), input_.source.undyed()}, plan_.lost_under);
        }
        for (const Remedy& remedy : found) told.remedies.push_back({remedy, std::nullopt});
        return told;
    }

    /// The remedies as they come off the needles: the same blank, dyed so, ravelled and knitted again.
    void knit_up(ToldPair& told) const {
        if (input_.painted.other_side) return;  // a photo of the other side shows the blank as it is
        for (ToldRemedy& told_remedy : told.remedies) {
            Paint paint = input_.painted;
            if (layered())
                paint = changed(paint, told_remedy.remedy.change, *told.layer, input_.source.undyed());
            else
                paint.picture = recoloured(*paint.picture, patches_, told.pair, told_remedy.remedy);
            const Paint crept = input_.source.crept(std::move(paint));
            const std::vector<ColourRun> strands = loopread::unravelled(input_.blank.layout, crept, input_.blank.shape,
                                                                        input_.blank.shares, input_.winding);
            const auto pair = knitted_pair(
                patch_stitches({strands, input_.blank.layout, input_.blank.shape, input_.yarn_per_stitch_mm}, patches_,
                               input_.painted.raster),
                points_, told.pair);
            if (pair)
                told_remedy.knitted =
                    apart(lab_from_linear(pair->darker), lab_from_linear(pair->lighter), plan_.lost_under);
        }
    }

    /// As dyed or once knitted.
    static bool lost(const ToldPair& told) { return told.pair.verdict == PairVerdict::lost || lost_in_knitting(told); }
    static bool lost_in_knitting(const ToldPair& told) {
        return told.pair.verdict == PairVerdict::holds && told.knitted && told.knitted->held == Held::lost;
    }

    // ---- in words

    std::string limit() const { return one_decimal(plan_.lost_under); }

    std::string sentence() const {
        const Verdicts found = verdicts();
        return lost_layers() + found.dyed + (found.knitted.empty() ? "" : " " + found.knitted) +
               (found.advice.empty() ? "" : " " + found.advice);
    }

    /// Whole stencils that do not show, and a space; nothing where all do.
    std::string lost_layers() const {
        std::string words;
        for (std::size_t i = 0; i < layers_.size(); ++i)
            if (layers_[i].apart.held == Held::lost)
                words += capitalised(input_.painted.layers[i].name) + " is lost on what lies beneath it (" +
                         one_decimal(layers_[i].apart.delta_l) + " apart in lightness). ";
        return words;
    }

    struct Verdicts {
        std::string dyed, knitted, advice;
    };
    Verdicts verdicts() const {
        std::vector<const ToldPair*> edges, gone, gone_in_knitting;
        for (const ToldPair& told : pairs_) {
            if (told.pair.verdict == PairVerdict::fade) continue;
            edges.push_back(&told);
            if (told.pair.verdict == PairVerdict::lost) gone.push_back(&told);
            if (lost_in_knitting(told)) gone_in_knitting.push_back(&told);
        }
        if (edges.empty())
            return {pairs_.empty() ? "One colour, or colours too near to tell apart: there are no edges."
                                   : "No edges: the colours only fade into each other.",
                    "", ""};
        Verdicts found;
        if (gone.empty())
            found.dyed = edges.size() == 1
                             ? "The two colours hold against each other (" + limit() + " or more apart in lightness)."
                             : "All " + std::to_string(edges.size()) + " pairs of neighbouring colours hold (" +
                                   limit() + " or more apart in lightness).";
        else
            found.dyed = (edges.size() == 1
                              ? std::string("The edge is lost")
                              : std::to_string(gone.size()) + " of " + std::to_string(edges.size()) +
                                    " pairs of neighbouring colours " + (gone.size() == 1 ? "is lost" : "are lost")) +
                         " (less than " + limit() + " apart in lightness): " + listed(gone) + ".";
        if (!gone_in_knitting.empty())
            found.knitted = "Knitted, " + listed(gone_in_knitting) +
                            (gone_in_knitting.size() == 1 ? " is lost" : " are lost") + (gone.empty() ? "." : " too.");
        if (!gone.empty() || !gone_in_knitting.empty()) {
            const ToldPair& first = gone.empty() ? *gone_in_knitting.front() : *gone.front();
            const std::string words = advice(first);
            if (!words.empty()) found.advice = "What would help " + names(first) + "? " + words;
        }
        return found;
    }

    std::string listed(const std::vector<const ToldPair*>& pairs) const {
        constexpr std::size_t kMost = 3;
        std::string words;
        for (std::size_t i = 0; i < std::min(kMost, pairs.size()); ++i)
            words +=
                (i == 0 ? "" : ", ") + names(*pairs[i]) + " (" +
                one_decimal(lost_in_knitting(*pairs[i]) ? pairs[i]->knitted->delta_l : pairs[i]->pair.apart.delta_l) +
                ")";
        if (pairs.size() > kMost) words += " and " + std::to_string(pairs.size() - kMost) + " more";
        return words;
    }

    /// What to dye otherwise, with the figures that come of it.
    std::string advice(const ToldPair& told) const {
        if (told.remedies.empty())
            return layered() ? "No stencil sets these two apart: it is the ground that changes." : "";
        const std::string stencil = told.layer ? input_.painted.layers[*told.layer].name : "stencil";
        const auto figures = [](const ToldRemedy& told_remedy) {
            return one_decimal(told_remedy.remedy.apart.delta_l) + " apart" +
                   (told_remedy.knitted ? ", knitted " + one_decimal(told_remedy.knitted->delta_l) : std::string());
        };
        const auto outcome = [&](const ToldRemedy& told_remedy) {
            return capitalised(words_of(told_remedy.remedy.change, stencil)) + ": " + figures(told_remedy) + ", " +
                   (told_remedy.holds() ? "holds" : "still lost");
        };
        const ToldRemedy& darker = told.remedies[0];
        const ToldRemedy& half = told.remedies[1];
        const ToldRemedy& both = told.remedies[2];
        std::string words = outcome(darker) + ". " + outcome(half) + ".";
        if (darker.holds() || half.holds()) return words;
        return words + (both.holds() ? " Neither helps alone; both together: " + figures(both) + ", holds."
                                     : " Neither helps, nor both together (" + figures(both) +
                                           "): take another hue, or a much paler ground.");
    }

    // ---- files

    std::string csv() const {
        std::string csv =
            "a_hex,b_hex,a_share,b_share,delta_L,delta_e00,verdict,border_share,knitted_delta_L,knitted_delta_e00,"
            "knitted_verdict,hue_tells,edge_share,lost_share,luminance_ratio,survives_grey_photo,a_colour,b_colour\n";
        for (const ToldPair& told : pairs_) csv += row(told);
        return csv;
    }

    std::string row(const ToldPair& told) const {
        const NeighbourPair& pair = told.pair;
        std::string text =
            hex_text(srgb8_from_linear(colour(pair.darker))) + "," + hex_text(srgb8_from_linear(colour(pair.lighter)));
        const auto add = [&](double value, int decimals) {
            text += ",";
            append_fixed(text, value, decimals);
        };
        add(patches_.colours[pair.darker].share, 4);
        add(patches_.colours[pair.lighter].share, 4);
        add(pair.apart.delta_l, 3);
        add(pair.apart.delta_e00, 3);
        text += "," + word_of(pair.verdict);
        add(pair.border_share, 4);
        if (told.knitted) {
            add(told.knitted->delta_l, 3);
            add(told.knitted->delta_e00, 3);
            text += "," + (pair.verdict == PairVerdict::fade ? "fade" : word_of(told.knitted->held));
        } else {
            text += ",,,";
        }
        text += std::string(",") + (pair.apart.hue_tells ? "yes" : "no");
        add(pair.edge_share, 3);
        add(pair.lost_share, 3);
        const double ratio = luminance_ratio(as_told(colour(pair.darker)), as_told(colour(pair.lighter)));
        add(ratio, 2);
        text += std::string(",") + (ratio >= kGreyPhotoRatio ? "yes" : "no");
        return text + "," + name(pair.darker) + "," + name(pair.lighter) + "\n";
    }

    Json summary() const {
        Json colours = Json::array();
        for (std::size_t i = 0; i < patches_.colours.size(); ++i)
            colours.push_back({{"colour", name(i)},
                               {"hex", hex_text(srgb8_from_linear(colour(i)))},
                               {"share", rounded(patches_.colours[i].share, 4)},
                               {"L", rounded(lab_from_linear(colour(i)).l, 2)}});
        Json layers = Json::array();
        for (std::size_t i = 0; i < layers_.size(); ++i)
            layers.push_back({{"layer", input_.painted.layers[i].name},
                              {"hex", hex_text(srgb8_from_linear(layers_[i].with))},
                              {"beneath", hex_text(srgb8_from_linear(layers_[i].without))},
                              {"delta_L", rounded(layers_[i].apart.delta_l, 3)},
                              {"delta_e00", rounded(layers_[i].apart.delta_e00, 3)},
                              {"verdict", word_of(layers_[i].apart.held)}});
        Json pairs = Json::array();
        for (const ToldPair& told : pairs_) pairs.push_back(pair_json(told));
        return {{"sentence", sentence()},
                {"lost_under", plan_.lost_under},
                {"threshold",
                 "a difference in L*; the default 7 is what half of the viewers notice at one-stitch size "
                 "(a published model of filled squares on screens gives 6.8); no standard sets one for "
                 "knitting"},
                {"colours", colours},
                {"layers", layers},
                {"pairs", pairs},
                {"blank", blank_json(input_.blank.layout)}};
    }

    Json pair_json(const ToldPair& told) const {
        const NeighbourPair& pair = told.pair;
        Json json = {{"a", hex_text(srgb8_from_linear(colour(pair.darker)))},
                     {"b", hex_text(srgb8_from_linear(colour(pair.lighter)))},
                     {"colours", names(told)},
                     {"border_share", rounded(pair.border_share, 4)},
                     {"delta_L", rounded(pair.apart.delta_l, 3)},
                     {"delta_e00", rounded(pair.apart.delta_e00, 3)},
                     {"verdict", word_of(pair.verdict)},
                     {"hue_tells", pair.apart.hue_tells},
                     {"lost_share", rounded(pair.lost_share, 3)}};
        if (told.knitted)
            json["knitted"] = {
                {"a", hex_text(srgb8_from_linear(told.stitches->darker))},
                {"b", hex_text(srgb8_from_linear(told.stitches->lighter))},
                {"stitches", {told.stitches->darker_stitches, told.stitches->lighter_stitches}},
                {"of", told.stitches->lies == KnittedPair::Lies::whole ? "stitches wholly within their colour"
                                                                       : "stitches mostly within their colour"},
                {"delta_L", rounded(told.knitted->delta_l, 3)},
                {"delta_e00", rounded(told.knitted->delta_e00, 3)},
                {"verdict", pair.verdict == PairVerdict::fade ? "fade" : word_of(told.knitted->held)}};
        if (!lost(told)) return json;
        json["advice"] = advice(told);
        if (told.layer) json["layer"] = input_.painted.layers[*told.layer].name;
        if (told.along_the_border) json["delta_L_along_the_border"] = rounded(told.along_the_border->delta_l, 3);
        Json list = Json::array();
        for (const auto& [remedy, knitted] : told.remedies) {
            Json one = {{"change", key_of(remedy.change)},
                        {"a", hex_text(srgb8_from_linear(remedy.darker))},
                        {"b", hex_text(srgb8_from_linear(remedy.lighter))},
                        {"delta_L", rounded(remedy.apart.delta_l, 3)},
                        {"delta_e00", rounded(remedy.apart.delta_e00, 3)},
                        {"verdict", word_of(remedy.apart.held)}};
            if (knitted) {
                one["knitted_delta_L"] = rounded(knitted->delta_l, 3);
                one["knitted_verdict"] = word_of(knitted->held);
            }
            list.push_back(one);
        }
        json["remedies"] = list;
        return json;
    }

    // ---- the sheet

    ContrastSheet sheet(const Picture8& grey) const {
        constexpr std::size_t kMostRows = 9;
        ContrastSheet sheet;
        const Verdicts found = verdicts();
        sheet.headline = lost_layers() + found.dyed;
        sheet.why = (found.knitted.empty() ? "" : found.knitted + "\n") + "Lost: less than " + limit() +
                    " lighter or darker than its neighbour (black is 0, white 100). At the size of a stitch half of "
                    "the viewers miss a difference "
                    "under about 7; no standard sets a limit for knitting.";
        sheet.picture = picture_;
        sheet.grey = grey;
        for (const EdgeLine& line : lost_lines(points_)) {
            std::vector<CanvasPoint> points;
            for (const PixelPlace& p : line)
                points.push_back({static_cast<double>(p.column), static_cast<double>(p.row)});
            if (points.size() > kShortest) sheet.lost.push_back(std::move(points));
        }
        std::vector<const ToldPair*> shown;
        for (const bool lost_ones : {true, false})
            for (const ToldPair& told : pairs_)
                if (lost(told) == lost_ones && told.pair.verdict != PairVerdict::fade) shown.push_back(&told);
        const std::size_t count = std::min(kMostRows, shown.size());
        for (std::size_t i = 0; i < count; ++i) sheet.rows.push_back(sheet_row(*shown[i]));
        if (shown.size() > count)
            sheet.foot = std::to_string(shown.size() - count) + " more pairs are in contrast.csv. ";
        sheet.foot +=
            "Colours on the stitches: the mean of the stitches near the edge whose yarn lies within each "
            "colour, with the flecks and unreached yarn in it.";
        return sheet;
    }
    static constexpr std::size_t kShortest = 10;  // pixels; shorter ones are crumbs of an edge

    ContrastRow sheet_row(const ToldPair& told) const {
        const NeighbourPair& pair = told.pair;
        ContrastRow row{colour(pair.darker), colour(pair.lighter), {}, capitalised(names(told)), "", "", ""};
        if (told.stitches) row.knitted = {told.stitches->darker, told.stitches->lighter};
        row.figures = one_decimal(pair.apart.delta_l) + " apart in lightness" +
                      (told.knitted ? ", knitted " + one_decimal(told.knitted->delta_l) : std::string()) + "; " +
                      number_text(100 * pair.border_share, 0) + " % of all borders";
        row.verdict = pair.verdict == PairVerdict::lost
                          ? (pair.apart.hue_tells ? "lost in light and dark; only the hue tells" : "lost")
                      : lost_in_knitting(told) ? "holds as dyed, lost once knitted"
                                               : "holds";
        if (pair.verdict == PairVerdict::holds && pair.lost_share >= 0.05)
            row.verdict += std::string(lost_in_knitting(told) ? ", and" : ", but") + " lost along " +
                           number_text(100 * pair.lost_share, 0) + " % of this edge as dyed";
        if (lost(told)) row.advice = advice(told);
        return row;
    }

    const ContrastInput& input_;
    const ContrastPlan& plan_;
    Image picture_;
    Patches patches_;
    std::vector<BorderPoint> points_;
    std::vector<PatchStitch> stitches_;
    std::vector<LayerContrast> layers_;  // of a design in layers
    std::vector<ToldPair> pairs_;
};

}  // namespace

ContrastFiles contrast_files(const ContrastInput& input, const ContrastPlan& plan) {
    return ContrastWriting(input, plan).files();
}

}  // namespace loopread::cli
