// Values as typed after an option: the first byte says which, the rest is the text.

#include <algorithm>
#include <array>
#include <cmath>

#include "cli/compare_photo.h"
#include "cli/options.h"
#include "fuzz/recipe_promises.h"
#include "loopread/base/text.h"
#include "loopread/colour/names.h"
#include "loopread/dye/units.h"
#include "loopread/listing/colour_names.h"
#include "loopread/listing/fibre.h"

namespace {

using namespace loopread;
using fuzz::hold;
using fuzz::unless_refused;

constexpr std::size_t kMostBytes = 1000;
constexpr double kLongestMm = 1e8;
constexpr double kWritableMm = 1e-3;
constexpr double kSameText = 1e-5;  // of a length over kWritableMm written with nine decimals

bool is_length(Millimetres length) {
    return length.value > 0 && length.value <= kLongestMm;
}

void length(const std::string& text) {
    const auto read = unless_refused([&] { return parsed_length(text, "--loop"); });
    if (!read) return;
    hold(is_length(*read), "a length is over zero and under 100 km");
    if (read->value < kWritableMm) return;
    const double again = parsed_length(number_text(read->value, 9) + "mm", "--loop").value;
    hold(std::abs(again - read->value) <= kSameText * read->value, "a length reads back");
}

void length_pair(const std::string& text) {
    const auto read = unless_refused([&] { return parsed_length_pair(text, "--size"); });
    if (read) hold(is_length(read->first) && is_length(read->second), "both lengths are lengths");
}

void count_pair(const std::string& text) {
    const auto read = unless_refused([&] { return parsed_count_pair(text, "--blank"); });
    if (!read) return;
    for (const int count : {read->first, read->second}) hold(count >= 1 && count <= 100'000, "a count is one");
    const CountPair again = parsed_count_pair(std::to_string(read->first) + "x" + std::to_string(read->second), "-");
    hold(again.first == read->first && again.second == read->second, "counts read back");
}

void weight(const std::string& text) {
    const auto read = unless_refused([&] { return parsed_weight(text, "--fibre"); });
    if (read) hold(read->value >= 1e-4 && read->value <= 1e5, "a weight is from 0.1 mg to 100 kg");
}

void volume(const std::string& text) {
    const auto read = unless_refused([&] { return parsed_volume(text, "--used"); });
    if (read) hold(read->value >= 0 && read->value <= 1e6, "a volume is under 1000 l");
}

void percent(const std::string& text) {
    const auto read = unless_refused([&] { return parsed_percent(text, "--stock"); });
    if (read) hold(*read >= 0 && *read <= 1000, "a percentage is from 0 to 1000");
}

void numbers(const std::string& text, std::size_t count) {
    const auto read = unless_refused([&] { return cli::parsed_numbers(text, count, "--corners", "1,2"); });
    if (!read) return;
    hold(read->size() == count, "there are as many numbers as asked for");
    for (const double number : *read) hold(std::isfinite(number), "a number is a number");
}

void corners(const std::string& text) {
    numbers(text, 8);
}

void white_patch(const std::string& text) {
    numbers(text, 4);
}

void ruler(const std::string& text) {
    unless_refused([&] {
        cli::check_ruler(text, "--ruler");
        return true;
    });
}

void count_range(const std::string& text) {
    const auto read = unless_refused([&] { return cli::parsed_count_range(text, "--counts"); });
    if (read) hold(1 <= read->first && read->first <= read->last && read->last <= 600, "a range of counts rises");
}

void fibre(const std::string& text) {
    const auto read = unless_refused([&] { return parsed_fibre(text); });
    if (!read) return;
    double whole = 0;
    for (const FibrePart& part : *read) {
        hold(part.percent > 0 && !part.name.empty(), "a fibre has a name and a part");
        whole += part.percent;
    }
    hold(std::abs(whole - 100) <= 1e-6, "the parts make the whole");
    hold(!fibre_line(*read).empty(), "there is a line of fibres");
    fibre_warnings(*read);
}

void colour(const std::string& text) {
    const ColourBook book;
    const auto read = unless_refused([&] { return book.colour(text, "--undyed"); });
    if (read) hold(book.colour(hex_text(*read), "-") == *read, "a colour reads back");
}

void named_colour(const std::string& text) {
    ColourBook book;
    const bool added = unless_refused([&] {
                           book.add(text);
                           return true;
                       }).has_value();
    if (added) book.colour(text.substr(0, text.find('=')), "--undyed");
}

void colour_names(const std::string& text) {
    const auto read = unless_refused([&] { return parsed_colour_names(text, "names.txt"); });
    if (!read) return;
    for (const ColourNameLine& line : *read)
        hold(line.line >= 1 && !line.key.empty() && !line.name.empty(), "a line names a colour");
    named({{linear_from_srgb8({0x2f, 0x7d, 0x9b}), 1, "blue"}}, *read);
}

void counted(const std::string& text) {
    cli::BlankOptions options;
    options.counted = text;
    options.size = "24x86cm";
    const auto read = unless_refused([&] { return cli::given_measures(options); });
    if (read && read->blank) hold(read->blank->first >= 1 && read->blank->second >= 1, "a counted blank has stitches");
}

void knitting(const cli::KnitOptions& options) {
    const auto read = unless_refused([&] { return cli::settled(options, 2); });
    if (!read) return;
    hold(read->stitches >= 1 && read->yarn_per_stitch.value > 0, "a round has stitches and yarn");
    hold(std::isfinite(read->yarn_per_round().value), "yarn in a round is a length");
}

void gauge(const std::string& text) {
    cli::KnitOptions options;
    options.gauge = text;
    knitting(options);
}

void yarn_per_round(const std::string& text) {
    cli::KnitOptions options;
    options.yarn_per_round = text;
    knitting(options);
}

void foot_round(const std::string& text) {
    cli::KnitOptions options;
    options.shape = "sock";
    options.foot_round = text;
    knitting(options);
}

/// One option of `dye` from the text, the others as usual.
template <class Set>
void dyeing(const Set& set) {
    cli::DyeOptions options;
    options.fibre = "100g";
    options.dyes = {"blue-1=0.4%"};
    set(options);
    fuzz::hold_recipe(options);
}

void dye(const std::string& text) {
    dyeing([&](cli::DyeOptions& options) { options.dyes.push_back(text); });
}

void stock(const std::string& text) {
    dyeing([&](cli::DyeOptions& options) { options.stocks = {text}; });
}

void used(const std::string& text) {
    dyeing([&](cli::DyeOptions& options) { options.used = {text}; });
}

void paste_and_jar(const std::string& text) {
    const auto end = text.find('\n');
    dyeing([&](cli::DyeOptions& options) {
        options.pastes = {text.substr(0, end)};
        if (end != std::string::npos) options.jars = {text.substr(end + 1)};
    });
}

void strengths(const std::string& text) {
    dyeing([&](cli::DyeOptions& options) { options.strengths = text; });
}

void ratio_of_bath(const std::string& text) {
    dyeing([&](cli::DyeOptions& options) { options.ratio = text; });
}

void acid_strength(const std::string& text) {
    dyeing([&](cli::DyeOptions& options) { options.acid_strength = text; });
}

void weight_of_fibre(const std::string& text) {
    dyeing([&](cli::DyeOptions& options) { options.fibre = text; });
}

/// In the order of their letters: a is length. New ones go to the end, so that the corpus keeps its meaning.
constexpr std::array kReaders{length,        length_pair,    count_pair, weight,        volume,         percent,
                              corners,       white_patch,    ruler,      count_range,   fibre,          colour,
                              named_colour,  colour_names,   counted,    gauge,         yarn_per_round, foot_round,
                              dye,           stock,          used,       paste_and_jar, strengths,      ratio_of_bath,
                              acid_strength, weight_of_fibre};

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    if (size == 0 || size > kMostBytes) return 0;
    const std::size_t which = (data[0] - std::size_t{'a'}) % kReaders.size();
    kReaders[which](fuzz::text_of(data + 1, size - 1));
    return 0;
}
