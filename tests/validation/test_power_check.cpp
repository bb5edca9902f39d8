#include <doctest/doctest.h>

#include <cmath>
#include <string>
#include <vector>

#include "../support/close.hpp"
#include "../support/radiated.hpp"
#include "../support/structures.hpp"
#include "media/wire_impedance.hpp"

// Average of the gain over the sphere: the radiation efficiency (IEEE Std 145, published.md G). The sky's
// power comes from far fields alone, the accepted power from the port alone: they share nothing but the
// currents.
namespace feldspar::validation {

namespace {

using testing::relative_error;

struct Antenna {
  std::string name;
  testing::Structure structure;
};

/// One wavelength is one metre; all antennas clear of z = 0.
std::vector<Antenna> antennas() {
  testing::Structure bent = testing::centre_fed({0.0, 0.0, 0.3}, {0.5, 0.0, 0.3}, 1e-4, 2e-4);
  bent.wires[0].path = {{-0.3, 0.1, 0.15}, {0.0, 0.0, 0.3}, {0.2, 0.25, 0.2}, {0.2, 0.25, 0.05}};
  bent.ports[0].spans = {{0, 0.20, 0.2005}};
  testing::Structure pair = testing::centre_fed({0.0, 0.0, 0.1}, {0.0, 0.5, 0.1}, 1e-4, 2e-4);
  pair.wires.push_back(testing::straight({0.1, 0.02, 0.11}, {0.05, 0.49, 0.17}, 3e-4));
  return {{"half-wave dipole", testing::centre_fed({-0.25, 0, 0.2}, {0.25, 0, 0.2}, 1e-3, 2e-3)},
          {"full-wave dipole, fat", testing::centre_fed({0, 0, 0.05}, {0, 0, 1.05}, 5e-3, 1e-2)},
          {"short dipole", testing::centre_fed({0, 0, 0.05}, {0.01, 0.01, 0.06}, 1e-5, 2e-5)},
          {"bent wire", bent},
          {"dipole and passive wire", pair},
          {"square loop", testing::polygon(4, 0.19, 2e-4, 0.15)}};
}

}  // namespace

TEST_CASE("lossless antennas: the average gain over the sphere is 1, in free space and over perfect ground") {
  // 1e-5: quadrature over the sphere (1e-7) and over pairs (1e-7 of |kernel|, hence of |Z|, which for the
  // short dipole is 1e4 times R, but the imaginary part of the kernel is smooth and exact to rounding).
  for (const Antenna& antenna : antennas())
    for (const bool over_ground : {false, true}) {
      CAPTURE(antenna.name);
      CAPTURE(over_ground);
      const media::Ground ground = over_ground ? testing::perfect_ground() : media::Ground{};
      CHECK(std::abs(testing::radiate(antenna.structure, ground).efficiency() - 1.0) <= 1e-5);
    }
}

TEST_CASE("wires with resistance: sky and wire losses are the accepted power") {
  for (const Antenna& antenna : antennas()) {
    CAPTURE(antenna.name);
    moment::SeriesImpedance series;
    std::vector<double> resistance;
    for (const geometry::Wire& wire : antenna.structure.wires) {
      series.per_metre.push_back(
          media::internal_impedance(core::Length{wire.radius}, 1e6, 1.0, testing::kUnitFrequency));
      resistance.push_back(series.per_metre.back().real());
    }
    const moment::Solution solution = moment::solve(antenna.structure, series, {}, testing::kUnitFrequency);
    const moment::Currents& currents = solution.unit_currents.front();
    const double accepted = 0.5 * solution.admittance(0, 0).real();
    const double sky = fields::sky_power(fields::Pattern(currents, {}, testing::kUnitFrequency));
    const double wires = fields::conductor_loss(currents, resistance);
    CHECK(wires > 1e-4 * accepted);
    CHECK(relative_error(sky + wires, accepted) <= 1e-5);
  }
}

TEST_CASE("over soil: sky and ground are the accepted power") {
  // The ground's power is the flux through z = 0, on its own (1e-4 asked for); lossless soil, average soil,
  // sea water.
  const media::Ground grounds[] = {testing::soil(13.0, 0.0), testing::soil(13.0, 0.1),
                                   testing::soil(81.0, 5.0)};
  for (const Antenna& antenna : antennas())
    for (const media::Ground& ground : grounds) {
      CAPTURE(antenna.name);
      CAPTURE(ground.conductivity);
      const testing::Radiated radiated = testing::radiate(antenna.structure, ground);
      const double sky = fields::sky_power(radiated.pattern);
      const moment::Solution solution = moment::solve(antenna.structure, {}, ground, testing::kUnitFrequency);
      const double soil =
          fields::ground_power(solution.unit_currents.front(), ground, testing::kUnitFrequency);
      CHECK(soil > 0.0);
      CHECK(relative_error(sky + soil, radiated.accepted.si) <= 1e-4);
    }
}

}  // namespace feldspar::validation
