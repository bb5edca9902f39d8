#include "math/quadrature.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "core/error.hpp"

namespace feldspar::math {

namespace {

struct Row {
  int n;
  int index;
  double node;
  double weight;
};

// Source: Abramowitz & Stegun (1964), table 25.4, p. 916; rounded here to ten decimals.
constexpr Row kTable[] = {
    {2, 1, 0.5773502692, 1.0000000000}, {3, 2, 0.7745966692, 0.5555555556},
    {4, 3, 0.8611363116, 0.3478548451}, {5, 2, 0.0000000000, 0.5688888889},
    {5, 4, 0.9061798459, 0.2369268851}, {10, 9, 0.9739065285, 0.0666713443},
};
constexpr double kHalfUnit = 0.5e-10;  // half a unit of the last decimal kept

}  // namespace

TEST_CASE("gauss_legendre: nodes and weights agree with the printed table") {
  for (const Row& row : kTable) {
    CAPTURE(row.n);
    CAPTURE(row.index);
    const Rule& rule = gauss_legendre(row.n);
    const auto i = static_cast<std::size_t>(row.index);
    CHECK(std::abs(rule.nodes[i] - row.node) <= kHalfUnit);
    CHECK(std::abs(rule.weights[i] - row.weight) <= kHalfUnit);
  }
}

TEST_CASE("gauss_legendre: degree 2n-1 is integrated exactly (identity: integral of x^m)") {
  for (const int n : {1, 2, 7, 24, 100}) {
    const Rule& rule = gauss_legendre(n);
    for (int m = 0; m < 2 * n; m += 2) {
      double sum = 0.0;
      for (std::size_t i = 0; i < rule.nodes.size(); ++i) sum += rule.weights[i] * std::pow(rule.nodes[i], m);
      CHECK(std::abs(sum - 2.0 / (m + 1)) < 1e-13);  // rounding of about 2n terms
    }
  }
  CHECK_THROWS_AS(static_cast<void>(gauss_legendre(0)), core::Error);
}

}  // namespace feldspar::math
