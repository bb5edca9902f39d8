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

std::vector<Row> load_rows(const std::string& name) {
  std::ifstream file(FELDSPAR_TEST_DATA "/" + name);
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
  const std::vector<Row> rows = load_rows("halfspace-fields.csv");
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

// Source: tests/data/halfspace-fields-ground.csv, an independent computation in 30 digits, printed with 12.
TEST_CASE("dipole_field: through the surface at 24 points") {
  const std::vector<Row> rows = load_rows("halfspace-fields-ground.csv");
  REQUIRE(rows.size() == 24);
  double largest_e = 0.0;
  double largest_h = 0.0;
  for (const Row& row : rows) {
    CAPTURE(row.k0);
    CAPTURE(row.from.transpose());
    CAPTURE(row.at.transpose());
    REQUIRE(row.from.z() * row.at.z() < 0.0);
    const DipoleField got = dipole_field(row.k0, row.n2, row.moment.cast<Complex>(), row.from, row.at);
    const double error_e = (got.e - row.e).norm() / row.e.norm();
    const double error_h = (got.h - row.h).norm();
    CHECK(error_e <= 1e-6);
    CHECK(error_h <= 1e-6 * row.h.norm());  // 0 in line with a vertical dipole
    largest_e = std::max(largest_e, error_e);
    if (row.h.norm() > 0.0) largest_h = std::max(largest_h, error_h / row.h.norm());
  }
  MESSAGE("largest difference relative to the field: E ", largest_e, ", H ", largest_h);
}

// Derived: Lorentz reciprocity, p2 . E1(2) = p1 . E2(1) for any two dipoles in one soil or above it.
TEST_CASE("dipole_field: reciprocity") {
  const double k0 = 0.3;
  for (const Complex n2 : {Complex(13.0, -6.0), Complex(4.0, 0.0), Complex(80.0, -4e4)}) {
    for (const double z1 : {0.4, -0.4}) {
      for (const double z2 : {3.0, 0.01, -0.01, -1.3}) {
        const Vector3d one(0.3, -0.2, z1);
        const Vector3d two(2.1, 1.7, z2);
        CAPTURE(n2);
        CAPTURE(z1);
        CAPTURE(z2);
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
    }
  }
}

// Derived: tangential E, H and normal n2 E, mu H are continuous. The points lie d to either side of the
// surface, where E and H differ by up to d (|k1| + 4 / R), n2 E_z by that of n2 E; integration adds 1e-8.
TEST_CASE("dipole_field: continuous at the surface") {
  const double k0 = 0.3;
  const double d = 1e-12;
  const Vector3cd moment(Complex(1.0, 0.2), Complex(-0.4, 0.5), Complex(0.7, 0.0));
  for (const Complex n2 : {Complex(13.0, -6.0), Complex(4.0, 0.0), Complex(80.0, -4e4)}) {
    for (const double source : {0.3, -0.3, 5.0, -0.02}) {
      for (const Vector3d& at : {Vector3d(0.0, 0.0, d), Vector3d(0.4, -0.9, d), Vector3d(-30.0, 12.0, d)}) {
        CAPTURE(n2);
        CAPTURE(source);
        CAPTURE(at.transpose());
        const Vector3d from(0.0, 0.0, source);
        const DipoleField over = dipole_field(k0, n2, moment, from, at);
        const DipoleField under = dipole_field(k0, n2, moment, from, {at.x(), at.y(), -d});
        const double r = std::hypot(at.x(), at.y(), source);
        const double change = d * (k0 * std::sqrt(std::abs(n2)) + 4.0 / r);
        const double tolerance = 1e-8 + change;
        const double size_e = over.e.norm();
        const double size_h = over.h.norm();
        CHECK((over.e - under.e).head<2>().norm() <= tolerance * size_e);
        CHECK(std::abs(over.e.z() - n2 * under.e.z()) <= (1e-8 + std::abs(n2) * change) * size_e);
        CHECK((over.h - under.h).norm() <= tolerance * size_h);
      }
    }
  }
}

// Derived: soil that is air leaves the field of free space.
TEST_CASE("dipole_field: no soil at all") {
  const Vector3cd moment(Complex(1.0, 0.2), Complex(-0.4, 0.5), Complex(0.7, 0.0));
  for (const double z1 : {0.4, -0.4}) {
    for (const double z2 : {1.1, -1.1}) {
      for (const double x : {0.0, 0.7, 20.0}) {
        const Vector3d from(0.0, 0.0, z1);
        const Vector3d at(x, -0.5 * x, z2);
        const DipoleField got = dipole_field(0.8, 1.0, moment, from, at);
        const DipoleField free = free_space_dipole_field(0.8, moment, from, at);
        CHECK((got.e - free.e).norm() <= 1e-9 * free.e.norm());
        CHECK((got.h - free.h).norm() <= 1e-9 * free.h.norm());
      }
    }
  }
}

namespace {

// What is wrong with curl E = -j w mu_0 H and curl H = j w eps E, relative to E / r and H / r.
double maxwell_error(double k0, Complex eps, double r, const Vector3d& at, const auto& field) {
  const double d = 0.02;
  DipoleField slope[3];
  for (int i = 0; i < 3; ++i) {
    const auto beside = [&](double steps) { return field(Vector3d(at + steps * d * Vector3d::Unit(i))); };
    const DipoleField a = beside(-2.0), b = beside(-1.0), c = beside(1.0), e = beside(2.0);
    slope[i] = {(8.0 * (c.e - b.e) - (e.e - a.e)) / (12.0 * d),
                (8.0 * (c.h - b.h) - (e.h - a.h)) / (12.0 * d)};
  }
  const auto curl = [&](auto part) {
    return Vector3cd(part(1)[2] - part(2)[1], part(2)[0] - part(0)[2], part(0)[1] - part(1)[0]);
  };
  const Vector3cd curl_e = curl([&](int i) { return slope[i].e; });
  const Vector3cd curl_h = curl([&](int i) { return slope[i].h; });
  const DipoleField here = field(at);
  const Complex jk(0.0, k0);
  return r * std::max((curl_e + jk * core::kVacuumImpedance * here.h).norm() / here.e.norm(),
                      (curl_h - jk * eps / core::kVacuumImpedance * here.e).norm() / here.h.norm());
}

}  // namespace

// Derived: Maxwell's curl equations, curl E = -j w mu_0 H and curl H = j w eps E, by differences of fourth
// order in the step d = 2 cm: error d^4 / 30 times the fifth derivative, up to 120 / R'^5 of the field, and
// 1e-9 / d.
TEST_CASE("dipole_field: Maxwell's equations") {
  const double k0 = 0.4;
  const Complex n2(5.0, -2.0);
  const Vector3d from(0.0, 0.0, 1.0);
  const Vector3cd moment(Complex(1.0, 0.2), Complex(-0.4, 0.5), Complex(0.7, 0.0));
  for (const Vector3d& at : {Vector3d(1.0, 0.7, 2.0), Vector3d(-4.0, 3.0, 0.5), Vector3d(0.0, 0.0, 1.5)}) {
    CAPTURE(at.transpose());
    const Vector3d under(at.x(), at.y(), -at.z());
    const double r = std::hypot(at.x(), at.y(), at.z() + from.z());
    const auto reflected = [&](const Vector3d& x) { return reflected_dipole_field(k0, n2, moment, from, x); };
    CHECK(maxwell_error(k0, 1.0, r, at, reflected) <= 2e-6);
    const auto from_above = [&](const Vector3d& x) { return dipole_field(k0, n2, moment, from, x); };
    CHECK(maxwell_error(k0, n2, r, under, from_above) <= 2e-6);
    const auto from_below = [&](const Vector3d& x) { return dipole_field(k0, n2, moment, -from, x); };
    CHECK(maxwell_error(k0, 1.0, r, at, from_below) <= 2e-6);
    const auto by_surface = [&](const Vector3d& x) {
      const DipoleField total = from_below(x);
      const DipoleField direct = uniform_dipole_field(k0, n2, moment, -from, x);
      return DipoleField{total.e - direct.e, total.h - direct.h};
    };
    CHECK(maxwell_error(k0, n2, r, under, by_surface) <= 2e-6);
    CHECK(maxwell_error(k0, n2, 1.0, Vector3d(at.x() + 3.0, at.y(), -at.z()), [&](const Vector3d& x) {
            return uniform_dipole_field(k0, n2, moment, -from, x);
          }) <= 2e-6);
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

TEST_CASE("dipole_field: arguments outside the range are refused") {
  const Vector3cd moment(1.0, 0.0, 0.0);
  const Vector3d above(0.0, 0.0, 0.1);
  CHECK_THROWS_AS((void)reflected_dipole_field(1.0, {4.0, 0.0}, moment, -above, above), core::Error);
  CHECK_THROWS_AS((void)reflected_dipole_field(1.0, {4.0, 0.0}, moment, above, {1.0, 0.0, -1.0}),
                  core::Error);
  CHECK_THROWS_AS((void)dipole_field(1.0, {4.0, 0.0}, moment, {0.0, 0.0, 0.0}, {1.0, 0.0, 0.0}), core::Error);
  CHECK_THROWS_AS((void)dipole_field(1.0, {4.0, 1.0}, moment, -above, above), core::Error);
}

}  // namespace feldspar::media
