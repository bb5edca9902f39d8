#include <doctest/doctest.h>

#include <cmath>
#include <complex>
#include <vector>

#include "fields/spherical_bessel_detail.hpp"
#include "math/quadrature.hpp"

namespace feldspar::fields::detail {

using Complex = std::complex<double>;

// int P_n(t) exp(jxt) dt = 2 j^n j_n(x) [DLMF 10.54.2]: Gauss quadrature of the left side is the oracle,
// times exp(-|Im x|) so that it stays finite.
namespace {
Complex by_quadrature(Complex x, int n) {
  const math::Rule& rule = math::gauss_legendre(400);
  std::vector<double> p(static_cast<std::size_t>(n) + 1);
  Complex sum = 0.0;
  for (std::size_t i = 0; i < rule.nodes.size(); ++i) {
    math::legendre(rule.nodes[i], n, p.data());
    sum += rule.weights[i] * p.back() * std::exp(Complex(0.0, 1.0) * x * rule.nodes[i] - std::abs(x.imag()));
  }
  return sum / (2.0 * std::pow(Complex(0.0, 1.0), n));
}
}  // namespace

TEST_CASE(
    "spherical_bessel: real argument agrees with quadrature of the Legendre polynomial's Fourier integral") {
  for (const double x :
       {0.0, 1e-9, 1e-3, 0.3, -0.8, 1.0, 2.5, 3.14159265, -4.493409458, 7.0, 12.9, 13.1, 40.0, 150.0}) {
    for (const int degree : {0, 1, 2, 8, 12}) {
      std::vector<double> out(static_cast<std::size_t>(degree) + 1);
      spherical_bessel(x, degree, out.data());
      for (int n = 0; n <= degree; ++n) {
        CAPTURE(x);
        CAPTURE(n);
        CHECK(std::abs(out[static_cast<std::size_t>(n)] - by_quadrature(x, n)) <
              1e-14);  // rounding of the 400 terms
      }
    }
  }
}

TEST_CASE("spherical_bessel: complex argument, scaled, agrees with the same quadrature") {
  const Complex arguments[] = {{0.0, 1e-6}, {0.2, 0.3},  {0.5, -0.2}, {2.0, 3.0},   {0.0, 12.0}, {0.0, -90.0},
                               {30.0, 5.0}, {3.0, 60.0}, {80.0, 0.0}, {60.0, 60.0}, {4.5, 1e-3}};
  for (const Complex x : arguments) {
    for (const int degree : {0, 1, 8}) {
      const double scale = std::exp(-std::abs(x.imag()));
      const Complex plus = std::exp(Complex(0.0, 1.0) * x - std::abs(x.imag()));
      const Complex minus = std::exp(Complex(0.0, -1.0) * x - std::abs(x.imag()));
      std::vector<Complex> out(static_cast<std::size_t>(degree) + 1);
      spherical_bessel(x, plus, minus, scale, degree, out.data());
      for (int n = 0; n <= degree; ++n) {
        CAPTURE(x.real());
        CAPTURE(x.imag());
        CAPTURE(n);
        CHECK(std::abs(out[static_cast<std::size_t>(n)] - by_quadrature(x, n)) <
              2e-13);  // the header's bound
      }
    }
  }
}

TEST_CASE("spherical_bessel: no overflow where exp(|Im x|) has none left") {
  std::vector<Complex> out(9);
  spherical_bessel(Complex(5.0, 3000.0), 0.0, 1.0, 0.0, 8,
                   out.data());  // c exp(-jx) = 1, the others vanished
  for (int n = 0; n <= 8; ++n) {
    // c j_n = c exp(-jx) j^n... of leading order j_n(x) ~ j^(n+1) exp(-jx) / 2x for Im x >> n^2
    // [DLMF 10.52.3]
    const Complex leading = std::pow(Complex(0.0, 1.0), n + 1) / (2.0 * Complex(5.0, 3000.0));
    CHECK(std::abs(out[static_cast<std::size_t>(n)] / leading - 1.0) < n * (n + 1) / 5500.0 + 1e-12);
  }
}

}  // namespace feldspar::fields::detail
