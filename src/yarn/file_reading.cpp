#include <algorithm>
#include <cmath>
#include <optional>

#include "loopread/base/error.h"
#include "loopread/base/text.h"
#include "loopread/yarn/file.h"
#include "yarn/columns.h"

namespace loopread {
namespace {

constexpr double kJoinMm = 0.01 + 1e-9;       // the allowance of the format, and rounding
constexpr double kLongestMm = 1e8;            // 100 km, as for lengths on the command line
constexpr long long kMostLoops = 1'000'000;   // of a course or a wale
constexpr std::size_t kMostRows = 2'000'000;  // two hundred blanks
constexpr std::size_t kMostProblems = 1000;   // then reading stops
constexpr double kMostLab = 500;  // chosen: far beyond any colour, near enough to catch a lost decimal point

using Cells = std::array<std::string_view, kColumnNames.size()>;

std::string_view without_spaces(std::string_view cell) {
    const auto first = cell.find_first_not_of(" \t");
    return first == std::string_view::npos ? "" : cell.substr(first, cell.find_last_not_of(" \t") - first + 1);
}

/// Cuts the next line off, without its end.
std::string_view next_line(std::string_view& rest) {
    const auto end = rest.find('\n');
    std::string_view line = rest.substr(0, end);
    rest = end == std::string_view::npos ? std::string_view{} : rest.substr(end + 1);
    if (line.ends_with('\r')) line.remove_suffix(1);
    return line;
}

std::string_view next_cell(std::string_view& rest) {
    const auto end = rest.find(',');
    const std::string_view cell = without_spaces(rest.substr(0, end));
    rest = end == std::string_view::npos ? std::string_view{} : rest.substr(end + 1);
    return cell;
}

/// Without the byte-order mark and the empty lines at the end.
std::string_view body(std::string_view text) {
    if (text.starts_with("\xef\xbb\xbf")) text.remove_prefix(3);
    const auto last = text.find_last_not_of(" \t\r\n");
    return text.substr(0, last == std::string_view::npos ? 0 : last + 1);
}

std::string quoted(std::string_view cell) {
    constexpr std::size_t kShown = 30;
    return "'" + std::string(cell.substr(0, kShown)) + (cell.size() > kShown ? "...'" : "'");
}

/// Which column stands where in this file.
class Layout {
public:
    Layout(std::string_view header, std::vector<Problem>& problems) {
        const auto cells = static_cast<std::size_t>(std::ranges::count(header, ',')) + 1;
        for (std::size_t i = 0; i < cells && problems.size() < kMostProblems; ++i) add(next_cell(header), problems);
        need({Column::strand, Column::start_mm, Column::length_mm, Column::hex}, problems);
        if (has_lab() || has(Column::lab_a) || has(Column::lab_b))
            need({Column::lab_l, Column::lab_a, Column::lab_b}, problems);
        if (has_places() || has(Column::wale) || has(Column::part))
            need({Column::course, Column::wale, Column::part}, problems);
    }

    bool has_lab() const { return has(Column::lab_l); }
    bool has_places() const { return has(Column::course); }
    std::size_t columns() const { return columns_; }
    std::string_view cell(const Cells& cells, Column column) const { return cells[*place_[index(column)]]; }

private:
    static std::size_t index(Column column) { return static_cast<std::size_t>(column); }
    bool has(Column column) const { return place_[index(column)].has_value(); }

    void add(std::string_view word, std::vector<Problem>& problems) {
        const auto found = std::ranges::find(kColumnNames, word);
        if (found == kColumnNames.end()) {
            problems.push_back({1, "the column " + quoted(word) + " is not known; the columns are " +
                                       std::string(kYarnHeader) + ", set apart by commas"});
            return;
        }
        std::optional<std::size_t>& place = place_[static_cast<std::size_t>(found - kColumnNames.begin())];
        if (place) problems.push_back({1, "the column '" + std::string(word) + "' is there twice; remove one"});
        place = columns_++;
    }
    void need(std::initializer_list<Column> columns, std::vector<Problem>& problems) const {
        for (const Column column : columns)
            if (!has(column))
                problems.push_back(
                    {1, "there is no column '" + std::string(kColumnNames[index(column)]) + "'; add it"});
    }

