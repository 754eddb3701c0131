#pragma once

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>

#include "loopread/base/error.h"

namespace loopread::fuzz {

/// Ends the program where a promise is broken, whoever would catch an exception.
void hold(bool promise, std::string_view what);

/// One line that says something, in letters that do no more to a screen than be shown.
void hold_one_line(std::string_view message);

/// What `act` gives, or nothing if it refuses with an Error. Nothing else may be thrown: it is let through and ends the
/// program.
template <class Act>
auto unless_refused(const Act& act) -> std::optional<decltype(act())> {
    try {
        return act();
    } catch (const Error& fault) {
        hold_one_line(fault.what());
        return std::nullopt;
    }
}

std::string text_of(const std::uint8_t* data, std::size_t size);

/// A file in a temporary folder, both gone with the object.
class InputFile {
public:
    explicit InputFile(std::string_view bytes);
    InputFile(const InputFile&) = delete;
    InputFile& operator=(const InputFile&) = delete;
    ~InputFile();
    /// Replaces what is in it.
    void write(std::string_view bytes) const;
    const std::filesystem::path& path() const { return path_; }

private:
    std::filesystem::path path_;
};

}  // namespace loopread::fuzz
