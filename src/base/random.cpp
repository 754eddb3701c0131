#include "loopread/base/random.h"

#include <cmath>
#include <cstddef>

#include "loopread/base/require.h"

namespace loopread {
namespace {

std::uint64_t mixed(std::uint64_t z) {  // the output step of SplitMix64
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9ULL;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebULL;
    return z ^ (z >> 31);
}

double unit_interval(std::uint64_t bits) {  // 53 bits, centred in their cell, so neither 0 nor 1
    return (static_cast<double>(bits >> 11) + 0.5) * 0x1.0p-53;
}

/// Natural logarithm by the four operations alone: x = m 2^e with m in [sqrt(1/2), sqrt(2)), then the series of
/// 2 artanh((m - 1) / (m + 1)), whose ratio is under 0.0295, so that 12 terms reach double precision.
double plain_log(double x) {
    int exponent = 0;
    double m = std::frexp(x, &exponent);
    if (m < 0.70710678118654752) {
        m *= 2;
        --exponent;
    }
    const double t = (m - 1) / (m + 1);
    double sum = 0;
    for (int k = 11; k >= 0; --k) sum = sum * t * t + 1.0 / (2 * k + 1);
    return 2 * t * sum + exponent * 0.69314718055994531;
}

template <std::size_t N>
double polynomial(const double (&c)[N], double x) {
    double sum = 0;
    for (std::size_t i = N; i-- > 0;) sum = sum * x + c[i];
    return sum;
}

}  // namespace

Random::Random(std::uint64_t seed, std::uint64_t purpose)
    : state_(mixed(seed + 0x9e3779b97f4a7c15ULL) ^ mixed(~purpose)) {}

std::uint64_t Random::bits() {
    state_ += 0x9e3779b97f4a7c15ULL;
    return mixed(state_);
}

double Random::uniform() {
    return unit_interval(bits());
}

double Random::normal() {
    return normal_quantile(uniform());
}

double hashed_unit(std::uint64_t seed, std::int64_t a, std::int64_t b, std::int64_t c) {
    std::uint64_t h = mixed(seed + 0x9e3779b97f4a7c15ULL);
    h = mixed(h ^ static_cast<std::uint64_t>(a) * 0x9e3779b97f4a7c15ULL);
    h = mixed(h ^ static_cast<std::uint64_t>(b) * 0xc2b2ae3d27d4eb4fULL);
    h = mixed(h ^ static_cast<std::uint64_t>(c) * 0x165667b19e3779f9ULL);
    return static_cast<double>(h >> 11) * 0x1.0p-53;
}

double normal_quantile(double p) {
    require(p > 0 && p < 1, "a probability is strictly between 0 and 1");
    static constexpr double kA[] = {3.3871328727963666080e0, 1.3314166789178437745e2, 1.9715909503065514427e3,
                                    1.3731693765509461125e4, 4.5921953931549871457e4, 6.7265770927008700853e4,
                                    3.3430575583588128105e4, 2.5090809287301226727e3};
    static constexpr double kB[] = {1.0,
                                    4.2313330701600911252e1,
                                    6.8718700749205790830e2,
                                    5.3941960214247511077e3,
                                    2.1213794301586595867e4,
                                    3.9307895800092710610e4,
                                    2.8729085735721942674e4,
                                    5.2264952788528545610e3};
    static constexpr double kC[] = {1.42343711074968357734e0,  4.63033784615654529590e0, 5.76949722146069140550e0,
                                    3.64784832476320460504e0,  1.27045825245236838258e0, 2.41780725177450611770e-1,
                                    2.27238449892691845833e-2, 7.74545014278341407640e-4};
    static constexpr double kD[] = {1.0,
                                    2.05319162663775882187e0,
                                    1.67638483018380384940e0,
                                    6.89767334985100004550e-1,
                                    1.48103976427480074590e-1,
                                    1.51986665636164571966e-2,
                                    5.47593808499534494600e-4,
                                    1.05075007164441684324e-9};
    static constexpr double kE[] = {6.65790464350110377720e0,  5.46378491116411436990e0,  1.78482653991729133580e0,
                                    2.96560571828504891230e-1, 2.65321895265761230930e-2, 1.24266094738807843860e-3,
                                    2.71155556874348757815e-5, 2.01033439929228813265e-7};
    static constexpr double kF[] = {1.0,
                                    5.99832206555887937690e-1,
                                    1.36929880922735805310e-1,
                                    1.48753612908506148525e-2,
                                    7.86869131145613259100e-4,
                                    1.84631831751005468180e-5,
                                    1.42151175831644588870e-7,
                                    2.04426310338993978564e-15};
    const double q = p - 0.5;
    if (std::abs(q) <= 0.425) {
        const double r = 0.180625 - q * q;
        return q * polynomial(kA, r) / polynomial(kB, r);
    }
    const double r = std::sqrt(-plain_log(q < 0 ? p : 1 - p));
    const double tail =
        r <= 5 ? polynomial(kC, r - 1.6) / polynomial(kD, r - 1.6) : polynomial(kE, r - 5) / polynomial(kF, r - 5);
    return q < 0 ? -tail : tail;
}

}  // namespace loopread
