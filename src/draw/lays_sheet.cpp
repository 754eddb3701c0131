#include "loopread/draw/lays_sheet.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

#include "loopread/base/require.h"
#include "loopread/base/text.h"
#include "loopread/draw/canvas.h"

namespace loopread {
namespace {

constexpr int kMargin = 44;
constexpr int kColumns = 4;
constexpr int kBlankWidth = 90;
constexpr int kFabricWidth = 300;
constexpr int kBetween = 12;  // blank and fabric
constexpr int kPanelWidth = kBlankWidth + kBetween + kFabricWidth;
constexpr int kPanelGap = 42;
constexpr int kTallestPicture = 360;
constexpr double kRankRoom = 46;
constexpr double kBarHeight = 18;
constexpr double kTieHeight = 34;
constexpr double kRiskHeight = 34;  // the words on risk under the fabric

constexpr TextStyle kHeadline{.size = 27, .weight = Weight::bold};
constexpr TextStyle kWhy{.size = 16, .colour = ink::kQuiet};
constexpr TextStyle kRank{.size = 25, .weight = Weight::bold};
constexpr TextStyle kName{.size = 14.5, .weight = Weight::bold};
constexpr TextStyle kSmall{.size = 11.5, .colour = ink::kQuiet};
constexpr TextStyle kShare{.size = 12};
constexpr TextStyle kRisk{.size = 14, .weight = Weight::bold};
constexpr TextStyle kVerdict{.size = 13.5};
constexpr TextStyle kTie{.size = 13.5, .weight = Weight::bold, .colour = ink::kQuiet};

constexpr std::size_t kShares = 4;
constexpr std::array<const char*, kShares> kShareNames = {"stripe", "pool", "dash", "speckle"};
constexpr std::array<Srgb8, kShares> kShareColours = {
    {{0x7f, 0x9c, 0xb4}, {0xd0, 0x8f, 0x74}, {0xe2, 0xcb, 0x8e}, {0xd6, 0xd2, 0xca}}};

using ShareValues = std::array<double, kShares>;

ShareValues share_values(const LayPanel& panel) {
    ShareValues shares = {panel.stripe, panel.pool, panel.dash, panel.speckle};
    for (double& share : shares) share = std::clamp(share, 0.0, 1.0);
    return shares;
}

/// Whole percentages that add to what they round to together: the largest remainders are rounded up.
std::array<int, kShares> percentages(const ShareValues& shares) {
    std::array<int, kShares> whole{};
    std::array<std::size_t, kShares> order{};
    std::iota(order.begin(), order.end(), std::size_t{0});
    const double all = 100 * std::accumulate(shares.begin(), shares.end(), 0.0);
    for (std::size_t i = 0; i < kShares; ++i) whole[i] = static_cast<int>(std::floor(100 * shares[i] + 1e-9));
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
        return 100 * shares[a] - whole[a] > 100 * shares[b] - whole[b] + 1e-9;
    });
    const int left = static_cast<int>(std::lround(all)) - std::accumulate(whole.begin(), whole.end(), 0);
    for (int i = 0; i < std::min(left, static_cast<int>(kShares)); ++i) ++whole[order[static_cast<std::size_t>(i)]];
    return whole;
}

/// Two lines and no more: the second ends in dots where words are left over.
TextBlock two_lines(const std::string& words, const TextStyle& style, double room) {
    TextBlock block = balanced(words, style, room);
    if (block.lines.size() <= 2) return block;
    const TextBlock shorter = wrapped(block.lines[1], style, room - 16);
    block.lines = {block.lines[0], shorter.lines[0] + " ..."};
    return block;
}

/// A panel with its words broken and its pictures at their size.
struct LaidOutPanel {
    const LayPanel* panel = nullptr;
    TextBlock name, verdict;
    Picture8 blank, fabric;
    /// Of the blank, or of the fabric with the words under it.
    double middle_height() const {
        return std::max<double>(blank.rows(), fabric.rows() + kRiskHeight + verdict.height());
    }
};

