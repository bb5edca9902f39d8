#pragma once

#include <cmath>
#include <cstring>

namespace feldspar::kernel {

/// sin(x) and cos(x) without branches, so that loops over it vectorise.
///
/// Reduction by pi/2 in three parts, then polynomials fitted at Chebyshev nodes (2^-56 for sin, 2^-61 for
/// cos): within 3e-16 absolute for |x| <= 1e4, beyond that use libm. Relies on rounding to nearest; never
/// compile with -ffast-math.
[[gnu::always_inline]] inline void sincos(double x, double& s, double& c) noexcept {
  constexpr double kS[6] = {-0x1.5555555555555p-3, 0x1.1111111110ba5p-7,   -0x1.a01a019e8069ap-13,
                            0x1.71de3792528abp-19, -0x1.ae60069ee3ecfp-26, 0x1.5e09858a97437p-33};
  constexpr double kC[6] = {0x1.5555555555555p-5,   -0x1.6c16c16c16960p-10, 0x1.a01a019f4d0f0p-16,
                            -0x1.27e4fa15bdc69p-22, 0x1.1eeb66b6cb12cp-29,  -0x1.907c0e977e8bdp-37};
  constexpr double kHalfPi1 = 0x1.921fb54400000p+0;
  constexpr double kHalfPi2 = 0x1.0b4611a600000p-34;
  constexpr double kHalfPi3 = 0x1.3198a2e037073p-69;
  constexpr double kTwoOverPi = 0x1.45f306dc9c883p-1;
  const double q = x * kTwoOverPi + 0x1.8p52;  // the low bits of q hold the quadrant
  const double n = q - 0x1.8p52;
  long long quadrant = 0;
  std::memcpy(&quadrant, &q, sizeof q);
  const double r = ((x - n * kHalfPi1) - n * kHalfPi2) - n * kHalfPi3;
  const double t = r * r;
  const double ps = r + r * t * (kS[0] + t * (kS[1] + t * (kS[2] + t * (kS[3] + t * (kS[4] + t * kS[5])))));
  const double pc =
      (1.0 - 0.5 * t) + t * t * (kC[0] + t * (kC[1] + t * (kC[2] + t * (kC[3] + t * (kC[4] + t * kC[5])))));
  const bool swapped = (quadrant & 1) != 0;
  const double a = swapped ? pc : ps;
  const double b = swapped ? ps : pc;
  s = (quadrant & 2) != 0 ? -a : a;
  c = ((quadrant + 1) & 2) != 0 ? -b : b;
}

/// exp(x) for x <= 0 without branches: within 4e-16 relative down to -700, below that 1e-304.
[[gnu::always_inline]] inline double decay(double x) noexcept {
  x = x > -700.0 ? x : -700.0;
  const double q = x * 0x1.71547652b82fep+0 + 0x1.8p52;  // the low bits of q hold the power of two
  const double n = q - 0x1.8p52;
  long long power = 0;
  std::memcpy(&power, &q, sizeof q);
  const double r = (x - n * 0x1.62e42feep-1) - n * 0x1.a39ef35793c76p-33;
  double p = r * (1.0 / 6227020800.0) + 1.0 / 479001600.0;
  p = p * r + 1.0 / 39916800.0;
  p = p * r + 1.0 / 3628800.0;
  p = p * r + 1.0 / 362880.0;
  p = p * r + 1.0 / 40320.0;
  p = p * r + 1.0 / 5040.0;
  p = p * r + 1.0 / 720.0;
  p = p * r + 1.0 / 120.0;
  p = p * r + 1.0 / 24.0;
  p = p * r + 1.0 / 6.0;
  p = p * r + 0.5;
  p = p * r + 1.0;
  p = p * r + 1.0;
  long long bits = 0;
  std::memcpy(&bits, &p, sizeof p);
  bits += power << 52;
  std::memcpy(&p, &bits, sizeof p);
  return p;
}

}  // namespace feldspar::kernel
