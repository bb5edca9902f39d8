#pragma once

#include <Eigen/Core>
#include <Eigen/LU>
#include <optional>
#include <vector>

namespace feldspar::math {

/// A X = B for a dense complex square matrix, by Gauss elimination with partial pivoting
/// [golub2013, ch. 3].
///
/// Factored by LAPACK's zgetrf where the build found OpenBLAS and it is faster (from kLapackFrom unknowns,
/// see docs/performance.md), else by Eigen. Each LAPACK factorisation is tried on one right-hand side; should
/// it fail there, Eigen does it again. Always one thread, so that it may be called from many; OpenBLAS's own
/// number of threads is as before when no factorisation runs. A singular matrix gives infinities or NaN.
class DenseLu {
 public:
  /// Which code factors: `best` for use, the others for comparison. `lapack` is Eigen's in a build without
  /// it.
  enum class Method { best, eigen, lapack };

  explicit DenseLu(const Eigen::MatrixXcd& matrix, Method method = Method::best);

  /// X of A X = B, any number of columns; B has the matrix's number of rows.
  [[nodiscard]] Eigen::MatrixXcd solve(const Eigen::MatrixXcd& right) const;
  [[nodiscard]] bool by_lapack() const noexcept { return !eigen_; }

  static constexpr Eigen::Index kLapackFrom = 16;  ///< unknowns

 private:
  /// Do the factors solve one system as well as they should?
  [[nodiscard]] bool is_sound(const Eigen::MatrixXcd& matrix) const;
  [[nodiscard]] Eigen::MatrixXcd substitute(const Eigen::MatrixXcd& right) const;

  Eigen::MatrixXcd factors_;  ///< L below the diagonal (its own is 1), U on and above
  std::vector<int> pivots_;   ///< row i was exchanged with row pivots_[i] - 1, in this order
  std::optional<Eigen::PartialPivLU<Eigen::MatrixXcd>> eigen_;
};

/// Is LAPACK's factorisation part of this build?
[[nodiscard]] bool has_lapack() noexcept;

}  // namespace feldspar::math
