#pragma once

#include <functional>
#include <iosfwd>

namespace loopread::cli {

/// What the command line asked for, ready to run; it writes its summary to the stream.
using Action = std::function<void(std::ostream&)>;

}  // namespace loopread::cli