    std::array<std::optional<std::size_t>, kColumnNames.size()> place_;
    std::size_t columns_ = 0;
};

/// Reads row after row and holds each against the one before it.
class YarnReader {
public:
    YarnReader(const Layout& layout, std::vector<Problem>& problems) : layout_(layout), problems_(problems) {}

    void read(std::string_view line, int number) {
        line_ = number;
        const auto count = static_cast<std::size_t>(std::ranges::count(line, ',')) + 1;
        if (count != layout_.columns()) {
            fault("has " + std::to_string(count) + " cells where the first line has " +
                  std::to_string(layout_.columns()));
            end_mm_.reset();
            return;
        }
        Cells cells;
        for (std::size_t i = 0; i < count; ++i) cells[i] = next_cell(line);
        read_strand(layout_.cell(cells, Column::strand));
        Piece piece;
        read_stretch(cells, piece);
        if (layout_.has_places()) read_place(cells, piece);
        read_colour(cells, piece);
        if (problems_.empty()) strands_.back().push_back(piece);
    }

    std::vector<ColourRun> runs() && {
        std::vector<ColourRun> runs;
        for (std::vector<Piece>& pieces : strands_) {
            // the starts count: what is between two of them is the length, so that rounding never adds up
            const double end_mm = pieces.back().start_mm + pieces.back().length_mm;
            pieces.front().start_mm = 0;
            for (std::size_t i = 0; i < pieces.size(); ++i)
                pieces[i].length_mm = (i + 1 < pieces.size() ? pieces[i + 1].start_mm : end_mm) - pieces[i].start_mm;
            runs.emplace_back(std::move(pieces));
        }
        return runs;
    }

private:
    void fault(std::string what) { problems_.push_back({line_, std::move(what)}); }

    void read_strand(std::string_view cell) {
        const std::optional<long long> strand = parsed_whole(cell);
        if (!strand || *strand < 1 || *strand > 2) {
            fault("the strand is " + quoted(cell) + "; it must be 1 or 2");
            end_mm_.reset();
            return;
        }
        if (*strand == strand_) return;
        if (*strand != strand_ + 1) fault("strand " + std::to_string(*strand) + " is out of order; put strand 1 first");
        strand_ = *strand;
        strands_.emplace_back();
        end_mm_ = 0;
        last_start_mm_ = -1;
    }

    std::optional<double> length_in(std::string_view cell, std::string_view what) {
        const std::optional<double> value = parsed_number(cell);
        if (!value) {
            fault(std::string(what) + " is " + quoted(cell) + "; it must be a number of millimetres");
        } else if (*value < 0 || *value > kLongestMm) {
            fault(std::string(what) + " is " + quoted(cell) + "; it must be from 0 to 100 km");
            return std::nullopt;
        }
        return value;
    }

    void read_stretch(const Cells& cells, Piece& piece) {
        const std::optional<double> start = length_in(layout_.cell(cells, Column::start_mm), "start_mm");
        const std::optional<double> length = length_in(layout_.cell(cells, Column::length_mm), "length_mm");
        if (length && *length <= 0) fault("length_mm is 0; it must be over 0, so remove the row");
        if (start && end_mm_) check_join(*start);
        end_mm_.reset();
        if (!start || !length) return;
        if (*length > 0 && *start + *length <= *start)  // 1e-9 mm after 100 km of yarn, in the digits of a double
            fault("length_mm is too small for a place so far along the yarn; remove the row");
        piece.start_mm = *start;
        piece.length_mm = *length;
        last_start_mm_ = *start;
        end_mm_ = *start + *length;
    }

