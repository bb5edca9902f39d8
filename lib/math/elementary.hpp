#pragma once

#include <bit>

/// sin, cos and exp without branches, for one double or several at once (math/lanes.hpp), so that loops over
/// them vectorise. Rely on rounding to nearest; never compile with -ffast-math.
namespace feldspar::math {

/// sin(x) and cos(x): reduction by pi/2 in three parts, then polynomials fitted at Chebyshev nodes (2^-56 for
/// sin, 2^-61 for cos). Within 3e-16 absolute for |x| <= 1e4, 4e-16 for 1e5. @tparam Ints integers of the
/// size of T
template <class Ints, class T>
[[gnu::always_inline]] inline void sine_cosine(T x, T& sine, T& cosine) noexcept {
  constexpr double kS[6] = {-0x1.5555555555555p-3, 0x1.1111111110ba5p-7,   -0x1.a01a019e8069ap-13,
                            0x1.71de3792528abp-19, -0x1.ae60069ee3ecfp-26, 0x1.5e09858a97437p-33};
  constexpr double kC[6] = {0x1.5555555555555p-5,   -0x1.6c16c16c16960p-10, 0x1.a01a019f4d0f0p-16,
                            -0x1.27e4fa15bdc69p-22, 0x1.1eeb66b6cb12cp-29,  -0x1.907c0e977e8bdp-37};
  const T q = x * 0x1.45f306dc9c883p-1 + 0x1.8p52;  // the low bits hold the quadrant
  const T n = q - 0x1.8p52;
  const auto quadrant = std::bit_cast<Ints>(q);
  const T r = ((x - n * 0x1.921fb54400000p+0) - n * 0x1.0b4611a600000p-34) - n * 0x1.3198a2e037073p-69;
  const T t = r * r;
  const T ps = r + r * t * (kS[0] + t * (kS[1] + t * (kS[2] + t * (kS[3] + t * (kS[4] + t * kS[5])))));
  const T pc =
      (1.0 - 0.5 * t) + t * t * (kC[0] + t * (kC[1] + t * (kC[2] + t * (kC[3] + t * (kC[4] + t * kC[5])))));
  const auto swapped = (quadrant & 1) != 0;
  const T a = swapped ? pc : ps;
  const T b = swapped ? ps : pc;
  sine = (quadrant & 2) != 0 ? -a : a;
  cosine = ((quadrant + 1) & 2) != 0 ? -b : b;
}

/// exp(x), relative error below 4e-16 for |x| <= 700; 1e-304 below, clamped above.
template <class Ints, class T>
[[gnu::always_inline]] inline T exponential(T x) noexcept {
  const T most = T{} + 700.0;
  x = x > -700.0 ? x : -most;
  x = x < 700.0 ? x : most;
  const T q = x * 0x1.71547652b82fep+0 + 0x1.8p52;  // the low bits hold the power of two
  const T n = q - 0x1.8p52;
  const auto power = std::bit_cast<Ints>(q);
  const T r = (x - n * 0x1.62e42feep-1) - n * 0x1.a39ef35793c76p-33;
  T p = r * (1.0 / 6227020800.0) + 1.0 / 479001600.0;
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
  return std::bit_cast<T>(std::bit_cast<Ints>(p) + (power << 52));
}

}  // namespace feldspar::math
