#include "math/common_poles.hpp"

#include <Eigen/Eigenvalues>
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
  for (Eigen::Index i = 0; i < n; ++i)
    if (std::abs(r(i, i)) < floor) r(i, i) = floor > 0.0 ? floor : 1.0;
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

/// One fit under construction: the samples, and which of them are support points.
class Fitter {
 public:
  Fitter(std::span<const double> x, const Eigen::MatrixXcd& table, const Eigen::MatrixXd& allowed)
      : x_(x), table_(table), allowed_(allowed), error_(x.size(), 0.0) {
    const Eigen::VectorXcd mean = table.rowwise().mean();
    for (std::size_t i = 0; i < x.size(); ++i) {
      others_.push_back(static_cast<Eigen::Index>(i));
      error_[i] = deviation(mean, static_cast<Eigen::Index>(i));
    }
  }

  /// Whether the rows still say more than the weights of one more point need.
  [[nodiscard]] bool has_room() const {
    constexpr std::size_t kUnseen = 2;  // samples besides the support points, at least
    const auto next = static_cast<Eigen::Index>(support_.size()) + 1;
    const auto left = static_cast<Eigen::Index>(others_.size()) - 1;
    return others_.size() > kUnseen && left * table_.rows() >= next;
  }

  CommonPoles with_one_more_point() {
    const auto worst = std::max_element(others_.begin(), others_.end(), [&](Eigen::Index a, Eigen::Index b) {
      return error_at(a) < error_at(b);
    });
    support_.push_back(*worst);
    others_.erase(worst);
    const std::vector<Complex> weights = best_weights();
    std::vector<double> at;
    for (const Eigen::Index k : support_) at.push_back(x_[static_cast<std::size_t>(k)]);
    const CommonPoles trial(at, support_, weights, 0.0);
    double residual = 0.0;
    for (const Eigen::Index i : others_) {
      double error = deviation(trial(x_[static_cast<std::size_t>(i)], table_), i);
      if (!std::isfinite(error)) error = std::numeric_limits<double>::max();
      error_[static_cast<std::size_t>(i)] = error;
      residual = std::max(residual, error);
    }
    return {std::move(at), support_, weights, residual};
  }

 private:
  [[nodiscard]] double error_at(Eigen::Index i) const { return error_[static_cast<std::size_t>(i)]; }

  [[nodiscard]] double deviation(const Eigen::VectorXcd& values, Eigen::Index i) const {
    return ((values - table_.col(i)).cwiseAbs().array() / allowed_.col(i).array()).maxCoeff();
  }

  [[nodiscard]] std::vector<Complex> best_weights() const {
    const auto n = static_cast<Eigen::Index>(support_.size());
    const Eigen::Index rows = table_.rows();
    const double largest = x_.back();
    Eigen::MatrixXd loewner(2 * rows * static_cast<Eigen::Index>(others_.size()), 2 * n);
    Eigen::Index at = 0;
    for (const Eigen::Index i : others_)
      for (Eigen::Index j = 0; j < rows; ++j, at += 2)
        for (Eigen::Index k = 0; k < n; ++k) {
          const Eigen::Index node = support_[static_cast<std::size_t>(k)];
          const double xi = x_[static_cast<std::size_t>(i)];
          const double xk = x_[static_cast<std::size_t>(node)];
          const double scale = largest / allowed_(j, i);
          // 1/(s - s_k) = -j/(x - x_k), 1/(s + s_k) = -j/(x + x_k)
          const Complex near = (table_(j, i) - table_(j, node)) * Complex(0.0, -scale / (xi - xk));
          const Complex far = (table_(j, i) - std::conj(table_(j, node))) * Complex(0.0, -scale / (xi + xk));
          const Complex of_real = near + far;                             // multiplies Re w
          const Complex of_imaginary = Complex(0.0, 1.0) * (near - far);  // multiplies Im w
          loewner(at, 2 * k) = of_real.real();
          loewner(at + 1, 2 * k) = of_real.imag();
          loewner(at, 2 * k + 1) = of_imaginary.real();
          loewner(at + 1, 2 * k + 1) = of_imaginary.imag();
        }
    if (loewner.rows() < loewner.cols())
      loewner.conservativeResizeLike(Eigen::MatrixXd::Zero(loewner.cols(), loewner.cols()));
    const Eigen::VectorXd v = smallest_singular_vector(loewner);
    std::vector<Complex> weights;
    for (Eigen::Index k = 0; k < n; ++k) weights.emplace_back(v(2 * k), v(2 * k + 1));
    return weights;
  }

