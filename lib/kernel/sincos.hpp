#pragma once

#include "math/elementary.hpp"

namespace feldspar::kernel {

/// sin(x) and cos(x), math::sine_cosine() of one: for |x| <= 1e4.
[[gnu::always_inline]] inline void sincos(double x, double& s, double& c) noexcept {
  math::sine_cosine<long long>(x, s, c);
}

/// exp(x) for x <= 0, math::exponential() of one.
[[gnu::always_inline]] inline double decay(double x) noexcept {
  return math::exponential<long long>(x);
}

}  // namespace feldspar::kernel
