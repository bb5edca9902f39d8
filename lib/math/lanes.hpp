#pragma once

#include <bit>
#include <cmath>
#include <cstddef>
#include <cstring>

/// Four doubles at once, with the vector extension of GCC and Clang; the compiler splits them where the
/// processor has no such registers. Everything is always_inline, so that a function with target("avx2,fma")
/// gets the fast form. Sources that include this need -Wno-psabi (values never cross a call) and
/// -fno-math-errno (for sqrt).
namespace feldspar::math {

using Lanes = double __attribute__((vector_size(32)));
using LaneInts = long long __attribute__((vector_size(32)));
inline constexpr std::size_t kLanes = 4;

[[gnu::always_inline]] inline Lanes load_lanes(const double* from) noexcept {
  Lanes lanes;
  std::memcpy(&lanes, from, sizeof lanes);
  return lanes;
}
[[gnu::always_inline]] inline void store_lanes(double* to, Lanes lanes) noexcept {
  std::memcpy(to, &lanes, sizeof lanes);
}
[[gnu::always_inline]] inline Lanes all_lanes(double x) noexcept {
  return Lanes{x, x, x, x};
}

[[gnu::always_inline]] inline Lanes sqrt_lanes(Lanes x) noexcept {
  return Lanes{std::sqrt(x[0]), std::sqrt(x[1]), std::sqrt(x[2]), std::sqrt(x[3])};
}

/// sin(x) and cos(x), absolute error below 4e-16 for |x| <= 1e5. Reduction by pi/2 in three parts, then the
/// Taylor series to x^15 and x^16 on |x| <= pi/4. Relies on rounding to nearest.
[[gnu::always_inline]] inline void sincos_lanes(Lanes x, Lanes& sine, Lanes& cosine) noexcept {
  const Lanes q = x * 0x1.45f306dc9c883p-1 + 0x1.8p52;  // the low bits hold the quadrant
  const Lanes n = q - 0x1.8p52;
  const auto quadrant = std::bit_cast<LaneInts>(q);
  const Lanes r = ((x - n * 0x1.921fb544p+0) - n * 0x1.0b4611a6p-34) - n * 0x1.3198a2e037073p-69;
  const Lanes t = r * r;
  Lanes s = t * (-1.0 / 1307674368000.0) + 1.0 / 6227020800.0;
  s = s * t - 1.0 / 39916800.0;
  s = s * t + 1.0 / 362880.0;
  s = s * t - 1.0 / 5040.0;
  s = s * t + 1.0 / 120.0;
  s = s * t - 1.0 / 6.0;
  s = r + r * t * s;
  Lanes c = t * (1.0 / 20922789888000.0) - 1.0 / 87178291200.0;
  c = c * t + 1.0 / 479001600.0;
  c = c * t - 1.0 / 3628800.0;
  c = c * t + 1.0 / 40320.0;
  c = c * t - 1.0 / 720.0;
  c = c * t + 1.0 / 24.0;
  c = (1.0 - 0.5 * t) + t * t * c;
  const LaneInts odd = (quadrant & 1) != 0;
  const Lanes a = odd ? c : s;
  const Lanes b = odd ? s : c;
  sine = (quadrant & 2) != 0 ? -a : a;
  cosine = ((quadrant + 1) & 2) != 0 ? -b : b;
}

/// exp(x), relative error below 4e-16 for |x| <= 700; 0 to 1e-304 below, clamped above.
[[gnu::always_inline]] inline Lanes exp_lanes(Lanes x) noexcept {
  x = x > -700.0 ? x : all_lanes(-700.0);
  x = x < 700.0 ? x : all_lanes(700.0);
  const Lanes q = x * 0x1.71547652b82fep+0 + 0x1.8p52;  // the low bits hold the power of two
  const Lanes n = q - 0x1.8p52;
  const auto power = std::bit_cast<LaneInts>(q);
  const Lanes r = (x - n * 0x1.62e42feep-1) - n * 0x1.a39ef35793c76p-33;
  Lanes p = r * (1.0 / 6227020800.0) + 1.0 / 479001600.0;
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
  return std::bit_cast<Lanes>(std::bit_cast<LaneInts>(p) + (power << 52));
}

}  // namespace feldspar::math
