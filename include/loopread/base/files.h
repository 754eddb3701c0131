#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace loopread {

/// The whole file as bytes.
/// @throws Error(input) if it is missing, a folder, empty, unreadable or larger than `limit_bytes`
std::string file_bytes(const std::filesystem::path& file, std::uintmax_t limit_bytes = 1'000'000'000);

/// Results gathered in memory and written together, or not at all.
///
/// Every file goes first into a folder of ours beside its target (`.loopread-unfinished-1`); only when all of them are
/// on the disk are they renamed, one after another. What is promised:
/// - A reader meets under a final name the older file or the new one, whole, never a part: at any moment, after a kill
///   and after a power cut (each file is put on the disk before it is renamed).
/// - If writing fails, no new file and no new folder is there, and older files are as they were. (On a disk that has no
///   second names for files, those that were renamed before a renaming failed stay.)
/// - Not as a set: a program killed between the first renaming and the last leaves new files beside older ones. Running
///   it again mends that, and clears away the folder of unfinished ones it left.
class Outputs {
public:
    /// Results go into `folder`, which is made if missing.
    static Outputs into_folder(const std::filesystem::path& folder);
    /// The single result is exactly `file`.
    static Outputs into_file(const std::filesystem::path& file);

    /// A file that was read: it must not be overwritten.
    void keep_safe(const std::filesystem::path& input);
    void add(const std::string& name, std::string bytes);
    /// For into_file: the bytes of the one file.
    void add_only(std::string bytes);

    /// @throws Error(output) if a target is also an input, or cannot be written; nothing is left behind then
    void write() const;
    /// Where the results are, in the order added.
    std::vector<std::filesystem::path> paths() const;

private:
    struct File {
        std::filesystem::path path;
        std::string bytes;
    };
    std::filesystem::path folder_;
    std::filesystem::path single_;
    std::vector<std::filesystem::path> inputs_;
    std::vector<File> files_;
};

}  // namespace loopread
