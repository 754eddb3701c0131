#include "cli/compare.h"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <array>
#include <memory>
#include <utility>

#include "cli/compare_files.h"
#include "cli/compare_photo.h"
#include "cli/examples.h"
#include "cli/option_facts.h"
#include "loopread/base/error.h"
#include "loopread/base/parallel.h"
#include "loopread/base/text.h"
#include "loopread/photo/write.h"
#include "loopread/sides/registered.h"

namespace loopread::cli {
namespace {

struct CompareOptions {
    std::filesystem::path before, after, against;
    CommonOptions common;
    bool unpaired = false, before_wet = false, after_wet = false, after_mirrored = false;
    std::string size, before_size, after_size, ruler, after_ruler, blank;
    std::string corners, after_corners, white, after_white, ravel_edge = "top", after_ravel_edge;
    std::string undyed = "#f3ede0";
    std::vector<std::string> colours;
    double max_megapixels = 200;
};

bool against_stencil(const CompareOptions& o) {
    return !o.against.empty();
}

void check(const CompareOptions& o) {
    if (against_stencil(o) && !o.after.empty())
        throw Error(ErrorKind::usage, "--against: takes one photo; leave AFTER out, or leave --against out");
    if (!against_stencil(o) && o.after.empty())
        throw Error(ErrorKind::usage, "AFTER: is missing; name a second photo, or the stencil's file with --against");
    if (against_stencil(o) && o.unpaired)
        throw Error(ErrorKind::usage, "--unpaired: does not go with --against; leave one of them out");
    if (!o.ruler.empty() &&
        (!o.before_size.empty() || (!o.size.empty() && (!o.after_ruler.empty() || o.after.empty()))))
        throw Error(ErrorKind::usage, "--ruler: BEFORE has a size already; give one of the two");
    if (!o.after_ruler.empty() && (!o.after_size.empty() || (!o.size.empty() && o.ruler.empty())))
        throw Error(ErrorKind::usage, "--after-ruler: AFTER has a size already; give one of the two");
    if (!(o.max_megapixels > 0)) throw Error(ErrorKind::usage, "--max-megapixels: must be over 0");
    for (const auto& [option, size] : {std::pair{"--size", o.size}, std::pair{"--before-size", o.before_size},
                                       std::pair{"--after-size", o.after_size}})
        if (!size.empty()) parsed_length_pair(size, option);
    check_ruler(o.ruler, "--ruler");
    check_ruler(o.after_ruler, "--after-ruler");
    if (!o.blank.empty()) parsed_count_pair(o.blank, "--blank");
}

ComparePhoto before_photo(const CompareOptions& o, LinearRgb undyed) {
    ComparePhoto photo;
    photo.file = o.before;
    photo.name = against_stencil(o) ? "photo" : "before";
    photo.ruler = o.ruler;
    if (o.ruler.empty()) photo.size = o.before_size.empty() ? o.size : o.before_size;
    photo.corners = o.corners;
    photo.white = o.white;
    photo.ravel_edge = o.ravel_edge;
    photo.blank = o.blank;
    photo.undyed = undyed;
    photo.max_megapixels = o.max_megapixels;
    return photo;
}

ComparePhoto after_photo(const CompareOptions& o, LinearRgb undyed) {
    ComparePhoto photo = before_photo(o, undyed);
    photo.file = o.after;
    photo.prefix = "after-";
    photo.name = "after";
    photo.ruler = o.after_ruler;
    photo.size = o.after_ruler.empty() ? (o.after_size.empty() ? o.size : o.after_size) : "";
    photo.corners = o.after_corners;
    photo.white = o.after_white;
    photo.ravel_edge = o.after_ravel_edge.empty() ? o.ravel_edge : o.after_ravel_edge;
    photo.mirrored = o.after_mirrored ? ComparePhoto::Mirrored::yes : ComparePhoto::Mirrored::no;
    return photo;
}

LinearRgb mean_side(const std::vector<EdgePiece>& pieces, LinearRgb EdgePiece::*side) {
    LinearRgb sum;
    for (const EdgePiece& piece : pieces) sum += piece.*side;
    return sum * (1.0 / static_cast<double>(pieces.size()));
}

/// The steps of a comparison.
class Comparer {
public:
    Comparer(const CompareOptions& options, LinearRgb undyed) : o_(options), undyed_(undyed) {}