    void check_join(double start_mm) {
        const double gap_mm = start_mm - *end_mm_;
        if (std::abs(gap_mm) <= kJoinMm && start_mm > last_start_mm_) return;
        fault((gap_mm > 0 ? "a gap: " : "an overlap: ") + std::string("starts at ") + number_text(start_mm, 4) +
              " mm, but " + (last_start_mm_ < 0 ? "a strand starts" : "the row before ends") + " at " +
              number_text(*end_mm_, 4) + " mm");
    }

    void read_place(const Cells& cells, Piece& piece) {
        const std::string_view part = layout_.cell(cells, Column::part);
        piece.course = count_in(layout_.cell(cells, Column::course), "course");
        piece.wale = count_in(layout_.cell(cells, Column::wale), "wale");
        if ((piece.course < 0) != (piece.wale < 0)) fault("course and wale must both be given, or both left empty");
        if (part.empty() && piece.course < 0) return;
        const auto found = std::ranges::find(kParts, part, part_name);
        if (found == kParts.end())
            fault("the part is " + quoted(part) + "; it must be sinker, leg1, needle or leg2");
        else
            piece.part = *found;
    }

    int count_in(std::string_view cell, std::string_view what) {
        if (cell.empty()) return -1;
        const std::optional<long long> count = parsed_whole(cell);
        if (count && *count >= -1 && *count <= kMostLoops) return static_cast<int>(*count);
        fault("the " + std::string(what) + " is " + quoted(cell) + "; it must be a whole number from 0, or empty");
        return -1;
    }

    void read_colour(const Cells& cells, Piece& piece) {
        const std::string_view hex = layout_.cell(cells, Column::hex);
        const std::optional<Srgb8> code = parsed_hex(hex);
        if (!code) return fault("the colour is " + quoted(hex) + "; write it like #2a4d6e");
        piece.colour = linear_from_srgb8(*code);
        if (!layout_.has_lab()) return;
        const std::string_view l = layout_.cell(cells, Column::lab_l), a = layout_.cell(cells, Column::lab_a),
                               b = layout_.cell(cells, Column::lab_b);
        if (l.empty() && a.empty() && b.empty()) return;
        const std::optional<double> lab_l = parsed_number(l), lab_a = parsed_number(a), lab_b = parsed_number(b);
        if (!is_colour(lab_l) || !is_colour(lab_a) || !is_colour(lab_b))
            return fault("L,a,b are " + quoted(l) + ", " + quoted(a) + ", " + quoted(b) +
                         "; they must be the three numbers of CIELAB, or all empty");
        piece.colour = linear_from_lab({*lab_l, *lab_a, *lab_b});
    }

    static bool is_colour(std::optional<double> value) { return value && std::abs(*value) <= kMostLab; }

    const Layout& layout_;
    std::vector<Problem>& problems_;
    std::vector<std::vector<Piece>> strands_;
    int line_ = 0;
    long long strand_ = 0;
    std::optional<double> end_mm_;  // of the row before, if that could be read
    double last_start_mm_ = -1;     // -1: none yet
};

}  // namespace

std::vector<ColourRun> parsed_yarn_csv(std::string_view text, std::string_view name) {
    std::string_view rest = body(text);
    const auto rows = static_cast<std::size_t>(std::ranges::count(rest, '\n'));  // the header's line does not end it
    std::vector<Problem> problems;
    if (rows > kMostRows)
        throw_problems(name, {{0, "has " + std::to_string(rows) + " rows; up to 2,000,000 can be used, so cut it"}});
    const Layout layout(next_line(rest), problems);
    if (problems.empty() && rows == 0) problems.push_back({0, "has no rows; there is no yarn in it"});
    if (!problems.empty()) throw_problems(name, problems);

    YarnReader reader(layout, problems);
    for (int number = 2; !rest.empty() && problems.size() < kMostProblems; ++number)
        reader.read(next_line(rest), number);
    if (!problems.empty()) throw_problems(name, problems);
    return std::move(reader).runs();
}

}  // namespace loopread
