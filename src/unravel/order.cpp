#include "loopread/unravel/order.h"

namespace loopread {
namespace {

Travel opposite(Travel travel) {
    return travel == Travel::right ? Travel::left : Travel::right;
}

void add_flat_course(const BlankLayout& layout, int course, std::vector<LoopPlace>& out) {
    const Travel first = layout.tail == Tail::left ? Travel::right : Travel::left;
    const Travel travel = course % 2 == 0 ? first : opposite(first);
    for (int i = 0; i < layout.stitches; ++i) {
        const int wale = travel == Travel::right ? i : layout.stitches - 1 - i;
        out.push_back({course, wale, wale, Layer::painted, travel});
    }
}

/// Out over the painted layer from the tail's fold, and back underneath.
void add_tube_course(const BlankLayout& layout, int course, std::vector<LoopPlace>& out) {
    const Travel outward = layout.tail == Tail::left ? Travel::right : Travel::left;
    for (int wale = 0; wale < layout.stitches; ++wale) {
        const bool on_top = wale < layout.columns();
        const int from_fold = on_top ? wale : layout.stitches - 1 - wale;
        const int column = layout.tail == Tail::left ? from_fold : layout.columns() - 1 - from_fold;
        out.push_back(
            {course, wale, column, on_top ? Layer::painted : Layer::hidden, on_top ? outward : opposite(outward)});
    }
}

}  // namespace

std::vector<LoopPlace> ravel_order(const BlankLayout& layout) {
    std::vector<LoopPlace> order;
    order.reserve(static_cast<std::size_t>(layout.stitches) * static_cast<std::size_t>(layout.rows));
    for (int course = 0; course < layout.rows; ++course)
        layout.construction == Construction::flat ? add_flat_course(layout, course, order)
                                                  : add_tube_course(layout, course, order);
    return order;
}

double frame_angle(const BlankLayout& layout, Travel travel, double angle) {
    const bool with_the_frame = (travel == Travel::right) == (layout.painted == Painted::face);
    return with_the_frame ? angle : -angle;
}

}  // namespace loopread
