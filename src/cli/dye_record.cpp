#include "cli/dye_record.h"

#include <toml++/toml.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <array>
#include <vector>

#include "cli/usage_fault.h"
#include "loopread/base/error.h"
#include "loopread/base/files.h"
#include "loopread/base/text.h"

namespace loopread::cli {
namespace fs = std::filesystem;
namespace {

/// Of one run, not of the colourway.
constexpr std::array<std::string_view, 6> kNotKept{"help", "output", "json", "config", "record", "from-record"};
constexpr std::array<std::string_view, 3> kFiles{"design", "other-side", "base"};

bool is_one_of(std::string_view name, const auto& names) {
    return std::find(names.begin(), names.end(), name) != names.end();
}

std::string long_name(const CLI::Option& option) {
    return option.get_lnames().empty() ? std::string() : option.get_lnames().front();
}

/// A ground may be a colour or a file.
bool is_file(const std::string& name, const std::string& value) {
    std::error_code ignored;
    return is_one_of(name, kFiles) || (name == "ground" && fs::is_regular_file(value, ignored));
}

fs::path folder_of(const fs::path& record) {
    return fs::absolute(record).lexically_normal().parent_path();
}

std::string seen_from(const fs::path& record, const std::string& file) {
    return fs::absolute(file).lexically_normal().lexically_proximate(folder_of(record)).generic_string();
}

std::string toml_list(const std::vector<std::string>& values) {
    std::string text;
    for (const std::string& value : values) text += (text.empty() ? "[" : ", ") + toml_text(value);
    return text.empty() ? "" : text + "]";
}

std::string toml_value(const CLI::Option& option, const fs::path& record) {
    const std::string name = long_name(option);
    const auto text = [&](const std::string& value) {
        return toml_text(is_file(name, value) ? seen_from(record, value) : value);
    };
    if (option.get_items_expected_max() == 0) return option.count() > 0 && option.as<bool>() ? "true" : "";
    const bool many = option.get_expected_max() > 1;
    if (option.count() == 0) {
        const std::string usual = option.get_default_str();
        return many || usual.empty() || usual == "{}" || usual == "[]" ? "" : text(usual);
    }
    if (!many) return text(option.results().back());
    return toml_list(option.results());
}

std::vector<std::string> values_of(const toml::node& node, int line, const fs::path& record) {
    const auto text = [&](const toml::node& one) -> std::string {
        if (const auto* words = one.as_string()) return words->get();
        if (const auto* flag = one.as_boolean()) return flag->get() ? "true" : "false";
        if (const auto* whole = one.as_integer()) return std::to_string(whole->get());
        if (const auto* number = one.as_floating_point()) return number_text(number->get(), 9);
        throw_problems(record.string(), {{line, "a setting is text, a number, true or false, or a list of them"}});
    };
    std::vector<std::string> values;
    if (const auto* list = node.as_array())
        for (const toml::node& one : *list) values.push_back(text(one));
    else
        values.push_back(text(node));
    if (values.empty()) throw_problems(record.string(), {{line, "an empty list says nothing; leave the setting out"}});
    return values;
}

void take_setting(CLI::App& command, const std::string& name, const toml::node& node, const fs::path& record,
                  RecordRead& read) {
    const int line = static_cast<int>(node.source().begin.line);
    CLI::Option* option = is_one_of(name, kNotKept) ? nullptr : command.get_option_no_throw("--" + name);
    if (option == nullptr)
        throw_problems(record.string(), {{line, "'" + name + "' is no setting of loopread " + command.get_name()}});
    const std::vector<std::string> values = values_of(node, line, record);
    if (option->count() > 0) {
        read.passed_over[name] = values.front();
        return;
    }
    read.taken.insert(name);
    for (const std::string& value : values) {
        const fs::path beside = folder_of(record) / value;
        std::error_code ignored;
        const bool file = is_one_of(name, kFiles) || (name == "ground" && fs::is_regular_file(beside, ignored));
        option->add_result(file ? beside.lexically_normal().lexically_proximate(fs::current_path()).string() : value);
    }
    try {
        option->run_callback();
    } catch (const CLI::ParseError& fault) {
        throw_problems(record.string(), {{line, usage_fault(fault, command)}});
    }
}

}  // namespace

std::string record_text(const CLI::App& command, const fs::path& record, const std::string& head,
                        const std::map<std::string, std::vector<std::string>>& changed) {
    std::string text = head;
    for (const CLI::Option* option : command.get_options()) {
        const std::string name = long_name(*option);
        if (name.empty() || is_one_of(name, kNotKept)) continue;
        const auto other = changed.find(name);
        const std::string value = other == changed.end() ? toml_value(*option, record) : toml_list(other->second);
        if (!value.empty()) text.append(name).append(" = ").append(value).append("\n");
    }
    return text;
}

RecordRead read_record(CLI::App& command, const fs::path& record) {
    toml::table table;
    try {
        table = toml::parse(file_bytes(record, 1'000'000));
    } catch (const toml::parse_error& fault) {
        throw_problems(record.string(),
                       {{static_cast<int>(fault.source().begin.line), std::string(fault.description())}});
    }
    RecordRead read;
    for (const auto& [key, value] : table) take_setting(command, std::string(key.str()), value, record, read);
    return read;
}

}  // namespace loopread::cli
