#include "cli/examples.h"

#include <CLI/CLI.hpp>
#include <sstream>

namespace loopread::cli {
namespace {

constexpr const char* kHead = "Examples:";
constexpr std::size_t kPurposeIndent = 2, kLineIndent = 4;

}  // namespace

void add_examples(CLI::App& command, const std::array<Example, 2>& examples) {
    std::string footer = std::string(kHead) + "\n";
    for (const Example& example : examples)
        footer += std::string(kPurposeIndent, ' ') + example.purpose + ":\n" + std::string(kLineIndent, ' ') +
                  example.line + "\n";
    command.footer(footer);
}

std::vector<Example> examples_of(const CLI::App& command) {
    std::vector<Example> examples;
    std::istringstream lines(command.get_footer());
    std::string purpose, line;
    std::getline(lines, line);  // the head
    while (std::getline(lines, purpose) && std::getline(lines, line))
        examples.push_back(
            {purpose.substr(kPurposeIndent, purpose.size() - kPurposeIndent - 1), line.substr(kLineIndent)});
    return examples;
}

}  // namespace loopread::cli
