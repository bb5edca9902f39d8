#include <doctest/doctest.h>

#include <cmath>
#include <limits>

#include "../support/close.hpp"
#include "../support/structures.hpp"
#include "fields/power.hpp"
#include "media/wire_impedance.hpp"

namespace feldspar::fields {

using testing::relative_error;

namespace {

struct Antenna {
  const char* name;
  core::Frequency f;
  media::Ground ground;
  testing::Structure structure;
};

/// Wires from the first to the second point, radius 5 mm; the port is the first centimetre of the first.
testing::Structure fed_at_its_start(const std::vector<std::pair<geometry::Vec3, geometry::Vec3>>& wires) {
  testing::Structure s;
  for (const auto& [from, to] : wires) s.wires.push_back(testing::straight(from, to, 5e-3));
  s.ports.push_back({"feed", {{0, 0.0, 0.01, 1}}, {}});
  return s;
}

std::vector<Antenna> antennas() {
  const media::Ground average = testing::soil(13.0, 0.005);
  const testing::Structure stake = fed_at_its_start({{{0, 0, 0.2}, {0, 0, 6}}, {{0, 0, 0.2}, {0, 0, -0.7}}});
  return {
      {"whip on a stake, average soil", core::Frequency{7.1e6}, average, stake},
      {"whip on a stake, soil without loss", core::Frequency{14.2e6}, testing::soil(5.0, 0.0), stake},
      {"whip on a stake, sea", core::Frequency{7.1e6}, testing::soil(81.0, 5.0), stake},
      {"whip over buried radials", core::Frequency{7.1e6}, average,
       fed_at_its_start({{{0, 0, 0.1}, {0, 0, 8}},
                         {{0, 0, 0.1}, {0, 0, -0.06}},
                         {{0, 0, -0.06}, {4, 0, -0.06}},
                         {{0, 0, -0.06}, {-2, 3, -0.06}}})},
      {"sloping wire against a stake", core::Frequency{7.1e6}, testing::soil(3.0, 1e-4),
       fed_at_its_start({{{0, 0, 0.3}, {12, 0, 6}}, {{0, 0, 0.3}, {0, 0, -0.5}}})},
      {"loop through the soil", core::Frequency{1e5}, average,
       fed_at_its_start({{{0, 0, 1}, {15, 0, 1}}, {{15, 0, 1}, {15, 0, -2}}, {{0, 0, 1}, {0, 0, -1.5}}})},
  };
}

}  // namespace

// Law: sky and ground take what the port feeds. The flux through the surface knows nothing of the impedance,
// and the wires below do no work but for what the current is off, which is of first order in its error (the
// impedance is of second): 1e-3 at the fine mesh, and less with every order added.
TEST_CASE("ground power: solved antennas through the surface close their budget") {
  for (const Antenna& a : antennas()) {
    double allowed = 1e-3;
    for (const int extra_order : {0, 3}) {
      moment::Setting setting;
      setting.mesh = geometry::fine_mesh();
      setting.mesh.extra_order = extra_order;
      setting.tolerance = 1e-9;
      const moment::Solution solution = moment::solve(a.structure, {}, a.ground, a.f, setting);
      const moment::Currents& currents = solution.unit_currents.front();
      const double accepted = 0.5 * solution.admittance(0, 0).real();
      const double sky = sky_power(Pattern(currents, a.ground, a.f));
      const double ground = ground_power(currents, a.ground, a.f, 1e-6);
      CAPTURE(a.name);
      CAPTURE(extra_order);
      CHECK(relative_error(sky + ground, accepted) < allowed);
      if (a.ground.conductivity == 0.0) {
        CHECK(relative_error(lower_hemisphere_power(currents, a.ground, a.f), ground) < allowed);
      }
      allowed = 1e-4;
    }
  }
}

// The same law with a coat, which carries 7 % to 96 % of what is fed down into the soil.
TEST_CASE("coat_flux: an insulated wire through the surface closes its budget") {
  const core::Frequency f{7.1e6};
  for (const media::Ground& ground :
       {testing::soil(13.0, 0.005), testing::soil(4.0, 1e-3), testing::soil(81.0, 5.0)}) {
    testing::Structure s = fed_at_its_start(
        {{{0, 0, 0.1}, {0, 0, 5}}, {{0, 0, 0.1}, {0, 0, -0.05}}, {{0, 0, -0.05}, {5, 0, -0.05}}});
    s.wires[1].radius = s.wires[2].radius = 1e-3;
    const double none = std::numeric_limits<double>::infinity();
    const double sheath = media::coat_effect(core::Length{5e-4}, core::Length{1e-3}, 3.0).sheath_capacitance;
    moment::SeriesImpedance series;
    series.per_metre.resize(3, 0.0);
    series.sheath_capacitance = {none, sheath, sheath};
    double allowed = 3e-3;  // first order in the current's error, as above
    for (const int extra_order : {0, 3}) {
      moment::Setting setting;
      setting.mesh = geometry::fine_mesh();
      setting.mesh.extra_order = extra_order;
      setting.tolerance = 1e-9;
      const moment::Solution solution = moment::solve(s, series, ground, f, setting);
      const moment::Currents& currents = solution.unit_currents.front();
      const double accepted = 0.5 * solution.admittance(0, 0).real();
      const double sky = sky_power(Pattern(currents, ground, f));
      const double flux = ground_power(currents, ground, f, 1e-6);
      const double coat = coat_flux(currents, series.sheath_capacitance, f);
      CAPTURE(ground.conductivity);
      CAPTURE(extra_order);
      CHECK(coat > 0.05 * accepted);
      CHECK(relative_error(sky + flux + coat, accepted) < allowed);
      allowed = 1e-3;
    }
  }
}

}  // namespace feldspar::fields
