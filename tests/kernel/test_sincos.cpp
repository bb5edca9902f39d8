#include "kernel/sincos.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace feldspar::kernel {

namespace {

/// Largest absolute error of both functions at x. Source of the truth: std::sin and std::cos of long double,
/// whose own error is far below that of a double.
double error_at(double x) {
  double s = 0.0;
  double c = 0.0;
  sincos(x, s, c);
  const long double exact = x;
  return std::max(static_cast<double>(std::abs(s - std::sin(exact))),
                  static_cast<double>(std::abs(c - std::cos(exact))));
}

// Stated in the header is 3e-16; the check allows the reference's rounding to double as well.
constexpr double kAllowed = 4e-16;

}  // namespace

TEST_CASE("sincos: agrees with the standard library up to |x| = 1e4") {
  constexpr int kSteps = 200000;
  double worst = 0.0;
  for (int i = 0; i <= kSteps; ++i) {
    const double x = 1e4 * i / kSteps;
    worst = std::max({worst, error_at(x), error_at(-x)});
  }
  for (double x = 1e-12; x < 1e4; x *= 1.001) worst = std::max({worst, error_at(x), error_at(-x)});
  CHECK(worst <= kAllowed);
}

TEST_CASE("sincos: beside every multiple of a quarter turn, where the reduction loses most digits") {
  double worst = 0.0;
  for (int n = -6366; n <= 6366; ++n) {  // 6366 quarter turns are 1e4
    const double x = 0.5 * std::numbers::pi * n;
    for (const double y : {x, std::nextafter(x, 1e9), std::nextafter(x, -1e9), x + 1e-9, x - 1e-9,
                           x + 0.25 * std::numbers::pi, x - 0.25 * std::numbers::pi})
      if (std::abs(y) <= 1e4) worst = std::max(worst, error_at(y));
  }
  CHECK(worst <= kAllowed);
}

TEST_CASE("sincos: exact values at zero, odd and even") {
  double s = 1.0;
  double c = 0.0;
  sincos(0.0, s, c);
  CHECK(s == 0.0);
  CHECK(c == 1.0);
  for (const double x : {1e-300, 0.3, 2.0, 77.7, 9999.0}) {
    CAPTURE(x);
    double s_minus = 0.0;
    double c_minus = 0.0;
    sincos(x, s, c);
    sincos(-x, s_minus, c_minus);
    CHECK(s_minus == -s);
    CHECK(c_minus == c);
  }
}

}  // namespace feldspar::kernel
