#include "media/wire_impedance.hpp"

#include <fmt/format.h>

#include <cmath>
#include <limits>

#include "core/error.hpp"
#include "math/bessel_ratio.hpp"

namespace feldspar::media {
namespace {

void require(bool fine, const char* what, double found) {
  if (!fine) throw core::Error(core::ErrorKind::usage, fmt::format("{}, not {:g}", what, found));
}

void validate(double conductivity, double relative_permeability, core::Frequency f) {
  require(conductivity > 0.0, "a wire's conductivity must be above 0 S/m", conductivity);
  require(std::isfinite(relative_permeability) && relative_permeability > 0.0,
          "a wire's relative permeability must be above 0", relative_permeability);
  require(std::isfinite(f.si) && f.si > 0.0, "the frequency must be above 0 Hz", f.si);
}

}  // namespace

double skin_depth(double conductivity, double relative_permeability, core::Frequency f) {
  validate(conductivity, relative_permeability, f);
  if (std::isinf(conductivity)) return 0.0;
  return 1.0 / std::sqrt(core::kPi * f.si * core::kVacuumPermeability * relative_permeability * conductivity);
}

double surface_resistance(double conductivity, double relative_permeability, core::Frequency f) {
  validate(conductivity, relative_permeability, f);
  if (std::isinf(conductivity)) return 0.0;
  return 1.0 / (conductivity * skin_depth(conductivity, relative_permeability, f));
}

std::complex<double> internal_impedance(core::Length radius, double conductivity,
                                        double relative_permeability, core::Frequency f) {
  require(std::isfinite(radius.si) && radius.si > 0.0, "a wire's radius must be above 0 m", radius.si);
  validate(conductivity, relative_permeability, f);
  if (std::isinf(conductivity)) return 0.0;
  // symbols as in the header: a radius, g transverse propagation constant of the metal
  const double a = radius.si;
  const std::complex<double> g =
      std::complex<double>{1.0, 1.0} / skin_depth(conductivity, relative_permeability, f);
  return g / (2.0 * core::kPi * a * conductivity) * math::bessel_i0_over_i1(g * a);
}

CoatEffect coat_effect(core::Length wire_radius, core::Length outer_radius, double relative_permittivity) {
  const double a = wire_radius.si;
  const double b = outer_radius.si;
  require(std::isfinite(a) && a > 0.0, "a wire's radius must be above 0 m", a);
  require(std::isfinite(b) && b >= a, "a coat's outer radius must be at least the wire's radius", b);
  require(std::isfinite(relative_permittivity) && relative_permittivity >= 1.0,
          "a coat's relative permittivity must be at least 1", relative_permittivity);
  const double log_ratio = std::log(b / a);
  const double share = 1.0 - 1.0 / relative_permittivity;
  CoatEffect effect;
  effect.equivalent_radius = a * std::exp(share * log_ratio);
  effect.series_inductance = core::kVacuumPermeability / (2.0 * core::kPi) * share * log_ratio;
  effect.sheath_inductance = core::kVacuumPermeability / (2.0 * core::kPi) * log_ratio;
  effect.sheath_capacitance =
      log_ratio > 0.0 ? 2.0 * core::kPi * core::kVacuumPermittivity * relative_permittivity / log_ratio
                      : std::numeric_limits<double>::infinity();
  return effect;
}

}  // namespace feldspar::media
