#include "loopread/base/text.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <charconv>
#include <cmath>

#include "loopread/base/error.h"
#include "loopread/base/require.h"

namespace loopread {
namespace {

struct LengthUnit {
    std::string_view name;
    double millimetres;
};
constexpr LengthUnit kLengthUnits[] = {{"mm", 1}, {"cm", 10}, {"in", 25.4}, {"yd", 914.4}, {"m", 1000}};

[[noreturn]] void bad(std::string_view what, std::string_view text, std::string_view fault) {
    throw Error(ErrorKind::usage, std::string(what) + ": '" + std::string(text) + "' " + std::string(fault));
}

const LengthUnit* unit_at_end(std::string_view text) {
    for (const LengthUnit& unit : kLengthUnits)
        if (text.ends_with(unit.name)) return &unit;
    return nullptr;
}

Millimetres length_over_zero(std::string_view digits, const LengthUnit& unit, std::string_view text,
                             std::string_view what) {
    const std::optional<double> number = parsed_number(digits);
    if (!number) bad(what, text, "is not a length; write a number and a unit, like 15mm, 1.5cm, 0.6in, 211m or 231yd");
    if (*number <= 0) bad(what, text, "must be more than 0");
    const double millimetres = *number * unit.millimetres;
    if (millimetres > 1e8) bad(what, text, "is longer than 100 km; check the unit");
    return {millimetres};
}

}  // namespace

std::string trimmed(std::string_view text) {
    const auto first = text.find_first_not_of(" \t\r\n");
    if (first == std::string_view::npos) return {};
    return std::string(text.substr(first, text.find_last_not_of(" \t\r\n") - first + 1));
}

void append_fixed(std::string& text, double value, int decimals) {
    std::array<char, 400> buffer{};
    const auto end =
        std::to_chars(buffer.data(), buffer.data() + buffer.size(), value, std::chars_format::fixed, decimals);
    require(end.ec == std::errc{}, "a number fits its buffer");
    std::string_view written(buffer.data(), static_cast<std::size_t>(end.ptr - buffer.data()));
    if (written.front() == '-' && written.find_first_not_of("-0.") == std::string_view::npos) written.remove_prefix(1);
    text += written;
}

std::string number_text(double value, int decimals) {
    std::string text;
    append_fixed(text, value, decimals);
    if (text.find('.') != std::string::npos) {
        text.erase(text.find_last_not_of('0') + 1);
        if (text.back() == '.') text.pop_back();
    }
    return text;
}

std::optional<double> parsed_number(std::string_view text) {
    const std::string digits = trimmed(text);
    const char* begin = digits.data();
    const char* end = begin + digits.size();
    if (begin != end && *begin == '+' && begin + 1 != end && begin[1] != '-') ++begin;
    double value = 0;
    const auto read = std::from_chars(begin, end, value);
    if (read.ec != std::errc{} || read.ptr != end || !std::isfinite(value)) return std::nullopt;
    return value;
}

std::optional<long long> parsed_whole(std::string_view text) {
    const std::string digits = trimmed(text);
    long long value = 0;
    const auto read = std::from_chars(digits.data(), digits.data() + digits.size(), value);
    if (read.ec != std::errc{} || read.ptr != digits.data() + digits.size()) return std::nullopt;
    return value;
}

Millimetres parsed_length(std::string_view given, std::string_view what) {
    const std::string text = trimmed(given);
    if (parsed_number(text))
        bad(what, text, "has no unit; write " + text + "mm, " + text + "cm, " + text + "in or " + text + "m");
    const LengthUnit* unit = unit_at_end(text);
    if (!unit) bad(what, text, "is not a length; write a number and a unit, like 15mm, 1.5cm, 0.6in, 211m or 231yd");
    return length_over_zero(std::string_view(text).substr(0, text.size() - unit->name.size()), *unit, text, what);
}

LengthPair parsed_length_pair(std::string_view given, std::string_view what) {
    const std::string text = trimmed(given);
    const auto cross = text.find('x');
    const LengthUnit* unit = unit_at_end(text);
    if (cross == std::string::npos || cross == 0) bad(what, text, "is not width x length; write it like 24x86cm");
    if (!unit) bad(what, text, "has no unit; write it like " + text + "cm");
    const std::string_view view(text);
    std::string first = trimmed(view.substr(0, cross));
    const LengthUnit* first_unit = unit_at_end(first);  // 24cmx86cm is as clear as 24x86cm
    if (first_unit) first.resize(first.size() - first_unit->name.size());
    return {length_over_zero(first, first_unit ? *first_unit : *unit, text, what),
            length_over_zero(view.substr(cross + 1, text.size() - unit->name.size() - cross - 1), *unit, text, what)};
}

CountPair parsed_count_pair(std::string_view given, std::string_view what) {
    const std::string text = trimmed(given);
    const auto cross = text.find('x');
    const auto first = parsed_whole(std::string_view(text).substr(0, cross));
    const auto second =
        cross == std::string::npos ? std::nullopt : parsed_whole(std::string_view(text).substr(cross + 1));
    if (!first || !second) bad(what, text, "is not two whole numbers; write stitches x rows, like 46x214");
    if (*first < 1 || *second < 1) bad(what, text, "must have at least 1 on each side");
    if (*first > 100'000 || *second > 100'000) bad(what, text, "is more than 100,000 on a side; check the numbers");
    return {static_cast<int>(*first), static_cast<int>(*second)};
}

std::string toml_text(const std::string& text) {
    static constexpr char kDigits[] = "0123456789abcdef";
    std::string out = "\"";
    for (const char c : text) {
        const auto code = static_cast<unsigned char>(c);
        if (code < 0x20 || code == 0x7f) {
            out += std::string("\\u00") + kDigits[code >> 4] + kDigits[code & 15];
            continue;
        }
        if (c == '"' || c == '\\') out += '\\';
        out += c;
    }
    return out + '"';
}

std::string replaced(std::string text, std::string_view from, std::string_view to) {
    require(!from.empty(), "what is replaced is something");
    for (std::size_t at = text.find(from); at != std::string::npos; at = text.find(from, at + to.size()))
        text.replace(at, from.size(), to);
    return text;
}

std::string sentence(std::string words) {
    if (words.empty()) return words;
    words.front() = static_cast<char>(std::toupper(static_cast<unsigned char>(words.front())));
    return words.back() == '.' ? words : words + ".";
}

std::string lowered(std::string text) {
    std::transform(text.begin(), text.end(), text.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return text;
}

}  // namespace loopread
