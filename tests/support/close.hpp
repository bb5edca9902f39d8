#pragma once

#include <cmath>
#include <complex>

/// Comparison of numbers. doctest's own Approx adds 1 to the scale, so it accepts anything for small
/// quantities (a skin depth in metres); this one is relative whatever the size.
namespace feldspar::testing {

/// |found - wanted| / |wanted|; 0 when both are equal (also both 0), NaN when either is (so `<=` fails).
[[nodiscard]] inline double relative_error(double found, double wanted) {
  return found == wanted ? 0.0 : std::abs(found - wanted) / std::abs(wanted);
}
[[nodiscard]] inline double relative_error(std::complex<double> found, std::complex<double> wanted) {
  return found == wanted ? 0.0 : std::abs(found - wanted) / std::abs(wanted);
}

}  // namespace feldspar::testing
