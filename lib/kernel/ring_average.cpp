#include "kernel/ring_average.hpp"

#include <array>
#include <cmath>

#include "core/constants.hpp"
#include "kernel/sincos.hpp"

namespace feldspar::kernel {

namespace {

using Complex = std::complex<double>;

/// (exp(-jkR) - 1)/R, smooth at R = 0.
Complex dynamic_part(double r, Complex k) noexcept {
  const Complex x = Complex{k.imag(), -k.real()} * r;  // -jkR
  if (std::abs(x) < 1e-2) {
    const Complex series =
        1.0 + x / 2.0 * (1.0 + x / 3.0 * (1.0 + x / 4.0 * (1.0 + x / 5.0 * (1.0 + x / 6.0))));
    return Complex{k.imag(), -k.real()} * series;
  }
  const double size = x.real() == 0.0 ? 1.0 : std::exp(x.real());
  double sine = 0.0;
  double cosine = 0.0;
  sincos(x.imag(), sine, cosine);
  return Complex{size * cosine - 1.0, size * sine} * (1.0 / r);
}

/// sin^2(phi/2) at the six midpoints of (0, pi).
std::array<double, 6> half_angle_squares() {
  std::array<double, 6> squares{};
  for (std::size_t i = 0; i < squares.size(); ++i) {
    const double s = std::sin((static_cast<double>(i) + 0.5) * core::kPi / 12.0);
    squares[i] = s * s;
  }
  return squares;
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

Complex ring_average(double u, double a, double b, Complex k) noexcept {
  static const std::array<double, 6> kSquares = half_angle_squares();
  const double spread = u * u + (a - b) * (a - b);
  const double span = 4.0 * a * b;
  const double middle = std::sqrt(spread + 0.5 * span);
  if (std::abs(u) > 20.0 * (a + b) || std::abs(k) * (a + b) < 1e-4)
    return static_ring_average(u, a, b) + dynamic_part(middle, k);
  Complex sum = 0.0;
  for (const double square : kSquares) sum += dynamic_part(std::sqrt(spread + span * square), k);
  return static_ring_average(u, a, b) + sum / static_cast<double>(kSquares.size());
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
