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
/// Every file goes to a temporary beside its target first; only when all are on the disk are they renamed, so a reader
/// never meets half a file under its final name.
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
