#include "loopread/table/layers.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>

#include "loopread/base/error.h"
#include "loopread/base/random.h"
#include "loopread/base/require.h"
#include "loopread/image/sampling.h"

namespace loopread {
namespace {

double radians(double degrees) {
    return degrees * std::numbers::pi / 180;
}

/// 0 below -0.5, 1 above 0.5, half at 0, smooth between.
double eased(double t) {
    const double u = std::clamp(t + 0.5, 0.0, 1.0);
    return u * u * (3 - 2 * u);
}

/// Rasterises one layer into a box of its plane.
class LayerPainter {
public:
    LayerPainter(Plane& plane, const BlankRaster& raster, const PrintMasks& masks, const RasterBox& box)
        : plane_(plane),
          raster_(raster),
          masks_(masks),
          box_(box),
          width_mm_(raster.columns * raster.mm_per_column),
          length_mm_(raster.rows * raster.mm_per_row),
          pixel_mm_(std::max(raster.mm_per_column, raster.mm_per_row)) {
        for (int row = box.top; row < box.bottom; ++row)
            std::fill(plane.row(row) + box.left, plane.row(row) + box.right, 0.0);
    }

    void operator()(const Dip& dip) {
        const bool along = dip.edge == Dip::Edge::ravel || dip.edge == Dip::Edge::far;
        const bool turned = dip.edge == Dip::Edge::far || dip.edge == Dip::Edge::right;
        const double extent = along ? length_mm_ : width_mm_;
        const double fade = std::max(10 * dip.fade_cm, pixel_mm_);
        fill([&](BlankPoint p) {
            const double place = along ? p.y_mm : p.x_mm;
            return eased((dip.level * extent - (turned ? extent - place : place)) / fade);
        });
    }

    void operator()(const Bands& bands) {
        const double sine = std::sin(radians(bands.slant_deg)), cosine = std::cos(radians(bands.slant_deg));
        const double width = 10 * bands.width_cm, period = width + 10 * bands.gap_cm;
        const double soft = std::max(10 * bands.soft_cm, pixel_mm_);
        fill([&](BlankPoint p) {
            const double across =
                bands.along == Bands::Along::rows ? p.y_mm * cosine + p.x_mm * sine : p.x_mm * cosine + p.y_mm * sine;
            const double place = across - 10 * bands.start_cm - width / 2;
            const double from_middle = std::abs(place - period * std::round(place / period));
            return eased((width / 2 - from_middle) / soft);
        });
    }

    void operator()(const Dots& dots) {
        const double spacing = 10 * dots.spacing_cm, radius = 5 * dots.size_cm;
        const double soft = std::max(0.25 * radius, pixel_mm_);
        const int across = static_cast<int>(std::ceil(width_mm_ / spacing)) + 1;
        const int along = static_cast<int>(std::ceil(length_mm_ / spacing)) + 1;
        for (int j = -1; j <= along; ++j)
            for (int i = -1; i <= across; ++i) {
                const double shift_x = dots.jitter * (hashed_unit(dots.seed, i, j, 0) - 0.5);
                const double shift_y = dots.jitter * (hashed_unit(dots.seed, i, j, 1) - 0.5);
                const BlankPoint middle{(i + 0.5 + shift_x) * spacing, (j + 0.5 + shift_y) * spacing};
                mark(middle, radius + soft, [&](BlankPoint p) {
                    return eased((radius - std::hypot(p.x_mm - middle.x_mm, p.y_mm - middle.y_mm)) / soft);
                });
            }
    }

    void operator()(const Brush& brush) {
        for (const Stroke& stroke : brush.strokes) {
            const double radius = 5 * stroke.width_cm, soft = std::max(stroke.soft * radius, pixel_mm_);
            for (std::size_t i = 0; i < stroke.points.size(); ++i)
                stretch(stroke.points[i > 0 ? i - 1 : 0], stroke.points[i], radius, soft);
        }
    }

    void operator()(const Prints& prints) {
        if (!prints.repeat) {
            for (const BlankPoint& place : prints.places) print(prints, place);
            return;
        }
        const double across = 10 * prints.repeat->across_cm, along = 10 * prints.repeat->along_cm;
        const int lines = static_cast<int>(std::ceil(length_mm_ / along)) + 1;
        const int in_line = static_cast<int>(std::ceil(width_mm_ / across)) + 2;
        for (int line = -1; line <= lines; ++line)
            for (int i = -2; i <= in_line; ++i) {
                const double shift = line % 2 != 0 ? prints.repeat->stagger : 0.0;
                print(prints, {(i + 0.5 + shift) * across, (line + 0.5) * along});
            }
    }

private:
    template <class AmountAt>
    void fill(const AmountAt& amount_at) {
        for (int row = box_.top; row < box_.bottom; ++row)
            for (int column = box_.left; column < box_.right; ++column)
                plane_(row, column) = amount_at(middle_of(row, column));
    }

    BlankPoint middle_of(int row, int column) const {
        return {(column + 0.5) * raster_.mm_per_column, (row + 0.5) * raster_.mm_per_row};
    }

