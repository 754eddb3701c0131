#include "loopread/table/places.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <utility>

#include "loopread/base/error.h"
#include "loopread/base/require.h"
#include "loopread/base/text.h"
#include "loopread/colour/difference.h"
#include "loopread/table/told.h"
#include "loopread/yarn/reduced.h"
#include "raster/laid_flat_mesh.h"

namespace loopread {

TablePlaces::TablePlaces(const DyeTable& table)
    : table_(table),
      layout_(table.settled().layout),
      order_(ravel_order(layout_)),
      index_(2 * static_cast<std::size_t>(layout_.rows) * static_cast<std::size_t>(layout_.columns()), order_.size()),
      length_mm_(layout_.strand_length().value),
      from_far_(table.state().knitting.from == KnittingState::From::far_end) {
    for (std::size_t i = 0; i < order_.size(); ++i)
        index_[index_of({order_[i].course, order_[i].column, order_[i].layer})] = i;
}

std::size_t TablePlaces::index_of(const BlankLoop& loop) const {
    const auto place = static_cast<std::size_t>(loop.row) * static_cast<std::size_t>(layout_.columns()) +
                       static_cast<std::size_t>(loop.stitch);
    return 2 * place + (loop.layer == Layer::hidden ? 1 : 0);
}

std::optional<BlankLoop> TablePlaces::loop_under(double x_mm, double y_mm) const {
    if (!(x_mm >= 0 && y_mm >= 0 && x_mm < layout_.width().value && y_mm < layout_.length().value)) return std::nullopt;
    BlankLoop loop;
    loop.row = std::min(layout_.rows - 1, static_cast<int>(y_mm / layout_.course_spacing.value));
    loop.stitch = std::min(layout_.columns() - 1, static_cast<int>(x_mm / layout_.wale_spacing.value));
    loop.x_mm = (loop.stitch + 0.5) * layout_.wale_spacing.value;
    loop.y_mm = (loop.row + 0.5) * layout_.course_spacing.value;
    return loop;
}

BlankLoop TablePlaces::loop_of(double yarn_mm) const {
    const double loop = std::floor(yarn_mm / layout_.loop_length.value);
    const auto i = static_cast<std::size_t>(std::clamp(loop, 0.0, static_cast<double>(order_.size() - 1)));
    const LoopPlace& place = order_[i];
    return {place.course, place.column, place.layer, (place.column + 0.5) * layout_.wale_spacing.value,
            (place.course + 0.5) * layout_.course_spacing.value};
}

TablePlaces::Stretch TablePlaces::yarn_of(const BlankLoop& loop) const {
    const std::size_t i = index_[index_of(loop)];
    require(i < order_.size(), "the loop is on the blank");
    return {static_cast<double>(i) * layout_.loop_length.value, static_cast<double>(i + 1) * layout_.loop_length.value};
}

std::optional<PlainStitch> TablePlaces::plain_stitch(double yarn_mm) const {
    const TableKnitting& knitting = table_.settled().knitting;
    const double all = std::floor(length_mm_ / knitting.yarn_per_stitch.value + 1e-9);
    const double stitch = std::floor(knitted_mm(yarn_mm) / knitting.yarn_per_stitch.value);
    if (!(stitch >= 0 && stitch < all)) return std::nullopt;
    const auto i = static_cast<long long>(stitch);
    return PlainStitch{static_cast<int>(i / knitting.stitches), static_cast<int>(i % knitting.stitches)};
}

std::optional<SockStitch> TablePlaces::sock_stitch(double yarn_mm) const {
    const TableKnitting& knitting = table_.settled().knitting;
    if (!knitting.sock) return std::nullopt;
    auto left = static_cast<long long>(std::floor(knitted_mm(yarn_mm) / knitting.yarn_per_stitch.value));
    if (left < 0) return std::nullopt;
    for (std::size_t r = 0; r < knitting.sock->rounds.size(); ++r) {
        const Round& round = knitting.sock->rounds[r];
        if (left < round.stitches) return SockStitch{static_cast<int>(r), static_cast<int>(left), round.section};
        left -= round.stitches;
    }
    return std::nullopt;
}

std::optional<TablePlaces::Stretch> TablePlaces::yarn_of(const PlainStitch& stitch) const {
    const TableKnitting& knitting = table_.settled().knitting;
    const double yarn = knitting.yarn_per_stitch.value;
    if (stitch.round < 0 || stitch.stitch < 0 || stitch.stitch >= knitting.stitches) return std::nullopt;
    const double from = (static_cast<double>(stitch.round) * knitting.stitches + stitch.stitch) * yarn;
    if (from + yarn > length_mm_ + 1e-6) return std::nullopt;
    return from_far_ ? Stretch{length_mm_ - from - yarn, length_mm_ - from} : Stretch{from, from + yarn};
}

std::string TablePlaces::in_words(const BlankLoop& loop) const {
    const double middle = (yarn_of(loop).from_mm + yarn_of(loop).to_mm) / 2;
    std::string words = "row " + std::to_string(loop.row + 1) + " of " + std::to_string(layout_.rows) + ", stitch " +
                        std::to_string(loop.stitch + 1) + (loop.layer == Layer::hidden ? " (underneath)" : "") + ": ";
    const std::string balls = table_.strands().size() == 2 ? " of both balls" : "";
    if (table_.settled().knitting.sock) {
        const auto sock = sock_stitch(middle);
        if (!sock) return words + "left over when the sock is done";
        return words + "in the sock, round " + std::to_string(sock->round + 1) + ", in the " +
               section_in_words(sock->section) + balls;
    }
    const auto plain = plain_stitch(middle);
    if (!plain) return words + "left over at the end";
    return words + "in the knitting, round " + std::to_string(plain->round + 1) + balls;
}

void SockPlaces::bring_up_to_date(const DyeTable& table) {
    const TableKnitting& knitting = table.settled().knitting;
    if (!knitting.sock) throw Error(ErrorKind::usage, "sock: plain knitting is asked for; point at the fabric instead");
    if (version_ == table.versions().knitting && !stitches_.empty()) return;
    std::vector<long long> first;
    long long count = 0;
    for (const Round& round : knitting.sock->rounds) {
        first.push_back(count);
        count += round.stitches;
    }
    const FlatMesh mesh = flat_mesh(*knitting.sock, knitting.gauge);
    const auto [least, most] = bounds(mesh.stitches);
    const FlatPoint middle = (least + most) * 0.5;
    stitches_.clear();
    for (const FlatStitch& seen : mesh.stitches) {
        Stitch stitch;
        stitch.number = first[seen.round] + seen.stitch;
        const auto corners = seen.corners();
        for (std::size_t i = 0; i < 4; ++i) {
            stitch.x[i] = corners[i].x - middle.x;
            stitch.y[i] = corners[i].y - middle.y;
        }
        const auto [left, right] = std::minmax_element(stitch.x, stitch.x + 4);
        const auto [top, bottom] = std::minmax_element(stitch.y, stitch.y + 4);
        stitch.least_x = *left;
        stitch.most_x = *right;
        stitch.least_y = *top;
        stitch.most_y = *bottom;
        stitches_.push_back(stitch);
    }
    version_ = table.versions().knitting;
}

std::optional<double> SockPlaces::knitted_mm(const DyeTable& table, Point point) {
    bring_up_to_date(table);
    for (const Stitch& stitch : stitches_) {
        if (point.x_cm < stitch.least_x || point.x_cm > stitch.most_x || point.y_cm < stitch.least_y ||
            point.y_cm > stitch.most_y)
            continue;
        bool holds = true;  // corners go clockwise on the table
        for (std::size_t i = 0; i < 4 && holds; ++i) {
            const std::size_t next = (i + 1) % 4;
            holds = (stitch.x[next] - stitch.x[i]) * (point.y_cm - stitch.y[i]) -
                        (stitch.y[next] - stitch.y[i]) * (point.x_cm - stitch.x[i]) >=
                    0;
        }
        if (!holds) continue;
        const double mm = (static_cast<double>(stitch.number) + 0.5) * table.settled().knitting.yarn_per_stitch.value;
        if (mm > table.strands().front().length_mm()) return std::nullopt;
        return mm;
    }
    return std::nullopt;
}

std::optional<SockPlaces::Point> SockPlaces::point_of(const DyeTable& table, double mm) {
    bring_up_to_date(table);
    const auto number = static_cast<long long>(std::floor(mm / table.settled().knitting.yarn_per_stitch.value));
    for (const Stitch& stitch : stitches_)
        if (stitch.number == number)
            return Point{(stitch.x[0] + stitch.x[1] + stitch.x[2] + stitch.x[3]) / 4,
                         (stitch.y[0] + stitch.y[1] + stitch.y[2] + stitch.y[3]) / 4};
    return std::nullopt;
}

namespace {

constexpr double kWindowMm = 60;    // that each place is the mean of
constexpr double kFleckMm = 80;     // chosen: some six stitches; what is shorter is a fleck in the colour about it
constexpr double kAlike = 5;        // CIEDE2000; chosen: runs nearer to each other are one
constexpr double kFewFlecks = 0.1;  // chosen: share of a stretch below which flecks go without a word

/// Yarn that a knitter takes for one colour: so much of each palette colour.
struct Tinted {
    std::vector<double> mm;
    std::size_t main() const { return static_cast<std::size_t>(std::max_element(mm.begin(), mm.end()) - mm.begin()); }
    double length_mm() const { return std::accumulate(mm.begin(), mm.end(), 0.0); }
    void take(const Tinted& other) {
        for (std::size_t i = 0; i < mm.size(); ++i) mm[i] += other.mm[i];
    }
};

/// Joins what lies beside each other until no stretch is a fleck, nor like the one before.
class Stretches {
public:
    Stretches(const std::vector<PaletteColour>& palette, std::vector<Tinted> stretches)
        : stretches_(std::move(stretches)) {
        for (const PaletteColour& colour : palette) labs_.push_back(lab_from_linear(colour.colour));
        join_alike();
        // The shortest first: what they grow to may stand for itself.
        constexpr double kStepMm = 10;
        for (double limit = kStepMm; limit <= kFleckMm; limit += kStepMm) {
            absorb_below(limit);
            join_alike();
        }
    }
    const std::vector<Tinted>& joined() const { return stretches_; }
    double apart(std::size_t a, std::size_t b) const { return delta_e_2000(labs_[a], labs_[b]); }
    double lightness(std::size_t colour) const { return labs_[colour].l; }

private:
    double apart(const Tinted& a, const Tinted& b) const { return apart(a.main(), b.main()); }

