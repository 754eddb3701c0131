#include <algorithm>

#include "loopread/base/error.h"
#include "wasm/answer_parts.h"
#include "wasm/answers.h"

namespace loopread::wasm {

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
    Json nothing{{"blank", nullptr}, {"balls", Json::array()}, {"words", ""}};
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

}  // namespace loopread::wasm
