// The shares of the loop cell found again the slow way: the tubes as meshes of triangles, made from the formula of the
// curve written out once more, and a ray from the middle of every facet to either side. Nothing here but the cell that
// is checked comes from the library.
#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <vector>

#include "loopread/loop/cell.h"

using namespace loopread;

namespace {

constexpr double kPi = std::numbers::pi;
constexpr int kPerPlace = 4;  // segments of the mesh to one place of the cell
constexpr int kSegments = LoopCell::kPlaces * kPerPlace;
constexpr int kFacets = 48;  // round the yarn
constexpr double kAgreement = 0.01;

struct Vec {
    double x, y, z;
};
Vec operator+(Vec a, Vec b) {
    return {a.x + b.x, a.y + b.y, a.z + b.z};
}
Vec operator-(Vec a, Vec b) {
    return {a.x - b.x, a.y - b.y, a.z - b.z};
}
Vec operator*(double f, Vec a) {
    return {f * a.x, f * a.y, f * a.z};
}
double inner(Vec a, Vec b) {
    return a.x * b.x + a.y * b.y + a.z * b.z;
}
Vec outer(Vec a, Vec b) {
    return {a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}
Vec unit_of(Vec a) {
    return (1 / std::sqrt(inner(a, a))) * a;
}

/// [Crane 2023] Eq. 1 in stitch widths; t = 0 is the top of the needle arc, z grows towards the technical back.
struct Curve {
    double course_spacing, height;
    Vec at(double t) const {
        return {(t + 1.487 * std::sin(2 * t)) / (2 * kPi), height / 2 * std::cos(t), 0.2 * std::cos(2 * t)};
    }
};

/// Length along the curve from t = -pi, by chords.
std::vector<double> chord_sums(const Curve& curve) {
    constexpr int kChords = 20000;
    std::vector<double> sum{0};
    for (int i = 0; i < kChords; ++i) {
        const Vec chord = curve.at(-kPi + 2 * kPi * (i + 1) / kChords) - curve.at(-kPi + 2 * kPi * i / kChords);
        sum.push_back(sum.back() + std::sqrt(inner(chord, chord)));
    }
    return sum;
}

Curve curve_of_length(double wale_per_course, double length) {
    Curve curve{1 / wale_per_course, 0};
    double low = 0.5;
    double high = 2.5;
    for (int i = 0; i < 40; ++i) {
        curve.height = (low + high) / 2;
        (chord_sums(curve).back() < length ? low : high) = curve.height;
    }
    return curve;
}

/// Parameters at the ends of equally long segments.
std::vector<double> segment_ends(const Curve& curve) {
    const std::vector<double> sum = chord_sums(curve);
    std::vector<double> ends;
    std::size_t k = 0;
    for (int i = 0; i <= kSegments; ++i) {
        const double wanted = sum.back() * i / kSegments;
        while (k + 2 < sum.size() && sum[k + 1] < wanted) ++k;
        const double share = (wanted - sum[k]) / (sum[k + 1] - sum[k]);
        ends.push_back(-kPi + 2 * kPi * (static_cast<double>(k) + share) / static_cast<double>(sum.size() - 1));
    }
    return ends;
}

struct Triangle {
    Vec a, b, c;
    int facet;  // of the repeat's own loop; -1 for its neighbours
};

/// The ways in which strands may lie in a loop.
struct Bundle {
    int strands;
    double angle;  // of strand 1 about the centreline, from +z towards tangent x (+z)
};

using Ring = std::array<Vec, kFacets>;

/// Where a strand's own middle lies.
Vec strand_middle(const Curve& curve, Bundle bundle, int strand, double t) {
    if (bundle.strands == 1) return curve.at(t);
    constexpr double kStep = 1e-5;
    const Vec along = unit_of(curve.at(t + kStep) - curve.at(t - kStep));
    const Vec side = unit_of(outer(along, {0, 0, 1}));
    const Vec out = outer(side, along);
    const double off = (strand == 0 ? 1 : -1) * 0.25 / std::numbers::sqrt2 / 2;
    return curve.at(t) + off * (std::cos(bundle.angle) * out + std::sin(bundle.angle) * side);
}

/// Corners of a cross-section, across the strand's own way. The polygon is as large as the circle.
Ring ring(const Curve& curve, Bundle bundle, int strand, double t) {
    constexpr double kStep = 1e-4;
    const Vec along =
        unit_of(strand_middle(curve, bundle, strand, t + kStep) - strand_middle(curve, bundle, strand, t - kStep));
    const Vec side = unit_of(outer(along, {0, 0, 1}));
    const Vec out = outer(side, along);
    const double diameter = bundle.strands == 1 ? 0.25 : 0.25 / std::numbers::sqrt2;
    const double corner = diameter / 2 * std::sqrt(2 * kPi / kFacets / std::sin(2 * kPi / kFacets));
    const Vec middle = strand_middle(curve, bundle, strand, t);
    Ring corners;
    for (int k = 0; k < kFacets; ++k) {
        const double turn = 2 * kPi * k / kFacets;
        corners[static_cast<std::size_t>(k)] = middle + corner * (std::cos(turn) * out + std::sin(turn) * side);
    }
    return corners;
}

struct Facet {
    Vec middle, normal;
};

/// The tubes near one loop, found by place in the plane.
class Tubes {
public:
    Tubes(const Curve& curve, Bundle bundle) : cells_(kAcross * kAlong) {
        const std::vector<double> ends = segment_ends(curve);
        for (int strand = 0; strand < bundle.strands; ++strand) {
            std::vector<Ring> rings;
            for (const double t : ends) rings.push_back(ring(curve, bundle, strand, t));
            for (int i = 0; i < kSegments; ++i) add_segment(rings, i, curve.course_spacing);
        }
    }

    /// Facet k of segment i of a strand.
    const Facet& facet(int strand, int i, int k) const { return facets_[index(strand, i, k)]; }

    /// Whether any tube lies between a facet's middle and the viewer, who looks along z from one side.
    bool hidden(int strand, int i, int k, double toward_viewer) const {
        const std::size_t own = index(strand, i, k);
        const Vec from = facets_[own].middle;
        for (const Triangle& triangle : cells_[static_cast<std::size_t>(row(from.y) * kAcross + column(from.x))])
            if (triangle.facet != static_cast<int>(own) && hit(triangle, from, {0, 0, toward_viewer})) return true;
        return false;
    }

private:
    static constexpr int kAcross = 60;
    static constexpr int kAlong = 80;
    static constexpr double kHalfWidth = 0.75;
    static constexpr double kHalfHeight = 1.0;

    static int column(double x) {
        return std::clamp(static_cast<int>((x + kHalfWidth) / (2 * kHalfWidth) * kAcross), 0, kAcross - 1);
    }
    static int row(double y) {
        return std::clamp(static_cast<int>((y + kHalfHeight) / (2 * kHalfHeight) * kAlong), 0, kAlong - 1);
    }
    static std::size_t index(int strand, int i, int k) {
        return static_cast<std::size_t>((strand * kSegments + i) * kFacets + k);
    }

    /// [Moller 1997].
    static bool hit(const Triangle& triangle, Vec from, Vec along) {
        constexpr double kNear = 1e-6;
        const Vec edge1 = triangle.b - triangle.a;
        const Vec edge2 = triangle.c - triangle.a;
        const Vec p = outer(along, edge2);
        const double determinant = inner(edge1, p);
        if (std::abs(determinant) < 1e-15) return false;
        const Vec s = from - triangle.a;
        const double u = inner(s, p) / determinant;
        if (u < 0 || u > 1) return false;
        const Vec q = outer(s, edge1);
        const double v = inner(along, q) / determinant;
        if (v < 0 || u + v > 1) return false;
        return inner(edge2, q) / determinant > kNear;
    }

    void add_segment(const std::vector<Ring>& rings, int i, double course_spacing) {
        const Ring& here = rings[static_cast<std::size_t>(i)];
        const Ring& next = rings[static_cast<std::size_t>(i) + 1];
        for (std::size_t k = 0; k < kFacets; ++k) {
            const std::size_t l = (k + 1) % kFacets;
            const Vec a = here[k], b = here[l], c = next[l], d = next[k];
            const int facet = static_cast<int>(facets_.size());
            facets_.push_back({0.25 * (a + b + c + d), outer(b - d, c - a)});
            for (int up = -2; up <= 2; ++up)
                for (int right = -2; right <= 2; ++right) {
                    const Vec shift{static_cast<double>(right), up * course_spacing, 0};
                    const int owner = right == 0 && up == 0 ? facet : -1;
                    add({a + shift, b + shift, c + shift, owner});
                    add({a + shift, c + shift, d + shift, owner});
                }
        }
    }

    void add(const Triangle& t) {
        const auto [left, right] = std::minmax({t.a.x, t.b.x, t.c.x});
        const auto [bottom, top] = std::minmax({t.a.y, t.b.y, t.c.y});
        if (right < -kHalfWidth || left > kHalfWidth || top < -kHalfHeight || bottom > kHalfHeight) return;
        for (int r = row(bottom); r <= row(top); ++r)
            for (int c = column(left); c <= column(right); ++c)
                cells_[static_cast<std::size_t>(r * kAcross + c)].push_back(t);
    }

    std::vector<Facet> facets_;
    std::vector<std::vector<Triangle>> cells_;
};

/// Mean share over the places of each part in the order of travel, and over all of them.
struct PartShares {
    std::array<double, 4> part{};  // sinker, leg1, needle, leg2
    double all = 0;
};

std::size_t part_of(int place) {
    const double at = (place + 0.5) / LoopCell::kPlaces;
    if (at < 0.145 || at > 0.855) return 0;
    return at < 0.355 ? 1 : at < 0.645 ? 2 : 3;
}

template <class ShareAt>
PartShares means(ShareAt share_at) {
    PartShares shares;
    std::array<int, 4> places{};
    for (int place = 0; place < LoopCell::kPlaces; ++place) {
        const double share = share_at(place);
        shares.part[part_of(place)] += share;
        shares.all += share / LoopCell::kPlaces;
        ++places[part_of(place)];
    }
    for (std::size_t part = 0; part < 4; ++part) shares.part[part] /= places[part];
    return shares;
}

PartShares shares_by_rays(const Tubes& tubes, Side side, int strand) {
    const double toward_viewer = side == Side::face ? -1 : 1;
    return means([&](int place) {
        int shown = 0;
        for (int i = place * kPerPlace; i < (place + 1) * kPerPlace; ++i)
            for (int k = 0; k < kFacets; ++k)
                if (tubes.facet(strand, i, k).normal.z * toward_viewer > 0 &&
                    !tubes.hidden(strand, i, k, toward_viewer))
                    ++shown;
        return static_cast<double>(shown) / (kPerPlace * kFacets);
    });
}

void check_alike(LoopProportions proportions, Bundle bundle) {
    const Tubes tubes(curve_of_length(proportions.wale_per_course, proportions.length_per_wale), bundle);
    const LoopCell cell(LoopShape(proportions), bundle.strands, bundle.angle);
    for (const Side side : {Side::face, Side::back})
        for (int strand = 0; strand < bundle.strands; ++strand) {
            const PartShares slow = shares_by_rays(tubes, side, strand);
            const PartShares fast = means([&](int place) { return cell.share(side, strand, place); });
            CAPTURE(static_cast<int>(side));
            CAPTURE(strand);
            CHECK(std::abs(slow.all - fast.all) < kAgreement);
            for (std::size_t part = 0; part < 4; ++part) {
                CAPTURE(part);
                CAPTURE(slow.part[part]);
                CAPTURE(fast.part[part]);
                CHECK(std::abs(slow.part[part] - fast.part[part]) < kAgreement);
            }
        }
}

}  // namespace

TEST_SUITE("loop") {
    TEST_CASE("rays through a mesh of the tubes find the same shares of one strand") {
        constexpr LoopProportions kShapes[] = {
            {1.15, 4.482}, {1.25, 4.299}, {1.31, 4.199}, {1.40, 4.062}, {1.45, 3.991}};
        for (const LoopProportions& shape : kShapes) {
            CAPTURE(shape.wale_per_course);
            check_alike(shape, {1, 0});
        }
    }

    TEST_CASE("rays through a mesh of the tubes find the same shares of two strands, whichever way they wind") {
        for (const double degrees : {0.0, 50.0, -50.0, 110.0}) {
            CAPTURE(degrees);
            check_alike({1.31, 4.199}, {2, degrees * kPi / 180});
        }
    }

    TEST_CASE("rays tell a winding from its mirror image, so the sense of the angle is checked") {
        const Curve curve = curve_of_length(1.31, 4.199);
        const PartShares one = shares_by_rays(Tubes(curve, {2, 50 * kPi / 180}), Side::face, 0);
        const PartShares other = shares_by_rays(Tubes(curve, {2, -50 * kPi / 180}), Side::face, 0);
        double most = 0;
        for (std::size_t part = 0; part < 4; ++part) most = std::max(most, std::abs(one.part[part] - other.part[part]));
        CHECK(most > 5 * kAgreement);
    }
}
