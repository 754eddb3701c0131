#include "loopread/unravel/order.h"

#include <doctest/doctest.h>

#include <cstdlib>
#include <set>
#include <utility>

#include "loopread/base/random.h"

using namespace loopread;

namespace {

int one_to(int most, Random& random) {
    return 1 + static_cast<int>(random.uniform() * most);
}

BlankLayout random_layout(Random& random) {
    BlankLayout layout;
    layout.stitches = one_to(40, random);
    layout.rows = one_to(30, random);
    layout.construction = random.uniform() < 0.5 ? Construction::flat : Construction::tube;
    layout.tail = random.uniform() < 0.5 ? Tail::left : Tail::right;
    layout.painted = random.uniform() < 0.5 ? Painted::face : Painted::back;
    return layout;
}

}  // namespace

TEST_SUITE("unravel") {
    TEST_CASE("every loop comes off exactly once, course by course") {
        Random random(1);
        for (int i = 0; i < 200; ++i) {
            const BlankLayout layout = random_layout(random);
            CAPTURE(layout.stitches);
            CAPTURE(layout.rows);
            std::set<std::pair<int, int>> seen;
            int course = 0;
            for (const LoopPlace& loop : ravel_order(layout)) {
                REQUIRE(loop.course >= course);
                course = loop.course;
                REQUIRE(loop.wale >= 0);
                REQUIRE(loop.wale < layout.stitches);
                REQUIRE(seen.emplace(loop.course, loop.wale).second);
            }
            CHECK(seen.size() == static_cast<std::size_t>(layout.stitches) * static_cast<std::size_t>(layout.rows));
            CHECK(course == layout.rows - 1);
        }
    }

    TEST_CASE("each place of each layer is met once, and a step along a course goes to the neighbour") {
        Random random(2);
        for (int i = 0; i < 200; ++i) {
            const BlankLayout layout = random_layout(random);
            const std::vector<LoopPlace> order = ravel_order(layout);
            std::set<std::pair<int, std::pair<int, bool>>> places;
            for (std::size_t k = 0; k < order.size(); ++k) {
                const LoopPlace& loop = order[k];
                REQUIRE(loop.column >= 0);
                REQUIRE(loop.column < layout.columns());
                REQUIRE(places.insert({loop.course, {loop.column, loop.layer == Layer::hidden}}).second);
                if (k == 0 || order[k - 1].course != loop.course || order[k - 1].layer != loop.layer) continue;
                REQUIRE(loop.travel == order[k - 1].travel);
                REQUIRE(loop.column - order[k - 1].column == (loop.travel == Travel::right ? 1 : -1));
            }
        }
    }

    TEST_CASE("a flat blank turns round under the loop it ended on") {
        BlankLayout layout;
        layout.stitches = 7;
        layout.rows = 5;
        const std::vector<LoopPlace> order = ravel_order(layout);
        for (std::size_t k = 7; k < order.size(); k += 7) {
            CHECK(order[k].wale == order[k - 1].wale);
            CHECK(order[k].travel != order[k - 1].travel);
        }
    }

    TEST_CASE("a tube always goes the same way round") {
        for (const Tail tail : {Tail::left, Tail::right})
            for (const int stitches : {1, 2, 9, 10}) {
                BlankLayout layout;
                layout.construction = Construction::tube;
                layout.stitches = stitches;
                layout.rows = 4;
                layout.tail = tail;
                const Travel outward = tail == Tail::left ? Travel::right : Travel::left;
                for (const LoopPlace& loop : ravel_order(layout))
                    CHECK((loop.travel == outward) == (loop.layer == Layer::painted));
            }
    }

    TEST_CASE("a twist counts backwards where the yarn runs against the loop's own frame") {
        BlankLayout layout;
        layout.painted = Painted::face;
        CHECK(frame_angle(layout, Travel::right, 0.7) == 0.7);
        CHECK(frame_angle(layout, Travel::left, 0.7) == -0.7);
        layout.painted = Painted::back;  // what runs right as we see it runs left seen from the face
        CHECK(frame_angle(layout, Travel::right, 0.7) == -0.7);
        CHECK(frame_angle(layout, Travel::left, 0.7) == 0.7);
    }
}
