#include "loopread/draw/contact_sheet.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/require.h"
#include "loopread/draw/canvas.h"

namespace loopread {
namespace {

// Parts of the sheet's width; chosen by eye.
constexpr double kMargin = 0.03, kGap = 0.013, kTitle = 0.025, kSubtitle = 0.013, kCaption = 0.0115, kLine = 0.0125;

class SheetDrawing {
public:
    explicit SheetDrawing(const ContactSheet& sheet)
        : sheet_(sheet), room_(thumb_room(sheet.columns, sheet.pictures.size())), margin_(part(kMargin)) {
        const double words = sheet.columns - 2 * margin_;
        title_ = balanced(sheet.title, style(kTitle, Weight::bold, ink::kText), words);
        subtitle_ = wrapped(sheet.subtitle, style(kSubtitle, Weight::normal, ink::kQuiet), words);
        for (const std::string& line : sheet.lines)
            lines_.push_back(wrapped(line, style(kLine, Weight::normal, ink::kText), words));
    }

    Picture8 drawn() const {
        const double head = title_.height() + subtitle_.height();
        Canvas canvas(sheet_.columns,
                      static_cast<int>(
                          std::ceil(margin_ + head + part(0.014) + pictures_height() + lines_height() + 0.6 * margin_)),
                      ink::kPaper);
        double y = std::round(0.8 * margin_);
        canvas.block(margin_, y, title_);
        canvas.block(margin_, y + title_.height(), subtitle_);
        y = draw_pictures(canvas, std::round(y + head + part(0.014)));
        for (const TextBlock& line : lines_) {
            canvas.block(margin_, std::round(y), line);
            y += line.height() + part(0.004);
        }
        return canvas.pixels();
    }

private:
    double part(double of_width) const { return of_width * sheet_.columns; }
    TextStyle style(double letters, Weight weight, Srgb8 colour) const {
        return {.size = std::round(2 * part(letters)) / 2, .weight = weight, .colour = colour};
    }
    double caption_height() const { return std::round(part(2.3 * kCaption)); }

    std::size_t rows() const {
        const auto across = static_cast<std::size_t>(room_.across);
        return (sheet_.pictures.size() + across - 1) / across;
    }
    double row_height(std::size_t row) const {
        int tallest = 0;
        const auto across = static_cast<std::size_t>(room_.across);
        for (std::size_t i = row * across; i < std::min((row + 1) * across, sheet_.pictures.size()); ++i)
            tallest = std::max(tallest, sheet_.pictures[i].picture.rows());
        return tallest + caption_height();
    }
    double pictures_height() const {
        double sum = 0;
        for (std::size_t row = 0; row < rows(); ++row) sum += row_height(row) + part(kGap);
        return sum;
    }
    double lines_height() const {
        double sum = 0;
        for (const TextBlock& line : lines_) sum += line.height() + part(0.004);
        return sum;
    }

    /// @return  where what follows may begin
    double draw_pictures(Canvas& canvas, double y) const {
        for (std::size_t i = 0; i < sheet_.pictures.size(); ++i) {
            const auto across = static_cast<std::size_t>(room_.across);
            const double x = std::round(margin_ + static_cast<double>(i % across) * (room_.pixels + part(kGap)));
            const ContactPicture& one = sheet_.pictures[i];
            canvas.picture(one.picture, static_cast<int>(x), static_cast<int>(y));
            canvas.text(x, y + one.picture.rows() + part(1.5 * kCaption), one.caption,
                        style(kCaption, Weight::normal, ink::kQuiet));
            if (i % across + 1 == across || i + 1 == sheet_.pictures.size())
                y = std::round(y + row_height(i / across) + part(kGap));
        }
        return y;
    }

    const ContactSheet& sheet_;
    ThumbRoom room_;
    double margin_;
    TextBlock title_, subtitle_;
    std::vector<TextBlock> lines_;
};

}  // namespace

ThumbRoom thumb_room(int columns, std::size_t pictures) {
    require(columns > 0 && pictures > 0, "a sheet has a size and pictures");
    const int across = pictures < 3 ? static_cast<int>(pictures) : pictures % 3 == 0 ? 3 : 4;
    const double room = columns * (1 - 2 * kMargin - (across - 1) * kGap);
    return {across, std::max(1, static_cast<int>(room / across))};
}

Picture8 contact_sheet(const ContactSheet& sheet) {
    require(!sheet.pictures.empty(), "there are pictures to show");
    return SheetDrawing(sheet).drawn();
}

}  // namespace loopread
