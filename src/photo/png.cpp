#include "photo/png.h"

#include <zlib.h>

#include <algorithm>
#include <array>
#include <vector>

#include "photo/byte_reader.h"
#include "photo/file_header.h"

namespace loopread {
namespace {

constexpr std::size_t kSignature = 8;
constexpr std::size_t kAround = 12;  ///< bytes of a chunk besides its data: length, name, checksum

struct ColourType {
    enum : std::uint32_t { grey = 0, rgb = 2, palette = 3, grey_alpha = 4, rgb_alpha = 6 };
};

struct Chunk {
    std::string_view name, data, whole;
};

/// The chunks up to IEND as far as they are all there.
std::vector<Chunk> chunks_of(std::string_view bytes) {
    std::vector<Chunk> chunks;
    ByteReader reader(bytes, ByteOrder::big);
    for (std::size_t at = kSignature; reader.has(at, kAround);) {
        const std::size_t length = reader.u32(at);
        if (!reader.has(at, length + kAround)) break;
        chunks.push_back({reader.part(at + 4, 4), reader.part(at + 8, length), reader.part(at, length + kAround)});
        if (chunks.back().name == "IEND") break;
        at += length + kAround;
    }
    return chunks;
}

/// table[k][b]: what byte b, followed by k bytes of 0, leaves in the remainder.
using ChecksumTable = std::array<std::array<std::uint32_t, 256>, 8>;

ChecksumTable checksum_table() {
    ChecksumTable table{};
    for (std::uint32_t byte = 0; byte < 256; ++byte) {
        std::uint32_t rest = byte;
        for (int bit = 0; bit < 8; ++bit) rest = (rest >> 1) ^ ((rest & 1) * 0xEDB88320U);
        table[0][byte] = rest;
    }
    for (std::size_t k = 1; k < table.size(); ++k)
        for (std::size_t byte = 0; byte < 256; ++byte)
            table[k][byte] = table[0][table[k - 1][byte] & 0xFF] ^ (table[k - 1][byte] >> 8);
    return table;
}

/// CRC-32 as [PNG 2003] Annex D has it, eight bytes a step: the data of a large picture is summed before decoding.
std::uint32_t checksum(std::string_view bytes) {
    static const ChecksumTable table = checksum_table();
    std::uint32_t sum = 0xFFFFFFFFU;
    const auto byte = [&](std::size_t i) { return std::uint32_t{static_cast<unsigned char>(bytes[i])}; };
    std::size_t i = 0;
    for (; i + 8 <= bytes.size(); i += 8) {
        sum ^= byte(i) | byte(i + 1) << 8 | byte(i + 2) << 16 | byte(i + 3) << 24;
        sum = table[7][sum & 0xFF] ^ table[6][sum >> 8 & 0xFF] ^ table[5][sum >> 16 & 0xFF] ^ table[4][sum >> 24] ^
              table[3][byte(i + 4)] ^ table[2][byte(i + 5)] ^ table[1][byte(i + 6)] ^ table[0][byte(i + 7)];
    }
    for (; i < bytes.size(); ++i) sum = table[0][(sum ^ byte(i)) & 0xFF] ^ (sum >> 8);
    return ~sum;
}

bool is_sound(const Chunk& chunk) {
    ByteReader reader(chunk.whole, ByteOrder::big);
    return checksum(chunk.whole.substr(4, chunk.data.size() + 4)) == reader.u32(chunk.data.size() + 8);
}

struct PngLayout {
    std::uint32_t width = 0, height = 0, depth = 0, colour = 0, interlace = 0;
    bool legal = false;
};

std::uint32_t channels_of(std::uint32_t colour) {
    switch (colour) {
        case ColourType::rgb:
            return 3;
        case ColourType::grey_alpha:
            return 2;
        case ColourType::rgb_alpha:
            return 4;
        default:
            return 1;
    }
}

/// The pairs of colour type and depth that [PNG 2003] Table 11.1 allows.
bool is_legal(std::uint32_t colour, std::uint32_t depth) {
    switch (colour) {
        case ColourType::grey:
            return depth == 1 || depth == 2 || depth == 4 || depth == 8 || depth == 16;
        case ColourType::palette:
            return depth == 1 || depth == 2 || depth == 4 || depth == 8;
        case ColourType::rgb:
        case ColourType::grey_alpha:
        case ColourType::rgb_alpha:
            return depth == 8 || depth == 16;
        default:
            return false;
    }
}

PngLayout png_layout_of(std::string_view bytes) {
    ByteReader reader(bytes, ByteOrder::big);
    PngLayout layout{reader.u32(16), reader.u32(20), reader.u8(24), reader.u8(25), reader.u8(28)};
    const bool plain_methods = reader.u8(26) == 0 && reader.u8(27) == 0 && layout.interlace <= 1;
    layout.legal = reader.part(8, 8) == std::string_view("\0\0\0\x0DIHDR", 8) && reader.has(0, 33) && plain_methods &&
                   is_legal(layout.colour, layout.depth);
    return layout;
}

/// Deflate packs at most 1032 bytes into one [zlib technical details], so a header that promises more is a lie.
bool can_hold(const PngLayout& layout, std::size_t packed_bytes) {
    constexpr std::uint64_t kMostPerByte = 1032;
    const std::uint64_t row = (std::uint64_t{layout.width} * layout.depth * channels_of(layout.colour) + 7) / 8;
    return row * layout.height <= kMostPerByte * packed_bytes;
}

bool has_good_transparency(const PngLayout& layout, std::size_t palette_entries, std::size_t size) {
    switch (layout.colour) {
        case ColourType::palette:
            return size > 0 && size <= palette_entries;
        case ColourType::grey:
            return size == 2;
        case ColourType::rgb:
            return size == 6;
        default:
            return false;
    }
}

bool has_good_palette(std::string_view data, std::uint32_t depth) {
    return !data.empty() && data.size() % 3 == 0 && data.size() / 3 <= (std::size_t{1} << depth);
}

const Chunk* named(const std::vector<Chunk>& chunks, std::string_view name) {
    const auto found = std::find_if(chunks.begin(), chunks.end(), [&](const Chunk& c) { return c.name == name; });
    return found == chunks.end() ? nullptr : &*found;
}

/// The chunk that makes pixels transparent, if it is one libpng accepts.
const Chunk* transparency_of(const PngLayout& layout, const std::vector<Chunk>& chunks) {
    const Chunk* const colours = named(chunks, "PLTE");
    const Chunk* const found = named(chunks, "tRNS");
    const std::size_t entries = colours == nullptr ? 0 : colours->data.size() / 3;
    if (found == nullptr) return nullptr;
    return has_good_transparency(layout, entries, found->data.size()) ? found : nullptr;
}

/// Nothing if it is no whole zlib stream or unpacks to more than any profile has.
std::optional<std::string> unpacked(std::string_view packed) {
    constexpr std::size_t kMost = std::size_t{1} << 24;  // chosen: ICC tables for printing weigh some 3 MB
    std::string bytes;
    for (std::size_t size = 4096; size <= kMost; size *= 4) {
        bytes.resize(size);
        uLongf length = size;
        const int found = uncompress(reinterpret_cast<Bytef*>(bytes.data()), &length,
                                     reinterpret_cast<const Bytef*>(packed.data()), packed.size());
        if (found == Z_BUF_ERROR && length == size) continue;
        if (found != Z_OK) break;
        bytes.resize(length);
        return bytes;
    }
    return std::nullopt;
}

/// A name, a byte of 0, the method (0), the packed profile [PNG 2003].
ColourTags profile_of(std::string_view data) {
    ColourTags colours;
    const std::size_t name_ends = data.find('\0');
    std::optional<std::string> profile;
    if (name_ends < data.size() && data.substr(name_ends + 1).starts_with('\0'))
        profile = unpacked(data.substr(name_ends + 2));
    colours.damaged = !profile || profile->empty();
    if (profile) colours.profile = std::move(*profile);
    return colours;
}

/// cICP counts before iCCP, and iCCP before all else that speaks of colour [PNG 2025, table 3].
ColourTags colours_of(const std::vector<Chunk>& chunks) {
    if (const Chunk* const points = named(chunks, "cICP"); points != nullptr && points->data.size() == 4)
        return {{},
                CodePoints{static_cast<unsigned char>(points->data[0]), static_cast<unsigned char>(points->data[1])}};
    const Chunk* const profile = named(chunks, "iCCP");
    return profile == nullptr ? ColourTags{} : profile_of(profile->data);
}

}  // namespace

FileHeader png_header(std::string_view bytes) {
    FileHeader header;
    header.format = PictureFormat::png;
    const PngLayout layout = png_layout_of(bytes);
    header.width = layout.width;
    header.height = layout.height;
    header.grey = layout.colour == ColourType::grey || layout.colour == ColourType::grey_alpha;
    if (!layout.legal) header.fault = kCutShort;
    const std::vector<Chunk> chunks = chunks_of(bytes);
    header.colours = colours_of(chunks);
    const Chunk* const exif = named(chunks, "eXIf");
    if (exif != nullptr && is_sound(*exif)) read_exif(header, exif->data);
    return header;
}

bool is_whole_png(std::string_view bytes) {
    const PngLayout layout = png_layout_of(bytes);
    const std::vector<Chunk> chunks = chunks_of(bytes);
    if (!layout.legal || chunks.empty() || chunks.back().name != "IEND") return false;
    if (!std::all_of(chunks.begin(), chunks.end(), is_sound)) return false;
    std::size_t packed = 0;
    for (const Chunk& chunk : chunks)
        if (chunk.name == "IDAT") packed += chunk.data.size();
    const Chunk* const colours = named(chunks, "PLTE");
    const bool has_colours = colours != nullptr && has_good_palette(colours->data, layout.depth);
    return packed > 0 && can_hold(layout, packed) && (has_colours || layout.colour != ColourType::palette);
}

std::string bare_png(std::string_view bytes) {
    const PngLayout layout = png_layout_of(bytes);
    const std::vector<Chunk> chunks = chunks_of(bytes);
    std::string bare(bytes.substr(0, kSignature));
    bare.reserve(bytes.size());
    bare += chunks.front().whole;
    if (layout.colour == ColourType::palette) bare += named(chunks, "PLTE")->whole;
    if (const Chunk* const transparency = transparency_of(layout, chunks)) bare += transparency->whole;
    for (const Chunk& chunk : chunks)
        if (chunk.name == "IDAT" || chunk.name == "IEND") bare += chunk.whole;
    return bare;
}

std::optional<int> transparent_grey(std::string_view bytes) {
    const PngLayout layout = png_layout_of(bytes);
    if (layout.colour != ColourType::grey) return std::nullopt;
    const std::vector<Chunk> chunks = chunks_of(bytes);
    const Chunk* const transparency = transparency_of(layout, chunks);
    if (transparency == nullptr) return std::nullopt;
    ByteReader reader(transparency->data, ByteOrder::big);
    const int highest = (1 << layout.depth) - 1;
    const int level = static_cast<int>(reader.u16(0)) & highest;
    return layout.depth == 16 ? level : level * 255 / highest;
}

}  // namespace loopread
