#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "loopread/base/quantity.h"

namespace loopread {

/// A number as text with at most `decimals` places, no trailing zeros, never "-0"; the same in every locale.
std::string number_text(double value, int decimals);

/// A TOML basic string, quotes included.
std::string toml_text(const std::string& text);

/// Appends number_text(value, decimals) with exactly `decimals` places, for columns of a file.
void append_fixed(std::string& text, double value, int decimals);

/// The whole text as a finite number, or nothing. Spaces around it are allowed.
std::optional<double> parsed_number(std::string_view text);
/// The whole text as a whole number, or nothing.
std::optional<long long> parsed_whole(std::string_view text);

/// A length with its unit: 15mm, 1.5cm, 0.6in, 211m, 231yd.
/// @param what  the option or column it came from, for the message
/// @throws Error(usage) for a bare number (it says which unit is meant), nonsense, zero or a negative length
Millimetres parsed_length(std::string_view text, std::string_view what);

/// Two lengths and one unit, width by length: 24x86cm. @throws as parsed_length
struct LengthPair {
    Millimetres first, second;
};
LengthPair parsed_length_pair(std::string_view text, std::string_view what);

/// Two whole numbers over zero: 46x214. @throws Error(usage)
struct CountPair {
    int first = 0, second = 0;
};
CountPair parsed_count_pair(std::string_view text, std::string_view what);

std::string trimmed(std::string_view text);

/// Every `from` in the text, which may not be empty (require), made `to`.
std::string replaced(std::string text, std::string_view from, std::string_view to);

/// With a capital (of the 26) in front and a full stop at the end; nothing stays nothing.
std::string sentence(std::string words);

/// The 26 letters made small.
std::string lowered(std::string text);

}  // namespace loopread
