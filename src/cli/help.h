#pragma once

#include <memory>

namespace CLI {
class FormatterBase;
}

namespace loopread::cli {

/// How --help is set: 80 columns, kinds of values in capitals, defaults in brackets at the end of a line's words.
/// Subcommands take the formatter their parent has when they are added.
std::shared_ptr<CLI::FormatterBase> help_formatter();

}  // namespace loopread::cli
