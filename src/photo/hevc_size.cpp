#include "photo/hevc_size.h"

#include <algorithm>
#include <string>

#include "photo/byte_reader.h"

namespace loopread {
namespace {

/// Bits of a unit, most significant first; 0 past the end.
class BitReader {
public:
    explicit BitReader(std::string_view bytes) : bytes_(bytes) {}

    void skip(std::size_t bits) { at_ += bits; }
    std::uint32_t bits(int count) {
        std::uint32_t value = 0;
        for (int i = 0; i < count; ++i, ++at_) {
            const std::size_t byte = at_ / 8;
            const int code = byte < bytes_.size() ? static_cast<unsigned char>(bytes_[byte]) : 0;
            value = value << 1 | (static_cast<std::uint32_t>(code) >> (7 - at_ % 8) & 1);
        }
        return value;
    }
    /// A number in Exp-Golomb code, ue(v) of [ITU-T H.265, 9.2].
    std::uint32_t golomb() {
        int zeros = 0;
        while (zeros < 31 && bits(1) == 0) ++zeros;
        return (1U << zeros) - 1 + bits(zeros);
    }

private:
    std::string_view bytes_;
    std::size_t at_ = 0;
};

/// Without the bytes of 3 that keep a unit from looking like a start code [ITU-T H.265, 7.4.2].
std::string unescaped(std::string_view unit) {
    std::string bytes;
    for (const char byte : unit)
        if (byte != '\3' || !bytes.ends_with(std::string_view("\0\0", 2))) bytes += byte;
    return bytes;
}

/// [ITU-T H.265, 7.3.2.2], as far as the size.
std::int64_t pixels_of(std::string_view parameter_set) {
    constexpr std::size_t kUnitHeader = 16, kProfile = 96, kSubLayerProfile = 88, kSubLayerLevel = 8;  // bits
    const std::string bytes = unescaped(parameter_set);
    BitReader reader(bytes);
    reader.skip(kUnitHeader + 4);
    const std::uint32_t sub_layers = reader.bits(3);
    reader.skip(1 + kProfile);
    const std::uint32_t present = reader.bits(sub_layers > 0 ? 16 : 0);  // two bits for each, 8 of them
    for (std::uint32_t i = 0; i < sub_layers; ++i) {
        if ((present >> (15 - 2 * i) & 1) != 0) reader.skip(kSubLayerProfile);
        if ((present >> (14 - 2 * i) & 1) != 0) reader.skip(kSubLayerLevel);
    }
    reader.golomb();  // its number
    if (reader.golomb() == 3) reader.skip(1);
    constexpr std::int64_t kMost = std::int64_t{1} << 24;  // chosen: far over any limit, and its square is a number
    const std::int64_t width = std::min<std::int64_t>(reader.golomb(), kMost);
    return width * std::min<std::int64_t>(reader.golomb(), kMost);
}

/// The units of a box hvcC [ISO/IEC 14496-15, 8.3.3.1].
std::int64_t most_pixels_in(std::string_view box) {
    constexpr std::uint32_t kSequence = 33;  // SPS_NUT
    ByteReader reader(box, ByteOrder::big);
    std::int64_t most = 0;
    const std::uint32_t groups = reader.u8(22);
    std::size_t at = 23;
    for (std::uint32_t group = 0; group < groups && !reader.ran_out(); ++group) {
        const std::uint32_t kind = reader.u8(at) & 0x3F, units = reader.u16(at + 1);
        at += 3;
        for (std::uint32_t unit = 0; unit < units && !reader.ran_out(); ++unit) {
            const std::size_t length = reader.u16(at);
            at += 2;
            if (kind == kSequence && reader.has(at, length)) most = std::max(most, pixels_of(reader.part(at, length)));
            at += length;
        }
    }
    return most;
}

/// What lies in the box that describes the items; empty if there is none.
std::string_view described(std::string_view heic) {
    ByteReader reader(heic, ByteOrder::big);
    for (std::size_t at = 0; reader.has(at, 8);) {
        const std::size_t length = reader.u32(at);
        if (reader.part(at + 4, 4) == "meta") return reader.part(at, length);
        if (length < 8) break;  // to the end of the file, or of 64 bits: pixels, not descriptions
        at += length;
    }
    return {};
}

}  // namespace

std::int64_t most_coded_pixels(std::string_view heic) {
    const std::string_view meta = described(heic);
    std::int64_t most = 0;
    for (std::size_t at = meta.find("hvcC"); at != std::string_view::npos; at = meta.find("hvcC", at + 4))
        most = std::max(most, most_pixels_in(meta.substr(at + 4)));
    return most;
}

}  // namespace loopread
