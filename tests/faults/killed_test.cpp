#include <poll.h>
#include <sys/inotify.h>
#include <sys/resource.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <thread>

#include "faults/child.h"
#include "loopread/base/random.h"

using namespace loopread;
using namespace loopread::faults;
namespace fs = std::filesystem;
using Clock = std::chrono::steady_clock;

namespace {

constexpr int kMoments = kSanitized ? 16 : 50;  // sanitized the program takes ten times as long

/// A command that writes over older results of its own.
struct Overwriting {
    std::string command;
    fs::path folder, output;  ///< the folder that holds what is written
    Words older_run() const { return small_run(command, "nets.png", output); }
    Words newer_run() const { return small_run(command, "gulls.png", output); }
};

/// Before all else that wants a processor, where that may be had: on a busy machine the writing would be over before
/// the one that kills it gets its turn.
class FirstInLine {
public:
    FirstInLine() { ::setpriority(PRIO_PROCESS, 0, before_ - 15); }
    FirstInLine(const FirstInLine&) = delete;
    FirstInLine& operator=(const FirstInLine&) = delete;
    ~FirstInLine() { ::setpriority(PRIO_PROCESS, 0, before_); }

private:
    int before_ = ::getpriority(PRIO_PROCESS, 0);
};

/// Sees what is made in a folder, or moved to its name there.
class Watch {
public:
    explicit Watch(const fs::path& folder) : watch_(::inotify_init1(IN_CLOEXEC | IN_NONBLOCK)) {
        REQUIRE(watch_ >= 0);
        REQUIRE(::inotify_add_watch(watch_, folder.c_str(), IN_CREATE | IN_MOVED_TO) >= 0);
    }
    Watch(const Watch&) = delete;
    Watch& operator=(const Watch&) = delete;
    ~Watch() { ::close(watch_); }

    /// False if the child ended before.
    bool saw_writing(Child& child) const {
        constexpr int kLookAgain = 20;  // ms
        pollfd made{watch_, POLLIN, 0};
        while (::poll(&made, 1, kLookAgain) <= 0)
            if (!child.still_runs()) return false;
        std::array<char, 4096> events;
        while (::read(watch_, events.data(), events.size()) > 0) continue;
        return true;
    }

private:
    int watch_;
};

bool is_unfinished(const std::string& name) {
    return name.starts_with(".loopread-unfinished-");
}

/// What stands under final names, and how much else.
struct Found {
    Contents results;
    int unfinished = 0;
};
Found found_in(const fs::path& folder) {
    Found found;
    for (auto& [name, bytes] : contents(folder)) {
        if (is_unfinished(name))
            ++found.unfinished;
        else
            found.results.emplace(name, bytes);
    }
    return found;
}

struct References {
    Contents older, newer;
    std::chrono::duration<double> whole_run{}, writing{};
};

References references(const Overwriting& work) {
    References made;
    REQUIRE(ran(work.newer_run()).code == 0);
    made.newer = contents(work.folder);
    REQUIRE(ran(work.older_run()).code == 0);
    made.older = contents(work.folder);
    REQUIRE(made.older.size() == made.newer.size());
    for (const auto& [name, bytes] : made.older) REQUIRE(made.newer.at(name) != bytes);
    const Watch watch(work.folder);
    const auto start = Clock::now();
    Child child(work.older_run(), {});
    REQUIRE(watch.saw_writing(child));
    const auto first = Clock::now();
    auto last = first;
    while (watch.saw_writing(child)) last = Clock::now();
    REQUIRE(child.wait().code == 0);
    made.whole_run = Clock::now() - start;
    made.writing = last - first;
    return made;
}

/// Every second moment lies anywhere in the run, the others where it writes, the shorter and more dangerous part.
void run_until_killed(const Overwriting& work, const References& known, int moment, Random& random) {
    const Watch watch(work.folder);
    Child child(work.newer_run(), {});
    const FirstInLine killing;
    const bool while_writing = moment % 2 == 1;
    if (while_writing) watch.saw_writing(child);
    std::this_thread::sleep_for(random.uniform() * (while_writing ? known.writing : known.whole_run));
    child.tell(SIGKILL);
    child.wait();
}

/// @return  how many of the kills left something unfinished behind
int check_kills(const Overwriting& work) {
    const References known = references(work);
    Random random(20);
    int left_behind = 0;
    for (int moment = 0; moment < kMoments; ++moment) {
        CAPTURE(moment);
        run_until_killed(work, known, moment, random);
        const Found found = found_in(work.folder);
        REQUIRE(found.results.size() == known.older.size());
        for (const auto& result : found.results) {
            const std::string& name = result.first;
            CAPTURE(name);
            REQUIRE(known.older.contains(name));
            const bool whole = result.second == known.older.at(name) || result.second == known.newer.at(name);
            CHECK(whole);
        }
        if (found.unfinished == 0) continue;
        ++left_behind;
        // The next run is not disturbed, and clears up.
        REQUIRE(ran(work.older_run()).code == 0);
        CHECK(contents(work.folder) == known.older);
    }
    return left_behind;
}

std::string samples_together() {
    std::string all;
    for (const char* name : {"gulls.png", "nets.png"}) all += file_bytes(std::string(LOOPREAD_SAMPLES) + "/" + name);
    return all;
}

}  // namespace

TEST_SUITE("faults") {
    TEST_CASE("killed at any moment, a folder holds whole files of the older run or the newer one") {
        const TemporaryFolder folder;
        const std::string inputs = samples_together();
        const int left_behind = check_kills({"unravel", folder.path(), folder.path()});
        CHECK(left_behind > 0);  // else no kill fell into the writing, and nothing was tested
        CHECK(samples_together() == inputs);
    }

    TEST_CASE("killed at any moment, a single file is the older or the newer one, whole") {
        const TemporaryFolder folder;
        const std::string inputs = samples_together();
        const int left_behind = check_kills({"knit", folder.path(), folder / "knit.png"});
        CHECK(left_behind > 0);
        CHECK(samples_together() == inputs);
    }

    TEST_CASE("results of another program that is still writing there are not cleared away") {
        const TemporaryFolder folder;
        REQUIRE(ran(small_run("unravel", "nets.png", folder.path())).code == 0);
        const Contents nets = contents(folder.path());
        const Watch watch(folder.path());
        Child slow(small_run("unravel", "nets.png", folder.path()), {});
        REQUIRE(watch.saw_writing(slow));
        slow.tell(SIGSTOP);
        REQUIRE(ran(small_run("unravel", "gulls.png", folder.path())).code == 0);
        slow.tell(SIGCONT);
        const Ending ending = slow.wait();
        CAPTURE(ending.err);
        CHECK(ending.code == 0);
        CHECK(contents(folder.path()) == nets);
    }
}
