#pragma once

#include <chrono>
#include <cstddef>
#include <mutex>
#include <string>

namespace loopread::cli {

/// "laying the design: 12 of 16" on one line of a watching terminal, wiped off at the end. Elsewhere nothing is shown.
/// Where it is told, the time left is that which passed, times what is still to be done over what is done.
class Progress {
public:
    enum class TimeLeft { not_told, told };
    explicit Progress(std::string what, TimeLeft time_left = TimeLeft::not_told);
    ~Progress();
    Progress(const Progress&) = delete;
    Progress& operator=(const Progress&) = delete;

    /// From any thread; what comes late is left out.
    void at(std::size_t done, std::size_t of);

private:
    std::mutex lock_;
    std::string time_left(std::size_t done, std::size_t of) const;

    std::string what_;
    TimeLeft tells_ = TimeLeft::not_told;
    std::chrono::steady_clock::time_point began_ = std::chrono::steady_clock::now();
    bool watched_ = false;
    std::size_t last_ = 0;
    std::size_t shown_ = 0;  // characters on the line
};

/// "about 40 s", "about 3 min", "about 2 h".
std::string duration_in_words(double seconds);

}  // namespace loopread::cli
