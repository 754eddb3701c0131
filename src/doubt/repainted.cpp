#include "loopread/doubt/repainted.h"

#include <algorithm>
#include <array>
#include <cstddef>

#include "loopread/base/require.h"
#include "loopread/colour/difference.h"
#include "loopread/image/sampling.h"

namespace loopread {
namespace {

constexpr std::size_t kSamples = 4 * kSamplesPerPart;
constexpr std::size_t kMostLayers = 64;
constexpr int kCoursesOfAPair = 30;  // chosen: they tell the mean to about 3 %

}  // namespace

RepaintedBlank::RepaintedBlank(const BlankLayout& layout, const Paint& paint, const LoopShape& shape,
                               const CellShares& shares)
    : layout_(layout),
      shares_(shares),
      samples_(loop_samples(shape)),
      order_(ravel_order(layout)),
      penetration_in_use_(paint.penetration) {
    require(shares.strands() == layout.strands, "the shares are those of the blank's strands");
    require(paint.layers.size() <= kMostLayers, "a design has at most 64 layers");
    if (paint.other_side) known_ = SidesKnown::both;
    if (!paint.picture)
        for (const DyeLayer& layer : paint.layers) dyes_.push_back({layer.dye, layer.penetration});
    look_up(paint);
    if (!dyes_.empty() &&
        std::all_of(dyes_.begin(), dyes_.end(), [&](const Dye& dye) { return dye.penetration == penetration_in_use_; }))
        lay_together();
}

void RepaintedBlank::lay_together() {
    together_.resize(order_.size() * kSamples);
    for (std::size_t place = 0; place < together_.size(); ++place) {
        KOverS fibre = k_over_s(ground(place));
        bool dyed = false;
        for (std::size_t i = 0; i < dyes_.size(); ++i) {
            const double amount = amounts_[place * dyes_.size() + i];
            if (!(amount > 0)) continue;
            fibre = fibre + dyes_[i].full * amount;
            dyed = true;
        }
        if (dyed) together_[place] = linear_from_k_over_s(fibre);
    }
}

void RepaintedBlank::look_up(const Paint& paint) {
    const std::size_t places = order_.size() * kSamples;
    if (paint.ground.size() == 1)
        one_ground_ = paint.ground(0, 0);
    else
        ground_.reserve(places);
    if (paint.picture) front_.reserve(places);
    if (paint.picture && paint.other_side) back_.reserve(places);
    amounts_.reserve(places * dyes_.size());
    for (const LoopPlace& loop : order_) {
        const double wale_mm = layout_.wale_spacing.value;
        const double middle_x = (loop.column + 0.5) * wale_mm;
        const double middle_y = (loop.course + 0.5) * layout_.course_spacing.value;
        const double ahead = loop.travel == Travel::right ? wale_mm : -wale_mm;
        for (const LoopSample& sample : samples_) {
            const double x = (middle_x + ahead * sample.ahead) / paint.raster.mm_per_column;
            const double y = (middle_y - wale_mm * sample.raised) / paint.raster.mm_per_row;
            if (!one_ground_) ground_.push_back(at(paint.ground, x, y));
            if (paint.picture) front_.push_back(at(*paint.picture, x, y));
            if (paint.picture && paint.other_side) back_.push_back(at(*paint.other_side, x, y));
            if (!paint.picture)
                for (const DyeLayer& layer : paint.layers) amounts_.push_back(at(layer.amount, x, y));
        }
    }
}

bool RepaintedBlank::penetration_counts() const {
    return !front_.empty() || std::any_of(dyes_.begin(), dyes_.end(),
                                          [&](const Dye& dye) { return dye.penetration == penetration_in_use_; });
}

LinearRgb RepaintedBlank::pictured(std::size_t place, const Look& look) const {
    const LinearRgb under = ground(place);
    const LinearRgb front = front_[place];
    const double penetration = look.draw.penetration;
    if (back_.empty()) return mixed(under, front, look.painted + penetration * (1 - look.painted));
    const LinearRgb back = back_[place];
    const double over = std::max(1.0, look.painted + look.other);
    const double from_front = look.painted / over;
    const double from_back = look.other / over;
    const double unseen = 1 - from_front - from_back;
    return front * from_front + back * from_back + mixed(under, mixed(front, back, 0.5), penetration) * unseen;
}

LinearRgb RepaintedBlank::layered(std::size_t place, const Look& look) const {
    const LinearRgb under = ground(place);
    if (!together_.empty())
        return together_[place]
                   ? mixed(under, *together_[place], look.painted + look.draw.penetration * (1 - look.painted))
                   : under;
    struct Reach {
        double dyed;
        KOverS dye;
    };
    std::array<Reach, kMostLayers> reached;
    std::size_t count = 0;
    for (std::size_t i = 0; i < dyes_.size(); ++i) {
        const double amount = amounts_[place * dyes_.size() + i];
        if (!(amount > 0)) continue;
        const double own = dyes_[i].penetration;
        const double penetration = own == penetration_in_use_ ? look.draw.penetration : own;
        reached[count++] = {look.painted + penetration * (1 - look.painted), dyes_[i].full * amount};
    }
    if (count == 0) return under;
    std::sort(reached.begin(), reached.begin() + static_cast<std::ptrdiff_t>(count),
              [](const Reach& a, const Reach& b) { return a.dyed > b.dyed; });
    KOverS fibre = k_over_s(under);
    LinearRgb colour = under * (1 - reached[0].dyed);
    for (std::size_t i = 0; i < count; ++i) {
        fibre = fibre + reached[i].dye;
        const double next = i + 1 < count ? reached[i + 1].dyed : 0.0;
        if (reached[i].dyed > next) colour += linear_from_k_over_s(fibre) * (reached[i].dyed - next);
    }
    return colour;
}

LinearRgb RepaintedBlank::colour(std::size_t place, const Look& look) const {
    return front_.empty() ? layered(place, look) : pictured(place, look);
}

LinearRgb RepaintedBlank::part_colour(std::size_t loop, std::size_t part, int strand, const Draw& draw,
                                      const Winding& winding) const {
    const double start_mm = static_cast<double>(loop) * layout_.loop_length.value;
    LinearRgb sum{};
    for (std::size_t k = part * kSamplesPerPart; k < (part + 1) * kSamplesPerPart; ++k) {
        const LoopSample& sample = samples_[k];
        const double angle =
            layout_.strands == 1 ? 0.0 : winding.angle(start_mm + sample.along * layout_.loop_length.value);
        const SeenShares shown = seen_shares(layout_, shares_, known_, order_[loop], strand, sample.place, angle);
        const Look look{draw, std::min(1.0, shown.painted * (1 + draw.wrap)),
                        std::min(1.0, shown.other * (1 + draw.wrap))};
        sum += (1.0 / kSamplesPerPart) * colour(loop * kSamples + k, look);
    }
    return sum;
}

ColourRun RepaintedBlank::strand(int strand, const Draw& draw) const {
    require(strand >= 0 && strand < layout_.strands, "a strand of the blank");
    const Winding winding(draw.winding, layout_.strand_length());
    std::vector<Piece> pieces;
    pieces.reserve(order_.size() * 4);
    for (std::size_t i = 0; i < order_.size(); ++i) {
        std::size_t part = 0;
        for (Piece piece : loop_pieces(layout_, order_[i], i)) {
            piece.colour = part_colour(i, part++, strand, draw, winding);
            pieces.push_back(piece);
        }
    }
    return ColourRun(std::move(pieces));
}

int RepaintedBlank::course_step() const {
    return std::max(1, layout_.rows / kCoursesOfAPair);
}

double RepaintedBlank::pair_mean_de00(const ColourRun& run, int strand, const Draw& draw) const {
    if (layout_.strands < 2) return 0;
    require(run.pieces().size() == 4 * order_.size(), "the run is one of this blank's");
    const Winding winding(draw.winding, layout_.strand_length());
    double sum = 0;
    std::size_t count = 0;
    for (std::size_t i = 0; i < order_.size(); ++i) {
        if (order_[i].course % course_step() != 0) continue;
        for (std::size_t part = 0; part < 4; ++part, ++count) {
            const LinearRgb one = run.pieces()[4 * i + part].colour;
            const LinearRgb other = part_colour(i, part, 1 - strand, draw, winding);
            if (!(one == other)) sum += delta_e_2000(lab_from_linear(one), lab_from_linear(other));
        }
    }
    return sum / static_cast<double>(count);
}

}  // namespace loopread
