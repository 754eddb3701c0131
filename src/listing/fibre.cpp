#include "loopread/listing/fibre.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "loopread/base/error.h"
#include "loopread/base/text.h"
#include "loopread/listing/typed_words.h"

namespace loopread {
namespace {

constexpr double kWholeTolerance = 1e-6;  // of a sum of decimals typed by hand
constexpr std::size_t kLongest = 500;
constexpr std::size_t kLongestFibre = 60;

[[noreturn]] void refused(const std::string& fault) {
    throw Error(ErrorKind::usage, "--fibre: " + fault + "; write it like 'wool 75, nylon 25'");
}

std::string without_sign(std::string text) {
    if (!text.empty() && text.back() == '%') text.pop_back();
    return trimmed(text);
}

/// "wool 75", "75 wool", "75 % wool", "wool 75%"
FibrePart parsed_part(const std::string& text) {
    const std::string bare = without_sign(text);
    const auto last = bare.find_last_of(" \t");
    const auto figure_end = text.find_first_not_of("0123456789.");
    FibrePart part;
    if (last != std::string::npos && parsed_number(bare.substr(last + 1))) {
        part = {trimmed(bare.substr(0, last)), *parsed_number(bare.substr(last + 1))};
    } else if (figure_end != 0 && figure_end != std::string::npos && parsed_number(text.substr(0, figure_end))) {
        std::string name = trimmed(text.substr(figure_end));
        if (!name.empty() && name.front() == '%') name = trimmed(name.substr(1));
        part = {name, *parsed_number(text.substr(0, figure_end))};
    } else {
        refused("'" + text + "' is not a fibre and its percentage");
    }
    if (part.name.empty()) refused("'" + text + "' names no fibre");
    if (part.name.size() > kLongestFibre)
        refused("'" + part.name.substr(0, 30) + "...' is too long for a fibre's name");
    if (part.percent <= 0 || part.percent > 100) refused("'" + text + "': a part is over 0 and at most 100 percent");
    return part;
}

std::vector<std::string> split_at_commas(std::string_view text) {
    std::vector<std::string> parts;
    std::size_t from = 0;
    while (true) {
        const std::size_t comma = text.find(',', from);
        parts.push_back(trimmed(text.substr(from, comma - from)));
        if (comma == std::string_view::npos) return parts;
        from = comma + 1;
    }
}

}  // namespace

std::vector<FibrePart> parsed_fibre(std::string_view text) {
    if (const std::string fault = fault_of_words(text, kLongest, Lines::one); !fault.empty()) refused("it " + fault);
    std::vector<FibrePart> fibre;
    double sum = 0;
    for (const std::string& part : split_at_commas(text)) {
        fibre.push_back(parsed_part(part));
        sum += fibre.back().percent;
        for (std::size_t i = 0; i + 1 < fibre.size(); ++i)
            if (lowered(fibre[i].name) == lowered(fibre.back().name))
                refused("'" + fibre.back().name + "' stands there twice");
    }
    if (std::abs(sum - 100) > kWholeTolerance)
        refused("the parts add up to " + number_text(sum, 2) + " percent, not to 100");
    std::stable_sort(fibre.begin(), fibre.end(),
                     [](const FibrePart& a, const FibrePart& b) { return a.percent > b.percent; });
    return fibre;
}

std::string fibre_line(const std::vector<FibrePart>& fibre) {
    std::string line;
    for (const FibrePart& part : fibre)
        line += (line.empty() ? "" : ", ") + number_text(part.percent, 2) + " % " + part.name;
    return line;
}

std::vector<std::string> fibre_warnings(const std::vector<FibrePart>& fibre) {
    struct Word {
        std::string_view word;
        std::string_view what;
    };
    constexpr std::array<Word, 6> kNoFibres{{{"superwash", "is a process, not a fibre"},
                                             {"merino", "is a breed; the fibre's name is wool"},
                                             {"bfl", "is a breed; the fibre's name is wool"},
                                             {"bamboo", "is a plant; the fibre's name is mostly viscose"},
                                             {"sparkle", "is not a fibre"},
                                             {"other", "names no fibre"}}};
    std::vector<std::string> warnings;
    for (const FibrePart& part : fibre) {
        for (const Word& one : kNoFibres)
            if (lowered(part.name).find(one.word) != std::string::npos)
                warnings.push_back("--fibre: '" + part.name + "': " + std::string(one.word) + " " +
                                   std::string(one.what) + "; check what your label law calls it");
        const bool pure = lowered(part.name).find("pure") != std::string::npos;
        if (pure && fibre.size() > 1)
            warnings.push_back("--fibre: '" + part.name + "': 'pure' is for yarn of a single fibre");
    }
    return warnings;
}

}  // namespace loopread
