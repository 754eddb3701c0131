#include "cli/progress.h"

#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <iostream>

namespace loopread::cli {

Progress::Progress(std::string what, TimeLeft time_left)
    : what_(std::move(what)), tells_(time_left), watched_(isatty(STDERR_FILENO) == 1) {}

Progress::~Progress() {
    if (shown_ > 0) std::cerr << '\r' << std::string(shown_, ' ') << '\r' << std::flush;
}

void Progress::at(std::size_t done, std::size_t of) {
    if (!watched_) return;
    const std::scoped_lock held(lock_);
    if (done < last_) return;
    last_ = done;
    const std::string line = what_ + ": " + std::to_string(done) + " of " + std::to_string(of) + time_left(done, of);
    std::cerr << '\r' << line << std::string(shown_ > line.size() ? shown_ - line.size() : 0, ' ') << std::flush;
    shown_ = std::max(shown_, line.size());
}

std::string Progress::time_left(std::size_t done, std::size_t of) const {
    if (tells_ == TimeLeft::not_told || done == 0 || done >= of) return {};
    const std::chrono::duration<double> passed = std::chrono::steady_clock::now() - began_;
    return ", " + duration_in_words(passed.count() * static_cast<double>(of - done) / static_cast<double>(done)) +
           " left";
}

std::string duration_in_words(double seconds) {
    constexpr double kMinute = 60, kHour = 3600;
    const auto about = [](double count, const char* unit) {
        return "about " + std::to_string(std::max(1L, std::lround(count))) + " " + unit;
    };
    if (seconds < 1.5 * kMinute) return about(seconds, "s");
    return seconds < 1.5 * kHour ? about(seconds / kMinute, "min") : about(seconds / kHour, "h");
}

}  // namespace loopread::cli
