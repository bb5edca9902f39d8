#include "media/fresnel.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/error.hpp"
#include "math/root.hpp"
#include "media/earth_constants.hpp"

namespace feldspar::media {
namespace {

using Complex = std::complex<double>;

/// Derivative with respect to s = sin psi of ln q, where |vertical|^2 = (1 - q)/(1 + q): the magnitude is
/// least where q is largest. N = eps s and D = sqrt(eps - cos^2 psi) are numerator and denominator's two
/// terms.
double slope_of_log_q(Complex eps, double s) {
  const Complex n = eps * s;
  const Complex d = std::sqrt(eps - 1.0 + s * s);
  const Complex slope_n = eps;
  const Complex slope_d = s / d;
  const double product = (n * std::conj(d)).real();
  const double squares = std::norm(n) + std::norm(d);
  return (slope_n * std::conj(d) + n * std::conj(slope_d)).real() / product -
         2.0 * (slope_n * std::conj(n) + slope_d * std::conj(d)).real() / squares;
}

}  // namespace

FresnelCoefficients kernel::fresnel(Complex eps, double sin_psi) noexcept {
  const Complex root = std::sqrt(eps - 1.0 + sin_psi * sin_psi);
  return {(eps * sin_psi - root) / (eps * sin_psi + root), (sin_psi - root) / (sin_psi + root)};
}

FresnelCoefficients fresnel(const Ground& ground, core::Frequency f, core::Angle psi) {
  constexpr double kRounding = 1e-12;  // 90 degrees converted to radians may be off in the last digit
  if (!(psi.si >= 0.0 && psi.si <= 0.5 * core::kPi + kRounding)) {
    throw core::Error(core::ErrorKind::usage,
                      fmt::format("the elevation must lie between 0 and 90 degrees, not {:g} degrees",
                                  psi.si * 180.0 / core::kPi));
  }
  if (ground.kind == GroundKind::perfect) return {1.0, -1.0};
  const Complex eps = earth_constants(ground, f).permittivity;
  if (eps == 1.0) return {0.0, 0.0};
  return kernel::fresnel(eps, std::sin(psi.si));
}

PseudoBrewster pseudo_brewster(const Ground& ground, core::Frequency f) {
  const Complex eps = ground.kind == GroundKind::real ? earth_constants(ground, f).permittivity : 1.0;
  if (eps == 1.0) {
    throw core::Error(core::ErrorKind::usage, "only a real ground has a pseudo-Brewster angle; name a soil");
  }
  // Phase -90 degrees: |N|^2 = |D|^2, with t = sin^2 psi (|eps|^4 - 1) t^2 - 2 (eps_r - 1) t - |eps - 1|^2 =
  // 0.
  const double fourth = std::norm(eps) * std::norm(eps) - 1.0;
  const double linear = eps.real() - 1.0;
  const double t = (linear + std::sqrt(linear * linear + fourth * std::norm(eps - 1.0))) / fourth;
  const double balanced = std::sqrt(t);
  // The least magnitude lies near that: at most a few per cent in s, and on it without loss.
  const auto slope = [&](double s) { return slope_of_log_q(eps, s); };
  const double least = math::bracketed_root(slope, 0.5 * balanced, std::min(1.0, 1.5 * balanced));
  PseudoBrewster result;
  result.elevation = core::Angle{std::asin(least)};
  result.magnitude = std::abs(kernel::fresnel(eps, least).vertical);
  result.quarter_phase = core::Angle{std::asin(std::min(1.0, balanced))};
  return result;
}

}  // namespace feldspar::media
