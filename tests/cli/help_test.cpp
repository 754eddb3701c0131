#include <doctest/doctest.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cctype>
#include <set>
#include <sstream>
#include <string>
#include <vector>

#include "cli/examples.h"
#include "cli/option_facts.h"
#include "cli/option_table.h"
#include "cli/program.h"

using namespace loopread;
using namespace loopread::cli;
using namespace loopread::program_test;

namespace {

constexpr std::size_t kTerminal = 80;  // columns of a usual terminal

/// Options that take a value, of one command.
std::vector<OptionFacts> valued(const CLI::App& command) {
    std::vector<OptionFacts> facts;
    for (const CLI::Option* option : command.get_options([](const CLI::Option* o) { return !o->get_positional(); }))
        if (const OptionFacts one = facts_of(*option); one.kind != OptionFacts::Kind::switched) facts.push_back(one);
    return facts;
}

/// What does nothing unless it is given; every other option has a value that counts instead.
bool nothing_unless_given(const std::string& command, const std::string& option) {
    static const std::set<std::string> everywhere = {"--output",     "--config",      "--counted",   "--white",
                                                     "--other-side", "--other-white", "--base",      "--save-base",
                                                     "--colour",     "--alternate",   "--foot-round"};
    static const std::set<std::string> own = {"count --size",
                                              "count --blank",
                                              "compare --against",
                                              "compare --before-size",
                                              "compare --after-size",
                                              "compare --ruler",
                                              "compare --after-ruler",
                                              "compare --blank",
                                              "compare --after-white",
                                              "compare --after-ravel-edge",
                                              "overdye --stencil",
                                              "overdye --strengths",
                                              "overdye --even-steps",
                                              "dye --fibre",
                                              "dye --dye",
                                              "dye --used",
                                              "dye --design",
                                              "dye --paste",
                                              "dye --jar",
                                              "dye --strengths",
                                              "dye --batch",
                                              "dye --note",
                                              "dye --record",
                                              "dye --from-record",
                                              "listing --maker",
                                              "listing --words",
                                              "listing --names",
                                              "listing --fibre",
                                              "listing --address"};
    return everywhere.contains(option) || own.contains(command + " " + option);
}

/// The help without its last part, in which command lines stand as they are typed.
std::string help_before_examples(const std::string& command) {
    const std::string help = program({command, "--help"}).out;
    return help.substr(0, help.find("\nExamples:"));
}

/// The capitals of "[AREA=]WEIGHT/VOLUME", "1|2|both|A|B", word by word.
std::vector<std::string> kinds_in(const std::string& value) {
    std::vector<std::string> kinds(1);
    for (const char c : value)
        if (std::isupper(static_cast<unsigned char>(c)))
            kinds.back() += c;
        else if (!kinds.back().empty())
            kinds.emplace_back();
    return kinds;
}

}  // namespace

TEST_SUITE("cli") {
    TEST_CASE("no option shows a kind of value that only programmers know") {
        const std::set<std::string> theirs = {"INT",     "UINT", "FLOAT", "DOUBLE", "TEXT",  "STRING", "BOOL",
                                              "BOOLEAN", "ENUM", "VALUE", "PATH",   "ARRAY", "VECTOR", "ARG"};
        const Table table;
        for (const CLI::App* command : table.commands())
            for (const OptionFacts& facts : valued(*command)) {
                CAPTURE(command->get_name());
                CAPTURE(facts.names.back());
                CHECK_FALSE(facts.value.empty());
                for (const std::string& kind : kinds_in(facts.value)) CHECK_FALSE(theirs.contains(kind));
            }
    }

    TEST_CASE("every option tells what counts if it is not given, unless it then does nothing") {
        const Table table;
        std::size_t told = 0;
        for (const CLI::App* command : table.commands())
            for (const OptionFacts& facts : valued(*command)) {
                CAPTURE(command->get_name());
                CAPTURE(facts.names.back());
                const bool silent = nothing_unless_given(command->get_name(), facts.names.back());
                CHECK((facts.text.back() == ')') == !silent);
                if (!silent) ++told;
            }
        CHECK(told >= 300);
    }

    TEST_CASE("no line of the help is wider than a terminal, but for command lines as they are typed") {
        const Table table;
        std::vector<std::string> helps = {program({"--help"}).out};
        for (const CLI::App* command : table.commands()) helps.push_back(help_before_examples(command->get_name()));
        for (const std::string& help : helps) {
            CHECK(help.size() > 500);
            std::istringstream lines(help);
            for (std::string line; std::getline(lines, line);) {
                CAPTURE(line);
                CHECK(line.size() <= kTerminal);
            }
        }
        for (const CLI::App* command : table.commands())
            for (const Example& example : examples_of(*command)) {
                CAPTURE(example.purpose);
                CHECK(example.purpose.size() + 3 <= kTerminal);
            }
    }

    TEST_CASE("an option that takes one of some words does not list them again in its description") {
        const Table table;
        for (const CLI::App* command : table.commands())
            for (const OptionFacts& facts : valued(*command)) {
                if (facts.words.size() < 2) continue;
                const std::string words = facts.text.substr(0, facts.text.rfind(" ("));
                std::string with_commas, with_or;
                for (std::size_t i = 0; i < facts.words.size(); ++i) {
                    with_commas += (i == 0 ? "" : ", ") + facts.words[i];
                    with_or += (i == 0 ? "" : i + 1 == facts.words.size() ? " or " : ", ") + facts.words[i];
                }
                CAPTURE(facts.names.back());
                CAPTURE(words);
                CHECK_FALSE(has(words, with_commas));
                CHECK_FALSE(has(words, with_or));
            }
    }

    TEST_CASE("what was typed wrong is told in the words of everyday, with the option first") {
        struct Slip {
            std::vector<std::string> typed;
            std::string told;
        };
        const std::vector<Slip> slips = {
            {{"unravel", "a.png", "-o", "out", "--strands", "three"}, "--strands: 'three' is not one of 1, 2; "},
            {{"unravel", "a.png", "-o", "out", "--stitches", "6.5"}, "--stitches: '6.5' is not a whole number; "},
            {{"unravel", "a.png", "-o", "out", "--wrap", "most"}, "--wrap: 'most' is not a number from 0 to 1; "},
            {{"unravel", "a.png", "-o", "out", "--wander", "much"}, "--wander: 'much' is not a number; "},
            {{"unravel", "a.png", "-o", "out", "--colors", "4"}, "--colors: is no option of this command; "},
            {{"unravel", "a.png", "b.png", "-o", "out"}, "'b.png': is one name too many; "},
            {{"unravel", "a.png", "-o", "out", "--size"}, "--size: has no value; write it like --size WIDTHxLENGTH; "},
            {{"unravel", "a.png", "-o", "out", "--loop=1cm", "--loop=2cm"}, "--loop: is given more than once; "},
            {{"unravel", "a.png"}, "--output: is missing; "},
            {{"unravel", "-o", "out"}, "IMAGE: is missing; "},
            {{"dye", "--fibre=100g", "--dye=sea=1%", "--areas=99"}, "--areas: '99' does not lie between 1 and 24; "},
            {{}, "a command is missing; "}};
        for (const Slip& slip : slips) {
            const Outcome outcome = program(slip.typed);
            CAPTURE(outcome.err);
            CHECK(outcome.code == kUsage);
            CHECK(outcome.err.rfind("loopread: " + slip.told, 0) == 0);
            for (const char* word : {"argument", "convert", "subcommand", "required", "parse", "invalid"})
                CHECK_FALSE(has(outcome.err, word));
        }
    }
}
