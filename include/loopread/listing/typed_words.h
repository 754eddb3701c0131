#pragma once

#include <string>
#include <string_view>

namespace loopread {

enum class Lines { one, several };

/// What is wrong with words somebody typed, or nothing: letters that are no UTF-8, characters that cannot be printed,
/// more than `most` bytes, a line break where there is to be one line.
std::string fault_of_words(std::string_view words, std::size_t most, Lines lines);

/// The words without what cannot be printed: for names of files, which nobody typed for this.
std::string printable(std::string_view words);

}  // namespace loopread
