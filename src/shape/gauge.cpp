#include "loopread/shape/gauge.h"

#include <cmath>
#include <string>

#include "loopread/base/error.h"
#include "loopread/base/require.h"
#include "loopread/base/text.h"

namespace loopread {

namespace {

constexpr double kFinestGauge = 200;
constexpr double kMostUneven = 5;  // rows to stitches, or stitches to rows; chosen: plain knitting has about 1.3
constexpr double kGaugeWidthMm = 100;

// A count that is halfway but for the last bits of its arithmetic goes up like one that is exactly halfway.
constexpr double kTieSlack = 1e-9;

int nearest(double count) {
    return static_cast<int>(std::floor(count + 0.5 + kTieSlack));
}

}  // namespace

void check_gauge(const Gauge& gauge) {
    for (const double figure : {gauge.stitches, gauge.rows})
        if (!(figure > 0 && figure <= kFinestGauge))
            throw Error(ErrorKind::usage, "--gauge " + number_text(gauge.stitches, 2) + "x" +
                                              number_text(gauge.rows, 2) +
                                              ": both figures must be over 0 and at most 200; give the stitches and "
                                              "the rows counted in 10 cm, like 32x42");
    const double rows_per_stitch = gauge.rows / gauge.stitches;
    if (rows_per_stitch > kMostUneven || rows_per_stitch < 1 / kMostUneven)
        throw Error(ErrorKind::usage, "--gauge " + number_text(gauge.stitches, 2) + "x" + number_text(gauge.rows, 2) +
                                          ": no knitting has stitches of that shape; count stitches across and rows "
                                          "along 10 cm, like 32x42");
}

int rounds_over(Millimetres length, const Gauge& gauge) {
    check_gauge(gauge);
    return nearest(length.value * gauge.rows / kGaugeWidthMm);
}

int stitches_over(Millimetres width, const Gauge& gauge, int multiple) {
    check_gauge(gauge);
    require(multiple > 0, "multiple > 0");
    return multiple * nearest(width.value * gauge.stitches / kGaugeWidthMm / multiple);
}

}  // namespace loopread
