#include "media/through_surface.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <fstream>
#include <numbers>
#include <sstream>
#include <string>
#include <vector>

#include "core/error.hpp"
#include "media/through_table.hpp"

namespace feldspar::media {

namespace {

using Complex = std::complex<double>;

// The constants of the reference file's header, not the newer ones of core/constants.hpp.
constexpr double kLight = 299792458.0;
constexpr double kMu0 = 4e-7 * std::numbers::pi;
constexpr double kEps0 = 1.0 / (kMu0 * kLight * kLight);

// Whole potentials, without the direct wave.
struct Potentials {
  Complex a_h;
  Complex a_v;
  Complex a_m;
  Complex p;
};

struct Case {
  bool across;
  double k0;
  Complex n2;
  double rho;
  double height;
  double depth;
  Potentials expected;
};

double wavenumber(double f) {
  return 2.0 * std::numbers::pi * f / kLight;
}

Complex soil(double f, double eps_r, double sigma) {
  return {eps_r, -sigma / (2.0 * std::numbers::pi * f * kEps0)};
}

std::vector<Case> load_cases() {
  std::ifstream file(FELDSPAR_TEST_DATA "/through_surface.csv");
  std::vector<Case> cases;
  for (std::string line; std::getline(file, line);) {
    if (line.empty() || line[0] == '#' || line.starts_with("place")) continue;
    std::istringstream stream(line);
    std::string cell;
    std::getline(stream, cell, ',');
    const bool across = cell == "across";
    std::vector<double> v;
    while (std::getline(stream, cell, ',')) v.push_back(std::stod(cell));
    REQUIRE(v.size() == 15);
    const auto value = [&](std::size_t i) { return Complex(v[i], v[i + 1]); };
    cases.push_back({across,
                     wavenumber(v[0]),
                     soil(v[0], v[1], v[2]),
                     v[3],
                     v[4],
                     v[5],
                     {value(6), value(8), value(10), value(12)}});
  }
  return cases;
}

// (1 - v / r) / rho
double tilted(double rho, double vertical) {
  const double r = std::hypot(rho, vertical);
  return rho / (r * (r + vertical));
}

Complex wave(Complex k, double r) {
  return std::exp(Complex(0.0, -1.0) * k * r) / r;
}

// The images put back.
Potentials below(double k0, Complex n2, double rho, double depth_sum, const ReflectedRest& rest) {
  const Complex image = (n2 - 1.0) / (n2 + 1.0);
  const Complex g = wave(k0 * std::sqrt(n2), std::hypot(rho, depth_sum));
  return {rest.a_h, -2.0 * image * g + rest.a_v, image * tilted(rho, depth_sum) + rest.a_m,
          (image * g + rest.p) / n2};
}

Potentials below(double k0, Complex n2, double rho, double depth_sum) {
  return below(k0, n2, rho, depth_sum, reference::below_rest(k0, n2, rho, depth_sum));
}

Potentials across(Complex n2, double rho, double height, double depth, const AcrossRest& rest) {
  const Complex image = (n2 - 1.0) / (n2 + 1.0);
  const double near = 1.0 / std::hypot(rho, height + depth);
  const Complex a = near + rest.a;
  return {a, a, image * tilted(rho, height + depth) + rest.a_m, 2.0 / (n2 + 1.0) * (near + rest.p)};
}

Potentials across(double k0, Complex n2, double rho, double height, double depth) {
  return across(n2, rho, height, depth, reference::across_rest(k0, n2, rho, height, depth));
}

// For P the size of its static limit: |P| is about 1 / |n2| of the others.
double difference(const Potentials& a, const Potentials& b, Complex n2) {
  return std::max(std::max(std::abs(a.a_h - b.a_h), std::abs(a.a_v - b.a_v)),
                  std::max(std::abs(a.a_m - b.a_m), 0.5 * std::abs(n2 + 1.0) * std::abs(a.p - b.p)));
}

struct Soil {
  double f;
  double eps_r;
  double sigma;
};

constexpr Soil kSoils[] = {{1e4, 81.0, 5.0}, {3.6e6, 13.0, 0.005}, {14.1e6, 4.0, 0.0}, {50e6, 30.0, 0.03}};

}  // namespace

// Source: tests/data/through_surface.csv, integration along the real axis in 40 digits by another program,
// printed with 13. The tolerance is what the header states.
TEST_CASE("below_rest and across_rest: potentials at 88 points") {
  const std::vector<Case> cases = load_cases();
  REQUIRE(cases.size() == 88);
  double largest = 0.0;
  double relative = 0.0;  // to the value itself
  for (const Case& c : cases) {
    CAPTURE(c.across);
    CAPTURE(c.k0);
    CAPTURE(c.n2);
    CAPTURE(c.rho);
    CAPTURE(c.height);
    CAPTURE(c.depth);
    const Potentials got =
        c.across ? across(c.k0, c.n2, c.rho, c.height, c.depth) : below(c.k0, c.n2, c.rho, c.depth);
    const double r = std::hypot(c.rho, c.height + c.depth);
    const double error = r * difference(got, c.expected, c.n2);
    CHECK(error <= 1e-9);
    largest = std::max(largest, error);
    const auto compare = [&](Complex value, Complex expected) {
      if (expected != 0.0) relative = std::max(relative, std::abs(value - expected) / std::abs(expected));
    };
    compare(got.a_h, c.expected.a_h);
    compare(got.a_v, c.expected.a_v);
    compare(got.a_m, c.expected.a_m);
    compare(got.p, c.expected.p);
  }
  MESSAGE("largest difference relative to 1/R ", largest, ", relative to the value ", relative);
}

// Source: the same. The tolerance is the one the tables are asked for, over ranges as wide as each point
// needs.
TEST_CASE("BelowTable and AcrossTable: potentials at 88 points") {
  double largest = 0.0;
  for (const Case& c : load_cases()) {
    CAPTURE(c.across);
    CAPTURE(c.k0);
    CAPTURE(c.n2);
    CAPTURE(c.rho);
    CAPTURE(c.height);
    CAPTURE(c.depth);
    Potentials got;
    if (c.across) {
      const AcrossTable table(c.k0, c.n2, c.rho, c.height, c.depth, 1e-6);
      got = across(c.n2, c.rho, c.height, c.depth, table(c.rho, c.height, c.depth));
    } else {
      const BelowTable table(c.k0, c.n2, c.rho, c.depth, 1e-6);
      got = below(c.k0, c.n2, c.rho, c.depth, table(c.rho, c.depth));
    }
    const double error = std::hypot(c.rho, c.height + c.depth) * difference(got, c.expected, c.n2);
    CHECK(error <= 1e-6);
    largest = std::max(largest, error);
  }
  MESSAGE("largest difference relative to 1/R ", largest);
}

// 1000 skin depths are 15 m of sea water at 150 MHz: all is in a layer that samples of the whole depth would
// miss.
TEST_CASE("AcrossTable: a depth range of a thousand skin depths") {
  const double k0 = wavenumber(150e6);
  const Complex n2 = soil(150e6, 81.0, 5.0);
  const AcrossTable table(k0, n2, 200.0, 20.0, 20.0, 1e-6);
  const Potentials got = across(n2, 200.0, 0.005, 0.02, table(200.0, 0.005, 0.02));
  CHECK(200.0 * difference(got, across(k0, n2, 200.0, 0.005, 0.02), n2) <= 1e-6);
}

// Derived: without contrast the waves of air pass unchanged and nothing is reflected.
TEST_CASE("below_rest and across_rest: soil that is air") {
  const double k0 = 0.7;
  for (const double contrast : {0.0, 1e-12}) {
    const Complex n2 = 1.0 + contrast;
    for (const double rho : {0.0, 0.02, 1.0, 40.0}) {
      for (const double z : {0.0, 0.3, 9.0}) {
        for (const double d : {0.001, 0.5, 12.0}) {
          CAPTURE(rho);
          CAPTURE(z);
          CAPTURE(d);
          const double r = std::hypot(rho, z + d);
          const Complex g = wave(k0, r);
          CHECK(r * difference(across(k0, n2, rho, z, d), {g, g, 0.0, g}, n2) <= 1e-9);
          CHECK(std::hypot(rho, d) * difference(below(k0, n2, rho, d), {}, n2) <= 1e-9);
        }
      }
    }
  }
}

// Derived: the static images are those of perfectly conducting sea when |k1| R is small; what is left is of
// the order |k1|, so that it falls to |k1| R of the images.
TEST_CASE("below_rest and across_rest: sea water at 10 kHz, nearby") {
  const double k0 = wavenumber(1e4);
  const Complex n2 = soil(1e4, 81.0, 5.0);
  const double k1 = k0 * std::sqrt(std::abs(n2));
  for (const double r : {1e-4, 1e-3, 1e-2}) {
    for (const double angle : {0.0, 0.5, 1.2, 1.57}) {
      CAPTURE(r);
      CAPTURE(angle);
      const double rho = r * std::sin(angle);
      const double d = r * std::cos(angle);
      const double small = 2.0 * k1 * r;
      CHECK(r * difference(below(k0, n2, rho, d), {0.0, -2.0 / r, tilted(rho, d), 1.0 / (r * n2)}, n2) <=
            small);
      const Potentials images{1.0 / r, 1.0 / r, tilted(rho, d), 2.0 / (r * n2)};
      CHECK(r * difference(across(k0, n2, rho, 0.25 * d, 0.75 * d), images, n2) <= small);
    }
  }
}

// Derived: A_h, A_m and P do not jump at the surface (A_v does, as E_z does).
TEST_CASE("across_rest: joins the potentials above and below at the surface") {
  for (const Soil& s : kSoils) {
    const double k0 = wavenumber(s.f);
    const Complex n2 = soil(s.f, s.eps_r, s.sigma);
    const Complex image = (n2 - 1.0) / (n2 + 1.0);
    for (const double rho : {0.0, 0.003, 0.4, 25.0, 180.0}) {
      for (const double far : {1e-4, 0.02, 0.7, 6.0}) {
        CAPTURE(s.f);
        CAPTURE(rho);
        CAPTURE(far);
        const double r = std::hypot(rho, far);
        // the other point comes to the surface from below
        const ReflectedRest up = reference::reflected_rest(k0, n2, rho, far);
        const Complex g0 = wave(k0, r);
        Potentials passed = across(k0, n2, rho, far, 0.0);
        const Potentials above{g0 + up.a_h, passed.a_v, image * tilted(rho, far) + up.a_m,
                               g0 - image * g0 + up.p};
        CHECK(r * std::abs(passed.a_h - above.a_h) <= 1e-9);
        CHECK(r * std::abs(passed.a_m - above.a_m) <= 1e-9);
        CHECK(r * std::abs(passed.p - above.p) <= 1e-9);
        // and from above
        const Complex g1 = wave(k0 * std::sqrt(n2), r);
        Potentials deep = below(k0, n2, rho, far);
        deep.a_h += g1;
        deep.p += g1 / n2;
        passed = across(k0, n2, rho, 0.0, far);
        deep.a_v = passed.a_v;
        CHECK(r * difference(passed, deep, n2) <= 1e-9);
      }
    }
  }
}

// Derived: a_v = a_h + (1 / n2 - 1) p, the identity of half_space.hpp with the media exchanged.
TEST_CASE("below_rest: three of the four functions give the fourth") {
  for (const Soil& s : kSoils) {
    const double k0 = wavenumber(s.f);
    const Complex n2 = soil(s.f, s.eps_r, s.sigma);
    for (const double rho : {0.0, 0.3, 70.0}) {
      const ReflectedRest rest = reference::below_rest(k0, n2, rho, 0.2);
      CHECK(std::abs(rest.a_v - rest.a_h - (1.0 / n2 - 1.0) * rest.p) <= 1e-9 / std::hypot(rho, 0.2));
    }
  }
}

TEST_CASE("below_rest and across_rest: arguments outside the range are refused") {
  CHECK_THROWS_AS((void)reference::below_rest(1.0, {4.0, 0.0}, 1.0, 0.0), core::Error);
  CHECK_THROWS_AS((void)reference::below_rest(0.0, {4.0, 0.0}, 1.0, 1.0), core::Error);
  CHECK_THROWS_AS((void)reference::below_rest(1.0, {0.5, 0.0}, 1.0, 1.0), core::Error);
  CHECK_THROWS_AS((void)reference::across_rest(1.0, {4.0, 0.0}, 1.0, 0.0, 0.0), core::Error);
  CHECK_THROWS_AS((void)reference::across_rest(1.0, {4.0, 0.0}, 1.0, -1.0, 2.0), core::Error);
  CHECK_THROWS_AS((void)reference::across_rest(1.0, {4.0, 0.0}, 1.0, 2.0, -1.0), core::Error);
  CHECK_THROWS_AS((void)reference::across_rest(1.0, {4.0, 1.0}, 1.0, 1.0, 1.0), core::Error);
  CHECK_THROWS_AS((void)reference::across_rest(1.0, {4.0, 0.0}, -1.0, 1.0, 1.0), core::Error);
}

}  // namespace feldspar::media
