#include "media/sommerfeld.hpp"

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
#include "media/half_space.hpp"

namespace feldspar::media {

namespace {

using Complex = std::complex<double>;

// The constants of the reference file's header, not the newer ones of core/constants.hpp.
constexpr double kLight = 299792458.0;
constexpr double kMu0 = 4e-7 * std::numbers::pi;
constexpr double kEps0 = 1.0 / (kMu0 * kLight * kLight);

struct Case {
  double k0;
  Complex n2;
  double rho;
  double z_sum;
  ReflectionIntegrals expected;
};

std::vector<Case> load_cases() {
  std::ifstream file(FELDSPAR_TEST_DATA "/sommerfeld-integrals.csv");
  std::vector<Case> cases;
  for (std::string line; std::getline(file, line);) {
    if (line.empty() || line[0] == '#' || line[0] == 'f') continue;
    std::vector<double> v;
    std::istringstream stream(line);
    for (std::string cell; std::getline(stream, cell, ',');) v.push_back(std::stod(cell));
    REQUIRE(v.size() == 25);
    const double omega = 2e6 * std::numbers::pi * v[0];
    const auto value = [&](std::size_t i) { return Complex(v[5 + 2 * i], v[6 + 2 * i]); };
    cases.push_back({omega / kLight,
                     {v[1], -v[2] / (omega * kEps0)},
                     v[3],
                     v[4],
                     {value(0),
                      value(1),
                      value(2),
                      value(3),
                      value(4),
                      value(5),
                      value(6),
                      value(7),
                      value(8),
                      value(9),
                      {}}});
  }
  return cases;
}

}  // namespace

// Source: tests/data/sommerfeld-integrals.csv, an independent computation in 30 digits, printed with 12.
TEST_CASE("reflection_integrals: ten integrals at 42 points") {
  const std::vector<Case> cases = load_cases();
  REQUIRE(cases.size() == 42);
  double largest = 0.0;
  for (const Case& c : cases) {
    CAPTURE(c.k0);
    CAPTURE(c.n2);
    CAPTURE(c.rho);
    CAPTURE(c.z_sum);
    const ReflectionIntegrals got = reflection_integrals(c.k0, c.n2, c.rho, c.z_sum);
    const auto check = [&](Complex value, Complex expected) {
      const double error = std::abs(value - expected);
      CHECK(error <= 1e-8 * std::abs(expected));
      if (expected != Complex(0.0)) largest = std::max(largest, error / std::abs(expected));
    };
    check(got.te, c.expected.te);
    check(got.tm, c.expected.tm);
    check(got.w, c.expected.w);
    check(got.te_z, c.expected.te_z);
    check(got.te_rho, c.expected.te_rho);
    check(got.tm_rho, c.expected.tm_rho);
    check(got.tm_rhoz, c.expected.tm_rhoz);
    check(got.w_rho, c.expected.w_rho);
    check(got.tm_h, c.expected.tm_h);
    check(got.tm_z, c.expected.tm_z);
  }
  MESSAGE("largest relative difference ", largest);
}

// Derived: in the potentials of half_space.hpp, images put back, A_h = te, A_m = w_rho and A_v + P = tm + te.
TEST_CASE("reflected_rest: the same potentials as the ten integrals") {
  for (const Case& c : load_cases()) {
    CAPTURE(c.k0);
    CAPTURE(c.n2);
    CAPTURE(c.rho);
    CAPTURE(c.z_sum);
    const double r = std::hypot(c.rho, c.z_sum);
    const Complex image = (c.n2 - 1.0) / (c.n2 + 1.0);
    const Complex wave = std::polar(1.0 / r, -c.k0 * r);
    const ReflectedRest rest = reference::reflected_rest(c.k0, c.n2, c.rho, c.z_sum);
    const double tolerance = 1e-10 / r;  // half_space.hpp
    CHECK(std::abs(rest.a_h - c.expected.te) <= tolerance);
    CHECK(std::abs(rest.a_m + image * c.rho / (r * (r + c.z_sum)) - c.expected.w_rho) <= tolerance);
    CHECK(std::abs(rest.a_v + rest.p + image * wave - c.expected.te - c.expected.tm) <= tolerance);
  }
}

// Source: half_space derivation, 30-digit integration, printed with five digits: P R' = -0.92217 + 0.07128j
// at R' = 1 mm, k0 = 0.15 /m, n2 = 13 - 12.8j.
TEST_CASE("reflected_rest: reflected scalar potential close to the image") {
  const double r = 1e-3;
  const double k0 = 0.15;
  const Complex n2(13.0, -12.8);
  const Complex image = (n2 - 1.0) / (n2 + 1.0);
  for (const double angle : {0.0, 0.4, 1.1, 1.5}) {
    CAPTURE(angle);
    const ReflectedRest rest = reference::reflected_rest(k0, n2, r * std::sin(angle), r * std::cos(angle));
    const Complex p = -image * std::polar(1.0, -k0 * r) + r * rest.p;
    CHECK(std::abs(p - Complex(-0.92217, 0.07128)) <= 1e-5);  // the direction moves the sixth digit
  }
}

TEST_CASE("integrate_sommerfeld: the identities of free space") {
  // Derived: lambda / u0 gives exp(-jkR) / R [sommerfeld identity, stratton1941, sec. 9.28]; 1 gives
  // (exp(-jkz) - z/R exp(-jkR)) / rho, its primitive in rho.
  for (const double k0 : {0.01, 0.3, 3.0}) {
    for (const double rho : {0.02, 1.0, 30.0}) {
      for (const double z : {0.01, 0.7, 25.0}) {
        CAPTURE(k0);
        CAPTURE(rho);
        CAPTURE(z);
        Complex j0, j1;
        const auto functions = [&](const SpectralPoint& at, std::span<Complex> a, std::span<Complex> b) {
          a[0] = at.lambda / at.u0 * std::exp(-at.u0 * z);
          b[0] = std::exp(-at.u0 * z);
        };
        integrate_sommerfeld({k0, {4.0, -1.0}, rho, z}, functions, {&j0, 1}, {&j1, 1});
        const double r = std::hypot(rho, z);
        const Complex wave = std::polar(1.0, -k0 * r);
        CHECK(std::abs(j0 - wave / r) <= 1e-11 / r);
        CHECK(std::abs(j1 - (std::polar(1.0, -k0 * z) - z / r * wave) / rho) <= 1e-11 / rho);
      }
    }
  }
}

TEST_CASE("reflection_integrals: arguments outside the range are refused") {
  CHECK_THROWS_AS((void)reflection_integrals(0.0, {4.0, 0.0}, 1.0, 1.0), core::Error);
  CHECK_THROWS_AS((void)reflection_integrals(1.0, {0.5, 0.0}, 1.0, 1.0), core::Error);
  CHECK_THROWS_AS((void)reflection_integrals(1.0, {4.0, 1.0}, 1.0, 1.0), core::Error);
  CHECK_THROWS_AS((void)reflection_integrals(1.0, {4.0, 0.0}, -1.0, 1.0), core::Error);
  CHECK_THROWS_AS((void)reflection_integrals(1.0, {4.0, 0.0}, 1.0, 0.0), core::Error);
  CHECK_THROWS_AS((void)reflection_integrals(1.0, {4.0, -INFINITY}, 1.0, 1.0), core::Error);
}

}  // namespace feldspar::media
