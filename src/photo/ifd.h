#pragma once

#include <cstdint>
#include <optional>
#include <string_view>
#include <vector>

#include "photo/byte_reader.h"

namespace loopread {

inline constexpr std::uint32_t kOrientationTag = 274;  // [TIFF 6.0]

/// One entry of a TIFF directory, which is also what EXIF is written in [TIFF 6.0].
struct IfdEntry {
    std::uint32_t tag = 0, type = 0, count = 0;
    std::size_t value_at = 0;  ///< where its first value lies in the bytes
};

/// The first directory of a TIFF structure and the reader of its byte order.
class Ifd {
public:
    /// Nothing if it is no TIFF structure; entries whose values lie outside the bytes are left out.
    static std::optional<Ifd> first_in(std::string_view tiff);

    const IfdEntry* entry(std::uint32_t tag) const;
    /// The value of a whole-number entry.
    std::optional<std::uint32_t> number(std::uint32_t tag, std::uint32_t index = 0);
    /// The bytes of an entry, whatever they mean; empty if there is none.
    std::string_view data(std::uint32_t tag) const;
    ByteOrder order() const { return order_; }
    /// Whether the directory itself is all there.
    bool is_whole() const { return is_whole_; }

    /// EXIF orientation, 1 where there is none or it is no orientation.
    int orientation();
    /// Whether Make or Model holds more than spaces.
    bool names_camera() const;

private:
    Ifd(std::string_view tiff, ByteOrder order) : reader_(tiff, order), order_(order) {}
    bool has_words(std::uint32_t tag) const;
    ByteReader reader_;
    ByteOrder order_;
    std::vector<IfdEntry> entries_;
    bool is_whole_ = false;
};

}  // namespace loopread
