#pragma once

#include <cstddef>
#include <string>

namespace loopread {

/// Whether the words stand in the text.
inline bool has(const std::string& text, const std::string& words) {
    return text.find(words) != std::string::npos;
}

/// How often the words stand in the text.
inline std::size_t times(const std::string& text, const std::string& words) {
    std::size_t count = 0;
    for (auto at = text.find(words); at != std::string::npos; at = text.find(words, at + 1)) ++count;
    return count;
}

}  // namespace loopread
