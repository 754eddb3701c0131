#include "cli/listing_set.h"

#include <algorithm>

#include "cli/listing_facts.h"
#include "cli/listing_knitter.h"
#include "cli/listing_pictures.h"
#include "cli/yarn_input.h"
#include "loopread/base/error.h"
#include "loopread/base/text.h"
#include "loopread/listing/yarn_wrap.h"
#include "loopread/photo/srgb_profile.h"
#include "loopread/photo/write.h"

namespace loopread::cli {
namespace {

constexpr int kColours = 6;                        // chosen: as many as a buyer reads
constexpr int kSheetQuality = 90;                  // of the contact sheet
constexpr Grams kTwoStrands{50}, kOneStrand{100};  // a usual blank of 100 g; common practice, no source

/// Thickness of the yarn, as the weight of a strand gives it.
Millimetres diameter_of(Grams weight, Millimetres length, Millimetres girth) {
    if (length < girth)
        throw Error(ErrorKind::input, "a strand of " + number_text(length.value / 1000, 2) +
                                          " m does not go once round a reel of " + number_text(girth.value / 1000, 2) +
                                          " m; give a smaller --girth");
    const Millimetres diameter = yarn_diameter(Tex{weight.value / (length.value / 1e6)});
    constexpr Millimetres kThinnest{0.2}, kThickest{3};  // of knitting yarn; chosen
    if (diameter < kThinnest || diameter > kThickest)
        throw Error(ErrorKind::usage, "--ball: " + number_text(weight.value, 1) + " g over " +
                                          number_text(length.value / 1000, 1) + " m makes yarn " +
                                          number_text(diameter.value, 2) +
                                          " mm thick, which is no knitting yarn; check the weight of one strand");
    return diameter;
}

std::string unused_in_words(const ColourNameLine& line) {
    return "--names: line " + std::to_string(line.line) + " ('" + line.key + " = " + line.name +
           "') names no colour of this blank";
}

}  // namespace

ListingSet listing_set(const std::filesystem::path& image, const ListingOptions& options, const ListingRequest& request,
                       Outputs& outputs) {
    BlankSource source(image, options.blank, outputs);
    const BlankInput blank = source.blank();
    const std::uint64_t seed = options.common.seed;
    ListingSubject subject{.image = image,
                           .title = listing_title(options, image),
                           .maker = trimmed(options.maker),
                           .blank = &blank,
                           .strands = {},
                           .painted = {},
                           .winding = winding_options(options.blank, seed),
                           .knitting = settled(options.knitting, blank.layout.strands),
                           .colours = {}};
    subject.seed = seed;
    subject.strands = unravelled(blank, subject.winding);
    subject.painted = dyed_through(blank, subject.winding);
    subject.strand_weight = request.wound.ball_weight.value_or(blank.layout.strands == 2 ? kTwoStrands : kOneStrand);
    subject.diameter =
        diameter_of(subject.strand_weight, subject.strands.front().length(), request.wound.picture.girth);
    NamedPalette palette = named(
        seen_palette(subject.strands,
                     {.loop_mm = blank.layout.loop_length.value,
                      .most = kColours,
                      .undyed = linear_from_srgb8(colour_book(options.blank).colour(options.blank.undyed, "--undyed")),
                      .seed = seed}),
        request.names);
    subject.colours = palette.colours;

    ListingSet set;
    set.facts = listing_facts(subject, options, request);
    for (const ColourNameLine& line : palette.unused) set.facts.warnings.push_back(unused_in_words(line));
    std::vector<DrawnPicture> pictures = listing_pictures(subject, options, request);
    for (const DrawnPicture& one : pictures) set.facts.pictures.push_back(one.listed);
    set.contact_sheet = contact_sheet_of(pictures, set.facts);
    set.facts.pictures.push_back({"contact-sheet.jpg", "All pictures of this listing, small, on one sheet.", true});

    for (DrawnPicture& one : pictures) outputs.add(one.listed.file, std::move(one.bytes));
    outputs.add("contact-sheet.jpg", with_srgb_profile(jpeg_bytes(set.contact_sheet, kSheetQuality)));
    outputs.add("listing.txt", listing_text(set.facts));
    const ParcelSlip slip = parcel_slip(set.facts, blank_for_slip(subject));
    std::string knitter = knitter_html(source, subject, options, slip);
    set.summary = listing_json(set.facts);
    set.summary["knitter_page"] = knitter.empty() ? Json(nullptr) : Json(kKnitterFile);
    outputs.add("listing.json", json_bytes(set.summary));
    outputs.add("names.txt", colour_names_file(subject.colours));
    outputs.add("slip.html", slip_html(slip));
    if (!knitter.empty()) outputs.add(kKnitterFile, std::move(knitter));
    return set;
}

}  // namespace loopread::cli
