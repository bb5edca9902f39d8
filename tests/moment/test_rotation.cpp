#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <limits>
#include <string>
#include <vector>

#include "../support/structures.hpp"
#include "moment/solve.hpp"

// Equal copies round a vertical axis are solved as one sector, harmonic by harmonic. What the user sees must
// be what the plain solution gives: the same reactions are added in another order, so only rounding may
// differ. 1e-10 is the project's figure. That symmetry was used (or not) shows in the number of kernel
// samples.
namespace feldspar::moment {

namespace {

using geometry::Insert;
using geometry::Structure;
using geometry::Vec3;
using Complex = std::complex<double>;

constexpr core::Frequency kFrequency{14.1e6};
constexpr double kSame = 1e-10;

/// A structure with what its wires and inserts put in series.
struct Rig {
  Structure structure;
  SeriesImpedance series;
};

/// A whip of 5 m from (x, 0, height) up, fed at its foot, and radials of 3 m that slope down by `drop`.
struct Shape {
  double height = 1.0;
  double drop = 0.0;
  bool stake = false;  ///< from the foot to z = -0.3 m
  bool inserts = false;
  double x = 0.0;
};

Vec3 at(double rho, double phi, double z, double x) {
  return {x + rho * std::cos(phi), rho * std::sin(phi), z};
}

Rig radials(int copies, const Shape& shape) {
  Rig rig;
  Structure& s = rig.structure;
  s.wires.push_back(
      testing::straight(at(0, 0, shape.height, shape.x), at(0, 0, shape.height + 5.0, shape.x), 3e-3));
  s.ports = {{"feed", {{0, 0.0, 6e-3}}, {}}};
  for (int j = 0; j < copies; ++j) {
    const double phi = 2.0 * core::kPi * j / copies;
    s.wires.push_back(testing::straight(at(0, phi, shape.height, shape.x),
                                        at(3.0, phi, shape.height - shape.drop, shape.x), 0.5e-3));
    if (!shape.inserts) continue;
    Insert insert;
    insert.spans = {{j + 1, 1.0, 1.02}};
    s.inserts.push_back(insert);
    rig.series.inserts.emplace_back(3.0, 150.0);
  }
  if (shape.stake)
    s.wires.push_back(testing::straight(at(0, 0, shape.height, shape.x), at(0, 0, -0.3, shape.x), 4e-3));
  rig.series.per_metre.assign(s.wires.size(), Complex(0.05, 0.06));
  rig.series.sheath_capacitance.assign(s.wires.size(), std::numeric_limits<double>::infinity());
  return rig;
}

/// `copies` uprights round the axis, each fed, joined by nothing; slanted so that mirrors do not help.
Rig ring_of_verticals(int copies, bool fed) {
  Rig rig;
  for (int j = 0; j < copies; ++j) {
    const double phi = 2.0 * core::kPi * j / copies;
    rig.structure.wires.push_back(testing::straight(at(2.0, phi, 1.0, 0), at(2.2, phi + 0.3, 6.0, 0), 2e-3));
    if (fed) rig.structure.ports.push_back({"feed", {{j, 2.0, 2.02}}, {}});
  }
  rig.series.per_metre.assign(static_cast<std::size_t>(copies), Complex(0.05, 0.06));
  return rig;
}

Solution solved(const Rig& rig, const media::Ground& ground, bool symmetry, double tolerance) {
  Setting setting;
  setting.use_symmetry = symmetry;
  setting.tolerance = tolerance;
  return solve(rig.structure, rig.series, ground, kFrequency, setting);
}

double apart(const Eigen::MatrixXcd& a, const Eigen::MatrixXcd& b) {
  return (a - b).cwiseAbs().maxCoeff() / b.cwiseAbs().maxCoeff();
}

// The plain matrix is symmetric only to the tolerance of its quadrature, for the rules of two equal pairs may
// be cut at different places. With 1e-6 its currents on equal radials were seen to differ by 1.5e-9 (their
// mean by 1e-13), with 1e-9 by 1e-12. So everything is compared with 1e-9, the ports with the coarser one as
// well.
constexpr double kTight = 1e-9;
constexpr double kUsual = 1e-6;

/// Ports at the quadrature of every day.
void check_ports(const Rig& rig, const media::Ground& ground) {
  const Solution a = solved(rig, ground, true, kUsual);
  const Solution b = solved(rig, ground, false, kUsual);
  CHECK(apart(a.admittance, b.admittance) <= kSame);
  CHECK(apart(a.impedance, b.impedance) <= kSame);
}

/// @param saves whether symmetry must have been used
void check_equal(const Rig& rig, const media::Ground& ground, bool saves) {
  const Solution a = solved(rig, ground, true, kTight);
  const Solution b = solved(rig, ground, false, kTight);
  if (saves)
    CHECK(a.work.samples < b.work.samples);
  else
    CHECK(a.work.samples == b.work.samples);
  CHECK(a.unknowns == b.unknowns);
  CHECK(apart(a.admittance, b.admittance) <= kSame);
  CHECK(apart(a.impedance, b.impedance) <= kSame);
  CHECK(std::abs(a.impedance_error_relative - b.impedance_error_relative) <= kSame);
  CHECK(std::abs(a.matrix_error_relative - b.matrix_error_relative) <= kSame);
  CHECK(std::abs(a.resistance_error - b.resistance_error) <= kSame * std::abs(b.impedance(0, 0)));
  CHECK(a.condition_warning <= 1e-12);  // a few hundred roundings of the matrix's norm
  CHECK(apart(a.local_current, b.local_current) <= kSame);
  CHECK(apart(a.local_field, b.local_field) <= kSame);
  check_ports(rig, ground);
  REQUIRE(a.unit_currents.size() == b.unit_currents.size());
  for (std::size_t p = 0; p < b.unit_currents.size(); ++p) {
    const double most = std::abs(b.admittance.cwiseAbs().maxCoeff());
    REQUIRE(a.unit_currents[p].size() == b.unit_currents[p].size());
    for (std::size_t e = 0; e < b.unit_currents[p].size(); ++e)
      CHECK((a.unit_currents[p][e].coefficients - b.unit_currents[p][e].coefficients).norm() <= kSame * most);
  }
  REQUIRE(a.end_potentials.size() == b.end_potentials.size());
  double highest = 0.0;
  for (const EndPotential& end : b.end_potentials) highest = std::max(highest, std::abs(end.potential));
  for (std::size_t i = 0; i < b.end_potentials.size(); ++i) {
    CHECK(a.end_potentials[i].wire == b.end_potentials[i].wire);
    CHECK(std::abs(a.end_potentials[i].potential - b.end_potentials[i].potential) <= kSame * highest);
  }
}

media::Ground average() {
  return testing::soil(13.0, 5e-3);
}

}  // namespace

TEST_CASE("rotation: radials fed on the axis give the numbers of the plain solution") {
  struct Row {
    const char* name;
    media::Ground ground;
    Shape shape;
  };
  const Row rows[] = {
      {"free space", {}, {}},
      {"perfect ground, sloping", testing::perfect_ground(), {1.0, 0.4}},
      {"soil", average(), {}},
      {"soil, lying", average(), {0.02}},
      {"soil, sloping, inserts", average(), {1.0, 0.5, false, true}},
      {"soil, stake", average(), {0.05, 0.0, true}},
      {"free space, away from the origin", {}, {1.0, 0.0, false, false, 7.3}},
  };
  for (const Row& row : rows)
    for (const int copies : {2, 3, 4, 8}) {
      const std::string name = row.name;
      CAPTURE(name);
      CAPTURE(copies);
      check_equal(radials(copies, row.shape), row.ground, true);
    }
}

TEST_CASE("rotation: many radials") {
  for (const int copies : {16, 32}) {
    CAPTURE(copies);
    check_equal(radials(copies, {}), {}, true);
    check_equal(radials(copies, {0.02}), average(), true);
  }
}

TEST_CASE("rotation: ports away from the axis excite all harmonics") {
  for (const int copies : {2, 3, 4, 5, 8}) {
    CAPTURE(copies);
    check_equal(ring_of_verticals(copies, true), {}, true);
    check_equal(ring_of_verticals(copies, true), average(), true);
    Rig with_radials = radials(copies, {});  // a hub, and currents on the axis in one harmonic only
    for (int j = 0; j < copies; ++j)
      with_radials.structure.ports.push_back({"load", {{j + 1, 1.5, 1.51}}, {}});
    check_equal(with_radials, {}, true);
  }
}

TEST_CASE("rotation: one port that drives all copies alike") {
  Rig rig = ring_of_verticals(6, false);
  rig.structure.ports = {{"all", {}, {}}};
  for (int j = 0; j < 6; ++j) rig.structure.ports[0].spans.push_back({j, 2.0, 2.02});
  check_equal(rig, {}, true);
}

TEST_CASE("rotation: junctions between copies, as in a polygon of separate wires") {
  for (const int copies : {3, 4, 7}) {
    CAPTURE(copies);
    Rig rig = radials(copies, {3.0, 1.0});
    for (int j = 0; j < copies; ++j)  // joins the tips of neighbouring radials
      rig.structure.wires.push_back(testing::straight(
          rig.structure.wires[static_cast<std::size_t>(j + 1)].path[1],
          rig.structure.wires[static_cast<std::size_t>((j + 1) % copies + 1)].path[1], 0.5e-3));
    rig.series.per_metre.assign(rig.structure.wires.size(), Complex(0.05, 0.06));
    rig.series.sheath_capacitance.clear();
    check_equal(rig, {}, true);
    check_equal(rig, average(), true);
  }
}

TEST_CASE("rotation: whatever breaks the symmetry gives the plain numbers") {
  struct Row {
    const char* name;
    void (*spoil)(Rig&);
  };
  const Row rows[] = {
      {"one radial longer", [](Rig& r) { r.structure.wires[2].path[1].y() += 0.01; }},
      {"one radial turned", [](Rig& r) { r.structure.wires[2].path[1].x() += 0.3; }},
      {"one radial lower", [](Rig& r) { r.structure.wires[2].path[1].z() -= 0.2; }},
      {"one radial thicker", [](Rig& r) { r.structure.wires[2].radius *= 1.5; }},
      {"other metal", [](Rig& r) { r.series.per_metre[2] *= 2.0; }},
      {"one coat", [](Rig& r) { r.series.sheath_capacitance[2] = 2e-10; }},
      {"one insert",
       [](Rig& r) {
         Insert insert;
         insert.spans = {{2, 1.0, 1.02}};
         r.structure.inserts = {insert};
         r.series.inserts = {Complex(0.0, 200.0)};
       }},
      {"one insert of another value",
       [](Rig& r) {
         const auto copies = static_cast<int>(r.structure.wires.size()) - 1;
         for (int j = 0; j < copies; ++j) {
           Insert insert;
           insert.spans = {{j + 1, 1.0, 1.02}};
           r.structure.inserts.push_back(insert);
           r.series.inserts.emplace_back(1.0, j == 1 ? 151.0 : 150.0);
         }
       }},
      {"a port on one radial",
       [](Rig& r) {
         r.structure.ports = {{"feed", {{2, 1.0, 1.01}}, {}}};
       }},
      {"another wire",
       [](Rig& r) {
         r.structure.wires.push_back(testing::straight({4, 1, 2}, {6, 2, 3}, 1e-3));
         r.series.per_metre.emplace_back(0.05, 0.06);
         r.series.sheath_capacitance.push_back(std::numeric_limits<double>::infinity());
       }},
      {"a slanted whip", [](Rig& r) { r.structure.wires[0].path[1].x() += 0.5; }},
  };
  for (const Row& row : rows)
    for (const int copies : {3, 5}) {
      const std::string name = row.name;
      CAPTURE(name);
      CAPTURE(copies);
      Rig rig = radials(copies, {});
      row.spoil(rig);
      check_equal(rig, {}, false);
    }
}

TEST_CASE("rotation: a lower symmetry is found where a higher one is broken") {
  Rig rig = radials(8, {});
  for (const int j : {0, 2, 4, 6}) rig.series.per_metre[static_cast<std::size_t>(j + 1)] *= 3.0;
  check_equal(rig, {}, true);
}

}  // namespace feldspar::moment
