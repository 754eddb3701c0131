#pragma once

#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

namespace loopread {

/// Whose turn it is to mend things; also decides the exit code.
enum class ErrorKind {
    usage,   ///< an option is wrong: exit 2
    input,   ///< a file cannot be used: exit 3
    output,  ///< a result cannot be written: exit 4
};

/// The exit code of a fault of ours (a broken contract, an exception nobody foresaw).
inline constexpr int kInternalFaultExit = 70;

/// A message on one line, whatever a file or a library put into it: a control character, which could also steer a
/// terminal, becomes a space.
std::string one_line(std::string text);

/// What went wrong, for the person at the table: one line that names the file or option, the fault and the remedy.
class Error : public std::runtime_error {
public:
    Error(ErrorKind kind, const std::string& message) : std::runtime_error(one_line(message)), kind_(kind) {}
    ErrorKind kind() const { return kind_; }

private:
    ErrorKind kind_;
};

int exit_code(ErrorKind kind);

/// One fault in a text file, where there may be several.
struct Problem {
    int line = 0;  ///< from 1; 0 if it concerns the whole file
    std::string what;
};

/// Several faults of one file as one Error(input): the first few with their line numbers, then how many more.
[[noreturn]] void throw_problems(std::string_view file, const std::vector<Problem>& problems);

}  // namespace loopread
