#include "loopread/base/files.h"

#include <doctest/doctest.h>
#include <fcntl.h>
#include <sys/file.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include <csignal>
#include <stdexcept>

#include "base/temporary_folder.h"
#include "loopread/base/error.h"

using namespace loopread;
namespace fs = std::filesystem;

namespace {

/// The message and kind of what a piece of work throws; empty if it does not.
struct Fault {
    std::string message;
    ErrorKind kind = ErrorKind::usage;
};

template <class Work>
Fault fault_of(Work work) {
    try {
        work();
    } catch (const Error& error) {
        return {error.what(), error.kind()};
    }
    return {};
}

Fault writing_fault(const fs::path& folder) {
    Outputs outputs = Outputs::into_folder(folder);
    outputs.add("yarn.csv", "new");
    return fault_of([&outputs] { outputs.write(); });
}

/// No file may grow beyond a few bytes while this lives: a disk that is full.
class FullDisk {
public:
    FullDisk() {
        old_handler_ = std::signal(SIGXFSZ, SIG_IGN);
        ::getrlimit(RLIMIT_FSIZE, &old_limit_);
        rlimit tight = old_limit_;
        tight.rlim_cur = 64;
        ::setrlimit(RLIMIT_FSIZE, &tight);
    }
    FullDisk(const FullDisk&) = delete;
    FullDisk& operator=(const FullDisk&) = delete;
    ~FullDisk() {
        ::setrlimit(RLIMIT_FSIZE, &old_limit_);
        std::signal(SIGXFSZ, old_handler_);
    }

private:
    rlimit old_limit_{};
    void (*old_handler_)(int) = nullptr;
};

/// While this lives, one who may not write everywhere, even where the tests run as root.
class PlainUser {
public:
    PlainUser() {
        constexpr uid_t kNobody = 65534;
        if (user_ == 0) REQUIRE(::seteuid(kNobody) == 0);
    }
    PlainUser(const PlainUser&) = delete;
    PlainUser& operator=(const PlainUser&) = delete;
    ~PlainUser() {
        if (user_ == 0) CHECK(::seteuid(user_) == 0);
    }

private:
    uid_t user_ = ::geteuid();
};

}  // namespace

