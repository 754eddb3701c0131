#pragma once

#include <string_view>

namespace loopread {

/// Where a contract stands in the source; the compiler fills it in. (std::source_location is not there in clang 14.)
struct CodePlace {
    const char* file;
    int line;
    static constexpr CodePlace here(const char* file = __builtin_FILE(), int line = __builtin_LINE()) {
        return {file, line};
    }
};

/// A contract between functions of ours. A broken one is our fault, never the user's.
/// @throws std::logic_error with the place and the words of the contract
void require(bool holds, std::string_view contract, CodePlace where = CodePlace::here());

}  // namespace loopread
