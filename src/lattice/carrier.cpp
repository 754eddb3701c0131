#include "lattice/carrier.h"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <vector>

#include "loopread/base/parallel.h"

namespace loopread {
namespace {

constexpr int kLong = 128, kShort = 16;  // a window of the spectrum: samples along and across
constexpr int kFrequencyDegree = 2;      // local frequency: a third from edge to edge, and bows
constexpr int kFirstDegree = 4;          // phase, at first
constexpr int kMostDegree = 6;           // phase
constexpr double kNodePeriods = 2.5;     // from place to place along
constexpr int kNodeSamples = 3;          // from place to place across
constexpr double kBell = 2.6;            // periods and samples: deviation of a place's window
constexpr double kReach = 2.3;           // deviations at which the bell is cut
constexpr double kNoiseStrength = 0.08;  // what a window of noise shows at most, about
constexpr double kHeldDown = 0.008;      // of a term's weight, a degree above 1: calm where there is nothing to see
constexpr double kOutlier = 0.12;        // turns

/// Frequency in turns a pixel: along (x) and across (y).
struct Frequency {
    double x = 0, y = 0;
};

// ---- smooth surfaces as products of Chebyshev polynomials

/// Highest degrees: along and across each alone, and of their products.
struct Degrees {
    int along = 0, across = 0, total = 0;
};

class Polynomial {
public:
    Polynomial(double width, double height, Degrees degrees) : width_(width), height_(height), degrees_(degrees) {
        for (int total = 0; total <= degrees.total; ++total)
            for (int i = 0; i <= total; ++i)
                if (i <= degrees.along && total - i <= degrees.across)
                    powers_.push_back({static_cast<std::size_t>(i), static_cast<std::size_t>(total - i)});
        coefficients = Eigen::VectorXd::Zero(terms());
    }

    Eigen::Index terms() const { return static_cast<Eigen::Index>(powers_.size()); }
    Eigen::VectorXd basis(double x, double y) const {
        const Powers u = chebyshev(2 * x / width_ - 1, degrees_.along),
                     v = chebyshev(2 * y / height_ - 1, degrees_.across);
        Eigen::VectorXd result(terms());
        for (std::size_t k = 0; k < powers_.size(); ++k)
            result[static_cast<Eigen::Index>(k)] = u[powers_[k].along] * v[powers_[k].across];
        return result;
    }
    int degree(Eigen::Index term) const {
        const Power& power = powers_[static_cast<std::size_t>(term)];
        return static_cast<int>(power.along + power.across);
    }
    double at(double x, double y) const { return basis(x, y).dot(coefficients); }

