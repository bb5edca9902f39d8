#include "media/dipole_field.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <fstream>
#include <numbers>
#include <sstream>
#include <string>
#include <vector>

#include "core/constants.hpp"
#include "core/error.hpp"

namespace feldspar::media {

namespace {

using Complex = std::complex<double>;
using Eigen::Vector3cd;
using Eigen::Vector3d;

// The constants of the reference file's header. Those of core/constants.hpp differ by less than 1e-9.
constexpr double kLight = 299792458.0;
constexpr double kMu0 = 4e-7 * std::numbers::pi;
constexpr double kEps0 = 1.0 / (kMu0 * kLight * kLight);

struct Row {
  double k0;
  Complex n2;
  Vector3d from;
  Vector3d moment;
  Vector3d at;
  Vector3cd e;
  Vector3cd h;
};

std::vector<Row> load_rows() {
  std::ifstream file(FELDSPAR_TEST_DATA "/halfspace-fields.csv");
  std::vector<Row> rows;
  for (std::string line; std::getline(file, line);) {
    if (line.empty() || line[0] == '#' || line[0] == 'f') continue;
    std::vector<double> v;
    std::istringstream stream(line);
    for (std::string cell; std::getline(stream, cell, ',');) v.push_back(std::stod(cell));
    REQUIRE(v.size() == 24);
    const double omega = 2e6 * std::numbers::pi * v[0];
    const auto value = [&](std::size_t i) { return Complex(v[i], v[i + 1]); };
    rows.push_back({omega / kLight,
                    {v[1], -v[2] / (omega * kEps0)},
                    {v[3], v[4], v[5]},
                    {v[6], v[7], v[8]},
                    {v[9], v[10], v[11]},
                    {value(12), value(14), value(16)},
                    {value(18), value(20), value(22)}});
  }
  return rows;
}

}  // namespace

// Source: tests/data/halfspace-fields.csv, an independent computation in 30 digits, printed with 12.
TEST_CASE("dipole_field: field of a dipole above soil at 80 points") {
  const std::vector<Row> rows = load_rows();
  REQUIRE(rows.size() == 80);
  double largest_e = 0.0;
  double largest_h = 0.0;
  for (const Row& row : rows) {
    CAPTURE(row.k0);
    CAPTURE(row.from.transpose());
    CAPTURE(row.at.transpose());
    const Vector3cd moment = row.moment.cast<Complex>();
    const DipoleField got = dipole_field(row.k0, row.n2, moment, row.from, row.at);
    const DipoleField direct = free_space_dipole_field(row.k0, moment, row.from, row.at);
    const double size_e = std::max(row.e.norm(), direct.e.norm());
    const double size_h = std::max(row.h.norm(), direct.h.norm());  // 0 above a vertical dipole
    CHECK((got.e - row.e).norm() <= 1e-6 * size_e);
    CHECK((got.h - row.h).norm() <= 1e-6 * size_h);
    largest_e = std::max(largest_e, (got.e - row.e).norm() / size_e);
    if (size_h > 0.0) largest_h = std::max(largest_h, (got.h - row.h).norm() / size_h);
  }
  MESSAGE("largest difference relative to the field: E ", largest_e, ", H ", largest_h);
}

// Derived: Lorentz reciprocity, p2 . E1(2) = p1 . E2(1) for any two dipoles above the same soil.
TEST_CASE("dipole_field: reciprocity") {
  const double k0 = 0.3;
  const Complex n2(13.0, -6.0);
  const Vector3d one(0.3, -0.2, 0.4);
  const Vector3d two(2.1, 1.7, 3.0);
  for (int i = 0; i < 3; ++i) {
    for (int j = 0; j < 3; ++j) {
      const Vector3cd p1 = Vector3d::Unit(i).cast<Complex>();
      const Vector3cd p2 = Vector3d::Unit(j).cast<Complex>();
      const DipoleField f1 = dipole_field(k0, n2, p1, one, two);
      const DipoleField f2 = dipole_field(k0, n2, p2, two, one);
      CHECK(std::abs(f1.e[j] - f2.e[i]) <= 1e-9 * f1.e.norm());
    }
  }
}

// Derived: Maxwell's curl equations in air, curl E = -j w mu_0 H and curl H = j w eps_0 E, by differences of
// fourth order in the step d: error d^4 / 30 times the fifth derivative, up to 120 / R'^5 of the field, and
// 1e-9 / d.
TEST_CASE("reflected_dipole_field: Maxwell's equations") {
  const double k0 = 0.4;
  const Complex n2(5.0, -2.0);
  const Vector3d from(0.0, 0.0, 1.0);
  const Vector3cd moment(Complex(1.0, 0.2), Complex(-0.4, 0.5), Complex(0.7, 0.0));
  const double d = 0.02;
  for (const Vector3d& at : {Vector3d(1.0, 0.7, 2.0), Vector3d(-4.0, 3.0, 0.5), Vector3d(0.0, 0.0, 1.5)}) {
    DipoleField slope[3];
    for (int i = 0; i < 3; ++i) {
      const auto field = [&](double steps) {
        return reflected_dipole_field(k0, n2, moment, from, at + steps * d * Vector3d::Unit(i));
      };
      const DipoleField a = field(-2.0), b = field(-1.0), c = field(1.0), e = field(2.0);
      slope[i] = {(8.0 * (c.e - b.e) - (e.e - a.e)) / (12.0 * d),
                  (8.0 * (c.h - b.h) - (e.h - a.h)) / (12.0 * d)};
    }
    const auto curl = [&](auto field) {
      return Vector3cd(field(1)[2] - field(2)[1], field(2)[0] - field(0)[2], field(0)[1] - field(1)[0]);
    };
    const Vector3cd curl_e = curl([&](int i) { return slope[i].e; });
    const Vector3cd curl_h = curl([&](int i) { return slope[i].h; });
    const DipoleField here = reflected_dipole_field(k0, n2, moment, from, at);
    const Complex jk(0.0, k0);
    const double r = std::hypot(at.x(), at.y(), at.z() + from.z());
    CHECK((curl_e + jk * core::kVacuumImpedance * here.h).norm() <= 2e-6 * here.e.norm() / r);
    CHECK((curl_h - jk / core::kVacuumImpedance * here.e).norm() <= 2e-6 * here.h.norm() / r);
  }
}

// Derived: tangential E vanishes on a perfect ground, which the soil approaches as 1 / |n|.
TEST_CASE("dipole_field: a very good conductor shorts the tangential field") {
  const double k0 = 0.4;
  const Complex n2(1.0, -1e8);
  const Vector3cd moment(0.6, -0.2, 0.9);
  const Vector3d at(1.2, -0.7, 1e-6);
  const DipoleField total = dipole_field(k0, n2, moment, {0.0, 0.0, 1.3}, at);
  const DipoleField direct = free_space_dipole_field(k0, moment, {0.0, 0.0, 1.3}, at);
  CHECK(std::hypot(std::abs(total.e.x()), std::abs(total.e.y())) <= 1e-3 * direct.e.norm());
  CHECK(std::abs(total.h.z()) <= 1e-3 * direct.h.norm());
}

TEST_CASE("dipole_field: points below the surface are refused") {
  const Vector3cd moment(1.0, 0.0, 0.0);
  CHECK_THROWS_AS((void)dipole_field(1.0, {4.0, 0.0}, moment, {0.0, 0.0, -0.1}, {1.0, 0.0, 1.0}),
                  core::Error);
  CHECK_THROWS_AS((void)dipole_field(1.0, {4.0, 0.0}, moment, {0.0, 0.0, 0.1}, {1.0, 0.0, -1.0}),
                  core::Error);
  CHECK_THROWS_AS((void)dipole_field(1.0, {4.0, 0.0}, moment, {0.0, 0.0, 0.0}, {1.0, 0.0, 0.0}), core::Error);
}

}  // namespace feldspar::media
