#pragma once

#include <optional>
#include <string>
#include <vector>

#include "loopread/dye/acid.h"
#include "loopread/dye/amounts.h"
#include "loopread/dye/bath.h"
#include "loopread/dye/cautions.h"
#include "loopread/dye/paste.h"

namespace loopread {

/// A painted area, or with no name the bath, which wets all of the fibre.
struct DyedPlace {
    std::string name;
    double strength = 1;                                 ///< of its layer: multiplies the depth
    double covered = 1;                                  ///< share of the yarn that lies under it
    double dyed = 1;                                     ///< share of the yarn that takes the dye
    enum class By { painting, bath } by = By::painting;  ///< a part may be held into a bath
};

/// A dye and what it is to be, or was. What nobody measured stays unknown.
struct WantedDye {
    std::string name;
    std::string place;  ///< name of an area; empty: the bath
    std::optional<DepthOfShade> depth;
    StockStrength stock{1.0};
};
struct UsedDye {
    std::string name;
    std::string place;
    std::optional<Millilitres> used;
    StockStrength stock{1.0};
};
/// A jar of paste: of how strong a dye, and what it weighed.
struct JarOfPaste {
    std::string place;  ///< empty: somewhere on the fibre
    StockStrength strength;
    std::optional<WeighedJar> jar;
};

struct RecipeRequest {
    Grams fibre;  ///< dry
    DyeClass dye_class = DyeClass::acid;
    std::vector<DyedPlace> places;
    std::vector<WantedDye> dyes;
    std::vector<UsedDye> used;
    std::vector<JarOfPaste> pastes;
    std::vector<double> strengths;  ///< paler steps of the paste
    AcidAtHand acid;
    double ratio = kUsualRatio;
    Units units = Units::metric;
    enum class Deep { refused, allowed } deep = Deep::refused;
};

struct DyeAmount {
    WantedDye wanted;
    Grams fibre;  ///< that takes it
    std::optional<DepthOfShade> depth;
    std::optional<Millilitres> stock;
    std::optional<Grams> dye;
};
struct UsedAmount {
    UsedDye used;
    Grams fibre;
    std::optional<DepthOfShade> depth;
    std::optional<Grams> dye;
    std::optional<DepthOfShade> planned;  ///< the depth asked for, if it was
};
struct PasteAmount {
    JarOfPaste given;
    Grams fibre;
    Millilitres holds;  ///< what its fibre can hold
    std::optional<PickUp> pick_up;
    std::optional<Grams> dye;
    std::optional<DepthOfShade> depth;
    // to make: for the depth that was asked for; of an area without one, as much as it holds
    std::optional<Millilitres> to_make;
    enum class Make { for_depth, as_held } make = Make::for_depth;
    std::optional<PasteStep> thinned;       ///< for an area of less than full strength
    std::optional<Millilitres> from_stock;  ///< nothing where the stock is too weak to thicken
    std::optional<Grams> from_powder;
    std::optional<Millilitres> plain;
    std::optional<Thickener> thickener;
};
struct PlaceAmount {
    DyedPlace place;
    Grams fibre;
    Millilitres holds;
};

/// Everything a card, a summary or a record tells.
struct Recipe {
    RecipeRequest request;
    std::vector<PlaceAmount> places;
    std::vector<DyeAmount> dyes;
    std::vector<UsedAmount> used;
    std::vector<PasteAmount> pastes;
    std::vector<PasteStep> steps_paler;
    std::optional<DepthOfShade> total;  ///< all dye on all fibre; nothing while one amount is unknown
    DepthOfShade known_total;           ///< of the amounts that are known
    std::optional<AcidAmount> acid;     ///< for acid dyes only
    Millilitres bath;
    std::vector<DyeStep> steps;
    std::vector<Caution> cautions;
    std::vector<std::string> assumed;
    std::vector<std::string> warnings;
};

/// @throws Error(usage) for a dye named twice, a stock or paste of no strength, a jar that grew heavier, strengths
///         beyond 0..1, acid that is not handled, more dye than kDeepest unless that is allowed
Recipe recipe(const RecipeRequest& request);

}  // namespace loopread
