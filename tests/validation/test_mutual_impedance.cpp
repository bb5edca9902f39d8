#include <doctest/doctest.h>

#include <cmath>
#include <complex>
#include <string>

#include "../support/close.hpp"
#include "../support/prescribed_current.hpp"
#include "../support/structures.hpp"
#include "../support/table.hpp"

// Mutual and image impedances of half-wave dipoles: Carter, Proc. IRE 20 (1932) 1004, tabulated with eta =
// 376.7303 ohm. Two kinds of test: the reaction of prescribed sinusoidal currents is what the tables hold, so
// the matrix fill must give it to all printed digits; the full solution has the current of a wire of finite
// thickness and only approaches.
namespace feldspar::validation {

namespace {

using geometry::Vec3;
using testing::relative_error;
using testing::straight;
using Complex = std::complex<double>;

constexpr double kWavenumber = 2.0 * core::kPi;  // wavelength 1 m
constexpr double kReaction = 1e-6;  // ohm: half a unit of the tables' ninth digit is 5e-8, the thinnest
                                    // wire's own radius (1e-10) adds 5e-8 to a self reaction
constexpr double kThin = 1e-10;     // wavelengths

struct Segment {
  Vec3 from, to;
};

/// Upright half-wave dipole with its centre at a point.
Segment upright(double x, double z) {
  return {{x, 0.0, z - 0.25}, {x, 0.0, z + 0.25}};
}
Segment level(double z) {
  return {{0.0, -0.25, z}, {0.0, 0.25, z}};
}

/// -<I_1, E(I_2)> of sinusoidal currents with maxima of 1 A, the image of wire 2 included.
Complex reaction(const Segment& one, const Segment* two, bool perfect_ground) {
  geometry::Mesh mesh;
  constexpr int kElements = 4;  // of an eighth of a wavelength
  constexpr int kOrder = 10;    // of a sinusoid on it: 1e-13
  const int first = testing::add_wire(mesh, one.from, one.to, kThin, kElements, kOrder);
  const int second =
      two == nullptr ? first : testing::add_wire(mesh, two->from, two->to, kThin, kElements, kOrder);
  const moment::Basis basis = moment::make_basis(mesh);
  moment::Surroundings around;
  around.wavenumber = kWavenumber;
  around.perfect_ground = perfect_ground;
  const Eigen::MatrixXcd z = moment::fill_local(mesh, basis, around, 1e-11);
  const auto current = testing::sinusoid(kWavenumber, 0.5);
  const Eigen::VectorXcd a = testing::project(mesh, basis, first, current);
  const Eigen::VectorXcd b = testing::project(mesh, basis, second, current);
  return (a.transpose() * z * b)(0);
}

Complex tabulated(const testing::Row& row, const std::string& quantity = "") {
  return {row.number(quantity + "resistance_ohm"), row.number(quantity + "reactance_ohm")};
}

/// Open-circuit impedance between two dipoles of (lambda/2)/diameter = `thickness`.
Complex transfer(const Segment& one, const Segment& two, double thickness) {
  const double radius = 0.25 / thickness;
  testing::Structure s;
  s.wires = {straight(one.from, one.to, radius), straight(two.from, two.to, radius)};
  s.ports = {{"one", {{0, 0.25 - radius, 0.25 + radius}}, {}},
             {"two", {{1, 0.25 - radius, 0.25 + radius}}, {}}};
  return moment::solve(s, {}, {}, testing::kUnitFrequency).impedance(1, 0);
}

constexpr double kIssueShare = 0.12;  // of |Z21|, the project's figure for (lambda/2)/d = 5e4
constexpr double kThickness = 5e4;

/// The full solution must come closer as the wire thins: the distance falls as 1/Omega, Omega = 2 ln(4
/// thickness).
void check_full_solution(const Segment& one, const Segment& two, Complex wanted) {
  double last = 1e9;
  for (const double thickness : {5e2, 5e3, kThickness, 5e5, 5e6}) {
    CAPTURE(thickness);
    const double error = relative_error(transfer(one, two, thickness), wanted);
    CHECK(error < 0.85 * last);  // 1/Omega falls by 0.77 .. 0.86, and the next order helps
    if (thickness == kThickness) CHECK(error <= kIssueShare);
    last = error;
  }
}

}  // namespace

TEST_CASE("reaction of sinusoidal currents: self impedance of a half-wave dipole") {
  const Complex z = reaction(upright(0.0, 0.0), nullptr, false);
  CHECK(std::abs(z - Complex(73.0790102, 42.5151147)) <= kReaction);  // mutual_side_by_side.csv, row 0
}

TEST_CASE("reaction of sinusoidal currents: side by side, 0.05 to 3 wavelengths") {
  const Segment one = upright(0.0, 0.0);
  for (const testing::Row& row : testing::Table("published/mutual_side_by_side.csv", 33)) {
    const double spacing = row.number("spacing_wavelengths");
    if (spacing == 0.0) continue;  // the self impedance above
    CAPTURE(spacing);
    const Segment two = upright(spacing, 0.0);
    CHECK(std::abs(reaction(one, &two, false) - tabulated(row)) <= kReaction);
  }
}

TEST_CASE("reaction of sinusoidal currents: collinear, gaps of 0 to 1.5 wavelengths") {
  const Segment one = upright(0.0, 0.0);
  for (const testing::Row& row : testing::Table("published/mutual_collinear.csv", 12)) {
    const double distance = row.number("centre_distance_wavelengths");
    CAPTURE(distance);
    const Segment two = upright(0.0, distance);
    CHECK(std::abs(reaction(one, &two, false) - tabulated(row)) <= kReaction);
  }
}

TEST_CASE("reaction of sinusoidal currents: dipoles over perfect ground, and what the image changes") {
  const Complex alone = reaction(upright(0.0, 0.0), nullptr, false);
  for (const testing::Row& row : testing::Table("published/horizontal_dipole_perfect_ground.csv", 23)) {
    const double height = row.number("height_wavelengths");
    CAPTURE(height);
    const Complex z = reaction(level(height), nullptr, true);
    CHECK(std::abs(z - tabulated(row)) <= kReaction);
    CHECK(std::abs(alone - z - tabulated(row, "image_mutual_")) <= kReaction);
  }
  for (const testing::Row& row : testing::Table("published/vertical_dipole_perfect_ground.csv", 14)) {
    const double height = row.number("centre_height_wavelengths");
    CAPTURE(height);
    CHECK(std::abs(reaction(upright(0.0, height), nullptr, true) - tabulated(row)) <= kReaction);
  }
}

TEST_CASE("full solution: mutual impedance side by side approaches the table as the wires thin") {
  for (const testing::Row& row : testing::Table("published/mutual_side_by_side.csv", 33)) {
    const double spacing = row.number("spacing_wavelengths");
    if (spacing == 0.0) continue;
    CAPTURE(spacing);
    check_full_solution(upright(0.0, 0.0), upright(spacing, 0.0), tabulated(row));
  }
}

TEST_CASE("full solution: mutual impedance of collinear dipoles approaches the table as the wires thin") {
  for (const testing::Row& row : testing::Table("published/mutual_collinear.csv", 12)) {
    const double distance = row.number("centre_distance_wavelengths");
    if (row.number("gap_wavelengths") == 0.0) continue;  // ends that touch are joined
    CAPTURE(distance);
    check_full_solution(upright(0.0, 0.0), upright(0.0, distance), tabulated(row));
  }
}

TEST_CASE("full solution: impedance against height over perfect ground follows the table") {
  // What the ground adds, Z(h) - Z(free), is the mutual impedance with the image, so the same 12 % of it are
  // allowed.
  const double radius = 0.25 / kThickness;
  const auto solved = [&](const Segment& s, const media::Ground& ground) {
    return testing::impedance(testing::centre_fed(s.from, s.to, radius, 2.0 * radius), ground);
  };
  const Complex alone = solved(upright(0.0, 0.0), {});
  const auto check = [&](const Segment& dipole, Complex change_wanted) {
    const Complex change = solved(dipole, testing::perfect_ground()) - alone;
    CHECK(relative_error(change, change_wanted) <= kIssueShare);
  };
  const Complex self{73.0790102, 42.5151147};
  for (const testing::Row& row : testing::Table("published/horizontal_dipole_perfect_ground.csv", 23)) {
    const double height = row.number("height_wavelengths");
    CAPTURE(height);
    check(level(height), tabulated(row) - self);
  }
  for (const testing::Row& row : testing::Table("published/vertical_dipole_perfect_ground.csv", 14)) {
    const double height = row.number("centre_height_wavelengths");
    if (height <= 0.25) continue;  // its end touches the ground and would be joined to it
    CAPTURE(height);
    check(upright(0.0, height), tabulated(row) - self);
  }
}

}  // namespace feldspar::validation
