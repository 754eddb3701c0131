#include "cli/blank_measures.h"

#include <cmath>

#include "loopread/base/error.h"
#include "loopread/base/text.h"
#include "loopread/blank/defaults.h"

namespace loopread::cli {
namespace {

GivenMeasures given_or_counted(const BlankOptions& options, const std::optional<CountPair>& counted) {
    GivenMeasures given = given_measures(options);
    const std::optional<Density> density = counted_density(options);
    if (counted && !given.blank) {
        given.blank = counted;
        if (given.construction == Construction::tube) given.blank->first *= 2;  // one layer lies before us
        if (density && !given.size) given.size = size_of(*given.blank, *density, given.construction);
    }
    if (density && !given.blank)
        throw Error(ErrorKind::usage,
                    "--counted: needs --size to go with it (or --blank, or a photo in which the "
                    "stitches can be counted)");
    return given;
}

/// Width over length of the picture as it is laid, where it fills the blank.
std::optional<double> shape_that_fills(const BlankOptions& options, const Lay& lay,
                                       const std::optional<PictureHeader>& header) {
    // Where a quarter turn tiles of itself, it is the upright picture that fills the blank.
    Lay filling = lay;
    if (options.fit.empty()) {
        filling.fit = Fit::stretch;
        if (lay.fit == Fit::tile) filling.rotate = QuarterTurn::none;
    }
    if (!header || filling.fit != Fit::stretch) return std::nullopt;
    const TurnedSize size = turned_size(header->width, header->height, filling);
    return static_cast<double>(size.width) / size.height;
}

std::vector<std::string> stretch_warnings(const BlankLayout& layout, const std::optional<double>& shape) {
    const double own = layout.width() / layout.length();
    if (!shape || std::abs(std::log(*shape / own)) <= std::log(1 + kShapesDiffer)) return {};
    return {"the picture is " + number_text(1 / *shape, 2) + " times as long as wide, the blank " +
            number_text(1 / own, 2) +
            " times: it is stretched to fit; give --size or --blank, or lay it with --fit cover or tile"};
}

}  // namespace

PicturedMeasures pictured_measures(const BlankOptions& options, const Lay& lay,
                                   const std::optional<PictureHeader>& header,
                                   const std::optional<CountPair>& counted) {
    GivenMeasures given = given_or_counted(options, counted);
    const std::optional<double> shape = shape_that_fills(options, lay, header);
    given.picture_width_per_length = shape;
    if (given.size && shape && size_looks_turned(*given.size, *shape))
        throw Error(ErrorKind::usage, "--size: '" + options.size +
                                          "' is width x length, but the picture is the other way round; turn the "
                                          "two figures, or say with --ravel-edge where the blank comes apart");
    SettledMeasures settled_ones = settled(given);
    PicturedMeasures measures{settled_ones.layout, std::move(settled_ones.assumed), std::move(settled_ones.warnings)};
    measures.layout.tail = chosen_tail(options);
    measures.layout.painted = chosen_side(options);
    std::vector<std::string> more;
    const bool scale_known = given.size || given.strand_length || given.loop;
    if (scale_known && (counted_density(options) || counted))
        more = density_warnings(options, Millimetres{100} / measures.layout.wale_spacing,
                                Millimetres{100} / measures.layout.course_spacing);
    for (const std::vector<std::string>& found : {more, stretch_warnings(measures.layout, shape)})
        measures.warnings.insert(measures.warnings.end(), found.begin(), found.end());
    return measures;
}

}  // namespace loopread::cli