    ComparisonFound compared(CompareReading before, CompareReading after) {
        found_.way = o_.unpaired ? ComparisonFound::Way::unpaired : ComparisonFound::Way::paired;
        found_.before_name = "before";
        found_.after_name = "after";
        found_.before = std::move(before.picture);
        found_.after = std::move(after.picture);
        change_options_ = {before.floor_mm, after.floor_mm};
        if (o_.unpaired) {
            const LinearRgb ground = main_colour(found_.before);
            found_.before_edges = edge_pieces(found_.before, ground, {});
            found_.after_edges = edge_pieces(found_.after, main_colour(found_.after), {});
            measure_unpaired();
        } else {
            lay_after_on_before();
            measure_pairs(main_colour(found_.before));
        }
        judge_alike();
        read_grounds();
        return std::move(found_);
    }

    ComparisonFound compared_with_stencil(CompareReading photo) {
        found_.way = ComparisonFound::Way::against_stencil;
        found_.before_name = "stencil";
        found_.after_name = "photo";
        found_.after = std::move(photo.picture);
        const Plane coverage = stencil_coverage(o_.against, o_.max_megapixels);
        LinearRgb ground = colours_under(coverage, found_.after).ground;
        const std::vector<EdgePiece> edges = edge_pieces(found_.after, ground, {});
        if (edges.empty())
            throw Error(ErrorKind::input, o_.before.string() +
                                              ": no clean edge of a motif was found; give a sharper "
                                              "or larger photo");
        ground = mean_side(edges, &EdgePiece::ground);
        found_.before = stencil_as_dyed(coverage, found_.after, {ground, mean_side(edges, &EdgePiece::motif)});
        change_options_.floor_after_mm = photo.floor_mm;
        change_options_.first = ChangeOptions::First::exact;
        lay_after_on_before();
        measure_pairs(ground);
        read_grounds();
        return std::move(found_);
    }

    std::vector<std::string> assumed, warnings;

private:
    std::string match_advice() const {
        return against_stencil(o_) ? "; check that the stencil lies as in the photo"
                                   : "; if they are two pieces with the same stencil, give --unpaired";
    }

    /// The second photo in the pose of the first; their edges lie on each other.
    void lay_after_on_before() {
        constexpr double kStitch = 5.2, kRow = 4.0;  // mm, of the usual blank: fine enough to correlate
        const DyedPicture& before = found_.before;
        const CellCount cells = before.knitted() ? before.cells
                                                 : CellCount{std::max(4, static_cast<int>(before.width_mm() / kStitch)),
                                                             std::max(4, static_cast<int>(before.height_mm() / kRow))};
        const auto small = [&](const DyedPicture& picture, int rows, int columns) {
            const PixelBox whole{0, 0, static_cast<double>(picture.light.columns()),
                                 static_cast<double>(picture.light.rows())};
            return resampled(picture.light, whole, std::min(rows, picture.light.rows()),
                             std::min(columns, picture.light.columns()));
        };
        constexpr int kPixels = 4;  // of a stitch each way
        const bool upright =
            (found_.after.width_mm() > found_.after.height_mm()) == (before.width_mm() > before.height_mm());
        const int rows = kPixels * cells.rows, columns = kPixels * cells.stitches;
        const RegisteredSides sides =
            registered(small(before, rows, columns),
                       small(found_.after, upright ? rows : columns, upright ? columns : rows), cells);
        if (sides.agreement != Agreement::agree)
            throw Error(ErrorKind::input, second_name() + ": does not match " + first_name() +
                                              (sides.agreement == Agreement::unlike
                                                   ? " (their colours go together to " +
                                                         number_text(std::max(0.0, sides.correlation), 2) + " of 1)"
                                                   : " for sure: one of them has hardly any pattern") +
                                              match_advice());
        const bool quarter = sides.turn == QuarterTurn::clockwise_90 || sides.turn == QuarterTurn::clockwise_270;
        if (quarter && found_.after.knitted())
            throw Error(ErrorKind::input, second_name() + ": its stitches lie across those of BEFORE" + match_advice());
        if (sides.turn != QuarterTurn::none && !sides.either_pose) {
            found_.after = turned(found_.after, sides.turn);
            assumed.emplace_back("the second photo was turned to lie like the first");
        }
        if (sides.mean_shift > 1)
            warnings.push_back("the two pictures lie " + number_text(sides.mean_shift, 1) +
                               " stitches off each other on average: fewer edges could be paired; check the corners");
    }

