#include "loopread/base/files.h"

#include <cerrno>
#include <fstream>
#include <map>
#include <system_error>

#include "base/unfinished.h"
#include "loopread/base/error.h"
#include "loopread/base/require.h"

namespace loopread {
namespace fs = std::filesystem;
namespace {

bool same_file(const fs::path& a, const fs::path& b) {
    std::error_code fault;
    if (fs::equivalent(a, b, fault) && !fault) return true;
    const fs::path whole_a = fs::weakly_canonical(a, fault);
    if (fault) return false;
    const fs::path whole_b = fs::weakly_canonical(b, fault);
    return !fault && whole_a == whole_b;
}

[[noreturn]] void cannot_write(const fs::path& target, const std::string& why) {
    throw Error(ErrorKind::output, target.string() + ": cannot be written (" + why + "); choose another place with -o");
}

std::string in_words(const std::error_code& fault) {
    if (fault == std::errc::no_space_on_device) return "the disk is full";
    if (fault == std::error_code(EDQUOT, std::generic_category())) return "your share of the disk is full";
    if (fault == std::errc::file_too_large) return "it is larger than a file may be there; the disk may be full";
    if (fault == std::errc::permission_denied || fault == std::errc::operation_not_permitted)
        return "you have no permission to write there";
    if (fault == std::errc::read_only_file_system) return "the disk can only be read";
    if (fault == std::errc::no_such_file_or_directory || fault == std::errc::not_a_directory)
        return "its folder is not there";
    return fault.message();
}

/// A device or a pipe would be replaced by the renaming, not written to.
void check_target(const fs::path& target) {
    std::error_code fault;
    const fs::file_status status = fs::status(target, fault);
    if (fs::is_directory(status)) cannot_write(target, "a folder of that name is in the way");
    if (fs::exists(status) && !fs::is_regular_file(status)) cannot_write(target, "it is not an ordinary file");
}

/// Folders made for results; without results in them they are removed again.
class MadeFolders {
public:
    MadeFolders() = default;
    MadeFolders(const MadeFolders&) = delete;
    MadeFolders& operator=(const MadeFolders&) = delete;
    ~MadeFolders() {
        std::error_code ignored;  // one with something in it stays
        for (const fs::path& folder : made_) fs::remove(folder, ignored);
    }
    void make(const fs::path& folder) {
        std::error_code fault, ignored;
        std::vector<fs::path> missing;
        for (fs::path up = folder; !up.empty() && !fs::exists(up, ignored) && missing.size() < kDeepest;
             up = up.parent_path())
            missing.push_back(up);
        if (!folder.empty()) fs::create_directories(folder, fault);
        if (!folder.empty() && !fs::is_directory(folder, ignored))
            cannot_write(folder, fault && fault != std::errc::not_a_directory
                                     ? in_words(fault)
                                     : "it is not a folder and cannot be made one");
        made_.insert(made_.begin(), missing.begin(), missing.end());
    }

private:
    static constexpr std::size_t kDeepest = 256;  // chosen: the root of a path is its own parent
    std::vector<fs::path> made_;                  // the innermost first
};

/// Renames results to their final names. Where one cannot be, those before it are taken back: an older file of that
/// name is kept by a second name until all are there.
class Placing {
public:
    Placing() = default;
    Placing(const Placing&) = delete;
    Placing& operator=(const Placing&) = delete;
    ~Placing() {
        std::error_code ignored;
        for (const Placed& one : placed_) {
            if (one.older == Older::kept) fs::rename(one.second_name, one.target, ignored);
            if (one.older == Older::none) fs::remove(one.target, ignored);
        }
    }
    void place(const fs::path& whole, const fs::path& target) {
        fs::path second_name = whole;
        second_name += ".older";
        std::error_code fault;
        fs::create_hard_link(target, second_name, fault);
        const Older older = !fault                                          ? Older::kept
                            : fault == std::errc::no_such_file_or_directory ? Older::none
                                                                            : Older::lost;
        fs::rename(whole, target, fault);
        if (fault) cannot_write(target, in_words(fault));
        placed_.push_back({target, second_name, older});
    }
    void all_are_there() { placed_.clear(); }

private:
    enum class Older { none, kept, lost };  ///< lost: a disk without second names for files
    struct Placed {
        fs::path target, second_name;
        Older older;
    };
    std::vector<Placed> placed_;
};

}  // namespace

std::string file_bytes(const fs::path& file, std::uintmax_t limit_bytes) {
    std::error_code fault;
    const fs::file_status status = fs::status(file, fault);
    if (status.type() == fs::file_type::none)
        throw Error(ErrorKind::input,
                    file.string() + ": cannot be read (" + fault.message() + "); check the name and its permissions");
    if (!fs::exists(status))
        throw Error(ErrorKind::input, file.string() + ": there is no such file; check the name and the folder");
    if (fs::is_directory(status)) throw Error(ErrorKind::input, file.string() + ": is a folder; name a file in it");
    if (!fs::is_regular_file(status)) throw Error(ErrorKind::input, file.string() + ": is not an ordinary file");
    const std::uintmax_t size = fs::file_size(file, fault);
    if (fault) throw Error(ErrorKind::input, file.string() + ": cannot be read; check its permissions");
    if (size == 0) throw Error(ErrorKind::input, file.string() + ": is empty; save or export it again");
    if (size > limit_bytes)
        throw Error(ErrorKind::input, file.string() + ": is larger than " + std::to_string(limit_bytes / 1'000'000) +
                                          " MB; is it the right file?");
    std::string bytes(static_cast<std::size_t>(size), '\0');
    std::ifstream in(file, std::ios::binary);
    in.read(bytes.data(), static_cast<std::streamsize>(size));
    if (!in) throw Error(ErrorKind::input, file.string() + ": cannot be read; check its permissions");
    return bytes;
}

Outputs Outputs::into_folder(const fs::path& folder) {
    Outputs outputs;
    outputs.folder_ = folder;
    return outputs;
}

Outputs Outputs::into_file(const fs::path& file) {
    Outputs outputs;
    outputs.single_ = file;
    outputs.folder_ = file.parent_path();
    return outputs;
}

void Outputs::keep_safe(const fs::path& input) {
    inputs_.push_back(input);
}

void Outputs::add(const std::string& name, std::string bytes) {
    require(single_.empty(), "named results go into a folder");
    for (const File& file : files_) require(file.path != folder_ / name, "each result has a name of its own");
    files_.push_back({folder_ / name, std::move(bytes)});
}

void Outputs::add_only(std::string bytes) {
    require(!single_.empty() && files_.empty(), "there is one result");
    files_.push_back({single_, std::move(bytes)});
}

void Outputs::write() const {
    for (const File& file : files_)
        for (const fs::path& input : inputs_)
            if (same_file(file.path, input))
                throw Error(
                    ErrorKind::output,
                    file.path.string() + ": is also an input and is left as it was; choose another place with -o");
    for (const File& file : files_) check_target(file.path);
    MadeFolders folders;
    folders.make(folder_);
    std::map<fs::path, UnfinishedFolder> unfinished;  // beside the results, since only there can they be renamed
    std::vector<fs::path> whole;
    for (const File& file : files_) {
        const UnfinishedFolder& folder =
            unfinished.try_emplace(file.path.parent_path(), file.path.parent_path()).first->second;
        if (folder.fault()) cannot_write(file.path, in_words(folder.fault()));
        whole.push_back(folder.path() / std::to_string(whole.size()));
        if (const std::error_code fault = written_to_disk(whole.back(), file.bytes))
            cannot_write(file.path, in_words(fault));
    }
    Placing placing;
    for (std::size_t i = 0; i < files_.size(); ++i) placing.place(whole[i], files_[i].path);
    placing.all_are_there();
    for (const auto& [folder, its_unfinished] : unfinished) folder_to_disk(folder);
}

std::vector<fs::path> Outputs::paths() const {
    std::vector<fs::path> paths;
    for (const File& file : files_) paths.push_back(file.path);
    return paths;
}

}  // namespace loopread
