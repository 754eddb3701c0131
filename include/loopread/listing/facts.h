#pragma once

#include <optional>
#include <string>
#include <vector>

#include "loopread/base/quantity.h"
#include "loopread/blank/layout.h"
#include "loopread/listing/colour_names.h"
#include "loopread/listing/fibre.h"
#include "loopread/shares/advice.h"

namespace loopread {

/// How the dyer sells the blank.
enum class Offer { whole, ravelled, both };

/// A figure, and whether somebody measured it.
template <class Value>
struct Figure {
    Value value{};
    bool measured = false;
};

/// What the yarn knits up as at one stitch count.
struct KnitsUpAs {
    int stitches = 0;
    double yarn_per_round_mm = 0;
    std::string kind;      ///< "stripes", "pools", ...; empty where there is too little yarn to tell
    std::string sentence;  ///< what one would say of it
    double pool_risk = 0;  ///< share of simulated knitters, 0..1
};

/// One file of the set.
struct ListedPicture {
    std::string file;
    std::string alt;
    bool computed = true;  ///< false: a photograph
};

/// All that a shop page says of one blank.
struct ListingFacts {
    std::string title, maker, words;  ///< as the dyer typed them; may be empty
    BlankLayout layout;
    bool counts_measured = false, size_measured = false, length_measured = false;
    Figure<Grams> strand_weight;
    std::string ravel_edge;  ///< where it lies in picture 01: "at the top"
    std::vector<NamedShare> colours;
    std::vector<KnitsUpAs> rounds;  ///< rising in stitches
    int asked_stitches = 64;
    int knitters = 0;  ///< simulated, behind the pool risk
    std::optional<PairRange> pair;
    bool pair_measured = false;  ///< wrap and penetration are the dyer's own or told by photos
    Offer offer = Offer::both;
    std::vector<FibrePart> fibre;  ///< empty: not given
    std::string address;           ///< of the shop page; may be empty
    std::vector<std::string> assumed, warnings;
    std::vector<ListedPicture> pictures;
};

/// 1 yd = 0.9144 m exactly (international yard and pound agreement, 1959).
double yards(Millimetres length);

/// Stitch counts that look alike, as one line.
struct RoundsAlike {
    std::vector<int> stitches;
    double from_mm = 0, to_mm = 0;
    std::string sentence;            ///< of the middle one
    std::vector<double> pool_risks;  ///< of each
};
/// Neighbours of one kind together; the counts nobody can tell of are left out.
std::vector<RoundsAlike> rounds_alike(const std::vector<KnitsUpAs>& rounds);

/// "2 strands of 211 m, 231 yd, 50 g each"
std::string yarn_in_words(const ListingFacts& facts);
/// "24 x 86 cm, 46 stitches across, 214 rows"
std::string blank_in_words(const ListingFacts& facts);
/// Identical or no more than alike, as a range, or that it is not known.
std::string socks_in_words(const ListingFacts& facts);
/// Whole or ravelled.
std::string offer_in_words(Offer offer);
/// "The edge at the top of picture 01 comes apart ..."
std::string ravel_edge_in_words(const ListingFacts& facts);

/// Washing, screens, repeating it, computed pictures, labels: what every listing has to say.
const std::vector<std::string>& standing_notes();

/// The text to paste into a shop page.
std::string listing_text(const ListingFacts& facts);

}  // namespace loopread
