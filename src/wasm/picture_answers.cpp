#include "loopread/base/error.h"
#include "wasm/answer_parts.h"
#include "wasm/answers.h"

namespace loopread::wasm {
namespace {

Drawing drawing_of(const Fields& request) {
    return request.truth("quick").value_or(true) ? Drawing::quick : Drawing::lively;
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

}  // namespace

Json Answers::drawn(const Json& object, ShownPicture& pixels) {
    const Fields request(object, "drawing");
    enum class What { blank, ribbons, fabric, sock, way, design, order };
    const auto what = request.choice<What>("what", {{"blank", What::blank},
                                                    {"ribbons", What::ribbons},
                                                    {"fabric", What::fabric},
                                                    {"sock", What::sock},
                                                    {"way", What::way},
                                                    {"design", What::design},
                                                    {"order", What::order}});
    if (!what) request.refuse("what", "is missing; it is blank, ribbons, fabric, sock, way, design or order");
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
        case What::order:
            return order_drawn(request, pixels);
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

}  // namespace loopread::wasm