    /// The pixels of the box that a rectangle in mm touches.
    RasterBox within(double left_mm, double top_mm, double right_mm, double bottom_mm) const {
        const auto pixel = [](double mm, double per_pixel, int least, int most) {
            return static_cast<int>(
                std::clamp(std::floor(mm / per_pixel), static_cast<double>(least), static_cast<double>(most)));
        };
        return {pixel(left_mm, raster_.mm_per_column, box_.left, box_.right),
                pixel(top_mm, raster_.mm_per_row, box_.top, box_.bottom),
                pixel(right_mm + raster_.mm_per_column, raster_.mm_per_column, box_.left, box_.right),
                pixel(bottom_mm + raster_.mm_per_row, raster_.mm_per_row, box_.top, box_.bottom)};
    }

    template <class AmountAt>
    void mark(const RasterBox& pixels, const AmountAt& amount_at) {
        for (int row = pixels.top; row < pixels.bottom; ++row)
            for (int column = pixels.left; column < pixels.right; ++column) {
                double& amount = plane_(row, column);
                amount = std::max(amount, amount_at(middle_of(row, column)));
            }
    }
    template <class AmountAt>
    void mark(BlankPoint middle, double reach, const AmountAt& amount_at) {
        mark(within(middle.x_mm - reach, middle.y_mm - reach, middle.x_mm + reach, middle.y_mm + reach), amount_at);
    }

    /// A straight stretch of a stroke, round at both ends.
    void stretch(BlankPoint from, BlankPoint to, double radius, double soft) {
        const double dx = to.x_mm - from.x_mm, dy = to.y_mm - from.y_mm;
        const double square = dx * dx + dy * dy;
        const double reach = radius + soft;
        const RasterBox pixels = within(std::min(from.x_mm, to.x_mm) - reach, std::min(from.y_mm, to.y_mm) - reach,
                                        std::max(from.x_mm, to.x_mm) + reach, std::max(from.y_mm, to.y_mm) + reach);
        mark(pixels, [&](BlankPoint p) {
            const double px = p.x_mm - from.x_mm, py = p.y_mm - from.y_mm;
            const double along = square > 0 ? std::clamp((px * dx + py * dy) / square, 0.0, 1.0) : 0.0;
            return eased((radius - std::hypot(px - along * dx, py - along * dy)) / soft);
        });
    }

    void print(const Prints& prints, BlankPoint middle) {
        const double size = 10 * prints.size_cm;
        const double sine = std::sin(radians(prints.turn_deg)), cosine = std::cos(radians(prints.turn_deg));
        const double reach = size * std::numbers::sqrt2 / 2 + pixel_mm_;
        const auto upright = [&](BlankPoint p) {
            const double dx = (p.x_mm - middle.x_mm) / size, dy = (p.y_mm - middle.y_mm) / size;
            return BlankPoint{dx * cosine + dy * sine, dy * cosine - dx * sine};
        };
        if (prints.shape == PrintShape::mask) {
            const Plane& mask = mask_of(prints, size);
            const double longer = std::max(mask.rows(), mask.columns());
            mark(middle, reach, [&](BlankPoint p) {
                const BlankPoint q = upright(p);
                const double x = q.x_mm * longer + mask.columns() / 2.0, y = q.y_mm * longer + mask.rows() / 2.0;
                const bool beyond = x < 0 || y < 0 || x > mask.columns() || y > mask.rows();
                return beyond ? 0.0 : std::clamp(at(mask, x, y), 0.0, 1.0);
            });
            return;
        }
        mark(middle, reach, [&](BlankPoint p) {
            const BlankPoint q = upright(p);
            return eased(-distance_to(prints.shape, q.x_mm, q.y_mm) * size / pixel_mm_);
        });
    }

    /// The mask no finer than the raster, so that its means are taken and nothing beats.
    const Plane& mask_of(const Prints& prints, double size_mm) {
        if (!mask_.empty()) return mask_;
        const auto found = masks_.find(prints.mask);
        if (found == masks_.end() || found->second.empty())
            throw Error(ErrorKind::input, "motif: its picture " + std::to_string(prints.mask) +
                                              " is not there; choose the picture again");
        const Plane& full = found->second;
        const double finer = std::max(full.rows(), full.columns()) * pixel_mm_ / size_mm;
        if (finer <= 1) return mask_ = full;
        const int rows = std::max(1, static_cast<int>(std::lround(full.rows() / finer)));
        const int columns = std::max(1, static_cast<int>(std::lround(full.columns() / finer)));
        const PixelBox all{0, 0, static_cast<double>(full.columns()), static_cast<double>(full.rows())};
        return mask_ = resampled(full, all, rows, columns);
    }

