#pragma once

#include <cmath>
#include <complex>

/// The spectral functions of media/half_space.hpp (both points above the surface), images taken away.
namespace feldspar::media {

/// 1 / z and the square root with Re >= 0, without the care for overflow that the library's own take.
inline std::complex<double> quick_reciprocal(std::complex<double> z) noexcept {
  const double scale = 1.0 / (z.real() * z.real() + z.imag() * z.imag());
  return {z.real() * scale, -z.imag() * scale};
}
inline std::complex<double> quick_sqrt(std::complex<double> z) noexcept {
  const double size = std::sqrt(z.real() * z.real() + z.imag() * z.imag());
  const double larger = std::sqrt(0.5 * (size + std::abs(z.real())));
  const double smaller = larger > 0.0 ? 0.5 * z.imag() / larger : 0.0;
  return z.real() >= 0.0 ? std::complex<double>(larger, smaller)
                         : std::complex<double>(std::abs(smaller), std::copysign(larger, z.imag()));
}

/// Factors of exp(-u0 z_sum) J_0(lambda rho) (a_h, a_v, p) and J_1(lambda rho) (a_m) under the integral over
/// lambda.
struct RestSpectrum {
  std::complex<double> a_h;
  std::complex<double> a_v;
  std::complex<double> p;
  std::complex<double> a_m;
};

/// What does not change along the path.
struct RestConstants {
  std::complex<double> n2;
  std::complex<double> difference;  ///< (n2 - 1) k0^2 = (u0 - u1) (u0 + u1)
  std::complex<double> image;       ///< K = (n2 - 1) / (n2 + 1)
  std::complex<double> charge;      ///< 2 K k0^2

  RestConstants(std::complex<double> k0, std::complex<double> n_squared)
      : n2(n_squared),
        difference((n_squared - 1.0) * k0 * k0),
        image((n_squared - 1.0) / (n_squared + 1.0)),
        charge(2.0 * image * k0 * k0) {}
};

/// With D1 = u0 + u1, D2 = n2 u0 + u1, G = (u0 - u1) / D1 and W = 2 lambda (n2 - 1) / (D1 D2), the potentials
/// are A_h: lambda G / u0, A_v: lambda (n2 u0 - u1) / (D2 u0) + u0 W, P: lambda G / u0 - u0 W, A_m: lambda W.
/// Taken from them are 2 K lambda / u0, -K lambda / u0 and K. With X = 2 K k0^2 / (D1 D2) what is left is
///     a_h: lambda G / u0,  p: lambda X / u0,  a_v: lambda (G + (n2 - 1) X) / u0,  a_m: G + n2 X,
/// which follows from (n2 u0 - u1) / D2 - K = n2 X, u0^2 W / lambda - K = G - X and lambda W - K = G + n2 X.
/// All fall off as k0^2 / lambda^2 and no difference of large terms is left, whatever n2 is.
inline RestSpectrum rest_spectrum(const RestConstants& c, std::complex<double> lambda,
                                  std::complex<double> u0, std::complex<double> u1) {
  const std::complex<double> over_d1 = quick_reciprocal(u0 + u1);
  const std::complex<double> g = c.difference * over_d1 * over_d1;
  const std::complex<double> x = c.charge * over_d1 * quick_reciprocal(c.n2 * u0 + u1);
  const std::complex<double> ratio = lambda * quick_reciprocal(u0);
  return {ratio * g, ratio * (g + (c.n2 - 1.0) * x), ratio * x, g + c.n2 * x};
}

/// (exp(-j k0 z_sum) - exp(-j k0 R')) / rho: the integral of exp(-u0 z_sum) J_1(lambda rho), the image that
/// the spectral form of a_m has lost, is (exp(-j k0 z_sum) - z_sum / R' exp(-j k0 R')) / rho; this is its
/// difference from (1 - z_sum / R') / rho exp(-j k0 R').
inline std::complex<double> image_m_difference(double k0, double rho, double z_sum) {
  const double r = std::hypot(rho, z_sum);
  const double half = 0.5 * k0 * rho / (r + z_sum);  // k0 (r - z_sum) / (2 rho)
  const double x = half * rho;
  const double sinc = x < 1e-4 ? 1.0 - x * x / 6.0 : std::sin(x) / x;
  return std::polar(2.0 * half * sinc, 0.5 * std::acos(-1.0) + x - k0 * r);
}

/// (1 - z_sum / R') / rho (exp(-j k0 R') - 1): what the dynamic image of A_m has more than the static one.
inline std::complex<double> image_m_dynamic(double k0, double rho, double z_sum) {
  const double r = std::hypot(rho, z_sum);
  const double half = 0.5 * k0 * r;
  return rho / (r * (r + z_sum)) * std::polar(2.0 * std::sin(half), -half - 0.5 * std::acos(-1.0));
}

}  // namespace feldspar::media
