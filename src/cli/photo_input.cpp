#include "cli/photo_input.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/error.h"
#include "loopread/base/text.h"
#include "loopread/blank/edges.h"
#include "loopread/image/sampling.h"
#include "loopread/lattice/lattice.h"
#include "loopread/lattice/shade.h"
#include "loopread/lattice/straighten.h"
#include "loopread/photo/corners.h"
#include "loopread/photo/neutral.h"

namespace loopread::cli {
namespace {

constexpr int kFirstLook = 1800;           // pixels of the longer side at which a blank is looked for
constexpr double kFewestPixels = 8;        // a stitch
constexpr int kUsualStitches = 46;         // across a blank, where nothing is known
constexpr int kAcross = 8, kAlong = 6;     // pixels of a straightened stitch
constexpr double kCountsDiffer = 0.05;     // of a given count
constexpr double kSureOfVs = 0.7;          // chosen: windows without selvedges stay under 0.3
constexpr double kCastWorthTelling = 1.0;  // CIEDE2000

/// What one of the two photos is called, and its options.
struct PhotoWords {
    std::string corners_option, white_option;
    std::string corners, white;  ///< as typed
    std::string in_photo;        ///< "in the photo"
    std::string look_at;         ///< the file with its corners drawn in
    std::string warned_of;       ///< what a warning begins with
};
PhotoWords painted_words(const BlankOptions& o) {
    return {"--corners", "--white", o.corners, o.white, "in the photo", "corners.png", ""};
}
PhotoWords other_words(const BlankOptions& o) {
    return {"--other-corners",
            "--other-white",
            o.other_corners,
            o.other_white,
            "in the photo of the other side",
            "other-corners.png",
            "the other side's photo: "};
}

std::string replaced(std::string text, const std::string& from, const std::string& to) {
    for (std::size_t at = text.find(from); at != std::string::npos; at = text.find(from, at + to.size()))
        text.replace(at, from.size(), to);
    return text;
}

Corners typed_corners(const PhotoWords& words, const PictureHeader& header) {
    if (words.corners == "picture") {
        const double w = header.width, h = header.height;
        const Corners whole{{{0, 0}, {w, 0}, {w, h}, {0, h}}};
        if (fault_of(whole, header.width, header.height))
            throw Error(
                ErrorKind::input,
                words.corners_option + ": the picture is too small or too narrow to be a blank's photo; give another");
        return whole;
    }
    const std::vector<double> n =
        parsed_numbers(words.corners, 8, words.corners_option, "120,80,900,95,880,2700,140,2690");
    const Corners corners{{{n[0], n[1]}, {n[2], n[3]}, {n[4], n[5]}, {n[6], n[7]}}};
    if (const auto fault = fault_of(corners, header.width, header.height))
        throw Error(ErrorKind::usage, words.corners_option + ": " + *fault);
    return corners;
}

double distance(PhotoPoint a, PhotoPoint b) {
    return std::hypot(a.x - b.x, a.y - b.y);
}

/// Mean lengths of opposite sides.
struct Sides {
    double across = 0, along = 0;
};
Sides sides_of(const Corners& c) {
    return {(distance(c[0], c[1]) + distance(c[3], c[2])) / 2, (distance(c[0], c[3]) + distance(c[1], c[2])) / 2};
}

Corners scaled(Corners corners, double factor) {
    for (PhotoPoint& corner : corners) corner = {corner.x * factor, corner.y * factor};
    return corners;
}

/// What a photo says before its stitches are looked at.
struct FlatPhoto {
    Image flat;  ///< from straight above, in level light
    Picture8 corners;
    std::vector<std::string> assumed, warnings;
};

/// The steps from a photo to a flat picture, one after another.
class PhotoReader {
public:
    PhotoReader(const PictureFile& file, const BlankOptions& options, const PhotoRequest& request, PhotoWords words)
        : file_(file), header_(file.header), options_(options), request_(request), words_(std::move(words)) {}

