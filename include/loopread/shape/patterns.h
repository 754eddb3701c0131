#pragma once

#include <string_view>
#include <vector>

#include "loopread/shape/rounds.h"

namespace loopread {

/// Whose say the length of a stretch is.
enum class Extent {
    own,    ///< the pattern's
    asked,  ///< the knitter's, if rounds are asked for
};

/// Rounds of one kind. With `change`, a step adds that many stitches (takes them, if negative) in its first round and
/// lasts `every` rounds; steps go on while the count stays within `until`.
struct Stretch {
    Section section = Section::body;
    Worked worked = Worked::in_the_round;
    Texture texture = Texture::plain;
    Extent extent = Extent::own;
    double cm = 0;  ///< length where nothing changes; at least one round
    int change = 0;
    int every = 1;
    int until = 0;  ///< 0: the stitches asked for
};

/// A garment other than a sock, as data.
struct Pattern {
    std::string_view name;
    double width_cm = 0;  ///< of the widest round, where no stitches are asked for
    int multiple = 1;     ///< to which that is rounded
    int least = 1;        ///< fewest stitches it can be made with
    int cast_on = 0;      ///< 0: the stitches asked for
    std::vector<Stretch> stretches;
};

/// Every garment that is not a sock. To add one, add an entry.
const std::vector<Pattern>& patterns();

}  // namespace loopread