    Plane& plane_;
    const BlankRaster& raster_;
    const PrintMasks& masks_;
    RasterBox box_;
    double width_mm_, length_mm_, pixel_mm_;
    Plane mask_;
};

/// Pixels that a stroke's points from `first` on may touch, those of the stretch before them included.
RasterBox box_of(const Stroke& stroke, std::size_t first, const BlankRaster& raster) {
    RasterBox box;
    const double pixel = std::max(raster.mm_per_column, raster.mm_per_row);
    const double radius = 5 * stroke.width_cm;
    const double reach = radius + std::max(stroke.soft * radius, pixel) + pixel;
    for (std::size_t i = first > 0 ? first - 1 : 0; i < stroke.points.size(); ++i) {
        const BlankPoint& p = stroke.points[i];
        const auto column = [&](double mm) {
            return static_cast<int>(std::clamp(std::floor(mm / raster.mm_per_column), 0.0, raster.columns + 0.0));
        };
        const auto row = [&](double mm) {
            return static_cast<int>(std::clamp(std::floor(mm / raster.mm_per_row), 0.0, raster.rows + 0.0));
        };
        box = united(box, {column(p.x_mm - reach), row(p.y_mm - reach), column(p.x_mm + reach + pixel),
                           row(p.y_mm + reach + pixel)});
    }
    return box;
}

/// Takes out of a painted layer what a bath reaches of its loose dye. @returns how much that was
double washed_out(Plane& amount, Plane& loose, const Plane& wet) {
    double out = 0;
    auto kept = amount.begin();
    auto in_bath = wet.begin();
    for (double& free : loose) {
        const double lost = free * *in_bath++;
        *kept++ -= lost;
        free -= lost;
        out += lost;
    }
    return out;
}

}  // namespace

RasterBox whole(const BlankRaster& raster) {
    return {0, 0, raster.columns, raster.rows};
}

RasterBox united(const RasterBox& a, const RasterBox& b) {
    if (a.empty()) return b;
    if (b.empty()) return a;
    return {std::min(a.left, b.left), std::min(a.top, b.top), std::max(a.right, b.right), std::max(a.bottom, b.bottom)};
}

RasterBox widened(const RasterBox& box, int pixels, const BlankRaster& raster) {
    if (box.empty()) return {};
    return {std::max(0, box.left - pixels), std::max(0, box.top - pixels), std::min(raster.columns, box.right + pixels),
            std::min(raster.rows, box.bottom + pixels)};
}

Plane drawn(const LayerForm& form, const BlankRaster& raster, const PrintMasks& masks) {
    Plane plane(raster.rows, raster.columns, 0.0);
    redraw(plane, form, raster, masks, whole(raster));
    return plane;
}

void redraw(Plane& plane, const LayerForm& form, const BlankRaster& raster, const PrintMasks& masks,
            const RasterBox& box) {
    require(plane.rows() == raster.rows && plane.columns() == raster.columns, "the plane is the raster's");
    if (!box.empty()) std::visit(LayerPainter(plane, raster, masks, box), form);
}

std::vector<DyeLayer> washed(std::vector<DyeLayer> layers, const std::vector<Plane>& wet, double strike) {
    require(strike >= 0 && strike <= 1, "a share lies in 0..1");
    require(wet.size() == layers.size(), "every layer is a dip or is painted on");
    if (strike == 1) return layers;
    std::vector<Plane> loose(layers.size());  // of what is painted on: dye that has met no bath yet
    const std::size_t put_on = layers.size();
    for (std::size_t i = 0; i < put_on; ++i) {
        if (wet[i].empty()) {
            loose[i] = layers[i].amount;
            for (double& amount : loose[i]) amount *= 1 - strike;
            continue;
        }
        KOverS taken_up;
        for (std::size_t j = 0; j < i; ++j)
            if (wet[j].empty()) taken_up = taken_up + layers[j].dye * washed_out(layers[j].amount, loose[j], wet[i]);
        const double reach = std::accumulate(wet[i].begin(), wet[i].end(), 0.0);
        if (taken_up.r != 0 || taken_up.g != 0 || taken_up.b != 0)
            layers.push_back({"washed into " + layers[i].name, wet[i], taken_up * (1 / reach), 1.0});
    }
    return layers;
}

std::vector<TableLayer> in_order(std::vector<TableLayer> layers, LayerOrder order) {
    if (order == LayerOrder::as_put_on) return layers;
    std::stable_partition(layers.begin(), layers.end(), [&](const TableLayer& layer) {
        return std::holds_alternative<Dip>(layer.form) == (order == LayerOrder::dipped_first);
    });
    return layers;
}

RasterBox changed_box(const Brush& before, const Brush& after, const BlankRaster& raster) {
    RasterBox box;
    const std::size_t strokes = std::max(before.strokes.size(), after.strokes.size());
    for (std::size_t i = 0; i < strokes; ++i) {
        if (i >= before.strokes.size()) {
            box = united(box, box_of(after.strokes[i], 0, raster));
            continue;
        }
        const Stroke& old = before.strokes[i];
        if (i >= after.strokes.size()) {
            box = united(box, box_of(old, 0, raster));
            continue;
        }
        const Stroke& now = after.strokes[i];
        if (old == now) continue;
        const bool goes_on = old.width_cm == now.width_cm && old.soft == now.soft &&
                             old.points.size() <= now.points.size() &&
                             std::equal(old.points.begin(), old.points.end(), now.points.begin());
        box = united(box, box_of(now, goes_on ? old.points.size() : 0, raster));
        if (!goes_on) box = united(box, box_of(old, 0, raster));
    }
    return box;
}

}  // namespace loopread
