#include "cli/photo_input.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/error.h"
#include "loopread/base/text.h"
#include "loopread/blank/edges.h"
#include "loopread/lattice/lattice.h"
#include "loopread/lattice/shade.h"
#include "loopread/lattice/straighten.h"

namespace loopread::cli {
namespace {

constexpr double kCountsDiffer = 0.05;  // of a given count

/// Stitches of a photo, each where it belongs, the shade of loops still on them.
struct CountedPhoto {
    Image straight;
    CellCount cells;
    double confidence = 0;
    bool opens_down = false;  ///< the V's, for sure
};

CountedPhoto straight_photo(const Image& flat, const KnitLattice& lattice) {
    const CellCount cells{lattice.stitches, lattice.rows};
    return {straightened(flat, lattice), cells, lattice.confidence, lattice.opens_down()};
}

QuarterTurn back_from(QuarterTurn turn) {
    if (turn == QuarterTurn::clockwise_90) return QuarterTurn::clockwise_270;
    if (turn == QuarterTurn::clockwise_270) return QuarterTurn::clockwise_90;
    return turn;
}
bool quarter(QuarterTurn turn) {
    return turn == QuarterTurn::clockwise_90 || turn == QuarterTurn::clockwise_270;
}

std::string turned_over_words(QuarterTurn turn) {
    switch (turn) {
        case QuarterTurn::none:
            return "like a page";
        case QuarterTurn::clockwise_180:
            return "end over end";
        case QuarterTurn::clockwise_90:
        case QuarterTurn::clockwise_270:
            break;
    }
    return "and a quarter turn";
}

/// What is known of the other side once it lies on the painted one, and in words.
OtherSideReading other_reading(RegisteredSides sides, std::vector<std::string>& assumed) {
    OtherSideReading other;
    other.agreement = sides.agreement;
    other.correlation = sides.correlation;
    other.mean_shift = sides.mean_shift;
    other.largest_shift = sides.largest_shift;
    other.turned_over = turned_over_words(sides.turn);
    other.picture = std::move(sides.moved);
    if (sides.agreement != Agreement::agree)
        assumed.push_back("the other side was laid on the painted one by its edges, as turned over " +
                          other.turned_over + ": the colours of one of them are too plain to tell");
    else if (sides.either_pose)
        assumed.push_back("the other side was turned over " + other.turned_over +
                          " (its colours would go with another pose as well)");
    else
        assumed.push_back("the other side was turned over " + other.turned_over +
                          " (its colours say so), and its stitches moved by " + number_text(other.mean_shift, 1) +
                          " of their widths to lie on the painted side's");
    return other;
}

/// The steps from one flat photo or two to the colours of every stitch.
class StitchReader {
public:
    explicit StitchReader(const BlankOptions& options) : options_(options) {
        const GivenMeasures measures = given_measures(options);
        given_ = measures.blank;
        if (given_ && measures.construction == Construction::tube) given_->first = (given_->first + 1) / 2;
    }

    PhotoReading read(FlatPhoto painted) {
        take_notes(painted);
        const KnitLattice lattice = lattice_of(painted.flat);
        if (lattice.found())
            take_count(straight_photo(painted.flat, upright(lattice)), "in the photo");
        else
            uncounted(std::move(painted.flat), lattice.why_not);
        return std::move(out_);
    }

    PhotoReading read(FlatPhoto painted, FlatPhoto other) {
        take_notes(painted);
        const KnitLattice lattice = lattice_of(painted.flat);
        if (lattice.found()) {
            take_count(straight_photo(painted.flat, upright(lattice)), "in the photo");
            const CellCount cells{lattice.stitches, lattice.rows};
            lay_other(other, registered(out_.picture, mirrored(other.flat), cells));
        } else if (const KnitLattice others = lattice_of(other.flat); others.found()) {
            lay_painted_on_other(painted.flat, other, others);
        } else {
            uncounted(std::move(painted.flat), lattice.why_not);
            lay_other(other, registered(out_.picture, mirrored(other.flat), about_cells()));
        }
        return std::move(out_);
    }

private:
    /// A count given by hand helps to find the lattice, but must not hide one that contradicts it.
    KnitLattice lattice_of(const Image& flat) const {
        if (given_) {
            LatticeHint hint;
            hint.stitches = given_->first;
            if (KnitLattice lattice = knit_lattice(flat, hint); lattice.found()) return lattice;
        }
        return knit_lattice(flat);
    }