    void join_alike() {
        std::vector<Tinted> out;
        for (Tinted& stretch : stretches_)
            if (!out.empty() && apart(out.back(), stretch) < kAlike)
                out.back().take(stretch);
            else
                out.push_back(std::move(stretch));
        stretches_ = std::move(out);
    }

    /// Each into the neighbour it looks more like.
    void absorb_below(double limit_mm) {
        std::vector<Tinted> out;
        for (std::size_t i = 0; i < stretches_.size(); ++i) {
            const Tinted& stretch = stretches_[i];
            Tinted* before = out.empty() ? nullptr : &out.back();
            Tinted* after = i + 1 < stretches_.size() ? &stretches_[i + 1] : nullptr;
            if (stretch.length_mm() >= limit_mm || (!before && !after))
                out.push_back(stretch);
            else if (!after || (before && apart(*before, stretch) <= apart(*after, stretch)))
                before->take(stretch);
            else
                after->take(stretch);
        }
        stretches_ = std::move(out);
    }

    std::vector<Lab> labs_;
    std::vector<Tinted> stretches_;
};

std::optional<Weighed::Fleck> flecks_in(const Tinted& stretch, const Stretches& all,
                                        const std::vector<PaletteColour>& palette) {
    const std::size_t main = stretch.main();
    std::optional<std::size_t> most;
    for (std::size_t i = 0; i < palette.size(); ++i)
        if (i != main && all.apart(i, main) >= kAlike && (!most || stretch.mm[i] > stretch.mm[*most])) most = i;
    if (!most || stretch.mm[*most] < kFewFlecks * stretch.length_mm()) return std::nullopt;
    const std::string shade = all.lightness(*most) > all.lightness(main) ? "a lighter " : "a darker ";
    const std::string& words = palette[*most].words;
    return Weighed::Fleck{palette[*most].colour, (words == palette[main].words ? shade : "") + words};
}

/// From `used_mm` on, to the end of the ball.
std::vector<Weighed::Coming> coming_colours(const DyeTable& table, const ColourRun& run, double used_mm) {
    const std::vector<PaletteColour> palette = yarn_palette(table.strands(), kPaletteColours, table.state().seed);
    std::vector<Tinted> pieces;
    for (const PaletteRun& stretch : reduced(run, palette, kWindowMm)) {
        const double left = stretch.start_mm + stretch.length_mm - std::max(used_mm, stretch.start_mm);
        if (left <= 0) continue;
        pieces.push_back({std::vector<double>(palette.size(), 0.0)});
        pieces.back().mm[stretch.colour] = left;
    }
    const Stretches stretches(palette, std::move(pieces));
    std::vector<Weighed::Coming> coming;
    for (const Tinted& stretch : stretches.joined()) {
        const PaletteColour& colour = palette[stretch.main()];
        coming.push_back({colour.colour, colour.words, flecks_in(stretch, stretches, palette), stretch.length_mm(),
                          stretch.length_mm() / table.settled().knitting.yarn_per_round().value});
    }
    return coming;
}

}  // namespace

Weighed weighed(const DyeTable& table, const BallOnScale& ball) {
    if (ball.ball < 1 || ball.ball > static_cast<int>(table.runs().size()))
        throw Error(ErrorKind::usage, "ball: there is no ball " + std::to_string(ball.ball) + " here");
    if (!(ball.grams_full > 0 && ball.grams_left >= 0 && ball.grams_left <= ball.grams_full))
        throw Error(ErrorKind::usage, "weight: " + number_text(ball.grams_left, 1) + " g left of " +
                                          number_text(ball.grams_full, 1) + " g; weigh the ball again");
    const ColourRun& run = table.runs()[static_cast<std::size_t>(ball.ball - 1)];
    const double length = run.length_mm();
    const double used = length * (1 - ball.grams_left / ball.grams_full);
    const TablePlaces places(table);
    const bool from_far = table.state().knitting.from == KnittingState::From::far_end;
    const double at = std::min(from_far ? length - used : used, length - 1e-6);
    Weighed out;
    out.used_m = used / 1000;
    out.left_m = (length - used) / 1000;
    out.loop = places.loop_of(at);
    out.sock = places.sock_stitch(at);
    out.plain = places.plain_stitch(at);
    constexpr std::size_t kMostComing = 6;
    out.coming = coming_colours(table, run, used);
    out.coming.resize(std::min(out.coming.size(), kMostComing));
    out.words = number_text(out.used_m, 0) + " m knitted, " + number_text(out.left_m, 0) + " m left; row " +
                std::to_string(out.loop.row + 1) + " of " + std::to_string(table.settled().layout.rows) +
                " of the blank";
    if (out.sock)
        out.words += ", round " + std::to_string(out.sock->round + 1) + " of the sock, in the " +
                     section_in_words(out.sock->section);
    else if (!table.settled().knitting.sock && out.plain)
        out.words += ", round " + std::to_string(out.plain->round + 1);
    return out;
}

}  // namespace loopread
