#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "loopread/base/quantity.h"
#include "loopread/doubt/percentile.h"
#include "loopread/doubt/repainted.h"
#include "loopread/lay/blank_to_knit.h"
#include "loopread/shape/rounds.h"
#include "loopread/shares/advice.h"
#include "loopread/shares/knitters.h"
#include "loopread/yarn/run.h"

namespace loopread {

/// Where the yarn comes from: a blank that can be painted and wound anew, or strands that are what they are.
struct DoubtedYarn {
    const RepaintedBlank* blank = nullptr;  ///< none: the strands
    std::vector<ColourRun> strands = {};
    WindingOptions winding = {};  ///< in use; its seed is that of the draws too
};

/// The ranges, those held that are no matter for this yarn: of its dye where it is as it is, of one strand's winding.
Ranges that_count(Ranges ranges, const DoubtedYarn& yarn);

/// What is knitted of it.
struct DoubtedKnitting {
    std::vector<int> strands = {1, 2};  ///< which are knitted, from 1
    FirstEnd first_end = FirstEnd::ravel_end;
    int alternate = 0;  ///< rounds before the other end is taken; 0: one end all along
    int stitches = 64;  ///< of the plain rounds
    Millimetres yarn_per_stitch{13};
    Worked worked = Worked::in_the_round;
    /// The piece, of so much yarn in a ball and a stitch.
    std::function<Garment(Millimetres yarn, Millimetres yarn_per_stitch)> garment;
};

/// The pool risk as worked out with the figures in use.
struct RiskInUse {
    std::vector<RoundRisk> risks;  ///< rising in stitches, of one end all along
    RiskOptions options;
};

struct DoubtPlan {
    Ranges ranges;
    int draws = 100;  ///< over 0
    int threads = 0;  ///< 0: as many as the machine has; the result is the same for any number
};

struct KindCount {
    std::string kind;  ///< of a Verdict
    int draws = 0;
};

/// The shares of the four looks over the draws.
struct ShareBands {
    Band stripe, pool, dash, speckle;
};

struct RiskDoubt {
    Band asked;               ///< at the asked-for stitches, whose yarn in a round is drawn too
    std::vector<Band> bands;  ///< at each of the round lengths in use: the yarn in that round is what it is
    int clear = 0;            ///< draws with which the asked-for round is clear
};

/// Figures by how much of an answer's variance goes with each, the largest first.
struct Mover {
    Unmeasured what = Unmeasured::wrap;
    double share = 0;
};

/// How far the answers move with what was not measured.
struct HowSure {
    int draws = 0;
    std::vector<KindCount> kinds;  ///< the most frequent first
    std::string kind_in_use;       ///< of the figures in use
    ShareBands shares;
    std::optional<Band> pair_mean_de00 = std::nullopt;  ///< of two strands
    std::optional<RiskDoubt> risk = std::nullopt;
    std::vector<Mover> verdict_moved_by, risk_moved_by;
    Band yarn_per_round_mm;
};

/// What the first knitted ball would look like, and who would pool, under each of many guesses at what nobody measured.
///
/// The guesses are a Latin hypercube over the stated ranges, independent of each other; the winding of two strands is
/// drawn anew each time. Each draw unravels, knits and is told in words as the figures in use are.
/// The risk of a draw is that in use and what the draw changes in it: a knitter who drifts, but whose loops are as long
/// as planned, knits every stitch count with the draw's yarn and with that in use, and what they differ by is the
/// change, weighted over neighbouring counts as loop lengths differ. (A loop 5 % longer pools where 5 % more stitches
/// would: what decides is the yarn in a round.) So a hundred knitters need not knit a hundred yarns. Validity: that the
/// truth lies in these ranges, independently, and is most likely what is in use, is a choice of this model. What it
/// takes as given (the blank's counts and loop length, creep, colours, the model itself) moves nothing.
///
/// @param risk  none: the risk is not asked for
/// @return      none where the figures in use give no shares
std::optional<HowSure> how_sure(DoubtedYarn yarn, DoubtedKnitting knitting, const DoubtPlan& plan,
                                std::optional<RiskInUse> risk = std::nullopt);

/// The same a draw at a time, for who must not wait: the same answer, to the bit.
class DrawsInTurn {
public:
    /// @param yarn  its blank outlives this
    DrawsInTurn(DoubtedYarn yarn, DoubtedKnitting knitting, const DoubtPlan& plan,
                std::optional<RiskInUse> risk = std::nullopt);
    ~DrawsInTurn();
    DrawsInTurn(DrawsInTurn&&) noexcept;
    DrawsInTurn& operator=(DrawsInTurn&&) noexcept;

    /// Whether the figures in use give shares; if not there is nothing to draw.
    bool tells() const;
    bool done() const;
    double progress() const;  ///< 0..1
    void step();              ///< @throws contract once done
    HowSure found() const;    ///< @throws contract unless done, and if there is nothing to tell

private:
    class Draws;
    std::unique_ptr<Draws> draws_;
};

/// The one figure that clearly moves an answer most: a tenth of its variance at least, and twice the next one's. chosen
std::optional<Unmeasured> clear_mover(const std::vector<Mover>& movers);

}  // namespace loopread
