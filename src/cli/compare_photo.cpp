#include "cli/compare_photo.h"

#include <algorithm>
#include <cmath>

#include "cli/flat_photo.h"
#include "loopread/base/error.h"
#include "loopread/base/text.h"
#include "loopread/colour/kubelka_munk.h"
#include "loopread/image/sampling.h"
#include "loopread/photo/read.h"

namespace loopread::cli {
namespace {

constexpr double kShapeOff = 0.1;  // of width over length: what a photo may differ from what was measured
constexpr double kUsualWidth = 240, kUsualLength = 860;  // mm, of a blank; common practice, no source
constexpr double kLongestSide = 20'000;                  // mm; nothing knitted here is longer
constexpr int kStencilSide = 4000;                       // pixels of a stencil's longer side that are read

/// Two places in the photo and how far apart they are.
struct Ruler {
    double pixels = 0, mm = 0;
};

Ruler parsed_ruler(const std::string& text, const std::string& option) {
    const std::string example = "120,80,920,80=10cm";
    const std::size_t equals = text.find('=');
    if (equals == std::string::npos)
        throw Error(ErrorKind::usage,
                    option + ": '" + text + "' does not say how long it is; write it like " + example);
    const std::vector<double> n = parsed_numbers(text.substr(0, equals), 4, option, example);
    const Ruler ruler{std::hypot(n[2] - n[0], n[3] - n[1]), parsed_length(text.substr(equals + 1), option).value};
    constexpr double kFewestPixels = 20;
    if (!(ruler.pixels >= kFewestPixels))
        throw Error(ErrorKind::usage, option + ": its ends lie on each other; give two places far apart");
    return ruler;
}

/// One photo, step by step.
class PhotoMeasurer {
public:
    explicit PhotoMeasurer(const ComparePhoto& photo) : photo_(photo) {}

    CompareReading read() {
        const PictureHeader header = picture_header(photo_.file, photo_.max_megapixels);
        FlatPhoto flat = flattened(header);
        for (const std::string& note : flat.assumed) out_.assumed.push_back(told(note));
        for (const std::string& note : flat.warnings) out_.warnings.push_back(told(note));
        out_.corners = std::move(flat.corners);
        Image light = photo_.mirrored == ComparePhoto::Mirrored::yes ? mirrored(flat.flat) : std::move(flat.flat);
        const PictureSize size = size_of(light, header);
        measure(std::move(light), size);
        return std::move(out_);
    }

private:
    std::string option(const std::string& name) const { return "--" + photo_.prefix + name; }

    /// Words of the common reader with this photo's options in them.
    std::string told(const std::string& words) const {
        std::string text = words;
        for (const char* name : {"corners", "white", "ravel-edge"})
            text = replaced(text, std::string("--") + name, option(name));
        text = replaced(text, "corners.png", photo_.name + "-corners.png");
        return photo_.name + ": " + text;
    }

    /// As long for its width as the piece is said to be.
    bool fills_by_its_shape(const PictureHeader& header) const {
        double shape = kUsualWidth / kUsualLength;
        if (!photo_.size.empty()) {
            const LengthPair size = parsed_length_pair(photo_.size, "--size");
            shape = size.first / size.second;
        }
        const double picture = static_cast<double>(header.width) / header.height;
        return std::abs(std::log((on_its_side() ? 1 / picture : picture) / shape)) < 2 * kShapeOff;
    }

    /// The whole picture where a ruler says how large it is, or where no piece is found on a table.
    std::string corners(const PictureHeader& header, const BlankOptions& options) {
        if (!photo_.corners.empty()) return photo_.corners;
        if (!photo_.ruler.empty()) return "picture";
        if (shows_a_blank({photo_.file, header}, options)) return "";
        if (!fills_by_its_shape(header)) {
            if (photo_.size.empty()) throw size_unknown();
            return "";  // looked for once more, and refused with advice
        }
        out_.assumed.push_back(photo_.name +
                               ": the piece fills the picture, since none was found on a table (else give " +
                               option("corners") + ")");
        return "picture";
    }

    FlatPhoto flattened(const PictureHeader& header) {
        BlankOptions options;
        options.white = photo_.white;
        options.ravel_edge = photo_.ravel_edge;
        options.max_megapixels = photo_.max_megapixels;
        options.corners = corners(header, options);
        const PhotoRequest request{chosen_lay(options).ravel_edge, photo_.undyed,
                                   PhotoRequest::CornersPicture::written};
        try {
            return flat_photo({photo_.file, header}, options, request, PhotoOf::painted_side);
        } catch (const Error& fault) {  // its options are called otherwise here
            std::string text = fault.what();
            for (const char* name : {"corners", "white", "ravel-edge"})
                text = replaced(text, std::string("--") + name, option(name));
            throw Error(fault.kind(), text);
        }
    }

    bool on_its_side() const { return photo_.ravel_edge == "left" || photo_.ravel_edge == "right"; }

