#include "cli/option_facts.h"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cctype>
#include <sstream>

namespace loopread::cli {
namespace {

bool is_word(const std::string& part) {
    const bool single = part.size() == 1;  // A and B, of ball A and ball B
    return single || std::none_of(part.begin(), part.end(), [](unsigned char c) { return std::isupper(c); });
}

std::vector<std::string> parts_of(const std::string& value) {
    std::vector<std::string> parts;
    std::istringstream in(value);
    for (std::string part; std::getline(in, part, '|');) parts.push_back(part);
    return parts;
}

}  // namespace

void say_values(CLI::App& command, const std::vector<std::pair<std::string, std::string>>& values) {
    for (const auto& [option, value] : values) command.get_option(option)->type_name(value);
}

void say_numbers(CLI::App& command) {
    for (CLI::Option* option : command.get_options([](const CLI::Option*) { return true; })) {
        const std::string type = option->get_type_name();
        if (type == "INT" || type == "UINT") option->type_name("COUNT");
        if (type == "FLOAT") option->type_name("NUMBER");
    }
}

OptionFacts facts_of(const CLI::Option& option) {
    OptionFacts facts;
    facts.text = option.get_description();
    if (option.get_positional()) {
        facts.names = {option.get_name(true, false)};
        facts.kind = OptionFacts::Kind::file;
        return facts;
    }
    for (const std::string& name : option.get_snames()) facts.names.push_back("-" + name);
    for (const std::string& name : option.get_lnames()) facts.names.push_back("--" + name);
    if (option.get_items_expected_max() == 0) {
        facts.kind = OptionFacts::Kind::switched;
        return facts;
    }
    facts.value = option.get_type_name();
    for (const std::string& part : parts_of(facts.value)) {
        if (is_word(part)) facts.words.push_back(part);
        if (part.rfind("FILE", 0) == 0 || part == "FOLDER") facts.kind = OptionFacts::Kind::file;
    }
    if (!facts.words.empty() && facts.kind != OptionFacts::Kind::file) facts.kind = OptionFacts::Kind::worded;
    if (option.get_expected_max() == CLI::detail::expected_max_vector_size) facts.repeats = Repeats::yes;
    const std::string& usual = option.get_default_str();
    if (!usual.empty() && usual != "[]") facts.text += " (" + usual + ")";
    return facts;
}

std::string usage_of(const CLI::App& command) {
    if (command.get_parent() == nullptr) return command.get_name() + " COMMAND [options]";
    std::string usage = command.get_parent()->get_name() + " " + command.get_name(), needed;
    for (const CLI::Option* option : command.get_options([](const CLI::Option*) { return true; })) {
        const OptionFacts facts = facts_of(*option);
        const std::string name = facts.names.front();
        if (option->get_positional())
            usage += option->get_required() ? " " + name : " [" + name + "]";
        else if (option->get_required())
            needed += " " + name + " " + facts.value;
    }
    return usage + needed + " [options]";
}

}  // namespace loopread::cli
