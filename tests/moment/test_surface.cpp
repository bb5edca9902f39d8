#include <doctest/doctest.h>

#include <cmath>
#include <vector>

#include "../support/close.hpp"
#include "../support/structures.hpp"
#include "fields/far_field.hpp"
#include "fields/power.hpp"
#include "media/wire_impedance.hpp"
#include "moment/solve.hpp"

// Wires below and through the surface against limits that are known without it. Lengths in wavelengths in
// air.
namespace feldspar::moment {

namespace {

using testing::relative_error;
using testing::Structure;
using Complex = std::complex<double>;

Complex impedance(const Structure& s, const media::Ground& ground, const SeriesImpedance& series = {}) {
  return solve(s, series, ground, testing::kUnitFrequency).impedance(0, 0);
}

/// A slanted dipole through z = 0, off its middle.
Structure slanted_through() {
  return testing::centre_fed({-0.1, 0.03, -0.12}, {0.12, 0.0, 0.2}, 1e-3, 2e-3);
}

/// Whip with a stake and two radials, one above the surface and one below.
Structure staked() {
  Structure s;
  s.wires = {testing::straight({0, 0, 0.004}, {0, 0, 0.24}, 2e-4),
             testing::straight({0, 0, 0.004}, {0, 0, -0.03}, 2e-4),
             testing::straight({0, 0, 0.004}, {0.2, 0, 0.004}, 1e-4),
             testing::straight({0, 0, -0.03}, {0, 0.1, -0.02}, 1e-4)};
  s.ports = {{"feed", {{0, 0.0, 4e-4}}, {}}};
  return s;
}

Structure buried_dipole(double radius) {
  return testing::centre_fed({-0.12, 0, -0.02}, {0.12, 0, -0.02}, radius, 2e-3);
}

}  // namespace

TEST_CASE("surface: soil like air is free space") {
  for (const Structure& s : {slanted_through(), staked(), buried_dipole(2e-4)}) {
    const Complex alone = impedance(s, {});
    // the meshes differ by the elements that end at z = 0
    CHECK(relative_error(impedance(s, testing::soil(1.0, 0.0)), alone) <= 2e-3);
    Setting fine{geometry::fine_mesh(), 1e-8};
    const Complex soil = solve(s, {}, testing::soil(1.0, 0.0), testing::kUnitFrequency, fine).impedance(0, 0);
    const Complex free = solve(s, {}, {}, testing::kUnitFrequency, fine).impedance(0, 0);
    CHECK(relative_error(soil, free) <= 1e-4);
  }
}

TEST_CASE("surface: a stake in metal makes the whip a monopole on perfect ground") {
  Structure s;
  s.wires = {testing::straight({0, 0, 0}, {0, 0, 0.24}, 2e-4),
             testing::straight({0, 0, 0}, {0, 0, -0.03}, 2e-4)};
  s.ports = {{"feed", {{0, 0.0, 4e-4}}, {}}};
  Structure monopole = s;
  monopole.wires.pop_back();
  media::Ground perfect;
  perfect.kind = media::GroundKind::perfect;
  const Complex expected = impedance(monopole, perfect);
  double last = 10.0;
  for (const double conductivity : {1e1, 1e2, 1e3}) {  // the error falls as the surface impedance, 1 / sqrt
    const double error = relative_error(impedance(s, testing::soil(1.0, conductivity)), expected);
    CHECK(error < 0.4 * last);
    last = error;
  }
  CHECK(last <= 0.05);
}

TEST_CASE("surface: where the split falls does not matter to a wire moved through it") {
  // The same staked whip with path points a hair above and below the surface: more elements, the same
  // antenna.
  const Structure s = staked();
  Structure cut = s;
  cut.wires[1].path = {{0, 0, 0.004}, {0, 0, 1e-5}, {0, 0, -2e-4}, {0, 0, -0.03}};
  const media::Ground soil = testing::soil(13.0, 5e-3 * core::kSpeedOfLight / 7.1e6 / 1.0);
  CHECK(relative_error(impedance(cut, soil), impedance(s, soil)) <= 1e-3);
}

TEST_CASE("surface: over lossless soil what is fed goes up or down") {
  struct Row {
    const char* what;
    Structure structure;
  };
  for (const Row& row : {Row{"slanted through the surface", slanted_through()}, Row{"staked whip", staked()},
                         Row{"buried dipole", buried_dipole(2e-4)}}) {
    CAPTURE(row.what);
    const media::Ground soil = testing::soil(4.0, 0.0);
    const Setting fine{geometry::fine_mesh(), 1e-8};
    const Solution solution = solve(row.structure, {}, soil, testing::kUnitFrequency, fine);
    const double fed = 0.5 * solution.admittance(0, 0).real();  // 1 V
    const Currents& currents = solution.unit_currents.front();
    const double sky = fields::sky_power(fields::Pattern(currents, soil, testing::kUnitFrequency));
    const double down = fields::lower_hemisphere_power(currents, soil, testing::kUnitFrequency);
    CHECK(std::abs(sky + down - fed) <= 1e-4 * fed);
  }
}

TEST_CASE("surface: coats in soil and in air") {
  const double a = 2e-5;
  const double b = 4e-5;
  const double w = core::angular(testing::kUnitFrequency);
  const auto coated = [&](const media::Ground& ground, double permittivity) {
    const media::CoatEffect coat = media::coat_effect(core::Length{a}, core::Length{b}, permittivity);
    return impedance(buried_dipole(b), ground,
                     {{Complex{0.0, w * coat.sheath_inductance}}, {}, {coat.sheath_capacitance}});
  };
  // A coat of the surrounding medium is none, but for ends and gap, where the error is of first order in the
  // radius: 0.017 with ten times the radii.
  CHECK(relative_error(coated({}, 1.0), impedance(buried_dipole(a), {})) <= 2e-3);
  const media::Ground lossless = testing::soil(4.0, 0.0);
  CHECK(relative_error(coated(lossless, 4.0), impedance(buried_dipole(a), lossless)) <= 4e-3);
  // In air the wire of equivalent radius with its series inductance is the same (Lee and Balmain 1979).
  const media::CoatEffect coat = media::coat_effect(core::Length{a}, core::Length{b}, 3.0);
  const Complex equivalent =
      impedance(buried_dipole(coat.equivalent_radius), {}, {{Complex{0.0, w * coat.series_inductance}}, {}});
  CHECK(relative_error(coated({}, 3.0), equivalent) <= 2e-3);
  CHECK(relative_error(coated({}, 3.0), coated({}, 1.0)) > 0.05);
  // In conducting soil a thin coat keeps the current from leaking: the wire is tens of times longer in loss.
  const media::Ground wet = testing::soil(30.0, 3.0);
  CHECK(relative_error(coated(wet, 3.0), impedance(buried_dipole(a), wet)) > 0.3);
}

TEST_CASE("surface: plane-wave reflection refuses wires in the soil") {
  media::Ground ground = testing::soil(13.0, 5e-3);
  ground.method = media::GroundMethod::plane_wave;
  CHECK_THROWS_AS(impedance(buried_dipole(1e-4), ground), core::Error);
}

}  // namespace feldspar::moment
