#include <array>
#include <cmath>

#include "core/error.hpp"
#include "media/half_space_spectrum.hpp"
#include "media/sommerfeld.hpp"
#include "media/through_surface.hpp"

namespace feldspar::media::reference {
namespace {

using Complex = std::complex<double>;

// (exp(z) - 1) / z for Re z <= 0
Complex mean_exponential(Complex z) {
  if (z == 0.0) return 1.0;
  return (std::abs(z) < 1.0 ? 2.0 * std::exp(0.5 * z) * std::sinh(0.5 * z) : std::exp(z) - 1.0) / z;
}

// The integral of exp(-u1 zeta) J_1(lambda rho), (exp(-j k1 zeta) - zeta / R' exp(-j k1 R')) / rho, minus
// its static limit (1 - zeta / R') / rho.
Complex image_m_beyond_static(Complex k1, double rho, double zeta) {
  const double r = std::hypot(rho, zeta);
  const double slope = rho / (r + zeta);  // (r - zeta) / rho
  const Complex minus_jk = Complex(0.0, -1.0) * k1;
  return minus_jk * slope *
         (mean_exponential(minus_jk * r) -
          std::exp(minus_jk * zeta) * mean_exponential(minus_jk * slope * rho));
}

void check(double k0, Complex n2, double rho, double vertical) {
  const bool good = k0 > 0.0 && std::isfinite(k0) && n2.real() >= 1.0 && n2.imag() <= 0.0 &&
                    std::isfinite(std::abs(n2)) && rho >= 0.0 && std::isfinite(rho) && vertical > 0.0 &&
                    std::isfinite(vertical);
  if (!good) throw core::Error(core::ErrorKind::usage, "a potential in soil was asked for outside its range");
}

}  // namespace

ReflectedRest below_rest(double k0, Complex n2, double rho, double depth_sum) {
  check(k0, n2, rho, depth_sum);
  // The half-space upside down: k0 becomes k1, n2 its inverse and K changes its sign. So does A_m, which
  // multiplies one vertical component.
  const Complex k1 = k0 * std::sqrt(n2);
  const RestConstants constants(k1, 1.0 / n2);
  const auto functions = [&](const SpectralPoint& at, std::span<Complex> times_j0,
                             std::span<Complex> times_j1) {
    const RestSpectrum s = rest_spectrum(constants, at.lambda, at.u1, at.u0);
    const Complex decay = std::exp(-at.u1 * depth_sum);
    times_j0[0] = s.a_h * decay;
    times_j0[1] = s.a_v * decay;
    times_j0[2] = s.p * decay;
    times_j1[0] = s.a_m * decay;
  };
  std::array<Complex, 3> j0;
  std::array<Complex, 1> j1;
  integrate_sommerfeld({k0, n2, rho, 0.0, depth_sum}, functions, j0, j1);
  return {j0[0], j0[1], -j1[0] - constants.image * image_m_beyond_static(k1, rho, depth_sum), j0[2]};
}

AcrossRest across_rest(double k0, Complex n2, double rho, double height, double depth) {
  check(k0, n2, rho, height + depth);
  // The whole potentials, of which the static parts are taken off afterwards: what that loses is below 1e-15
  // of them.
  const auto functions = [&](const SpectralPoint& at, std::span<Complex> times_j0,
                             std::span<Complex> times_j1) {
    const Complex over_d1 = 1.0 / (at.u0 + at.u1);
    const Complex over_d2 = 1.0 / (n2 * at.u0 + at.u1);
    const Complex decay = 2.0 * at.lambda * std::exp(-at.u0 * height - at.u1 * depth);
    times_j0[0] = decay * over_d1;
    times_j0[1] = decay * over_d2;
    times_j1[0] = decay * at.lambda * (n2 - 1.0) * over_d1 * over_d2;
  };
  std::array<Complex, 2> j0;
  std::array<Complex, 1> j1;
  integrate_sommerfeld({k0, n2, rho, height, depth}, functions, j0, j1);
  const double vertical = height + depth;
  const double r = std::hypot(rho, vertical);
  const Complex image = (n2 - 1.0) / (n2 + 1.0);
  return {j0[0] - 1.0 / r, j1[0] - image * rho / (r * (r + vertical)), 0.5 * (n2 + 1.0) * j0[1] - 1.0 / r};
}

}  // namespace feldspar::media::reference
