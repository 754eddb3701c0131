#include "loopread/raster/laid_flat.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <stdexcept>
#include <string>
#include <utility>

#include "loopread/shape/garments.h"
#include "raster/laid_flat_mesh.h"

using namespace loopread;

namespace {

constexpr double kStitch = 10;  // mm of yarn
constexpr LinearRgb kWhite{0.7, 0.7, 0.7};
constexpr LinearRgb kRed{0.7, 0, 0};
constexpr LinearRgb kGreen{0, 0.7, 0};
constexpr LinearRgb kPaper{0, 0, 0.02};

const LoopShape& usual_shape() {
    static const LoopShape shape{LoopProportions{}};
    return shape;
}

struct Cut {
    Heel heel = Heel::flap;
    Start start = Start::cuff;
    Texture leg = Texture::plain;
};
std::vector<Cut> cuts() {
    std::vector<Cut> all;
    for (const Heel heel : {Heel::flap, Heel::short_row, Heel::afterthought})
        for (const Start start : {Start::cuff, Start::toe})
            for (const Texture leg : {Texture::plain, Texture::rib}) all.push_back({heel, start, leg});
    return all;
}
std::string words(const Cut& cut) {
    return std::string(cut.heel == Heel::flap        ? "flap"
                       : cut.heel == Heel::short_row ? "short rows"
                                                     : "afterthought") +
           (cut.start == Start::cuff ? ", cuff down" : ", toe up") + (cut.leg == Texture::rib ? ", ribbed" : "");
}
Garment sock_of(const Cut& cut, int stitches) {
    SockSize size;
    size.stitches = stitches;
    size.cut.heel = cut.heel;
    size.cut.start = cut.start;
    size.cut.leg = cut.leg;
    return sock(size);
}

/// White yarn for a whole garment, with some stitches (counted from the first knitted) in red.
ColourRun white_with_red(const Garment& garment, const std::set<long long>& red) {
    std::vector<Piece> pieces;
    for (long long i = 0; i < total_stitches(garment); ++i) {
        Piece piece;
        piece.start_mm = static_cast<double>(i) * kStitch;
        piece.length_mm = kStitch;
        piece.colour = red.count(i) != 0 ? kRed : kWhite;
        pieces.push_back(piece);
    }
    return ColourRun(pieces);
}
ColourRun one_colour(LinearRgb colour, double length_mm) {
    Piece piece;
    piece.length_mm = length_mm;
    piece.colour = colour;
    return ColourRun({piece});
}

LaidFlatLook look_of(double pixels_per_cm, double unevenness = 0) {
    LaidFlatLook look;
    look.pixels_per_cm = pixels_per_cm;
    look.unevenness = unevenness;
    look.paper = kPaper;
    return look;
}
LaidFlat laid(const Garment& garment, const ColourRun& run, const LaidFlatLook& look) {
    return laid_flat(knitted(run, garment, {kStitch}), run, garment, usual_shape(), look);
}

long long first_stitch(const Garment& garment, std::size_t round) {
    long long first = 0;
    for (std::size_t r = 0; r < round; ++r) first += garment.rounds[r].stitches;
    return first;
}
std::size_t nth_of(const Garment& garment, Section section, int n) {
    for (std::size_t r = 0; r < garment.rounds.size(); ++r)
        if (garment.rounds[r].section == section && n-- == 0) return r;
    FAIL("the garment has such a round");
    return 0;
}
/// Number in knitting order of the stitch of a round that sits in a column.
long long stitch_in_column(const Garment& garment, std::size_t round, int column) {
    for (int k = 0; k < garment.rounds[round].stitches; ++k)
        if (static_cast<int>(column_of(garment.rounds[round], k)) == column) return first_stitch(garment, round) + k;
    FAIL("the round has that column");
    return 0;
}

double redness(LinearRgb colour) {
    return std::max(0.0, colour.r - std::max(colour.g, colour.b));
}
double greenness(LinearRgb colour) {
    return std::max(0.0, colour.g - std::max(colour.r, colour.b));
}
struct Spot {
    double x = 0, y = 0, weight = 0;
};
template <class Weight>
Spot middle_of(const Image& image, Weight weight) {
    Spot spot;
    for (int y = 0; y < image.rows(); ++y)
        for (int x = 0; x < image.columns(); ++x) {
            const double w = weight(image(y, x));
            spot.weight += w;
            spot.x += w * (x + 0.5);
            spot.y += w * (y + 0.5);
        }
    if (spot.weight > 0) spot = {spot.x / spot.weight, spot.y / spot.weight, spot.weight};
    return spot;
}

/// Where places of the mesh lie in an even picture.
struct Placed {
    FlatPoint shift;
    double scale;
    FlatPoint operator()(FlatPoint p) const { return p * scale + shift; }
};
Placed placed(const FlatMesh& mesh, const LaidFlat& flat) {
    const FlatPoint first{flat.first_round.x, flat.first_round.y};
    return {first - mesh.first_round * flat.pixels_per_cm, flat.pixels_per_cm};
}

/// The picture's light over one stitch.
LinearRgb light_over(const Image& image, const FlatStitch& stitch, const Placed& place) {
    LinearRgb sum;
    constexpr int kSteps = 12;
    for (int j = 0; j < kSteps; ++j)
        for (int i = 0; i < kSteps; ++i) {
            const FlatPoint p = place(stitch.at((i + 0.5) / kSteps, (j + 0.5) / kSteps));
            sum += image(static_cast<int>(p.y), static_cast<int>(p.x)) * (1.0 / (kSteps * kSteps));
        }
    return sum;
}

/// How many stitches cover each point of a fine lattice over the table.
struct Coverage {
    Grid<int> count;
    double step = 0.06;  // cm: about a fifth of a stitch
};
Coverage coverage(const FlatMesh& mesh) {
    Coverage out;
    auto [least, most] = bounds(mesh.stitches);
    least = least - FlatPoint{3 * out.step, 3 * out.step};
    out.count = Grid<int>(static_cast<int>((most.y - least.y) / out.step) + 4,
                          static_cast<int>((most.x - least.x) / out.step) + 4, 0);
    for (const FlatStitch& q : mesh.stitches) {
        const FlatBounds box = q.bounds();
        const auto bin = [&](double along) { return static_cast<int>(along / out.step); };
        for (int y = bin(box.least.y - least.y); y <= bin(box.most.y - least.y) + 1; ++y)
            for (int x = bin(box.least.x - least.x); x <= bin(box.most.x - least.x) + 1; ++x)
                if (q.holds(least + FlatPoint{x + 0.37, y + 0.41} * out.step)) ++out.count(y, x);
    }
    return out;
}
/// Uncovered points that cannot be reached from the picture's edge.
int holes(const Coverage& cover) {
    Grid<int> outside(cover.count.rows(), cover.count.columns(), 0);
    std::vector<std::pair<int, int>> next{{0, 0}};
    outside(0, 0) = 1;
    while (!next.empty()) {
        const auto [y, x] = next.back();
        next.pop_back();
        for (const auto& [j, i] : {std::pair{y - 1, x}, {y + 1, x}, {y, x - 1}, {y, x + 1}}) {
            if (j < 0 || i < 0 || j >= outside.rows() || i >= outside.columns()) continue;
            if (outside(j, i) != 0 || cover.count(j, i) != 0) continue;
            outside(j, i) = 1;
            next.emplace_back(j, i);
        }
    }
    int holes = 0;
    for (int y = 0; y < outside.rows(); ++y)
        for (int x = 0; x < outside.columns(); ++x) holes += cover.count(y, x) == 0 && outside(y, x) == 0 ? 1 : 0;
    return holes;
}

void check_tiles(const FlatMesh& mesh) {
    const Coverage cover = coverage(mesh);
    double area = 0;
    for (const FlatStitch& stitch : mesh.stitches) area += stitch.area();
    int covered = 0, twice = 0;
    for (const int count : cover.count) {
        covered += count > 0 ? 1 : 0;
        twice += count > 1 ? 1 : 0;
    }
    // Rounds of different counts share a curved line in different chords, so slivers are there: up to one in 200.
    constexpr double kSlivers = 0.005;
    CHECK(holes(cover) <= kSlivers * covered);
    CHECK(twice <= kSlivers * covered);
    CHECK(covered * cover.step * cover.step == doctest::Approx(area).epsilon(kSlivers));
}

/// Mean distance of red from an upright line in one stitch's upper and lower part.
struct Opening {
    double top = 0, bottom = 0;
};
Opening opening(const Image& image, double middle, double from_y, double to_y) {
    const auto spread = [&](double from, double to) {
        double sum = 0, weight = 0;
        for (int y = static_cast<int>(from); y < static_cast<int>(to); ++y)
            for (int x = 0; x < image.columns(); ++x) {
                const double w = redness(image(y, x));
                sum += w * std::abs(x + 0.5 - middle);
                weight += w;
            }
        REQUIRE(weight > 0);
        return sum / weight;
    };
    const double row = to_y - from_y;
    return {spread(from_y + 0.1 * row, from_y + 0.4 * row), spread(from_y + 0.6 * row, from_y + 0.9 * row)};
}

}  // namespace

