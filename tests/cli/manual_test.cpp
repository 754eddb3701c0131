#include "cli/manual.h"

#include <doctest/doctest.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <filesystem>
#include <regex>
#include <set>
#include <sstream>
#include <string>
#include <vector>

#include "base/temporary_folder.h"
#include "cli/examples.h"
#include "cli/option_facts.h"
#include "cli/option_table.h"
#include "cli/program.h"
#include "loopread/report/dye_table.h"

using namespace loopread;
using namespace loopread::cli;
using namespace loopread::program_test;
namespace fs = std::filesystem;

namespace {

std::vector<OptionFacts> facts_in(const CLI::App& command) {
    std::vector<OptionFacts> facts;
    for (const CLI::Option* option : command.get_options([](const CLI::Option*) { return true; }))
        facts.push_back(facts_of(*option));
    return facts;
}

/// As it is read in a terminal: escapes written out, the macros left in.
std::string read_page(std::string page) {
    const std::pair<const char*, const char*> escapes[] = {
        {R"(\\-)", "-"}, {R"(\\\(aq)", "'"}, {R"(\\\(ti)", "~"}, {R"(\\f[BIR])", ""}};
    for (const auto& [escape, shown] : escapes) page = std::regex_replace(page, std::regex(escape), shown);
    return page;
}

/// A line as a shell parts it, with samples and results where the test has them.
std::vector<std::string> arguments_of(const std::string& line, const fs::path& results) {
    static const std::regex word(R"re("([^"]*)"|'([^']*)'|(\S+))re");
    std::vector<std::string> arguments;
    for (std::sregex_iterator at(line.begin(), line.end(), word), end; at != end; ++at) {
        std::string text = (*at)[1].str() + (*at)[2].str() + (*at)[3].str();
        if (text.rfind("samples/", 0) == 0) text = std::string(LOOPREAD_SOURCE) + "/" + text;
        if (!arguments.empty() && arguments.back() == "-o") text = (results / text).string();
        arguments.push_back(text);
    }
    REQUIRE(!arguments.empty());
    CHECK(arguments.front() == "loopread");
    arguments.erase(arguments.begin());
    return arguments;
}

/// The words of "... is not one of a, b, c", but for those that need quotes.
std::set<std::string> words_told(const std::string& refusal) {
    const std::string before = "is not one of ";
    const auto at = refusal.find(before);
    std::set<std::string> words;
    if (at == std::string::npos) return words;
    std::string list = refusal.substr(at + before.size());
    list = list.substr(0, list.find_first_of("\n(;"));
    std::istringstream in(list);
    for (std::string word; std::getline(in, word, ',');) {
        word = std::regex_replace(word, std::regex("^ +| +$"), "");
        if (word.find(' ') == std::string::npos) words.insert(word);
    }
    return words;
}

/// The program may be built without the page; then dyetable can only say so.
bool without_its_page(const CLI::App& command) {
    return command.get_name() == "dyetable" && dye_table_page().empty();
}

/// That example of a command which reads a picture: of a yarn no option of the blank is looked at.
std::vector<std::string> of_a_picture(const CLI::App& command, const fs::path& results) {
    const std::vector<Example> examples = examples_of(command);
    const bool yarn = has(examples.back().line, ".csv");
    return arguments_of(yarn ? examples.front().line : examples.back().line, results);
}

/// An option and its value, if it is there.
void take_out(std::vector<std::string>& arguments, const std::string& option) {
    const auto at = std::find(arguments.begin(), arguments.end(), option);
    if (at != arguments.end()) arguments.erase(at, at + 2);
}

/// Nothing but words may follow, and no number either, which CLI11 would refuse in its own way.
bool only_words(const OptionFacts& facts) {
    const auto parts = static_cast<std::size_t>(std::count(facts.value.begin(), facts.value.end(), '|')) + 1;
    return facts.kind == OptionFacts::Kind::worded && facts.words.size() == parts && facts.names.back() != "--strands";
}

}  // namespace

TEST_SUITE("cli") {
    TEST_CASE("every command has two examples, and each of them runs as it stands") {
        const Table table;
        REQUIRE(table.commands().size() >= 13);
        for (const CLI::App* command : table.commands()) {
            const TemporaryFolder folder;
            const std::vector<Example> examples = examples_of(*command);
            CHECK(examples.size() == 2);
            for (const Example& example : examples) {
                CAPTURE(example.line);
                CHECK(!example.purpose.empty());
                const std::vector<std::string> arguments = arguments_of(example.line, folder / "results");
                CHECK(arguments.front() == command->get_name());
                if (without_its_page(*command)) continue;
                const Outcome outcome = program(arguments);
                CAPTURE(outcome.err);
                CHECK(outcome.code == kDone);
                const auto output = std::find(arguments.begin(), arguments.end(), "-o");
                if (output != arguments.end()) CHECK(fs::exists(*(output + 1)));
            }
        }
    }

    TEST_CASE("the help of a command ends with its examples, and the man page has them in the same words") {
        const Table table;
        const std::string page = read_page(man_page(table.app));
        for (const CLI::App* command : table.commands()) {
            const std::string help = program({command->get_name(), "--help"}).out;
            const std::string end = help.substr(help.rfind("Examples:"));
            for (const Example& example : examples_of(*command)) {
                CAPTURE(example.line);
                for (const std::string& text : {end, page}) {
                    CHECK(has(text, example.purpose + ":\n"));
                    CHECK(has(text, example.line + "\n"));
                }
            }
        }
    }

    TEST_CASE("the man page tells every option of every command, with its default") {
        const Table table;
        const std::string page = read_page(man_page(table.app));
        for (const CLI::App* command : table.commands()) {
            CHECK(has(page, ".SS " + command->get_name() + "\n"));
            for (const OptionFacts& facts : facts_in(*command)) {
                CAPTURE(facts.names.back());
                const std::string value = facts.value.empty() ? "" : " " + facts.value;
                CHECK(has(page, facts.names.back() + value + "\n" + facts.text + "\n"));
            }
        }
    }

    TEST_CASE("no text of the man page is taken for a macro") {
        const Table table;
        const std::set<std::string> known = {".TH", ".nh", ".ad", ".SH", ".SS", ".TP", ".PP",
                                             ".B",  ".br", ".RS", ".RE", ".nf", ".fi"};
        std::istringstream lines(man_page(table.app));
        std::string line;
        std::getline(lines, line);  // a comment
        CHECK(line.rfind(".\\\"", 0) == 0);
        while (std::getline(lines, line)) {
            CAPTURE(line);
            CHECK(!line.empty());
            CHECK(line.rfind("'", 0) != 0);
            if (line.rfind(".", 0) == 0) CHECK(known.contains(line.substr(0, line.find(' '))));
        }
    }

    TEST_CASE("completion offers the words that an option takes, no more and no fewer") {
        const Table table;
        std::set<std::string> tried;
        for (const CLI::App* command : table.commands()) {
            if (without_its_page(*command)) continue;
            const TemporaryFolder folder;
            for (const OptionFacts& facts : facts_in(*command)) {
                if (!only_words(facts)) continue;
                CAPTURE(command->get_name());
                CAPTURE(facts.names.back());
                std::vector<std::string> arguments = of_a_picture(*command, folder / "results");
                take_out(arguments, facts.names.back());
                if (facts.names.back() == "--treat-as") {
                    if (command->get_name() == "overdye") continue;  // it takes no picture, and says so
                    for (std::string& word : arguments)              // a design in layers is neither photo nor design
                        word = std::regex_replace(word, std::regex("lanterns\\.toml"), "lanterns.png");
                }
                if (facts.names.back() == "--heel") {
                    take_out(arguments, "--shape");
                    arguments.push_back("--shape=sock");
                }
                arguments.push_back(facts.names.back() + "=neither");
                const Outcome outcome = program(arguments);
                CAPTURE(outcome.err);
                CHECK(outcome.code == kUsage);
                CHECK(words_told(outcome.err) == std::set<std::string>(facts.words.begin(), facts.words.end()));
                tried.insert(command->get_name() + facts.names.back());
            }
        }
        CHECK(tried.size() >= 60);
    }

    TEST_CASE("both completions know every command and every option") {
        const Table table;
        const std::string bash = bash_completion(table.app), zsh = zsh_completion(table.app);
        for (const CLI::App* command : table.commands())
            for (const std::string& script : {bash, zsh}) {
                const auto begin =
                    script.find("\n" + std::string(script == bash ? "    " : "        ") + command->get_name() + ")\n");
                REQUIRE(begin != std::string::npos);
                const std::string own = script.substr(begin, script.find(" ;;\n", script.find("esac", begin)) - begin);
                for (const OptionFacts& facts : facts_in(*command))
                    if (facts.names.back().rfind("--", 0) == 0) {
                        CAPTURE(facts.names.back());
                        CHECK(has(own, facts.names.back()));
                    }
            }
    }

    TEST_CASE("the version is written in CMakeLists.txt and nowhere else") {
        const std::string version = LOOPREAD_VERSION;
        CHECK(has(bytes_of(LOOPREAD_SOURCE "/CMakeLists.txt"), "project(loopread VERSION " + version + " "));
        CHECK(program({"--version"}).out == "loopread " + version + "\n");
        const Table table;
        CHECK(has(man_page(table.app), "\"loopread " + version + "\""));
        for (const char* folder : {"src", "include", "scripts"})
            for (const auto& entry : fs::recursive_directory_iterator(fs::path(LOOPREAD_SOURCE) / folder)) {
                if (!entry.is_regular_file()) continue;
                CAPTURE(entry.path().string());
                CHECK_FALSE(has(bytes_of(entry.path()), version));
            }
    }
}
