#include "fuzz/promises.h"

#include <cstdio>
#include <cstdlib>
#include <fstream>

namespace loopread::fuzz {
namespace {

/// One folder a process, for all its inputs.
class Folder {
public:
    Folder() {
        std::string name = (std::filesystem::temp_directory_path() / "loopread_fuzz_XXXXXX").string();
        hold(mkdtemp(name.data()) != nullptr, "a temporary folder can be made");
        path_ = name;
    }
    Folder(const Folder&) = delete;
    Folder& operator=(const Folder&) = delete;
    ~Folder() {
        std::error_code ignored;
        std::filesystem::remove_all(path_, ignored);
    }
    const std::filesystem::path& path() const { return path_; }

private:
    std::filesystem::path path_;
};

bool shows_itself(char c) {
    return static_cast<unsigned char>(c) >= 0x20 && c != 0x7f;
}

}  // namespace

void hold(bool promise, std::string_view what) {
    if (promise) return;
    std::fprintf(stderr, "broken promise: %.*s\n", static_cast<int>(what.size()), what.data());
    std::abort();
}

void hold_one_line(std::string_view message) {
    hold(!message.empty(), "a message says something");
    for (const char c : message) hold(shows_itself(c), "a message is one line of letters");
}

std::string text_of(const std::uint8_t* data, std::size_t size) {
    return {data, data + size};
}

InputFile::InputFile(std::string_view bytes) {
    static const Folder folder;
    path_ = folder.path() / "input";
    write(bytes);
}

InputFile::~InputFile() {
    std::error_code ignored;
    std::filesystem::remove(path_, ignored);
}

void InputFile::write(std::string_view bytes) const {
    std::ofstream(path_, std::ios::binary | std::ios::trunc)
        .write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
}

}  // namespace loopread::fuzz
