#pragma once

#include <filesystem>
#include <string>
#include <system_error>

namespace loopread {

/// A folder of ours beside results, in which they lie until all of them are whole: `.loopread-unfinished-1` and on.
///
/// It is locked for as long as its program lives. A killed program leaves it behind unlocked, which is how the next one
/// that writes there knows it and clears it away; where a disk has no locks nothing is cleared.
class UnfinishedFolder {
public:
    /// @param beside  the folder of the results; fault() tells if none could be made there
    explicit UnfinishedFolder(const std::filesystem::path& beside);
    UnfinishedFolder(const UnfinishedFolder&) = delete;
    UnfinishedFolder& operator=(const UnfinishedFolder&) = delete;
    ~UnfinishedFolder();

    std::error_code fault() const { return fault_; }
    const std::filesystem::path& path() const { return path_; }

private:
    std::filesystem::path path_;
    std::error_code fault_;
    int lock_ = -1;
};

/// A new file that is on the disk, not only on its way there, when this returns without a fault.
[[nodiscard]] std::error_code written_to_disk(const std::filesystem::path& file, const std::string& bytes);

/// Puts names and renamings in a folder on the disk too. A disk that cannot is no fault: the files are whole anyway.
void folder_to_disk(const std::filesystem::path& folder);

}  // namespace loopread
