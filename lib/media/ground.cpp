#include "media/ground.hpp"

namespace feldspar::media {

std::complex<double> complex_permittivity(const Ground& ground, core::Frequency f) {
  if (ground.kind != GroundKind::real) return 1.0;
  return {ground.relative_permittivity,
          -ground.conductivity / (core::angular(f) * core::kVacuumPermittivity)};
}

}  // namespace feldspar::media
