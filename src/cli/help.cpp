#include "cli/help.h"

#include <CLI/CLI.hpp>
#include <sstream>
#include <string>

namespace loopread::cli {
namespace {

constexpr std::size_t kWidth = 80;
constexpr std::size_t kWordsFrom = 28;  // column at which the words of an option begin

/// Words filled into lines that begin at `from` and end before kWidth; the first goes on where the cursor stands.
std::string filled(const std::string& words, std::size_t from, std::size_t cursor) {
    std::istringstream in(words);
    std::string out, word;
    for (bool first = true; in >> word; first = false) {
        if (!first && cursor + 1 + word.size() > kWidth) {
            out += '\n' + std::string(from, ' ');
            cursor = from;
        } else if (!first) {
            out += ' ';
            ++cursor;
        }
        out += word;
        cursor += word.size();
    }
    return out;
}

std::string entry(const std::string& name, const std::string& words) {
    std::string out = "  " + name;
    if (out.size() + 2 > kWordsFrom)
        out += '\n' + std::string(kWordsFrom, ' ');
    else
        out.resize(kWordsFrom, ' ');
    return out + filled(words, kWordsFrom, kWordsFrom) + '\n';
}

class HelpFormatter : public CLI::Formatter {
public:
    std::string make_usage(const CLI::App* app, std::string name) const override {
        std::string usage = "Usage: " + name;
        for (const CLI::Option* positional : app->get_options([](const CLI::Option* o) { return o->get_positional(); }))
            usage += ' ' + make_option_usage(positional);
        for (const CLI::Option* option : app->get_options([](const CLI::Option* o) { return o->nonpositional(); }))
            if (option->get_required())
                usage += ' ' +
                         std::string(option->get_snames().empty() ? "--" + option->get_lnames().front()
                                                                  : "-" + option->get_snames().front()) +
                         ' ' + option->get_type_name();
        const bool commands = !app->get_subcommands([](const CLI::App*) { return true; }).empty();
        return filled(usage + (commands ? " COMMAND" : "") + " [OPTIONS]", 4, 0) + "\n\n";
    }

    std::string make_description(const CLI::App* app) const override {
        return filled(app->get_description(), 0, 0) + '\n';
    }

    std::string make_group(std::string group, bool is_positional,
                           std::vector<const CLI::Option*> options) const override {
        std::string out = is_positional ? "" : group + ":\n";
        for (const CLI::Option* option : options) out += make_option(option, is_positional);
        return out + (is_positional ? "\n" : "");
    }

    std::string make_option(const CLI::Option* option, bool is_positional) const override {
        std::string name = is_positional ? option->get_name(true, false) : option->get_name(false, true);
        if (const auto comma = name.find(','); comma != std::string::npos) name.insert(comma + 1, " ");
        if (!is_positional && option->get_items_expected_max() != 0) name += ' ' + option->get_type_name();
        const std::string& usual = option->get_default_str();
        const bool told = !usual.empty() && usual != "[]";
        return entry(name, option->get_description() + (told ? " (" + usual + ")" : ""));
    }

    std::string make_subcommands(const CLI::App* app, CLI::AppFormatMode) const override {
        std::string commands;
        for (const CLI::App* command : app->get_subcommands([](const CLI::App*) { return true; }))
            commands += entry(command->get_name(), command->get_description());
        return commands.empty() ? "" : "\nCommands:\n" + commands;
    }

    std::string make_footer(const CLI::App* app) const override { return app->get_footer(); }
};

}  // namespace

std::shared_ptr<CLI::FormatterBase> help_formatter() {
    return std::make_shared<HelpFormatter>();
}

}  // namespace loopread::cli
