#pragma once

#include <optional>
#include <string>
#include <vector>

#include "loopread/contrast/layers.h"
#include "loopread/contrast/remedy.h"
#include "loopread/table/layers.h"
#include "loopread/table/table.h"

namespace loopread {

/// One strength of a layer on what lies under it.
struct BenchStrength {
    double strength = 1;
    LinearRgb colour;
    double l = 0;  ///< L* of that colour
    Apart apart;
    std::string stir;  ///< "1 part paste to 3 parts plain paste, not water"
};

struct BenchRemedy {
    Remedy remedy;
    std::string words;               ///< "two steps darker (four times the dye)"
    std::optional<double> strength;  ///< of the layer, where its own dye can be made so strong
};

/// What the bench tells of one layer.
struct BenchLayer {
    std::string id;
    LayerContrast contrast;
    double lost_share = 0;                 ///< of the places it is painted on: lost there, whatever the mean says
    double l = 0, ground_l = 0;            ///< L* of the motif, and of what lies under it
    std::vector<BenchRemedy> remedies;     ///< of a layer that is lost, or of the part of it that is
    std::vector<BenchStrength> strengths;  ///< full, half, quarter
    std::vector<BenchStrength> even;  ///< in even steps of L*; none where the dye does not darken what lies under it
};

/// Whether the table's layers hold against what lies under them, as painted, before they creep: layer by layer, each
/// takes a moment.
class Bench {
public:
    explicit Bench(const DyeTable& table);
    bool done() const { return told_.size() == shown_.size(); }
    void step();
    double progress() const;
    const std::vector<BenchLayer>& told() const { return told_; }

private:
    BenchLayer told_of(const TableLayer& layer, const LayerContrast& contrast) const;
    std::vector<LayerContrast> at_places(std::size_t layer) const;

    std::vector<TableLayer> shown_;
    LinearRgb undyed_;
    Paint paint_;
    std::vector<std::vector<PixelPlace>> painted_;  // of each layer, a place a stitch
    std::vector<BenchLayer> told_;
};

/// The same layers put on in another order.
struct TriedOrder {
    LayerOrder order = LayerOrder::as_put_on;
    Paint paint;
};
TriedOrder tried_order(const DyeTable& table, LayerOrder order);

/// The largest CIEDE2000 between the two orders anywhere on the blank: 0 where they come out alike.
double order_difference(const DyeTable& table);

/// "holds", "lost in light and dark", and whether the hue alone tells them apart.
std::string in_words(const Apart& apart);

}  // namespace loopread
