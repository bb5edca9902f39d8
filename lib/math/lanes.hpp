#pragma once

#include <cmath>
#include <cstddef>
#include <cstring>

#include "math/elementary.hpp"

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

/// math::sine_cosine() and math::exponential() of four.
[[gnu::always_inline]] inline void sincos_lanes(Lanes x, Lanes& sine, Lanes& cosine) noexcept {
  sine_cosine<LaneInts>(x, sine, cosine);
}
[[gnu::always_inline]] inline Lanes exp_lanes(Lanes x) noexcept {
  return exponential<LaneInts>(x);
}

}  // namespace feldspar::math
