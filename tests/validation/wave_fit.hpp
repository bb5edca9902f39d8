#pragma once

#include <Eigen/QR>
#include <algorithm>
#include <cmath>
#include <complex>
#include <cstddef>
#include <vector>

#include "math/quadrature.hpp"
#include "moment/current.hpp"

/// The wave on a wire, from its current.
namespace feldspar::validation {

/// Current of a level wire along x at one place. @param x on the wire, m
inline std::complex<double> current_at(const moment::Currents& currents, double x) {
  for (const moment::ElementCurrent& e : currents) {
    if (x < e.start.x() || x > e.end.x()) continue;
    const double xi = 2.0 * (x - e.start.x()) / (e.end.x() - e.start.x()) - 1.0;
    std::vector<double> p(static_cast<std::size_t>(e.coefficients.size()));
    math::legendre(xi, static_cast<int>(p.size()) - 1, p.data());
    std::complex<double> sum = 0.0;
    for (std::size_t n = 0; n < p.size(); ++n) sum += e.coefficients(static_cast<Eigen::Index>(n)) * p[n];
    return sum;
  }
  return 0.0;
}

/// A exp(-gamma x) + B exp(-gamma (L - x)), fitted to equally spaced samples.
struct WaveFit {
  std::complex<double> gamma;  ///< attenuation + j phase, 1/m
  double residual = 0.0;       ///< norm of what the fit leaves / norm of the samples
};

/// Start from the recurrence I(n+s) + I(n-s) = 2 cosh(gamma s step) I(n), then Gauss-Newton in A, B and gamma
/// together; several strides s, because a single one may be blind (cosh' = 0). All samples weigh the same.
inline WaveFit fit_wave(const std::vector<std::complex<double>>& samples, double step) {
  using Complex = std::complex<double>;
  const auto n = static_cast<Eigen::Index>(samples.size());
  const Eigen::Map<const Eigen::VectorXcd> current(samples.data(), n);
  const double length = step * static_cast<double>(n - 1);
  WaveFit best{0.0, 1e300};
  for (Eigen::Index stride = n / 40 + 1; stride <= n / 8; stride *= 2) {
    Complex numerator = 0.0;
    double denominator = 0.0;
    for (Eigen::Index i = stride; i + stride < n; ++i) {
      numerator += std::conj(current(i)) * (current(i + stride) + current(i - stride));
      denominator += std::norm(current(i));
    }
    Complex gamma = std::acosh(0.5 * numerator / denominator) / (static_cast<double>(stride) * step);
    Complex forward = current(0);
    Complex backward = 0.0;
    Eigen::VectorXcd rest(n);
    bool settled = false;
    for (int round = 0; round < 50; ++round) {
      Eigen::MatrixXcd slope(n, 3);
      for (Eigen::Index i = 0; i < n; ++i) {
        const double x = step * static_cast<double>(i);
        const Complex f = std::exp(-gamma * x);
        const Complex b = std::exp(-gamma * (length - x));
        slope.row(i) << f, b, -x * forward * f - (length - x) * backward * b;
        rest(i) = current(i) - forward * f - backward * b;
      }
      if (settled) break;
      const Eigen::Vector3cd change = slope.colPivHouseholderQr().solve(rest);
      forward += change(0);
      backward += change(1);
      gamma += change(2);
      settled = change.norm() < 1e-12 * (std::abs(forward) + std::abs(backward) + std::abs(gamma));
    }
    const double residual = rest.norm() / current.norm();
    if (std::isfinite(residual) && gamma.real() > 0.0 && gamma.imag() > 0.0 && residual < best.residual)
      best = {gamma, residual};
  }
  return best;
}

}  // namespace feldspar::validation
