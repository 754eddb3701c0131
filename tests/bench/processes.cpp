#include "bench/processes.h"

#include <fcntl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>

namespace loopread::bench {
namespace {

Cost one_run(const std::vector<std::string>& command) {
    std::vector<char*> words;
    for (const std::string& word : command) words.push_back(const_cast<char*>(word.c_str()));
    words.push_back(nullptr);
    const auto start = std::chrono::steady_clock::now();
    const pid_t child = fork();
    if (child == 0) {
        dup2(open("/dev/null", O_WRONLY), STDOUT_FILENO);
        execv(words[0], words.data());
        _exit(127);
    }
    int status = 0;
    rusage usage{};
    wait4(child, &status, 0, &usage);
    if (!WIFEXITED(status) || WEXITSTATUS(status) != 0) {
        std::string line;
        for (const std::string& word : command) line += ' ' + word;
        std::fprintf(stderr, "bench: failed:%s\n", line.c_str());
        std::exit(1);
    }
    return {std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count(),
            static_cast<double>(usage.ru_maxrss) / 1024};
}

}  // namespace

Cost median_cost(const std::vector<std::string>& command, int runs) {
    std::vector<double> seconds;
    Cost cost;
    for (int i = 0; i < runs; ++i) {
        const Cost run = one_run(command);
        seconds.push_back(run.seconds);
        cost.peak_mb = std::max(cost.peak_mb, run.peak_mb);
    }
    std::sort(seconds.begin(), seconds.end());
    cost.seconds = seconds[seconds.size() / 2];
    return cost;
}

}  // namespace loopread::bench
