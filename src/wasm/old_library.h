#pragma once

// Read before every source of the WebAssembly build (-include). Debian's compiler for it comes with a standard library
// that lacks a few things of C++20 (and C++17's numbers as text); they are filled in here, so that the core's sources
// need not know. Nothing is added where the library has them.
#include <charconv>
#include <version>

#if defined(_LIBCPP_VERSION) && _LIBCPP_VERSION < 14000

#include <algorithm>
#include <array>
#include <cctype>
#include <cerrno>
#include <cstdio>
#include <cstdlib>
#include <functional>
#include <iterator>
#include <string>

namespace std {

inline to_chars_result to_chars(char* first, char* last, double value, chars_format /*fixed*/, int decimals) {
    const int length = snprintf(first, static_cast<size_t>(last - first), "%.*f", decimals, value);
    if (length < 0 || length >= last - first) return {last, errc::value_too_large};
    return {first + length, errc{}};
}

inline from_chars_result from_chars(const char* first, const char* last, double& value) {
    const string text(first, last);  // strtod wants a zero at the end, and reads some forms that from_chars does not
    const auto begins = text.find_first_not_of('-');
    const bool figure = begins <= 1 && begins < text.size() &&
                        (isdigit(static_cast<unsigned char>(text[begins])) || text[begins] == '.');
    if (!figure || text.find_first_of("xX") != string::npos) return {first, errc::invalid_argument};
    char* end = nullptr;
    errno = 0;
    const double read = strtod(text.c_str(), &end);
    if (end == text.c_str()) return {first, errc::invalid_argument};
    if (errno == ERANGE) return {first + (end - text.c_str()), errc::result_out_of_range};
    value = read;
    return {first + (end - text.c_str()), errc{}};
}

namespace ranges {

template <class Range, class T, class Projection = identity>
auto find(Range&& range, const T& wanted, Projection projection = {}) {
    return std::find_if(std::begin(range), std::end(range),
                        [&](const auto& value) { return std::invoke(projection, value) == wanted; });
}

template <class Range, class T>
auto count(Range&& range, const T& wanted) {
    return std::count(std::begin(range), std::end(range), wanted);
}

template <class Range, class Before>
void sort(Range&& range, Before before) {
    std::sort(std::begin(range), std::end(range), before);
}

}  // namespace ranges
}  // namespace std

#endif
