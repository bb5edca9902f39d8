#include "moment/solve.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <complex>
#include <cstddef>

#include "../support/close.hpp"
#include "../support/radiated.hpp"
#include "../support/structures.hpp"
#include "core/error.hpp"

namespace feldspar::moment {

namespace {

using testing::relative_error;
using Complex = std::complex<double>;

/// Value of a current at the end (+1) or start (-1) of its element.
Complex value(const ElementCurrent& e, double end) {
  Complex sum = 0.0;
  for (Eigen::Index n = 0; n < e.coefficients.size(); ++n)
    sum += (end < 0.0 && n % 2 == 1 ? -1.0 : 1.0) * e.coefficients(n);
  return sum;
}

}  // namespace

TEST_CASE("solve: impedance and admittance are inverse, port power is positive, residual is rounding") {
  testing::Structure s = testing::dipole(0.47, 1e-3);
  s.wires.push_back(testing::straight({0.15, 0, -0.2}, {0.15, 0, 0.2}, 2e-3));
  s.ports.push_back({"second", {{1, 0.1, 0.104}}, {}});
  const Solution solution = solve(s, {}, {}, testing::kUnitFrequency);
  CHECK((solution.impedance * solution.admittance - Eigen::MatrixXcd::Identity(2, 2)).cwiseAbs().maxCoeff() <=
        1e-12);
  CHECK(solution.unit_currents.size() == 2);
  CHECK(solution.condition_warning <= 1e-12);
  CHECK(solution.unknowns == geometry::unknowns(solution.mesh));
  const Eigen::MatrixXcd h = 0.5 * (solution.admittance + solution.admittance.adjoint());
  CHECK(h(0, 0).real() > 0.0);  // passive: the Hermitian part is positive definite
  CHECK((h(0, 0) * h(1, 1) - h(0, 1) * h(1, 0)).real() > 0.0);
}

TEST_CASE("solve: counts what it did, the same each time; ground tables only over real ground") {
  testing::Structure s = testing::centre_fed({0, 0, 0.3}, {0.3, 0.1, 0.5}, 1e-3, 0.01);
  media::Ground soil;
  soil.kind = media::GroundKind::real;
  soil.relative_permittivity = 13.0;
  soil.conductivity = 5e-3;
  const Solution alone = solve(s, {}, {}, testing::kUnitFrequency);
  const Solution over_soil = solve(s, {}, soil, testing::kUnitFrequency);
  CHECK(alone.work == solve(s, {}, {}, testing::kUnitFrequency).work);
  CHECK(over_soil.work == solve(s, {}, soil, testing::kUnitFrequency).work);
  CHECK(alone.work.solves == 2);  // the second one, of fewer unknowns, for the error estimate
  const auto n = static_cast<std::size_t>(alone.unknowns);
  CHECK(alone.work.unknowns > n);
  CHECK(alone.work.unknowns < 2 * n);
  CHECK(alone.work.samples > n);
  CHECK(alone.work.table_entries == 0);
  CHECK(over_soil.work.table_entries > 0);
  CHECK(over_soil.work.samples > alone.work.samples);  // images
  core::Work sum = alone.work;
  sum += over_soil.work;
  CHECK(sum.samples == alone.work.samples + over_soil.work.samples);
  CHECK(sum.solves == 4);
}

TEST_CASE(
    "solve: the port's current is the mean over its gap, and currents vanish at free ends and join "
    "elsewhere") {
  const testing::Structure s = testing::centre_fed({0, 0, 0}, {0.3, 0.1, 0.2}, 1e-3, 0.01);
  const Solution solution = solve(s, {}, {}, testing::kUnitFrequency);
  const Currents& currents = solution.unit_currents.front();
  const double middle = 0.5 * geometry::length(s.wires[0]);
  Complex mean = 0.0;
  for (std::size_t e = 0; e < currents.size(); ++e) {
    const geometry::Element& element = solution.mesh.elements[e];
    if (element.from >= middle - 0.0051 && element.to <= middle + 0.0051)
      mean += currents[e].coefficients(0) * element.length() / 0.01;
    if (e > 0)
      CHECK(std::abs(value(currents[e], -1.0) - value(currents[e - 1], 1.0)) <=
            1e-12 * std::abs(mean + 1e-3));
  }
  CHECK(relative_error(mean, solution.admittance(0, 0)) <= 1e-12);
  CHECK(std::abs(value(currents.front(), -1.0)) <= 1e-15);
  CHECK(std::abs(value(currents.back(), 1.0)) <= 1e-15);
}

TEST_CASE("solve: a gap astride the point where two wires meet is the gap of the one wire") {
  const double radius = 1e-3;
  const Complex whole = testing::impedance(testing::dipole(0.48, radius));
  testing::Structure halves;
  halves.wires = {testing::straight({0, 0, 0}, {0, 0, 0.24}, radius),
                  testing::straight({0, 0, 0}, {0, 0, -0.24}, radius)};
  halves.ports = {{"feed", {{0, 0.0, radius, 1}, {1, 0.0, radius, -1}}, {}}};
  const Solution two = solve(halves, {}, {}, testing::kUnitFrequency);
  CHECK(relative_error(two.impedance(0, 0), whole) <= two.impedance_error_relative);
  // identity: with one port the matrix is that port's impedance
  CHECK(relative_error(two.matrix_error_relative, two.impedance_error_relative) <= 1e-9);
}

TEST_CASE("solve: an insert in the gap adds its impedance, in the radiating wire it changes the current") {
  const double radius = 1e-3;
  testing::Structure s = testing::centre_fed({0, 0, 0}, {0, 0, 0.48}, radius, 2e-3);
  const Complex alone = testing::impedance(s);
  geometry::Insert insert;
  insert.name = "part";
  insert.spans = s.ports[0].spans;
  s.inserts = {insert};
  const Complex part{37.0, 110.0};
  const Complex with = solve(s, {{}, {part}}, {}, testing::kUnitFrequency).impedance(0, 0);
  // Port current and insert current are means over the same gap; the current's curvature there is 1e-4.
  CHECK(relative_error(with - alone, part) <= 1e-3);

  s.inserts[0].spans = {{0, 0.1, 0.102}};
  const Complex opened = solve(s, {{}, {Complex{0.0, -1e7}}}, {}, testing::kUnitFrequency).impedance(0, 0);
  CHECK(std::abs(opened - alone) > 20.0);  // the lower arm is cut short
  const Complex none = solve(s, {{}, {Complex{}}}, {}, testing::kUnitFrequency).impedance(0, 0);
  CHECK(relative_error(none, alone) <= 2e-3);  // only the mesh differs
}

TEST_CASE("solve: resistance per metre of a small loop adds its length times as much") {
  // The current of a loop of 1/1000 wavelength is uniform to 1e-5.
  const double side = 2.5e-4;
  const testing::Structure loop = testing::polygon(4, side / std::sqrt(2.0), 1e-6);
  const Complex alone = testing::impedance(loop);
  const Complex per_metre{12.0, 5.0};
  const Complex with = solve(loop, {{per_metre}, {}}, {}, testing::kUnitFrequency).impedance(0, 0);
  CHECK(relative_error(with - alone, 4.0 * side * per_metre) <= 1e-4);
}

TEST_CASE("solve: the plane-wave ground is close far above the soil and differs near it") {
  media::Ground exact = testing::soil(13.0, 5e-3);
  media::Ground plane = exact;
  plane.method = media::GroundMethod::plane_wave;
  const core::Frequency f{14.1e6};
  const double lambda = core::wavelength(f);
  const auto at = [&](double height, const media::Ground& ground) {
    return testing::impedance(testing::centre_fed({0, 0, height}, {0.48 * lambda, 0, height}, 1e-3, 0.01),
                              ground, {}, f);
  };
  CHECK(relative_error(at(1.5 * lambda, plane), at(1.5 * lambda, exact)) <= 0.01);
  CHECK(relative_error(at(0.02 * lambda, plane), at(0.02 * lambda, exact)) > 0.05);
}

TEST_CASE("solve: refuses spans that do not fit and wires without extent") {
  testing::Structure s = testing::dipole(0.5, 1e-3);
  s.ports[0].spans[0].to = 0.6;
  CHECK_THROWS_AS((void)solve(s, {}, {}, testing::kUnitFrequency), core::Error);
  s = testing::dipole(0.5, 1e-3);
  s.wires[0].radius = 0.0;
  CHECK_THROWS_AS((void)solve(s, {}, {}, testing::kUnitFrequency), core::Error);
}

TEST_CASE("solve: structures of about one size share ground tables in a store, with the same numbers") {
  Setting shared;
  shared.tables = std::make_shared<media::TableStore>();
  for (const double height : {0.72, 0.8, 0.9}) {
    testing::Structure s;
    s.wires = {testing::straight({0, 0, height}, {5.0, 0, height + 1.0}, 1e-3)};
    s.ports = {{"feed", {{0, 2.45, 2.55}}, {}}};
    const media::Ground ground = testing::soil(13.0, 5e-3);
    const Solution alone = solve(s, {}, ground, core::Frequency{14.1e6});
    const Solution together = solve(s, {}, ground, core::Frequency{14.1e6}, shared);
    CHECK(together.admittance(0, 0) == alone.admittance(0, 0));
    CHECK(together.work.table_entries <= alone.work.table_entries);
  }
  CHECK(shared.tables->made() == 1);
}

}  // namespace feldspar::moment
