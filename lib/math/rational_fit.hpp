#pragma once

#include <complex>
#include <span>
#include <vector>

/// Rational interpolation of network functions: impedances and admittances over frequency.
namespace feldspar::math {

/// A value of the function at s = j x.
struct RationalSample {
  double x = 0.0;              ///< > 0, e.g. a frequency in Hz; only ratios matter
  std::complex<double> value;  ///< finite, not 0
};

/// When a fit is good enough, and how far it may go.
struct RationalOptions {
  double tolerance =
      1e-6;              ///< relative, |fit - sample| / |sample|, at the samples that are not support points
  int max_support = 60;  ///< support points; half the samples is the limit in any case
  double noise = 0.0;    ///< relative; how far the samples themselves may be off, at most
};

/// A real rational function of s, r(conj s) = conj r(s), in barycentric form with support points s_k = j x_k
/// and their mirror images -s_k:
///   r(s) = sum_k [w_k f_k / (s - s_k) + conj(w_k f_k) / (s + s_k)] / sum_k [w_k / (s - s_k) + conj(w_k) / (s
///   + s_k)]
class RationalFit {
 public:
  RationalFit() = default;
  RationalFit(std::vector<RationalSample> support, std::vector<std::complex<double>> weights, double residual)
      : support_(std::move(support)), weights_(std::move(weights)), residual_(residual) {}

  /// Value at s = j x; exact at the support points. Undefined before a fit.
  [[nodiscard]] std::complex<double> operator()(double x) const noexcept;
  /// Largest relative deviation at the samples that are not support points.
  [[nodiscard]] double residual() const noexcept { return residual_; }
  [[nodiscard]] int support_points() const noexcept { return static_cast<int>(support_.size()); }

 private:
  std::vector<RationalSample> support_;
  std::vector<std::complex<double>> weights_;
  double residual_ = 0.0;
};

/// Adaptive rational fit: support points are taken one by one where the fit is worst, the weights from the
/// smallest singular vector of the Loewner matrix (the AAA algorithm [nakatsukasa2018]), here with rows
/// scaled for relative error and the weights tied to their conjugates, so that data at negative frequencies,
/// which a network function has for nothing, count as well.
///
/// Stops at the tolerance, at half the samples, or where noise in the samples keeps more points from helping.
/// @param unordered two or more samples, distinct x, in any order; the answer does not depend on the order
/// @throws core::Error{numerics} for fewer than two samples, repeated x, or values that are zero or not
/// finite
/// @note A residual is no error estimate: ask samples the fit has not seen.
[[nodiscard]] RationalFit fit_rational(std::span<const RationalSample> unordered,
                                       const RationalOptions& options = {});

}  // namespace feldspar::math
