#include "cli/flat_photo.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "loopread/base/error.h"
#include "loopread/base/text.h"
#include "loopread/image/sampling.h"
#include "loopread/photo/corners.h"
#include "loopread/photo/neutral.h"

namespace loopread::cli {
namespace {

constexpr int kFirstLook = 1800;           // pixels of the longer side at which a blank is looked for
constexpr double kFewestOfAStitch = 8;     // pixels
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

    /// As --corners takes them.
    std::string as_typed(const Corners& corners, const Image& upright) const {
        const double scale_x = static_cast<double>(header_.width) / upright.columns();
        const double scale_y = static_cast<double>(header_.height) / upright.rows();
        std::string text;
        for (const PhotoPoint& corner : corners)
            text += (text.empty() ? "" : ",") + number_text(corner.x * scale_x, 0) + "," +
                    number_text(corner.y * scale_y, 0);
        return text;
    }

    std::string where_to_look() const {
        const bool written = request_.corners == PhotoRequest::CornersPicture::written;
        return written ? "; look at " + words_.look_at : std::string();
    }

    BlankCorners looked_for(const Image& upright) {
        BlankCorners found = found_corners(upright);
        if (!found.found())
            throw Error(ErrorKind::input, file_.path.string() + ": " +
                                              replaced(found.why_not, "--corners", words_.corners_option) + " (or " +
                                              words_.corners_option + " picture, if the blank fills the picture)");
        out_.assumed.push_back("the blank's corners were found " + words_.in_photo + " at " +
                               as_typed(found.corners, upright) + " (" + number_text(100 * found.confidence, 0) +
                               " % sure" + where_to_look() + ")");
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
        return std::max(1, std::min(shrink, static_cast<int>(shrink * stitch / kFewestOfAStitch)));
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
            warn(option + ": the patch is far from grey (colour difference " + number_text(cast.removed_de00, 0) +
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

}  // namespace

bool shows_a_blank(const PictureFile& file, const BlankOptions& options) {
    constexpr int kGlance = 700;  // pixels of the longer side
    PictureRequest request;
    request.shrink = std::max(1, std::max(file.header.width, file.header.height) / kGlance);
    request.under_transparent = {1, 1, 1};
    request.max_megapixels = options.max_megapixels;
    return found_corners(read_picture(file.path, request)).found();
}

FlatPhoto flat_photo(const PictureFile& file, const BlankOptions& options, const PhotoRequest& request, PhotoOf side) {
    const PhotoWords words = side == PhotoOf::painted_side ? painted_words(options) : other_words(options);
    return PhotoReader(file, options, request, words).read();
}

}  // namespace loopread::cli
