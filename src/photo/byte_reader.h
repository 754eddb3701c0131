#pragma once

#include <cstddef>
#include <cstdint>
#include <string_view>

namespace loopread {

enum class ByteOrder { big, little };

/// Numbers out of the bytes of a file. Reading past the end gives 0 and is remembered, so that a parser can run to its
/// end and ask once whether there was enough.
class ByteReader {
public:
    ByteReader(std::string_view bytes, ByteOrder order) : bytes_(bytes), order_(order) {}

    std::uint32_t u8(std::size_t at) { return number(at, 1); }
    std::uint32_t u16(std::size_t at) { return number(at, 2); }
    std::uint32_t u24(std::size_t at) { return number(at, 3); }
    std::uint32_t u32(std::size_t at) { return number(at, 4); }

    std::size_t size() const { return bytes_.size(); }
    std::string_view bytes() const { return bytes_; }
    /// `length` bytes from `at` on, or as many as there are.
    std::string_view part(std::size_t at, std::size_t length) const {
        return at < bytes_.size() ? bytes_.substr(at, length) : std::string_view{};
    }
    bool has(std::size_t at, std::size_t length) const { return at <= bytes_.size() && length <= bytes_.size() - at; }
    bool ran_out() const { return ran_out_; }

private:
    std::uint32_t number(std::size_t at, std::size_t width) {
        if (!has(at, width)) {
            ran_out_ = true;
            return 0;
        }
        std::uint32_t value = 0;
        for (std::size_t i = 0; i < width; ++i) {
            const std::size_t digit = order_ == ByteOrder::big ? i : width - 1 - i;
            value = value << 8 | static_cast<unsigned char>(bytes_[at + digit]);
        }
        return value;
    }
    std::string_view bytes_;
    ByteOrder order_;
    bool ran_out_ = false;
};

}  // namespace loopread
