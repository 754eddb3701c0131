#pragma once

#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "loopread/lay/judging.h"
#include "loopread/lay/trials.h"
#include "loopread/shares/risk_sweep.h"
#include "loopread/table/bench.h"
#include "loopread/table/mixing.h"
#include "loopread/table/pictures.h"
#include "loopread/table/places.h"
#include "loopread/table/sureness.h"
#include "loopread/table/table.h"
#include "loopread/table/told.h"
#include "wasm/json_fields.h"

namespace loopread::wasm {

/// The picture that was drawn last: one of its own, or one that is kept elsewhere until the next is drawn.
class ShownPicture {
public:
    void keep(ScreenPicture picture) {
        own_ = std::move(picture);
        shown_ = &own_;
    }
    void point_at(const ScreenPicture& picture) { shown_ = &picture; }
    const ScreenPicture& now() const { return *shown_; }

private:
    ScreenPicture own_;
    const ScreenPicture* shown_ = &own_;
};

/// What a page asks of a dye table, as JSON.
class Answers {
public:
    Answers(DyeTable& table, ClothPictures& cloths) : table_(table), cloths_(cloths) {}

    Json settled() const;
    Json told() const;
    /// Draws and says how to find places in what was drawn.
    Json drawn(const Json& request, ShownPicture& pixels);
    /// "drawn" in a request: the socks on the screen, as another core drew them of the same state.
    Json place(const Json& request);
    Json weighed(const Json& request) const;
    /// A bounded piece of work each; anew where the state changed what it depends on.
    Json risk_step();
    Json ways_step();
    Json nudge_step();
    /// How far the answers hang on what nobody measured; of the risk too, if that has been worked out.
    Json sure_step();
    /// How each layer holds against what lies under it, a layer a step.
    Json bench_step();
    /// What to mix for the layers.
    Json mix(const Json& request);
    Json file(const Json& request, ShownPicture& pixels) const;

private:
    struct Asked {  // what slow answers depend on
        DyeTable::Versions versions;
        int knitters = 0;
        bool operator==(const Asked&) const = default;
    };
    Asked asked() const { return {table_.versions(), table_.state().knitters}; }
    AskedRound asked_round() const;
    RiskOptions risk_options() const;
    BlankToKnit blank_to_knit() const;
    LaidAs way_of(const Way& way) const;

    Json blank_drawn(const Fields& request, ShownPicture& pixels);
    Json fabric_drawn(const Fields& request, ShownPicture& pixels);
    Json sock_drawn(const Fields& request, ShownPicture& pixels);
    Json way_drawn(const Fields& request, ShownPicture& pixels);
    Json order_drawn(const Fields& request, ShownPicture& pixels) const;
    Json found_place(const TablePlaces& places, const BlankLoop& loop, double yarn_mm);
    Json nudge_found() const;
    Json risk_told() const;
    bool risk_known() const { return risk_ && risk_->asked == asked() && risk_->sweep.done(); }
    Json sure_told() const;

    DyeTable& table_;
    ClothPictures& cloths_;
    SockPlaces socks_;
    struct DrawnSocks {
        std::vector<SockPlace> places;
        double pixels_per_cm = 1;
    };
    static DrawnSocks drawn_socks(const Fields& said);
    DrawnSocks drawn_;  // those on the screen

    struct Risk {
        Asked asked;
        RiskSweep sweep;
    };
    std::optional<Risk> risk_;
    struct Ways {
        Asked asked;
        WaysInTurn turn;
    };
    std::optional<Ways> ways_;
    std::vector<JudgedWay> ranked_;
    struct Sure {
        Asked asked;
        bool of_risk = false;
        TableSureness sureness;
    };
    std::optional<Sure> sure_;
    struct Trials {
        Asked asked;
        NudgeTrials trials;
    };
    std::optional<Trials> nudge_;
    struct OnBench {
        std::uint64_t yarn_version = 0;
        Bench bench;
    };
    std::optional<OnBench> bench_;
    struct Reached {
        std::uint64_t yarn_version = 0;
        std::vector<AreaShare> areas;
    };
    std::optional<Reached> reached_;
};

}  // namespace loopread::wasm
