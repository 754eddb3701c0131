#include "cli/config.h"

#include <toml++/toml.h>

#include <algorithm>

#include "loopread/base/error.h"
#include "loopread/base/files.h"
#include "loopread/base/text.h"

namespace loopread::cli {
namespace {

bool is_option(const std::string& argument, const std::string& option) {
    const bool short_output = option == "--output" && argument.rfind("-o", 0) == 0;  // -o DIR, -oDIR
    return short_output || argument == option || argument.rfind(option + "=", 0) == 0;
}

/// The FILE of --config, or nothing.
std::string config_file(const std::vector<std::string>& arguments) {
    for (std::size_t i = 0; i < arguments.size(); ++i) {
        if (arguments[i].rfind("--config=", 0) == 0) return arguments[i].substr(9);
        if (arguments[i] == "--config" && i + 1 < arguments.size()) return arguments[i + 1];
    }
    return {};
}

void add_value(const std::string& file, const std::string& option, const toml::node& value,
               std::vector<std::string>& out) {
    if (const auto* flag = value.as_boolean()) {
        if (flag->get()) out.push_back(option);
        return;
    }
    std::string text;
    if (const auto* words = value.as_string())
        text = words->get();
    else if (const auto* whole = value.as_integer())
        text = std::to_string(whole->get());
    else if (const auto* number = value.as_floating_point())
        text = number_text(number->get(), 9);
    else
        throw Error(ErrorKind::usage, file + ": " + option.substr(2) + " must be text, a number or true or false");
    out.push_back(option + "=" + text);
}

}  // namespace

std::vector<std::string> with_config(std::vector<std::string> arguments) {
    const std::string file = config_file(arguments);
    if (file.empty()) return arguments;
    toml::table table;
    try {
        table = toml::parse(file_bytes(file, 1'000'000));
    } catch (const toml::parse_error& fault) {
        throw_problems(file, {{static_cast<int>(fault.source().begin.line), std::string(fault.description())}});
    }
    std::vector<std::string> added;
    for (const auto& [key, value] : table) {
        const std::string option = "--" + std::string(key.str());
        const bool given =
            std::any_of(arguments.begin(), arguments.end(), [&](const std::string& a) { return is_option(a, option); });
        if (given) continue;
        if (const auto* list = value.as_array()) {
            for (const toml::node& one : *list) add_value(file, option, one, added);
        } else {
            add_value(file, option, value, added);
        }
    }
    arguments.insert(arguments.end(), added.begin(), added.end());
    return arguments;
}

}  // namespace loopread::cli
