#include "photo/ifd.h"

#include <algorithm>
#include <array>

namespace loopread {
namespace {

constexpr std::uint32_t kMake = 271, kModel = 272;
constexpr std::uint32_t kByte = 1, kShort = 3, kLong = 4;

/// Bytes of one value of each type, BYTE = 1 on [TIFF 6.0].
constexpr std::array<std::uint32_t, 13> kTypeBytes = {0, 1, 1, 2, 4, 8, 1, 1, 2, 4, 8, 4, 8};

}  // namespace

std::optional<Ifd> Ifd::first_in(std::string_view tiff) {
    const bool little = tiff.starts_with(std::string_view("II*\0", 4));
    if (!little && !tiff.starts_with(std::string_view("MM\0*", 4))) return std::nullopt;
    Ifd ifd(tiff, little ? ByteOrder::little : ByteOrder::big);
    ByteReader& reader = ifd.reader_;
    const std::size_t start = reader.u32(4);
    const std::uint32_t count = reader.u16(start);
    const std::size_t end = start + 2 + 12 * std::size_t{count};
    ifd.is_whole_ = reader.has(end, 4);  // the place of the next directory follows
    for (std::size_t at = start + 2; at < end && reader.has(at, 12); at += 12) {
        IfdEntry entry{reader.u16(at), reader.u16(at + 2), reader.u32(at + 4), at + 8};
        if (entry.type == 0 || entry.type >= kTypeBytes.size()) continue;
        const std::size_t length = std::size_t{entry.count} * kTypeBytes[entry.type];
        if (length > 4) entry.value_at = reader.u32(at + 8);
        if (reader.has(entry.value_at, length)) ifd.entries_.push_back(entry);
    }
    return ifd;
}

const IfdEntry* Ifd::entry(std::uint32_t tag) const {
    const auto found = std::find_if(entries_.begin(), entries_.end(), [&](const IfdEntry& e) { return e.tag == tag; });
    return found == entries_.end() ? nullptr : &*found;
}

std::optional<std::uint32_t> Ifd::number(std::uint32_t tag, std::uint32_t index) {
    const IfdEntry* found = entry(tag);
    if (found == nullptr || index >= found->count) return std::nullopt;
    switch (found->type) {
        case kByte:
            return reader_.u8(found->value_at + index);
        case kShort:
            return reader_.u16(found->value_at + 2 * std::size_t{index});
        case kLong:
            return reader_.u32(found->value_at + 4 * std::size_t{index});
        default:
            return std::nullopt;
    }
}

std::string_view Ifd::data(std::uint32_t tag) const {
    const IfdEntry* found = entry(tag);
    return found == nullptr ? std::string_view{}
                            : reader_.part(found->value_at, std::size_t{found->count} * kTypeBytes[found->type]);
}

int Ifd::orientation() {
    const std::uint32_t value = number(kOrientationTag).value_or(1);
    return value >= 1 && value <= 8 ? static_cast<int>(value) : 1;
}

bool Ifd::has_words(std::uint32_t tag) const {
    const std::string_view words = data(tag);
    return std::any_of(words.begin(), words.end(), [](char c) { return c != ' ' && c != '\0'; });
}

bool Ifd::names_camera() const {
    return has_words(kMake) || has_words(kModel);
}

}  // namespace loopread
