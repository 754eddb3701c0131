#pragma once

#include <filesystem>
#include <fstream>
#include <iterator>
#include <sstream>
#include <string>
#include <vector>

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

}  // namespace loopread::program_test
