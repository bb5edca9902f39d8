#include <array>
#include <cmath>

#include "core/error.hpp"
#include "media/half_space.hpp"
#include "media/half_space_spectrum.hpp"
#include "media/sommerfeld.hpp"

namespace feldspar::media {

using Complex = std::complex<double>;

namespace reference {

ReflectedRest reflected_rest(double k0, Complex n2, double rho, double z_sum) {
  const RestConstants constants(k0, n2);
  const auto functions = [&](const SpectralPoint& at, std::span<Complex> times_j0,
                             std::span<Complex> times_j1) {
    const RestSpectrum s = rest_spectrum(constants, at.lambda, at.u0, at.u1);
    const Complex decay = std::exp(-at.u0 * z_sum);
    times_j0[0] = s.a_h * decay;
    times_j0[1] = s.a_v * decay;
    times_j0[2] = s.p * decay;
    times_j1[0] = s.a_m * decay;
  };
  std::array<Complex, 3> j0;
  std::array<Complex, 1> j1;
  integrate_sommerfeld({k0, n2, rho, z_sum}, functions, j0, j1);
  const Complex image =
      constants.image * (image_m_difference(k0, rho, z_sum) + image_m_dynamic(k0, rho, z_sum));
  return {j0[0], j0[1], j1[0] + image, j0[2]};
}

}  // namespace reference

ReflectedRest plane_wave_rest(double k0, Complex n2, double rho, double z_sum) noexcept {
  const RestConstants constants(k0, n2);
  const double r = std::hypot(rho, z_sum);
  const Complex lambda = k0 * rho / r;
  const Complex u0(0.0, k0 * z_sum / r);
  const Complex u1 = std::sqrt(lambda * lambda - n2 * k0 * k0);
  const Complex wave = std::polar(1.0 / r, -k0 * r);
  const Complex product = 1.0 / ((u0 + u1) * (n2 * u0 + u1));
  const Complex v = 2.0 * (n2 - 1.0) * product;  // W / lambda
  const Complex g = constants.difference / ((u0 + u1) * (u0 + u1));
  const Complex tm = (n2 * u0 - u1) / (n2 * u0 + u1);
  const Complex image = constants.image;
  // J_1 is J_0 a quarter period later, so that lambda / u0 times (u0 W) J_1 gives j u0 W
  const Complex a_m = Complex(0.0, 1.0) * u0 * lambda * v * wave;
  return {g * wave, (tm + u0 * u0 * v - 2.0 * image) * wave, a_m - image * rho / (r * (r + z_sum)),
          (g - u0 * u0 * v + image) * wave};
}

}  // namespace feldspar::media