    /// Cells enough to correlate, where none were counted.
    CellCount about_cells() const {
        if (given_) return {std::max(4, given_->first), std::max(4, given_->second)};
        constexpr double kWalePerCourse = 1.31;
        const double rows =
            static_cast<double>(out_.picture.rows()) / out_.picture.columns() * kUsualStitches * kWalePerCourse;
        return {kUsualStitches, std::clamp(static_cast<int>(rows), 4, 2000)};
    }

    void take_notes(FlatPhoto& photo) {
        out_.corners = std::move(photo.corners);
        out_.assumed = std::move(photo.assumed);
        out_.warnings = std::move(photo.warnings);
    }

    const KnitLattice& upright(const KnitLattice& lattice) const {
        if (lattice.turn != QuarterTurn::none) throw lies_across();
        return lattice;
    }

    Error lies_across() const {
        const bool upright = options_.ravel_edge == "top" || options_.ravel_edge == "bottom";
        return {ErrorKind::usage,
                "--ravel-edge: '" + options_.ravel_edge +
                    "' cannot be, since the stitches lie across: the blank comes apart at the photo's " +
                    (upright ? "left or right" : "top or bottom")};
    }

    void uncounted(Image flat, const std::string& why_not) {
        out_.why_uncounted = why_not;
        out_.warnings.push_back("the stitches could not be counted: " + why_not + (given_ ? "" : "; give --blank") +
                                "; the shade of the loops is read as colour");
        out_.picture = std::move(flat);
    }

    /// @param where  "in the photo", for the words
    void take_count(const CountedPhoto& photo, const std::string& where) {
        const CellCount cells = photo.cells;
        if (photo.opens_down)
            out_.warnings.emplace_back(
                "the V's of the stitches open away from the ravel edge: the blank seems to come apart at the opposite "
                "side of the photo; check --ravel-edge");
        out_.counted = CountPair{cells.stitches, cells.rows};
        out_.confidence = photo.confidence;
        out_.assumed.push_back(std::to_string(cells.stitches) + " stitches x " + std::to_string(cells.rows) +
                               " rows counted " + where + " (" + number_text(100 * photo.confidence, 0) + " % sure)");
        if (given_ && (differs(given_->first, cells.stitches) || differs(given_->second, cells.rows))) {
            const bool by_density = options_.blank.empty();
            out_.warnings.push_back((by_density
                                         ? "--counted " + options_.counted + " and --size " + options_.size + " give " +
                                               std::to_string(given_->first) + "x" + std::to_string(given_->second)
                                         : "--blank says " + options_.blank) +
                                    ", the photo shows " + std::to_string(cells.stitches) + "x" +
                                    std::to_string(cells.rows) + "; count again by hand, or check --corners");
        }
        out_.picture = stitch_colours(photo.straight, cells);
    }

    /// Without the shade of the loops, and without what edges show where they curl.
    Image stitch_colours(const Image& straight, CellCount cells) {
        EdgesReadInside inside = edges_read_inside(without_shade(straight, cells), cells.stitches, cells.rows);
        const std::pair<const char*, bool> edges[] = {{"left", inside.curled.left},
                                                      {"right", inside.curled.right},
                                                      {"ravel", inside.curled.top},
                                                      {"far", inside.curled.bottom}};
        std::string names;
        for (const auto& [name, curls] : edges)
            if (curls) names += (names.empty() ? "" : ", ") + std::string(name);
        const std::string note = "edges seem to curl (" + names +
                                 "): their outermost stitches were read from the stitches beside "
                                 "them";
        if (inside.curled.any() && std::find(out_.assumed.begin(), out_.assumed.end(), note) == out_.assumed.end())
            out_.assumed.push_back(note);
        return std::move(inside.picture);
    }