    double method_share() const {
        return found_.before.knitted() || found_.after.knitted() ? kMethodShareKnitted : kMethodShare;
    }

    /// Other stencils of the same colours, laid out alike, correlate too; but their edges lie elsewhere.
    void check_match(const PairedEdges& paired) const {
        constexpr double kFewFound = 0.4;  // chosen: the same piece after bleeding keeps two thirds
        if (paired.looked_for < kFewestPieces || paired.share_found() >= kFewFound) return;
        throw Error(ErrorKind::input, second_name() + ": does not match " + first_name() + " (of " +
                                          std::to_string(paired.looked_for) + " pieces of edge only " +
                                          std::to_string(paired.lie_there) + " lie where they should)" +
                                          match_advice());
    }

    std::string first_name() const { return against_stencil(o_) ? "the stencil" : "BEFORE"; }
    std::string second_name() const {
        return against_stencil(o_) ? o_.before.string() : "AFTER (" + o_.after.string() + ")";
    }

    /// With the shade of loops in one picture and not in the other, widths do not compare.
    void judge_alike() {
        if (against_stencil(o_) || found_.before.knitted() == found_.after.knitted()) return;
        for (WidthChange* change : {&found_.edge, &found_.along_rows, &found_.across_rows}) {
            change->verdict = Change::cannot_tell;
            change->why = "stitches were seen in one of the photos only, so their widths were read in two ways";
        }
    }

    void settle_options() {
        change_options_.method_share = method_share();
        change_options_.less_sharp_mm = found_.less_sharp_mm = less_sharp_mm(found_.before, found_.after);
        change_options_.seed = o_.common.seed;
        found_.floor_mm = std::max(change_options_.floor_before_mm, change_options_.floor_after_mm);
    }

    void measure_pairs(LinearRgb ground) {
        settle_options();
        const PairedEdges paired = edge_pairs(found_.before, found_.after, ground);
        check_match(paired);
        change_options_.share_clean = paired.share_clean();
        const std::vector<EdgePair>& pairs = paired.pairs;
        found_.edge = width_change(pairs, change_options_);
        if (against_stencil(o_)) found_.floor_mm = std::max(found_.floor_mm, found_.edge.legs_mm);
        const auto along = [&](EdgeDirection direction) {
            std::vector<EdgePair> some;
            std::copy_if(pairs.begin(), pairs.end(), std::back_inserter(some),
                         [&](const EdgePair& pair) { return pair.before.direction() == direction; });
            return width_change(some, change_options_);
        };
        found_.along_rows = along(EdgeDirection::along_rows);
        found_.across_rows = along(EdgeDirection::across_rows);
        for (const EdgePair& pair : pairs) {
            found_.before_edges.push_back(pair.before);
            found_.after_edges.push_back(pair.after);
        }
    }

    void measure_unpaired() {
        settle_options();
        found_.edge = width_change(found_.before_edges, found_.after_edges, change_options_);
        const auto some = [](const std::vector<EdgePiece>& pieces, EdgeDirection direction) {
            std::vector<EdgePiece> out;
            std::copy_if(pieces.begin(), pieces.end(), std::back_inserter(out),
                         [&](const EdgePiece& piece) { return piece.direction() == direction; });
            return out;
        };
        for (auto [direction, change] : {std::pair{EdgeDirection::along_rows, &found_.along_rows},
                                         std::pair{EdgeDirection::across_rows, &found_.across_rows}})
            *change = width_change(some(found_.before_edges, direction), some(found_.after_edges, direction),
                                   change_options_);
    }

