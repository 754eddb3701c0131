#include "cli/photo_input.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/error.h"
#include "loopread/base/text.h"
#include "loopread/lattice/lattice.h"
#include "loopread/lattice/shade.h"
#include "loopread/lattice/straighten.h"
#include "loopread/photo/corners.h"
#include "loopread/photo/neutral.h"

namespace loopread::cli {
namespace {

constexpr int kFirstLook = 1800;           // pixels of the longer side at which a blank is looked for
constexpr double kFewestPixels = 8;        // a stitch
constexpr double kUsualStitches = 46;      // across a blank, where nothing is known
constexpr int kAcross = 8, kAlong = 6;     // pixels of a straightened stitch
constexpr double kCountsDiffer = 0.05;     // of a given count
constexpr double kSureOfVs = 0.7;          // chosen: windows without selvedges stay under 0.3
constexpr double kCastWorthTelling = 1.0;  // CIEDE2000

Corners typed_corners(const std::string& text, const PictureHeader& header) {
    if (text == "picture") {
        const double w = header.width, h = header.height;
        return {{{0, 0}, {w, 0}, {w, h}, {0, h}}};
    }
    const std::vector<double> n = parsed_numbers(text, 8, "--corners", "120,80,900,95,880,2700,140,2690");
    const Corners corners{{{n[0], n[1]}, {n[2], n[3]}, {n[4], n[5]}, {n[6], n[7]}}};
    if (const auto fault = fault_of(corners, header.width, header.height))
        throw Error(ErrorKind::usage, "--corners: " + *fault);
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

/// The steps from a photo to a flat picture, one after another.
class PhotoReader {
public:
    PhotoReader(const std::filesystem::path& file, const PictureHeader& header, const BlankOptions& options,
                RavelEdge edge, LinearRgb undyed)
        : file_(file), header_(header), options_(options), edge_(edge), undyed_(undyed) {}

    PhotoReading read() {
        std::optional<Corners> typed;
        if (!options_.corners.empty()) typed = typed_corners(options_.corners, header_);
        int shrink = std::max(1, std::max(header_.width, header_.height) / kFirstLook);
        Image upright = decoded_at(shrink);
        Corners corners = typed ? scaled(*typed, 1.0 / shrink) : looked_for(upright);
        if (const int finer = shrink_that_counts(corners, shrink); finer < shrink) {
            corners = scaled(corners, static_cast<double>(shrink) / finer);
            shrink = finer;
            upright = decoded_at(shrink);
        }
        out_.corners = corners_picture(upright, corners);
        upright = neutral(std::move(upright), shrink);
        lay_flat(upright, corners);
        return std::move(out_);
    }

private:
    Image decoded_at(int shrink) const {
        PictureRequest request;
        request.shrink = shrink;
        request.under_transparent = undyed_;
        request.max_megapixels = options_.max_megapixels;
        return read_picture(file_, request);
    }

    Corners looked_for(const Image& upright) {
        const BlankCorners found = found_corners(upright);
        if (!found.found())
            throw Error(ErrorKind::input, file_.string() + ": " + found.why_not +
                                              " (or --corners picture, if the blank fills the picture)");
        out_.assumed.push_back("the blank's corners were found in the photo (sure to " +
                               number_text(100 * found.confidence, 0) + " %; look at corners.png)");
        return found.corners;
    }

    int shrink_that_counts(const Corners& corners, int shrink) const {
        const bool upright = edge_ == RavelEdge::top || edge_ == RavelEdge::bottom;
        const Sides sides = sides_of(corners);
        const double stitch = (upright ? sides.across : sides.along) / kUsualStitches;
        return std::max(1, std::min(shrink, static_cast<int>(shrink * stitch / kFewestPixels)));
    }

    Image neutral(Image upright, int shrink) {
        if (options_.white.empty()) return upright;
        const std::vector<double> n = parsed_numbers(options_.white, 4, "--white", "40,60,120,120");
        const PixelBox patch{n[0], n[1], n[0] + n[2], n[1] + n[3]};
        if (const auto fault = fault_of(patch, header_.width, header_.height))
            throw Error(ErrorKind::usage, "--white: " + *fault);
        const double scale = 1.0 / shrink;
        const PixelBox small{patch.left * scale, patch.top * scale, patch.right * scale, patch.bottom * scale};
        if (fault_of(small, upright.columns(), upright.rows()))
            throw Error(ErrorKind::usage, "--white: '" + options_.white + "' is too small a patch; give a larger one");
        const Cast cast = found_cast(upright, small);
        out_.warnings.insert(out_.warnings.end(), cast.warnings.begin(), cast.warnings.end());
        if (cast.removed_de00 >= kCastWorthTelling)
            out_.assumed.push_back("a colour cast of " + number_text(cast.removed_de00, 1) +
                                   " (CIEDE2000) was removed by the white patch");
        return without_cast(upright, cast);
    }

    Image seen_from_above(const Image& upright, const Corners& corners) const {
        const Sides sides = sides_of(corners);
        RectifiedRaster raster;
        raster.rows = std::max(8, static_cast<int>(std::lround(sides.along)));
        raster.columns = std::max(8, static_cast<int>(std::lround(sides.across)));
        raster.margin = 0;  // stitches are counted from edge to edge
        return turned(rectified(upright, corners, raster), turn_to_top(edge_));
    }

    Image in_level_light(Image flat) {
        const LightField field = light_field(flat, undyed_places(flat, undyed_));
        if (!field.warning.empty()) out_.warnings.push_back(field.warning);
        if (field.kind == LightField::Kind::none) return flat;
        out_.assumed.push_back("light that differed by " + number_text(field.strength, 2) +
                               " times over the blank was evened out by its undyed places");
        return in_even_light(flat, field);
    }

    void lay_flat(const Image& upright, const Corners& corners) {
        Image flat = in_level_light(seen_from_above(upright, corners));
        LatticeHint hint;
        std::optional<CountPair> given;
        if (!options_.blank.empty()) given = parsed_count_pair(options_.blank, "--blank");
        if (given) hint.stitches = given->first;
        const KnitLattice lattice = knit_lattice(flat, hint);
        if (!lattice.found()) {
            out_.warnings.push_back("the stitches could not be counted: " + lattice.why_not +
                                    (given ? "" : "; give --blank") + "; the shade of the loops is read as colour");
            out_.picture = std::move(flat);
            return;
        }
        if (lattice.turn != QuarterTurn::none)
            throw Error(
                ErrorKind::usage,
                "--ravel-edge: the stitches lie across, so the blank comes apart at one of the other two sides of "
                "the photo");
        if (!lattice.v_opens_up && lattice.v_confidence >= kSureOfVs)
            out_.warnings.emplace_back(
                "the V's of the stitches open away from the ravel edge: the blank seems to come apart at the opposite "
                "side "
                "of the photo; check --ravel-edge");
        const CellCount cells{lattice.stitches, lattice.rows};
        out_.counted = CountPair{cells.stitches, cells.rows};
        out_.confidence = lattice.confidence;
        out_.assumed.push_back(std::to_string(cells.stitches) + " x " + std::to_string(cells.rows) +
                               " stitches x rows counted in the photo (sure to " +
                               number_text(100 * lattice.confidence, 0) + " %)");
        if (given && (differs(given->first, cells.stitches) || differs(given->second, cells.rows)))
            out_.warnings.push_back("--blank says " + options_.blank + ", the photo shows " +
                                    std::to_string(cells.stitches) + "x" + std::to_string(cells.rows) +
                                    "; count again by hand, or check --corners");
        out_.picture =
            without_shade(straightened(flat, lattice.middles, cells.rows * kAlong, cells.stitches * kAcross), cells);
    }

    static bool differs(int given, int counted) { return std::abs(given - counted) > kCountsDiffer * given; }

    std::filesystem::path file_;
    PictureHeader header_;
    const BlankOptions& options_;
    RavelEdge edge_;
    LinearRgb undyed_;
    PhotoReading out_;
};

}  // namespace

bool shows_a_blank(const std::filesystem::path& file, const PictureHeader& header, const BlankOptions& options) {
    constexpr int kGlance = 700;  // pixels of the longer side
    PictureRequest request;
    request.shrink = std::max(1, std::max(header.width, header.height) / kGlance);
    request.under_transparent = {1, 1, 1};
    request.max_megapixels = options.max_megapixels;
    return found_corners(read_picture(file, request)).found();
}

PhotoReading read_photo(const std::filesystem::path& file, const PictureHeader& header, const BlankOptions& options,
                        RavelEdge edge, LinearRgb undyed) {
    return PhotoReader(file, header, options, edge, undyed).read();
}

}  // namespace loopread::cli
