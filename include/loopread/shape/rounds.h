#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace loopread {

/// A stretch worked back and forth is a run of such rows without a round between them; its odd rows (the first is row
/// 0) run the other way.
enum class Worked { in_the_round, back_and_forth };

/// Which way a row goes: `on` as rounds go (to the left, seen from outside), `back` the other way.
enum class Runs { on, back };

enum class Section {
    plain,  ///< all of a tube or a flat piece
    cuff,
    leg,
    heel_flap,
    heel_turn,
    gusset,
    heel,  ///< a short-row or an afterthought heel
    foot,
    toe,
    brim,  ///< the ribbed edge of a hat or a cowl
    body,
    crown,
    growing,  ///< rows that get longer all the way, as in a shawl
};
std::string_view section_name(Section section);
/// "leg", "heel flap".
std::string section_in_words(Section section);

/// For drawing only: ribbed stitches take the same yarn here.
enum class Texture { plain, rib /**< knit 2, purl 2 */ };

/// Of a sock: back is the heel, the sole and the back of the leg; front is the instep and the front of the leg.
enum class Half { back, front };

/// One round or row: the stitches it makes, and where they sit.
///
/// Columns count stitches across the garment in the way rounds go, from 0 at the first column of the back half; the
/// front half follows it. Rounds of other widths (gusset, toe, crown) count their own columns. Heel rows are counted
/// on the full width of the heel, of which a short row covers only a part.
struct Round {
    int stitches = 0;  ///< made, counted after the decreases or increases of this round
    Worked worked = Worked::in_the_round;
    Section section = Section::plain;
    int columns_from = 0;    ///< in the round: column of the first stitch made; a row: its lowest column
    int columns_across = 0;  ///< columns covered; more than the stitches where a heel turn takes stitches together
    int front_from = 0;      ///< first column of the front half; the row's end where there is no front
    Texture texture = Texture::plain;
    Runs runs = Runs::on;

    bool operator==(const Round&) const = default;
};

/// A garment as the list of its rounds, in the order they are knitted.
struct Garment {
    std::string name;
    std::vector<Round> rounds;
    /// An afterthought heel leaves a line of waste yarn across the back half just below this round.
    std::optional<std::size_t> waste_line = std::nullopt;
};

long long total_stitches(const Garment& garment);
long long stitches_in(const Garment& garment, Section section);
int rounds_in(const Garment& garment, Section section);

/// True of the plain full-width rounds: leg, foot, tube, flat piece, body. Not cuff or brim, heel, gusset, toe, crown,
/// nor the rows of a shawl: no two of those are equally long.
bool counts_for_pooling(const Round& round);

/// Middle of a stitch in columns (see Round).
/// @param stitch  from 0, in the order of knitting
double column_of(const Round& round, int stitch);
Half half_of(const Round& round, int stitch);

}  // namespace loopread
