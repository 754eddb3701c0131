#include "cli/manual.h"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cctype>
#include <vector>

#include "cli/examples.h"
#include "cli/option_facts.h"
#include "cli/run.h"
#include "loopread/base/error.h"
#include "loopread/base/files.h"
#include "loopread/base/text.h"

namespace loopread::cli {
namespace {

constexpr std::size_t kToldOnce = 3;             // commands; what fewer say alike each of them says itself
constexpr const char* kCommonGroup = "Options";  // CLI11's name for options in no group

using Facts = std::vector<OptionFacts>;

/// A heading and the options under it, as a command has them.
struct Group {
    std::string name;
    Facts options;
};

std::vector<const CLI::App*> commands_of(const CLI::App& app) {
    return app.get_subcommands([](const CLI::App*) { return true; });
}

std::vector<const CLI::Option*> options_of(const CLI::App& command) {
    return command.get_options([](const CLI::Option* option) { return !option->get_positional(); });
}

std::vector<const CLI::Option*> inputs_of(const CLI::App& command) {
    return command.get_options([](const CLI::Option* option) { return option->get_positional(); });
}

Facts all_facts(const std::vector<const CLI::Option*>& options) {
    Facts facts;
    for (const CLI::Option* option : options) facts.push_back(facts_of(*option));
    return facts;
}

bool same(const OptionFacts& a, const OptionFacts& b) {
    return a.names == b.names && a.value == b.value && a.text == b.text;
}

bool holds(const Facts& options, const OptionFacts& wanted) {
    return std::any_of(options.begin(), options.end(), [&](const OptionFacts& o) { return same(o, wanted); });
}

Facts in_group(const CLI::App& command, const std::string& group) {
    Facts facts;
    for (const CLI::Option* option : options_of(command))
        if (option->get_group() == group) facts.push_back(facts_of(*option));
    return facts;
}

/// What several commands say in the same words, once: of the common group what all of them say.
std::vector<Group> told_once(const CLI::App& app) {
    const std::vector<const CLI::App*> commands = commands_of(app);
    std::vector<Group> groups;
    const auto group_named = [&](const std::string& name) -> Group& {
        const auto found = std::find_if(groups.begin(), groups.end(), [&](const Group& g) { return g.name == name; });
        return found != groups.end() ? *found : groups.emplace_back(Group{name, {}});
    };
    for (const CLI::App* command : commands)
        for (const CLI::Option* option : options_of(*command)) {
            const std::string& name = option->get_group();
            const OptionFacts facts = facts_of(*option);
            const auto sayers =
                static_cast<std::size_t>(std::count_if(commands.begin(), commands.end(), [&](const CLI::App* other) {
                    return holds(in_group(*other, name), facts);
                }));
            if (sayers < (name == kCommonGroup ? commands.size() : kToldOnce)) continue;
            Group& group = group_named(name);
            if (!holds(group.options, facts)) group.options.push_back(facts);
        }
    return groups;
}

// ---- man page

/// As text of a page: nothing in it is taken for a request or an escape.
std::string roff(const std::string& text) {
    std::string out;
    for (const char c : text) switch (c) {
            case '\\':
                out += "\\e";
                break;
            case '-':
                out += "\\-";
                break;  // a plain one may come out as another dash than the one that is typed
            case '\'':
                out += "\\(aq";
                break;
            case '`':
                out += "\\(ga";
                break;
            case '^':
                out += "\\(ha";
                break;
            case '~':
                out += "\\(ti";
                break;
            default:
                out += c;
        }
    return !out.empty() && out.front() == '.' ? "\\&" + out : out;
}

std::string upper(std::string text) {
    for (char& c : text) c = static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
    return text;
}

std::string paragraph(const std::string& text) {
    return ".PP\n" + roff(text) + "\n";
}

std::string tagged(const OptionFacts& facts) {
    std::string tag;
    for (const std::string& name : facts.names) tag += (tag.empty() ? "" : ", ") + ("\\fB" + roff(name) + "\\fR");
    if (!facts.value.empty()) tag += " \\fI" + roff(facts.value) + "\\fR";
    return ".TP\n" + tag + "\n" + roff(facts.text) + "\n";
}

/// "The blank, The knitting", of which a command has options that are told once.
std::string headings_taken(const CLI::App& command, const std::vector<Group>& once) {
    std::string taken;
    for (const Group& group : once) {
        const Facts own = in_group(command, group.name);
        const bool takes = std::any_of(group.options.begin(), group.options.end(),
                                       [&](const OptionFacts& facts) { return holds(own, facts); });
        if (takes && group.name != kCommonGroup)
            taken += (taken.empty() ? "" : ", ") + upper(group.name.substr(0, group.name.find(" (")));
    }
    return taken;
}

std::string command_section(const CLI::App& command, const std::vector<Group>& once) {
    std::string page = ".SS " + roff(command.get_name()) + "\n" + roff(sentence(command.get_description())) + "\n";
    page += ".PP\n.B " + roff(usage_of(command)) + "\n";
    for (const OptionFacts& input : all_facts(inputs_of(command))) page += tagged(input);
    for (const CLI::Option* option : options_of(command)) {
        const auto shared = std::find_if(once.begin(), once.end(),
                                         [&](const Group& group) { return group.name == option->get_group(); });
        const OptionFacts facts = facts_of(*option);
        if (shared == once.end() || !holds(shared->options, facts)) page += tagged(facts);
    }
    const std::string taken = headings_taken(command, once);
    if (!taken.empty()) page += paragraph("Also the options under " + taken + ".");
    for (const Example& example : examples_of(command))
        page += paragraph(example.purpose + ":") + ".PP\n.RS 4\n.nf\n\\fB" + roff(example.line) + "\\fR\n.fi\n.RE\n";
    return page;
}

std::string shared_section(const Group& group) {
    const std::size_t aside = group.name.find(" (");
    const std::string heading = group.name == kCommonGroup ? "Every command" : group.name.substr(0, aside);
    std::string page = ".SH " + roff(upper(heading)) + "\n";
    if (aside != std::string::npos)
        page += roff(sentence(group.name.substr(aside + 2, group.name.size() - aside - 3))) + "\n";
    for (const OptionFacts& facts : group.options) page += tagged(facts);
    return page;
}

std::string exit_section() {
    const std::pair<int, const char*> codes[] = {{0, "Done."},
                                                 {2, "Wrong usage: an option or a command."},
                                                 {3, "A file that cannot be used."},
                                                 {4, "A place that cannot be written to."},
                                                 {kInternalFaultExit, "A fault of the program: please report it."}};
    std::string page = ".SH EXIT STATUS\n";
    for (const auto& [code, meaning] : codes) page += ".TP\n.B " + std::to_string(code) + "\n" + meaning + "\n";
    return page + paragraph(
                      "A fault is told in one line that names the option or the file, what is wrong and what to do. "
                      "Nothing half-written is left behind, and no file that was read is written over.");
}

// ---- completion

std::string joined(const std::vector<std::string>& words, const std::string& between) {
    std::string all;
    for (const std::string& word : words) all += (all.empty() ? "" : between) + word;
    return all;
}

std::vector<std::string> command_names(const CLI::App& app) {
    std::vector<std::string> names;
    for (const CLI::App* command : commands_of(app)) names.push_back(command->get_name());
    return names;
}

std::vector<std::string> option_names(const CLI::App& command) {
    std::vector<std::string> names;
    for (const OptionFacts& facts : all_facts(options_of(command)))
        names.insert(names.end(), facts.names.begin(), facts.names.end());
    return names;
}

/// One branch of bash's case on the word before the cursor.
std::string bash_branch(const std::vector<std::string>& names, const std::string& then) {
    return names.empty() ? "" : "        " + joined(names, "|") + ") " + then + " ;;\n";
}

std::string bash_command(const CLI::App& command) {
    std::string branches;
    std::vector<std::string> unforeseen;
    for (const OptionFacts& facts : all_facts(options_of(command))) {
        const std::string words = facts.words.empty() ? "" : "words='" + joined(facts.words, " ") + "' ";
        if (facts.kind == OptionFacts::Kind::worded)
            branches += bash_branch(facts.names, words);
        else if (facts.kind == OptionFacts::Kind::file)
            branches += bash_branch(facts.names, words + "files=yes");
        else if (facts.kind == OptionFacts::Kind::other)
            unforeseen.insert(unforeseen.end(), facts.names.begin(), facts.names.end());
    }
    branches += bash_branch(unforeseen, "return");
    return "    " + command.get_name() + ")\n        case $before in\n" + branches + "        *) options='" +
           joined(option_names(command), " ") + "' ;;\n        esac ;;\n";
}

/// Within the single quotes of a zsh specification.
std::string zsh_quoted(const std::string& text, const std::string& specials) {
    std::string out;
    for (const char c : text)
        if (c == '\'')
            out += "'\\''";
        else if (specials.find(c) != std::string::npos)
            out += std::string("\\") + c;
        else
            out += c;
    return out;
}

std::string zsh_value(const OptionFacts& facts) {
    std::string message = facts.value;
    std::replace(message.begin(), message.end(), '|', ' ');
    const std::string words = zsh_quoted(joined(facts.words, " "), ":");
    std::string head = ":" + zsh_quoted(message, ":") + ":";
    if (facts.kind == OptionFacts::Kind::worded) return head + "(" + words + ")";
    if (facts.kind == OptionFacts::Kind::other) return head;
    return head + (words.empty() ? "_files" : "{compadd -- " + words + "; _files}");
}

std::string zsh_option(const OptionFacts& facts) {
    const bool switched = facts.kind == OptionFacts::Kind::switched;
    const std::string text = "'[" + zsh_quoted(facts.text, "[]:\\") + "]" + (switched ? "" : zsh_value(facts)) + "'";
    std::vector<std::string> spelt;
    for (const std::string& name : facts.names)
        spelt.push_back(name + (switched ? "" : name.rfind("--", 0) == 0 ? "=" : "+"));
    const std::string before = facts.repeats == Repeats::yes ? "*" : "(" + joined(facts.names, " ") + ")";
    const std::string names = spelt.size() == 1 ? spelt.front() : "'{" + joined(spelt, ",") + "}'";
    return "'" + before + names + text.substr(1);
}

std::string zsh_command(const CLI::App& command) {
    std::string script = "        " + command.get_name() + ")\n            _arguments -S";
    for (const OptionFacts& facts : all_facts(options_of(command)))
        script += " \\\n                " + zsh_option(facts);
    for (const CLI::Option* input : inputs_of(command))
        script += std::string(" \\\n                '") + (input->get_required() ? ":" : "::") +
                  facts_of(*input).names.front() + ":_files'";
    return script + " ;;\n";
}

}  // namespace

std::string man_page(const CLI::App& app) {
    const std::vector<Group> once = told_once(app);
    std::string page = ".\\\" Made from the options of the program itself\n";
    page += ".TH LOOPREAD 1 \"\" \"loopread " LOOPREAD_VERSION "\" \"User Commands\"\n.nh\n.ad l\n";
    page += ".SH NAME\nloopread \\- what a painted sock blank will be as yarn and as a sock\n";
    page += ".SH SYNOPSIS\n.B " + roff(usage_of(app)) + "\n.br\n.B loopread COMMAND \\-\\-help\n";
    page += ".SH DESCRIPTION\n" +
            roff(
                "A sock blank is a knitted rectangle that is painted, ravelled and knitted again. loopread takes its "
                "picture, follows the yarn loop by loop in the order it comes off, and shows the colours along each "
                "strand and what they knit up as.") +
            "\n";
    page += paragraph(
        "IMAGE is a picture of a blank, drawn or photographed, or a design.toml: a design in layers. INPUT is one of "
        "these, or a yarn.csv. Lengths take a unit: 15mm, 1.5cm, 0.6in, 211m, 231yd. Colours are #rrggbb or a plain "
        "name. A COUNT is a whole number, a SHARE a number from 0 to 1. A figure or word in brackets at the end of an "
        "option is what counts if it is not given. The same input, "
        "options and seed give the same files, byte for byte.");
    page += paragraph("The examples are typed in the folder in which samples/ lies; the README beside it tells more.");
    page += ".SH COMMANDS\n";
    for (const CLI::App* command : commands_of(app)) page += command_section(*command, once);
    for (const Group& group : once) page += shared_section(group);
    return page + exit_section();
}

std::string bash_completion(const CLI::App& app) {
    std::string script =
        "# Completion of loopread for bash, made from the options of the program itself.\n"
        "_loopread() {\n"
        "    local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]} words= options= files=\n"
        "    # bash parts --shape=sock into three words\n"
        "    if [ \"$word\" = = ]; then word=; elif [ \"$before\" = = ]; then before=${COMP_WORDS[COMP_CWORD-2]}; fi\n"
        "    if [ \"$COMP_CWORD\" -eq 1 ]; then\n"
        "        words='" +
        joined(command_names(app), " ") + " " + joined(option_names(app), " ") +
        "'\n"
        "    else case ${COMP_WORDS[1]} in\n";
    for (const CLI::App* command : commands_of(app)) script += bash_command(*command);
    return script +
           "    esac; fi\n"
           "    if [ -n \"$options\" ]; then\n"
           "        if [ \"${word:0:1}\" = - ]; then words=$options; else files=yes; fi\n"
           "    fi\n"
           "    mapfile -t COMPREPLY < <(compgen -W \"$words\" -- \"$word\")\n"
           "    [ -z \"$files\" ] && return\n"
           "    mapfile -t -O ${#COMPREPLY[@]} COMPREPLY < <(compgen -f -- \"$word\")\n"
           "    compopt -o filenames 2>/dev/null\n"
           "}\n"
           "complete -F _loopread loopread\n";
}

std::string zsh_completion(const CLI::App& app) {
    std::string script =
        "#compdef loopread\n"
        "# Completion of loopread for zsh, made from the options of the program itself.\n"
        "_loopread() {\n"
        "    local context state state_descr line\n"
        "    typeset -A opt_args\n"
        "    local -a commands=(";
    for (const CLI::App* command : commands_of(app))
        script += "\n        '" + command->get_name() + ":" + zsh_quoted(command->get_description(), ":") + "'";
    script += ")\n    _arguments -C";
    for (const OptionFacts& facts : all_facts(options_of(app))) script += " \\\n        " + zsh_option(facts);
    script +=
        " \\\n        '1:command:->command' '*::argument:->argument'\n"
        "    case $state in\n"
        "    command) _describe command commands ;;\n"
        "    argument)\n"
        "        case $line[1] in\n";
    for (const CLI::App* command : commands_of(app)) script += zsh_command(*command);
    return script +
           "        esac ;;\n"
           "    esac\n"
           "}\n"
           "_loopread \"$@\"\n";
}

void write_manual(const std::filesystem::path& folder) {
    CLI::App app;
    Action action;
    set_up(app, action);
    Outputs outputs = Outputs::into_folder(folder);
    outputs.add("loopread.1", man_page(app));
    outputs.add("loopread.bash", bash_completion(app));
    outputs.add("_loopread", zsh_completion(app));
    outputs.write();
}

}  // namespace loopread::cli
