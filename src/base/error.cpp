#include "loopread/base/error.h"

#include <algorithm>

#include "loopread/base/require.h"

namespace loopread {

int exit_code(ErrorKind kind) {
    switch (kind) {
        case ErrorKind::usage:
            return 2;
        case ErrorKind::input:
            return 3;
        case ErrorKind::output:
            return 4;
    }
    return kInternalFaultExit;
}

std::string one_line(std::string text) {
    const auto steers = [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7f; };
    std::replace_if(text.begin(), text.end(), steers, ' ');
    text.erase(text.find_last_not_of(' ') + 1);
    return text;
}

void throw_problems(std::string_view file, const std::vector<Problem>& problems) {
    require(!problems.empty(), "there is a problem to tell of");
    constexpr std::size_t kShown = 5;  // chosen: fills a line, and the rest are mostly the same fault again
    std::string text(file);
    text += ": ";
    for (std::size_t i = 0; i < std::min(kShown, problems.size()); ++i) {
        if (i > 0) text += "; ";
        if (problems[i].line > 0) text += "line " + std::to_string(problems[i].line) + ": ";
        text += problems[i].what;
    }
    if (problems.size() > kShown)
        text += "; and " + std::to_string(problems.size() - kShown) +
                (problems.size() == kShown + 1 ? " more fault" : " more faults");
    throw Error(ErrorKind::input, text);
}

void require(bool holds, std::string_view contract, CodePlace where) {
    if (holds) return;
    throw std::logic_error(std::string(where.file) + ":" + std::to_string(where.line) +
                           ": does not hold: " + std::string(contract));
}

}  // namespace loopread
