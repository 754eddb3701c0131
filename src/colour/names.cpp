#include "loopread/colour/names.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

#include "loopread/base/error.h"
#include "loopread/base/text.h"

namespace loopread {
namespace {

/// -1 is a dye at full strength; -2 and -3 are a third and a tenth of its K/S over that of undyed yarn.
constexpr NamedColour kBuiltIn[] = {
    {"undyed", {0xf3, 0xed, 0xe0}},   {"white", {0xff, 0xff, 0xff}},    {"black", {0x1a, 0x1a, 0x1c}},
    {"grey-1", {0x45, 0x47, 0x4c}},   {"grey-2", {0x6b, 0x6d, 0x73}},   {"grey-3", {0x98, 0x9a, 0x9e}},
    {"red-1", {0xb8, 0x27, 0x2d}},    {"red-2", {0xd2, 0x43, 0x4b}},    {"red-3", {0xe3, 0x6c, 0x76}},
    {"orange-1", {0xdd, 0x6a, 0x27}}, {"orange-2", {0xe9, 0x93, 0x43}}, {"orange-3", {0xef, 0xba, 0x6c}},
    {"yellow-1", {0xef, 0xc0, 0x27}}, {"yellow-2", {0xf2, 0xd6, 0x43}}, {"yellow-3", {0xf3, 0xe4, 0x6c}},
    {"green-1", {0x2c, 0x7a, 0x3e}},  {"green-2", {0x4a, 0xa2, 0x62}},  {"green-3", {0x75, 0xc4, 0x8e}},
    {"teal-1", {0x27, 0x6f, 0x78}},   {"teal-2", {0x43, 0x98, 0x9f}},   {"teal-3", {0x6c, 0xbd, 0xc0}},
    {"blue-1", {0x27, 0x4f, 0x9f}},   {"blue-2", {0x43, 0x77, 0xbd}},   {"blue-3", {0x6c, 0xa3, 0xd1}},
    {"purple-1", {0x5a, 0x34, 0x90}}, {"purple-2", {0x83, 0x55, 0xb3}}, {"purple-3", {0xad, 0x81, 0xcc}},
    {"pink-1", {0xd2, 0x43, 0x7c}},   {"pink-2", {0xe2, 0x68, 0xa3}},   {"pink-3", {0xec, 0x95, 0xc2}},
    {"brown-1", {0x6a, 0x42, 0x27}},  {"brown-2", {0x93, 0x67, 0x43}},  {"brown-3", {0xba, 0x94, 0x6c}},
};

std::optional<Srgb8> built_in(std::string_view name) {
    const auto found = std::ranges::find(kBuiltIn, name, &NamedColour::name);
    return found == std::end(kBuiltIn) ? std::nullopt : std::optional(found->colour);
}

/// Lightness, chroma and hue angle in OKLab.
struct Sight {
    double l = 0, c = 0, h = 0;
};

Sight sight(Lab colour) {
    const Oklab ok = oklab_from_linear(linear_from_lab(colour));
    const double angle = std::atan2(ok.b, ok.a) * (180 / std::numbers::pi);
    return {ok.l, std::hypot(ok.a, ok.b), angle < 0 ? angle + 360 : angle};
}

bool is_warm(double hue) {
    return hue >= 40 && hue < 120;
}

/// Greys and their ends, or nothing where there is colour enough to name.
std::string grey_words(Sight s) {
    if (s.l < 0.15) return s.c < 0.03 ? "black" : s.c < 0.05 ? "near black" : "";
    if (s.l < 0.27) return s.c < 0.035 ? "near black" : "";
    if (s.l >= 0.93 && s.c < (is_warm(s.h) ? 0.035 : 0.02)) return s.l >= 0.985 && s.c < 0.006 ? "white" : "off-white";
    if (s.c >= 0.02) return "";
    if (s.l < 0.48) return "dark grey";
    return s.l < 0.72 ? "mid grey" : "pale grey";
}

/// A hue and the lightness below which it is called dark: a full blue is as dark as a brown.
struct Hue {
    std::string_view name;
    double dark_below;
};

constexpr Hue kPink = {"pink", 0.50}, kRed = {"red", 0.46}, kBrown = {"brown", 0.40}, kBeige = {"beige", 0},
              kOrange = {"orange", 0}, kYellow = {"yellow", 0.72}, kOlive = {"olive", 0.46}, kGreen = {"green", 0.46},
              kTeal = {"teal", 0.44}, kBlue = {"blue", 0.38}, kPurple = {"purple", 0.38};

Hue red_or_pink(Sight s) {
    if (s.h >= 25 && s.c < 0.11 && s.l < 0.65) return kBrown;
    return s.l >= 0.70 || (s.c < 0.06 && s.l >= 0.60) ? kPink : kRed;
}

Hue orange_or_brown(Sight s) {
    if (s.l < 0.60 || (s.c < 0.10 && s.l < 0.72)) return kBrown;
    return s.c < 0.075 && s.l < 0.86 ? kBeige : kOrange;
}

Hue yellow_or_brown(Sight s) {
    if (s.h >= 95) return s.l < 0.68 ? kOlive : kYellow;
    if (s.l < 0.62 || (s.c < 0.08 && s.l < 0.72)) return kBrown;
    return s.c < 0.075 && s.l < 0.86 ? kBeige : kYellow;
}

Hue hue_of(Sight s) {
    if (s.h < 12 || s.h >= 340) return s.l < 0.45 ? (s.h < 12 || s.h >= 355 ? kRed : kPurple) : kPink;
    if (s.h < 40) return red_or_pink(s);
    if (s.h < 80) return orange_or_brown(s);
    if (s.h < 118) return yellow_or_brown(s);
    if (s.h < 170) return kGreen;
    if (s.h < 215) return kTeal;
    return s.h < 284 ? kBlue : kPurple;
}

std::string_view adverb(Sight s, const Hue& hue) {
    if (s.l < hue.dark_below) return "dark ";
    if (hue.name == kBeige.name) return "";
    if (s.l >= 0.78 && s.c < 0.12) return "pale ";
    if (s.c < 0.05) return "greyish ";
    const bool often_bright = hue.name == kYellow.name || hue.name == kOrange.name || hue.name == kPink.name;
    return s.l >= 0.72 && s.c >= 0.14 && !often_bright ? "bright " : "";
}

[[noreturn]] void unknown_colour(std::string_view text, std::string_view what) {
    throw Error(ErrorKind::usage,
                std::string(what) + ": '" + std::string(text) +
                    "' is not a colour; write '#rrggbb', a name added with --colour, undyed, white, "
                    "black, or grey, red, orange, yellow, green, teal, blue, purple, pink or brown with "
                    "-1 (strong), -2 or -3 (pale), like red-1");
}

}  // namespace

std::span<const NamedColour> built_in_colours() {
    return kBuiltIn;
}

void ColourBook::add(std::string_view name_and_hex) {
    const auto sign = name_and_hex.find('=');
    const std::string name = trimmed(name_and_hex.substr(0, sign));
    const std::optional<Srgb8> colour =
        sign == std::string_view::npos ? std::nullopt : parsed_hex(trimmed(name_and_hex.substr(sign + 1)));
    if (name.empty() || name.front() == '#' || !colour)
        throw Error(ErrorKind::usage, "--colour: '" + std::string(name_and_hex) +
                                          "' is not a name and a colour; write it like harbour=#2a4d6e");
    added_[name] = *colour;
}

Srgb8 ColourBook::colour(std::string_view text, std::string_view what) const {
    const std::string word = trimmed(text);
    if (const std::optional<Srgb8> hex = parsed_hex(word)) return *hex;
    if (const auto own = added_.find(word); own != added_.end()) return own->second;
    if (const std::optional<Srgb8> known = built_in(word)) return *known;
    unknown_colour(text, what);
}

std::string plain_words(Lab colour) {
    const Sight s = sight(colour);
    if (std::string grey = grey_words(s); !grey.empty()) return grey;
    const Hue hue = hue_of(s);
    return std::string(adverb(s, hue)) + std::string(hue.name);
}

}  // namespace loopread
