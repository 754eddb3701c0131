#pragma once

#include <string>
#include <utility>
#include <vector>

namespace CLI {
class App;
class Option;
}  // namespace CLI

namespace loopread::cli {

/// Says what follows an option: small letters are words to choose from, capitals stand for what is typed.
/// {"--ground", "undyed|auto|COLOUR|FILE"}; what begins with FILE is a file.
/// Contract: the command has each option.
void say_values(CLI::App& command, const std::vector<std::pair<std::string, std::string>>& values);

/// Calls every kind of number just that, where nothing else was said.
void say_numbers(CLI::App& command);

enum class Repeats { no, yes };

/// An option or an input as a person types it, read from CLI11's own table.
struct OptionFacts {
    std::vector<std::string> names;  ///< the short one first, with dashes; of an input its name alone
    std::string value;               ///< what follows it, empty for a switch
    std::vector<std::string> words;  ///< those of the value that can be chosen
    enum class Kind { switched, worded, file, other } kind = Kind::other;
    Repeats repeats = Repeats::no;
    std::string text;  ///< what it is for, its default at the end
};
OptionFacts facts_of(const CLI::Option& option);

/// loopread preview IMAGE -o FOLDER [options]
std::string usage_of(const CLI::App& command);

}  // namespace loopread::cli
