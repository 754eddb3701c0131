#include "loopread/listing/facts.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/text.h"
#include "loopread/shares/advice.h"

namespace loopread {
namespace {

constexpr double kYardMm = 914.4;
constexpr const char* kNotMeasured = " (not measured)";

std::string unless(bool measured) {
    return measured ? "" : kNotMeasured;
}

std::string heading(const std::string& words) {
    return "\n" + words + "\n" + std::string(words.size(), '-') + "\n";
}

std::string span_in_cm(double from_mm, double to_mm) {
    const std::string from = number_text(from_mm / 10, 0), to = number_text(to_mm / 10, 0);
    return (from == to ? from : from + " to " + to) + " cm of yarn in a round";
}

/// "Of 100 simulated knitters 12 would see pools at 60 stitches, 3 at 64."
std::string risk_in_words(const RoundsAlike& alike, int knitters) {
    std::string words = "Of " + std::to_string(knitters) + " simulated knitters ";
    for (std::size_t i = 0; i < alike.stitches.size(); ++i)
        words += (i == 0 ? "" : ", ") + std::to_string(std::lround(alike.pool_risks[i] * knitters)) +
                 (i == 0 ? " would see pools at " : " at ") + std::to_string(alike.stitches[i]) +
                 (i == 0 ? " stitches" : "");
    return words + ".";
}

std::string knitting_lines(const ListingFacts& facts) {
    const std::vector<RoundsAlike> groups = rounds_alike(facts.rounds);
    if (groups.empty()) return "Not known: there is too little yarn to tell stripes from pools.\n";
    std::string text;
    for (const RoundsAlike& alike : groups)
        text += "- " + span_in_cm(alike.from_mm, alike.to_mm) + " (" + counts_in_words(alike.stitches) +
                " stitches): " + alike.sentence + " " + risk_in_words(alike, facts.knitters) + "\n";
    return text +
           "What counts is the yarn in one round, not the stitch count: mark the yarn, knit a round, unpick it, "
           "measure.\n";
}

std::string colour_lines(const std::vector<NamedShare>& colours) {
    std::string text;
    for (const NamedShare& one : colours)
        text += "- " + one.name + ", " + number_text(100 * one.share, 0) + " % (" + one.hex +
                (one.name == one.words ? "" : ", " + one.words) + ")\n";
    return text;
}

std::string picture_lines(const std::vector<ListedPicture>& pictures) {
    std::string text;
    for (const ListedPicture& one : pictures)
        text += "- " + one.file + (one.computed ? " (computed)" : " (photograph)") + "\n  " + one.alt + "\n";
    return text;
}

std::string bulleted(const std::vector<std::string>& lines) {
    std::string text;
    for (const std::string& line : lines) text += "- " + line + "\n";
    return text;
}

std::string with_line_end(std::string text) {
    if (!text.empty() && text.back() != '\n') text += '\n';
    return text;
}

}  // namespace

double yards(Millimetres length) {
    return length.value / kYardMm;
}

std::vector<RoundsAlike> rounds_alike(const std::vector<KnitsUpAs>& rounds) {
    std::vector<RoundsAlike> groups;
    std::vector<const KnitsUpAs*> members;
    const auto close = [&] {
        if (!members.empty()) groups.back().sentence = members[members.size() / 2]->sentence;
        members.clear();
    };
    for (const KnitsUpAs& one : rounds) {
        const bool goes_on = !members.empty() && members.front()->kind == one.kind;
        if (!goes_on) close();
        if (one.kind.empty()) continue;
        if (!goes_on)
            groups.push_back(
                {.stitches = {}, .from_mm = one.yarn_per_round_mm, .to_mm = 0, .sentence = {}, .pool_risks = {}});
        members.push_back(&one);
        RoundsAlike& group = groups.back();
        group.stitches.push_back(one.stitches);
        group.to_mm = one.yarn_per_round_mm;
        group.pool_risks.push_back(one.pool_risk);
    }
    close();
    return groups;
}

std::string yarn_in_words(const ListingFacts& facts) {
    const Millimetres length = facts.layout.strand_length();
    const bool pair = facts.layout.strands == 2;
    return std::string(pair ? "2 strands of " : "1 strand of ") + number_text(length.value / 1000, 0) + " m, " +
           number_text(yards(length), 0) + " yd" + unless(facts.length_measured) + ", " +
           number_text(facts.strand_weight.value.value, 1) + " g" + unless(facts.strand_weight.measured) +
           (pair ? " each" : "");
}

std::string blank_in_words(const ListingFacts& facts) {
    const BlankLayout& layout = facts.layout;
    return number_text(layout.width().value / 10, 1) + " x " + number_text(layout.length().value / 10, 1) + " cm" +
           unless(facts.size_measured) + ", " + std::to_string(layout.stitches) +
           (layout.construction == Construction::tube ? " stitches around, " : " stitches across, ") +
           std::to_string(layout.rows) + " rows" + unless(facts.counts_measured);
}

std::string socks_in_words(const ListingFacts& facts) {
    if (facts.layout.strands < 2)
        return "One strand: the socks are knitted one after the other from one ball. How alike they come out is not "
               "measured.";
    return pair_in_words(facts.pair) +
           (facts.pair_measured ? "" : " This rests on how far the dye went, which is not measured.");
}

std::string offer_in_words(Offer offer) {
    switch (offer) {
        case Offer::whole:
            return "You get the blank whole, and ravel it yourself.";
        case Offer::ravelled:
            return "You get the blank ravelled and wound up.";
        case Offer::both:
            return "You get the blank whole, or ravelled and wound up: say which you would like.";
    }
    return {};
}

std::string ravel_edge_in_words(const ListingFacts& facts) {
    return "The edge " + facts.ravel_edge +
           " of picture 01 comes apart: tug its loose end, and a row comes off. The other edge locks.";
}

const std::vector<std::string>& standing_notes() {
    static const std::vector<std::string> notes = {
        "The first wash may release colour: wash alone, cool.",
        "Screens differ: the colours you see may not be quite those of the yarn.",
        "Dyed by hand: it cannot be repeated exactly. If you need more than one, order them together.",
        "Pictures marked \"computed from the dyed blank\" are worked out from a picture of it, not photographed.",
        "Knitting differs from hand to hand, so yours will differ from the pictures."};
    return notes;
}

std::string listing_text(const ListingFacts& facts) {
    std::string text = facts.title + "\n" + std::string(std::max<std::size_t>(facts.title.size(), 3), '=') + "\n";
    if (!facts.maker.empty()) text += "Dyed by " + facts.maker + "\n";
    if (!facts.words.empty()) text += "\n" + with_line_end(facts.words);
    text += heading("The yarn");
    text += yarn_in_words(facts) + "\n";
    text += "Fibre: " + (facts.fibre.empty() ? "not given" : fibre_line(facts.fibre)) + "\n";
    text += heading("The blank");
    text += blank_in_words(facts) + "\n" + ravel_edge_in_words(facts) + "\n" + offer_in_words(facts.offer) + "\n";
    text += heading("Colours along the yarn") + colour_lines(facts.colours);
    text += heading("What it knits up as") + knitting_lines(facts);
    text += heading("A pair of socks") + socks_in_words(facts) + "\n";
    text += heading("Good to know") + bulleted(standing_notes());
    if (!facts.address.empty()) text += "\n" + facts.address + "\n";
    text += heading("Pictures, and words for those who cannot see them") + picture_lines(facts.pictures);
    text += heading("For the dyer: take this part out before you publish");
    text +=
        "Labels: most places ask for the fibres by name with their percentages by weight, largest first, where the "
        "buyer sees them before she buys; many also ask for the maker's or importer's name and the country of "
        "origin. Superwash is a process and merino a breed, not fibres. Your local law decides.\n";
    if (facts.fibre.empty()) text += "Give the fibres with --fibre 'wool 75, nylon 25'.\n";
    if (!facts.assumed.empty()) text += "This rests on:\n" + bulleted(facts.assumed);
    if (!facts.warnings.empty()) text += "Look at these:\n" + bulleted(facts.warnings);
    return text;
}

}  // namespace loopread