    FlatPhoto read() {
        std::optional<Corners> typed;
        if (!words_.corners.empty()) typed = typed_corners(words_, header_);
        int shrink = std::max(1, std::max(header_.width, header_.height) / kFirstLook);
        Image upright = decoded_at(shrink);
        const BlankCorners found =
            typed ? near(found_corners(upright), scaled(*typed, 1.0 / shrink)) : looked_for(upright);
        Corners corners = found.corners;
        if (const int finer = shrink_that_counts(corners, shrink); finer < shrink) {
            corners = scaled(corners, static_cast<double>(shrink) / finer);
            shrink = finer;
            upright = decoded_at(shrink);
        }
        out_.corners = corners_picture(upright, corners);
        upright = neutral(std::move(upright), shrink);
        out_.flat = in_level_light(seen_from_above(upright, corners, found.bows));
        return std::move(out_);
    }

private:
    Image decoded_at(int shrink) const {
        PictureRequest request;
        request.shrink = shrink;
        request.under_transparent = request_.undyed;
        request.max_megapixels = options_.max_megapixels;
        return read_picture(file_.path, request);
    }

    BlankCorners looked_for(const Image& upright) {
        const BlankCorners found = found_corners(upright);
        if (!found.found())
            throw Error(ErrorKind::input, file_.path.string() + ": " +
                                              replaced(found.why_not, "--corners", words_.corners_option) + " (or " +
                                              words_.corners_option + " picture, if the blank fills the picture)");
        out_.assumed.push_back("the blank's corners were found " + words_.in_photo + " (sure to " +
                               number_text(100 * found.confidence, 0) + " %; look at " + words_.look_at + ")");
        return found;
    }

    /// The typed corners, with the bows that were found if it is the same blank that was.
    static BlankCorners near(BlankCorners found, const Corners& typed) {
        constexpr double kSameBlank = 0.02;  // of the diagonal; chosen: about what a finger on a screen is off
        for (std::size_t i = 0; i < 4; ++i)
            if (distance(found.corners[i], typed[i]) > kSameBlank * distance(typed[0], typed[2])) found.bows = {};
        found.corners = typed;
        return found;
    }

    int shrink_that_counts(const Corners& corners, int shrink) const {
        const bool upright = request_.edge == RavelEdge::top || request_.edge == RavelEdge::bottom;
        const Sides sides = sides_of(corners);
        const double stitch = (upright ? sides.across : sides.along) / kUsualStitches;
        return std::max(1, std::min(shrink, static_cast<int>(shrink * stitch / kFewestPixels)));
    }

    Image neutral(Image upright, int shrink) {
        const std::string& option = words_.white_option;
        if (words_.white.empty()) return upright;
        const std::vector<double> n = parsed_numbers(words_.white, 4, option, "40,60,120,120");
        const PixelBox patch{n[0], n[1], n[0] + n[2], n[1] + n[3]};
        if (const auto fault = fault_of(patch, header_.width, header_.height))
            throw Error(ErrorKind::usage, option + ": " + *fault);
        const double scale = 1.0 / shrink;
        const PixelBox small{patch.left * scale, patch.top * scale, patch.right * scale, patch.bottom * scale};
        if (fault_of(small, upright.columns(), upright.rows()))
            throw Error(ErrorKind::usage, option + ": '" + words_.white + "' is too small a patch; give a larger one");
        const Cast cast = found_cast(upright, small);
        constexpr double kStrongCast = 15;  // chosen: lamps at home stay under it (CIEDE2000)
        if (cast.removed_de00 > kStrongCast)
            warn(option + ": the patch is far from grey (CIEDE2000 " + number_text(cast.removed_de00, 0) +
                 "); point at paper or a grey card");
        for (const std::string& warning : cast.warnings)
            out_.warnings.push_back(words_.warned_of + replaced(warning, "--white", option));
        if (cast.removed_de00 >= kCastWorthTelling)
            out_.assumed.push_back("a colour cast of " + number_text(cast.removed_de00, 1) +
                                   " (CIEDE2000) was removed by the white patch " + words_.in_photo);
        return without_cast(upright, cast);
    }

