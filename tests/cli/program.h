#pragma once

#include <doctest/doctest.h>

#include <filesystem>
#include <fstream>
#include <iterator>
#include <sstream>
#include <string>
#include <vector>

#include "base/temporary_folder.h"
#include "cli/run.h"

/// The program run as a person would run it, within the test.
namespace loopread::program_test {

inline constexpr int kDone = 0, kUsage = 2, kInput = 3, kOutput = 4;

struct Outcome {
    int code = -1;
    std::string out, err;
};

inline Outcome program(const std::vector<std::string>& arguments) {
    std::vector<const char*> argv = {"loopread"};
    for (const std::string& argument : arguments) argv.push_back(argument.c_str());
    std::ostringstream out, err;
    const int code = cli::run(static_cast<int>(argv.size()), argv.data(), out, err);
    return {code, out.str(), err.str()};
}

inline bool has(const std::string& text, const std::string& words) {
    return text.find(words) != std::string::npos;
}

inline std::string bytes_of(const std::filesystem::path& file) {
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

/// Refused in one line that says so, with nothing on standard output and nothing left in the folder.
struct Refusal {
    int code = kUsage;
    std::string told;  ///< part of the line
};
inline void check_refused(const TemporaryFolder& folder, const std::vector<std::string>& arguments,
                          const Refusal& refusal) {
    std::string words;
    for (const std::string& argument : arguments) words += argument + " ";
    CAPTURE(words);
    const std::size_t before = folder.entries();
    const Outcome outcome = program(arguments);
    CAPTURE(outcome.err);
    CHECK(outcome.code == refusal.code);
    CHECK(outcome.out.empty());
    CHECK(outcome.err.find('\n') == outcome.err.size() - 1);
    CHECK(has(outcome.err, refusal.told));
    CHECK(folder.entries() == before);
}

}  // namespace loopread::program_test
