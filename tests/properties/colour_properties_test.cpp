#include <cmath>

#include "loopread/colour/difference.h"
#include "loopread/colour/kubelka_munk.h"
#include "properties/any_blank.h"

using namespace loopread;
using namespace loopread::properties;

namespace {

constexpr double kRounding = 1e-9;  // of numbers about 1, through a cube root and back

Lab any_lab(const std::string& name) {
    return {number_in(0, 100, name + " L"), number_in(-120, 120, name + " a"), number_in(-120, 120, name + " b")};
}

LinearRgb any_light(const std::string& name, double least = 0, double most = 1) {
    return {number_in(least, most, name + " r"), number_in(least, most, name + " g"),
            number_in(least, most, name + " b")};
}

bool darker_or_as_light(LinearRgb a, LinearRgb b) {
    return a.r <= b.r + kRounding && a.g <= b.g + kRounding && a.b <= b.b + kRounding;
}

}  // namespace

TEST_SUITE("properties") {
    TEST_CASE("CIEDE2000 does not ask which colour comes first, is never below 0, and 0 for one colour alone") {
        // Both ways round within a rounding: the mean hue of two colours on opposite sides is a sum in another order.
        holds([] {
            const Lab a = any_lab("one"), b = any_lab("other");
            RC_ASSERT(std::abs(delta_e_2000(a, b) - delta_e_2000(b, a)) < kRounding);
            RC_ASSERT(delta_e_2000(a, a) == 0);
            RC_ASSERT(delta_e_2000(a, b) >= 0);
            RC_ASSERT((delta_e_2000(a, b) > 0) == !(a == b));
        });
    }

    TEST_CASE("a colour comes back from CIELAB, OKLab and XYZ, and 8 bits come back from light") {
        holds([] {
            const LinearRgb light = any_light("light");
            RC_ASSERT(largest_difference(linear_from_lab(lab_from_linear(light)), light) < kRounding);
            RC_ASSERT(largest_difference(linear_from_oklab(oklab_from_linear(light)), light) <
                      1e-6);  // published digits
            RC_ASSERT(largest_difference(linear_from_xyz(xyz_from_linear(light)), light) < kRounding);
            const Srgb8 stored = srgb8_from_linear(light);
            RC_ASSERT(srgb8_from_linear(linear_from_srgb8(stored)) == stored);
        });
    }

    TEST_CASE("K/S and back is the same reflectance") {
        holds([] {
            const double reflectance = number_in(1e-4, 1, "reflectance");
            RC_ASSERT(std::abs(reflectance_of(k_over_s_of(reflectance)) - reflectance) < kRounding);
            const LinearRgb light = any_light("light", 0.02, 0.98);
            RC_ASSERT(largest_difference(linear_from_k_over_s(k_over_s(light)), light) < kRounding);
        });
    }

    TEST_CASE("dyes on one fibre may be put on in any order, and more dye never makes it lighter") {
        holds([] {
            const KOverS undyed = k_over_s(any_light("undyed", 0.02, 0.98));
            const KOverS one = k_over_s(any_light("one dye", 0.02, 0.98)),
                         other = k_over_s(any_light("another", 0.02, 0.98));
            const LinearRgb both = linear_from_k_over_s(undyed + one + other);
            RC_ASSERT(largest_difference(both, linear_from_k_over_s(undyed + other + one)) < kRounding);
            RC_ASSERT(darker_or_as_light(both, linear_from_k_over_s(undyed + one)));
            RC_ASSERT(darker_or_as_light(linear_from_k_over_s(undyed + one), linear_from_k_over_s(undyed)));
        });
    }
}
