#include "math/bessel_lanes.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#include <vector>

namespace feldspar::math {

namespace {

using Complex = std::complex<double>;

// Sizes on either side of every border of the code, angles over the first quadrant as far as is used.
std::vector<Complex> arguments(std::initializer_list<double> angles) {
  std::vector<Complex> list;
  for (const double size : {1e-8, 0.02, 0.7, 2.99, 3.01, 5.0, 7.99, 8.01, 12.0, 16.9, 17.1, 40.0, 300.0}) {
    for (const double angle : angles) list.push_back(std::polar(size, angle));
  }
  while (list.size() % kLanes != 0) list.push_back(list.back());
  return list;
}

Lanes real_parts(const std::vector<Complex>& z, std::size_t from) {
  return Lanes{z[from].real(), z[from + 1].real(), z[from + 2].real(), z[from + 3].real()};
}
Lanes imaginary_parts(const std::vector<Complex>& z, std::size_t from) {
  return Lanes{z[from].imag(), z[from + 1].imag(), z[from + 2].imag(), z[from + 3].imag()};
}

}  // namespace

// Source: libm, which is right to about half a unit in the last place.
TEST_CASE("sincos_lanes and exp_lanes: agree with libm") {
  for (double x = -40.0; x < 40.0; x += 0.0371) {
    const Lanes arguments{x, 30.0 * x, 2000.0 * x, -x};
    Lanes sine, cosine;
    sincos_lanes(arguments, sine, cosine);
    const Lanes power = exp_lanes(Lanes{x, 17.0 * x, 0.01 * x, -x});
    for (std::size_t i = 0; i < kLanes; ++i) {
      CAPTURE(arguments[i]);
      CHECK(std::abs(sine[i] - std::sin(arguments[i])) <= 4e-16);
      CHECK(std::abs(cosine[i] - std::cos(arguments[i])) <= 4e-16);
    }
    const double expected[] = {std::exp(x), std::exp(17.0 * x), std::exp(0.01 * x), std::exp(-x)};
    for (std::size_t i = 0; i < kLanes; ++i) {
      CHECK(std::abs(power[i] - expected[i]) <= 4e-16 * expected[i]);
    }
  }
  CHECK(exp_lanes(all_lanes(-1e4))[0] <= 1e-300);
}

// The scalar functions are the oracle; they are tested against mpmath in test_bessel.cpp.
TEST_CASE("bessel_j_lanes: agrees with bessel_j") {
  const std::vector<Complex> z = arguments({0.0, 0.1, 0.24, 0.5, 0.785, 1.2, 1.57});
  for (std::size_t from = 0; from < z.size(); from += kLanes) {
    const BesselLanes j = bessel_j_lanes(real_parts(z, from), imaginary_parts(z, from));
    for (std::size_t i = 0; i < kLanes; ++i) {
      const Complex at = z[from + i];
      if (at.imag() > 100.0) continue;  // exp would be clamped: never used
      CAPTURE(at);
      const BesselPair expected = bessel_j(at);
      const double size = std::abs(at);
      const double envelope =
          std::exp(at.imag()) * std::min(1.0, std::sqrt(2.0 / (std::numbers::pi * std::max(size, 1e-300))));
      const double promise = at.imag() <= 0.25 * at.real() || size < 8.0 ? 1e-13 : 1e-11;
      const double tolerance = (promise + 2.3e-16 * size) * envelope;  // the argument's own rounding
      CHECK(std::abs(Complex(j.re0[i], j.im0[i]) - expected.order0) <= tolerance);
      CHECK(std::abs(Complex(j.re1[i], j.im1[i]) - expected.order1) <= tolerance * std::min(1.0, size));
    }
  }
}

TEST_CASE("hankel_lanes: agrees with the scaled Hankel functions") {
  const std::vector<Complex> z = arguments({0.0, 0.1, 0.6, 1.2, 1.57});
  for (const bool up : {true, false}) {
    for (std::size_t from = 0; from < z.size(); from += kLanes) {
      const Lanes y = up ? imaginary_parts(z, from) : -imaginary_parts(z, from);
      const BesselLanes h = hankel_lanes(real_parts(z, from), y, up);
      for (std::size_t i = 0; i < kLanes; ++i) {
        const Complex at(z[from + i].real(), y[i]);
        CAPTURE(at);
        const BesselPair scaled = up ? hankel1_scaled(at) : hankel2_scaled(at);
        const Complex factor = std::exp(Complex(0.0, up ? 1.0 : -1.0) * at);
        const Complex order0 = factor * scaled.order0;
        const Complex order1 = factor * scaled.order1;
        const double tolerance = 1e-13 + 2.3e-16 * std::abs(at);
        CHECK(std::abs(Complex(h.re0[i], h.im0[i]) - order0) <= tolerance * std::abs(order0));
        CHECK(std::abs(Complex(h.re1[i], h.im1[i]) - order1) <= tolerance * std::abs(order1));
      }
    }
  }
}

}  // namespace feldspar::math
