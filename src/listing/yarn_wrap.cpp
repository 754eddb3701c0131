#include "loopread/listing/yarn_wrap.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "loopread/base/random.h"
#include "loopread/base/require.h"
#include "loopread/base/text.h"
#include "loopread/colour/difference.h"
#include "loopread/colour/names.h"
#include "loopread/draw/canvas.h"
#include "loopread/fabric/alternated.h"
#include "loopread/wound/strand_painter.h"
#include "loopread/yarn/reduced.h"

namespace loopread {
namespace {

constexpr double kThreads = 112;  // across the longest wrap; chosen: single strands show
constexpr double kEdge = 0.055;   // of the picture's width left free at either side
constexpr double kLeast = 0.022;  // of the height: the narrowest band
constexpr double kClose = 0.93;   // of its diameter from one turn to the next: soft yarn wound tight
constexpr std::uint64_t kPurpose = 0x77;

/// A stretch of the yarn and how far its mean lies from the colour it goes by (CIEDE2000).
struct Stretch {
    double from_mm = 0, to_mm = 0, apart = 0;
};

/// Stretches of one colour, no longer than a turn, those nearest to it first.
std::vector<Stretch> stretches_of(const ColourRun& strand, const std::vector<PaletteRun>& runs, std::size_t colour,
                                  const Lab& wanted, double turn_mm) {
    std::vector<Stretch> all;
    for (const PaletteRun& run : runs) {
        if (run.colour != colour) continue;
        const double end = run.start_mm + run.length_mm;
        for (double from = run.start_mm; from < end - 1e-6; from += turn_mm) {
            const double to = std::min(end, from + turn_mm);
            all.push_back({from, to, delta_e_2000(lab_from_linear(strand.mean(from, to)), wanted)});
        }
    }
    std::stable_sort(all.begin(), all.end(), [](const Stretch& a, const Stretch& b) { return a.apart < b.apart; });
    return all;
}

/// Yarn of one colour, as long as asked for where there is so much, in the order in which it comes off.
ColourRun yarn_of(const ColourRun& strand, std::vector<Stretch> stretches, double most_mm) {
    double sum = 0;
    std::size_t count = 0;
    while (count < stretches.size() && sum < most_mm) sum += stretches[count].to_mm - stretches[count].from_mm, ++count;
    stretches.resize(count);
    std::sort(stretches.begin(), stretches.end(),
              [](const Stretch& a, const Stretch& b) { return a.from_mm < b.from_mm; });
    std::vector<Piece> pieces;
    double end = 0;
    for (const Stretch& stretch : stretches) {
        const ColourRun part = part_of(strand, stretch.from_mm, stretch.to_mm);
        for (const Piece& piece : part.pieces()) {
            pieces.push_back(piece);
            pieces.back().start_mm = end;
            end += piece.length_mm;
        }
    }
    return ColourRun(std::move(pieces));
}

ColourRun plain_yarn(LinearRgb colour, double length_mm) {
    return ColourRun({{.start_mm = 0, .length_mm = length_mm, .colour = colour}});
}

/// Rows of the picture each band takes: as its share, but none narrower than can be seen.
std::vector<double> band_ends(const std::vector<NamedShare>& colours, double rows) {
    double sum = 0;
    for (const NamedShare& one : colours) sum += std::max(kLeast, one.share);
    std::vector<double> ends;
    double end = 0;
    for (const NamedShare& one : colours) ends.push_back(end += std::max(kLeast, one.share) / sum * rows);
    return ends;
}

/// One turn round the card as seen from the front: up over one edge, across, down over the other.
StrandPath turn_of_card(float y, float half_width, float radius, float along_mm) {
    constexpr int kBends = 5;
    const float bend = 2.2F * radius;  // of the card's rounded edge
    StrandPath path{.strand = 0, .radius_mm = radius, .points = {}};
    float along = along_mm;
    const auto add = [&](float x, float z) {
        if (!path.points.empty()) along += std::hypot(x - path.points.back().x, z - path.points.back().z);
        path.points.push_back({x, y, z, along});
    };
    for (int side : {-1, 1})
        for (int i = 0; i <= kBends; ++i) {
            const float part = static_cast<float>(side < 0 ? i : kBends - i) / kBends;
            const float angle = part * static_cast<float>(std::numbers::pi) / 2;
            add(static_cast<float>(side) * (half_width - bend + bend * std::cos(angle)),
                radius + bend * std::sin(angle));
        }
    return path;
}

/// What is gathered of one colour to find words for it.
struct DyeInColour {
    LinearRgb weighted;
    double weight = 0, length_mm = 0, undyed_mm = 0;
};

std::string unused_words(const std::string& words, const std::vector<PaletteColour>& palette, std::size_t before) {
    const auto used = [&](const std::string& w) {
        return std::any_of(palette.begin(), palette.begin() + static_cast<std::ptrdiff_t>(before),
                           [&](const PaletteColour& one) { return one.words == w; });
    };
    std::string unused = words;
    for (int number = 2; used(unused); ++number) unused = words + " " + std::to_string(number);
    return unused;
}

void name_by_dye(std::vector<PaletteColour>& palette, const std::vector<ColourRun>& strands,
                 const SeenPaletteOptions& options) {
    constexpr double kUndyed = 8;          // CIEDE2000 from undyed yarn; chosen: its own shades and a breath of dye
    constexpr double kMostlyUndyed = 0.8;  // chosen
    const Lab undyed = lab_from_linear(options.undyed);
    std::vector<DyeInColour> dyes(palette.size());
    for (const ColourRun& strand : strands)
        for (const PaletteRun& run : reduced(strand, palette, options.loop_mm)) {
            DyeInColour& dye = dyes[run.colour];
            const std::size_t first = strand.piece_at(run.start_mm + 1e-6);
            for (std::size_t i = first; i < strand.pieces().size(); ++i) {
                const Piece& piece = strand.pieces()[i];
                if (piece.start_mm >= run.start_mm + run.length_mm - 1e-6) break;
                const double apart = delta_e_2000(lab_from_linear(piece.colour), undyed);
                const double weight = piece.length_mm * apart * apart;
                dye.weighted += piece.colour * weight;
                dye.weight += weight;
                dye.length_mm += piece.length_mm;
                if (apart < kUndyed) dye.undyed_mm += piece.length_mm;
            }
        }
    for (std::size_t i = 0; i < palette.size(); ++i) {
        const DyeInColour& dye = dyes[i];
        const bool dyed = dye.weight > 0 && dye.undyed_mm < kMostlyUndyed * dye.length_mm;
        const LinearRgb told = dyed ? dye.weighted * (1 / dye.weight) : palette[i].colour;
        palette[i].words = unused_words(plain_words(lab_from_linear(told)), palette, i);
    }
}

}  // namespace

std::vector<PaletteColour> seen_palette(const std::vector<ColourRun>& strands, const SeenPaletteOptions& options) {
    require(!strands.empty() && options.loop_mm > 0, "there is yarn, in loops");
    std::vector<WeightedColour> means;
    for (const ColourRun& strand : strands)
        for (double from = 0; from < strand.length_mm() - 1e-6; from += options.loop_mm) {
            const double to = std::min(strand.length_mm(), from + options.loop_mm);
            means.push_back({strand.mean(from, to), to - from});
        }
    std::vector<PaletteColour> palette = palette_of(means, options.most, options.seed);
    name_by_dye(palette, strands, options);
    return palette;
}

YarnWrap yarn_wrap(const std::vector<ColourRun>& strands, const std::vector<NamedShare>& colours,
                   const WrapOptions& options) {
    require(!strands.empty() && !colours.empty() && options.rows > 0 && options.columns > 0, "there is yarn to wind");
    std::vector<PaletteColour> palette;
    for (const NamedShare& one : colours) palette.push_back({one.colour, one.share, one.words});
    const std::vector<PaletteRun> runs = reduced(strands.front(), palette, options.loop_mm);
    const std::vector<double> ends = band_ends(colours, options.rows);

    const double pixels_per_mm = options.rows / kThreads / options.diameter.value;
    const auto radius = static_cast<float>(options.diameter.value / 2);
    const float half_width = static_cast<float>(options.columns * (0.5 - kEdge) / pixels_per_mm);
    const double turn_mm = 2.2 * half_width;
    std::vector<StrandPath> paths;
    std::vector<ColourRun> yarns;
    YarnWrap wrap;
    Random random(1, kPurpose);
    for (std::size_t i = 0; i < colours.size(); ++i) {
        const double from = i == 0 ? 0 : ends[i - 1];
        const int threads = std::max(
            1, static_cast<int>(std::lround((ends[i] - from) / pixels_per_mm / (kClose * options.diameter.value))));
        ColourRun yarn = yarn_of(strands.front(),
                                 stretches_of(strands.front(), runs, i, lab_from_linear(colours[i].colour), turn_mm),
                                 threads * turn_mm);
        if (yarn.length_mm() < turn_mm) yarn = plain_yarn(colours[i].colour, turn_mm);
        const double whole = yarn.length_mm();
        for (int t = 0; t < threads; ++t) {
            const double y_pixel = from + (t + 0.5) * (ends[i] - from) / threads;
            const auto y = static_cast<float>((options.rows / 2.0 - y_pixel) / pixels_per_mm +
                                              0.03 * options.diameter.value * random.normal());
            const double along = std::fmod(t * turn_mm, std::max(1.0, whole - turn_mm));
            paths.push_back(turn_of_card(y, half_width + 0.5F * radius * static_cast<float>(random.normal()), radius,
                                         static_cast<float>(along)));
            paths.back().strand = static_cast<int>(i);
        }
        yarns.push_back(std::move(yarn));
        wrap.bands.push_back({colours[i].name, number_text(100 * colours[i].share, 0) + " %", from, ends[i]});
    }
    PaintOptions look;
    look.rows = options.rows;
    look.columns = options.columns;
    look.view.pixels_per_mm = pixels_per_mm;
    look.ground = {.kind = GroundKind::plain, .colour = linear_from_srgb8(ink::kPaper)};
    wrap.picture = painted_strands(paths, yarns, look).picture;
    wrap.paper = wrap.picture(0, 0);
    return wrap;
}

}  // namespace loopread
