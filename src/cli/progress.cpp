#include "cli/progress.h"

#include <unistd.h>

#include <algorithm>
#include <iostream>

namespace loopread::cli {

Progress::Progress(std::string what) : what_(std::move(what)), watched_(isatty(STDERR_FILENO) == 1) {}

Progress::~Progress() {
    if (shown_ > 0) std::cerr << '\r' << std::string(shown_, ' ') << '\r' << std::flush;
}

void Progress::at(std::size_t done, std::size_t of) {
    if (!watched_) return;
    const std::scoped_lock held(lock_);
    if (done < last_) return;
    last_ = done;
    const std::string line = what_ + ": " + std::to_string(done) + " of " + std::to_string(of);
    std::cerr << '\r' << line << std::string(shown_ > line.size() ? shown_ - line.size() : 0, ' ') << std::flush;
    shown_ = std::max(shown_, line.size());
}

}  // namespace loopread::cli
