#include <algorithm>
#include <array>
#include <cmath>

#include "fields/sampled_detail.hpp"
#include "kernel/sincos.hpp"
#include "math/clones.hpp"
#include "math/quadrature.hpp"

namespace feldspar::fields::detail {

namespace {

constexpr std::size_t kPadding = 8;

/// Degree beyond which the Legendre coefficients of exp(jax) on [-1, 1] are below 1e-15: they are (2d+1)
/// j_d(a), and j_d(a) < a^d / (2d+1)!!.
int degree_of_wave(double a) {
  double bound = 1.0;
  int d = 0;
  while (bound > 1e-16 && d < 200) {
    ++d;
    bound *= a / (2 * d + 1);
    if (a > 2 * d + 1) bound = 1.0;
  }
  return d;
}

}  // namespace

/// Sums of I exp(jA) for A = k.r with the phase of the height counted up and down.
struct WaveSums {
  double up_re, up_im, down_re, down_im;
};

FELDSPAR_CLONES WaveSums wave_sums(const double* x, const double* y, const double* z, const double* re,
                                   const double* im, std::size_t count, double kx, double ky,
                                   double kz) noexcept {
  double up_re = 0.0;
  double up_im = 0.0;
  double down_re = 0.0;
  double down_im = 0.0;
#pragma omp simd reduction(+ : up_re, up_im, down_re, down_im)
  for (std::size_t i = 0; i < count; ++i) {
    double s = 0.0;
    double c = 0.0;
    double sz = 0.0;
    double cz = 0.0;
    kernel::sincos(kx * x[i] + ky * y[i], s, c);
    kernel::sincos(kz * z[i], sz, cz);
    const double level_re = re[i] * c - im[i] * s;
    const double level_im = re[i] * s + im[i] * c;
    up_re += level_re * cz - level_im * sz;
    up_im += level_re * sz + level_im * cz;
    down_re += level_re * cz + level_im * sz;
    down_im += level_im * cz - level_re * sz;
  }
  return {up_re, up_im, down_re, down_im};
}

SampledCurrents::SampledCurrents(const moment::Currents& currents, double k0) : k0_(k0) {
  std::vector<double> legendre;
  for (const moment::ElementCurrent& e : currents) {
    const Vec3 half = 0.5 * (e.end - e.start);
    const auto degree = static_cast<int>(e.coefficients.size()) - 1;
    const int points = (degree + degree_of_wave(k0 * half.norm())) / 2 + 1;
    const math::Rule& rule = math::gauss_legendre(points);
    legendre.resize(static_cast<std::size_t>(degree) + 1);
    Element element{x_.size(), 0, half.normalized(), e.radius * e.radius};
    for (std::size_t i = 0; i < rule.nodes.size(); ++i) {
      math::legendre(rule.nodes[i], degree, legendre.data());
      Complex current = 0.0;
      for (int n = 0; n <= degree; ++n) current += e.coefficients[n] * legendre[static_cast<std::size_t>(n)];
      current *= rule.weights[i] * half.norm();
      const Vec3 at = 0.5 * (e.start + e.end) + rule.nodes[i] * half;
      x_.push_back(at.x());
      y_.push_back(at.y());
      z_.push_back(at.z());
      re_.push_back(current.real());
      im_.push_back(current.imag());
    }
    element.count = kPadding * ((rule.nodes.size() + kPadding - 1) / kPadding);
    for (std::vector<double>* numbers : {&x_, &y_, &z_, &re_, &im_})
      numbers->resize(element.first + element.count, 0.0);
    elements_.push_back(element);
  }
}

void SampledCurrents::waves(double kx, double ky, double kz, Complex* direct, Complex* mirrored) const {
  for (std::size_t e = 0; e < elements_.size(); ++e) {
    const Element& element = elements_[e];
    const std::size_t at = element.first;
    const WaveSums sums = wave_sums(&x_[at], &y_[at], &z_[at], &re_[at], &im_[at], element.count, kx, ky, kz);
    const double level = kx * element.tangent.x() + ky * element.tangent.y();
    const double up = level + kz * element.tangent.z();
    const double down = level - kz * element.tangent.z();
    const double k_squared = k0_ * k0_;
    const double up_tube = tube_factor(element.radius_squared * std::max(0.0, k_squared - up * up));
    const double down_tube = tube_factor(element.radius_squared * std::max(0.0, k_squared - down * down));
    direct[e] = up_tube * Complex(sums.up_re, sums.up_im);
    mirrored[e] = down_tube * Complex(sums.down_re, sums.down_im);
  }
}

}  // namespace feldspar::fields::detail