    Eigen::VectorXd coefficients;

private:
    using Powers = std::array<double, kMostDegree + 1>;
    struct Power {
        std::size_t along, across;
    };
    static Powers chebyshev(double t, int degree) {
        Powers result{1, t};
        for (std::size_t k = 2; k <= static_cast<std::size_t>(degree); ++k)
            result[k] = 2 * t * result[k - 1] - result[k - 2];
        return result;
    }
    double width_, height_;
    Degrees degrees_;
    std::vector<Power> powers_;
};

/// A weighted equation: basis . coefficients = value.
struct Reading {
    Eigen::VectorXd basis;
    double value = 0;
    double weight = 0;
};

/// Weighted least squares, terms of high degree held down a little; readings far off lose their weight, in turns.
void fit(Polynomial& polynomial, const std::vector<Reading>& readings, double outlier) {
    const Eigen::Index terms = polynomial.terms(), count = static_cast<Eigen::Index>(readings.size());
    Eigen::MatrixXd bases(terms, count);
    Eigen::VectorXd values(count), weights(count);
    for (Eigen::Index i = 0; i < count; ++i) {
        const Reading& reading = readings[static_cast<std::size_t>(i)];
        bases.col(i) = reading.basis;
        values[i] = reading.value;
        weights[i] = reading.weight;
    }
    Eigen::ArrayXd trust = Eigen::ArrayXd::Ones(count);
    for (int turn = 0; turn < 4; ++turn) {
        const Eigen::MatrixXd weighted = bases * (weights.array() * trust).matrix().asDiagonal();
        Eigen::MatrixXd normal = Eigen::MatrixXd::Zero(terms, terms);
        normal.triangularView<Eigen::Lower>() = weighted * bases.transpose();
        for (Eigen::Index k = 0; k < terms; ++k)
            normal(k, k) = normal(k, k) * (1 + kHeldDown * std::max(0, polynomial.degree(k) - 1)) + 1e-12;
        polynomial.coefficients = normal.selfadjointView<Eigen::Lower>().ldlt().solve(weighted * values);
        const Eigen::ArrayXd off = (bases.transpose() * polynomial.coefficients - values).array() / outlier;
        trust = 1 / (1 + off.square());
    }
}

// ---- local frequency from windowed spectra

std::vector<float> raised_cosine(int length) {
    std::vector<float> result;
    for (int i = 0; i < length; ++i)
        result.push_back(static_cast<float>(std::pow(std::sin(std::numbers::pi * (i + 0.5) / length), 2)));
    return result;
}

/// Squared spectrum of a window of the carrier, its top left at (left, top), under a raised cosine.
Grid<float> spectrum(const Carrier& carrier, int left, int top) {
    Grid<Wave> window(kShort, kLong);
    const int columns = std::min(kLong, carrier.values.columns()), rows = std::min(kShort, carrier.values.rows());
    const std::vector<float> over = raised_cosine(columns), down = raised_cosine(rows);
    for (int y = 0; y < rows; ++y)
        for (int x = 0; x < columns; ++x)
            window(y, x) = carrier.values(top + y, left + x) *
                           (down[static_cast<std::size_t>(y)] * over[static_cast<std::size_t>(x)]);
    transform(window);
    Grid<float> power(kShort, kLong);
    std::transform(window.begin(), window.end(), power.begin(), [](Wave wave) { return std::norm(wave); });
    return power;
}

struct Peak {
    Frequency frequency;
    double strength = 0;  ///< share of the power looked at that lies in and next to the peak
};

double parabola_top(double before, double top, double after) {
    const double bend = before - 2 * top + after;
    return bend < 0 ? std::clamp(0.5 * (before - after) / bend, -0.5, 0.5) : 0;
}

/// Frequencies allowed: those of a range about a middle.
struct Search {
    double least = 0, most = 0;             ///< turns a pixel along
    double middle_lean = 0, most_lean = 0;  ///< across over along
};

Peak peak_in(const Grid<float>& power, double step, const Search& search) {
    const auto value = [&](int x, int y) {
        return static_cast<double>(power((y + kShort) % kShort, (x + kLong) % kLong));
    };
    int best_x = -1, best_y = 0;
    double best = 0, total = 1e-12;
    for (int x = 1; x < kLong / 2 - 1; ++x) {
        const double along = static_cast<double>(x) / kLong;
        if (along < search.least || along > search.most) continue;
        for (int y = -kShort / 2 + 1; y < kShort / 2; ++y) {
            const double across = y / (kShort * step);
            // half a bin more: a lean is known no better
            if (std::abs(across - search.middle_lean * along) > search.most_lean * along + 0.5 / (kShort * step))
                continue;
            total += value(x, y);
            if (value(x, y) > best) {
                best = value(x, y);
                best_x = x;
                best_y = y;
            }
        }
    }
    if (best_x < 0) return {};
    double near = 0;
    for (int dy = -1; dy <= 1; ++dy)
        for (int dx = -1; dx <= 1; ++dx) near += value(best_x + dx, best_y + dy);
    const auto level = [&](int x, int y) { return std::log(value(x, y) + 1e-12); };
    const double dx = parabola_top(level(best_x - 1, best_y), level(best_x, best_y), level(best_x + 1, best_y));
    const double dy = parabola_top(level(best_x, best_y - 1), level(best_x, best_y), level(best_x, best_y + 1));
    return {{(best_x + dx) / kLong, (best_y + dy) / (kShort * step)}, std::min(1.0, near / total)};
}

/// Starts of windows that cover a length evenly, three quarters of a window apart or less.
std::vector<int> window_starts(int length, int window) {
    if (length <= window) return {0};
    const int count = (length - window + window * 3 / 4 - 1) / (window * 3 / 4) + 1;
    std::vector<int> starts;
    for (int i = 0; i < count; ++i) starts.push_back((length - window) * i / (count - 1));
    return starts;
}

/// Local frequency over the picture.
struct FrequencyField {
    Polynomial along, across;
    double mean = 0;  ///< along
    Frequency at(double x, double y) const { return {along.at(x, y), across.at(x, y)}; }
};

FrequencyField local_frequency(const Carrier& carrier, const CarrierRange& range) {
    const int columns = carrier.values.columns(), rows = carrier.values.rows();
    const double height = rows * carrier.step;
    struct Window {
        double x, y;
        Grid<float> power;
    };
    std::vector<Window> windows;
    Grid<float> mean(kShort, kLong, 0.0F);
    for (const int top : window_starts(rows, kShort))
        for (const int left : window_starts(columns, kLong)) {
            windows.push_back({left + 0.5 * std::min(kLong, columns),
                               (top + 0.5 * std::min(kShort, rows)) * carrier.step, spectrum(carrier, left, top)});
            std::transform(mean.begin(), mean.end(), windows.back().power.begin(), mean.begin(), std::plus<>());
        }
    const Peak middle =
        peak_in(mean, carrier.step, {1 / range.most_period, 1 / range.least_period, 0, range.most_lean});
    const double lean = middle.frequency.x > 0 ? middle.frequency.y / middle.frequency.x : 0;
    const Search near{0.74 * middle.frequency.x, 1.35 * middle.frequency.x, lean, 0.2};
    const int degree = windows.size() < 12 ? 1 : kFrequencyDegree;
    const Degrees degrees{degree, degree, degree};
    FrequencyField field{Polynomial(columns, height, degrees), Polynomial(columns, height, degrees),
                         middle.frequency.x};
    std::vector<Reading> along, across;
    for (const Window& window : windows) {
        const Peak peak = peak_in(window.power, carrier.step, near);
        const double weight = peak.strength * peak.strength;
        along.push_back({field.along.basis(window.x, window.y), peak.frequency.x, weight});
        across.push_back({field.across.basis(window.x, window.y), peak.frequency.y, weight});
    }
    fit(field.along, along, 0.04 * middle.frequency.x);
    fit(field.across, across, 0.04 * middle.frequency.x);
    return field;
}

// ---- phases at places

struct Node {
    double x = 0, y = 0;
    Frequency frequency;
    double phase = 0;     ///< turns, as measured: whole turns unknown
    double strength = 0;  ///< of the carrier over the root mean square in the window
    double off = 0;       ///< turns from the smooth phase
};

/// Bell times wave along one line of a window, so that a product with the line's real and imaginary parts by turns
/// gives the real part of what it holds of the wave, or the imaginary one.
struct Quadrature {
    Eigen::VectorXf real, imaginary;
    Eigen::VectorXd bells;
    double weight = 1e-12;  ///< of all bells

