#include "loopread/listing/colour_names.h"

#include <algorithm>
#include <cctype>
#include <optional>

#include "loopread/base/error.h"
#include "loopread/base/text.h"
#include "loopread/colour/difference.h"
#include "loopread/listing/typed_words.h"

namespace loopread {
namespace {

constexpr double kSameColour = 5;         // CIEDE2000; palette_of keeps its colours this far apart
constexpr std::size_t kLongestName = 80;  // bytes; more has no room on the card
constexpr std::size_t kMostLines = 1000;

bool is_hex(std::string_view text) {
    return text.size() == 7 && text.front() == '#' &&
           std::all_of(text.begin() + 1, text.end(), [](unsigned char c) { return std::isxdigit(c) != 0; });
}

/// A line that is no entry for a colour: nothing, or a remark.
bool passed_over(const std::string& line) {
    if (line.empty()) return true;
    return line.front() == '#' && !is_hex(trimmed(line.substr(0, line.find('='))));
}

std::string fault_of(const ColourNameLine& entry) {
    if (entry.key.empty()) return "there is no colour before the '='";
    if (entry.name.empty()) return "there is no name after the '='";
    const std::string fault = fault_of_words(entry.name, kLongestName, Lines::one);
    return fault.empty() ? fault : "the name " + fault;
}

Lab lab_of(std::string_view hex) {
    return lab_from_linear(linear_from_srgb8(*parsed_hex(hex)));
}

/// Which of the palette's colours a line names.
std::optional<std::size_t> meant_by(const ColourNameLine& entry, const std::vector<PaletteColour>& palette) {
    if (!is_hex(entry.key)) {
        for (std::size_t i = 0; i < palette.size(); ++i)
            if (palette[i].words == entry.key) return i;
        return std::nullopt;
    }
    std::optional<std::size_t> nearest;
    double least = kSameColour;
    for (std::size_t i = 0; i < palette.size(); ++i) {
        const double apart = delta_e_2000(lab_from_linear(palette[i].colour), lab_of(entry.key));
        if (apart > least) continue;
        least = apart;
        nearest = i;
    }
    return nearest;
}

}  // namespace

std::vector<ColourNameLine> parsed_colour_names(std::string_view text, std::string_view file) {
    std::vector<ColourNameLine> names;
    std::vector<Problem> problems;
    if (text.substr(0, 3) == "\xef\xbb\xbf") text.remove_prefix(3);
    int number = 0;
    while (!text.empty()) {
        const std::size_t end = std::min(text.find('\n'), text.size());
        const std::string line = trimmed(text.substr(0, end));
        text.remove_prefix(std::min(end + 1, text.size()));
        ++number;
        if (passed_over(line)) continue;
        if (names.size() == kMostLines) {
            problems.push_back({number, "more than 1000 names; is it the right file?"});
            break;
        }
        const std::size_t sign = line.find('=');
        if (sign == std::string::npos) {
            problems.push_back({number, "no '=' between a colour and its name"});
            continue;
        }
        names.push_back({number, lowered(trimmed(line.substr(0, sign))), trimmed(line.substr(sign + 1))});
        const std::string fault = fault_of(names.back());
        if (!fault.empty()) problems.push_back({number, fault});
    }
    if (!problems.empty()) throw_problems(file, problems);
    return names;
}

NamedPalette named(const std::vector<PaletteColour>& palette, const std::vector<ColourNameLine>& names) {
    NamedPalette result;
    for (const PaletteColour& entry : palette)
        result.colours.push_back(
            {entry.colour, hex_text(srgb8_from_linear(entry.colour)), entry.words, entry.words, entry.share});
    for (const ColourNameLine& line : names) {
        const std::optional<std::size_t> place = meant_by(line, palette);
        if (place)
            result.colours[*place].name = line.name;
        else
            result.unused.push_back(line);
    }
    return result;
}

std::string colour_names_file(const std::vector<NamedShare>& colours) {
    std::string text =
        "# Names of the colours, to be changed as you like; then give this file again with --names.\n"
        "# A colour or its plain words, '=', its name.\n";
    for (const NamedShare& one : colours) {
        text += one.hex + " = " + one.name;
        if (one.name != one.words) text += "\n#   " + one.words;
        text += '\n';
    }
    return text;
}

}  // namespace loopread
