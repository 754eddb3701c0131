#include "loopread/base/files.h"

#include <cstdio>
#include <fstream>
#include <system_error>

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

/// A name beside the target that nobody uses yet: what the user keeps there is not ours to overwrite.
fs::path temporary_beside(const fs::path& target) {
    std::error_code fault;
    fs::path beside;
    int number = 0;
    do {
        beside = target;
        beside += number == 0 ? ".part" : ".part" + std::to_string(number);
        ++number;
    } while (fs::exists(fs::symlink_status(beside, fault)));
    return beside;
}

[[noreturn]] void cannot_write(const fs::path& target, const std::string& why) {
    throw Error(ErrorKind::output, target.string() + ": cannot be written (" + why + "); choose another place with -o");
}

/// A device or a pipe would be replaced by the renaming, not written to.
void check_target(const fs::path& target) {
    std::error_code fault;
    const fs::file_status status = fs::status(target, fault);
    if (fs::is_directory(status)) cannot_write(target, "a folder of that name is in the way");
    if (fs::exists(status) && !fs::is_regular_file(status)) cannot_write(target, "it is not an ordinary file");
}

void make_folder(const fs::path& folder) {
    if (folder.empty()) return;
    std::error_code fault, ignored;
    fs::create_directories(folder, fault);
    if (!fs::is_directory(folder, ignored))
        cannot_write(folder, fault ? fault.message() : "it is not a folder and cannot be made one");
}

void write_bytes(const fs::path& temporary, const fs::path& target, const std::string& bytes) {
    std::ofstream out(temporary, std::ios::binary | std::ios::trunc);
    if (!out) cannot_write(target, "no permission, or not a file");
    out.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
    out.close();
    if (!out) cannot_write(target, "the disk may be full");
}

/// Removes, in the end, those temporary files that were not renamed.
class Broom {
public:
    Broom() = default;
    Broom(const Broom&) = delete;
    Broom& operator=(const Broom&) = delete;
    ~Broom() {
        std::error_code ignored;
        for (const fs::path& path : temporary_) fs::remove(path, ignored);
    }
    void sweep_later(const fs::path& path) { temporary_.push_back(path); }
    const std::vector<fs::path>& paths() const { return temporary_; }

private:
    std::vector<fs::path> temporary_;
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
    make_folder(folder_);
    Broom broom;
    for (const File& file : files_) {
        check_target(file.path);
        broom.sweep_later(temporary_beside(file.path));
        write_bytes(broom.paths().back(), file.path, file.bytes);
    }
    std::error_code fault;
    for (std::size_t i = 0; i < files_.size(); ++i) {
        fs::rename(broom.paths()[i], files_[i].path, fault);
        if (fault) cannot_write(files_[i].path, fault.message());
    }
}

std::vector<fs::path> Outputs::paths() const {
    std::vector<fs::path> paths;
    for (const File& file : files_) paths.push_back(file.path);
    return paths;
}

}  // namespace loopread
