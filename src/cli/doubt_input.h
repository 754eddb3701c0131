#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "cli/blank_input.h"
#include "cli/options.h"
#include "loopread/doubt/how_sure.h"

namespace loopread::cli {

/// How many guesses at what nobody measured.
struct DoubtOptions {
    int draws = 100;  ///< 0: none, and nothing is said of how sure the answers are
};
void add_doubt(CLI::App& command, DoubtOptions& options);
/// @throws Error(usage) for a count out of range
void check_doubt(const DoubtOptions& options);

/// A figure that nobody measured, or that somebody did.
struct DoubtedFigure {
    Unmeasured what = Unmeasured::wrap;
    Range range;
    std::string why;  ///< why it is drawn from there, or held
};

/// All that how_sure needs to know of a command's input, and the answer's words need too.
class Doubts {
public:
    /// @param blank  none for a yarn file
    Doubts(const BlankInput* blank, std::vector<ColourRun> strands, const WindingOptions& winding);
    /// Figures measured are held, or drawn from their own span; the others from the stated ranges.
    void settle(const BlankOptions& blank, const KnitOptions& typed, const Knitting& knitting);

    const std::vector<DoubtedFigure>& figures() const { return figures_; }
    /// Two strands, which wind by chance.
    bool winds() const { return blank_ && blank_->strands() == 2; }
    Ranges ranges() const;
    /// Nothing at all is left to guess.
    bool all_known() const;
    /// @param risk  none: the risk is not asked for
    std::optional<HowSure> how_sure(const Knitting& knitting, int draws,
                                    std::optional<RiskInUse> risk = std::nullopt) const;

private:
    DoubtedFigure dye_figure(Unmeasured what, const BlankOptions& options, double used) const;

    const BlankInput* input_ = nullptr;
    std::optional<RepaintedBlank> blank_;
    std::vector<ColourRun> strands_;
    WindingOptions winding_;
    std::vector<DoubtedFigure> figures_;
};

}  // namespace loopread::cli
