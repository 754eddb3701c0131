#pragma once

#include <cstddef>
#include <mutex>
#include <string>

namespace loopread::cli {

/// "laying the design: 12 of 16" on one line of a watching terminal, wiped off at the end. Elsewhere nothing is shown.
class Progress {
public:
    explicit Progress(std::string what);
    ~Progress();
    Progress(const Progress&) = delete;
    Progress& operator=(const Progress&) = delete;

    /// From any thread; what comes late is left out.
    void at(std::size_t done, std::size_t of);

private:
    std::mutex lock_;
    std::string what_;
    bool watched_ = false;
    std::size_t last_ = 0;
    std::size_t shown_ = 0;  // characters on the line
};

}  // namespace loopread::cli
