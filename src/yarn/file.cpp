#include "loopread/yarn/file.h"

#include <array>
#include <charconv>
#include <cmath>

#include "yarn/columns.h"

namespace loopread {
namespace {

/// The file has four decimals; what is written is worked out from the rounded numbers alone, so that what was written
/// and read is written the same again.
constexpr double kSteps = 1e4;

long long steps(double value) {
    return std::llround(value * kSteps);
}

void append_whole(std::string& text, long long value) {
    std::array<char, 24> digits{};
    text.append(digits.data(), std::to_chars(digits.data(), digits.data() + digits.size(), value).ptr);
}

/// As append_fixed(text, value / 1e4, 4), in a quarter of the time: a blank has half a million such numbers.
void append_steps(std::string& text, long long value) {
    if (value < 0) text += '-';
    const long long magnitude = value < 0 ? -value : value;
    append_whole(text, magnitude / 10'000);
    auto rest = static_cast<unsigned>(magnitude % 10'000);
    std::array<char, 5> tail = {'.', '0', '0', '0', '0'};
    for (std::size_t i = 4; i >= 1; --i, rest /= 10) tail[i] = static_cast<char>('0' + rest % 10);
    text.append(tail.data(), tail.size());
}

/// "L,a,b,hex" of a colour, kept while the colour stays the same.
class ColourCells {
public:
    const std::string& of(LinearRgb colour) {
        if (cells_.empty() || !(colour == colour_)) write(colour);
        return cells_;
    }

private:
    void write(LinearRgb colour) {
        colour_ = colour;
        const Lab lab = lab_from_linear(colour);
        const long long l = steps(lab.l), a = steps(lab.a), b = steps(lab.b);
        cells_.clear();
        for (const long long value : {l, a, b}) {
            append_steps(cells_, value);
            cells_ += ',';
        }
        const Lab rounded{static_cast<double>(l) / kSteps, static_cast<double>(a) / kSteps,
                          static_cast<double>(b) / kSteps};
        cells_ += hex_text(srgb8_from_linear(linear_from_lab(rounded)));
    }

    LinearRgb colour_;
    std::string cells_;
};

void append_place(std::string& text, const Piece& piece) {
    if (piece.course < 0) {
        text += ",,,";
        return;
    }
    append_whole(text, piece.course);
    text += ',';
    append_whole(text, piece.wale);
    text += ',';
    text += part_name(piece.part);
    text += ',';
}

void append_rows(std::string& text, const ColourRun& run, std::size_t strand) {
    ColourCells colour_cells;
    const std::string first_cell = std::to_string(strand) + ",";
    const std::vector<Piece>& pieces = run.pieces();
    long long start = 0;
    for (std::size_t i = 0; i < pieces.size(); ++i) {
        const long long end = steps(i + 1 < pieces.size() ? pieces[i + 1].start_mm : run.length_mm());
        if (end == start) continue;  // shorter than the file can tell
        text += first_cell;
        append_steps(text, start);
        text += ',';
        append_steps(text, end - start);
        text += ',';
        append_place(text, pieces[i]);
        text += colour_cells.of(pieces[i].colour);
        text += '\n';
        start = end;
    }
}

}  // namespace

std::string yarn_csv(const std::vector<ColourRun>& strands) {
    constexpr std::size_t kUsualRow = 80;  // characters
    std::size_t rows = 1;
    for (const ColourRun& run : strands) rows += run.pieces().size();
    std::string text;
    text.reserve(rows * kUsualRow);
    text += kYarnHeader;
    text += '\n';
    for (std::size_t i = 0; i < strands.size(); ++i) append_rows(text, strands[i], i + 1);
    return text;
}

}  // namespace loopread
