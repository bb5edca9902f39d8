#include "math/dense_lu.hpp"

#include <cassert>
#include <cmath>
#include <complex>
#include <cstddef>

#include "math/lapack_detail.hpp"
#include "math/products.hpp"

namespace feldspar::math {

namespace {

/// Backward error of one solve that a sound factorisation stays far below: the usual 1e-16 grows with the
/// pivots, a wrong kernel of a library misses by 1e-3 and more.
constexpr double kTrusted = 1e-11;

double backward_error(const Eigen::MatrixXcd& matrix, const Eigen::VectorXcd& x,
                      const Eigen::VectorXcd& right) {
  return (right - product_parts(matrix, x).product()).norm() / (matrix.norm() * x.norm() + right.norm());
}

}  // namespace

DenseLu::DenseLu(const Eigen::MatrixXcd& matrix, Method method) {
  assert(matrix.rows() == matrix.cols());
  const bool lapack = method == Method::lapack || (method == Method::best && matrix.rows() >= kLapackFrom);
  if (lapack && matrix.rows() > 0 && has_lapack()) {
    factors_ = matrix;
    if (factor_by_lapack(factors_, pivots_) && is_sound(matrix)) return;
    factors_.resize(0, 0);
  }
  eigen_.emplace(matrix);
}

bool DenseLu::is_sound(const Eigen::MatrixXcd& matrix) const {
  const Eigen::VectorXcd right = Eigen::VectorXcd::LinSpaced(matrix.rows(), {1.0, -0.5}, {-0.75, 1.25});
  const double error = backward_error(matrix, substitute(right), right);
  return std::isfinite(error) && error < kTrusted;
}

Eigen::MatrixXcd DenseLu::substitute(const Eigen::MatrixXcd& right) const {
  Eigen::MatrixXcd x = right;
  for (std::size_t i = 0; i < pivots_.size(); ++i) {
    const auto row = static_cast<Eigen::Index>(i);
    if (pivots_[i] - 1 != row) x.row(row).swap(x.row(pivots_[i] - 1));
  }
  for (Eigen::Index column = 0; column < x.cols(); ++column) math::substitute(factors_, x.col(column));
  return x;
}

Eigen::MatrixXcd DenseLu::solve(const Eigen::MatrixXcd& right) const {
  assert(right.rows() == (eigen_ ? eigen_->rows() : factors_.rows()));
  return eigen_ ? Eigen::MatrixXcd(eigen_->solve(right)) : substitute(right);
}

}  // namespace feldspar::math
