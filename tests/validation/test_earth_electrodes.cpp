#include <doctest/doctest.h>

#include <cmath>
#include <vector>

#include "../support/close.hpp"
#include "../support/structures.hpp"
#include "moment/solve.hpp"

// Resistance to earth of rods and buried wires at 10 kHz: two equal electrodes far apart, joined by a wire 1
// m above the soil that is fed in its middle. Half of R is one electrode's resistance less what the other's
// potential gives it, rho / (2 pi D), D between centres. Formulas from H. B. Dwight, Trans. AIEE 55 (1936)
// 1319-1328, and E. D. Sunde, Earth Conduction Effects in Transmission Systems (1949), sec. 3.6, both from
// memory. Dwight takes the leakage as uniform along a rod, which reads about 1 % high, and more
// for thick ones.
namespace feldspar::validation {

namespace {

using geometry::Vec3;
using testing::relative_error;
using testing::Structure;

constexpr core::Frequency kFrequency{1e4};
constexpr double kRelativePermittivity =
    10.0;                            // plays no part: conduction is 200 times the displacement current
constexpr double kWireHeight = 1.0;  // m

geometry::Wire wire(const std::vector<Vec3>& path, double radius) {
  geometry::Wire result;
  result.name = "wire";
  result.path = path;
  result.radius = radius;
  return result;
}

double resistance(const Structure& s, double resistivity) {
  return moment::solve(s, {}, testing::soil(kRelativePermittivity, 1.0 / resistivity), kFrequency)
      .impedance(0, 0)
      .real();
}

/// A wire from (0, 0, `depth` below) up, over to x = distance, and down again; the port is in its middle.
geometry::Wire bridge(double distance, double depth, double radius, Structure& s) {
  const double middle = depth + kWireHeight + 0.5 * distance;
  s.ports = {{"feed", {{0, middle - radius, middle + radius}}, {}}};
  return wire({{0, 0, -depth}, {0, 0, kWireHeight}, {distance, 0, kWireHeight}, {distance, 0, -depth}},
              radius);
}

/// What the wire above the soil adds: a current that returns through the soil loses w mu_0 / 8 ohm per metre
/// (J. R. Carson, Bell Syst. Tech. J. 5 (1926) 539-554), at most; the rows are chosen so that it is small.
double return_loss(double distance) {
  return core::angular(kFrequency) * core::kVacuumPermeability / 8.0 * distance;
}

/// Dwight's rod of length l and radius a.
double rod(double rho, double l, double a) {
  return rho / (2.0 * core::kPi * l) * (std::log(4.0 * l / a) - 1.0);
}

/// His potential of one rod at another, s > l apart, per ampere.
double mutual(double rho, double l, double s) {
  const double q = l * l / (s * s);
  return rho / (2.0 * core::kPi * s) * (1.0 - q / 3.0 + 2.0 * q * q / 5.0);
}

}  // namespace

TEST_CASE("earth electrodes: a driven rod (Dwight)") {
  struct Row {
    double length, radius, resistivity;
  };
  for (const Row& row : std::vector<Row>{{0.5, 0.004, 30},
                                         {0.5, 0.008, 100},
                                         {0.5, 0.02, 1000},
                                         {1.0, 0.004, 1000},
                                         {1.0, 0.008, 30},
                                         {1.0, 0.02, 100},
                                         {1.5, 0.004, 100},
                                         {1.5, 0.008, 1000},
                                         {1.5, 0.02, 1000},
                                         {3.0, 0.008, 100},
                                         {3.0, 0.02, 1000},
                                         {6.0, 0.008, 1000}}) {
    CAPTURE(row.length);
    CAPTURE(row.radius);
    CAPTURE(row.resistivity);
    const double distance = 40.0 * row.length;
    Structure s;
    s.wires = {bridge(distance, row.length, row.radius, s)};
    const double one = 0.5 * resistance(s, row.resistivity) + row.resistivity / (2.0 * core::kPi * distance);
    const double expected = rod(row.resistivity, row.length, row.radius);
    REQUIRE(0.5 * return_loss(distance) < 0.04 * expected);
    CHECK(relative_error(one, expected) <= 0.03);  // the figure
  }
}

TEST_CASE("earth electrodes: a buried horizontal wire (Sunde)") {
  // rho / (pi l) (ln(2 l / sqrt(2 a d)) - 1) for length l, radius a and depth d
  struct Row {
    double length, depth;
  };
  const double a = 0.002;
  const double rho = 100.0;
  for (const Row& row : {Row{5, 0.1}, Row{5, 0.3}, Row{5, 0.6}, Row{10, 0.1}, Row{10, 0.3}, Row{10, 0.6}}) {
    CAPTURE(row.length);
    CAPTURE(row.depth);
    const double distance = 10.0 * row.length;
    const double h = 0.5 * row.length;
    Structure s;
    s.wires = {bridge(distance, row.depth, a, s),
               wire({{0, -h, -row.depth}, {0, 0, -row.depth}, {0, h, -row.depth}}, a),
               wire({{distance, -h, -row.depth}, {distance, 0, -row.depth}, {distance, h, -row.depth}}, a)};
    const double one = 0.5 * resistance(s, rho) + rho / (2.0 * core::kPi * distance);
    const double expected =
        rho / (core::kPi * row.length) * (std::log(2.0 * row.length / std::sqrt(2.0 * a * row.depth)) - 1.0);
    CHECK(relative_error(one, expected) <= 0.03);  // the figure
  }
}

TEST_CASE("earth electrodes: rings of two, four and eight rods with their mutual terms (Dwight)") {
  const double length = 1.5;
  const double a = 0.008;
  const double ring = 3.0;  // radius, m
  const double rho = 300.0;
  const double distance = 120.0;
  for (const int count : {2, 4, 8}) {
    CAPTURE(count);
    Structure s;
    s.wires = {wire({{0, 0, kWireHeight}, {distance, 0, kWireHeight}}, a)};
    s.ports = {{"feed", {{0, 0.5 * distance - a, 0.5 * distance + a}}, {}}};
    double expected = rod(rho, length, a);
    for (int i = 0; i < count; ++i) {
      // half a step round, so that no spoke lies along the wire between the rings
      const double angle = 2.0 * core::kPi * (i + 0.5) / count;
      const Vec3 out(ring * std::cos(angle), ring * std::sin(angle), 0.0);
      for (const double x : {0.0, distance}) {
        const Vec3 centre(x, 0.0, kWireHeight);
        s.wires.push_back(wire({centre, centre + out, Vec3(x, 0, -length) + out}, a));
      }
      if (i > 0) expected += mutual(rho, length, 2.0 * ring * std::sin(core::kPi * i / count));
    }
    expected /= count;
    const double one = 0.5 * resistance(s, rho) + rho / (2.0 * core::kPi * distance);
    CHECK(relative_error(one, expected) <= 0.05);  // the figure
    MESSAGE(count, " rods: ", one, " ohm, Dwight ", expected);
  }
}

}  // namespace feldspar::validation
