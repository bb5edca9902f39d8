#include "media/sommerfeld.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "core/error.hpp"
#include "math/bessel.hpp"
#include "math/quadrature.hpp"

namespace feldspar::media {
namespace {

using Complex = std::complex<double>;
constexpr std::size_t kMostFunctions = 16;  // of each kind
constexpr int kOrder = 16;                  // Gauss points of a panel
constexpr int kMostHalvings = 24;
constexpr double kDecayed = 40.0;  // exp(-40) = 4e-18

enum class Kernel { bessel, hankel };

// The integrals of one panel and the sums of absolute values, which bound their rounding.
struct Sums {
  std::array<Complex, 2 * kMostFunctions> value{};
  std::array<double, 2 * kMostFunctions> absolute{};

  void add(const Sums& other, std::size_t count) {
    for (std::size_t i = 0; i < count; ++i) {
      value[i] += other.value[i];
      absolute[i] += other.absolute[i];
    }
  }
};

// A straight piece of the path. With Kernel::hankel it stands for two: from..to with H^(1) and its mirror
// image below the real axis with H^(2).
struct Panel {
  Complex from;
  Complex to;
  Kernel kernel;
};

class Integrator {
 public:
  Integrator(const SommerfeldGeometry& geometry, const SpectralFunctions& functions, std::size_t count0,
             std::size_t count1)
      : geometry_(geometry),
        functions_(functions),
        count0_(count0),
        count1_(count1),
        k1_squared_(geometry.k0 * geometry.k0 * geometry.n2),
        vertical_(geometry.height + geometry.depth) {}

  [[nodiscard]] Sums run(double tolerance) {
    const std::vector<Panel> panels = path();
    std::vector<Sums> first;
    first.reserve(panels.size());
    Sums estimate;
    for (const Panel& panel : panels) {
      first.push_back(gauss(panel));
      estimate.add(first.back(), count());
    }
    for (std::size_t i = 0; i < count(); ++i) {
      allowed_[i] = std::max(tolerance * std::abs(estimate.value[i]), 2e-16 * estimate.absolute[i]);
    }
    Sums total;
    for (std::size_t i = 0; i < panels.size(); ++i) total.add(refine(panels[i], first[i], 0), count());
    return total;
  }

 private:
  [[nodiscard]] std::size_t count() const { return count0_ + count1_; }

  // Panels no longer than about four radians of the phases in rho and the vertical.
  void add_line(std::vector<Panel>& panels, Complex from, Complex to, Kernel kernel) const {
    const double phase = std::abs(to - from) * std::hypot(geometry_.rho, vertical_);
    const int pieces = kernel == Kernel::hankel ? 4 : 1 + static_cast<int>(std::min(phase / 4.0, 1e5));
    for (int i = 0; i < pieces; ++i) {
      const double a = static_cast<double>(i) / pieces;
      const double b = static_cast<double>(i + 1) / pieces;
      panels.push_back({from + a * (to - from), from + b * (to - from), kernel});
    }
  }

