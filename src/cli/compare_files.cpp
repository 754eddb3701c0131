#include "cli/compare_files.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/text.h"
#include "loopread/draw/compare_sheet.h"
#include "loopread/photo/write.h"

namespace loopread::cli {
namespace {

const char* const kIndicative = "indicative: a photo is not that method";

std::string mm(double value) {
    return number_text(value, 1) + " mm";
}

Json width_json(const WidthChange& c) {
    const auto finite = [](double value) { return std::isfinite(value) ? Json(rounded(value, 3)) : Json(nullptr); };
    const auto known = [](std::size_t pieces, double value) {
        return pieces > 0 ? Json(rounded(value, 3)) : Json(nullptr);
    };
    const bool both = c.contrast_before > 0;  // there were enough pieces to judge
    // What stitches may have added is unknown: where that decides, halfway is no figure to tell.
    const bool told = c.verdict != Change::cannot_tell || c.after_mm == c.seen_mm;
    return {{"before_mm", known(c.pieces_before, c.before_mm)},
            {"after_mm", told ? known(c.pieces_after, c.after_mm) : Json(nullptr)},
            {"change_mm", both && told ? Json(rounded(c.change_mm, 3)) : Json(nullptr)},
            {"ci95_mm", both ? Json({finite(c.low_mm), finite(c.high_mm)}) : Json(nullptr)},
            {"after_as_it_looks_mm", known(c.pieces_after, c.seen_mm)},
            {"no_wider_than_mm", c.widest_mm ? Json(rounded(*c.widest_mm, 3)) : Json(nullptr)},
            {"verdict", change_words(c.verdict)},
            {"why", c.why},
            {"by_strength_alone_mm", both ? Json(rounded(c.strength_mm, 3)) : Json(nullptr)},
            {"contrast_before_de00", rounded(c.contrast_before, 2)},
            {"contrast_after_de00", rounded(c.contrast_after, 2)},
            {"pieces_before", c.pieces_before},
            {"pieces_after", c.pieces_after}};
}

Json range_json(const std::optional<RangedShare>& share) {
    if (!share) return nullptr;
    return {{"share", rounded(share->value, 4)}, {"range95", {rounded(share->low, 4), rounded(share->high, 4)}}};
}

Json reading_json(const std::optional<GroundReading>& reading) {
    if (!reading) return nullptr;
    Json rings = Json::array();
    for (const DyeRing& ring : reading->rings) rings.push_back({rounded(ring.mm, 2), rounded(ring.share, 4)});
    return {{"ground_hex", hex_text(srgb8_from_linear(reading->plain))},
            {"motif_hex", hex_text(srgb8_from_linear(reading->motif))},
            {"plain_cm2", rounded(reading->plain_cm2, 1)},
            {"plain_from_mm", rounded(reading->far_mm, 1)},
            {"variation_de00", rounded(reading->variation_de00, 2)},
            {"ten_percent_mm", reading->ten_percent_mm ? Json(rounded(*reading->ten_percent_mm, 2)) : Json(nullptr)},
            {"rings_mm_share", rings}};
}

Json ground_json(const ComparisonFound& found) {
    const bool both = found.before_ground && found.after_ground;
    return {{"delta_e00", both ? Json(rounded(found.ground.delta_e00, 2)) : Json(nullptr)},
            {"verdict", change_words(found.ground.verdict)},
            {"why", found.ground.why},
            {"stencil_dye_beside_motif", range_json(found.ground.beside)},
            {"stencil_dye_all_over", range_json(found.ground.far)},
            {found.before_name, reading_json(found.before_ground)},
            {found.after_name, reading_json(found.after_ground)}};
}

Json fading_json(const std::optional<Fading>& fading) {
    if (!fading) return nullptr;
    return {{"delta_e00", rounded(fading->delta_e00, 2)},
            {"delta_e76", rounded(fading->delta_e76, 2)},
            {"delta_L", rounded(fading->delta_l, 2)},
            {"iso_105_a02", fading->grey_scale}};
}

const char* way_words(ComparisonFound::Way way) {
    switch (way) {
        case ComparisonFound::Way::paired:
            return "paired";
        case ComparisonFound::Way::unpaired:
            return "unpaired";
        case ComparisonFound::Way::against_stencil:
            break;
    }
    return "against the stencil";
}

void add_rows(std::string& csv, const std::string& photo, const std::vector<EdgePiece>& pieces) {
    for (std::size_t i = 0; i < pieces.size(); ++i) {
        const EdgePiece& p = pieces[i];
        csv += photo + ",";
        append_fixed(csv, p.place.x_mm, 2);
        csv += ",";
        append_fixed(csv, p.place.y_mm, 2);
        csv += "," + direction_words(p.direction()) + ",";
        append_fixed(csv, p.width_mm, 3);
        csv += ",";
        append_fixed(csv, p.delta_e00, 2);
        csv += "," + std::to_string(i + 1) + "\n";
    }
}

std::string edge_headline(const ComparisonFound& found) {
    const WidthChange& c = found.edge;
    switch (c.verdict) {
        case Change::softened:
            return "The edges softened";
        case Change::sharpened:
            return "The edges are sharper";
        case Change::no_change_seen:
            return "No change seen in the edges";
        case Change::cannot_tell:
            break;
    }
    return "Whether the edges softened cannot be told";
}

std::string ground_headline(const ComparisonFound& found) {
    switch (found.ground.verdict) {
        case Change::softened:
            return "stencil colour went into the ground";
        case Change::sharpened:
        case Change::no_change_seen:
            return "no stencil colour seen in the ground";
        case Change::cannot_tell:
            break;
    }
    return "whether colour bled into the ground cannot be told";
}

std::string headline(const ComparisonFound& found) {
    return edge_headline(found) + "; " + ground_headline(found);
}

std::string floor_words(const ComparisonFound& found) {
    if (found.way == ComparisonFound::Way::against_stencil && found.edge.legs_mm > 0)
        return "Finer than " + mm(found.floor_mm) + " cannot be seen here: the stitches alone may spread edges so far.";
    const bool knitted = found.before.knitted() || found.after.knitted();
    return knitted ? "Finer than half a stitch (" + mm(found.floor_mm) + ") cannot be seen here."
                   : "Finer than " + number_text(found.floor_mm, 2) + " mm (two pixels) cannot be seen here.";
}

std::string fading_words(const ComparisonFound& found) {
    if (!found.ground_fading || !found.motif_fading) return "Cannot tell: " + found.why_no_fading + ".";
    const auto one = [](const std::string& name, const Fading& f) {
        return name + " changed by " + number_text(f.delta_e00, 1) +
               " (CIEDE2000; about 1 is just seen), grey scale step " + f.grey_scale;
    };
    return sentence(one("the ground", *found.ground_fading)) + " " + sentence(one("the motif", *found.motif_fading)) +
           " Steps are those of ISO 105-A02; indicative only: a photo is not that method.";
}

std::string by_direction(const ComparisonFound& found) {
    const auto one = [&](const std::string& name, const WidthChange& c) {
        return c.pieces_before == 0 || c.pieces_after == 0 ? std::string()
               : found.way == ComparisonFound::Way::against_stencil
                   ? " " + name + " they look " + mm(c.seen_mm) + " wide."
                   : " " + name + " " + mm(c.before_mm) + " and " + mm(c.after_mm) + ".";
    };
    return one("Along the rows", found.along_rows) + one("Across the rows", found.across_rows);
}

std::string bleed_words(const ComparisonFound& found) {
    std::string words = sentence(found.ground.why);
    if (!found.after_ground || !found.after_ground->ten_percent_mm || found.ground.verdict == Change::cannot_tell)
        return words;
    words +=
        " Stencil dye falls to a tenth of the motif's " + mm(*found.after_ground->ten_percent_mm) + " from the edge";
    if (found.before_ground && found.before_ground->ten_percent_mm)
        words += " (before: " + mm(*found.before_ground->ten_percent_mm) + ")";
    return words + ".";
}

ComparePanel panel(const DyedPicture& picture, const std::vector<EdgePiece>& edges, const std::string& title) {
    ComparePanel out;
    out.picture = &picture;
    out.edges = &edges;
    out.title = sentence(title);
    out.title.pop_back();
    const bool some = !edges.empty();
    out.caption = some ? std::to_string(edges.size()) + " pieces of edge, middle width " + mm(median_width(edges))
                       : "no clean edges";
    return out;
}

}  // namespace

Json comparison_json(const ComparisonFound& found) {
    Json edge = width_json(found.edge);
    edge["along_rows"] = width_json(found.along_rows);
    edge["across_rows"] = width_json(found.across_rows);
    edge["second_photo_less_sharp_mm"] = rounded(found.less_sharp_mm, 3);
    return {{"compared", way_words(found.way)},
            {"sentence", comparison_words(found)},
            {"edge", edge},
            {"ground", ground_json(found)},
            {"fading",
             {{"ground", fading_json(found.ground_fading)},
              {"motif", fading_json(found.motif_fading)},
              {"why_not", found.why_no_fading},
              {"note", kIndicative}}},
            {"floor_mm", rounded(found.floor_mm, 3)},
            {"floor", floor_words(found)}};
}

std::string edges_csv(const ComparisonFound& found) {
    std::string csv = "photo,x_mm,y_mm,direction,width_mm,delta_e00,piece\n";
    add_rows(csv, found.before_name, found.before_edges);
    add_rows(csv, found.after_name, found.after_edges);
    return csv;
}

std::string comparison_words(const ComparisonFound& found) {
    return headline(found) + ". Edges: " + change_words(found.edge.verdict) + ", " + found.edge.why +
           ". Ground: " + change_words(found.ground.verdict) + ", " + found.ground.why + ". " + floor_words(found);
}

std::string comparison_png(const ComparisonFound& found) {
    CompareSheet sheet;
    sheet.headline = headline(found) + ".";
    const bool stencil = found.way == ComparisonFound::Way::against_stencil;
    sheet.subtitle = stencil ? "the photo against its own stencil"
                     : found.way == ComparisonFound::Way::unpaired
                         ? "two pieces with the same stencil, edges as two samples"
                         : "the same piece twice, edge by edge";
    sheet.panels = {panel(found.before, found.before_edges, found.before_name),
                    panel(found.after, found.after_edges, found.after_name)};
    sheet.profiles[0] = {found.before_name, mean_profile(found.before_edges), found.edge.before_mm};
    sheet.profiles[1] = {found.after_name, mean_profile(found.after_edges), found.edge.seen_mm};
    sheet.floor_mm = found.floor_mm;
    sheet.notes = {{"Edges: " + change_words(found.edge.verdict), sentence(found.edge.why) + by_direction(found)},
                   {"Ground: " + change_words(found.ground.verdict), bleed_words(found)},
                   {"Fading", fading_words(found)},
                   {"What cannot be seen",
                    floor_words(found) + " A photo out of focus makes edges look softer: photograph both alike."}};
    return png_bytes(compare_sheet(sheet));
}

}  // namespace loopread::cli
