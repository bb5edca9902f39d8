#include "math/rational_fit.hpp"

#include <Eigen/Core>
#include <Eigen/QR>
#include <algorithm>
#include <cmath>
#include <limits>

#include "core/error.hpp"

namespace feldspar::math {
namespace {

using Complex = std::complex<double>;

/// Right singular vector of the smallest singular value, by inverse iteration on the triangle of a QR
/// factorisation: the squared condition number of the normal equations never appears.
Eigen::VectorXd smallest_singular_vector(const Eigen::MatrixXd& a) {
  const Eigen::Index n = a.cols();
  Eigen::MatrixXd r = Eigen::HouseholderQR<Eigen::MatrixXd>(a).matrixQR().topRows(n);
  const double floor = std::numeric_limits<double>::epsilon() * r.diagonal().cwiseAbs().maxCoeff();
  for (Eigen::Index i = 0; i < n; ++i) {
    if (std::abs(r(i, i)) < floor) r(i, i) = floor > 0.0 ? floor : 1.0;
  }
  const auto upper = r.triangularView<Eigen::Upper>();
  Eigen::VectorXd v = Eigen::VectorXd::Ones(n) / std::sqrt(static_cast<double>(n));
  constexpr int kIterations = 6;  // each gains the square of the ratio of the two smallest singular values
  for (int k = 0; k < kIterations; ++k) {
    r.transpose().triangularView<Eigen::Lower>().solveInPlace(v);
    v.normalize();
    upper.solveInPlace(v);
    v.normalize();
  }
  return v;
}

void check(std::span<const RationalSample> sorted) {
  if (sorted.size() < 2) {
    throw core::Error(core::ErrorKind::numerics, "a rational fit needs at least two samples");
  }
  for (std::size_t i = 0; i < sorted.size(); ++i) {
    const RationalSample& sample = sorted[i];
    if (!(sample.x > 0.0) || !std::isfinite(sample.x) || !(std::abs(sample.value) > 0.0) ||
        !std::isfinite(std::abs(sample.value))) {
      throw core::Error(core::ErrorKind::numerics,
                        "a rational fit needs samples at x > 0 that are finite and not 0");
    }
    if (i > 0 && !(sorted[i - 1].x < sample.x)) {
      throw core::Error(core::ErrorKind::numerics, "a rational fit needs samples at different x");
    }
  }
}

/// Weights of the support points that fit the other samples best.
std::vector<Complex> weights_for(std::span<const RationalSample> samples,
                                 std::span<const std::size_t> support, std::span<const std::size_t> others,
                                 double scale) {
  const auto n = static_cast<Eigen::Index>(support.size());
  const auto m = static_cast<Eigen::Index>(others.size());
  Eigen::MatrixXd loewner(2 * m, 2 * n);
  for (Eigen::Index i = 0; i < m; ++i) {
    const RationalSample& at = samples[others[static_cast<std::size_t>(i)]];
    const double row = 1.0 / std::abs(at.value);
    for (Eigen::Index k = 0; k < n; ++k) {
      const RationalSample& node = samples[support[static_cast<std::size_t>(k)]];
      // 1/(s - s_k) = -j/(x - x_k), 1/(s + s_k) = -j/(x + x_k)
      const Complex near = (at.value - node.value) * Complex(0.0, -row * scale / (at.x - node.x));
      const Complex far = (at.value - std::conj(node.value)) * Complex(0.0, -row * scale / (at.x + node.x));
      const Complex real_part = near + far;                             // multiplies Re w
      const Complex imaginary_part = Complex(0.0, 1.0) * (near - far);  // multiplies Im w
      loewner(2 * i, 2 * k) = real_part.real();
      loewner(2 * i + 1, 2 * k) = real_part.imag();
      loewner(2 * i, 2 * k + 1) = imaginary_part.real();
      loewner(2 * i + 1, 2 * k + 1) = imaginary_part.imag();
    }
  }
  const Eigen::VectorXd v = smallest_singular_vector(loewner);
  std::vector<Complex> weights;
  for (Eigen::Index k = 0; k < n; ++k) weights.emplace_back(v(2 * k), v(2 * k + 1));
  return weights;
}

}  // namespace

std::complex<double> RationalFit::operator()(double x) const noexcept {
  Complex numerator = 0.0;
  Complex denominator = 0.0;
  for (std::size_t k = 0; k < support_.size(); ++k) {
    const RationalSample& node = support_[k];
    const double distance = x - node.x;
    if (distance == 0.0) return node.value;
    const Complex near = weights_[k] / distance;
    const Complex far = std::conj(weights_[k]) / (x + node.x);
    numerator += near * node.value + far * std::conj(node.value);
    denominator += near + far;
  }
  return numerator / denominator;
}

RationalFit fit_rational(std::span<const RationalSample> unordered, const RationalOptions& options) {
  std::vector<RationalSample> samples(unordered.begin(), unordered.end());
  std::sort(samples.begin(), samples.end(), [](const auto& a, const auto& b) { return a.x < b.x; });
  check(samples);

  Complex mean = 0.0;
  for (const RationalSample& sample : samples) mean += sample.value / static_cast<double>(samples.size());
  std::vector<double> error;
  for (const RationalSample& sample : samples)
    error.push_back(std::abs(sample.value - mean) / std::abs(sample.value));

  std::vector<std::size_t> support;
  std::vector<std::size_t> others(samples.size());
  for (std::size_t i = 0; i < others.size(); ++i) others[i] = i;
  const std::size_t limit =
      std::min(samples.size() / 2, static_cast<std::size_t>(std::max(1, options.max_support)));
  std::vector<RationalFit> tried;  // by number of support points
  double least = std::numeric_limits<double>::max();
  while (support.size() < limit) {
    const auto worst = std::max_element(others.begin(), others.end(),
                                        [&](std::size_t a, std::size_t b) { return error[a] < error[b]; });
    support.push_back(*worst);
    others.erase(worst);
    const std::vector<Complex> weights = weights_for(samples, support, others, samples.back().x);
    std::vector<RationalSample> nodes;
    for (const std::size_t k : support) nodes.push_back(samples[k]);
    const RationalFit trial(nodes, weights, 0.0);
    double residual = 0.0;
    for (const std::size_t i : others) {
      error[i] = std::abs(trial(samples[i].x) - samples[i].value) / std::abs(samples[i].value);
      if (!std::isfinite(error[i])) error[i] = std::numeric_limits<double>::max();
      residual = std::max(residual, error[i]);
    }
    tried.emplace_back(std::move(nodes), weights, residual);
    least = std::min(least, residual);
    if (residual <= options.tolerance) return tried.back();
    // Close to the tolerance, or to the noise, and no better than four points ago: what is left is noise.
    constexpr std::size_t kBack = 4;
    constexpr double kNear = 30.0;
    if (tried.size() > kBack && least < std::max(kNear * options.tolerance, options.noise) &&
        least > 0.5 * tried[tried.size() - 1 - kBack].residual()) {
      break;
    }
  }
  // More points than needed would only bend the curve between noisy samples: the smallest fit that is about
  // as good as the best.
  constexpr double kAsGood = 2.0;
  return *std::find_if(tried.begin(), tried.end(),
                       [&](const RationalFit& fit) { return fit.residual() <= kAsGood * least; });
}

}  // namespace feldspar::math
