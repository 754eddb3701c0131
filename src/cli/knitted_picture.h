#pragma once

#include <string>
#include <vector>

#include "cli/options.h"
#include "loopread/draw/fabric_sheet.h"
#include "loopread/fabric/fabric.h"
#include "loopread/image/image.h"
#include "loopread/yarn/run.h"

namespace loopread::cli {

/// One ball knitted up.
struct KnittedBall {
    std::string name;  ///< "ball A"
    ColourRun run;     ///< from the end that is knitted first
    Fabric fabric;
};

/// The asked-for balls, each knitted from its chosen end.
std::vector<KnittedBall> knitted_balls(const std::vector<ColourRun>& strands, const Knitting& knitting);

/// Fabric opened out, drawn so that single loops show.
struct FabricDrawing {
    double pixels_per_stitch = 12;
    int most_rounds = 100'000;
    std::uint64_t seed = 1;
};
Image drawn_fabric(const KnittedBall& ball, const Knitting& knitting, const FabricDrawing& drawing);

/// What to say where a stitch with this yarn cannot be drawn as it is; nothing where it can.
std::vector<std::string> drawing_warnings(const Knitting& knitting);

/// The balls side by side with scale bar and round numbers.
Picture8 knitted_sheet(const std::vector<KnittedBall>& balls, const Knitting& knitting, const FabricDrawing& drawing);

}  // namespace loopread::cli
