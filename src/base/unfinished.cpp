#include "base/unfinished.h"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <string_view>
#include <vector>

namespace loopread {
namespace fs = std::filesystem;
namespace {

constexpr std::string_view kPrefix = ".loopread-unfinished-";

std::error_code last_fault() {
    return {errno, std::generic_category()};
}

int opened_folder(const fs::path& folder) {
    return ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC);
}

enum class Lock { ours, taken, unknown };

Lock locked(int folder) {
    if (::flock(folder, LOCK_EX | LOCK_NB) == 0) return Lock::ours;
    return errno == EWOULDBLOCK ? Lock::taken : Lock::unknown;
}

/// Between opening a folder and locking it another program may have cleared it away, and a third made its own there.
bool still_lies_at(int folder, const fs::path& path) {
    struct stat opened {};
    struct stat named {};
    return ::fstat(folder, &opened) == 0 && ::lstat(path.c_str(), &named) == 0 && opened.st_dev == named.st_dev &&
           opened.st_ino == named.st_ino;
}

/// Only what lies in it as a file is removed, and then the folder: what else somebody put there keeps it.
void clear_away(const fs::path& folder) {
    std::error_code ignored;
    std::vector<fs::path> files;
    for (fs::directory_iterator entry(folder, ignored), end; !ignored && entry != end; entry.increment(ignored))
        if (!fs::is_directory(entry->symlink_status(ignored))) files.push_back(entry->path());
    for (const fs::path& file : files) fs::remove(file, ignored);
    fs::remove(folder, ignored);
}

bool has_our_name(const std::string& name) {
    return name.starts_with(kPrefix) && name.size() > kPrefix.size() &&
           std::all_of(name.begin() + kPrefix.size(), name.end(), [](char c) { return c >= '0' && c <= '9'; });
}

/// What killed programs left.
void clear_left_behind(const fs::path& beside) {
    std::error_code ignored;
    std::vector<fs::path> found;
    for (fs::directory_iterator entry(beside, ignored), end; !ignored && entry != end; entry.increment(ignored))
        if (has_our_name(entry->path().filename().string())) found.push_back(entry->path());
    for (const fs::path& folder : found) {
        const int opened = opened_folder(folder);
        if (opened < 0) continue;
        if (locked(opened) == Lock::ours && still_lies_at(opened, folder)) clear_away(folder);
        ::close(opened);
    }
}

}  // namespace

UnfinishedFolder::UnfinishedFolder(const fs::path& beside) {
    clear_left_behind(beside.empty() ? "." : beside);
    constexpr int kMostAtOnce = 10'000;  // chosen: programs that write into one folder at the same time
    for (int number = 1; number <= kMostAtOnce; ++number) {
        path_ = beside / (std::string(kPrefix) + std::to_string(number));
        if (::mkdir(path_.c_str(), 0700) != 0) {
            fault_ = last_fault();
            if (fault_ == std::errc::file_exists) continue;
            return;
        }
        lock_ = opened_folder(path_);
        fault_ = lock_ < 0 ? last_fault() : std::error_code();
        const Lock lock = lock_ < 0 ? Lock::taken : locked(lock_);
        if (lock == Lock::unknown || (lock == Lock::ours && still_lies_at(lock_, path_))) return;
        if (lock_ >= 0) ::close(lock_);  // cleared away by another before it was locked: the next number
        lock_ = -1;
    }
}

UnfinishedFolder::~UnfinishedFolder() {
    if (lock_ < 0) return;
    clear_away(path_);
    ::close(lock_);
}

std::error_code written_to_disk(const fs::path& file, const std::string& bytes) {
    const int out = ::open(file.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    if (out < 0) return last_fault();
    std::error_code fault;
    for (std::size_t done = 0; !fault && done < bytes.size();) {
        const ssize_t wrote = ::write(out, bytes.data() + done, bytes.size() - done);
        if (wrote >= 0)
            done += static_cast<std::size_t>(wrote);
        else if (errno != EINTR)
            fault = last_fault();
    }
    // A disk that has no such thing says EINVAL; a full one or a broken one may only now say so.
    if (!fault && ::fsync(out) != 0 && errno != EINVAL) fault = last_fault();
    if (::close(out) != 0 && !fault && errno != EINTR) fault = last_fault();
    return fault;
}

void folder_to_disk(const fs::path& folder) {
    const int opened = ::open(folder.empty() ? "." : folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (opened < 0) return;
    ::fsync(opened);
    ::close(opened);
}

}  // namespace loopread
