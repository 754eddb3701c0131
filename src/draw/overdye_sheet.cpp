#include "loopread/draw/overdye_sheet.h"

#include <algorithm>
#include <cmath>

#include "loopread/base/require.h"
#include "loopread/base/text.h"
#include "loopread/draw/canvas.h"
#include "loopread/image/sampling.h"

namespace loopread {
namespace {

constexpr int kMargin = 44;
constexpr int kDesignWidth = 250;
constexpr int kTallestDesign = 920;
constexpr int kBetween = 30;
constexpr int kSwatch = 92;
constexpr int kWordsWidth = 290;
constexpr int kPanelGap = 54;
constexpr int kStrengthsWidth = 2 * kSwatch + 10 + 16 + kWordsWidth;
constexpr int kPanelWidth = kDesignWidth + kBetween + kStrengthsWidth;
constexpr double kSwatchStep = kSwatch + 26;
constexpr double kPictureWords = 22;

constexpr TextStyle kHeadline{.size = 27, .weight = Weight::bold};
constexpr TextStyle kWhy{.size = 16, .colour = ink::kQuiet};
constexpr TextStyle kTitle{.size = 20, .weight = Weight::bold};
constexpr TextStyle kCaption{.size = 14.5};
constexpr TextStyle kSmall{.size = 11.5, .colour = ink::kQuiet};
constexpr TextStyle kName{.size = 16, .weight = Weight::bold};
constexpr TextStyle kLine{.size = 13.5};
constexpr TextStyle kVerdict{.size = 13.5, .weight = Weight::bold};
constexpr TextStyle kFoot{.size = 13, .colour = ink::kQuiet};

constexpr double kLeastCloseUp = 160;  // pixels of height; less shows nothing
constexpr double kCloseUpFrom = 0.22;  // of the blank's length from the ravel edge
constexpr double kCloseUpWidth = 0.5;  // of its width

LinearRgb grey_of(LinearRgb colour) {
    const double y = xyz_from_linear(colour).y;
    return {y, y, y};
}

std::string figures(const StrengthSwatch& swatch) {
    return "lightness " + number_text(lab_from_linear(swatch.dyed).l, 0) + " on ground " +
           number_text(lab_from_linear(swatch.ground).l, 0) + ": " + number_text(swatch.apart.delta_l, 1) + " apart";
}

std::string verdict(const Apart& apart) {
    if (apart.held == Held::holds) return "holds";
    return apart.hue_tells ? "lost in light and dark; only the hue tells" : "lost on this ground";
}

/// A motif on its ground.
void draw_swatch(Canvas& canvas, double x, double y, LinearRgb ground, LinearRgb dyed) {
    canvas.rectangle(x, y, kSwatch, kSwatch, srgb8_from_linear(ground));
    canvas.dot({x + kSwatch / 2.0, y + kSwatch / 2.0}, kSwatch * 0.3, srgb8_from_linear(dyed));
    canvas.frame(x + 0.5, y + 0.5, kSwatch - 1, kSwatch - 1, ink::kRule, 1);
}

/// A piece of the design, half its width, so large.
Image close_up(const Image& design, int width, int height) {
    const double columns = kCloseUpWidth * design.columns();
    const double left = (design.columns() - columns) / 2, top = kCloseUpFrom * design.rows();
    const double rows = std::min(columns * height / width, design.rows() - top);
    return resampled(design, {left, top, left + columns, top + rows},
                     std::max(1, static_cast<int>(rows / columns * width)), width);
}

Image in_grey(Image picture) {
    for (LinearRgb& colour : picture) colour = grey_of(colour);
    return picture;
}

class OverdyeDrawing {
public:
    explicit OverdyeDrawing(const OverdyeSheet& sheet) : sheet_(sheet) {
        require(!sheet.panels.empty(), "there is a design to show");
        const auto panels = static_cast<int>(sheet.panels.size());
        width_ = 2 * kMargin + panels * kPanelWidth + (panels - 1) * kPanelGap;
        const double room = width_ - 2.0 * kMargin;
        headline_ = balanced(sheet.headline, kHeadline, room);
        why_ = wrapped(sheet.why, kWhy, std::min(room, 1100.0));
        foot_ = wrapped(sheet.foot, kFoot, room);
        for (const OverdyePanel& panel : sheet.panels) {
            captions_.push_back(wrapped(panel.caption, kCaption, kPanelWidth));
            designs_.push_back(fitted(panel.design, kDesignWidth, kTallestDesign));
            caption_height_ = std::max(caption_height_, captions_.back().height());
            body_height_ = std::max({body_height_, kPictureWords + designs_.back().rows(),
                                     kPictureWords + kSwatchStep * static_cast<double>(panel.strengths.size())});
        }
    }