    GroundReading ground_of(const DyedPicture& picture, const std::vector<EdgePiece>& edges) const {
        return ground_reading(picture, {mean_side(edges, &EdgePiece::ground), mean_side(edges, &EdgePiece::motif),
                                        median_width(edges), undyed_});
    }

    void read_grounds() {
        GroundOptions options;
        options.undyed = undyed_;
        if (!o_.white.empty() && !o_.after_white.empty()) options.exposure_doubt = 0.02;
        if (o_.unpaired) options.pieces = GroundOptions::Pieces::different;
        if (o_.before_wet != o_.after_wet && !against_stencil(o_)) options.wetness = GroundOptions::Wetness::differs;
        if (found_.before_edges.empty() || found_.after_edges.empty()) {
            found_.ground.why = found_.why_no_fading = "no clean edges tell ground from motif";
            return;
        }
        found_.after_ground = ground_of(found_.after, found_.after_edges);
        if (against_stencil(o_)) {
            found_.ground = ground_change(*found_.after_ground, options);
            found_.why_no_fading = "there is no photo of before";
            return;
        }
        found_.before_ground = ground_of(found_.before, found_.before_edges);
        found_.ground = ground_change(*found_.before_ground, *found_.after_ground, options);
        if (options.wetness == GroundOptions::Wetness::differs) {
            found_.why_no_fading = "one was photographed wet, the other dry";
            return;
        }
        if (o_.unpaired) {
            found_.why_no_fading = "two different pieces may differ in colour from the start";
            return;
        }
        found_.ground_fading = fading(found_.before_ground->plain, found_.after_ground->plain);
        found_.motif_fading = fading(found_.before_ground->motif, found_.after_ground->motif);
        if (options.exposure_doubt > 0.02)
            assumed.emplace_back(
                "both photos were exposed alike to within 6 % (give --white and --after-white to be surer of colours)");
    }

