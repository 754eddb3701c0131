#pragma once

#include <cstdint>
#include <vector>

#include "loopread/wound/ball.h"
#include "loopread/wound/half_ravelled.h"
#include "loopread/wound/skein.h"
#include "loopread/wound/strand_painter.h"

namespace loopread {

/// One strand at a time, ball A beside ball B, both wound as one, or what is left of the blank with its yarn.
enum class WoundKind { skein, hank, ball, cake, pair, together, half_ravelled };

enum class Crimp { washed_out, just_unravelled };

struct WoundPictureOptions {
    WoundKind kind = WoundKind::skein;
    int rows = 2000, columns = 2000;
    Ground ground;
    Millimetres girth{1500};
    Millimetres diameter{0.715};  ///< of the yarn
    Millimetres loop{21};         ///< of the blank, which crimped the yarn
    Crimp crimp = Crimp::washed_out;
    Outside outside = Outside::far_end;
    int strand = 0;  ///< of skein, hank, ball and cake
    std::uint64_t seed = 1;
    int threads = 0;
    KeepAlbedo keep_albedo = KeepAlbedo::no;
};

/// The same yarn off the blank and on it, a run a strand each.
struct BlankRuns {
    std::vector<ColourRun> yarn;
    std::vector<ColourRun> painted;  ///< as if dyed through: what the side that took the paint looks like
};

/// Yarn as it lies, to be looked at from one side.
struct LaidYarn {
    std::vector<StrandPath> paths;
    std::vector<ColourRun> runs;  ///< one for each strand that a path names
    double elevation = 0;         ///< from which it is seen, radians over the table
};

/// What wound_picture and half_ravelled_picture show. Laying takes one core, painting as many as there are: who makes
/// several pictures lays the next while one is painted.
LaidYarn laid_yarn(const std::vector<ColourRun>& runs, const WoundPictureOptions& options);
LaidYarn laid_half_ravelled(const BlankRuns& runs, const HalfRavelledOptions& blank);
PaintedStrands painted_picture(const LaidYarn& yarn, const WoundPictureOptions& options);

/// A picture as large as it fits. Shadows fall to the lower right.
/// @param runs  of the strands; a pair needs two
/// @throws contract if a strand is shorter than one turn, or half_ravelled was asked for (see below)
PaintedStrands wound_picture(const std::vector<ColourRun>& runs, const WoundPictureOptions& options);

/// The blank half ravelled with its yarn beside it: what is left shows its painted side, what is off all of itself.
PaintedStrands half_ravelled_picture(const BlankRuns& runs, const HalfRavelledOptions& blank,
                                     const WoundPictureOptions& options);

}  // namespace loopread
