#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace loopread {

/// One fibre and its part of the weight.
struct FibrePart {
    std::string name;
    double percent = 0;  ///< over 0, at most 100
};

/// "wool 75, nylon 25": names and percentages that add to 100, put in descending order [EU 1007/2011, Art. 9].
/// Equal parts keep the order in which they were typed.
/// @throws Error(usage) for anything else
std::vector<FibrePart> parsed_fibre(std::string_view text);

/// "75 % wool, 25 % nylon"
std::string fibre_line(const std::vector<FibrePart>& fibre);

/// What to say of words that name no fibre: a breed, a process, "pure" on a mixture.
std::vector<std::string> fibre_warnings(const std::vector<FibrePart>& fibre);

}  // namespace loopread
