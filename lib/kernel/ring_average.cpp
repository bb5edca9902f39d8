#include "kernel/ring_average.hpp"

#include <array>
#include <cmath>

#include "core/constants.hpp"
#include "kernel/sincos.hpp"
#include "math/clones.hpp"

namespace feldspar::kernel {

namespace {

using Complex = std::complex<double>;

/// sin^2(phi/2) at the six midpoints of (0, pi).
const std::array<double, 6>& half_angle_squares() {
  static const std::array<double, 6> kSquares = [] {
    std::array<double, 6> squares{};
    for (std::size_t i = 0; i < squares.size(); ++i) {
      const double s = std::sin((static_cast<double>(i) + 0.5) * core::kPi / 12.0);
      squares[i] = s * s;
    }
    return squares;
  }();
  return kSquares;
}

}  // namespace

double static_ring_average(double u, double a, double b) noexcept {
  double x = std::sqrt(u * u + (a + b) * (a + b));
  double y = std::sqrt(u * u + (a - b) * (a - b));
  for (int step = 0; step < 40 && std::abs(x - y) > 1e-9 * x; ++step) {
    const double mean = 0.5 * (x + y);
    y = std::sqrt(x * y);
    x = mean;
  }
  return 2.0 / (x + y);  // one more step of the mean squares the remaining 1e-9
}

namespace {

/// 1/R averaged, with as many steps of the mean as the most eccentric ring in double precision needs.
[[gnu::always_inline]] inline double static_average(double u, double a, double b) noexcept {
  double x = std::sqrt(u * u + (a + b) * (a + b));
  double y = std::sqrt(u * u + (a - b) * (a - b));
  constexpr int kSteps = 8;
  for (int step = 0; step < kSteps; ++step) {
    const double mean = 0.5 * (x + y);
    y = std::sqrt(x * y);
    x = mean;
  }
  return 2.0 / (x + y);
}

/// (exp(-jkR) - 1)/R where |kR| > 1e-2, its series elsewhere, without branches; k = real - j loss.
[[gnu::always_inline]] inline void add_dynamic(double r, double real, double loss, double& re,
                                               double& im) noexcept {
  double sine = 0.0;
  double cosine = 0.0;
  sincos(real * r, sine, cosine);
  const double size = decay(-loss * r);
  const double far_re = (size * cosine - 1.0) / r;
  const double far_im = -size * sine / r;
  // -jk (1 + x/2 + x^2/6 + x^3/24 + x^4/120 + x^5/720), x = -jkR = (-loss - j real) R
  const double xr = -loss * r;
  const double xi = -real * r;
  double pr = 1.0 / 720.0;
  double pi = 0.0;
  for (const double c : {1.0 / 120.0, 1.0 / 24.0, 1.0 / 6.0, 0.5, 1.0}) {
    const double next = pr * xr - pi * xi + c;
    pi = pr * xi + pi * xr;
    pr = next;
  }
  const double near_re = -loss * pr + real * pi;
  const double near_im = -real * pr - loss * pi;
  const bool near = (real * real + loss * loss) * r * r < 1e-4;
  re += near ? near_re : far_re;
  im += near ? near_im : far_im;
}

}  // namespace

namespace detail {

/// Averages of stretches whose points are all near (six angles) or all far, where the middle alone is as
/// good.
template <bool kNear>
[[gnu::always_inline]] inline void ring_stretch(const double* __restrict u, std::size_t count, double a,
                                                double b, Complex k, double* __restrict re,
                                                double* __restrict im) noexcept {
  const double* squares = half_angle_squares().data();
  const double real = k.real();
  const double loss = -k.imag();
  const double step = (a - b) * (a - b);
  const double span = 4.0 * a * b;
#pragma omp simd
  for (std::size_t i = 0; i < count; ++i) {
    const double spread = u[i] * u[i] + step;
    double x = 0.0;
    double y = 0.0;
    if (kNear) {
      for (int n = 0; n < 6; ++n) add_dynamic(std::sqrt(spread + span * squares[n]), real, loss, x, y);
      x *= 1.0 / 6.0;
      y *= 1.0 / 6.0;
    } else {
      add_dynamic(std::sqrt(spread + 0.5 * span), real, loss, x, y);
    }
    re[i] = static_average(u[i], a, b) + x;
    im[i] = y;
  }
}

FELDSPAR_CLONES void ring_stretch_near(const double* u, std::size_t count, double a, double b, Complex k,
                                       double* re, double* im) noexcept {
  ring_stretch<true>(u, count, a, b, k, re, im);
}

FELDSPAR_CLONES void ring_stretch_far(const double* u, std::size_t count, double a, double b, Complex k,
                                      double* re, double* im) noexcept {
  ring_stretch<false>(u, count, a, b, k, re, im);
}

}  // namespace detail

void ring_averages(const double* u, std::size_t count, double a, double b, Complex k, double* re,
                   double* im) noexcept {
  const auto is_near = [&](std::size_t i) {
    return std::abs(u[i]) <= 20.0 * (a + b) && std::abs(k) * (a + b) >= 1e-4;
  };
  for (std::size_t from = 0; from < count;) {
    const bool near = is_near(from);
    std::size_t to = from + 1;
    while (to < count && is_near(to) == near) ++to;
    (near ? detail::ring_stretch_near : detail::ring_stretch_far)(u + from, to - from, a, b, k, re + from,
                                                                  im + from);
    from = to;
  }
}

namespace reference {

namespace {

Complex at_angle(double u, double a, double b, Complex k, double phi) {
  const double s = std::sin(0.5 * phi);
  const double r = std::sqrt(u * u + (a - b) * (a - b) + 4.0 * a * b * s * s);
  return std::exp(Complex{0.0, -1.0} * k * r) / r;
}

/// tanh-sinh rule over (0, pi): copes with the nearly singular end at phi = 0.
Complex tanh_sinh(double u, double a, double b, Complex k, double step) {
  Complex sum = 0.0;
  for (double t = -4.3; t <= 4.3; t += step) {
    const double w = 0.5 * core::kPi * std::sinh(t);
    const double density = 0.5 * core::kPi * std::cosh(t) / (std::cosh(w) * std::cosh(w));
    const double phi = core::kPi / (1.0 + std::exp(-2.0 * w));
    if (phi > 0.0 && phi < core::kPi) sum += at_angle(u, a, b, k, phi) * density;
  }
  return sum * step * 0.5;
}

}  // namespace

Complex ring_average(double u, double a, double b, Complex k) {
  double step = 0.25;
  Complex last = tanh_sinh(u, a, b, k, step);
  for (int level = 0; level < 8; ++level) {
    step *= 0.5;
    const Complex next = tanh_sinh(u, a, b, k, step);
    if (std::abs(next - last) < 1e-13 * std::abs(next)) return next;
    last = next;
  }
  return last;
}

}  // namespace reference

}  // namespace feldspar::kernel
