#pragma once

#include <vector>

/// Quadrature rules.
namespace feldspar::math {

struct Rule {
  std::vector<double> nodes;  ///< ascending
  std::vector<double> weights;
};

/// Gauss-Legendre rule of n points on [-1, 1], exact for polynomials of degree 2n - 1; nodes and weights
/// within 4e-16. Rules are made once and kept (thread-safe). @param n 1..512 [Abramowitz and Stegun 25.4.29]
[[nodiscard]] const Rule& gauss_legendre(int n);

/// P_0(x)..P_degree(x) by the three-term recurrence, written to out[0..degree]. |x| <= 1 for 1e-15.
void legendre(double x, int degree, double* out) noexcept;

}  // namespace feldspar::math