    /// Knit side down on the painted photo: the count and the lattice are the other photo's.
    void lay_painted_on_other(const Image& painted, FlatPhoto& other, const KnitLattice& lattice) {
        const Image upright_flat = turned(other.flat, lattice.turn);
        const KnitLattice own = lattice.turn == QuarterTurn::none ? lattice : lattice_of(upright_flat);
        if (!own.found()) {
            uncounted(painted, own.why_not);
            return;
        }
        CountedPhoto counted = straight_photo(upright_flat, own);
        const Image seen_through = mirrored(counted.straight);
        RegisteredSides sides = registered(seen_through, painted, counted.cells);
        if (sides.agreement == Agreement::unlike) {
            uncounted(painted, "the painted photo shows the purl side, and the other one is of no help");
            another_blank(sides);
            return;
        }
        if (quarter(sides.turn)) throw lies_across();
        const QuarterTurn back = back_from(sides.turn);
        if (back == QuarterTurn::clockwise_180) counted.opens_down = own.v_opens_up && own.v_confidence >= kSureOfVs;
        counted.straight = turned(sides.moved, back);
        take_count(counted, "in the photo of the other side");
        sides.moved = turned(seen_through, back);
        // How the painted photo had to be turned is how the other one lies from it; a quarter came from its own
        // lattice.
        if (lattice.turn != QuarterTurn::none) sides.turn = QuarterTurn::clockwise_90;
        lay_other(other, std::move(sides));
    }

    void another_blank(const RegisteredSides& sides) {
        out_.warnings.push_back("--other-side: its colours go with those of the painted side in neither pose (to " +
                                number_text(sides.correlation, 2) +
                                " of 1): it seems to show another blank, and was left out");
    }

    void lay_other(FlatPhoto& photo, RegisteredSides sides) {
        out_.assumed.insert(out_.assumed.end(), photo.assumed.begin(), photo.assumed.end());
        out_.warnings.insert(out_.warnings.end(), photo.warnings.begin(), photo.warnings.end());
        const bool tube = options_.construction == "tube";  // its layers may be painted each in its own way
        if (sides.agreement == Agreement::unlike && !tube) {
            another_blank(sides);
            return;
        }
        out_.other = other_reading(std::move(sides), out_.assumed);
        out_.other->corners = std::move(photo.corners);
        if (!out_.counted) return;
        const CellCount cells{out_.counted->first, out_.counted->second};
        out_.other->with_shade = std::move(out_.other->picture);
        out_.other->picture = stitch_colours(out_.other->with_shade, cells);
    }

    static bool differs(int given, int counted) { return std::abs(given - counted) > kCountsDiffer * given; }

    const BlankOptions& options_;
    std::optional<CountPair> given_;  // as it lies before us
    PhotoReading out_;
};

}  // namespace

PhotoReading read_photo(const PictureFile& file, const BlankOptions& options, const PhotoRequest& request) {
    return StitchReader(options).read(flat_photo(file, options, request, PhotoOf::painted_side));
}

PhotoReading read_both_photos(const PictureFile& painted, const PictureFile& other, const BlankOptions& options,
                              const PhotoRequest& request) {
    FlatPhoto painted_flat = flat_photo(painted, options, request, PhotoOf::painted_side);
    FlatPhoto other_flat = flat_photo(other, options, request, PhotoOf::other_side);
    return StitchReader(options).read(std::move(painted_flat), std::move(other_flat));
}

OtherOfDesign read_other_of_design(const PictureFile& other, const BlankOptions& options, const PhotoRequest& request,
                                   const Image& painted, CellCount cells) {
    FlatPhoto photo = flat_photo(other, options, request, PhotoOf::other_side);
    OtherOfDesign out{std::nullopt, std::move(photo.assumed), std::move(photo.warnings)};
    const CellCount enough{std::max(4, cells.stitches), std::max(4, cells.rows)};
    RegisteredSides sides = registered(painted, mirrored(photo.flat), enough);
    if (sides.agreement == Agreement::unlike) {
        out.warnings.push_back("--other-side: its colours go with those of the design in neither pose (to " +
                               number_text(sides.correlation, 2) +
                               " of 1): it seems to show another blank, and was left out");
        return out;
    }
    out.other = other_reading(std::move(sides), out.assumed);
    out.other->corners = std::move(photo.corners);
    return out;
}

}  // namespace loopread::cli