    Image seen_from_above(const Image& upright, const Corners& corners, const Bows& bows) const {
        const Sides sides = sides_of(corners);
        RectifiedRaster raster;
        raster.rows = std::max(8, static_cast<int>(std::lround(sides.along)));
        raster.columns = std::max(8, static_cast<int>(std::lround(sides.across)));
        raster.margin = 0;  // stitches are counted from edge to edge
        Image seen = rectified(upright, corners, raster, bows);
        const QuarterTurn turn = turn_to_top(request_.edge);
        return turn == QuarterTurn::none ? seen : turned(seen, turn);
    }

    /// Light changes slowly: a few pixels a stitch tell of it as well as all do.
    static Image looked_at_small(const Image& flat) {
        constexpr int kSide = 640;  // pixels of the longer side
        const int shrink = std::max(1, std::max(flat.rows(), flat.columns()) / kSide);
        const PixelBox whole{0, 0, static_cast<double>(flat.columns()), static_cast<double>(flat.rows())};
        return shrink == 1 ? flat : resampled(flat, whole, flat.rows() / shrink, flat.columns() / shrink);
    }

    void warn(const std::string& of) { out_.warnings.push_back(words_.warned_of + of); }

    /// What the camera did not record cannot be read.
    void look_for_lost_colours(const Image& small) {
        constexpr double kFull = 0.97, kManyClipped = 0.05, kVeryDark = 0.05, kGrey = 0.004;
        double clipped = 0, light = 0, colour = 0;
        for (const LinearRgb& pixel : small) {
            const double most = std::max({pixel.r, pixel.g, pixel.b}), least = std::min({pixel.r, pixel.g, pixel.b});
            clipped += most >= kFull;
            light += most;
            colour += most - least;
        }
        const double pixels = static_cast<double>(small.size());
        if (clipped > kManyClipped * pixels)
            warn(number_text(100 * clipped / pixels, 0) +
                 " % of the blank is too bright for the camera, its colours there are lost; photograph it darker");
        if (light < kVeryDark * pixels) warn("the photo is very dark and its colours are uncertain; use more light");
        if (colour < kGrey * light) warn("the photo has no colours: black and white cannot be told from dye");
    }

    Image in_level_light(Image flat) {
        const Image small = looked_at_small(flat);
        look_for_lost_colours(small);
        const LightField field = light_field(small, undyed_places(small, request_.undyed));
        if (!field.warning.empty()) warn(field.warning);
        if (field.kind == LightField::Kind::none) return flat;
        out_.assumed.push_back("light that differed by " + number_text(field.strength, 2) + " times over the blank " +
                               words_.in_photo + " was evened out by its undyed places");
        return in_even_light(flat, field);
    }

    const PictureFile& file_;
    const PictureHeader& header_;
    const BlankOptions& options_;
    const PhotoRequest& request_;
    PhotoWords words_;
    FlatPhoto out_;
};

/// Stitches of a photo, each where it belongs, the shade of loops still on them.
struct CountedPhoto {
    Image straight;
    CellCount cells;
    double confidence = 0;
    bool opens_down = false;  ///< the V's, for sure
};

CountedPhoto straight_photo(const Image& flat, const KnitLattice& lattice) {
    const CellCount cells{lattice.stitches, lattice.rows};
    return {straightened(flat, lattice.middles, cells.rows * kAlong, cells.stitches * kAcross), cells,
            lattice.confidence, !lattice.v_opens_up && lattice.v_confidence >= kSureOfVs};
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
        const KnitLattice lattice = knit_lattice(painted.flat, hint());
        if (lattice.found())
            take_count(straight_photo(painted.flat, upright(lattice)), "in the photo");
        else
            uncounted(std::move(painted.flat), lattice.why_not);
        return std::move(out_);
    }

