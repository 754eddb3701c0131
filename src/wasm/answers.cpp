#include "wasm/answers.h"

#include <algorithm>
#include <chrono>
#include <cmath>

#include "loopread/base/error.h"
#include "loopread/base/text.h"
#include "loopread/lay/change.h"
#include "loopread/lay/ways.h"
#include "loopread/shares/round_lengths.h"
#include "loopread/yarn/file.h"
#include "loopread/yarn/reduced.h"
#include "wasm/page_words.h"

namespace loopread::wasm {
namespace {

constexpr int kPaletteColours = 8;

double rounded(double value, int decimals) {
    const double scale = std::pow(10.0, decimals);
    return std::round(value * scale) / scale;
}

std::string hex(LinearRgb colour) {
    return hex_text(srgb8_from_linear(colour));
}

Json texts(const std::vector<std::string>& list) {
    Json out = Json::array();
    for (const std::string& text : list) out.push_back(page_words(text));
    return out;
}

template <class T>
Json or_null(const std::optional<T>& value) {
    return value ? Json(*value) : Json(nullptr);
}

Json shares_json(const Shares& s) {
    Json json{{"stripe", s.stripe},   {"pool", s.pool},     {"dash", s.dash},
              {"speckle", s.speckle}, {"lean", s.lean},     {"colour_range", s.colour_range},
              {"fade", s.fade},       {"wiggle", s.wiggle}, {"pooled_contrast", s.pooled_contrast}};
    if (!s.why_none.empty()) json["why_none"] = s.why_none;
    return json;
}

PictureBox box_of(const Fields& request) {
    constexpr NumberRange kSide{1, 8192};
    const auto width = request.whole("width", kSide);
    const auto height = request.whole("height", kSide);
    if (!width || !height) throw Error(ErrorKind::usage, "drawing: its width and height in pixels are missing");
    return {static_cast<int>(*width), static_cast<int>(*height)};
}

int ball_of(const Fields& request, int otherwise) {
    return static_cast<int>(request.whole("ball", {1, 2}).value_or(otherwise));
}

Drawing drawing_of(const Fields& request) {
    return request.truth("quick").value_or(true) ? Drawing::quick : Drawing::lively;
}

Json sized(const ScreenPicture& picture) {
    return {{"width", picture.width}, {"height", picture.height}};
}

Json fabric_json(const FabricPicture& fabric) {
    Json json = sized(fabric.picture);
    json.update({{"pixels_per_stitch", fabric.pixels_per_stitch},
                 {"pixels_per_round", fabric.pixels_per_round},
                 {"stitches", fabric.stitches},
                 {"rounds", fabric.rounds},
                 {"from_round", fabric.from_round},
                 {"rounds_in_all", fabric.rounds_in_all}});
    return json;
}

FabricRequest fabric_request(const Fields& request) {
    FabricRequest out;
    out.box = box_of(request);
    out.ball = ball_of(request, 1);
    out.from_round = static_cast<int>(request.whole("from_round", {0, 1'000'000}).value_or(0));
    out.drawing = drawing_of(request);
    return out;
}

const char* side_name(Painted painted) {
    return painted == Painted::face ? "face" : "back";
}

/// The layers as a design.toml, over the stencils that the page saves beside it. Dips are stencils of full penetration.
std::string design_toml(const TableState& state) {
    std::string toml = "undyed = " + toml_text(hex_text(state.blank.undyed)) + "\n\n[ground]\n";
    toml +=
        state.picture ? "picture = \"picture.png\"\n" : "colour = " + toml_text(hex_text(state.blank.undyed)) + "\n";
    int number = 0;
    for (const TableLayer& layer : state.layers) {
        if (layer.on == TableLayer::Shown::no) continue;
        const bool dip = std::holds_alternative<Dip>(layer.form);
        toml += "\n[[layer]]\nname = " + toml_text(layer.name) + "\nstencil = \"stencil-" + std::to_string(++number) +
                ".png\"\ncolour = " + toml_text(hex_text(layer.colour)) +
                "\nstrength = " + number_text(layer.strength, 4) +
                "\npenetration = " + number_text(dip ? 1 : layer.penetration, 4) + "\n";
    }
    return toml;
}

}  // namespace

// ---- what the state comes to

Json Answers::settled() const {
    const SettledTable& settled = table_.settled();
    const BlankLayout& layout = settled.layout;
    const TableKnitting& knitting = settled.knitting;
    return {{"stitches", layout.stitches},
            {"rows", layout.rows},
            {"strands", layout.strands},
            {"width_cm", rounded(layout.width().value / 10, 4)},
            {"length_cm", rounded(layout.length().value / 10, 4)},
            {"strand_m", rounded(layout.strand_length().value / 1000, 4)},
            {"loop_mm", rounded(layout.loop_length.value, 4)},
            {"ball_g", table_.state().blank.ball_g},
            {"gauge_stitches", knitting.gauge.stitches},
            {"gauge_rows", knitting.gauge.rows},
            {"yarn_per_round_cm", rounded(knitting.yarn_per_round().value / 10, 4)},
            {"yarn_per_stitch_mm", rounded(knitting.yarn_per_stitch.value, 4)},
            {"sock", knitting.sock.has_value()},
            {"yarn_version", table_.versions().yarn},
            {"knitting_version", table_.versions().knitting},
            {"foot_cm", or_null(knitting.foot_cm)},
            {"leg_cm", or_null(knitting.leg_cm)},
            {"assumed", texts(settled.assumed)},
            {"warnings", texts(settled.warnings)}};
}

Json Answers::told() const {
    const Told told = loopread::told(table_);
    Json balls = Json::array(), left = Json::array(), palette = Json::array(), layers = Json::array();
    for (const ToldBall& ball : told.balls) {
        balls.push_back({{"name", ball.name},
                         {"kind", ball.look.verdict.kind},
                         {"slants", ball.look.verdict.slants},
                         {"sentence", ball.look.verdict.sentence},
                         {"shares", shares_json(ball.look.shares)}});
        left.push_back({{"m", ball.left_m}, {"g", ball.left_g}, {"words", ball.left_in_words}});
    }
    for (const ColourRun& strand : table_.strands()) {
        const Lab mean = lab_from_linear(strand.mean(0, strand.length_mm()));
        balls[static_cast<std::size_t>(&strand - table_.strands().data())]["mean_lab"] = {mean.l, mean.a, mean.b};
    }
    for (const PaletteColour& colour : told.palette)
        palette.push_back({{"hex", hex(colour.colour)}, {"share", colour.share}, {"name", colour.words}});
    for (const ToldLayer& layer : told.layers)
        layers.push_back({{"id", layer.id}, {"contrast_L", rounded(layer.contrast_l, 2)}});
    Json pair = nullptr;
    if (told.pair)
        pair = {{"mean_de00", told.pair->own.mean_de00},
                {"p95_de00", told.pair->own.p95_de00},
                {"mean_de00_range", {told.pair->range.least, told.pair->range.most}},
                {"words", told.pair->words}};
    return {{"sentence", told.sentence},
            {"balls", balls},
            {"pair", pair},
            {"rounds_per_row", told.rounds_per_row},
            {"strand_m", table_.settled().layout.strand_length().value / 1000},
            {"ball_g", table_.state().blank.ball_g},
            {"yarn_per_round_mm", table_.settled().knitting.yarn_per_round().value},
            {"yarn_left", left},
            {"palette", palette},
            {"layers", layers}};
}

// ---- pictures

Json Answers::drawn(const Json& object, ShownPicture& pixels) {
    const Fields request(object, "drawing");
    enum class What { blank, ribbons, fabric, sock, way, design };
    const auto what = request.choice<What>("what", {{"blank", What::blank},
                                                    {"ribbons", What::ribbons},
                                                    {"fabric", What::fabric},
                                                    {"sock", What::sock},
                                                    {"way", What::way},
                                                    {"design", What::design}});
    if (!what) request.refuse("what", "is missing; it is blank, ribbons, fabric, sock, way or design");
    switch (*what) {
        case What::blank:
            return blank_drawn(request, pixels);
        case What::ribbons: {
            const RibbonPicture& ribbons =
                cloths_.ribbons(table_, box_of(request), static_cast<int>(request.whole("lines", {1, 40}).value_or(0)));
            Json lines = Json::array();
            for (const RibbonLine& line : ribbons.lines)
                lines.push_back({{"ball", line.ball},
                                 {"from_mm", line.from_mm},
                                 {"to_mm", line.to_mm},
                                 {"x", line.x},
                                 {"y", line.y},
                                 {"width", line.width},
                                 {"height", line.height}});
            pixels.point_at(ribbons.picture);
            Json json = sized(ribbons.picture);
            json.update({{"mm_per_pixel", ribbons.mm_per_pixel},
                         {"line_mm", ribbons.line_mm},
                         {"lines", ribbons.lines.size() / table_.strands().size()},
                         {"rows", lines}});
            return json;
        }
        case What::fabric:
            return fabric_drawn(request, pixels);
        case What::sock:
            return sock_drawn(request, pixels);
        case What::way:
            return way_drawn(request, pixels);
        case What::design:
            pixels.keep(design_picture(table_, box_of(request)));
            return sized(pixels.now());
    }
    return {};
}

Json Answers::blank_drawn(const Fields& request, ShownPicture& pixels) {
    const BlankPicture& blank = cloths_.blank(table_, box_of(request), drawing_of(request));
    pixels.point_at(blank.picture);
    Json json = sized(blank.picture);
    json.update({{"stitches", blank.stitches},
                 {"rows", blank.rows},
                 {"mm_per_pixel_x", blank.mm_per_pixel_x},
                 {"mm_per_pixel_y", blank.mm_per_pixel_y},
                 {"pixels_per_stitch", static_cast<double>(blank.picture.width) / blank.stitches},
                 {"pixels_per_row", static_cast<double>(blank.picture.height) / blank.rows}});
    return json;
}

Json Answers::fabric_drawn(const Fields& request, ShownPicture& pixels) {
    const FabricPicture& fabric = cloths_.fabric(table_, fabric_request(request));
    pixels.point_at(fabric.picture);
    return fabric_json(fabric);
}

Json Answers::sock_drawn(const Fields& request, ShownPicture& pixels) {
    SockRequest sock;
    sock.box = box_of(request);
    sock.balls.clear();
    if (const auto ball = request.whole("ball", {1, 2}))
        sock.balls = {static_cast<int>(*ball)};
    else
        for (int b = 1; b <= static_cast<int>(table_.strands().size()); ++b) sock.balls.push_back(b);
    sock.drawing = drawing_of(request);
    sock.around = request.truth("dark").value_or(false) ? Surroundings::dark : Surroundings::light;
    SockPicture drawn = sock_picture(table_, sock);
    Json socks = Json::array();
    for (const SockPlace& place : drawn.socks)
        socks.push_back(
            {{"ball", place.ball}, {"x", place.x}, {"y", place.y}, {"width", place.width}, {"height", place.height}});
    drawn_ = {drawn.socks, drawn.pixels_per_cm};
    pixels.keep(std::move(drawn.picture));
    Json json = sized(pixels.now());
    json.update({{"pixels_per_cm", drawn.pixels_per_cm},
                 {"mm_per_pixel", 10 / drawn.pixels_per_cm},
                 {"fine", drawn.fine},
                 {"socks", socks}});
    return json;
}

Json Answers::way_drawn(const Fields& request, ShownPicture& pixels) {
    const auto index = request.whole("way", {0, 15});
    if (!index || static_cast<std::size_t>(*index) >= ranked_.size())
        throw Error(ErrorKind::usage, "way: has not been judged yet; take the steps of the ways first");
    const Way& way = ranked_[static_cast<std::size_t>(*index)].way;
    const Paint paint = table_.set_paint(table_.sharp_paint(way_of(way)));
    const std::vector<ColourRun> runs = runs_to_knit(blank_to_knit(), way.painted, paint);
    FabricPicture fabric = cloths_.fabric(runs.front(), table_.settled().knitting, fabric_request(request));
    Json json = fabric_json(fabric);
    pixels.keep(std::move(fabric.picture));
    return json;
}

// ---- places

Answers::DrawnSocks Answers::drawn_socks(const Fields& said) {
    DrawnSocks out;
    const auto scale = said.number("pixels_per_cm", {0.5, 10'000});
    const Json* socks = said.list("socks");
    if (!scale || !socks) said.refuse(scale ? "socks" : "pixels_per_cm", "is missing");
    out.pixels_per_cm = *scale;
    for (const Json& sock : *socks) {
        const Fields fields(sock, "sock");
        constexpr NumberRange kPixels{0, 1e6};
        const auto side = [&](const char* field) {
            const auto pixels = fields.whole(field, kPixels);
            if (!pixels) fields.refuse(field, "is missing");
            return static_cast<int>(*pixels);
        };
        out.places.push_back({ball_of(fields, 1), side("x"), side("y"), side("width"), side("height")});
    }
    return out;
}

Json Answers::place(const Json& object) {
    const Fields request(object, "place");
    if (const Json* drawn = request.object("drawn")) drawn_ = drawn_socks(Fields(*drawn, "drawn"));
    const TablePlaces places(table_);
    constexpr NumberRange kAny{-1e7, 1e7};
    const auto at = [&](const Fields& fields, const char* field) {
        const auto value = fields.number(field, kAny);
        if (!value) fields.refuse(field, "is missing");
        return *value;
    };
    const auto from_mm = [&](double yarn_mm) {
        const double held = std::clamp(yarn_mm, 0.0, places.yarn_length_mm() - 1e-6);
        return found_place(places, places.loop_of(held), held);
    };
    const Json nothing{{"blank", nullptr}, {"balls", Json::array()}, {"words", ""}};
    if (const Json* blank = request.object("blank")) {
        const Fields fields(*blank, "blank");
        const auto loop = places.loop_under(at(fields, "x_mm"), at(fields, "y_mm"));
        if (!loop) return nothing;
        const auto stretch = places.yarn_of(*loop);
        return found_place(places, *loop, (stretch.from_mm + stretch.to_mm) / 2);
    }
    if (const Json* yarn = request.object("yarn")) return from_mm(at(Fields(*yarn, "yarn"), "mm"));
    if (const Json* fabric = request.object("fabric")) {
        const Fields fields(*fabric, "fabric");
        const auto stretch =
            places.yarn_of(PlainStitch{static_cast<int>(at(fields, "round")), static_cast<int>(at(fields, "stitch"))});
        return stretch ? from_mm((stretch->from_mm + stretch->to_mm) / 2) : nothing;
    }
    if (const Json* sock = request.object("sock")) {
        const Fields fields(*sock, "sock");
        const double x = at(fields, "x"), y = at(fields, "y");
        for (const SockPlace& drawn : drawn_.places) {
            if (x < drawn.x || y < drawn.y || x >= drawn.x + drawn.width || y >= drawn.y + drawn.height) continue;
            const auto mm = socks_.knitted_mm(table_, {(x - drawn.x - drawn.width / 2.0) / drawn_.pixels_per_cm,
                                                       (y - drawn.y - drawn.height / 2.0) / drawn_.pixels_per_cm});
            if (!mm) return nothing;
            const bool far = table_.state().knitting.from == KnittingState::From::far_end;
            Json json = from_mm(far ? places.yarn_length_mm() - *mm : *mm);
            json["ball"] = drawn.ball;
            return json;
        }
        return nothing;
    }
    throw Error(ErrorKind::usage, "place: is none of blank, yarn, fabric and sock");
}

Json Answers::found_place(const TablePlaces& places, const BlankLoop& loop, double yarn_mm) {
    const auto stretch = places.yarn_of(loop);
    const bool far = table_.state().knitting.from == KnittingState::From::far_end;
    const bool sock = table_.settled().knitting.sock.has_value();
    std::optional<SockPlaces::Point> point;
    if (sock && !drawn_.places.empty())
        point = socks_.point_of(table_, far ? places.yarn_length_mm() - yarn_mm : yarn_mm);
    Json balls = Json::array();
    for (std::size_t s = 0; s < table_.strands().size(); ++s) {
        Json ball{{"ball", s + 1},          {"from_mm", stretch.from_mm},
                  {"to_mm", stretch.to_mm}, {"hex", hex(table_.strands()[s].mean(stretch.from_mm, stretch.to_mm))},
                  {"round", nullptr},       {"stitch", nullptr},
                  {"sock_round", nullptr},  {"section", nullptr},
                  {"sock", nullptr}};
        if (const auto plain = places.plain_stitch(yarn_mm)) {
            ball["round"] = plain->round;
            ball["stitch"] = plain->stitch;
        }
        if (const auto in_sock = places.sock_stitch(yarn_mm)) {
            ball["sock_round"] = in_sock->round;
            ball["section"] = section_in_words(in_sock->section);
        }
        for (const SockPlace& drawn : drawn_.places)
            if (point && drawn.ball == static_cast<int>(s + 1))
                ball["sock"] = {{"x", drawn.x + drawn.width / 2.0 + point->x_cm * drawn_.pixels_per_cm},
                                {"y", drawn.y + drawn.height / 2.0 + point->y_cm * drawn_.pixels_per_cm}};
        balls.push_back(ball);
    }
    return {{"blank",
             {{"row", loop.row},
              {"stitch", loop.stitch},
              {"x_mm", loop.x_mm},
              {"y_mm", loop.y_mm},
              {"side", loop.layer == Layer::painted ? "painted" : "underneath"}}},
            {"balls", balls},
            {"words", places.in_words(loop)}};
}

Json Answers::weighed(const Json& object) const {
    const Fields request(object, "ball");
    BallOnScale ball;
    ball.ball = ball_of(request, 1);
    const auto left = request.number("grams_left", {0, 10'000});
    if (!left) request.refuse("grams_left", "is missing");
    ball.grams_left = *left;
    ball.grams_full = request.number("from_full_g", {0.1, 10'000}).value_or(table_.state().blank.ball_g);
    const Weighed found = loopread::weighed(table_, ball);
    Json coming = Json::array();
    for (const Weighed::Coming& next : found.coming)
        coming.push_back({{"hex", hex(next.colour)},
                          {"name", next.name},
                          {"flecks", next.flecked_with ? Json{{"hex", hex(next.flecked_with->colour)},
                                                              {"name", next.flecked_with->name}}
                                                       : Json(nullptr)},
                          {"cm", rounded(next.length_mm / 10, 1)},
                          {"rounds", rounded(next.rounds, 2)}});
    Json json{{"used_m", found.used_m},
              {"left_m", found.left_m},
              {"blank",
               {{"row", found.loop.row},
                {"stitch", found.loop.stitch},
                {"x_mm", found.loop.x_mm},
                {"y_mm", found.loop.y_mm}}},
              {"round", nullptr},
              {"words", found.words},
              {"coming", coming}};
    if (found.sock)
        json["round"] = found.sock->round;
    else if (found.plain && !table_.settled().knitting.sock)
        json["round"] = found.plain->round;
    return json;
}

// ---- slow answers, a step at a time

AskedRound Answers::asked_round() const {
    const TableKnitting& knitting = table_.settled().knitting;
    return {knitting.stitches, knitting.yarn_per_round().value};
}

RiskOptions Answers::risk_options() const {
    RiskOptions options;
    options.knitters = table_.state().knitters;
    options.seed = table_.state().seed;
    options.threads = 1;
    return options;
}

BlankToKnit Answers::blank_to_knit() const {
    const SettledTable& settled = table_.settled();
    BlankToKnit out{.layout = settled.layout, .shape = table_.shape(), .shares = table_.shares()};
    out.winding = table_.winding();
    out.strands.clear();
    for (int s = 1; s <= settled.layout.strands; ++s) out.strands.push_back(s);
    out.first_end = settled.knitting.from == KnittingState::From::far_end ? FirstEnd::far_end : FirstEnd::ravel_end;
    out.stitches = settled.knitting.stitches;
    out.yarn_per_stitch = settled.knitting.yarn_per_stitch;
    out.worked = settled.knitting.worked;
    return out;
}

LaidAs Answers::way_of(const Way& way) const {
    return {way.rotate, way.mirror};
}

Json Answers::risk_step() {
    const TableKnitting& knitting = table_.settled().knitting;
    if (!risk_ || !(risk_->asked == asked())) {
        const std::vector<int> counts = swept_counts(CountRange{}, knitting.yarn_per_stitch, knitting.stitches);
        if (!enough_to_tell(table_.runs().front().length(), knitting.yarn_per_stitch, counts))
            throw Error(ErrorKind::input,
                        "risk: the yarn does not give three rounds of 16 stitches or more at any stitch count, so "
                        "nothing can be said about pools; take more yarn, or less in a round");
        risk_.emplace(Risk{asked(), RiskSweep(table_.runs(), {counts, knitting.yarn_per_stitch.value, knitting.worked},
                                              risk_options())});
    }
    // The page hears of every step: several short ones at once.
    constexpr std::chrono::milliseconds kAStep{15};
    const auto begun = std::chrono::steady_clock::now();
    do risk_->sweep.step();
    while (!risk_->sweep.done() && std::chrono::steady_clock::now() - begun < kAStep);
    return risk_told();
}

Json Answers::risk_told() const {
    const RiskSweep& sweep = risk_->sweep;
    const bool tells = sweep.done() || sweep.knitters() >= kFirstKnitters;
    const std::vector<RoundRisk> risks = tells ? sweep.risks() : std::vector<RoundRisk>{};
    Json points = Json::array(), clear = Json::array();
    for (const RoundRisk& risk : risks)
        points.push_back({{"stitches", risk.stitches},
                          {"yarn_per_round_mm", risk.yarn_per_round_mm},
                          {"risk", risk.risk},
                          {"pool", risk.pool},
                          {"known", risk.known}});
    Json json{{"done", sweep.done() ? 1.0 : sweep.progress()},
              {"knitters", sweep.knitters()},
              {"points", points},
              {"clear", clear},
              {"asked", nullptr},
              {"advice", Json::array()},
              {"change", nullptr}};
    if (risks.empty()) return json;
    for (const ClearStretch& stretch : clear_stretches(risks))
        json["clear"].push_back(
            {{"from_mm", stretch.from_mm}, {"to_mm", stretch.to_mm}, {"words", stretch_in_words(stretch)}});
    const AskedRound asked = asked_round();
    for (const RoundRisk& risk : risks)
        if (risk.stitches == asked.stitches)
            json["asked"] = {{"risk", risk.risk}, {"words", page_words(risk_in_words(risks, asked))}};
    if (!sweep.done()) return json;
    json["advice"] = texts(knitting_advice(risks, asked));
    const ColourRun& run = table_.runs().front();
    const TableKnitting& knitting = table_.settled().knitting;
    const Fabric fabric = plain_fabric(run, knitting.plain());
    const FabricLook look = look_of(fabric, run, asked.yarn_per_round_mm);
    const bool ways_known = ways_ && ways_->asked == this->asked() && ways_->turn.done();
    const OneChange change =
        one_change(risks, asked, look, ways_known ? ranked_ : std::vector<JudgedWay>{},
                   {table_.state().way.rotate, table_.state().way.mirror, table_.settled().layout.painted});
    json["change"] = {{"needed", change.needed}, {"words", page_words(change.words)}};
    return json;
}

Json Answers::ways_step() {
    const TableKnitting& knitting = table_.settled().knitting;
    if (!ways_ || !(ways_->asked == asked())) {
        ranked_.clear();
        // One stitch count, the asked-for one: the sweep over all of them is the risk's.
        ways_.emplace(Ways{
            asked(), WaysInTurn(LayJudge(blank_to_knit(), {knitting.stitches}, risk_options()),
                                [this](const Way& way) { return table_.set_paint(table_.sharp_paint(way_of(way))); })});
    }
    if (!ways_->turn.done()) ways_->turn.step();
    std::vector<JudgedWay> judged;
    const std::vector<WayFindings> findings = ways_->turn.findings();
    for (const WayFindings& found : findings) judged.push_back(found.judged);
    ranked_ = ranked(std::move(judged), Aim::no_pool, table_.state().knitters);
    Json list = Json::array();
    for (const JudgedWay& way : ranked_) {
        const auto own = std::find_if(findings.begin(), findings.end(),
                                      [&](const WayFindings& found) { return found.judged.way == way.way; });
        list.push_back({{"rotate", 90 * static_cast<int>(way.way.rotate)},
                        {"mirror", way.way.mirror == Mirror::left_right},
                        {"painted", side_name(way.way.painted)},
                        {"words", way_in_words(way.way)},
                        {"stripe", way.shares.stripe},
                        {"pool", way.shares.pool},
                        {"dash", way.shares.dash},
                        {"speckle", way.shares.speckle},
                        {"pool_risk", way.pool_risk},
                        {"tie", way.tie},
                        {"rank", way.rank},
                        {"verdict", own->look.verdict.sentence}});
    }
    const Way as_asked{table_.state().way.rotate, table_.state().way.mirror, table_.settled().layout.painted};
    std::string why;
    if (ways_->turn.done()) why = why_in_words(ranked_, as_asked, Aim::no_pool, table_.state().knitters);
    return {{"done", ways_->turn.done() ? 1.0 : ways_->turn.progress()}, {"ways", list}, {"why", why}};
}

Json Answers::nudge_step() {
    if (!nudge_ || !(nudge_->asked == asked())) {
        nudge_.emplace(
            Trials{asked(), NudgeTrials(
                                blank_to_knit(), table_.sharp_paint(table_.state().way),
                                [this](Paint paint) { return table_.set_paint(std::move(paint)); }, risk_options())});
    }
    nudge_->trials.step();
    return nudge_found();
}

Json Answers::nudge_found() const {
    const NudgeTrials& trials = nudge_->trials;
    const NudgeSearch& found = trials.search();
    const bool done = trials.done();
    Json nudge = nullptr;
    if (done && !(found.nudge == Nudge{}))
        nudge = {{"scale", found.nudge.scale},
                 {"spacing_across", found.nudge.spacing_across},
                 {"spacing_along", found.nudge.spacing_along},
                 {"stagger_mm", found.nudge.stagger_mm},
                 {"slant", found.nudge.slant},
                 {"change_cm", rounded(found.nudge.change_cm(), 3)}};
    const double of = static_cast<double>(std::max<std::size_t>(1, trials.nudges()));
    Json json{{"done", done ? 1.0 : std::min(0.99, static_cast<double>(found.tried) / of)},
              {"tried", found.tried},
              {"of", trials.nudges()},
              {"found", found.clear},
              {"nudge", nudge},
              {"words", Json::array()},
              {"sentence", ""},
              {"risk_before", found.risk_before},
              {"worst_risk", found.worst_risk}};
    if (done) {
        json["words"] = texts(nudge_in_words(found.nudge, trials.motifs()));
        json["sentence"] = found_in_words(trials);
    }
    return json;
}

// ---- files

Json Answers::file(const Json& object, ShownPicture& pixels) const {
    const Fields request(object, "file");
    enum class What { yarn, runs, design, stencil };
    const auto what = request.choice<What>("what", {{"yarn.csv", What::yarn},
                                                    {"runs.csv", What::runs},
                                                    {"design.toml", What::design},
                                                    {"stencil", What::stencil}});
    if (!what) request.refuse("what", "is missing; it is yarn.csv, runs.csv, design.toml or stencil");
    switch (*what) {
        case What::yarn:
            return {{"text", yarn_csv(table_.strands())}};
        case What::runs:
            return {{"text",
                     runs_csv(table_.strands(), yarn_palette(table_.strands(), kPaletteColours, table_.state().seed),
                              table_.settled().layout.loop_length.value)}};
        case What::design:
            return {{"text", design_toml(table_.state())}};
        case What::stencil:
            pixels.keep(stencil_picture(table_, request.text("layer").value_or("")));
            return sized(pixels.now());
    }
    return {};
}

}  // namespace loopread::wasm
