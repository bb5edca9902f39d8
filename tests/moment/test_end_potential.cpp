#include "moment/end_potential.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <complex>

#include "../support/close.hpp"
#include "../support/structures.hpp"
#include "fields/power.hpp"
#include "moment/solve.hpp"

namespace feldspar::moment {

namespace {

using testing::relative_error;
using testing::Vec3;
using Complex = std::complex<double>;

Complex potential_at(const Solution& solution, const Vec3& at) {
  for (const EndPotential& end : solution.end_potentials)
    if ((end.at - at).norm() < 1e-9) return end.potential;
  FAIL("no free end there");
  return {};
}

Setting setting_of(const geometry::MeshRule& rule, double tolerance) {
  return {rule, tolerance};
}

/// A level wire fed against perfect ground at one end, its far end at a height of `height` above the ground,
/// with or without a thin wire from there to the ground in whose middle a second port measures.
/// Both go down to `depth` in the soil.
testing::Structure low_end(double height, double voltmeter_radius, double depth) {
  testing::Structure s;
  geometry::Wire wire = testing::straight({0, 0, -depth}, {0, 0, 6}, 1e-3);
  wire.path.emplace_back(14.0, 0.0, height);
  s.wires = {wire};
  s.ports = {{"feed", {{0, depth + 1.0, depth + 1.01}}, {}}};
  if (voltmeter_radius > 0.0) {
    s.wires.push_back(testing::straight({14.0, 0.0, height}, {14.0, 0.0, -depth}, voltmeter_radius));
    s.ports.push_back({"meter", {{1, 0.5 * height - 0.01, 0.5 * height + 0.01}}, {}});
  }
  return s;
}

}  // namespace

TEST_CASE("end potential: the halves of a short dipole stand at plus and minus half the voltage") {
  // Derived: at low frequency nothing but the gap keeps the two halves apart. What is left is of the order
  // (k h)^2, h half the length: 4e-3 here.
  for (const auto& [from, to] :
       {std::pair<Vec3, Vec3>{{0, 0, -0.01}, {0, 0, 0.01}}, {{0, 0, 0}, {0.01, 0.02, -0.01}}}) {
    const Solution s = solve(testing::centre_fed(from, to, 1e-5, 2e-5), {}, {}, testing::kUnitFrequency);
    REQUIRE(s.end_potentials.size() == 2);
    // current positive from start to end: the port lifts the end
    CHECK(std::abs(potential_at(s, to) - 0.5) <= 4e-3);
    CHECK(std::abs(potential_at(s, to) + potential_at(s, from)) <= 1e-9);
  }
}

TEST_CASE("end potential: the top of a quarter-wave monopole") {
  // Derived: a line of the mean characteristic impedance 60 (ln(2h/a) - 1) ohm, open at the top, a quarter
  // wave long, has -j Z times its base current there. A mean stands for an impedance that grows from the foot
  // to the top (a tenth or more of it), and the line does not radiate: 10 %.
  for (const double radius : {1e-5, 1e-4, 1e-3}) {
    const double h = 0.25;
    const Solution s =
        solve(testing::monopole(h, radius), {}, testing::perfect_ground(), testing::kUnitFrequency);
    REQUIRE(s.end_potentials.size() == 1);
    const Complex wanted = Complex(0.0, -60.0 * (std::log(2.0 * h / radius) - 1.0)) * s.admittance(0, 0);
    CHECK(relative_error(std::abs(s.end_potentials[0].potential), std::abs(wanted)) <= 0.1);
    // The dipole that it makes with its image, at twice the voltage.
    const Solution d = solve(testing::dipole(2.0 * h, radius), {}, {}, testing::kUnitFrequency);
    CHECK(relative_error(2.0 * potential_at(d, {0, 0, h}), s.end_potentials[0].potential) <= 1e-6);
  }
}

TEST_CASE("end potential: a voltmeter from a low end to the ground reads it") {
  // Independent computation: open-circuit voltage of a second port in a thin wire from the end to the ground.
  // Over perfect ground 4 %: the meter's own wire takes charge from the end (its capacitance over the
  // antenna's), and k h goes up to 0.3. Over soil the surface is not at 0 but, derived from the static image
  // of a charge low above it, at 2 / (n^2 + 1) of what that charge would make alone: that is the scale of
  // what the two may differ by. Frequencies lie away from resonance, where so small a capacitance would
  // change the whole antenna.
  const media::Ground average = testing::soil(13.0, 5e-3);
  for (const double mhz : {2.0, 7.1, 14.1})
    for (const double height : {1.0, 0.3})
      for (const double depth : {0.0, 0.5}) {
        const media::Ground ground = depth > 0.0 ? average : testing::perfect_ground();
        const core::Frequency f{mhz * 1e6};
        const Solution alone = solve(low_end(height, 0.0, depth), {}, ground, f);
        const Solution with = solve(low_end(height, 1e-5, depth), {}, ground, f);
        // positive current from the end to the ground: the port lifts the ground
        const Complex read = -with.impedance(1, 0) / with.impedance(0, 0);
        const Complex said = potential_at(alone, {14.0, 0.0, height});
        CAPTURE(mhz);
        CAPTURE(height);
        CAPTURE(depth);
        const double surface =
            depth > 0.0 ? 2.0 / std::abs(media::complex_permittivity(ground, f) + 1.0) : 0.04;
        CHECK(relative_error(said, read) <= surface);
      }
}

TEST_CASE("end potential: settles with the mesh, over soil as well") {
  for (const media::Ground& ground :
       {media::Ground{}, testing::perfect_ground(), testing::soil(13.0, 5e-3)}) {
    const testing::Structure s = testing::centre_fed({0, 0, 0.7}, {12, 3, 6}, 1e-3, 0.01);
    const core::Frequency f{14.1e6};
    const auto at = [&](const geometry::MeshRule& rule) {
      return solve(s, {}, ground, f, setting_of(rule, 1e-8)).end_potentials;
    };
    const auto draft = at(geometry::draft_mesh());
    const auto normal = at(geometry::normal_mesh());
    const auto fine = at(geometry::fine_mesh());
    REQUIRE(fine.size() == 2);
    for (std::size_t i = 0; i < 2; ++i) {
      // found: 1.1e-4 and 7e-5 at most; no more than a few times that
      CHECK(relative_error(draft[i].potential, fine[i].potential) <= 1e-3);
      CHECK(relative_error(normal[i].potential, fine[i].potential) <= 5e-4);
    }
  }
}

TEST_CASE("wire power: adds up to the port's power less what is lost in series") {
  // Derived: with the tested equations solved, 1/2 I^H Z I = V conj(I) / 2. Rounding only.
  testing::Structure s = testing::centre_fed({0, 0, 2}, {8, 3, 5}, 1e-3, 0.01);
  s.wires.push_back(testing::straight({1, 2, 1.5}, {6, 6, 3}, 2e-3));
  s.wires.push_back(testing::straight({8, 3, 5}, {9, 3, 2}, 1e-3));
  geometry::Insert insert;
  insert.name = "coil";
  insert.spans = {{2, 1.0, 1.05}};
  s.inserts = {insert};
  const SeriesImpedance series{{{0.5, 0.2}, {1.0, 0.4}, {}}, {Complex{20.0, 300.0}}, {1e-10, 1e300, 2e-10}};
  for (const media::Ground& ground : {media::Ground{}, testing::perfect_ground(), testing::soil(13.0, 5e-3)})
    for (const double mhz : {7.1, 21.2}) {
      const Solution solution = solve(s, series, ground, core::Frequency{mhz * 1e6});
      const std::vector<double> power = wire_power(solution);
      REQUIRE(power.size() == 3);
      const Currents& currents = solution.unit_currents.front();
      double lost = 0.0;
      for (std::size_t e = 0; e < currents.size(); ++e) {
        const geometry::Element& element = solution.mesh.elements[e];
        double per_metre = series.per_metre[static_cast<std::size_t>(element.wire)].real();
        if (element.wire == 2 && element.from >= 1.0 - 1e-9 && element.to <= 1.05 + 1e-9)
          per_metre += 20.0 / 0.05;
        lost += per_metre * fields::half_square_integral(currents[e]);
      }
      const double sum = power[0] + power[1] + power[2];
      CHECK(relative_error(sum + lost, 0.5 * solution.admittance(0, 0).real()) <= 1e-9);
      CHECK(lost > 0.01 * sum);
    }
}

TEST_CASE("wire power: shares between equal wires are equal, and a distant dead wire has next to none") {
  testing::Structure s;
  s.wires = {testing::straight({0, 0, 0.001}, {0, 0, 0.24}, 1e-3),
             testing::straight({0, 0, -0.24}, {0, 0, 0.001}, 1e-3),
             testing::straight({5, 0, -0.1}, {5, 0, 0.1}, 1e-3)};
  s.wires[0].path[0].z() = 0.0;
  s.wires[1].path[1].z() = 0.0;
  s.ports = {{"feed", {{0, 0.0, 1e-3}, {1, 0.239, 0.24}}, {}}};
  const Solution solution = solve(s, {}, {}, testing::kUnitFrequency);
  const std::vector<double> power = wire_power(solution);
  REQUIRE(power.size() == 3);
  CHECK(relative_error(power[0], power[1]) <= 1e-9);
  // far away and shorter than resonance it carries next to no current
  CHECK(std::abs(power[2]) <= 1e-3 * power[0]);
}

}  // namespace feldspar::moment