  [[nodiscard]] std::vector<Panel> path() const {
    const double k0 = geometry_.k0;
    const double rho = geometry_.rho;
    const double z = vertical_;
    const double re_k1 = std::sqrt(k1_squared_).real();
    const bool steep = z >= 0.25 * rho;
    const double beyond = 1.3 * re_k1 + 0.5 * k0;  // at least 1.8 k0
    const double height = std::min(rho > 0.0 ? 1.5 / rho : 0.3 * beyond, 0.3 * beyond);
    const double low = std::min(height, 0.5 * k0);
    std::vector<Panel> panels;
    add_line(panels, 0.0, {0.5 * k0, low}, Kernel::bessel);
    add_line(panels, {0.5 * k0, low}, {1.5 * k0, low}, Kernel::bessel);
    const double decayed = std::max(k0 + kDecayed / geometry_.height, 1.8 * k0);  // infinite at height 0
    if (steep && decayed < beyond) {  // all is over before k1: no need to come back to the axis
      add_line(panels, {1.5 * k0, low}, {decayed, height}, Kernel::bessel);
      return panels;
    }
    const Complex near_k1(std::max(1.6 * k0, re_k1), height);
    add_line(panels, {1.5 * k0, low}, near_k1, Kernel::bessel);
    add_line(panels, near_k1, beyond, Kernel::bessel);
    // The spectrum varies on the scale of k1 first, which may be small against the decay.
    if (steep) {
      // Re u1 grows more slowly than lambda near a lossy k1, by a factor of at least 0.7
      const double length = kDecayed / (geometry_.height + 0.7 * geometry_.depth);
      double start = 0.0;
      for (double end = std::min(beyond, length / 8.0); start < length;) {
        add_line(panels, beyond + start, beyond + end, Kernel::bessel);
        start = end;
        end = std::min(4.0 * start, start + length / 8.0);
      }
    } else {
      const double r = std::hypot(rho, z);
      const Complex direction = Complex(z, rho) / r;
      double start = 0.0;
      for (double end = std::min(kDecayed / r / 64.0, beyond); start < kDecayed / r; end *= 4.0) {
        add_line(panels, beyond + start * direction, beyond + end * direction, Kernel::hankel);
        start = end;
      }
    }
    return panels;
  }

  // times_j0 and times_j1 at lambda, one after the other
  void spectrum(Complex lambda, std::array<Complex, 2 * kMostFunctions>& out) const {
    const Complex square = lambda * lambda;
    const SpectralPoint at{lambda, std::sqrt(square - geometry_.k0 * geometry_.k0),
                           std::sqrt(square - k1_squared_)};
    const std::span<Complex> all(out);
    functions_(at, all.first(count0_), all.subspan(count0_, count1_));
  }

  void accumulate(Sums& sums, Complex lambda, Complex weight, Complex kernel0, Complex kernel1) const {
    std::array<Complex, 2 * kMostFunctions> f;
    spectrum(lambda, f);
    for (std::size_t i = 0; i < count(); ++i) {
      const Complex term = weight * f[i] * (i < count0_ ? kernel0 : kernel1);
      sums.value[i] += term;
      sums.absolute[i] += std::abs(term);
    }
  }

  [[nodiscard]] Sums gauss(const Panel& panel) const {
    const math::Rule& rule = math::gauss_legendre(kOrder);
    const Complex middle = 0.5 * (panel.from + panel.to);
    const Complex half = 0.5 * (panel.to - panel.from);
    Sums sums;
    for (std::size_t i = 0; i < rule.nodes.size(); ++i) {
      const Complex lambda = middle + half * rule.nodes[i];
      const Complex weight = half * rule.weights[i];
      if (panel.kernel == Kernel::bessel) {
        const math::BesselPair j = math::bessel_j(lambda * geometry_.rho);
        accumulate(sums, lambda, weight, j.order0, j.order1);
      } else {
        const math::BesselPair h = math::hankel1_scaled(lambda * geometry_.rho);
        const Complex phase = 0.5 * std::exp(Complex(0.0, 1.0) * lambda * geometry_.rho);
        const Complex h0 = phase * h.order0;
        const Complex h1 = phase * h.order1;
        accumulate(sums, lambda, weight, h0, h1);
        accumulate(sums, std::conj(lambda), std::conj(weight), std::conj(h0), std::conj(h1));
      }
    }
    return sums;
  }

