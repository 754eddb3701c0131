#include <sys/resource.h>

#include <csignal>
#include <set>

#include "base/temporary_folder.h"
#include "faults/child.h"
#include "loopread/base/error.h"
#include "loopread/base/files.h"
#include "properties/holds.h"

using namespace loopread;
using namespace loopread::properties;
namespace fs = std::filesystem;

namespace {

constexpr int kNames = 6;
constexpr int kRoom = 3000;  // bytes of a file that a full disk takes

enum class Trouble { none, target_is_input, folder_in_the_way, disk_full };

/// No file grows beyond kRoom while this lives.
class FullDisk {
public:
    FullDisk() : handler_(std::signal(SIGXFSZ, SIG_IGN)) {
        ::getrlimit(RLIMIT_FSIZE, &usual_);
        const rlimit tight{kRoom, usual_.rlim_max};
        ::setrlimit(RLIMIT_FSIZE, &tight);
    }
    FullDisk(const FullDisk&) = delete;
    FullDisk& operator=(const FullDisk&) = delete;
    ~FullDisk() {
        ::setrlimit(RLIMIT_FSIZE, &usual_);
        std::signal(SIGXFSZ, handler_);
    }

private:
    rlimit usual_{};
    void (*handler_)(int);
};

std::string any_bytes(const std::string& name) {
    return std::string(static_cast<std::size_t>(whole_in(0, 2 * kRoom, name)),
                       static_cast<char>(whole_in(0, 255, "byte")));
}

std::string name_of(int i) {
    return std::string(1, static_cast<char>('a' + i)) + ".csv";
}

bool written(const Outputs& outputs, Trouble trouble) {
    std::optional<FullDisk> full;
    if (trouble == Trouble::disk_full) full.emplace();
    try {
        outputs.write();
        return true;
    } catch (const Error& fault) {
        RC_ASSERT(fault.kind() == ErrorKind::output);
        return false;
    }
}

}  // namespace

TEST_SUITE("properties") {
    TEST_CASE("results are all there, or everything is as it was, whatever lay there and whatever went wrong") {
        int refusals = 0, successes = 0;
        holds([&] {
            const TemporaryFolder folder;
            for (int i = 0; i < kNames; ++i)
                if (whole_in(0, 1, "older file") == 1) folder.file(name_of(i), any_bytes("older bytes"));
            folder.file("other.txt", "the dyer's own");
            const auto trouble = static_cast<Trouble>(whole_in(0, 3, "trouble"));
            const int troubled = whole_in(0, kNames - 1, "troubled file");
            if (trouble == Trouble::folder_in_the_way) {
                fs::remove(folder / name_of(troubled));
                fs::create_directories(folder / name_of(troubled));
            }
            Outputs outputs = Outputs::into_folder(folder.path());
            if (trouble == Trouble::target_is_input) outputs.keep_safe(folder / name_of(troubled));
            const faults::Contents before = faults::contents(folder.path());
            faults::Contents after = before;
            bool refused = false;
            for (int i = 0; i < kNames; ++i) {
                if (whole_in(0, 2, "left out") == 0) continue;
                std::string bytes = any_bytes("bytes");
                const bool one_is_troubled = trouble != Trouble::none && trouble != Trouble::disk_full && i == troubled;
                refused = refused || one_is_troubled || (trouble == Trouble::disk_full && bytes.size() > kRoom);
                after[name_of(i)] = bytes;
                outputs.add(name_of(i), std::move(bytes));
            }
            RC_ASSERT(written(outputs, trouble) == !refused);
            RC_ASSERT(faults::contents(folder.path()) == (refused ? before : after));
            ++(refused ? refusals : successes);
        });
        CHECK(refusals > 20);
        CHECK(successes > 20);
    }
}
