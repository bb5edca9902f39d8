#include "math/bessel_ratio.hpp"

#include <cmath>

namespace feldspar::math {
namespace {

using Complex = std::complex<double>;

/// sqrt(2 pi z) exp(-z) I_n(z) for large z, n 0 or 1: sum of (-1)^k (m-1)(m-9)...(m-(2k-1)^2) / (k! (8z)^k),
/// m = 4 n^2.
Complex asymptotic_sum(int n, Complex z) noexcept {
  const double m = 4.0 * n * n;
  Complex term = 1.0;
  Complex sum = 1.0;
  // At |z| >= 30 the terms fall below 1e-17 by the tenth or so, long before they grow again near k = 2 |z|.
  for (int k = 1; k <= 40; ++k) {
    const double odd = 2.0 * k - 1.0;
    term *= -(m - odd * odd) / (static_cast<double>(k) * 8.0 * z);
    sum += term;
    if (std::abs(term) < 1e-17) break;
  }
  return sum;
}

}  // namespace

Complex bessel_i0_over_i1(Complex z) noexcept {
  const double size = std::abs(z);
  if (size < 1e-8) return 2.0 / z;  // the next term is z^2/8 smaller
  if (size >= 30.0) return asymptotic_sum(0, z) / asymptotic_sum(1, z);
  const int depth = 30 + static_cast<int>(1.5 * size);
  Complex ratio = 2.0 * depth / z;
  for (int k = depth - 1; k >= 1; --k) ratio = 2.0 * k / z + 1.0 / ratio;
  return ratio;
}

}  // namespace feldspar::math
