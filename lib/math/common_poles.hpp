#pragma once

#include <Eigen/Core>
#include <complex>
#include <span>
#include <vector>

/// Rational interpolation of many network functions that have their poles in common: port parameters and
/// currents of one structure over frequency.
namespace feldspar::math {

/// One real rational function of s = j x per row of a table of samples, all with the same denominator, in
/// barycentric form with support points s_k = j x_k and their mirror images:
///   r(s) = sum_k [w_k f_k / (s - s_k) + conj(w_k f_k) / (s + s_k)] / sum_k [w_k / (s - s_k) + conj(w_k) /
///   (s + s_k)]
/// The weights know nothing of the rows: whatever shares the poles may be interpolated with them.
class CommonPoles {
 public:
  CommonPoles() = default;
  /// @param x of the support points, > 0 @param samples their columns in the table @param weights likewise
  CommonPoles(std::vector<double> x, std::vector<Eigen::Index> samples,
              std::vector<std::complex<double>> weights, double residual);

  /// r = sum_i direct[i] f_i + mirrored[i] conj(f_i) over the columns samples()[i].
  struct Blend {
    Eigen::VectorXcd direct;
    Eigen::VectorXcd mirrored;
  };
  [[nodiscard]] Blend blend(double x) const;
  /// All rows at s = j x. @param table rows x columns, those it was fitted to or others of the same columns
  [[nodiscard]] Eigen::VectorXcd operator()(double x, const Eigen::MatrixXcd& table) const;
  /// One row at s = j x; allocates nothing.
  [[nodiscard]] std::complex<double> row(double x, const Eigen::MatrixXcd& table,
                                         Eigen::Index row) const noexcept;

  [[nodiscard]] const std::vector<Eigen::Index>& samples() const noexcept { return samples_; }
  [[nodiscard]] int support_points() const noexcept { return static_cast<int>(x_.size()); }
  /// Largest deviation at the samples that are not support points, in units of what was allowed there.
  [[nodiscard]] double residual() const noexcept { return residual_; }

  /// A pole s_p = re + j im and what it adds to a row: residue / (s - s_p).
  struct Pole {
    std::complex<double> at;
    Eigen::VectorXcd residue;
  };
  /// Poles with im >= 0; their conjugates are poles as well. @param table as for operator()
  [[nodiscard]] std::vector<Pole> poles(const Eigen::MatrixXcd& table) const;

 private:
  std::vector<double> x_;
  std::vector<Eigen::Index> samples_;
  std::vector<std::complex<double>> weights_;
  double residual_ = 0.0;
};

/// Fits of growing degree to the same samples.
///
/// Support points are taken one by one where the fit is worst, the weights from the smallest singular vector
/// of the Loewner matrix of all rows together (the AAA algorithm [nakatsukasa2018] for
/// several functions at a time [lietaert2022]), with the
/// weights tied to their conjugates, so that the values at negative frequencies, which a network function has
/// for nothing, count as well.
/// @param x        > 0, rising, distinct
/// @param table    rows x samples; many rows let few samples do
/// @param allowed  > 0, rows x samples: the error to which each entry is wanted; with it the fit stops
/// @return one fit per degree, the last one below 1 or the best to be had; the one to use is best_of()
/// @throws core::Error{numerics} for fewer than two samples, x out of order, values that are not finite
[[nodiscard]] std::vector<CommonPoles> fit_common_poles(std::span<const double> x,
                                                        const Eigen::MatrixXcd& table,
                                                        const Eigen::MatrixXd& allowed);

/// The smallest fit that is about as good as the best, index into `fits`: more points than needed would only
/// bend the curves between noisy samples.
[[nodiscard]] std::size_t best_of(const std::vector<CommonPoles>& fits);

}  // namespace feldspar::math
