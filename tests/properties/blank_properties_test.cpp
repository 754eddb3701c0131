#include <algorithm>
#include <cmath>
#include <set>

#include "loopread/lay/ways.h"
#include "loopread/unravel/unravelled.h"
#include "properties/any_blank.h"

using namespace loopread;
using namespace loopread::properties;

namespace {

constexpr double kRounding = 1e-9;  // of numbers about 1, after some hundred sums

const LoopShape& usual_shape() {
    static const LoopShape shape{LoopProportions{}};
    return shape;
}

const CellShares& shares_of(int strands) {
    static const CellShares one(usual_shape(), 1), two(usual_shape(), 2);
    return strands == 1 ? one : two;
}

std::vector<ColourRun> strands_of(const BlankLayout& layout, const Paint& paint, std::uint64_t seed = 1) {
    return unravelled(layout, paint, usual_shape(), shares_of(layout.strands), {.seed = seed});
}

/// The least and the most of each channel that lie on the blank.
struct Span {
    LinearRgb least{1, 1, 1}, most{0, 0, 0};

    void add(const Image& image) {
        for (const LinearRgb& c : image) {
            least = {std::min(least.r, c.r), std::min(least.g, c.g), std::min(least.b, c.b)};
            most = {std::max(most.r, c.r), std::max(most.g, c.g), std::max(most.b, c.b)};
        }
    }
    bool holds(LinearRgb c) const {
        const auto within = [](double low, double value, double high) {
            return low - kRounding <= value && value <= high + kRounding;
        };
        return within(least.r, c.r, most.r) && within(least.g, c.g, most.g) && within(least.b, c.b, most.b);
    }
};

Lay lay_of(const Way& way) {
    return {RavelEdge::top, way.rotate, way.mirror, Fit::stretch};
}

}  // namespace

