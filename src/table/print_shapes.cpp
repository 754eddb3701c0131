#include <algorithm>
#include <cmath>
#include <numbers>
#include <span>

#include "loopread/base/require.h"
#include "loopread/table/layers.h"

namespace loopread {
namespace {

struct Corner {
    double x, y;
};

/// Signed distance to a polygon: the nearest edge, and the sign by counting the edges a ray crosses.
double distance_to_polygon(std::span<const Corner> corners, double x, double y) {
    double nearest = 1e9;
    bool inside = false;
    for (std::size_t i = 0, j = corners.size() - 1; i < corners.size(); j = i++) {
        const Corner a = corners[j], b = corners[i];
        const double dx = b.x - a.x, dy = b.y - a.y;
        const double along = std::clamp(((x - a.x) * dx + (y - a.y) * dy) / (dx * dx + dy * dy), 0.0, 1.0);
        nearest = std::min(nearest, std::hypot(x - a.x - along * dx, y - a.y - along * dy));
        if ((a.y > y) != (b.y > y) && x < a.x + (y - a.y) / dy * dx) inside = !inside;
    }
    return inside ? -nearest : nearest;
}

/// Two circles' common part, points above and below.
double distance_to_lens(double x, double y, double half_width) {
    const double offset = (0.25 - half_width * half_width) / (2 * half_width);  // of the circles' middles
    const double radius = offset + half_width;
    const double across = std::abs(x);
    if (across * 0.5 < offset * (std::abs(y) - 0.5)) return std::hypot(x, std::abs(y) - 0.5);
    return std::hypot(across + offset, y) - radius;
}

double distance_to_drop(double x, double y) {
    constexpr double kRadius = 0.28, kTop = -0.5, kMiddle = 0.5 - kRadius;
    const double bowl = std::hypot(x, y - kMiddle) - kRadius;
    const double height = kMiddle - kTop;
    const double reach = std::sqrt(height * height - kRadius * kRadius);  // from the tip to where the sides touch
    const Corner touch{kRadius * reach / height, kTop + reach * reach / height};
    const Corner hat[] = {{0, kTop}, touch, {-touch.x, touch.y}};
    return std::min(bowl, distance_to_polygon(hat, x, y));
}

constexpr Corner kHull[] = {{-0.5, 0.14}, {0.5, 0.14}, {0.32, 0.40}, {-0.30, 0.40}};
constexpr Corner kSail[] = {{-0.02, -0.46}, {-0.02, 0.08}, {-0.38, 0.08}};
constexpr Corner kJib[] = {{0.05, -0.30}, {0.36, 0.08}, {0.05, 0.08}};

double distance_to_boat(double x, double y) {
    return std::min(
        {distance_to_polygon(kHull, x, y), distance_to_polygon(kSail, x, y), distance_to_polygon(kJib, x, y)});
}

double distance_to_fish(double x, double y) {
    constexpr Corner kTail[] = {{0.22, 0.0}, {0.5, -0.20}, {0.43, 0.0}, {0.5, 0.20}};
    const double body = 0.8 * distance_to_lens(y / 0.8, (x + 0.1) / 0.8, 0.24);
    return std::min(body, distance_to_polygon(kTail, x, y));
}

double distance_to_star(double x, double y) {
    constexpr int kPoints = 5;
    Corner corners[2 * kPoints];
    for (int i = 0; i < 2 * kPoints; ++i) {
        const double radius = i % 2 == 0 ? 0.5 : 0.21;
        const double angle = std::numbers::pi * i / kPoints;
        corners[i] = {radius * std::sin(angle), -radius * std::cos(angle)};
    }
    return distance_to_polygon(corners, x, y);
}

double distance_to_wave(double x, double y) {
    constexpr double kHeight = 0.14, kHalfThick = 0.075;
    Corner previous{-0.5 + kHalfThick, 0};
    double nearest = 1e9;
    for (int i = 1; i <= 24; ++i) {
        const double along = i / 24.0;
        const Corner next{previous.x + (1 - 2 * kHalfThick) / 24, -kHeight * std::sin(2 * std::numbers::pi * along)};
        const double dx = next.x - previous.x, dy = next.y - previous.y;
        const double t = std::clamp(((x - previous.x) * dx + (y - previous.y) * dy) / (dx * dx + dy * dy), 0.0, 1.0);
        nearest = std::min(nearest, std::hypot(x - previous.x - t * dx, y - previous.y - t * dy));
        previous = next;
    }
    return nearest - kHalfThick;
}

}  // namespace

double distance_to(PrintShape shape, double x, double y) {
    switch (shape) {
        case PrintShape::leaf:
            return distance_to_lens(x, y, 0.22);
        case PrintShape::boat:
            return distance_to_boat(x, y);
        case PrintShape::fish:
            return distance_to_fish(x, y);
        case PrintShape::star:
            return distance_to_star(x, y);
        case PrintShape::drop:
            return distance_to_drop(x, y);
        case PrintShape::ring:
            return std::abs(std::hypot(x, y) - 0.38) - 0.12;
        case PrintShape::wave:
            return distance_to_wave(x, y);
        case PrintShape::mask:
            break;
    }
    require(false, "a mask has no distance");
    return 0;
}

}  // namespace loopread
