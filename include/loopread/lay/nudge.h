#pragma once

#include <functional>
#include <string>
#include <vector>

#include "loopread/blank/paint.h"
#include "loopread/lay/motifs.h"

namespace loopread {

/// A small change that keeps a design what it is.
struct Nudge {
    double scale = 1;           ///< of everything
    double spacing_across = 1;  ///< of the distances between motifs, which keep their size
    double spacing_along = 1;
    double stagger_mm = 0;  ///< every other line of motifs (of a whole: every other band) goes to the right by so much
    double slant = 0;       ///< mm to the right for every mm towards the far end

    bool operator==(const Nudge&) const = default;
    /// How much it changes, in cm over 10 cm of the design: all parts together as a root of squares. chosen: what a
    /// neighbourhood of that size is bent by, so that a scale does not count for more the longer the blank is.
    double change_cm() const;
};

/// Limits of what still keeps the design. All chosen, but for the 15 % of scale and spacing the job asks for.
inline constexpr double kMostScale = 0.15;
inline constexpr double kMostSlant = 0.25;    ///< 14 degrees
inline constexpr double kStaggerBandMm = 40;  ///< height of a band where there are no motifs

/// Nudges from the least to the greatest change: each kind alone, then two kinds together. Motif spacing only where
/// there are motifs.
std::vector<Nudge> nudges_to_try(const Motifs& motifs);

/// The paint with its design nudged, about the middle of the blank; what leaves the blank at one edge comes in at the
/// other. The ground stays. Where motifs are separate they move whole; else the design is bent as a whole.
/// @param paint   before it creeps
/// @param motifs  of that paint
Paint nudged(const Paint& paint, const Motifs& motifs, const Nudge& nudge);

/// What to do with the design, in cm, one change a sentence; "nothing" for the nudge that changes nothing.
std::vector<std::string> nudge_in_words(const Nudge& nudge, const Motifs& motifs);

struct NudgeSearch {
    Nudge nudge;            ///< the least that is clear; if none is, the best found
    double worst_risk = 1;  ///< with it, over the round lengths asked for
    double risk_before = 1;
    std::size_t tried = 0;
    bool clear = false;
};

/// The search for the least change, one nudge at a time: first the design as it lies, then from the least change to the
/// greatest, up to the first that is clear.
class LeastNudge {
public:
    /// @param nudges  from the least change to the greatest
    LeastNudge(std::vector<Nudge> nudges, double clear_risk);

    bool done() const;
    /// The nudge whose risk is wanted next. @throws contract once done
    const Nudge& next() const;
    /// A risk over this need not be told exactly.
    double enough() const { return found_.worst_risk; }
    /// @param worst_risk  of next(), over all round lengths
    void add(double worst_risk);

    const NudgeSearch& found() const { return found_; }
    std::size_t nudges() const { return nudges_.size(); }

private:
    std::vector<Nudge> nudges_;
    double clear_risk_ = 0;
    bool begun_ = false;  // the design as it lies was looked at
    NudgeSearch found_;
};

/// The whole search at once.
/// @param worst_risk  of a nudge, over all round lengths; once over its second argument it may stop and return that
/// @param tried       told after each: how many of how many
NudgeSearch least_nudge(const std::vector<Nudge>& nudges, double clear_risk,
                        const std::function<double(const Nudge&, double)>& worst_risk,
                        const std::function<void(std::size_t, std::size_t)>& tried);

}  // namespace loopread