TEST_SUITE("base") {
    TEST_CASE("a file is read whole, its zero bytes too") {
        const TemporaryFolder folder;
        const std::string bytes("a\0b\r\n\xff", 6);
        CHECK(file_bytes(folder.file("a.bin", bytes)) == bytes);
    }

    TEST_CASE("a file that cannot be used is named with its fault") {
        const TemporaryFolder folder;
        const auto said = [](const fs::path& file, std::uintmax_t limit) {
            const Fault fault = fault_of([&] { file_bytes(file, limit); });
            CHECK(fault.kind == ErrorKind::input);
            CHECK(fault.message.starts_with(file.string() + ": "));
            return fault.message;
        };
        CHECK(said(folder / "none.csv", 10).find("no such file") != std::string::npos);
        CHECK(said(folder.path(), 10).find("is a folder") != std::string::npos);
        CHECK(said(folder.file("empty.csv", ""), 10).find("is empty") != std::string::npos);
        CHECK(said(folder.file("long.csv", "12345678901"), 10).find("larger") != std::string::npos);
        CHECK(said(folder.file("a.csv", "1") / "b.csv", 10).find("no such file") != std::string::npos);
        CHECK(said("/dev/null", 10).find("not an ordinary file") != std::string::npos);
        CHECK(said(folder / std::string(300, 'n'), 10).find("cannot be read") != std::string::npos);
        CHECK(file_bytes(folder.file("just.csv", "1234567890"), 10).size() == 10);
    }

    TEST_CASE("results are written together into a folder that is made for them") {
        const TemporaryFolder folder;
        Outputs outputs = Outputs::into_folder(folder / "a/b");
        outputs.add("yarn.csv", "yarn");
        outputs.add("runs.csv", std::string("r\0s", 3));
        CHECK(!fs::exists(folder / "a"));
        outputs.write();
        CHECK(file_bytes(folder / "a/b/yarn.csv") == "yarn");
        CHECK(file_bytes(folder / "a/b/runs.csv") == std::string("r\0s", 3));
        CHECK(outputs.paths() == std::vector<fs::path>{folder / "a/b/yarn.csv", folder / "a/b/runs.csv"});
        CHECK(std::distance(fs::directory_iterator(folder / "a/b"), fs::directory_iterator()) == 2);
    }

    TEST_CASE("a single result goes to its very name, over an older one") {
        const TemporaryFolder folder;
        folder.file("knit.png", "an older and longer picture");
        Outputs outputs = Outputs::into_file(folder / "knit.png");
        outputs.add_only("new");
        outputs.write();
        CHECK(file_bytes(folder / "knit.png") == "new");
        CHECK(folder.entries() == 1);
    }

    TEST_CASE("an input is never overwritten, by whatever name it is reached") {
        const TemporaryFolder folder;
        const fs::path input = folder.file("yarn.csv", "precious");
        fs::create_directories(folder / "sub");
        fs::create_hard_link(input, folder / "hard.csv");
        fs::create_symlink(input, folder / "soft.csv");
        for (const fs::path& target : {folder / "yarn.csv", folder / "./yarn.csv", folder / "sub/../yarn.csv",
                                       folder / "hard.csv", folder / "soft.csv"}) {
            CAPTURE(target.string());
            Outputs outputs = Outputs::into_file(target);
            outputs.keep_safe(input);
            outputs.add_only("new");
            const Fault fault = fault_of([&outputs] { outputs.write(); });
            CHECK(fault.kind == ErrorKind::output);
            CHECK(fault.message.find("also an input") != std::string::npos);
            CHECK(file_bytes(input) == "precious");
        }
        CHECK(folder.entries() == 4);
    }

    TEST_CASE("one target that is an input stops all the others") {
        const TemporaryFolder folder;
        const fs::path input = folder.file("yarn.csv", "precious");
        Outputs outputs = Outputs::into_folder(folder.path());
        outputs.keep_safe(input);
        outputs.add("runs.csv", "new");
        outputs.add("yarn.csv", "new");
        CHECK(fault_of([&outputs] { outputs.write(); }).kind == ErrorKind::output);
        CHECK(folder.entries() == 1);
        CHECK(file_bytes(input) == "precious");
    }

    TEST_CASE("a place that cannot be written to is told, and nothing is left there") {
        const TemporaryFolder folder;
        folder.file("file", "1");
        for (const fs::path& place : {folder / "file", folder / "file/below", folder / std::string(300, 'n')}) {
            CAPTURE(place.string());
            const Fault fault = writing_fault(place);
            CHECK(fault.kind == ErrorKind::output);
            CHECK(fault.message.starts_with(place.string()));
            CHECK(fault.message.find("-o") != std::string::npos);
        }
        CHECK(folder.entries() == 1);
        CHECK(file_bytes(folder / "file") == "1");
    }

    TEST_CASE("a folder without permission is told") {
        const TemporaryFolder folder;
        fs::create_directories(folder / "locked");
        fs::permissions(folder / "locked", fs::perms::owner_read | fs::perms::owner_exec);
        Fault in_it, below_it;
        {
            const PlainUser nobody;
            in_it = writing_fault(folder / "locked");
            below_it = writing_fault(folder / "locked/below");
        }
        fs::permissions(folder / "locked", fs::perms::owner_all);
        CHECK(in_it.kind == ErrorKind::output);
        CHECK(in_it.message.starts_with((folder / "locked/yarn.csv").string()));
        CHECK(below_it.kind == ErrorKind::output);
        CHECK(below_it.message.starts_with((folder / "locked/below").string()));
        CHECK(fs::is_empty(folder / "locked"));
    }

    TEST_CASE("a folder in the place of one result stops all of them") {
        const TemporaryFolder folder;
        fs::create_directories(folder / "yarn.csv");
        Outputs outputs = Outputs::into_folder(folder.path());
        outputs.add("a.csv", "new");
        outputs.add("yarn.csv", "new");
        const Fault fault = fault_of([&outputs] { outputs.write(); });
        CHECK(fault.kind == ErrorKind::output);
        CHECK(fault.message.find("a folder of that name") != std::string::npos);
        CHECK(folder.entries() == 1);
    }

    TEST_CASE("a pipe or a device is left what it is") {
        const TemporaryFolder folder;
        REQUIRE(::mkfifo((folder / "pipe").c_str(), 0600) == 0);
        Outputs outputs = Outputs::into_file(folder / "pipe");
        outputs.add_only("new");
        CHECK(fault_of([&outputs] { outputs.write(); }).message.find("not an ordinary file") != std::string::npos);
        CHECK(fs::is_fifo(folder / "pipe"));
        CHECK(folder.entries() == 1);
    }

    TEST_CASE("a disk that is full half-way leaves the older result and nothing else") {
        const TemporaryFolder folder;
        folder.file("b.csv", "older");
        Outputs outputs = Outputs::into_folder(folder.path());
        outputs.add("a.csv", "short");
        outputs.add("b.csv", std::string(100'000, 'x'));
        Fault fault;
        {
            const FullDisk full;
            fault = fault_of([&outputs] { outputs.write(); });
        }
        CHECK(fault.kind == ErrorKind::output);
        CHECK(fault.message.starts_with((folder / "b.csv").string()));
        CHECK(fault.message.find(".part") == std::string::npos);
        CHECK(folder.entries() == 1);
        CHECK(file_bytes(folder / "b.csv") == "older");
    }

    TEST_CASE("a result that cannot get its name takes back those that had theirs") {
        const TemporaryFolder folder;
        folder.file("b.csv", "older");
        Outputs outputs = Outputs::into_folder(folder.path());
        outputs.add("a.csv", "new");
        outputs.add("b.csv", "new");
        outputs.add(std::string(300, 'n'), "no disk has names as long as this");
        const Fault fault = fault_of([&outputs] { outputs.write(); });
        CHECK(fault.kind == ErrorKind::output);
        CHECK(fault.message.starts_with((folder / std::string(300, 'n')).string()));
        CHECK(file_bytes(folder / "b.csv") == "older");
        CHECK(folder.entries() == 1);
    }

    TEST_CASE("results that go to several folders are all written or none is") {
        const TemporaryFolder folder;
        fs::create_directories(folder / "elsewhere");
        Outputs outputs = Outputs::into_folder(folder / "here");
        outputs.add("card.html", "card");
        outputs.add((folder / "elsewhere/record.toml").string(), "record");
        outputs.write();
        CHECK(file_bytes(folder / "here/card.html") == "card");
        CHECK(file_bytes(folder / "elsewhere/record.toml") == "record");
        outputs.add((folder / "nowhere/record.toml").string(), "record");
        folder.file("here/card.html", "older");
        const Fault fault = fault_of([&outputs] { outputs.write(); });
        CHECK(fault.message.starts_with((folder / "nowhere/record.toml").string()));
        CHECK(file_bytes(folder / "here/card.html") == "older");
        CHECK(folder.entries() == 2);
    }

    TEST_CASE("what a killed program left unfinished is cleared away by the next that writes there") {
        const TemporaryFolder folder;
        fs::create_directories(folder / ".loopread-unfinished-1");
        fs::create_directories(folder / ".loopread-unfinished-27");
        folder.file(".loopread-unfinished-27/0", "half a fi");
        CHECK(writing_fault(folder.path()).message.empty());
        CHECK(folder.entries() == 1);
        CHECK(file_bytes(folder / "yarn.csv") == "new");
    }

    TEST_CASE("unfinished results of a program that still runs are left to it") {
        const TemporaryFolder folder;
        fs::create_directories(folder / ".loopread-unfinished-1");
        folder.file(".loopread-unfinished-1/0", "half a fi");
        const int held = ::open((folder / ".loopread-unfinished-1").c_str(), O_RDONLY | O_DIRECTORY);
        REQUIRE(::flock(held, LOCK_EX) == 0);
        CHECK(writing_fault(folder.path()).message.empty());
        CHECK(file_bytes(folder / ".loopread-unfinished-1/0") == "half a fi");
        CHECK(folder.entries() == 2);
        ::close(held);
        CHECK(writing_fault(folder.path()).message.empty());
        CHECK(folder.entries() == 1);
    }

    TEST_CASE("files and folders of the user's that are named much like ours are left alone") {
        const TemporaryFolder folder;
        folder.file("yarn.csv.part", "mine");
        folder.file(".loopread-unfinished-1", "mine, and no folder");
        fs::create_directories(folder / ".loopread-unfinished-2/of mine");
        fs::create_directories(folder / ".loopread-unfinished-mine");
        folder.file(".loopread-unfinished-mine/design.png", "mine");
        fs::create_directories(folder / "elsewhere");
        folder.file("elsewhere/0", "mine");
        fs::create_directory_symlink(folder / "elsewhere", folder / ".loopread-unfinished-3");
        CHECK(writing_fault(folder.path()).message.empty());
        CHECK(file_bytes(folder / "yarn.csv.part") == "mine");
        CHECK(fs::is_regular_file(folder / ".loopread-unfinished-1"));
        CHECK(fs::is_directory(folder / ".loopread-unfinished-2/of mine"));
        CHECK(file_bytes(folder / ".loopread-unfinished-mine/design.png") == "mine");
        CHECK(file_bytes(folder / "elsewhere/0") == "mine");
        CHECK(file_bytes(folder / "yarn.csv") == "new");
        CHECK(folder.entries() == 7);
    }

    TEST_CASE("results are added the way their place was named, each once") {
        Outputs into_folder = Outputs::into_folder("somewhere");
        into_folder.add("a", "1");
        CHECK_THROWS_AS(into_folder.add("a", "2"), std::logic_error);
        CHECK_THROWS_AS(into_folder.add_only("1"), std::logic_error);
        Outputs into_file = Outputs::into_file("somewhere.png");
        CHECK_THROWS_AS(into_file.add("a", "1"), std::logic_error);
        into_file.add_only("1");
        CHECK_THROWS_AS(into_file.add_only("2"), std::logic_error);
    }
}
