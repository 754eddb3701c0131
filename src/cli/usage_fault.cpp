#include "cli/usage_fault.h"

#include <CLI/CLI.hpp>
#include <algorithm>

namespace loopread::cli {
namespace {

/// "1|2" as "1, 2".
std::string listed(std::string words) {
    for (std::size_t at = 0; (at = words.find('|', at)) != std::string::npos; at += 2) words.replace(at, 1, ", ");
    return words;
}

std::string what_it_takes(const CLI::Option& option) {
    const std::string type = option.get_type_name();
    if (type == "COUNT") return "a whole number";
    if (type == "SHARE") return "a number from 0 to 1";
    if (type.find('|') != std::string::npos) return "one of " + listed(type);
    return "a number";
}

/// Of CLI11's "Could not convert: --strands = x".
std::string unreadable(const std::string& told, const CLI::App& command) {
    const std::size_t colon = told.find(": "), equals = told.find(" = ");
    if (colon == std::string::npos || equals == std::string::npos) return told;
    const std::string name = told.substr(colon + 2, equals - colon - 2), value = told.substr(equals + 3);
    const CLI::Option* option = command.get_option_no_throw(name);
    if (option == nullptr) return told;
    if (option->get_items_expected_max() == 0) return name + ": takes no value; leave '" + value + "' out";
    return name + ": '" + value + "' is not " + what_it_takes(*option);
}

/// Of CLI11's "--blank: At Most 1 required but received 2", "--blank: 1 required STITCHESxROWS missing".
std::string miscounted(const std::string& told, const CLI::App& command) {
    const std::string name = told.substr(0, told.find_first_of(": "));
    const CLI::Option* option = command.get_option_no_throw(name);
    if (option == nullptr) return told;
    if (told.find("At Most") != std::string::npos) return name + ": is given more than once; give it once";
    return name + ": has no value; write it like " + name + " " + option->get_type_name();
}

std::string not_known(const CLI::App& command) {
    std::vector<std::string> words = command.remaining(true);
    const auto option =
        std::find_if(words.begin(), words.end(), [](const std::string& word) { return word.starts_with('-'); });
    if (option != words.end()) return option->substr(0, option->find('=')) + ": is no option of this command";
    return "'" + (words.empty() ? std::string() : words.back()) +
           "': is one name too many; put names that hold spaces in quotes";
}

std::string missing(const std::string& told) {
    const std::string name = told.substr(0, told.find(' '));
    if (name == "--output") return "--output: is missing; name where the results go, like -o out";
    return name == "A" ? "a command is missing" : name + ": is missing; name the file";
}

}  // namespace

std::string usage_fault(const CLI::ParseError& fault, const CLI::App& command) {
    std::string told = fault.what();
    if (dynamic_cast<const CLI::ConversionError*>(&fault)) return unreadable(told, command);
    if (dynamic_cast<const CLI::ArgumentMismatch*>(&fault)) return miscounted(told, command);
    if (dynamic_cast<const CLI::ExtrasError*>(&fault)) return not_known(command);
    if (dynamic_cast<const CLI::RequiredError*>(&fault)) return missing(told);
    return told;
}

}  // namespace loopread::cli