  std::span<const double> x_;
  const Eigen::MatrixXcd& table_;
  const Eigen::MatrixXd& allowed_;
  std::vector<double> error_;
  std::vector<Eigen::Index> support_;
  std::vector<Eigen::Index> others_;
};

void check(std::span<const double> x, const Eigen::MatrixXcd& table, const Eigen::MatrixXd& allowed) {
  const auto complain = [](const char* text) { throw core::Error(core::ErrorKind::numerics, text); };
  if (x.size() < 2) complain("a rational fit needs at least two samples");
  if (table.cols() != static_cast<Eigen::Index>(x.size()) || allowed.rows() != table.rows() ||
      allowed.cols() != table.cols())
    complain("a rational fit needs one column per sample");
  for (std::size_t i = 0; i < x.size(); ++i)
    if (!(x[i] > (i > 0 ? x[i - 1] : 0.0)) || !std::isfinite(x[i]))
      complain("a rational fit needs samples at rising x > 0");
  if (!table.allFinite() || !(allowed.minCoeff() > 0.0)) complain("a rational fit needs finite samples");
}

}  // namespace

CommonPoles::CommonPoles(std::vector<double> x, std::vector<Eigen::Index> samples,
                         std::vector<std::complex<double>> weights, double residual)
    : x_(std::move(x)), samples_(std::move(samples)), weights_(std::move(weights)), residual_(residual) {}

CommonPoles::Blend CommonPoles::blend(double x) const {
  const auto n = static_cast<Eigen::Index>(x_.size());
  Blend blend{Eigen::VectorXcd::Zero(n), Eigen::VectorXcd::Zero(n)};
  Complex denominator = 0.0;
  for (Eigen::Index k = 0; k < n; ++k) {
    const auto at = static_cast<std::size_t>(k);
    const double distance = x - x_[at];
    if (distance == 0.0) {
      blend.direct.setZero();
      blend.mirrored.setZero();
      blend.direct(k) = 1.0;
      return blend;
    }
    blend.direct(k) = weights_[at] / distance;
    blend.mirrored(k) = std::conj(weights_[at]) / (x + x_[at]);
    denominator += blend.direct(k) + blend.mirrored(k);
  }
  blend.direct /= denominator;
  blend.mirrored /= denominator;
  return blend;
}

Eigen::VectorXcd CommonPoles::operator()(double x, const Eigen::MatrixXcd& table) const {
  const Blend shares = blend(x);
  Eigen::VectorXcd value = Eigen::VectorXcd::Zero(table.rows());
  for (std::size_t k = 0; k < samples_.size(); ++k) {
    const auto at = static_cast<Eigen::Index>(k);
    // d (a + jb) + m (a - jb) = (d + m) a + j (d - m) b
    const Complex sum = shares.direct(at) + shares.mirrored(at);
    const Complex difference = shares.direct(at) - shares.mirrored(at);
    const auto column = table.col(samples_[k]);
    for (Eigen::Index i = 0; i < value.size(); ++i) {
      const Complex c = column(i);
      value(i) += Complex(sum.real() * c.real() - difference.imag() * c.imag(),
                          sum.imag() * c.real() + difference.real() * c.imag());
    }
  }
  return value;
}

