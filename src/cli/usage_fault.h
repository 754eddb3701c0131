#pragma once

#include <string>

namespace CLI {
class App;
class ParseError;
}  // namespace CLI

namespace loopread::cli {

/// What was typed wrong, in the words of everyday instead of those of a program: "--strands: 'x' is not one of 1, 2".
/// @param command  the one that was typed, or the program where none was
std::string usage_fault(const CLI::ParseError& fault, const CLI::App& command);

}  // namespace loopread::cli
