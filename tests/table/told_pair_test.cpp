#include <doctest/doctest.h>

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <vector>

#include "loopread/colour/difference.h"
#include "loopread/table/told.h"
#include "loopread/unravel/unravelled.h"
#include "table/table_scene.h"

using namespace loopread;

namespace {

constexpr double kRounding = 1e-9;  // of some hundred differences added up in another order

/// Mean difference of the balls over every eighth row, had the strands wound by another seed.
double wound_otherwise(const DyeTable& table, std::uint64_t seed) {
    WindingOptions winding = table.winding();
    winding.seed = seed;
    const std::vector<ColourRun> strands =
        unravelled(table.settled().layout, table.paint(), table.shape(), table.shares(), winding);
    double sum = 0;
    int count = 0;
    for (std::size_t i = 0; i < strands[0].pieces().size(); ++i) {
        const Piece &a = strands[0].pieces()[i], &b = strands[1].pieces()[i];
        if (a.course % 8 != 0) continue;
        sum += delta_e_2000(lab_from_linear(a.colour), lab_from_linear(b.colour));
        ++count;
    }
    return sum / count;
}

}  // namespace

TEST_SUITE("table") {
    TEST_CASE("how unlike the balls are is told from the least to the most of five windings, not of the one drawn") {
        const TableState state = harbour_table();
        DyeTable table;
        table.apply(state);
        const Told told = loopread::told(table);
        REQUIRE(told.pair.has_value());
        double least = told.pair->own.mean_de00, most = least;
        for (std::uint64_t step = 1; step <= 4; ++step) {
            const double mean = wound_otherwise(table, state.seed + 1000 * step);
            least = std::min(least, mean);
            most = std::max(most, mean);
        }
        CHECK(told.pair->range.least == doctest::Approx(least).epsilon(kRounding));
        CHECK(told.pair->range.most == doctest::Approx(most).epsilon(kRounding));
        CHECK(told.pair->range.least < told.pair->range.most);
    }
}
