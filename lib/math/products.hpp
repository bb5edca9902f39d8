#pragma once

#include <Eigen/Core>
#include <complex>

/// Products of dense complex matrices with one vector: one pass over the matrix, no copies of it.
namespace feldspar::math {

/// A Re x and A Im x, from which A x and A conj(x) follow.
struct ProductParts {
  Eigen::VectorXcd of_real, of_imaginary;
  [[nodiscard]] Eigen::VectorXcd product() const {
    return of_real + std::complex<double>(0.0, 1.0) * of_imaginary;
  }
  [[nodiscard]] Eigen::VectorXcd with_conjugate() const {
    return of_real - std::complex<double>(0.0, 1.0) * of_imaginary;
  }
};

[[nodiscard]] ProductParts product_parts(const Eigen::MatrixXcd& a, const Eigen::VectorXcd& x);

/// Solves L U x = x in place, L with a unit diagonal, both in `factors` as LAPACK leaves them.
void substitute(const Eigen::MatrixXcd& factors, Eigen::Ref<Eigen::VectorXcd> x);

}  // namespace feldspar::math
