#include "cli/table_document.h"

#include <algorithm>
#include <cmath>

#include "cli/summary.h"
#include "loopread/base/text.h"
#include "loopread/blank/design_picture.h"
#include "loopread/photo/write.h"
#include "loopread/report/page.h"

namespace loopread::cli {
namespace {

constexpr double kFaintest = 1e-9;  // a strength under which a layer dyes nothing

Json data_url(const std::string& name, const Picture8& picture) {
    return {{"name", name}, {"data", "data:image/png;base64," + base64(png_bytes(picture))}};
}

Json blank_document(const BlankLayout& layout, const LinearRgb& undyed, Grams ball) {
    return {{"stitches", layout.stitches},
            {"rows", layout.rows},
            {"width_cm", rounded(layout.width().value / 10, 4)},
            {"length_cm", rounded(layout.length().value / 10, 4)},
            {"strand_m", rounded(layout.strand_length().value / 1000, 4)},
            {"strands", layout.strands},
            {"ball_g", rounded(ball.value, 4)},
            {"construction", layout.construction == Construction::flat ? "flat" : "tube"},
            {"tail", layout.tail == Tail::left ? "left" : "right"},
            {"painted", layout.painted == Painted::face ? "face" : "back"},
            {"undyed", hex_text(srgb8_from_linear(undyed))}};
}

Json length_cm(const std::optional<Millimetres>& length) {
    return length ? Json(rounded(length->value / 10, 4)) : Json(nullptr);
}

Json knitting_document(const TableStart& start) {
    const Knitting& knitting = start.settled;
    const SockCut& sock = knitting.size.sock;
    const bool in_the_round = knitting.worked() == Worked::in_the_round;
    const bool knows_gauge = !start.knitting.gauge.empty();
    const auto gauge = [&](double value) { return knows_gauge ? Json(value) : Json(nullptr); };
    const bool measured = !start.knitting.yarn_per_round.empty() || !start.knitting.yarn_per_stitch.empty();
    return {{"stitches", knitting.stitches},
            {"gauge_stitches", gauge(knitting.gauge.stitches)},
            {"gauge_rows", gauge(knitting.gauge.rows)},
            {"yarn_per_round_cm", length_cm(measured ? std::optional(knitting.yarn_per_round()) : std::nullopt)},
            {"shape", knitting.shape == "sock" ? "sock" : "flat"},
            {"heel", sock.heel == Heel::short_row      ? "short-row"
                     : sock.heel == Heel::afterthought ? "afterthought"
                                                       : "flap"},
            {"foot_cm", length_cm(sock.foot_length)},
            {"leg_cm", length_cm(sock.leg_length)},
            {"start", knitting.start == Knitting::Start::ravel_end ? "ravel-end" : "far-end"},
            {"worked", in_the_round ? "round" : "back-and-forth"}};
}

Json picture_document(const std::string& name, const std::string& key) {
    return {{"image", key},        {"name", name},       {"kind", "design"},   {"fit", "stretch"},
            {"ravel_edge", "top"}, {"corners", nullptr}, {"ground", "undyed"}, {"penetration", 1.0}};
}

/// Fills in what is dyed: a picture, layers, or both.
class DesignDocument {
public:
    DesignDocument(const BlankSource& source, const BlankLayout& layout, const TableStart& start)
        : source_(source), layout_(layout), start_(start) {}

    void add_to(Json& document) {
        // As drawn: the page turns it as it was asked for.
        const Paint paint = source_.paint(source_.lay_with(QuarterTurn::none, Mirror::no));
        document["picture"] = nullptr;
        document["layers"] = Json::array();
        if (paint.picture)
            add_picture(document, paint);
        else
            add_layers(document, paint);
        document["pictures"] = std::move(pictures_);
    }

private:
    void add_picture(Json& document, const Paint& paint) {
        document["picture"] = picture_document(start_.title, "picture-1");
        document["picture"]["penetration"] = paint.penetration;
        document["picture"]["ground"] = start_.blank.ground == "undyed" ? Json("undyed")
                                        : paint.ground.size() == 1
                                            ? Json(hex_text(srgb8_from_linear(paint.ground(0, 0))))
                                            : Json("auto");
        pictures_["picture-1"] = data_url(start_.title, encoded(*paint.picture));
    }

    /// The bath is a picture that went all the way through; the stencils lie on it.
    void add_layers(Json& document, const Paint& paint) {
        document["picture"] = picture_document("bath", "bath");
        pictures_["bath"] = data_url("bath", encoded(paint.ground));
        const std::vector<DesignLayer>& layers = source_.design()->layers;
        for (std::size_t i = 0; i < layers.size(); ++i) {
            if (layers[i].strength < kFaintest) continue;
            const std::string key = "stencil-" + std::to_string(i + 1);
            pictures_[key] = data_url(layers[i].name, stencil_picture(paint.layers[i].amount, layers[i].strength));
            document["layers"].push_back(
                {{"id", "motif-" + std::to_string(i + 1)},
                 {"kind", "motif"},
                 {"name", layers[i].name},
                 {"colour", hex_text(layers[i].colour)},
                 {"strength", layers[i].strength},
                 {"penetration", paint.layers[i].penetration},
                 {"on", true},
                 {"shape", "mask"},
                 {"image", key},
                 {"size_cm", rounded(std::max(layout_.width().value, layout_.length().value) / 10, 4)},
                 {"turn_deg", 0},
                 {"repeat", nullptr},
                 {"places", {layout_.width().value / 2, layout_.length().value / 2}}});
        }
    }

    const BlankSource& source_;
    const BlankLayout& layout_;
    const TableStart& start_;
    Json pictures_ = Json::object();
};

}  // namespace

std::string table_document(const BlankSource& source, const BlankLayout& layout, const TableStart& start) {
    const Lay asked = source.asked_lay();
    Json document = {
        {"loopread", 1},
        {"title", start.title},
        {"blank", blank_document(layout, source.undyed(), start.ball)},
        {"way", {{"rotate", 90 * static_cast<int>(asked.rotate)}, {"mirror", asked.mirror == Mirror::left_right}}},
        {"nudge", nullptr},
        {"dye", {{"wrap", source.wrap()}, {"creep_mm", source.creep().value}}},
        {"knitting", knitting_document(start)},
        {"chance", {{"knitters", start.knitters}}},
        {"seed", start.seed}};
    DesignDocument(source, layout, start).add_to(document);
    return document.dump();
}

}  // namespace loopread::cli
