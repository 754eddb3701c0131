#include "loopread/dye/acid.h"

#include "loopread/base/error.h"
#include "loopread/base/text.h"

namespace loopread {
namespace {

struct OwfBand {
    double least, usual, most;
    std::string_view source;
};

// A quarter of a US cup and a cup of vinegar to a pound, from two acid dye instruction sheets, as acetic acid at the
// usual 5 %: 0.65 and 2.6 % of the fibre's weight.
constexpr double kCupToAPound = kMillilitresPerCup / kGramsPerPound * kUsualVinegar;

OwfBand band(AcidKind kind, std::optional<DepthOfShade> depth) {
    if (kind == AcidKind::vinegar)
        return {
            kCupToAPound / 4, 1, kCupToAPound,
            "an acid dye maker's instruction sheet; a second acid dye instruction sheet; a textile text on acid dye "
            "classes, 2007"};
    // The note's shades are 0.5 % lighter, 1 % medium, 2 to 4 % deep; half-way between them (chosen)
    constexpr DepthOfShade kMedium{0.75}, kStrong{1.5};
    const double usual = !depth ? 1.5 : *depth < kMedium ? 1.0 : *depth < kStrong ? 1.5 : 2.0;
    return {1, usual, 2, "a supplier's note on dye quantities"};
}

}  // namespace

void check_acid(const AcidAtHand& acid) {
    if (!acid.strength_pct) return;
    const double strength = *acid.strength_pct;
    const auto refuse = [&](const std::string& fault) {
        throw Error(ErrorKind::usage, "--acid-strength: " + number_text(strength, 2) + " % " + fault);
    };
    if (acid.kind == AcidKind::citric) {
        if (!(strength > 0)) refuse("holds no acid; read the label");
        if (strength > kStrongestCitric)
            refuse(
                "is too strong to pour: dissolve citric acid to at most 25 %, or leave the option out for dry "
                "crystals");
        return;
    }
    if (strength < kWeakestVinegar) refuse("is weaker than vinegar is (4 to 6 %); read the label");
    if (strength > kStrongestVinegar)
        refuse(
            "is concentrated acetic acid, which burns skin and eyes and is not for a kitchen or studio; use table "
            "vinegar of 4 to 6 %, or citric acid");
}

AcidAmount acid_for(Grams fibre, const AcidAtHand& acid, std::optional<DepthOfShade> depth) {
    check_acid(acid);
    const OwfBand owf = band(acid.kind, depth);
    AcidAmount amount{acid,
                      owf.least,
                      owf.usual,
                      owf.most,
                      fibre * (owf.least / 100),
                      fibre * (owf.usual / 100),
                      fibre * (owf.most / 100),
                      {},
                      {},
                      {},
                      owf.source};
    if (acid.kind == AcidKind::vinegar && !amount.acid.strength_pct) amount.acid.strength_pct = kUsualVinegar;
    if (!amount.acid.strength_pct) return amount;
    const auto liquid = [&](Grams pure) { return Millilitres{100 * pure.value / *amount.acid.strength_pct}; };
    amount.least_ml = liquid(amount.least);
    amount.usual_ml = liquid(amount.usual);
    amount.most_ml = liquid(amount.most);
    return amount;
}

}  // namespace loopread
