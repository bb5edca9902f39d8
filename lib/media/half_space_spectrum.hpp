#pragma once

#include <cmath>
#include <complex>

/// The spectral functions of media/half_space.hpp (both points above the surface), images taken away.
namespace feldspar::media {

/// Factors of exp(-u0 z_sum) J_0(lambda rho) (a_h, a_v, p) and J_1(lambda rho) (a_m) under the integral over
/// lambda.
struct RestSpectrum {
  std::complex<double> a_h;
  std::complex<double> a_v;
  std::complex<double> p;
  std::complex<double> a_m;
};

/// What does not change along the path. symbols as in the derivation below
struct RestConstants {
  std::complex<double> n2;
  std::complex<double> difference;  ///< (n2 - 1) k0^2 = (u0 - u1) (u0 + u1)
  std::complex<double> image;       ///< K = (n2 - 1) / (n2 + 1)
  std::complex<double> image_v;     ///< 2 n2 K k0^2
  std::complex<double> image_m;     ///< 2 (n2 - 1) k0^2

  RestConstants(double k0, std::complex<double> n_squared)
      : n2(n_squared),
        difference((n_squared - 1.0) * k0 * k0),
        image((n_squared - 1.0) / (n_squared + 1.0)),
        image_v(2.0 * n_squared * image * k0 * k0),
        image_m(2.0 * difference) {}
};

/// With D1 = u0 + u1, D2 = n2 u0 + u1, G = (u0 - u1) / D1 and W = 2 lambda (n2 - 1) / (D1 D2), the potentials
/// are A_h: lambda G / u0, A_v: lambda (n2 u0 - u1) / (D2 u0) + u0 W, P: lambda G / u0 - u0 W, A_m: lambda W.
/// Taken from them are 2 K lambda / u0, -K lambda / u0 and K, written so that nothing cancels for large
/// lambda:
///     u0 W / lambda * u0 - K = Q = K (u0 - u1) ((n2 + 2) u0 + u1) / (D1 D2),
///     (n2 u0 - u1) / D2 - K = 2 n2 K k0^2 / (D1 D2),   lambda W - K = Q + 2 (n2 - 1) k0^2 / (D1 D2).
/// All of them fall off as k0^2 / lambda^2.
inline RestSpectrum rest_spectrum(const RestConstants& c, std::complex<double> lambda,
                                  std::complex<double> u0, std::complex<double> u1) {
  const std::complex<double> d1 = u0 + u1;
  const std::complex<double> d2 = c.n2 * u0 + u1;
  const std::complex<double> product = 1.0 / (d1 * d2);
  const std::complex<double> step = c.difference / d1;  // u0 - u1
  const std::complex<double> g = step / d1;
  const std::complex<double> q = c.image * step * ((c.n2 + 2.0) * u0 + u1) * product;
  const std::complex<double> ratio = lambda / u0;
  return {ratio * g, ratio * (q + c.image_v * product), ratio * (g - q), q + c.image_m * product};
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