LaidOutPanel laid_out(const LayPanel& panel) {
    return {&panel, two_lines(panel.name, kName, kPanelWidth - kRankRoom),
            wrapped(panel.verdict, kVerdict, kFabricWidth), fitted(panel.blank, kBlankWidth, kTallestPicture),
            fitted(panel.fabric, kFabricWidth, kTallestPicture)};
}

/// Panels beside each other, each part of them at one height.
struct SheetRow {
    std::size_t first = 0, end = 0;
    double middle = 0;  // height of the tallest blank, or fabric with its words

    static constexpr double kHead = kTieHeight + 50;  // rank and name
    static constexpr double kPictureWords = 18;       // over the pictures
    static constexpr double kFoot = 16 + kBarHeight + 24 + 40;
    double height() const { return kHead + kPictureWords + middle + kFoot; }
};

class LaysDrawing {
public:
    explicit LaysDrawing(const LaysSheet& sheet) {
        for (const LayPanel& panel : sheet.panels) panels_.push_back(laid_out(panel));
        const int columns = std::clamp(static_cast<int>(panels_.size()), 2, kColumns);
        width_ = 2 * kMargin + columns * kPanelWidth + (columns - 1) * kPanelGap;
        headline_ = balanced(sheet.headline, kHeadline, width_ - 2.0 * kMargin);
        why_ = wrapped(sheet.why, kWhy, std::min(width_ - 2.0 * kMargin, 1200.0));
        for (std::size_t first = 0; first < panels_.size(); first += kColumns) rows_.push_back(row(first));
    }

    Picture8 drawn() const {
        const double head = kMargin + headline_.height() + 6 + why_.height() + 22;
        double height = head + kMargin - 34;
        for (const SheetRow& row : rows_) height += row.height();
        Canvas canvas(width_, static_cast<int>(std::ceil(height)), ink::kPaper);
        canvas.block(kMargin, kMargin - 8, headline_);
        canvas.block(kMargin, kMargin + headline_.height() + 2, why_);
        double y = head;
        for (const SheetRow& row : rows_) {
            draw_ties(canvas, row, y);
            for (std::size_t i = row.first; i < row.end; ++i) draw_panel(canvas, row, i, y);
            y += row.height();
        }
        return canvas.pixels();
    }

private:
    SheetRow row(std::size_t first) const {
        SheetRow row{first, std::min(first + kColumns, panels_.size())};
        for (std::size_t i = row.first; i < row.end; ++i) row.middle = std::max(row.middle, panels_[i].middle_height());
        return row;
    }
    static double left(std::size_t i) {
        return kMargin + static_cast<double>(i % kColumns) * (kPanelWidth + kPanelGap);
    }
    bool tied(std::size_t i, std::size_t j) const { return panels_[i].panel->tie == panels_[j].panel->tie; }
    bool tied_to_next(std::size_t i) const { return i + 1 < panels_.size() && tied(i, i + 1); }
    bool tied_to_last(std::size_t i) const { return i > 0 && tied(i - 1, i); }

    /// A bracket over each stretch of panels that tie; it has no end where the tie goes on in another row.
    void draw_ties(Canvas& canvas, const SheetRow& row, double y) const {
        for (std::size_t first = row.first; first < row.end;) {
            std::size_t last = first;
            while (last + 1 < row.end && tied_to_next(last)) ++last;
            const bool from_above = tied_to_last(first), on_below = tied_to_next(last);
            const double from = left(first), to = left(last) + kPanelWidth, line = y + 22;
            if (first < last || from_above || on_below) {
                canvas.rectangle(from, line, to - from, 2, ink::kQuiet);
                if (!from_above) canvas.rectangle(from, line, 2, 9, ink::kQuiet);
                if (!on_below) canvas.rectangle(to - 2, line, 2, 9, ink::kQuiet);
                canvas.text(from, line - 7, tie_words(from_above, on_below), kTie);
            } else {
                canvas.rectangle(from, line, to - from, 1, ink::kRule);
            }
            first = last + 1;
        }
    }
    static std::string tie_words(bool from_above, bool on_below) {
        if (from_above) return on_below ? "no difference from those above and below" : "no difference from those above";
        return on_below ? "no difference between these, and on in the next row" : "no difference between these";
    }

