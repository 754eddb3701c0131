#include "cli/look.h"

namespace loopread::cli {

FabricLook look_of(const KnittedBall& ball, const Knitting& knitting) {
    return loopread::look_of(ball.fabric, ball.run, knitting.yarn_per_round().value);
}

std::vector<FabricLook> looks_of(const std::vector<KnittedBall>& balls, const Knitting& knitting) {
    std::vector<FabricLook> looks;
    for (const KnittedBall& ball : balls) looks.push_back(look_of(ball, knitting));
    return looks;
}

Json shares_json(const Shares& s) {
    return {{"stripe", rounded(s.stripe, 4)},
            {"pool", rounded(s.pool, 4)},
            {"dash", rounded(s.dash, 4)},
            {"speckle", rounded(s.speckle, 4)},
            {"lean", s.lean},
            {"colour_range", rounded(s.colour_range, 3)},
            {"fade", rounded(s.fade, 4)},
            {"wiggle", rounded(s.wiggle, 4)},
            {"pooled_contrast", rounded(s.pooled_contrast, 3)}};
}

Json look_json(const FabricLook& look) {
    Json json = {{"verdict", look.verdict.kind}, {"sentence", look.verdict.sentence}};
    json.update(shares_json(look.shares));
    return json;
}

Json knitting_with_looks_json(const Knitting& knitting, const std::vector<KnittedBall>& balls,
                              const std::vector<FabricLook>& looks) {
    Json json = knitting_json(knitting, balls);
    for (std::size_t i = 0; i < balls.size(); ++i) json["balls"][i]["look"] = look_json(looks[i]);
    return json;
}

}  // namespace loopread::cli