    PictureSize size_of(const Image& flat, const PictureHeader& header) {
        const double shape = static_cast<double>(flat.columns()) / flat.rows();
        if (!photo_.ruler.empty()) {
            const Ruler ruler = parsed_ruler(photo_.ruler, option("ruler"));
            const double width = on_its_side() ? header.height : header.width;
            const double mm = ruler.mm / ruler.pixels * width;
            if (!(mm < kLongestSide && mm / shape < kLongestSide))
                throw Error(ErrorKind::usage, option("ruler") + ": makes the picture over 20 m; check its ends");
            out_.assumed.push_back(photo_.name + ": seen from straight above, the ruler on the cloth; the picture is " +
                                   number_text(mm / 10, 1) + " x " + number_text(mm / shape / 10, 1) + " cm");
            return {mm, mm / shape};
        }
        if (photo_.size.empty()) return usual_size(shape);
        const LengthPair size = parsed_length_pair(photo_.size, "--size");
        if (std::abs(std::log(size.first / size.second / shape)) > kShapeOff)
            out_.warnings.push_back(photo_.name + ": --size says " + photo_.size + ", but the photo's piece is " +
                                    number_text(shape, 2) + " times as wide as long; check the size or " +
                                    option("corners"));
        return {size.first.value, size.second.value};
    }

    Error size_unknown() const {
        return {ErrorKind::usage, photo_.file.string() +
                                      ": how large it is is not known; give --size (like 24x86cm) or " +
                                      option("ruler") + " (like 120,80,920,80=10cm)"};
    }

    PictureSize usual_size(double shape) {
        if (std::abs(std::log(kUsualWidth / kUsualLength / shape)) > 2 * kShapeOff) throw size_unknown();
        out_.assumed.push_back(photo_.name + ": 24 x 86 cm, as blanks usually are (not measured; give --size or " +
                               option("ruler") + "): millimetres are only as good as that");
        return {kUsualWidth, kUsualLength};
    }

    KnitLattice lattice_of(const Image& flat) const {
        if (!photo_.blank.empty()) {
            LatticeHint hint;
            hint.stitches = parsed_count_pair(photo_.blank, "--blank").first;
            if (KnitLattice lattice = knit_lattice(flat, hint); lattice.found()) return lattice;
        }
        return knit_lattice(flat);
    }

    void measure(Image flat, PictureSize size) {
        KnitLattice lattice = lattice_of(flat);
        if (lattice.found() && lattice.turn != QuarterTurn::none) {
            flat = turned(flat, lattice.turn);
            std::swap(size.width_mm, size.height_mm);
            lattice = lattice_of(flat);
            out_.assumed.push_back(photo_.name + ": turned by a quarter, so that its stitches stand upright");
        }
        if (lattice.found() && lattice.turn == QuarterTurn::none) {
            out_.picture = knitted_picture(flat, lattice, size);
            out_.assumed.push_back(photo_.name + ": " + std::to_string(lattice.stitches) + " x " +
                                   std::to_string(lattice.rows) +
                                   " rows counted, the light and shade of their loops taken off");
            out_.floor_mm = out_.picture.floor_mm();
            return;
        }
        out_.warnings.push_back(photo_.name + ": no stitches were counted (" + lattice.why_not +
                                "), so their light and shade are still in it; take a sharper or larger photo");
        out_.picture = plain_picture(std::move(flat), size);
        out_.floor_mm = out_.picture.floor_mm();
        if (!photo_.blank.empty())
            out_.floor_mm =
                std::max(out_.floor_mm, size.width_mm / parsed_count_pair(photo_.blank, "--blank").first / 2);
    }

    const ComparePhoto& photo_;
    CompareReading out_;
};

}  // namespace

void check_ruler(const std::string& text, const std::string& option) {
    if (!text.empty()) parsed_ruler(text, option);
}

CompareReading read_compare_photo(const ComparePhoto& photo) {
    return PhotoMeasurer(photo).read();
}

Plane stencil_coverage(const std::filesystem::path& stencil, double max_megapixels) {
    const PictureHeader header = picture_header(stencil, max_megapixels);
    const int shrink = std::max(1, std::max(header.width, header.height) / kStencilSide);
    return read_stencil(stencil, shrink, max_megapixels);
}

StencilColours colours_under(const Plane& coverage, const DyedPicture& photo) {
    constexpr int kSide = 120;  // cells each way: most lie whole in or beside the stencil
    constexpr double kWhole = 0.95;
    const Image light = resampled(
        photo.light, {0, 0, static_cast<double>(photo.light.columns()), static_cast<double>(photo.light.rows())}, kSide,
        kSide);
    const Plane share = resampled(
        coverage, {0, 0, static_cast<double>(coverage.columns()), static_cast<double>(coverage.rows())}, kSide, kSide);
    StencilColours out;
    double ground = 0, motif = 0;
    for (int r = 0; r < kSide; ++r)
        for (int c = 0; c < kSide; ++c) {
            if (share(r, c) <= 1 - kWhole) {
                out.ground += light(r, c);
                ++ground;
            } else if (share(r, c) >= kWhole) {
                out.motif += light(r, c);
                ++motif;
            }
        }
    out.ground = out.ground * (1 / std::max(1.0, ground));
    out.motif = out.motif * (1 / std::max(1.0, motif));
    return out;
}

DyedPicture stencil_as_dyed(const Plane& coverage, const DyedPicture& photo, const StencilColours& colours) {
    const KOverS bare = k_over_s(colours.ground), dye = k_over_s(colours.motif) - bare;
    Image light(coverage.rows(), coverage.columns());
    std::transform(coverage.begin(), coverage.end(), light.begin(),
                   [&](double share) { return linear_from_k_over_s(bare + dye * share); });
    return plain_picture(std::move(light), {photo.width_mm(), photo.height_mm()});
}

}  // namespace loopread::cli
