#include "media/earth_constants.hpp"

#include <fmt/format.h>

#include <cmath>
#include <limits>

#include "core/error.hpp"

namespace feldspar::media {
namespace {

void require(bool fine, const char* what, double found) {
  if (!fine) throw core::Error(core::ErrorKind::usage, fmt::format("{}, not {:g}", what, found));
}

}  // namespace

EarthConstants earth_constants(const Ground& ground, core::Frequency f) {
  if (ground.kind == GroundKind::perfect) {
    throw core::Error(core::ErrorKind::usage, "perfect ground has no permittivity; name a soil");
  }
  require(std::isfinite(f.si) && f.si > 0.0, "the frequency must be above 0 Hz", f.si);
  if (ground.kind == GroundKind::real) {
    require(std::isfinite(ground.relative_permittivity) && ground.relative_permittivity >= 1.0,
            "the ground's relative permittivity must be at least 1", ground.relative_permittivity);
    require(std::isfinite(ground.conductivity) && ground.conductivity >= 0.0,
            "the ground's conductivity must be at least 0 S/m", ground.conductivity);
  }
  EarthConstants earth;
  earth.permittivity = complex_permittivity(ground, f);
  // The principal root lies in the fourth quadrant: the wave decays as it travels.
  earth.refractive_index = std::sqrt(earth.permittivity);
  earth.wavenumber = core::wavenumber(f) * earth.refractive_index;
  const double loss = -earth.wavenumber.imag();
  earth.skin_depth = loss > 0.0 ? 1.0 / loss : std::numeric_limits<double>::infinity();
  earth.wavelength = 2.0 * core::kPi / earth.wavenumber.real();
  earth.loss_tangent = -earth.permittivity.imag() / earth.permittivity.real() + 0.0;
  return earth;
}

}  // namespace feldspar::media
