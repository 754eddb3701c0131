#include "loopread/raster/cloth.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/require.h"

namespace loopread {

Cloth::Cloth(int rows, int columns, int strands)
    : rows_(rows), columns_(columns), strands_(strands), worked_(rows, columns, 0), angle_(rows, columns, 0) {
    require(rows > 0 && columns > 0 && (strands == 1 || strands == 2), "cloth has loops of one strand or two");
    colours_.resize(static_cast<std::size_t>(rows) * static_cast<std::size_t>(columns) *
                    static_cast<std::size_t>(strands) * kPlaces);
}

Cloth fabric_cloth(const Fabric& fabric, const ColourRun& run, int most_rounds) {
    const int rows = std::min(most_rounds, static_cast<int>(fabric.rounds.size()));
    require(rows > 0, "the fabric has rounds");
    int widest = 0;
    for (int r = 0; r < rows; ++r) widest = std::max(widest, fabric.rounds[static_cast<std::size_t>(r)].round.stitches);
    Cloth cloth(rows, widest, 1);
    const double yarn = fabric.yarn_per_stitch.value;
    for (int r = 0; r < rows; ++r) {
        const FabricRound& round = fabric.rounds[static_cast<std::size_t>(r)];
        const bool rightward = round.round.runs == Runs::back;
        for (std::size_t i = round.first; i < round.end; ++i) {
            const int k = static_cast<int>(i - round.first);
            const int row = rows - 1 - r;
            const int column = rightward ? k + widest - round.round.stitches : widest - 1 - k;
            cloth.set_worked(row, column);
            LinearRgb* colour = cloth.loop(row, column, 0);
            for (int p = 0; p < Cloth::kPlaces; ++p) {
                const int along = rightward ? p : Cloth::kPlaces - 1 - p;  // colours run left to right
                const double from = (static_cast<double>(i) + static_cast<double>(along) / Cloth::kPlaces) * yarn;
                colour[p] = run.mean(from, from + yarn / Cloth::kPlaces);
            }
        }
    }
    return cloth;
}

}  // namespace loopread
