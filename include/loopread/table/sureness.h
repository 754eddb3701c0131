#pragma once

#include <memory>
#include <optional>
#include <string>

#include "loopread/doubt/how_sure.h"
#include "loopread/table/table.h"

namespace loopread {

/// Where the figures that nobody has told a table may lie: one that stands at its default counts as not told.
Ranges untold_ranges(const DyeTable& table);

/// How far what a table tells hangs on what it was not told, a guess at a time.
class TableSureness {
public:
    /// Keeps nothing of the table.
    /// @param risk  none: the risk is not asked for
    explicit TableSureness(const DyeTable& table, std::optional<RiskInUse> risk = std::nullopt);

    /// Whether anything is left to guess, and the look can be told at all; if not there is no step to take.
    bool guesses() const { return draws_.has_value(); }
    bool done() const { return !draws_ || draws_->done(); }
    double progress() const { return draws_ ? draws_->progress() : 1; }
    void step();            ///< @throws contract once done
    HowSure found() const;  ///< @throws contract unless it guesses and is done

    /// Nothing at all is left to guess.
    bool all_told() const;
    const Ranges& ranges() const { return ranges_; }
    bool winds() const { return winds_; }  ///< two strands, by chance

private:
    Ranges ranges_;
    bool winds_ = false;
    std::unique_ptr<const RepaintedBlank> blank_;
    std::optional<DrawsInTurn> draws_;
};

/// What a figure is and where a dyer tells the table of it.
std::string finding_out_at_table(Unmeasured what);
/// The same for a knitter, who has the yarn as it is; empty for what she can do nothing about.
std::string finding_out_by_knitting(Unmeasured what);

}  // namespace loopread
