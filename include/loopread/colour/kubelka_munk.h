#pragma once

#include "loopread/colour/spaces.h"

namespace loopread {

/// Absorption over scattering of each channel of a dyed fibre; dyes on ONE fibre add here.
/// What the eye mixes (two strands, two sides of one thread) averages as LinearRgb instead.
struct KOverS {
    double r = 0, g = 0, b = 0;

    KOverS operator+(KOverS o) const { return {r + o.r, g + o.g, b + o.b}; }
    KOverS operator-(KOverS o) const { return {r - o.r, g - o.g, b - o.b}; }
    KOverS operator*(double f) const { return {r * f, g * f, b * f}; }
};

/// K/S = (1 - R)^2 / (2R), R clamped to [0.02, 0.98] first: R = 0 would be infinite, and additivity fails below about 5
/// %. Validity: a camera channel is a broad band, so this is an approximation. Source: [Kubelka 1931].
KOverS k_over_s(LinearRgb reflectance);

/// R = 1 / (1 + K/S + sqrt(K/S^2 + 2 K/S)); negative K/S counts as 0. Source: [Kubelka 1931], in its stable form.
LinearRgb linear_from_k_over_s(KOverS value);

/// One channel each way, unclamped; R in (0, 1].
double k_over_s_of(double reflectance);
double reflectance_of(double k_over_s);

}  // namespace loopread