  [[nodiscard]] Sums refine(const Panel& panel, const Sums& whole, int depth) const {
    const Complex middle = 0.5 * (panel.from + panel.to);
    const Panel left{panel.from, middle, panel.kernel};
    const Panel right{middle, panel.to, panel.kernel};
    const Sums left_sums = gauss(left);
    const Sums right_sums = gauss(right);
    Sums both = left_sums;
    both.add(right_sums, count());
    bool good = true;
    for (std::size_t i = 0; i < count(); ++i) {
      const double difference = std::abs(both.value[i] - whole.value[i]);
      good = good && difference <= std::max(allowed_[i], 1e-15 * both.absolute[i]);
    }
    if (good) return both;
    if (depth >= kMostHalvings) {
      throw core::Error(core::ErrorKind::numerics, "a ground integral does not converge");
    }
    Sums sums = refine(left, left_sums, depth + 1);
    sums.add(refine(right, right_sums, depth + 1), count());
    return sums;
  }

  const SommerfeldGeometry& geometry_;
  const SpectralFunctions& functions_;
  std::size_t count0_;
  std::size_t count1_;
  Complex k1_squared_;
  double vertical_;
  std::array<double, 2 * kMostFunctions> allowed_{};
};

void check(const SommerfeldGeometry& g, std::size_t count0, std::size_t count1) {
  const bool good = g.k0 > 0.0 && std::isfinite(g.k0) && g.n2.real() >= 1.0 && g.n2.imag() <= 0.0 &&
                    std::isfinite(std::abs(g.n2)) && g.rho >= 0.0 && std::isfinite(g.rho) &&
                    g.height >= 0.0 && g.depth >= 0.0 && g.height + g.depth > 0.0 &&
                    std::isfinite(g.height + g.depth) && count0 <= kMostFunctions && count1 <= kMostFunctions;
  if (!good) throw core::Error(core::ErrorKind::usage, "a ground integral was asked for outside its range");
}

}  // namespace

void integrate_sommerfeld(const SommerfeldGeometry& geometry, const SpectralFunctions& functions,
                          std::span<Complex> integral_j0, std::span<Complex> integral_j1, double tolerance) {
  check(geometry, integral_j0.size(), integral_j1.size());
  Integrator integrator(geometry, functions, integral_j0.size(), integral_j1.size());
  const Sums sums = integrator.run(tolerance);
  const auto middle = sums.value.begin() + static_cast<std::ptrdiff_t>(integral_j0.size());
  std::copy(sums.value.begin(), middle, integral_j0.begin());
  std::copy(middle, middle + static_cast<std::ptrdiff_t>(integral_j1.size()), integral_j1.begin());
}

ReflectionIntegrals reflection_integrals(double k0, Complex n2, double rho, double z_sum) {
  const Complex contrast = n2 - 1.0;
  const auto functions = [&](const SpectralPoint& at, std::span<Complex> times_j0,
                             std::span<Complex> times_j1) {
    const Complex d1 = at.u0 + at.u1;
    const Complex d2 = n2 * at.u0 + at.u1;
    const Complex decay = at.lambda * std::exp(-at.u0 * z_sum);
    // u0 - u1 = (n2 - 1) k0^2 / d1 without cancellation
    const Complex te = decay * contrast * k0 * k0 / (d1 * d1);
    const Complex tm = decay * (n2 * at.u0 - at.u1) / d2;
    const Complex w = decay * 2.0 * contrast / (d1 * d2);
    times_j0[0] = te / at.u0;
    times_j0[1] = tm / at.u0;
    times_j0[2] = w;
    times_j0[3] = te;
    times_j0[4] = tm * at.lambda * at.lambda / at.u0;
    times_j0[5] = tm;
    times_j1[0] = te * at.lambda / at.u0;
    times_j1[1] = tm * at.lambda / at.u0;
    times_j1[2] = tm * at.lambda;
    times_j1[3] = w * at.lambda;
    times_j1[4] = w * at.lambda / at.u0;
  };
  std::array<Complex, 6> j0;
  std::array<Complex, 5> j1;
  integrate_sommerfeld({k0, n2, rho, z_sum}, functions, j0, j1);
  return {j0[0], j0[1], j0[2], j0[3], j1[0], j1[1], j1[2], j1[3], j0[4], j0[5], j1[4]};
}

}  // namespace feldspar::media
