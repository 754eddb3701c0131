#pragma once

#include <optional>
#include <string>
#include <vector>

#include "loopread/image/image.h"

namespace loopread {

/// From and to, of knitters (0..1) or of centimetres.
struct PoolingChartSpan {
    double from = 0, to = 0;
};

/// One stitch count of the chart.
struct PoolingChartPoint {
    int stitches = 0;
    double yarn_per_round_cm = 0;
    double risk = 0;                                       ///< share of the knitters, the larger of both balls, 0..1
    std::optional<double> risk_alternated = std::nullopt;  ///< the same with two ends knitted by turns
    std::optional<PoolingChartSpan> band = std::nullopt;   ///< where the risk may lie
};

/// A stretch of the chart where hardly anyone's knitting pools.
struct PoolingChartStretch {
    double from_cm = 0, to_cm = 0;
    std::string label;  ///< "79 to 83 cm: 60 and 64 stitches"
};

/// A piece of drawn fabric under the chart.
struct PoolingSwatch {
    Image fabric;
    std::string title;               ///< "as asked"
    std::vector<std::string> lines;  ///< captions
};

struct PoolingChart {
    std::string headline;
    std::string subtitle;
    std::vector<PoolingChartPoint> points;  ///< at least one; centimetres rising
    double asked_cm = 0;                    ///< yarn in one round as asked for
    int asked_stitches = 0;
    double clear_risk = 0;                   ///< at or below: clear
    std::vector<PoolingChartStretch> clear;  ///< rising, not overlapping
    std::vector<PoolingSwatch> swatches;
    std::vector<std::string> advice;  ///< a short paragraph each
    std::string how_sure = {};        ///< under the headline; may be empty
    std::string band_is = {};         ///< what the points' bands are: "Grey band: where ..."
    std::optional<PoolingChartSpan> asked_span =
        std::nullopt;          ///< centimetres between which the asked-for round may lie
    std::string span_is = {};  ///< what that is
};

/// Out of 100 knitters, how many would see pools, over the yarn in one round: a chart with pieces of fabric and advice
/// under it. Its axis runs over the points and the asked-for round.
Picture8 pooling_chart(const PoolingChart& chart);

}  // namespace loopread