    void draw_panel(Canvas& canvas, const SheetRow& row, std::size_t i, double top) const {
        const LaidOutPanel& panel = panels_[i];
        const double x = left(i);
        double y = top + kTieHeight;
        canvas.text(x, y + 25, std::to_string(panel.panel->rank), kRank);
        canvas.block(x + kRankRoom, y + 1, panel.name);
        y = top + SheetRow::kHead + SheetRow::kPictureWords;
        canvas.text(x, y - 8, "ravel edge", kSmall);
        canvas.text(x + kBlankWidth + kBetween, y - 8, "knitted", kSmall);
        canvas.picture(panel.blank, static_cast<int>(x), static_cast<int>(y));
        canvas.rectangle(x, y - 3, panel.blank.columns(), 2, ink::kText);
        canvas.picture(panel.fabric, static_cast<int>(x) + kBlankWidth + kBetween, static_cast<int>(y));
        const double words_x = x + kBlankWidth + kBetween, words_y = y + panel.fabric.rows();
        canvas.text(words_x, words_y + 24, "pools for " + number_text(100 * panel.panel->risk, 0) + " of 100 knitters",
                    kRisk);
        canvas.block(words_x, words_y + kRiskHeight - 2, panel.verdict);
        draw_shares(canvas, *panel.panel, x, y + row.middle + 16);
    }

    static void draw_shares(Canvas& canvas, const LayPanel& panel, double x, double y) {
        const ShareValues shares = share_values(panel);
        std::array<double, kShares + 1> ends{x};
        for (std::size_t i = 0; i < kShares; ++i)
            ends[i + 1] = std::min(ends[i] + shares[i] * kPanelWidth, x + kPanelWidth);
        for (std::size_t i = 0; i < kShares; ++i) {
            const double from = std::round(ends[i]), to = std::round(ends[i + 1]);
            canvas.rectangle(from, y, to - from, kBarHeight, kShareColours[i]);
            if (i > 0 && to > from && from > x) canvas.rectangle(from - 1, y, 1, kBarHeight, ink::kPaper);
        }
        canvas.frame(x + 0.5, y + 0.5, kPanelWidth - 1, kBarHeight - 1, ink::kQuiet, 1);
        if (ends.back() > x)
            share_names(canvas, shares, ends, y + kBarHeight);
        else
            canvas.text(x, y + kBarHeight + 20, "one colour: nothing to divide", kShare);
    }

    /// Under the bar, in its order, with a line to each part that is there.
    static void share_names(Canvas& canvas, const ShareValues& shares, const std::array<double, kShares + 1>& ends,
                            double y) {
        const std::array<int, kShares> percent = percentages(shares);
        std::array<std::string, kShares> words;
        std::vector<LabelWish> wishes;
        for (std::size_t i = 0; i < kShares; ++i) {
            words[i] = std::string(kShareNames[i]) + " " + std::to_string(percent[i]) + " %";
            wishes.push_back({(ends[i] + ends[i + 1]) / 2, canvas.text_width(words[i], kShare)});
        }
        const std::vector<double> middles = places_apart(wishes, ends[0], ends[0] + kPanelWidth, 12);
        TextStyle style = kShare;
        style.align = Align::middle;
        for (std::size_t i = 0; i < kShares; ++i) {
            if (shares[i] > 0) canvas.polyline({{wishes[i].middle, y}, {middles[i], y + 8}}, {ink::kQuiet, 1});
            canvas.text(middles[i], y + 20, words[i], style);
        }
    }

    std::vector<LaidOutPanel> panels_;
    std::vector<SheetRow> rows_;
    TextBlock headline_, why_;
    int width_ = 0;
};

}  // namespace

Picture8 lays_sheet(const LaysSheet& sheet) {
    require(!sheet.panels.empty(), "there are ways to lay the design");
    return LaysDrawing(sheet).drawn();
}

}  // namespace loopread
