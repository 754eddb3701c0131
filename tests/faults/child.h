#pragma once

#include <doctest/doctest.h>
#include <fcntl.h>
#include <linux/capability.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "base/temporary_folder.h"
#include "loopread/base/files.h"

/// The program as a process of its own, which can be starved, locked out and killed.
namespace loopread::faults {

using Words = std::vector<std::string>;

#ifdef LOOPREAD_SANITIZED
inline constexpr bool kSanitized = true;  ///< maps terabytes before main: no limit of memory can be set
#else
inline constexpr bool kSanitized = false;
#endif

/// What a child has to do without.
struct Lack {
    /// Longest file, as on a disk that is full.
    std::optional<rlim_t> file_bytes = std::nullopt;
    /// All that it maps: its libraries and the stacks of its threads count too.
    std::optional<rlim_t> address_bytes = std::nullopt;
    /// plain: permissions bite even where the tests run as root.
    enum class Powers { all, plain } powers = Powers::all;
    /// Instead of a file that is read back.
    std::string standard_output = {};
};

/// How a child ended.
struct Ending {
    int code = -1;   ///< of a child that ended by itself
    int signal = 0;  ///< that ended it
    std::string out, err;
};

class Child {
public:
    Child(const Words& arguments, const Lack& lack) {
        std::vector<std::string> words = arguments;
        words.insert(words.begin(), LOOPREAD_PROGRAM);
        std::vector<char*> argv;
        for (std::string& word : words) argv.push_back(word.data());
        argv.push_back(nullptr);
        const std::string out = lack.standard_output.empty() ? out_.string() : lack.standard_output;
        id_ = ::fork();
        if (id_ == 0) become(argv, out, lack);
        REQUIRE(id_ > 0);
    }
    Child(const Child&) = delete;
    Child& operator=(const Child&) = delete;
    ~Child() {
        if (id_ <= 0) return;
        tell(SIGKILL);
        wait();
    }

    void tell(int signal) const { ::kill(id_, signal); }
    bool still_runs() {
        int status = 0;
        if (id_ > 0 && ::waitpid(id_, &status, WNOHANG) == 0) return true;
        if (id_ > 0) ended(status);
        return false;
    }
    Ending wait() {
        int status = 0;
        if (id_ > 0 && ::waitpid(id_, &status, 0) == id_) ended(status);
        return ending_;
    }

private:
    /// Between fork and exec: system calls only, since other threads may have held any lock.
    [[noreturn]] void become(const std::vector<char*>& argv, const std::string& out, const Lack& lack) const {
        constexpr int kCannotStart = 126;
        const int out_file = ::open(out.c_str(), O_WRONLY | O_CREAT, 0600);
        const int err_file = ::open(err_.c_str(), O_WRONLY | O_CREAT, 0600);
        if (out_file < 0 || err_file < 0 || ::dup2(out_file, 1) < 0 || ::dup2(err_file, 2) < 0) ::_exit(kCannotStart);
        if (lack.file_bytes) {
            ::signal(SIGXFSZ, SIG_IGN);
            limit(RLIMIT_FSIZE, *lack.file_bytes);
        }
        if (lack.address_bytes) limit(RLIMIT_AS, *lack.address_bytes);
        if (lack.powers == Lack::Powers::plain && ::geteuid() == 0)
            for (const int power : {CAP_DAC_OVERRIDE, CAP_DAC_READ_SEARCH, CAP_FOWNER})
                if (::prctl(PR_CAPBSET_DROP, static_cast<unsigned long>(power), 0, 0, 0) != 0) ::_exit(kCannotStart);
        ::execv(argv.front(), argv.data());
        ::_exit(kCannotStart);
    }
    static void limit(decltype(RLIMIT_AS) what, rlim_t most) {
        const rlimit both{most, most};
        ::setrlimit(what, &both);
    }
    static std::string read_back(const std::filesystem::path& file) {
        std::error_code ignored;
        return std::filesystem::file_size(file, ignored) > 0 && !ignored ? file_bytes(file) : std::string();
    }
    void ended(int status) {
        id_ = 0;
        if (WIFEXITED(status)) ending_.code = WEXITSTATUS(status);
        if (WIFSIGNALED(status)) ending_.signal = WTERMSIG(status);
        ending_.out = read_back(out_);
        ending_.err = read_back(err_);
    }

    TemporaryFolder folder_;
    std::filesystem::path out_ = folder_ / "out", err_ = folder_ / "err";
    pid_t id_ = 0;
    Ending ending_;
};

inline Ending ran(const Words& arguments, const Lack& lack = {}) {
    return Child(arguments, lack).wait();
}

/// Every file below a folder by its name from there, with its bytes; folders end in '/'.
using Contents = std::map<std::string, std::string>;
inline Contents contents(const std::filesystem::path& folder) {
    namespace fs = std::filesystem;
    Contents found;
    if (!fs::is_directory(folder)) return found;
    for (const fs::directory_entry& entry : fs::recursive_directory_iterator(folder)) {
        const std::string name = entry.path().lexically_relative(folder).generic_string();
        if (entry.is_directory())
            found[name + "/"];
        else
            found[name] = entry.file_size() > 0 ? file_bytes(entry.path()) : std::string();
    }
    return found;
}

inline bool has(const std::string& text, const std::string& words) {
    return text.find(words) != std::string::npos;
}

/// Ended by itself with that code and one plain line that holds all of these words; nothing on standard output.
inline void check_told(const Ending& ending, int code, const Words& told) {
    CAPTURE(ending.err);
    CHECK(ending.signal == 0);
    CHECK(ending.code == code);
    CHECK(ending.out.empty());
    CHECK(ending.err.starts_with("loopread: "));
    CHECK(ending.err.find('\n') + 1 == ending.err.size());
    for (const std::string& words : told) CHECK_MESSAGE(has(ending.err, words), words);
}

/// A blank so small that a run takes a blink of the eye.
inline Words small_run(const std::string& command, const std::string& picture, const std::filesystem::path& output) {
    return {
        command, std::string(LOOPREAD_SAMPLES) + "/" + picture, "-o", output.string(), "--blank", "16x40", "--creep",
        "3mm"};
}

}  // namespace loopread::faults
