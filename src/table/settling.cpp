#include "table/settling.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/error.h"
#include "loopread/base/text.h"
#include "loopread/blank/measures.h"

namespace loopread {
namespace {

constexpr long long kMostLoops = 60'000;  // chosen: six times a usual blank; a page has little memory and one thread

GivenMeasures given_measures(const BlankState& blank, std::vector<std::string>& warnings) {
    GivenMeasures given;
    if (blank.stitches && blank.rows) given.blank = CountPair{*blank.stitches, *blank.rows};
    if (blank.stitches.has_value() != blank.rows.has_value())
        warnings.push_back("stitches without rows (or rows without stitches) are not used; count both");
    if (blank.width_cm && blank.length_cm)
        given.size = LengthPair{Millimetres{10 * *blank.width_cm}, Millimetres{10 * *blank.length_cm}};
    if (blank.width_cm.has_value() != blank.length_cm.has_value())
        warnings.push_back("a width without a length (or a length without a width) is not used; measure both");
    if (blank.strand_m) given.strand_length = Millimetres{1000 * *blank.strand_m};
    given.strands = blank.strands;
    given.construction = blank.construction;
    return given;
}

/// What the photo says of the blank, and what is to be said of the photo.
void take_count(const CountedPhoto& photo, const BlankState& blank, GivenMeasures& given, SettledTable& out) {
    if (!photo.why_not.empty()) {
        out.warnings.push_back("the stitches could not be counted in the photo: " + photo.why_not +
                               "; the shade of the loops is read as colour");
        return;
    }
    const std::string count =
        std::to_string(photo.cells.stitches) + " stitches x " + std::to_string(photo.cells.rows) + " rows";
    out.assumed.push_back(count + " counted in the photo (" + number_text(100 * photo.confidence, 0) + " % sure)");
    if (photo.upside_down)
        out.warnings.push_back(
            "the V's of the stitches open away from the ravel edge: the blank seems to come apart at the opposite "
            "side of the photo");
    if (!given.blank) {
        given.blank = CountPair{photo.cells.stitches, photo.cells.rows};
        if (blank.construction == Construction::tube) given.blank->first *= 2;  // one layer lies before us
    } else if (blank.construction == Construction::flat &&
               (given.blank->first != photo.cells.stitches || given.blank->second != photo.cells.rows)) {
        out.warnings.push_back("the photo shows " + count + ", the blank is set to " +
                               std::to_string(given.blank->first) + " x " + std::to_string(given.blank->second));
    }
}

void warn_of_shape(SettledTable& out, const std::optional<double>& shape) {
    const double own = out.layout.width() / out.layout.length();
    if (shape && std::abs(std::log(*shape / own)) > std::log(1 + kShapesDiffer))
        out.warnings.push_back("the picture is " + number_text(1 / *shape, 2) + " times as long as wide, the blank " +
                               number_text(1 / own, 2) +
                               " times: it is stretched to fit; measure the blank, or let the picture cover it or "
                               "repeat");
}

/// Width over length of a picture that fills the blank.
std::optional<double> picture_shape(const TableState& next, const SourcePicture& source) {
    if (!next.picture) return std::nullopt;
    if (source.empty())
        throw Error(ErrorKind::input, "picture: it is not there; choose it again, or take it off the blank");
    const FlatSize size =
        next.picture->corners.empty() ? FlatSize{source.width, source.height} : flat_size(next.picture->corners);
    Lay filling = lay_of(*next.picture, next.way);
    if (!next.picture->fit) {
        if (filling.fit == Fit::tile) filling.rotate = QuarterTurn::none;
        filling.fit = Fit::stretch;
    }
    if (filling.fit != Fit::stretch) return std::nullopt;
    const TurnedSize turned = turned_size(size.width, size.height, filling);
    return static_cast<double>(turned.width) / turned.height;
}

}  // namespace

Lay lay_of(const PictureState& picture, const LaidAs& way) {
    return {picture.ravel_edge, way.rotate, way.mirror, picture.fit.value_or(usual_fit(way.rotate))};
}

SettledTable settled_table(const TableState& next, const SourcePicture& source, const CountedPhoto* photo) {
    SettledTable out;
    GivenMeasures given = given_measures(next.blank, out.warnings);
    if (photo) take_count(*photo, next.blank, given, out);
    const std::optional<double> shape = picture_shape(next, source);
    given.picture_width_per_length = shape;
    if (given.size && shape && size_looks_turned(*given.size, *shape))
        throw Error(ErrorKind::usage,
                    "blank size: is width x length, but the picture is the other way round; turn the two figures, "
                    "or say at which edge of the picture the blank comes apart");
    SettledMeasures measures = settled(given);
    out.layout = measures.layout;
    if (static_cast<long long>(out.layout.stitches) * out.layout.rows > kMostLoops)
        throw Error(ErrorKind::usage, "blank: " + std::to_string(out.layout.stitches) + " x " +
                                          std::to_string(out.layout.rows) + " is over " + std::to_string(kMostLoops) +
                                          " stitches; a blank has about 10,000: check the numbers");
    out.layout.tail = next.blank.tail;
    out.layout.painted = next.blank.painted;
    if (Millimetres{next.dye.creep_mm} > std::min(out.layout.width(), out.layout.length()))
        throw Error(ErrorKind::usage,
                    "creep: " + number_text(next.dye.creep_mm, 1) + " mm is more than the blank; check its measures");
    out.knitting = settled(next.knitting);
    if (out.knitting.yarn_per_round() > out.layout.strand_length())
        throw Error(ErrorKind::usage,
                    "knitting: one round takes " + number_text(out.knitting.yarn_per_round().value / 1000, 1) +
                        " m, more than the " + number_text(out.layout.strand_length().value / 1000, 1) +
                        " m of the strand; ask for fewer stitches");
    for (auto* from : {&measures.assumed, &out.knitting.assumed})
        out.assumed.insert(out.assumed.end(), from->begin(), from->end());
    for (auto* from : {&measures.warnings, &out.knitting.warnings})
        out.warnings.insert(out.warnings.end(), from->begin(), from->end());
    warn_of_shape(out, shape);
    return out;
}

}  // namespace loopread
