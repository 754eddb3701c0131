#include "cli/listing_facts.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/text.h"
#include "loopread/draw/qr.h"
#include "loopread/photo/write.h"
#include "loopread/raster/blank_cloth.h"
#include "loopread/shares/look.h"
#include "loopread/shares/round_lengths.h"

namespace loopread::cli {
namespace {

bool any_holds(const std::vector<std::string>& lines, const std::string& words) {
    return std::any_of(lines.begin(), lines.end(),
                       [&](const std::string& line) { return line.find(words) != std::string::npos; });
}

/// Counts in fours whose rounds customers knit, and the asked-for one; rising.
std::vector<int> told_counts(const Knitting& knitting) {
    std::vector<int> counts = usual_counts(knitting.yarn_per_stitch, knitting.stitches);
    std::erase_if(counts, [](int n) { return n % 4 != 0; });
    counts.push_back(knitting.stitches);
    std::sort(counts.begin(), counts.end());
    counts.erase(std::unique(counts.begin(), counts.end()), counts.end());
    return counts;
}

/// Without the figure that only dyers read.
std::string without_colour_range(std::string sentence) {
    const auto from = sentence.find(" (colour range ");
    if (from == std::string::npos) return sentence;
    return sentence.erase(from, sentence.find(')', from) + 1 - from);
}

std::vector<KnitsUpAs> knits_up_as(const ListingSubject& subject, const ChanceOptions& chance) {
    const Knitting& knitting = subject.knitting;
    const std::vector<ColourRun> runs = runs_to_knit(subject.strands, knitting);
    const std::vector<int> counts = told_counts(knitting);
    if (!loopread::enough_to_tell(shortest_of(runs), knitting.yarn_per_stitch, counts)) return {};
    const SweepPlan plan{counts, knitting.yarn_per_stitch.value, Worked::in_the_round};
    const std::vector<std::vector<SweepPoint>> sweeps = swept(runs, plan, risk_options(chance, subject.seed));
    std::vector<KnitsUpAs> told;
    for (const RoundRisk& risk : round_risks(sweeps)) {
        KnitsUpAs one{.stitches = risk.stitches,
                      .yarn_per_round_mm = risk.yarn_per_round_mm,
                      .kind = {},
                      .sentence = {},
                      .pool_risk = risk.risk};
        if (risk.known) {
            const ColourRun& run = runs.front();
            const Fabric fabric = plain_fabric(run, {risk.stitches, knitting.yarn_per_stitch, Worked::in_the_round});
            const Verdict verdict = loopread::look_of(fabric, run, risk.yarn_per_round_mm).verdict;
            one.kind = verdict.kind;
            one.sentence = without_colour_range(verdict.sentence);
        }
        told.push_back(std::move(one));
    }
    return told;
}

Json pair_facts_json(const ListingFacts& facts) {
    if (!facts.pair) return nullptr;
    return {{"mean_de00_range", {rounded(facts.pair->least, 3), rounded(facts.pair->most, 3)}},
            {"measured", facts.pair_measured}};
}

const char* offer_name(Offer offer) {
    switch (offer) {
        case Offer::whole:
            return "whole";
        case Offer::ravelled:
            return "ravelled";
        case Offer::both:
            return "both";
    }
    return "";
}

Json rounds_json(const std::vector<KnitsUpAs>& rounds) {
    Json list = Json::array();
    for (const KnitsUpAs& one : rounds)
        list.push_back({{"stitches", one.stitches},
                        {"yarn_per_round_cm", rounded(one.yarn_per_round_mm / 10, 2)},
                        {"kind", one.kind},
                        {"sentence", one.sentence},
                        {"pool_risk", one.pool_risk}});
    return list;
}

const KnitsUpAs* asked_round(const ListingFacts& facts) {
    for (const KnitsUpAs& one : facts.rounds)
        if (one.stitches == facts.asked_stitches && !one.kind.empty()) return &one;
    return nullptr;
}

}  // namespace

ListingFacts listing_facts(const ListingSubject& subject, const ListingOptions& options,
                           const ListingRequest& request) {
    const BlankInput& blank = *subject.blank;
    ListingFacts facts;
    facts.title = subject.title;
    facts.maker = subject.maker;
    facts.words = options.words;
    facts.layout = blank.layout;
    facts.counts_measured = !options.blank.blank.empty() || blank.counted.has_value();
    facts.size_measured = !options.blank.size.empty();
    facts.length_measured = !options.blank.strand_length.empty();
    facts.strand_weight = {subject.strand_weight, request.wound.ball_weight.has_value()};
    facts.ravel_edge = "at the top";
    facts.colours = subject.colours;
    facts.rounds = knits_up_as(subject, options.chance);
    facts.asked_stitches = subject.knitting.stitches;
    facts.knitters = options.chance.knitters;
    facts.pair = pair_range(Json{{"pair", pair_json(blank, subject.strands, subject.winding)}});
    facts.pair_measured =
        !any_holds(blank.assumed, "wrap, not measured") && !any_holds(blank.assumed, "penetration, not measured");
    facts.offer = request.offer;
    facts.fibre = request.fibre;
    facts.address = options.address;
    facts.assumed = blank.assumed;
    facts.assumed.insert(facts.assumed.end(), subject.knitting.assumed.begin(), subject.knitting.assumed.end());
    if (!request.wound.ball_weight)
        facts.assumed.push_back(number_text(subject.strand_weight.value, 0) +
                                " g a strand (not measured; weigh it and give --ball)");
    facts.warnings = blank.warnings;
    for (std::string& warning : fibre_warnings(request.fibre)) facts.warnings.push_back(std::move(warning));
    return facts;
}

Json listing_json(const ListingFacts& facts) {
    const Millimetres length = facts.layout.strand_length();
    Json fibre = Json::array(), colours = Json::array(), pictures = Json::array();
    for (const FibrePart& part : facts.fibre) fibre.push_back({{"name", part.name}, {"percent", part.percent}});
    for (const NamedShare& one : facts.colours)
        colours.push_back(
            {{"name", one.name}, {"words", one.words}, {"hex", one.hex}, {"share", rounded(one.share, 4)}});
    for (const ListedPicture& one : facts.pictures)
        pictures.push_back({{"file", one.file}, {"alt", one.alt}, {"computed", one.computed}});
    return {{"title", facts.title},
            {"maker", facts.maker},
            {"words", facts.words},
            {"address", facts.address},
            {"blank", blank_json(facts.layout)},
            {"blank_words", blank_in_words(facts)},
            {"strand",
             {{"length_m", rounded(length.value / 1000, 3)},
              {"length_yd", rounded(yards(length), 3)},
              {"length_measured", facts.length_measured},
              {"weight_g", facts.strand_weight.value.value},
              {"weight_measured", facts.strand_weight.measured}}},
            {"fibre", fibre},
            {"fibre_line", fibre_line(facts.fibre)},
            {"colours", colours},
            {"look", look_in_words(facts)},
            {"asked_stitches", facts.asked_stitches},
            {"knits_up_as", rounds_json(facts.rounds)},
            {"knitters", facts.knitters},
            {"pair", pair_facts_json(facts)},
            {"pair_words", socks_in_words(facts)},
            {"ravel_edge", ravel_edge_in_words(facts)},
            {"offer", offer_name(facts.offer)},
            {"offer_words", offer_in_words(facts.offer)},
            {"notes", standing_notes()},
            {"pictures", pictures},
            {"assumed", facts.assumed},
            {"warnings", facts.warnings}};
}

std::string look_in_words(const ListingFacts& facts) {
    const KnitsUpAs* asked = asked_round(facts);
    return asked == nullptr ? "There is too little yarn to tell stripes from pools." : asked->sentence;
}

Picture8 blank_for_slip(const ListingSubject& subject) {
    constexpr double kHeight = 900;  // pixels: sharp in print at 90 mm
    const BlankInput& blank = *subject.blank;
    ClothLook look;
    look.wale_per_course = blank.layout.wale_spacing / blank.layout.course_spacing;
    look.pixels_per_stitch = std::clamp(kHeight / blank.layout.rows * look.wale_per_course, 1.0, 24.0);
    look.side = blank.layout.painted == Painted::face ? Side::face : Side::back;
    look.seed = subject.seed;
    look.unevenness = 0.5;
    return encoded(drawn_cloth(blank_cloth(blank.layout, subject.painted, subject.winding), blank.shape, look));
}

ParcelSlip parcel_slip(const ListingFacts& facts, const Picture8& blank) {
    ParcelSlip slip{.title = facts.title, .maker = facts.maker};
    slip.parcel = facts.offer == Offer::ravelled ? Parcel::wound_yarn : Parcel::whole_blank;
    slip.strands = facts.layout.strands;
    slip.facts = {yarn_in_words(facts), "Blank " + blank_in_words(facts)};
    if (!facts.fibre.empty()) slip.facts.push_back(fibre_line(facts.fibre));
    if (const KnitsUpAs* asked = asked_round(facts))
        slip.knitting = "With " + number_text(asked->yarn_per_round_mm / 10, 0) + " cm of yarn in a round (about " +
                        std::to_string(asked->stitches) + " stitches): " + asked->sentence;
    slip.blank = PagePicture{jpeg_bytes(blank, 86), "The painted side, the edge that comes apart at the top.", "",
                             blank.columns(), blank.rows()};
    if (!facts.address.empty()) {
        const Picture8 code = qr_picture(facts.address, 8);
        slip.code =
            PagePicture{png_bytes(code), "QR code of " + facts.address, facts.address, code.columns(), code.rows()};
    }
    return slip;
}

}  // namespace loopread::cli
