#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#include <vector>

#include "features.h"
#include "terms.h"

namespace loopread {
namespace {

using Complex = std::complex<double>;

constexpr std::size_t kWindowRounds = 48;   // chosen: longer than most patterns, short enough that motifs may change
constexpr std::size_t kFewestForWaves = 8;  // rounds
constexpr std::size_t kShortestWave = 4;    // stitches; shorter ones are flecks
constexpr double kEyeCycles = 0.35;         // a stitch width; chosen: finer waves blur at arm's length
constexpr double kRowsPerStitch = 1.31;     // rows in a stitch's width, of relaxed plain fabric
constexpr double kCrossingFrom = 0.6;       // of the strongest wave's power, in its mirror image

/// Rotations 0, 1, ... of a full turn in `steps`.
std::vector<Complex> turns(std::size_t steps) {
    std::vector<Complex> out(steps);
    for (std::size_t i = 0; i < steps; ++i)
        out[i] = std::polar(1.0, -2 * std::numbers::pi * static_cast<double>(i) / static_cast<double>(steps));
    return out;
}

/// Falls to nothing at either end, so that the cut makes no waves of its own.
std::vector<double> hann_window(std::size_t rounds) {
    std::vector<double> out(rounds);
    for (std::size_t j = 0; j < rounds; ++j)
        out[j] =
            0.5 - 0.5 * std::cos(2 * std::numbers::pi * (static_cast<double>(j) + 0.5) / static_cast<double>(rounds));
    return out;
}

/// at + step, round and round; a division a term would cost more than the term. @param step  at most `whole`
std::size_t stepped_round(std::size_t at, std::size_t step, std::size_t whole) {
    return at + step >= whole ? at + step - whole : at + step;
}

/// As operator* for finite numbers, without its look-out for others.
Complex product(Complex a, Complex b) {
    return {a.real() * b.real() - a.imag() * b.imag(), a.real() * b.imag() + a.imag() * b.real()};
}

/// One channel's waves across each round: rounds x waves, wave i having i + 1 crests in a round.
using Waves = std::vector<std::vector<Complex>>;

Waves waves_across(const Rows& rows, std::size_t channel, std::size_t count) {
    const std::size_t n = rows.columns();
    const std::vector<Complex> turn = turns(n);
    Waves waves(rows.rows(), std::vector<Complex>(count));
    for (std::size_t r = 0; r < rows.rows(); ++r)
        for (std::size_t wave = 0; wave < count; ++wave) {
            Complex sum = 0;
            const double* const row = rows.row(channel, r);
            for (std::size_t c = 0, at = 0; c < n; ++c, at = stepped_round(at, wave + 1, n)) sum += row[c] * turn[at];
            waves[r][wave] = sum;
        }
    return waves;
}

/// Power of each wave across and along, windows and channels added up: waves x steps along.
class Spectrum {
public:
    Spectrum(std::size_t stitches, std::size_t window)
        : stitches_(stitches),
          window_(window),
          turn_(turns(window)),
          hann_(hann_window(window)),
          power_(std::max<std::size_t>(1, stitches / kShortestWave), std::vector<double>(window, 0)) {}

    std::size_t waves() const { return power_.size(); }

    void add(const Waves& waves) {
        for (std::size_t start = 0; start + window_ <= waves.size(); start += std::max<std::size_t>(1, window_ / 2))
            for (std::size_t wave = 0; wave < power_.size(); ++wave)
                for (std::size_t along = 0; along < window_; ++along)
                    power_[wave][along] += power(waves, start, wave, along);
    }

    StandingPattern strongest() const {
        double whole = 0, best = 0;
        std::size_t best_wave = 0, best_along = 0;
        for (std::size_t wave = 0; wave < power_.size(); ++wave)
            for (std::size_t along = 0; along < window_; ++along) {
                whole += power_[wave][along];
                const double seen = power_[wave][along] * eye(wave, along);
                if (seen > best) {
                    best = seen;
                    best_wave = wave;
                    best_along = along;
                }
            }
        if (!(whole > 0)) return {};
        StandingPattern pattern{.share = best / whole};
        // Between the steps: the middle of the peak.
        double weight = 0, moved = 0;
        for (const std::ptrdiff_t step : {-1, 0, 1}) {
            const double here = power_[best_wave][stepped(best_along, step)];
            weight += here;
            moved += here * (cycles_along(best_along) + static_cast<double>(step) / static_cast<double>(window_));
        }
        pattern.lean = -moved / weight / cycles_across(best_wave);
        const double mirrored = power_[best_wave][(window_ - best_along) % window_];
        pattern.crossing = best_along != 0 && mirrored > kCrossingFrom * power_[best_wave][best_along];
        return pattern;
    }

private:
    double power(const Waves& waves, std::size_t start, std::size_t wave, std::size_t along) const {
        Complex sum = 0;
        for (std::size_t j = 0, at = 0; j < window_; ++j, at = stepped_round(at, along, window_))
            sum += product(hann_[j] * waves[start + j][wave], turn_[at]);
        return std::norm(sum);
    }
    std::size_t stepped(std::size_t along, std::ptrdiff_t step) const {
        return static_cast<std::size_t>(static_cast<std::ptrdiff_t>(along + window_) + step) % window_;
    }
    double cycles_across(std::size_t wave) const {
        return static_cast<double>(wave + 1) / static_cast<double>(stitches_);
    }
    double cycles_along(std::size_t along) const {  // a round, from -1/2 on
        const double cycles = static_cast<double>(along) / static_cast<double>(window_);
        return cycles > 0.5 ? cycles - 1 : cycles;
    }
    double eye(std::size_t wave, std::size_t along) const {
        const double across = cycles_across(wave), up = kRowsPerStitch * cycles_along(along);
        return std::exp(-(across * across + up * up) / (kEyeCycles * kEyeCycles));
    }

    std::size_t stitches_, window_;
    std::vector<Complex> turn_;
    std::vector<double> hann_;
    std::vector<std::vector<double>> power_;
};

}  // namespace

StandingPattern standing_pattern(const PlainRounds& plain) {
    const auto n = static_cast<std::size_t>(plain.stitches);
    if (plain.stitches <= 2 * kWidestLean || plain.rounds() < kFewestForWaves) return {};
    // Windows reach over the joint of two stretches; a joint in some hundred rounds does not matter here.
    StitchSums sums;
    sums.assign(plain.stitch, {});
    std::vector<std::size_t> bounds;
    assign_bounds(bounds, n, plain.rounds());
    RoundMeans means;
    assign_round_means(means, sums, bounds);
    Rows rows;
    rows.assign(sums, means, n, plain.worked);
    Spectrum spectrum(n, std::min(kWindowRounds, plain.rounds()));
    for (std::size_t channel = 0; channel < kChannels; ++channel)
        spectrum.add(waves_across(rows, channel, spectrum.waves()));
    return spectrum.strongest();
}

}  // namespace loopread
