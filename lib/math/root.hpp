#pragma once

#include <cmath>
#include <limits>

/// Roots of functions of one variable.
namespace feldspar::math {

/// A root of f between a and b, where f has opposite signs (or is zero at one of them), by inverse quadratic
/// interpolation safeguarded with bisection (Chandrupatla, Adv. Eng. Software 28, 1997; from memory). Never
/// slower than about twice bisection; usually 6 to 12 calls.
/// @param f  double -> double, continuous; returns no NaN   @param tolerance  of the root, absolute, >= 0;
/// rounding (2e-16 of the root) is added   @note NaN when the signs at a and b are equal.
template <class Function>
[[nodiscard]] double bracketed_root(Function&& f, double a, double b, double tolerance = 0.0) {
  // symbols as in the paper: [a, b] brackets the root, b is older, c the point before
  double fa = f(a);
  double fb = f(b);
  if (fa == 0.0) return a;
  if (fb == 0.0) return b;
  if ((fa > 0.0) == (fb > 0.0)) return std::numeric_limits<double>::quiet_NaN();
  double t = 0.5;
  for (int i = 0; i < 300; ++i) {
    const double x = a + t * (b - a);
    const double fx = f(x);
    double c = a;
    double fc = fa;
    if ((fx > 0.0) != (fa > 0.0)) {
      c = b;
      fc = fb;
      b = a;
      fb = fa;
    }
    a = x;
    fa = fx;
    const double best = std::abs(fa) < std::abs(fb) ? a : b;
    if (fa == 0.0) return a;
    const double close =
        (2.0 * std::numeric_limits<double>::epsilon() * std::abs(best) + tolerance) / std::abs(b - a);
    if (!(close < 0.5)) return best;
    const double xi = (a - b) / (c - b);
    const double phi = (fa - fb) / (fc - fb);
    t = 0.5;
    if (phi * phi < xi && (1.0 - phi) * (1.0 - phi) < 1.0 - xi) {
      t = fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb);
    }
    t = std::fmin(1.0 - close, std::fmax(close, t));
  }
  return a;
}

}  // namespace feldspar::math