std::complex<double> CommonPoles::row(double x, const Eigen::MatrixXcd& table,
                                      Eigen::Index row) const noexcept {
  Complex numerator = 0.0;
  Complex denominator = 0.0;
  for (std::size_t k = 0; k < x_.size(); ++k) {
    const double distance = x - x_[k];
    const Complex value = table(row, samples_[k]);
    if (distance == 0.0) return value;
    const double near = 1.0 / distance;
    const double far = 1.0 / (x + x_[k]);
    const Complex weight = weights_[k];
    const Complex product{weight.real() * value.real() - weight.imag() * value.imag(),
                          weight.real() * value.imag() + weight.imag() * value.real()};
    numerator += Complex{(near + far) * product.real(), (near - far) * product.imag()};
    denominator += Complex{(near + far) * weight.real(), (near - far) * weight.imag()};
  }
  return numerator / denominator;
}

std::vector<CommonPoles::Pole> CommonPoles::poles(const Eigen::MatrixXcd& table) const {
  // The zeros of sum_i v_i / (s - s_i) are, with one spurious zero at s = 0, the eigenvalues of
  // diag(s_i) - 1 (v_i s_i)^T / sum v_i: multiply the sum by s and apply the matrix determinant lemma.
  const auto n = static_cast<Eigen::Index>(x_.size());
  const double largest = *std::max_element(x_.begin(), x_.end());
  Eigen::VectorXcd nodes(2 * n);
  Eigen::VectorXcd weights(2 * n);
  for (Eigen::Index k = 0; k < n; ++k) {
    const auto at = static_cast<std::size_t>(k);
    nodes(k) = Complex(0.0, x_[at] / largest);
    nodes(n + k) = -nodes(k);
    weights(k) = weights_[at];
    weights(n + k) = std::conj(weights_[at]);
  }
  const Complex sum = weights.sum();
  const Eigen::VectorXcd product = weights.cwiseProduct(nodes) / (sum == 0.0 ? Complex(1e-300) : sum);
  Eigen::MatrixXcd matrix = nodes.asDiagonal();
  matrix.rowwise() -= product.transpose();
  const Eigen::VectorXcd found = Eigen::ComplexEigenSolver<Eigen::MatrixXcd>(matrix, false).eigenvalues();
  std::vector<Pole> poles;
  for (const Complex& s : found) {
    if (s.imag() < 0.0 || !std::isfinite(std::abs(s)) || std::abs(s) < 1e-9) continue;
    Eigen::VectorXcd numerator = Eigen::VectorXcd::Zero(table.rows());
    Complex slope = 0.0;  // of the denominator
    for (Eigen::Index i = 0; i < 2 * n; ++i) {
      const Complex share = weights(i) / (s - nodes(i));
      const auto column = table.col(samples_[static_cast<std::size_t>(i % n)]);
      if (i < n)
        numerator += share * column;
      else
        numerator += share * column.conjugate();
      slope -= share / (s - nodes(i));
    }
    poles.push_back({s * largest, numerator * (largest / slope)});
  }
  return poles;
}

std::vector<CommonPoles> fit_common_poles(std::span<const double> x, const Eigen::MatrixXcd& table,
                                          const Eigen::MatrixXd& allowed) {
  check(x, table, allowed);
  Fitter fitter(x, table, allowed);
  std::vector<CommonPoles> tried;
  double least = std::numeric_limits<double>::max();
  do {
    tried.push_back(fitter.with_one_more_point());
    least = std::min(least, tried.back().residual());
    if (tried.back().residual() <= 1.0) break;
    // Close to what is allowed and no better than four points ago: what is left is noise.
    constexpr std::size_t kBack = 4;
    constexpr double kNear = 30.0;
    if (tried.size() > kBack && least < kNear && least > 0.5 * tried[tried.size() - 1 - kBack].residual())
      break;
  } while (fitter.has_room());
  return tried;
}

std::size_t best_of(const std::vector<CommonPoles>& fits) {
  constexpr double kAsGood = 2.0;
  double least = std::numeric_limits<double>::max();
  for (const CommonPoles& fit : fits) least = std::min(least, fit.residual());
  const auto found = std::find_if(fits.begin(), fits.end(),
                                  [&](const CommonPoles& fit) { return fit.residual() <= kAsGood * least; });
  return static_cast<std::size_t>(found - fits.begin());
}

}  // namespace feldspar::math
