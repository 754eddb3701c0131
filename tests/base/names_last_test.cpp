#include <doctest/doctest.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <filesystem>
#include <string>

#include "base/temporary_folder.h"
#include "loopread/base/files.h"

using namespace loopread;
namespace fs = std::filesystem;

namespace {

/// In a process of its own that may write no file beyond a few bytes, and is killed by the first that grows longer.
/// @return the signal that ended it, 0 if none did
int killed_while_writing(const Outputs& outputs) {
    const pid_t child = ::fork();
    REQUIRE(child >= 0);
    if (child == 0) {
        const rlimit tight{64, 64}, none{0, 0};
        ::signal(SIGXFSZ, SIG_DFL);
        ::setrlimit(RLIMIT_CORE, &none);
        ::setrlimit(RLIMIT_FSIZE, &tight);
        try {
            outputs.write();
        } catch (...) {
            ::_exit(1);
        }
        ::_exit(0);
    }
    int status = 0;
    REQUIRE(::waitpid(child, &status, 0) == child);
    return WIFSIGNALED(status) ? WTERMSIG(status) : 0;
}

}  // namespace

TEST_SUITE("base") {
    TEST_CASE("no result has its name before the last of them is written") {
        const TemporaryFolder folder;
        const fs::path older = folder.file("b.csv", "older");
        Outputs outputs = Outputs::into_folder(folder.path());
        outputs.add("a.csv", "short");
        outputs.add("b.csv", "short");
        outputs.add("c.csv", std::string(100'000, 'x'));
        REQUIRE(killed_while_writing(outputs) == SIGXFSZ);
        CHECK_FALSE(fs::exists(folder / "a.csv"));
        CHECK(file_bytes(older) == "older");
        CHECK_FALSE(fs::exists(folder / "c.csv"));
    }
}
