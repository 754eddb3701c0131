#pragma once

#include <array>
#include <cstddef>
#include <string_view>

#include "loopread/yarn/run.h"

namespace loopread {

/// The columns of yarn.csv in their order.
enum class Column : std::size_t { strand, start_mm, length_mm, course, wale, part, lab_l, lab_a, lab_b, hex };
inline constexpr std::array<std::string_view, 10> kColumnNames = {"strand", "start_mm", "length_mm", "course", "wale",
                                                                  "part",   "L",        "a",         "b",      "hex"};
inline constexpr std::string_view kYarnHeader = "strand,start_mm,length_mm,course,wale,part,L,a,b,hex";

inline constexpr std::array<Part, 4> kParts = {Part::sinker, Part::leg1, Part::needle, Part::leg2};

}  // namespace loopread