    Wave wave(Eigen::Index i) const { return {real[2 * i], imaginary[2 * i]}; }
};

/// Bells and waves go from one place to the next by products.
Quadrature quadrature(int from, int to, double middle, double deviation, double frequency) {
    const Eigen::Index count = std::max(0, to - from);
    Quadrature result{Eigen::VectorXf(2 * count), Eigen::VectorXf(2 * count), Eigen::VectorXd(count)};
    const double off = from + 0.5 - middle, sharpness = 1 / (deviation * deviation);
    double bell = std::exp(-0.5 * off * off * sharpness), growth = std::exp(-(off + 0.5) * sharpness);
    const double growth_change = std::exp(-sharpness);
    const double angle = -2 * std::numbers::pi * frequency;
    double re = std::cos(angle * off), im = std::sin(angle * off);
    const double turn_re = std::cos(angle), turn_im = std::sin(angle);
    for (Eigen::Index i = 0; i < count; ++i) {
        const auto a = static_cast<float>(bell * re), b = static_cast<float>(bell * im);
        result.real.segment<2>(2 * i) << a, -b;
        result.imaginary.segment<2>(2 * i) << b, a;
        result.bells[i] = bell;
        result.weight += bell;
        bell *= growth;
        growth *= growth_change;
        const double turned = re * turn_re - im * turn_im;
        im = re * turn_im + im * turn_re;
        re = turned;
    }
    return result;
}

/// Sums along one row of a window: with the wave, and of squares.
struct RowSums {
    Wave wave;
    double power = 0;
};

RowSums sums_along(const Wave* line, const Quadrature& over) {
    static_assert(sizeof(Wave) == 2 * sizeof(float), "a wave is its two parts side by side");
    const Eigen::Map<const Eigen::VectorXf> parts(reinterpret_cast<const float*>(line), over.real.size());
    return {
        {parts.dot(over.real), parts.dot(over.imaginary)},
        2 * static_cast<double>(parts.squaredNorm()) / static_cast<double>(std::max<Eigen::Index>(2, parts.size()))};
}

void measure(Node& node, const Carrier& carrier) {
    const double along = kBell / std::max(node.frequency.x, 1e-3), row = node.y / carrier.step;
    const int left = std::max(0, static_cast<int>(node.x - kReach * along));
    const int right = std::min(carrier.values.columns(), static_cast<int>(node.x + kReach * along) + 1);
    const int top = std::max(0, static_cast<int>(row - kReach * kBell));
    const int bottom = std::min(carrier.values.rows(), static_cast<int>(row + kReach * kBell) + 1);
    const Quadrature over = quadrature(left, right, node.x, along, node.frequency.x);
    const Quadrature down = quadrature(top, bottom, row, kBell, node.frequency.y * carrier.step);
    std::complex<double> sum = 0;
    double power = 0;
    for (int y = top; y < bottom; ++y) {
        const RowSums sums = sums_along(carrier.values.row(y) + left, over);
        sum += std::complex<double>(sums.wave * down.wave(y - top));
        power += down.bells[y - top] * sums.power;
    }
    const double rms = std::sqrt(power / down.weight) + 1e-9;
    node.phase = std::arg(sum) / (2 * std::numbers::pi);
    node.strength = std::abs(sum) / (over.weight * down.weight) / rms;
}

double weight_of(const Node& node) {
    const double over = std::max(0.0, node.strength - kNoiseStrength);
    return over * over + 1e-6;
}

double wrapped(double turns) {
    return turns - std::round(turns);
}

/// Places a few periods apart over the whole picture, up to its edges.
Grid<Node> places(const Carrier& carrier, double frequency) {
    const double width = carrier.values.columns(), height = carrier.values.rows() * carrier.step;
    const int columns = std::max(3, 1 + static_cast<int>(width * frequency / kNodePeriods));
    const int rows = std::max(3, 1 + carrier.values.rows() / kNodeSamples);
    Grid<Node> nodes(rows, columns);
    for (int r = 0; r < rows; ++r)
        for (int c = 0; c < columns; ++c) {
            nodes(r, c).x = c * width / (columns - 1);
            nodes(r, c).y = r * height / (rows - 1);
        }
    return nodes;
}

/// What phases change by from place to place: whole turns as the local frequency foretells. A place whose phase is
/// wrong spoils the steps to its neighbours and nothing beyond.
std::vector<Reading> steps_of(const Grid<Node>& nodes, const Polynomial& phase) {
    Grid<Eigen::VectorXd> bases(nodes.rows(), nodes.columns());
    for (int r = 0; r < nodes.rows(); ++r)
        for (int c = 0; c < nodes.columns(); ++c) bases(r, c) = phase.basis(nodes(r, c).x, nodes(r, c).y);
    std::vector<Reading> steps;
    const auto add = [&](int r, int c, int row, int column) {
        const Node &from = nodes(r, c), &to = nodes(row, column);
        const double ahead = 0.5 * ((from.frequency.x + to.frequency.x) * (to.x - from.x) +
                                    (from.frequency.y + to.frequency.y) * (to.y - from.y));
        steps.push_back({bases(row, column) - bases(r, c), ahead + wrapped(to.phase - from.phase - ahead),
                         std::min(weight_of(from), weight_of(to))});
    };
    for (int r = 0; r < nodes.rows(); ++r)
        for (int c = 0; c < nodes.columns(); ++c) {
            if (c + 1 < nodes.columns()) add(r, c, r, c + 1);
            if (r + 1 < nodes.rows()) add(r, c, r + 1, c);
        }
    return steps;
}

template <class FrequencyAt>
void measure_all(Grid<Node>& nodes, const Carrier& carrier, const FrequencyAt& frequency_at) {
    in_parallel(static_cast<std::size_t>(nodes.rows()), thread_count(0), [&] {
        return [&](std::size_t row) {
            Node* const first = nodes.row(static_cast<int>(row));
            for (Node* node = first; node < first + nodes.columns(); ++node) {
                node->frequency = frequency_at(node->x, node->y);
                measure(*node, carrier);
            }
        };
    });
}

/// Measures anew with the frequency of a phase found.
void measure_about(const Polynomial& phase, Grid<Node>& nodes, const Carrier& carrier) {
    measure_all(nodes, carrier, [&](double x, double y) {
        const double here = phase.at(x, y);
        return Frequency{phase.at(x + 1, y) - here, phase.at(x, y + 1) - here};
    });
}

/// The phase from its steps, then from the phases themselves, each with the whole turns that suit.
void settle(Polynomial& phase, Grid<Node>& nodes) {
    std::complex<double> common = 0;
    for (const Node& node : nodes)
        common += std::polar(weight_of(node), 2 * std::numbers::pi * (node.phase - phase.at(node.x, node.y)));
    phase.coefficients[0] += std::arg(common) / (2 * std::numbers::pi);
    for (int turn = 0; turn < 2; ++turn) {
        std::vector<Reading> readings;
        for (Node& node : nodes) {
            const double expected = phase.at(node.x, node.y);
            readings.push_back(
                {phase.basis(node.x, node.y), expected + wrapped(node.phase - expected), weight_of(node)});
        }
        fit(phase, readings, kOutlier);
    }
    for (Node& node : nodes) node.off = wrapped(node.phase - phase.at(node.x, node.y));
}

/// What the places still differ from the surface, averaged with their neighbours.
Grid<double> residue(const Grid<Node>& nodes) {
    Grid<double> off(nodes.rows(), nodes.columns());
    for (int r = 0; r < nodes.rows(); ++r)
        for (int c = 0; c < nodes.columns(); ++c) {
            double sum = 0, weights = 0.02;
            for (int row = std::max(0, r - 2); row <= std::min(nodes.rows() - 1, r + 2); ++row)
                for (int column = std::max(0, c - 2); column <= std::min(nodes.columns() - 1, c + 2); ++column) {
                    const Node& node = nodes(row, column);
                    const double trust = 1 / (1 + std::pow(node.off / kOutlier, 2));
                    const double weight = weight_of(node) * trust *
                                          std::exp(-0.5 * ((row - r) * (row - r) + (column - c) * (column - c)));
                    sum += weight * node.off;
                    weights += weight;
                }
            off(r, c) = sum / weights;
        }
    return off;
}

Sheet sheet_of(const Grid<Node>& nodes, const Polynomial& phase, double width, double height) {
    constexpr double kStep = 8;
    Sheet sheet = empty_sheet(width, height, kStep);
    const Sheet off{residue(nodes), 1};
    for (int r = 0; r < sheet.values.rows(); ++r)
        for (int c = 0; c < sheet.values.columns(); ++c) {
            // the sheet reaches over the picture's edge: there it goes on straight
            const double x = std::min(c * kStep, width), y = std::min(r * kStep, height);
            const double column = x / width * (nodes.columns() - 1);
            const double row = y / height * (nodes.rows() - 1);
            const double beyond_x = c * kStep - x, beyond_y = r * kStep - y, here = phase.at(x, y);
            double& value = sheet.values(r, c);
            value = here + off.at(column, row);
            if (beyond_x > 0) value += beyond_x * (here - phase.at(x - 1, y));
            if (beyond_y > 0) value += beyond_y * (here - phase.at(x, y - 1));
        }
    return sheet;
}

double median_strength(const Grid<Node>& nodes) {
    std::vector<double> strengths;
    for (const Node& node : nodes) strengths.push_back(node.strength);
    const auto middle = strengths.begin() + static_cast<std::ptrdiff_t>(strengths.size() / 2);
    std::nth_element(strengths.begin(), middle, strengths.end());
    return *middle;
}

void judge(Tracked& result, const Grid<Node>& nodes) {
    double squares = 0, weights = 0;
    int followed = 0;
    for (const Node& node : nodes) {
        squares += weight_of(node) * node.off * node.off;
        weights += weight_of(node);
        followed += std::abs(node.off) < kFollowed ? 1 : 0;
    }
    result.scatter = std::sqrt(squares / weights);
    result.followed = followed / static_cast<double>(nodes.size());
    result.strength = median_strength(nodes);
}

/// No more than the places can carry.
Degrees degrees_for(const Grid<Node>& nodes, int most) {
    return {std::clamp(nodes.columns() / 2, 2, most), std::clamp(nodes.rows() / 2, 2, most), most};
}

}  // namespace

Tracked tracked(const Carrier& carrier, const CarrierRange& range) {
    Tracked result;
    const FrequencyField frequency = local_frequency(carrier, range);
    if (frequency.mean <= 0) return result;
    Grid<Node> nodes = places(carrier, frequency.mean);
    measure_all(nodes, carrier, [&](double x, double y) { return frequency.at(x, y); });
    const double width = carrier.values.columns(), height = carrier.values.rows() * carrier.step;
    Polynomial phase(width, height, degrees_for(nodes, kFirstDegree));
    fit(phase, steps_of(nodes, phase), kOutlier);
    measure_about(phase, nodes, carrier);
    phase = Polynomial(width, height, degrees_for(nodes, kMostDegree));
    fit(phase, steps_of(nodes, phase), kOutlier);
    measure_about(phase, nodes, carrier);
    fit(phase, steps_of(nodes, phase), kOutlier);
    settle(phase, nodes);
    judge(result, nodes);
    result.phase = sheet_of(nodes, phase, width, height);
    result.found = true;
    return result;
}

double strength_along(const Carrier& carrier, const Sheet& phase) {
    const double width = carrier.values.columns(), height = carrier.values.rows() * carrier.step;
    Grid<Node> nodes = places(carrier, phase.slope(width / 2, height / 2).x);
    measure_all(nodes, carrier, [&](double x, double y) {
        const Slope slope = phase.slope(x, y);
        return Frequency{slope.x, slope.y};
    });
    return median_strength(nodes);
}

}  // namespace loopread
