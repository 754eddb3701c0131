#include "loopread/listing/typed_words.h"

#include <cstdint>

namespace loopread {
namespace {

/// Bytes of the letter that begins here; 0 where none does (overlong forms, surrogates and stray bytes included).
std::size_t letter_bytes(std::string_view text) {
    const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
    const unsigned char first = byte(0);
    if (first < 0x80) return 1;
    const std::size_t bytes = first >= 0xf0 && first < 0xf5   ? 4
                              : first >= 0xe0 && first < 0xf0 ? 3
                              : first >= 0xc2 && first < 0xe0 ? 2
                                                              : 0;
    if (bytes == 0 || text.size() < bytes) return 0;
    std::uint32_t code = first & (0xffU >> (bytes + 1));
    for (std::size_t i = 1; i < bytes; ++i) {
        if ((byte(i) & 0xc0) != 0x80) return 0;
        code = code << 6 | (byte(i) & 0x3fU);
    }
    const bool overlong = (bytes == 3 && code < 0x800) || (bytes == 4 && code < 0x10000);
    const bool surrogate = code >= 0xd800 && code < 0xe000;
    return overlong || surrogate || code > 0x10ffff ? 0 : bytes;
}

/// Of one letter: C0 and C1 controls, and the marks that turn the direction of what follows.
bool cannot_be_printed(std::string_view letter) {
    const auto first = static_cast<unsigned char>(letter.front());
    if (letter.size() == 1) return first < 0x20 || first == 0x7f;
    if (letter.size() == 2) return first == 0xc2 && static_cast<unsigned char>(letter[1]) < 0xa0;
    constexpr std::string_view kTurns[] = {"\u202a", "\u202b", "\u202c", "\u202d", "\u202e", "\u2066",
                                           "\u2067", "\u2068", "\u2069", "\u2028", "\u2029"};
    for (const std::string_view turn : kTurns)
        if (letter == turn) return true;
    return false;
}

}  // namespace

std::string fault_of_words(std::string_view words, std::size_t most, Lines lines) {
    if (words.size() > most) return "is too long; " + std::to_string(most) + " letters at most";
    while (!words.empty()) {
        const std::size_t bytes = letter_bytes(words);
        if (bytes == 0) return "is not UTF-8 text; save or type it as UTF-8";
        const std::string_view letter = words.substr(0, bytes);
        words.remove_prefix(bytes);
        const bool break_allowed = lines == Lines::several && (letter == "\n" || letter == "\r" || letter == "\t");
        if (!break_allowed && cannot_be_printed(letter))
            return lines == Lines::one && letter == "\n" ? "holds a line break; write it on one line"
                                                         : "holds a character that cannot be printed; leave it out";
    }
    return {};
}

std::string printable(std::string_view words) {
    std::string out;
    while (!words.empty()) {
        const std::size_t bytes = letter_bytes(words);
        const std::string_view letter = words.substr(0, bytes == 0 ? 1 : bytes);
        if (bytes > 0 && !cannot_be_printed(letter)) out += letter;
        words.remove_prefix(letter.size());
    }
    return out;
}

}  // namespace loopread