    const CompareOptions& o_;
    LinearRgb undyed_;
    ChangeOptions change_options_;
    ComparisonFound found_;
};

void add(std::vector<std::string>& to, const std::vector<std::string>& from) {
    to.insert(to.end(), from.begin(), from.end());
}

/// Both at once: decoding has only one thread of its own.
std::array<CompareReading, 2> both_read(const ComparePhoto& before, const ComparePhoto& after) {
    std::array<CompareReading, 2> readings;
    in_parallel(2, thread_count(0),
                [&] { return [&](std::size_t i) { readings[i] = read_compare_photo(i == 0 ? before : after); }; });
    return readings;
}

void run_compare(const CompareOptions& o, std::ostream& out) {
    check(o);
    Outputs outputs = Outputs::into_folder(o.common.output);
    for (const std::filesystem::path& input : {o.before, o.after, o.against, std::filesystem::path(o.common.config)})
        if (!input.empty()) outputs.keep_safe(input);
    ColourBook book;
    for (const std::string& colour : o.colours) book.add(colour);
    const LinearRgb undyed = linear_from_srgb8(book.colour(o.undyed, "--undyed"));
    Comparer comparer(o, undyed);
    const auto take = [&](CompareReading& reading, const std::string& name) {
        add(comparer.assumed, reading.assumed);
        add(comparer.warnings, reading.warnings);
        if (reading.corners) outputs.add(name + "-corners.png", png_bytes(*reading.corners));
    };
    ComparisonFound found;
    if (against_stencil(o)) {
        CompareReading photo = read_compare_photo(before_photo(o, undyed));
        take(photo, "photo");
        found = comparer.compared_with_stencil(std::move(photo));
    } else {
        std::array<CompareReading, 2> both = both_read(before_photo(o, undyed), after_photo(o, undyed));
        take(both[0], "before");
        take(both[1], "after");
        found = comparer.compared(std::move(both[0]), std::move(both[1]));
    }
    Json summary = comparison_json(found);
    summary["assumed"] = comparer.assumed;
    summary["warnings"] = comparer.warnings;
    outputs.add("compare.png", comparison_png(found));
    outputs.add("edges.csv", edges_csv(found));
    outputs.add("summary.json", json_bytes(summary));
    outputs.write();
    report(out, o.common, summary, outputs, comparison_words(found));
}

void add_compare_options(CLI::App& command, CompareOptions& o) {
    const auto option = [&](const std::string& name, auto& value, const std::string& text) {
        return command.add_option(name, value, text)->capture_default_str();
    };
    option("--against", o.against, "the stencil's own file, black on white, where nobody took a photo before");
    command.add_flag("--unpaired", o.unpaired, "two different pieces with the same stencil: only widths are compared");
    option("--size", o.size, "width x length of what both photos show (24x86cm)");
    option("--before-size", o.before_size, "the same, of BEFORE alone");
    option("--after-size", o.after_size, "the same, of AFTER alone");
    option("--ruler", o.ruler, "two places in BEFORE, in pixels, and how far apart they are, like 120,80,920,80=10cm");
    option("--after-ruler", o.after_ruler, "the same, in AFTER");
    option("--blank", o.blank, "stitches x rows counted by hand, like 46x214: helps to find the stitches");
    option(
        "--corners", o.corners,
        "where the piece lies in BEFORE, clockwise from its top left, in pixels of the upright picture; or picture: it "
        "fills the picture (found by itself)");
    option("--after-corners", o.after_corners, "as --corners, in AFTER (found by itself)");
    option("--white", o.white,
           "a white or grey patch in BEFORE: left, top, width and height in pixels of the upright picture");
    option("--after-white", o.after_white, "as --white, in AFTER");
    option("--ravel-edge", o.ravel_edge, "which side of the photos becomes the top");
    option("--after-ravel-edge", o.after_ravel_edge, "the same, of AFTER, if it lay another way");
    command.add_flag("--after-mirrored", o.after_mirrored,
                     "AFTER shows the other side of the piece: it is mirrored before it is compared");
    command.add_flag("--before-wet", o.before_wet, "BEFORE was photographed wet");
    command.add_flag("--after-wet", o.after_wet, "AFTER was photographed wet");
    option("--undyed", o.undyed, "colour of the undyed yarn");
    option("--colour", o.colours, "a colour name of your own, like fog=#d0d4d8; once for each")
        ->allow_extra_args(false);
    option("--max-megapixels", o.max_megapixels, "larger pictures are refused");
    say_values(command, {{"--against", "FILE"},
                         {"--size", "WIDTHxLENGTH"},
                         {"--before-size", "WIDTHxLENGTH"},
                         {"--after-size", "WIDTHxLENGTH"},
                         {"--ruler", "X,Y,X,Y=LENGTH"},
                         {"--after-ruler", "X,Y,X,Y=LENGTH"},
                         {"--blank", "STITCHESxROWS"},
                         {"--corners", "picture|X,Y,X,Y,X,Y,X,Y"},
                         {"--after-corners", "picture|X,Y,X,Y,X,Y,X,Y"},
                         {"--white", "X,Y,W,H"},
                         {"--after-white", "X,Y,W,H"},
                         {"--ravel-edge", "top|bottom|left|right"},
                         {"--after-ravel-edge", "top|bottom|left|right"},
                         {"--undyed", "COLOUR"},
                         {"--colour", "NAME=COLOUR"}});
}

}  // namespace

void add_compare(CLI::App& app, Action& action) {
    const auto options = std::make_shared<CompareOptions>();
    CLI::App* command = app.add_subcommand("compare", "Whether edges softened, colour bled into the ground, or faded");
    command->add_option("BEFORE", options->before, "a photo of the piece before (with --against: the only one)")
        ->required();
    command->add_option("AFTER", options->after, "a photo of it after");
    add_common(*command, options->common, "folder for compare.png, edges.csv and summary.json");
    add_compare_options(*command, *options);
    add_examples(
        *command,
        {{{"Did the motifs stay sharp; nobody took a photo before",
           "loopread compare samples/harbour-photo.jpg --against samples/lanterns-stencil-1.png --size 24x86cm -o "
           "out/compare"},
          {"Before and after steaming; here one photo twice, so that nothing changed",
           "loopread compare samples/harbour-photo.jpg samples/harbour-photo.jpg --size 24x86cm -o out/steamed"}}});
    command->callback([options, &action] { action = [options](std::ostream& out) { run_compare(*options, out); }; });
}

}  // namespace loopread::cli