TEST_SUITE("properties") {
    TEST_CASE("every loop of any blank comes off exactly once") {
        holds([] {
            const BlankLayout layout = any_blank();
            std::set<std::pair<int, int>> seen;
            for (const LoopPlace& loop : ravel_order(layout)) {
                RC_ASSERT(loop.course >= 0 && loop.course < layout.rows);
                RC_ASSERT(loop.wale >= 0 && loop.wale < layout.stitches);
                RC_ASSERT(loop.column >= 0 && loop.column < layout.columns());
                RC_ASSERT(layout.construction == Construction::tube || loop.layer == Layer::painted);
                RC_ASSERT(seen.emplace(loop.course, loop.wale).second);
            }
            RC_ASSERT(static_cast<int>(seen.size()) == layout.stitches * layout.rows);
        });
    }

    TEST_CASE("loops that come off one after the other touch, and the first hangs at the tail") {
        holds([] {
            const BlankLayout layout = any_blank();
            const std::vector<LoopPlace> order = ravel_order(layout);
            RC_ASSERT(order.front().course == 0);
            RC_ASSERT(order.front().column == (layout.tail == Tail::left ? 0 : layout.columns() - 1));
            for (std::size_t i = 1; i < order.size(); ++i) {
                const int down = order[i].course - order[i - 1].course;
                const int across = std::abs(order[i].column - order[i - 1].column);
                RC_ASSERT(down == 0 || down == 1);
                RC_ASSERT(across <= 1);
                if (layout.construction == Construction::flat) RC_ASSERT(down + across == 1);
            }
        });
    }

    TEST_CASE("the pieces of each strand add up to its length, and both strands have the same ones") {
        holds([] {
            const BlankLayout layout = any_blank();
            const std::vector<ColourRun> strands = strands_of(layout, any_paint(layout));
            RC_ASSERT(static_cast<int>(strands.size()) == layout.strands);
            for (const ColourRun& strand : strands) {
                double sum = 0;
                for (const Piece& piece : strand.pieces()) sum += piece.length_mm;
                RC_ASSERT(std::abs(sum - layout.strand_length().value) < kRounding * layout.strand_length().value);
                RC_ASSERT(static_cast<int>(strand.pieces().size()) == 4 * layout.stitches * layout.rows);
                for (std::size_t i = 0; i < strand.pieces().size(); ++i) {
                    const Piece &here = strand.pieces()[i], &there = strands.front().pieces()[i];
                    RC_ASSERT(here.start_mm == there.start_mm);
                    RC_ASSERT(here.course == there.course && here.wale == there.wale && here.part == there.part);
                }
            }
        });
    }

    TEST_CASE("paint that goes all the way through dyes both strands alike, however they wind") {
        holds([] {
            BlankLayout layout = any_blank();
            layout.strands = 2;
            Paint paint = any_paint(layout);
            paint.penetration = 1;
            paint.other_side.reset();
            const std::vector<ColourRun> strands = strands_of(layout, paint, any_seed("winding"));
            for (std::size_t i = 0; i < strands[0].pieces().size(); ++i)
                RC_ASSERT(largest_difference(strands[0].pieces()[i].colour, strands[1].pieces()[i].colour) < kRounding);
        });
    }

    TEST_CASE("a plain blank gives yarn of that one colour") {
        holds([] {
            const BlankLayout layout = any_blank();
            Paint paint = any_paint(layout);
            const LinearRgb plain = paint.ground(0, 0);
            paint.picture = Image(paint.raster.rows, paint.raster.columns, plain);
            if (paint.other_side) paint.other_side = paint.picture;
            for (const ColourRun& strand : strands_of(layout, paint))
                for (const Piece& piece : strand.pieces())
                    RC_ASSERT(largest_difference(piece.colour, plain) < kRounding);
        });
    }

    TEST_CASE("no yarn is lighter, darker or more colourful than what lies on the blank") {
        holds([] {
            const BlankLayout layout = any_blank();
            const Paint paint = any_paint(layout);
            Span span;
            span.add(paint.ground);
            span.add(*paint.picture);
            if (paint.other_side) span.add(*paint.other_side);
            for (const ColourRun& strand : strands_of(layout, paint))
                for (const Piece& piece : strand.pieces()) RC_ASSERT(span.holds(piece.colour));
        });
    }

    TEST_CASE("a blank seen in a mirror gives the same yarn") {
        // One strand: how two wind is not mirrored with the blank.
        holds([] {
            BlankLayout layout = any_blank();
            layout.strands = 1;
            Paint paint = any_paint(layout);
            const ColourRun here = strands_of(layout, paint).front();
            paint.picture = mirrored(*paint.picture);
            if (paint.other_side) paint.other_side = mirrored(*paint.other_side);
            layout.tail = layout.tail == Tail::left ? Tail::right : Tail::left;
            const ColourRun there = strands_of(layout, paint).front();
            for (std::size_t i = 0; i < here.pieces().size(); ++i)
                RC_ASSERT(largest_difference(here.pieces()[i].colour, there.pieces()[i].colour) < kRounding);
        });
    }

    TEST_CASE("mirrored twice or turned round in four quarters a picture is as it was") {
        holds([] {
            const Image picture = any_picture();
            RC_ASSERT(mirrored(mirrored(picture)) == picture);
            Image turning = picture;
            for (int quarter = 1; quarter <= 4; ++quarter) {
                turning = turned(turning, QuarterTurn::clockwise_90);
                RC_ASSERT(turning == turned(picture, static_cast<QuarterTurn>(quarter % 4)));
            }
            RC_ASSERT(mirrored(turned(picture, QuarterTurn::clockwise_90)) ==
                      turned(mirrored(picture), QuarterTurn::clockwise_270));
        });
    }

    TEST_CASE("a ravel edge elsewhere is a picture turned") {
        holds([] {
            const BlankLayout layout = any_blank();
            const Image picture = any_picture();
            Lay lay = any_lay();
            lay.fit =
                lay.fit == Fit::tile ? Fit::stretch : lay.fit;  // the scale of a tile is that of the upright picture
            const Image there = laid(picture, lay, layout, blank_raster(layout));
            const Image upright = turned(picture, turn_to_top(lay.ravel_edge));
            lay.ravel_edge = RavelEdge::top;
            RC_ASSERT(laid(upright, lay, layout, blank_raster(layout)) == there);
        });
    }

    TEST_CASE("the sixteen ways to lay a design are sixteen, in words and as pictures on two sides") {
        std::set<std::string> words;
        for (const Way& way : all_ways()) words.insert(way_in_words(way));
        CHECK(words.size() == 16);
        holds([] {
            const Image picture = any_picture(2);
            BlankLayout layout = any_blank();
            layout.stitches += 3;
            layout.rows += 1;
            std::vector<std::pair<Painted, Image>> laid_out;
            for (const Way& way : all_ways())
                laid_out.emplace_back(way.painted, laid(picture, lay_of(way), layout, blank_raster(layout)));
            RC_ASSERT(laid_out.size() == 16U);
            for (std::size_t i = 0; i < laid_out.size(); ++i)
                for (std::size_t j = 0; j < i; ++j) RC_ASSERT(!(laid_out[i] == laid_out[j]));
        });
    }
}