TEST_SUITE("raster") {
    TEST_CASE("half of every sock's stitches lie towards us, each once and none mirrored or folded over") {
        for (const Cut& cut : cuts())
            for (const int stitches : {24, 40, 56, 64, 72, 100}) {
                CAPTURE(words(cut));
                CAPTURE(stitches);
                const Garment garment = sock_of(cut, stitches);
                const FlatMesh mesh = flat_mesh(garment, Gauge{});
                std::set<std::pair<std::size_t, int>> seen;
                std::map<std::size_t, int> in_round;
                double least = 1e9;
                for (const FlatStitch& stitch : mesh.stitches) {
                    seen.insert({stitch.round, stitch.stitch});
                    ++in_round[stitch.round];
                    least = std::min(least, stitch.area());
                }
                CHECK(seen.size() == mesh.stitches.size());
                CHECK(least > 0);
                for (std::size_t r = 0; r < garment.rounds.size(); ++r) {
                    const Round& round = garment.rounds[r];
                    CAPTURE(r);
                    if (round.worked == Worked::back_and_forth) {
                        const int middle = stitches / 4, end = round.columns_from + round.columns_across;
                        const double in_sight = cut.start == Start::cuff ? end - middle : middle - round.columns_from;
                        // Stitches of a heel turn are wider than a column; one lies across the middle.
                        CHECK(std::abs(in_round[r] - in_sight * round.stitches / round.columns_across) <= 0.5);
                    } else if (round.front_from == round.stitches) {
                        CHECK(in_round[r] == round.stitches);  // the one gusset that is knitted alone, from below
                    } else {
                        CHECK(2 * in_round[r] == round.stitches);
                    }
                }
            }
    }

    TEST_CASE("a sock's stitches tile its outline without holes or overlaps") {
        for (const Cut& cut : cuts())
            for (const int stitches : {24, 64, 100}) {
                CAPTURE(words(cut));
                CAPTURE(stitches);
                check_tiles(flat_mesh(sock_of(cut, stitches), Gauge{}));
            }
    }

    TEST_CASE("socks with hardly a leg or a foot still tile") {
        for (const Heel heel : {Heel::flap, Heel::short_row, Heel::afterthought})
            for (const Start start : {Start::cuff, Start::toe})
                for (const int rounds : {0, 1, 5}) {
                    SockSize size;
                    size.stitches = 56;
                    size.cut.heel = heel;
                    size.cut.start = start;
                    size.cut.cuff_rounds = 0;
                    size.cut.leg_rounds = rounds;
                    size.cut.foot_rounds = rounds;
                    CAPTURE(words({heel, start, Texture::plain}));
                    CAPTURE(rounds);
                    const FlatMesh mesh = flat_mesh(sock(size), Gauge{});
                    for (const FlatStitch& stitch : mesh.stitches) CHECK(stitch.area() > 0);
                    check_tiles(mesh);
                }
    }

    TEST_CASE("hat, cowl, tube, scarf and shawl tile too") {
        for (const char* shape : {"hat", "cowl", "tube", "flat", "scarf", "shawl"}) {
            CAPTURE(shape);
            const Garment made = garment(shape, GarmentSize{});
            const FlatMesh mesh = flat_mesh(made, Gauge{});
            std::map<std::size_t, int> in_round;
            double least = 1e9;
            for (const FlatStitch& stitch : mesh.stitches) {
                ++in_round[stitch.round];
                least = std::min(least, stitch.area());
            }
            CHECK(least > 0);
            for (std::size_t r = 0; r < made.rounds.size(); ++r) {
                const Round& round = made.rounds[r];
                CHECK(in_round[r] ==
                      (round.worked == Worked::in_the_round ? (round.stitches + 1) / 2 : round.stitches));
            }
            check_tiles(mesh);
        }
    }

    TEST_CASE("a sock lies with its cuff on top, its heel at the left and its toe at the lower right") {
        for (const Cut& cut : cuts()) {
            CAPTURE(words(cut));
            const Garment garment = sock_of(cut, 64);
            const LaidFlat flat = laid(garment, one_colour(kWhite, 2e5), look_of(10));
            REQUIRE(flat.heel);
            REQUIRE(flat.toe);
            REQUIRE(flat.cuff);
            CHECK(flat.cuff->y < flat.heel->y);
            CHECK(flat.heel->y < flat.toe->y);
            CHECK(flat.heel->x < flat.cuff->x);
            CHECK(flat.cuff->x < flat.toe->x);
            const LaidFlat::Point start = cut.start == Start::cuff ? *flat.cuff : *flat.toe;
            CHECK(flat.first_round.x == start.x);
            CHECK(flat.first_round.y == start.y);
            CHECK_FALSE(flat.yarn_end);
        }
    }

    TEST_CASE("from the cuff down columns go to the right, from the toe up to the left, and the far half is not seen") {
        for (const Heel heel : {Heel::flap, Heel::short_row, Heel::afterthought})
            for (const Start start : {Start::cuff, Start::toe}) {
                CAPTURE(words({heel, start, Texture::plain}));
                const Garment garment = sock_of({heel, start, Texture::plain}, 64);
                const LaidFlatLook look = look_of(12);
                for (const Section section : {Section::leg, Section::foot}) {
                    const std::size_t round = nth_of(garment, section, 30);
                    // A quarter of the round from the middle of the back: cuff down the back's side, toe up the
                    // front's.
                    const auto spot = [&](int column) {
                        return middle_of(
                            laid(garment, white_with_red(garment, {stitch_in_column(garment, round, column)}), look)
                                .picture,
                            redness);
                    };
                    const bool down = start == Start::cuff;
                    const Spot back = spot(down ? 17 : 14);   // next to the middle of heel and sole (column 16)
                    const Spot side = spot(down ? 32 : 0);    // between back and front half
                    const Spot front = spot(down ? 46 : 49);  // next to the middle of the instep (column 48)
                    const Spot behind = spot(down ? 60 : 20);
                    REQUIRE(back.weight > 0);
                    REQUIRE(front.weight > 0);
                    CHECK(behind.weight == 0);
                    CHECK(back.x < side.x);
                    CHECK(side.x < front.x);
                    const FlatMesh mesh = flat_mesh(garment, Gauge{});
                    CHECK(mesh.folds[round] == (down ? 16 : 48));
                }
            }
    }

    TEST_CASE("a heel's first stitch lies where its row begins") {
        // Row 1 of a heel runs back: it begins where the front half begins (column N/2), in sight from the cuff down;
        // row 0 begins in column 0, in sight from the toe up.
        for (const Heel heel : {Heel::flap, Heel::short_row}) {
            const Section section = heel == Heel::flap ? Section::heel_flap : Section::heel;
            const Garment down = sock_of({heel, Start::cuff, Texture::plain}, 64);
            const Garment up = sock_of({heel, Start::toe, Texture::plain}, 64);
            const auto weight = [&](const Garment& garment, int row) {
                const long long first = first_stitch(garment, nth_of(garment, section, row));
                return middle_of(laid(garment, white_with_red(garment, {first}), look_of(20)).picture, redness);
            };
            CHECK(weight(down, 0).weight == 0);
            const Spot second = weight(down, 1);
            REQUIRE(second.weight > 0);
            const LaidFlat flat = laid(down, one_colour(kWhite, 2e5), look_of(20));
            CHECK(second.x > flat.heel->x + 0.6 * 5 * 20);  // 5 cm is a quarter of the round
            // The turn from below ends on an even or an odd row, so the flap above it may begin either way.
            const std::size_t row = nth_of(up, section, 0);
            const bool in_sight = up.rounds[row].runs == Runs::on;
            CHECK((weight(up, 0).weight > 0) == in_sight);
            CHECK((weight(up, 1).weight > 0) == !in_sight);
        }
    }

    TEST_CASE("the yarn of a round goes the way its columns do, within a stitch too") {
        for (const Start start : {Start::cuff, Start::toe}) {
            SockSize size;
            size.stitches = 24;
            size.cut.start = start;
            const Garment garment = sock(size);
            const std::size_t round = nth_of(garment, Section::leg, 20);
            const double at =
                kStitch * static_cast<double>(stitch_in_column(garment, round, start == Start::cuff ? 9 : 2));
            const double all = kStitch * static_cast<double>(total_stitches(garment));
            std::vector<Piece> pieces(4);
            const double ends[] = {at, at + kStitch / 2, at + kStitch, all};
            const LinearRgb colours[] = {kWhite, kRed, kGreen, kWhite};
            double from = 0;
            for (std::size_t i = 0; i < 4; ++i) {
                pieces[i].start_mm = from;
                pieces[i].length_mm = ends[i] - from;
                pieces[i].colour = colours[i];
                from = ends[i];
            }
            const Image image = laid(garment, ColourRun(pieces), look_of(40)).picture;
            const Spot first = middle_of(image, redness);
            const Spot second = middle_of(image, greenness);
            REQUIRE(first.weight > 0);
            REQUIRE(second.weight > 0);
            CHECK((first.x < second.x) == (start == Start::cuff));
        }
    }

    TEST_CASE("V's open downwards on a leg knitted from the cuff, upwards on one from the toe") {
        for (const Start start : {Start::cuff, Start::toe}) {
            SockSize size;
            size.stitches = 24;
            size.cut.start = start;
            size.cut.heel = Heel::short_row;
            const Garment garment = sock(size);
            const std::size_t round = nth_of(garment, Section::leg, 30);
            const int column = start == Start::cuff ? 10 : 1;
            const long long red = stitch_in_column(garment, round, column);
            const LaidFlat flat = laid(garment, white_with_red(garment, {red}), look_of(100));
            const FlatMesh mesh = flat_mesh(garment, Gauge{});
            const Placed place = placed(mesh, flat);
            const auto stitch = std::find_if(mesh.stitches.begin(), mesh.stitches.end(), [&](const FlatStitch& s) {
                return s.round == round && first_stitch(garment, round) + s.stitch == red;
            });
            REQUIRE(stitch != mesh.stitches.end());
            const double top = place(stitch->at(0.5, 0)).y;
            const double bottom = place(stitch->at(0.5, 1)).y;
            CHECK((top > bottom) == (start == Start::cuff));
            const Opening open =
                opening(flat.picture, place(stitch->at(0.5, 0.5)).x, std::min(top, bottom), std::max(top, bottom));
            constexpr double kClearly = 1.2;  // chosen: an opening that an eye sees
            if (start == Start::cuff)
                CHECK(open.bottom > kClearly * open.top);
            else
                CHECK(open.top > kClearly * open.bottom);
        }
    }

    TEST_CASE("a round's colour lies between its two lines, or a loop's reach beyond them") {
        for (const Cut& cut : {Cut{}, Cut{Heel::flap, Start::toe, Texture::rib}, Cut{Heel::short_row, Start::toe}}) {
            const Garment garment = sock_of(cut, 40);
            const FlatMesh mesh = flat_mesh(garment, Gauge{});
            for (const Section section : {Section::cuff, Section::leg, Section::foot, Section::toe}) {
                const std::size_t round = nth_of(garment, section, 4);
                CAPTURE(words(cut));
                CAPTURE(section_name(section));
                std::set<long long> red;
                for (int k = 0; k < garment.rounds[round].stitches; ++k) red.insert(first_stitch(garment, round) + k);
                const LaidFlat flat = laid(garment, white_with_red(garment, red), look_of(30));
                const Placed place = placed(mesh, flat);
                double own = 0, before = 0, after = 0, far = 0;
                for (const FlatStitch& stitch : mesh.stitches) {
                    const auto away = static_cast<int>(stitch.round) - static_cast<int>(round);
                    const double weight = redness(light_over(flat.picture, stitch, place)) * stitch.area();
                    (away == 0 ? own : away == -1 ? before : away == 1 ? after : far) += weight;
                }
                const double all = own + before + after + far;
                // The arcs of a loop lie in the rounds next to it. Of what the knit side shows two thirds are legs; the
                // purl side shows little but arcs.
                if (garment.rounds[round].texture == Texture::plain) CHECK(own > 0.5 * all);
                CHECK(own > before);
                CHECK(own > after);
                // What the averaging over pixels of a tenth of a stitch's width carries on.
                CHECK(far < 0.02 * all);
            }
        }
    }

    TEST_CASE("the mean colour of a one-colour sock is its yarn's, but for the shade of its outline") {
        const LinearRgb colour{0.6, 0.3, 0.1};
        for (const Cut& cut : {Cut{}, Cut{Heel::short_row, Start::toe, Texture::rib}, Cut{Heel::afterthought}}) {
            CAPTURE(words(cut));
            const Garment garment = sock_of(cut, 64);
            LaidFlatLook look = look_of(40);
            look.paper = {0, 0, 0};
            const LaidFlat flat = laid(garment, one_colour(colour, 2e5), look);
            double area = 0;
            for (const FlatStitch& stitch : flat_mesh(garment, Gauge{}).stitches) area += stitch.area();
            LinearRgb sum;
            for (const LinearRgb& pixel : flat.picture) sum += pixel;
            sum = sum * (1 / (area * flat.pixels_per_cm * flat.pixels_per_cm));
            // The shade is 15 % at the outline and gone within about 1 cm of it, a quarter of the area: about 2 %. Purl
            // ribs, a third of ribbing, lie 22 % deeper: with a ribbed leg 3 % more.
            constexpr double kDarkest = 0.93, kLightest = 1.005;
            CHECK(sum.r / colour.r > kDarkest);
            CHECK(sum.r / colour.r < kLightest);
            CHECK(sum.g / sum.r == doctest::Approx(colour.g / colour.r).epsilon(1e-6));
            CHECK(sum.b / sum.r == doctest::Approx(colour.b / colour.r).epsilon(1e-6));
        }
    }

    TEST_CASE("where the yarn runs out a pale sock goes on, and the strand's end is where it is") {
        for (const Start start : {Start::cuff, Start::toe}) {
            const Garment garment = sock_of({Heel::flap, start, Texture::plain}, 64);
            const FlatMesh mesh = flat_mesh(garment, Gauge{});
            const std::size_t round = nth_of(garment, Section::leg, 30);
            LaidFlatLook look = look_of(30);
            look.paper = {0.9, 0.9, 0.9};
            // A stitch is 7 pixels high and shares those at its edge with its neighbour: half of one.
            constexpr double kShared = 0.5 / 7;
            for (const int column : {8, 20, 40, 60}) {
                CAPTURE(column);
                const long long last = stitch_in_column(garment, round, column);
                const LaidFlat flat = laid(garment, one_colour(kRed, static_cast<double>(last + 1) * kStitch), look);
                REQUIRE(flat.yarn_end);
                const bool in_sight = start == Start::cuff ? column >= 16 && column < 48 : column < 16 || column >= 48;
                CHECK(flat.yarn_end_behind == !in_sight);
                const Placed place = placed(mesh, flat);
                // Folded at the middle of the back, columns 16 - i and 15 + i lie over each other (at the front 48 and
                // 47).
                const int shown = in_sight ? column : (31 - column + 64) % 64;
                for (const FlatStitch& stitch : mesh.stitches) {
                    const FlatPoint middle = place(stitch.at(0.5, 0.5));
                    const long long number = first_stitch(garment, stitch.round) + stitch.stitch;
                    const LinearRgb seen = light_over(flat.picture, stitch, place);
                    if (number <= last)
                        CHECK(redness(seen) > 0.5 * kRed.r);
                    else
                        CHECK(redness(seen) < kShared * kRed.r);
                    if (stitch.round != round ||
                        static_cast<int>(column_of(garment.rounds[round], stitch.stitch)) != shown)
                        continue;
                    constexpr double kOneStitch = 10;  // pixels; 30 a centimetre, 3.2 stitches
                    CHECK(std::abs(flat.yarn_end->x - middle.x) < kOneStitch);
                    CHECK(std::abs(flat.yarn_end->y - middle.y) < kOneStitch);
                }
                CHECK(flat.last_round.y == doctest::Approx(place(mesh.round_middles[round]).y));
            }
        }
    }

    TEST_CASE("a ghost is a little darker than the paper and has an edge") {
        const Garment garment = sock_of({}, 64);
        LaidFlatLook look = look_of(30);
        look.paper = {0.9, 0.9, 0.9};
        const LaidFlat flat = laid(garment, one_colour(kRed, 20 * kStitch), look);
        const FlatMesh mesh = flat_mesh(garment, Gauge{});
        const Placed place = placed(mesh, flat);
        const FlatPoint foot = place(mesh.round_middles[nth_of(garment, Section::foot, 25)]);
        const double tint = flat.picture(static_cast<int>(foot.y), static_cast<int>(foot.x)).g;
        CHECK(tint < 0.95 * 0.9);
        CHECK(tint > 0.7 * 0.9);
        double least = 1;
        for (int x = static_cast<int>(foot.x); x < flat.picture.columns(); ++x)
            least = std::min(least, flat.picture(static_cast<int>(foot.y), x).g);
        CHECK(least < 0.85 * tint);
        CHECK(flat.picture(2, flat.picture.columns() - 3).g == doctest::Approx(0.9).epsilon(0.01));
    }

    TEST_CASE("no yarn at all leaves the ghost alone") {
        const Garment garment = sock_of({}, 24);
        const ColourRun run = one_colour(kRed, kStitch / 2);
        const LaidFlat flat = laid(garment, run, look_of(10));
        REQUIRE(flat.yarn_end);
        CHECK(flat.yarn_end->y == flat.first_round.y);
        CHECK(middle_of(flat.picture, redness).weight == 0);
    }

    TEST_CASE("a hat shows the first half of each round from the right, brim at the bottom, and closes at the top") {
        const Garment hat = garment("hat", GarmentSize{});
        const FlatMesh mesh = flat_mesh(hat, Gauge{});
        const std::size_t round = nth_of(hat, Section::body, 10);
        const int half = hat.rounds[round].stitches / 2;
        const auto spot = [&](int stitch) {
            return middle_of(laid(hat, white_with_red(hat, {first_stitch(hat, round) + stitch}), look_of(12)).picture,
                             redness);
        };
        const Spot first = spot(0), last = spot(half - 1);
        REQUIRE(first.weight > 0);
        REQUIRE(last.weight > 0);
        CHECK(first.x > last.x);
        CHECK(spot(half + 3).weight == 0);
        CHECK(mesh.first_round.y > mesh.round_middles.back().y);
        double widest = 0, top = 0;
        for (const FlatStitch& stitch : mesh.stitches) {
            widest = std::max(widest, std::abs(stitch.bottom_left.x));
            if (stitch.round + 1 == hat.rounds.size()) top = std::max(top, std::abs(stitch.top_left.x));
        }
        CHECK(widest == doctest::Approx(0.5 * half * Gauge{}.stitch_width().value / 10).epsilon(0.01));
        CHECK(top < 0.15 * widest);
    }

    TEST_CASE("a shawl's rows are whole, centred and growing") {
        const Garment shawl = garment("shawl", GarmentSize{});
        const FlatMesh mesh = flat_mesh(shawl, Gauge{});
        std::map<std::size_t, std::pair<double, double>> sides;
        for (const FlatStitch& stitch : mesh.stitches) {
            auto& [left, right] = sides[stitch.round];
            left = std::min(left, 0.5 * (stitch.top_left.x + stitch.bottom_left.x));
            right = std::max(right, 0.5 * (stitch.top_right.x + stitch.bottom_right.x));
        }
        const double stitch_cm = Gauge{}.stitch_width().value / 10;
        for (std::size_t r = 1; r + 1 < shawl.rounds.size(); ++r) {
            CHECK(sides[r].first == doctest::Approx(-sides[r].second));
            CHECK(sides[r].second - sides[r].first ==
                  doctest::Approx(shawl.rounds[r].stitches * stitch_cm).epsilon(0.1));
            CHECK(sides[r].second >= sides[r - 1].second);
        }
    }

    TEST_CASE("a piece worked flat turns at its edges") {
        const Garment piece = flat(10, 8);
        std::set<long long> red{0, 10, 20};
        const Image image = laid(piece, white_with_red(piece, red), look_of(60)).picture;
        // Rows 0 and 2 begin at the right, row 1 at the left.
        double left = 0, right = 0;
        for (int y = 0; y < image.rows(); ++y)
            for (int x = 0; x < image.columns(); ++x) (2 * x < image.columns() ? left : right) += redness(image(y, x));
        CHECK(right == doctest::Approx(2 * left).epsilon(0.15));  // a stitch at an edge shows more of its own yarn
    }

    TEST_CASE("the same seed lays the same bytes, another does not") {
        const Garment garment = sock_of({}, 24);
        const ColourRun run = white_with_red(garment, {100, 200, 300});
        LaidFlatLook look = look_of(15, 1);
        const Image first = laid(garment, run, look).picture;
        CHECK(laid(garment, run, look).picture == first);
        look.seed = 2;
        CHECK_FALSE(laid(garment, run, look).picture == first);
        look.unevenness = 0;
        const Image even = laid(garment, run, look).picture;
        look.seed = 1;
        CHECK(laid(garment, run, look).picture == even);
    }

    TEST_CASE("unevenness opens no gaps") {
        const Garment garment = sock_of({}, 64);
        LaidFlatLook look = look_of(40, 1);
        look.paper = {0, 0, 0};
        LaidFlatLook calm = look_of(40);
        calm.paper = {0, 0, 0};
        const ColourRun run = one_colour(kWhite, 2e5);
        const auto dark_within = [](const Image& image) {  // black pixels with knitting on all sides of them
            int dark = 0;
            for (int y = 3; y + 3 < image.rows(); ++y)
                for (int x = 3; x + 3 < image.columns(); ++x)
                    if (image(y, x).g < 0.02 && image(y - 3, x).g > 0.1 && image(y + 3, x).g > 0.1 &&
                        image(y, x - 3).g > 0.1 && image(y, x + 3).g > 0.1)
                        ++dark;
            return dark;
        };
        CHECK(dark_within(laid(garment, run, look).picture) == 0);
        CHECK(dark_within(laid(garment, run, calm).picture) == 0);
    }

    TEST_CASE("size follows from the gauge, and a picture too large is drawn smaller") {
        const Garment shawl = garment("shawl", GarmentSize{});
        const LaidFlatSize size = laid_flat_size(shawl, Gauge{});
        CHECK(size.width.value == doctest::Approx(1000).epsilon(0.02));  // its pattern's width: 1 m
        CHECK(laid_flat_size(shawl, {16, 21}).width.value == doctest::Approx(2 * size.width.value));
        LaidFlatLook look = look_of(40);
        look.most_megapixels = 0.5;
        const LaidFlat flat = laid(shawl, one_colour(kWhite, 1e6), look);
        CHECK(flat.pixels_per_cm < 40);
        CHECK(static_cast<double>(flat.picture.size()) == doctest::Approx(0.5e6).epsilon(0.01));
    }

    TEST_CASE("a garment without rounds or a picture without size breaks the contract") {
        const Garment piece = flat(10, 8);
        const ColourRun run = one_colour(kWhite, 1e4);
        CHECK_THROWS_AS(laid(piece, run, look_of(0)), std::logic_error);
        CHECK_THROWS_AS(laid_flat_size(Garment{}, Gauge{}), std::logic_error);
        const Fabric longer = knitted(run, flat(10, 9), {kStitch});
        CHECK_THROWS_AS(laid_flat(longer, run, piece, usual_shape(), look_of(10)), std::logic_error);
    }
}
