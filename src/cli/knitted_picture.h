#pragma once

#include <string>
#include <vector>

#include "cli/options.h"
#include "loopread/draw/fabric_sheet.h"
#include "loopread/fabric/fabric.h"
#include "loopread/image/image.h"
#include "loopread/lay/blank_to_knit.h"
#include "loopread/loop/interlacing.h"
#include "loopread/raster/cloth.h"
#include "loopread/yarn/run.h"

namespace loopread::cli {

/// One ball (or, alternating, two ends of yarn) knitted up.
struct KnittedBall {
    std::string name;    ///< "ball A"; "sock 1" where two balls take turns
    ColourRun run;       ///< from the end that is knitted first
    double ball_mm = 0;  ///< yarn there was for it
    Garment garment;     ///< as planned
    Fabric fabric;
};

Millimetres shortest_of(const std::vector<ColourRun>& runs);
/// @throws Error(usage) where one round takes more than the yarn there is
void check_round_fits(Millimetres yarn, const Knitting& knitting);

/// The piece: rounds as far as the yarn goes, where the shape leaves that open.
Garment planned_garment(const Knitting& knitting, double yarn_mm);

/// The asked-for balls, each knitted from its chosen end.
std::vector<KnittedBall> knitted_balls(const std::vector<ColourRun>& strands, const Knitting& knitting);

/// Which end of a ball is knitted first.
FirstEnd first_end(const Knitting& knitting);
/// Each ball from the end that is knitted first.
std::vector<ColourRun> runs_to_knit(const std::vector<ColourRun>& strands, const Knitting& knitting);
/// The two ends of yarn of each piece of a pair where the balls take turns.
std::vector<TwoEnds> ends_to_knit(const std::vector<ColourRun>& runs, int every);

/// Fabric opened out, drawn so that single loops show.
struct FabricDrawing {
    double pixels_per_stitch = 12;
    int most_rounds = 100'000;
    std::uint64_t seed = 1;
    int sights = ClothLook{}.sights;
};
double pixels_per_round(const FabricDrawing& drawing, const Knitting& knitting);
/// A plain piece of the yarn with the knitting's stitches, at any stitch count; at most so many rounds.
KnittedBall plain_piece(const ColourRun& run, const Knitting& knitting, int stitches, int rounds);
Image drawn_fabric(const KnittedBall& ball, const Knitting& knitting, const FabricDrawing& drawing);
/// A stitch of the knitting as it can be drawn.
DrawnShape drawn_stitch(const Knitting& knitting);

/// What to say where a stitch with this yarn cannot be drawn as it is, and where a ball is too short for its piece.
std::vector<std::string> knitting_warnings(const std::vector<KnittedBall>& balls, const Knitting& knitting);

/// The balls side by side with scale bar and round numbers.
Picture8 knitted_sheet(const std::vector<KnittedBall>& balls, const Knitting& knitting, const FabricDrawing& drawing);

/// Socks (hats, shawls) laid flat side by side, with what lies where and how much yarn is left.
struct FlatDrawing {
    double pixels_per_cm = 40;
    std::uint64_t seed = 1;
};
/// @param blank_rows  of the blank the yarn came from; 0: not from a blank
Picture8 laid_flat_sheet(const std::vector<KnittedBall>& balls, const Knitting& knitting, int blank_rows,
                         const FlatDrawing& drawing);

/// "62 m left over, 29 % of the ball" or "runs out in the foot; 23 m more is needed".
std::string yarn_left_in_words(const KnittedBall& ball, const Knitting& knitting);

}  // namespace loopread::cli
