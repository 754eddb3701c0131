#pragma once

#include <array>
#include <string>
#include <vector>

namespace CLI {
class App;
}

namespace loopread::cli {

/// One line that can be typed as it stands, from the folder in which samples/ lies.
struct Example {
    std::string purpose;  ///< in a few words, without a full stop
    std::string line;     ///< "loopread ..."
};

/// What the help of a command ends with, and its section of the manual.
void add_examples(CLI::App& command, const std::array<Example, 2>& examples);
/// As add_examples() left them.
std::vector<Example> examples_of(const CLI::App& command);

}  // namespace loopread::cli
