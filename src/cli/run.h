#pragma once

#include <iosfwd>

namespace loopread::cli {

/// The whole program: 0 done, 2 wrong usage, 3 unusable input, 4 cannot write, 70 a fault of ours.
int run(int argc, const char* const* argv, std::ostream& out, std::ostream& err);

}  // namespace loopread::cli