    PhotoReading read(FlatPhoto painted, FlatPhoto other) {
        take_notes(painted);
        const KnitLattice lattice = knit_lattice(painted.flat, hint());
        if (lattice.found()) {
            take_count(straight_photo(painted.flat, upright(lattice)), "in the photo");
            const CellCount cells{lattice.stitches, lattice.rows};
            lay_other(other, registered(out_.picture, mirrored(other.flat), cells));
        } else if (const KnitLattice others = knit_lattice(other.flat, hint()); others.found()) {
            lay_painted_on_other(painted.flat, other, others);
        } else {
            uncounted(std::move(painted.flat), lattice.why_not);
            lay_other(other, registered(out_.picture, mirrored(other.flat), about_cells()));
        }
        return std::move(out_);
    }

private:
    LatticeHint hint() const {
        LatticeHint hint;
        if (given_) hint.stitches = given_->first;
        return hint;
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
        if (lattice.turn != QuarterTurn::none)
            throw Error(
                ErrorKind::usage,
                "--ravel-edge: the stitches lie across, so the blank comes apart at one of the other two sides of "
                "the photo");
        return lattice;
    }

    void uncounted(Image flat, const std::string& why_not) {
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
        out_.assumed.push_back(std::to_string(cells.stitches) + " x " + std::to_string(cells.rows) +
                               " stitches x rows counted " + where + " (sure to " +
                               number_text(100 * photo.confidence, 0) + " %)");
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
        const std::string note = "the outermost stitches are unlike the next along these edges (" + names +
                                 "): taken for curl, they were read from the next stitches";
        if (inside.curled.any() && std::find(out_.assumed.begin(), out_.assumed.end(), note) == out_.assumed.end())
            out_.assumed.push_back(note);
        return std::move(inside.picture);
    }

    /// Knit side down on the painted photo: the count and the lattice are the other photo's.
    void lay_painted_on_other(const Image& painted, FlatPhoto& other, const KnitLattice& lattice) {
        const Image upright_flat = turned(other.flat, lattice.turn);
        const KnitLattice own = lattice.turn == QuarterTurn::none ? lattice : knit_lattice(upright_flat, hint());
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
        if (quarter(sides.turn))
            throw Error(
                ErrorKind::usage,
                "--ravel-edge: the stitches lie across, so the blank comes apart at one of the other two sides of "
                "the photo");
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
        out_.warnings.push_back("--other-side: its colours go with the painted side in neither pose (correlation " +
                                number_text(sides.correlation, 2) +
                                "): it seems to show another blank, and was left out");
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

bool shows_a_blank(const PictureFile& file, const BlankOptions& options) {
    constexpr int kGlance = 700;  // pixels of the longer side
    PictureRequest request;
    request.shrink = std::max(1, std::max(file.header.width, file.header.height) / kGlance);
    request.under_transparent = {1, 1, 1};
    request.max_megapixels = options.max_megapixels;
    return found_corners(read_picture(file.path, request)).found();
}

PhotoReading read_photo(const PictureFile& file, const BlankOptions& options, const PhotoRequest& request) {
    return StitchReader(options).read(PhotoReader(file, options, request, painted_words(options)).read());
}

PhotoReading read_both_photos(const PictureFile& painted, const PictureFile& other, const BlankOptions& options,
                              const PhotoRequest& request) {
    FlatPhoto painted_flat = PhotoReader(painted, options, request, painted_words(options)).read();
    FlatPhoto other_flat = PhotoReader(other, options, request, other_words(options)).read();
    return StitchReader(options).read(std::move(painted_flat), std::move(other_flat));
}

OtherOfDesign read_other_of_design(const PictureFile& other, const BlankOptions& options, const PhotoRequest& request,
                                   const Image& painted, CellCount cells) {
    FlatPhoto photo = PhotoReader(other, options, request, other_words(options)).read();
    OtherOfDesign out{std::nullopt, std::move(photo.assumed), std::move(photo.warnings)};
    const CellCount enough{std::max(4, cells.stitches), std::max(4, cells.rows)};
    RegisteredSides sides = registered(painted, mirrored(photo.flat), enough);
    if (sides.agreement == Agreement::unlike) {
        out.warnings.push_back("--other-side: its colours go with the design in neither pose (correlation " +
                               number_text(sides.correlation, 2) +
                               "): it seems to show another blank, and was left out");
        return out;
    }
    out.other = other_reading(std::move(sides), out.assumed);
    out.other->corners = std::move(photo.corners);
    return out;
}

}  // namespace loopread::cli