    Picture8 drawn() const {
        const double head = kMargin + headline_.height() + why_.height() + 26;
        const double height = head + 34 + caption_height_ + 18 + body_height_ + 26 + foot_.height() + kMargin;
        Canvas canvas(width_, static_cast<int>(std::ceil(height)), ink::kPaper);
        canvas.block(kMargin, kMargin - 8, headline_);
        canvas.block(kMargin, kMargin + headline_.height(), why_);
        for (std::size_t i = 0; i < sheet_.panels.size(); ++i)
            draw_panel(canvas, i, kMargin + static_cast<double>(i) * (kPanelWidth + kPanelGap), head);
        canvas.block(kMargin, height - kMargin - foot_.height(), foot_);
        return canvas.pixels();
    }

private:
    void draw_panel(Canvas& canvas, std::size_t i, double x, double top) const {
        canvas.rectangle(x, top, kPanelWidth, 2, ink::kRule);
        canvas.text(x, top + 28, sheet_.panels[i].title, kTitle);
        canvas.block(x, top + 36, captions_[i]);
        const double y = top + 34 + caption_height_ + 18 + kPictureWords;
        canvas.text(x, y - 9, "ravel edge", kSmall);
        canvas.rectangle(x, y - 3, designs_[i].columns(), 2, ink::kText);
        canvas.picture(designs_[i], static_cast<int>(x), static_cast<int>(y));
        const double swatches = x + kDesignWidth + kBetween;
        canvas.text(swatches, y - 9, "in colour", kSmall);
        canvas.text(swatches + kSwatch + 10, y - 9, "in a grey photo", kSmall);
        for (std::size_t k = 0; k < sheet_.panels[i].strengths.size(); ++k)
            draw_strength(canvas, sheet_.panels[i].strengths[k], swatches, y + static_cast<double>(k) * kSwatchStep);
        draw_close_up(canvas, i, swatches, y);
    }

    /// Where the strengths leave room under them.
    void draw_close_up(Canvas& canvas, std::size_t i, double x, double top) const {
        constexpr int kGap = 12;
        constexpr int kWidth = (kStrengthsWidth - kGap) / 2;
        const double y = top + kSwatchStep * static_cast<double>(sheet_.panels[i].strengths.size()) + 24;
        const double room = top + body_height_ - kPictureWords - y;
        if (room < kLeastCloseUp) return;
        const Image piece = close_up(sheet_.panels[i].design, kWidth, static_cast<int>(room));
        canvas.text(x, y - 9, "a piece, larger", kSmall);
        canvas.text(x + kWidth + kGap, y - 9, "in a grey photo", kSmall);
        canvas.picture(encoded(piece), static_cast<int>(x), static_cast<int>(y));
        canvas.picture(encoded(in_grey(piece)), static_cast<int>(x) + kWidth + kGap, static_cast<int>(y));
    }

    static void draw_strength(Canvas& canvas, const StrengthSwatch& swatch, double x, double y) {
        draw_swatch(canvas, x, y, swatch.ground, swatch.dyed);
        draw_swatch(canvas, x + kSwatch + 10, y, grey_of(swatch.ground), grey_of(swatch.dyed));
        const double words = x + 2 * kSwatch + 10 + 16;
        canvas.text(words, y + 15, swatch.name, kName);
        canvas.text(words, y + 37, swatch.mix, kLine);
        canvas.text(words, y + 57, figures(swatch), kLine);
        canvas.text(words, y + 78, verdict(swatch.apart), kVerdict);
    }

    const OverdyeSheet& sheet_;
    int width_ = 0;
    TextBlock headline_, why_, foot_;
    std::vector<TextBlock> captions_;
    std::vector<Picture8> designs_;
    double caption_height_ = 0, body_height_ = 0;
};

}  // namespace

Picture8 overdye_sheet(const OverdyeSheet& sheet) {
    return OverdyeDrawing(sheet).drawn();
}

}  // namespace loopread
