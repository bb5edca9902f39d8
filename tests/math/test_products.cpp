#include <doctest/doctest.h>

#include <Eigen/Dense>
#include <complex>

#include "math/products.hpp"

// Against Eigen's products and solutions; sizes around the width of the loops, odd ones for the last column.
namespace feldspar::math {

namespace {

using Complex = std::complex<double>;

constexpr double kRounding = 1e-13;  // 2^-53 times the number of terms

/// Numbers without a pattern.
Eigen::MatrixXcd scattered(Eigen::Index rows, Eigen::Index columns) {
  Eigen::MatrixXcd matrix(rows, columns);
  for (Eigen::Index j = 0; j < columns; ++j)
    for (Eigen::Index i = 0; i < rows; ++i)
      matrix(i, j) = std::polar(1.0, 0.7 * static_cast<double>(i * i) + 1.3 * static_cast<double>(i * j) +
                                         0.3 * static_cast<double>(j));
  return matrix;
}

}  // namespace

TEST_CASE("products: one pass gives the product with a vector and with its conjugate") {
  for (const Eigen::Index rows : {1, 2, 7, 64, 129})
    for (const Eigen::Index columns : {1, 2, 5, 64}) {
      CAPTURE(rows);
      CAPTURE(columns);
      const Eigen::MatrixXcd a = scattered(rows, columns);
      const Eigen::VectorXcd x = scattered(columns, 1).col(0);
      const Eigen::VectorXcd conjugate = x.conjugate();
      const ProductParts parts = product_parts(a, x);
      CHECK((parts.product() - a * x).norm() <= kRounding * a.norm() * x.norm());
      CHECK((parts.with_conjugate() - a * conjugate).norm() <= kRounding * a.norm() * x.norm());
    }
}

TEST_CASE("products: substitution solves with both triangles of one matrix") {
  for (const Eigen::Index n : {1, 2, 7, 64, 129}) {
    CAPTURE(n);
    Eigen::MatrixXcd factors = scattered(n, n) / static_cast<double>(n);
    factors.diagonal().array() += Complex(1.0, 2.0);
    const Eigen::MatrixXcd lower = factors.triangularView<Eigen::UnitLower>();
    const Eigen::MatrixXcd upper = factors.triangularView<Eigen::Upper>();
    const Eigen::VectorXcd right = scattered(n, 1).col(0);
    Eigen::VectorXcd x = right;
    substitute(factors, x);
    const Eigen::VectorXcd half = upper * x;
    CHECK((lower * half - right).norm() <= kRounding * right.norm());
  }
}

}  // namespace feldspar::math
