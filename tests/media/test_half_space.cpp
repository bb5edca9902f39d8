#include "media/half_space.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <cstring>
#include <numbers>
#include <random>
#include <string>
#include <string_view>
#include <thread>
#include <vector>

#include "core/error.hpp"
#include "soils.hpp"

namespace feldspar::media {

namespace {

using Complex = std::complex<double>;
using testing::kSoils;
using testing::medium;
using testing::Medium;
using testing::Soil;

double difference(const ReflectedRest& a, const ReflectedRest& b) {
  return std::max(std::max(std::abs(a.a_h - b.a_h), std::abs(a.a_v - b.a_v)),
                  std::max(std::abs(a.a_m - b.a_m), std::abs(a.p - b.p)));
}

struct Points {
  std::vector<double> rho;
  std::vector<double> z;
  [[nodiscard]] std::size_t size() const { return rho.size(); }
};

// Half of them spread evenly, half in ratio, so that near and far are both met.
Points random_points(std::size_t n, double largest_rho, double smallest_z, double largest_z) {
  std::mt19937_64 generator(1);
  const auto uniform = [&] { return static_cast<double>(generator() >> 11U) * 0x1p-53; };
  Points points;
  for (std::size_t i = 0; i < n; ++i) {
    const double u = uniform();
    const double v = uniform();
    points.rho.push_back(i % 16 == 0 ? 0.0 : i % 2 == 0 ? largest_rho * u : largest_rho * std::pow(1e-5, u));
    points.z.push_back(i % 4 < 2 ? smallest_z + (largest_z - smallest_z) * v
                                 : smallest_z * std::pow(largest_z / smallest_z, v));
  }
  return points;
}

}  // namespace

// Two independent methods: piecewise polynomials from whole-cell contours, adaptive integration point by
// point. The tolerance is what the constructor was asked for.
TEST_CASE("HalfSpaceTable: within 1e-6 / R' of direct integration") {
  for (const Soil& soil : kSoils) {
    double largest = 0.0;
    double measured = 0.0;
    for (const double f_mhz : {0.5, 7.1, 28.0, 54.0, 150.0}) {
      CAPTURE(std::string(soil.name));
      CAPTURE(f_mhz);
      const auto [k0, n2] = medium(soil, 1e6 * f_mhz);
      const double largest_rho = 15.0 * 2.0 * std::numbers::pi / k0;
      const HalfSpaceTable table(k0, n2, largest_rho, 0.004, 60.0);
      const Points points = random_points(28, largest_rho, 0.004, 60.0);
      for (std::size_t i = 0; i < points.size(); ++i) {
        CAPTURE(points.rho[i]);
        CAPTURE(points.z[i]);
        const ReflectedRest got = table(points.rho[i], points.z[i]);
        const ReflectedRest expected = reference::reflected_rest(k0, n2, points.rho[i], points.z[i]);
        const double error = difference(got, expected) * std::hypot(points.rho[i], points.z[i]);
        CHECK(error <= 1e-6);
        largest = std::max(largest, error);
      }
      CHECK(table.measured_error() > 0.0);
      CHECK(table.measured_error() <= 1e-6);
      measured = std::max(measured, table.measured_error());
    }
    MESSAGE(std::string(soil.name), ": largest error ", largest, ", measured by the table ", measured);
  }
}

TEST_CASE("HalfSpaceTable: finer and coarser tolerances are kept") {
  const auto [k0, n2] = medium(kSoils[1], 14.1e6);
  for (const double tolerance : {1e-3, 1e-5, 1e-8}) {
    CAPTURE(tolerance);
    const HalfSpaceTable table(k0, n2, 40.0, 0.02, 25.0, tolerance);
    const Points points = random_points(40, 40.0, 0.02, 25.0);
    for (std::size_t i = 0; i < points.size(); ++i) {
      CAPTURE(points.rho[i]);
      CAPTURE(points.z[i]);
      const ReflectedRest expected = reference::reflected_rest(k0, n2, points.rho[i], points.z[i]);
      CHECK(difference(table(points.rho[i], points.z[i]), expected) *
                std::hypot(points.rho[i], points.z[i]) <=
            tolerance);
    }
    CHECK(table.measured_error() <= tolerance);
  }
}

TEST_CASE("HalfSpaceTable: the order of the look-ups and the number of threads change nothing") {
  const auto [k0, n2] = medium(kSoils[1], 21.2e6);
  const Points points = random_points(4000, 30.0, 0.01, 20.0);
  const std::size_t n = points.size();
  std::vector<ReflectedRest> forward(n);
  const HalfSpaceTable first(k0, n2, 30.0, 0.01, 20.0);
  first.evaluate(points.rho, points.z, forward);

  const HalfSpaceTable second(k0, n2, 30.0, 0.01, 20.0);
  std::vector<ReflectedRest> backward(n);
  for (std::size_t i = n; i-- > 0;) backward[i] = second(points.rho[i], points.z[i]);
  CHECK(std::memcmp(forward.data(), backward.data(), n * sizeof(ReflectedRest)) == 0);
  CHECK(first.entries() == second.entries());
  CHECK(first.measured_error() == second.measured_error());

  const HalfSpaceTable third(k0, n2, 30.0, 0.01, 20.0);
  std::vector<ReflectedRest> parallel(n);
  std::vector<std::thread> threads;
  for (std::size_t t = 0; t < 4; ++t) {
    threads.emplace_back([&, t] {
      for (std::size_t i = t; i < n; i += 4) parallel[i] = third(points.rho[i], points.z[i]);
    });
  }
  for (std::thread& thread : threads) thread.join();
  CHECK(std::memcmp(forward.data(), parallel.data(), n * sizeof(ReflectedRest)) == 0);
  CHECK(first.entries() == third.entries());
}

// Derived: half_space_spectrum.hpp. The table keeps one of a_v and p, the direct integrals all four.
TEST_CASE("HalfSpaceTable and reflected_rest: a_v = a_h + (n2 - 1) p") {
  for (const Soil& soil : {kSoils[0], kSoils[3], Soil{"hardly any", 1.02, 1e-5}}) {
    const auto [k0, n2] = medium(soil, 14.1e6);
    const HalfSpaceTable table(k0, n2, 30.0, 0.01, 20.0);
    const Points points = random_points(20, 30.0, 0.01, 20.0);
    for (std::size_t i = 0; i < points.size(); ++i) {
      CAPTURE(std::string(soil.name));
      CAPTURE(points.rho[i]);
      CAPTURE(points.z[i]);
      const double r = std::hypot(points.rho[i], points.z[i]);
      const ReflectedRest direct = reference::reflected_rest(k0, n2, points.rho[i], points.z[i]);
      CHECK(std::abs(direct.a_v - direct.a_h - (n2 - 1.0) * direct.p) * r <= 1e-9);
      CHECK(difference(table(points.rho[i], points.z[i]), direct) * r <= 1e-6);
    }
  }
}

// Derived: lengths times s and frequency over s at the same n2 divide every function by s.
TEST_CASE("HalfSpaceTable: scaling") {
  const auto [k0, n2] = medium(kSoils[2], 10.1e6);
  const double s = 8.0;  // a power of two, so that nothing is rounded differently
  const HalfSpaceTable one(k0, n2, 30.0, 0.01, 20.0);
  const HalfSpaceTable other(k0 / s, n2, s * 30.0, s * 0.01, s * 20.0);
  const Points points = random_points(100, 30.0, 0.01, 20.0);
  for (std::size_t i = 0; i < points.size(); ++i) {
    const ReflectedRest a = one(points.rho[i], points.z[i]);
    const ReflectedRest b = other(s * points.rho[i], s * points.z[i]);
    CHECK(difference(a, {s * b.a_h, s * b.a_v, s * b.a_m, s * b.p}) <= 1e-14 * std::abs(a.a_h));
  }
}

// Derived: no contrast, no reflection; all functions are proportional to n2 - 1 near n2 = 1.
TEST_CASE("reflected_rest: a soil like air reflects nothing") {
  const double k0 = 0.5;
  const HalfSpaceTable table(k0, 1.0, 20.0, 0.01, 10.0);
  for (const double rho : {0.0, 0.02, 1.0, 15.0}) {
    for (const double z : {0.01, 0.5, 8.0}) {
      CAPTURE(rho);
      CAPTURE(z);
      const double r = std::hypot(rho, z);
      CHECK(difference(reference::reflected_rest(k0, 1.0, rho, z), {}) == 0.0);
      CHECK(difference(table(rho, z), {}) == 0.0);
      const ReflectedRest small = reference::reflected_rest(k0, {1.0 + 1e-6, -1e-6}, rho, z);
      CHECK(difference(small, {}) * r <= 1e-5);
    }
  }
}

// Derived: as |n| -> infinity the images of a perfect ground remain, A_h = -g', A_v = g', A_m = 0, P = -g'
// with K = 1, so a_h = -g', a_v = -g', a_m = -(1 - z/R') / rho, p = 0. What is left is of the order 1 / (|n|
// k0 R').
TEST_CASE("reflected_rest: a very good conductor is a perfect ground") {
  const double k0 = 0.3;
  const Complex n2(1.0, -1e8);
  const HalfSpaceTable table(k0, n2, 20.0, 0.5, 30.0);
  for (const double rho : {0.0, 0.3, 4.0, 18.0}) {
    for (const double z : {0.5, 3.0, 30.0}) {
      CAPTURE(rho);
      CAPTURE(z);
      const double r = std::hypot(rho, z);
      const Complex wave = std::polar(1.0 / r, -k0 * r);
      const ReflectedRest expected{-wave, -wave, -rho / (r * (r + z)), 0.0};
      const double tolerance = 8e-4 * (1.0 + 1.0 / (k0 * r)) * (r / z) / r;
      CHECK(difference(reference::reflected_rest(k0, n2, rho, z), expected) <= tolerance);
      CHECK(difference(table(rho, z), expected) <= tolerance + 1e-6 / r);
    }
  }
}

// Derived: the integrands fall off as k1^2 / lambda^2 against those of the images, so the functions have
// limits of the order k1 and change by the order R' k1^2.
TEST_CASE("reflected_rest: finite where source and image meet") {
  for (const Soil& soil : kSoils) {
    const auto [k0, n2] = medium(soil, 7.1e6);
    const double k1 = k0 * std::sqrt(std::abs(n2));
    const HalfSpaceTable table(k0, n2, 1.0, 1e-6, 1.0);
    for (const double angle : {0.0, 0.8, 1.55}) {
      CAPTURE(std::string(soil.name));
      CAPTURE(angle);
      ReflectedRest before;
      for (const double r : {1e-3 / k1, 1e-4 / k1, 1e-5 / k1}) {
        const double rho = r * std::sin(angle);
        const double z = std::max(r * std::cos(angle), 1e-6);
        const ReflectedRest rest = reference::reflected_rest(k0, n2, rho, z);
        CHECK(difference(rest, {}) <= 3.0 * k1);
        CHECK(difference(table(rho, z), rest) * std::hypot(rho, z) <= 1e-6);
        if (r < 5e-4 / k1) CHECK(difference(rest, before) <= 100.0 * r * k1 * k1);
        before = rest;
      }
    }
  }
}

// Derived: specular reflection is the leading term of the asymptotic series in 1 / (k0 R'); away from grazing
// the next one is smaller by that factor, times numbers that grow with the contrast.
TEST_CASE("plane_wave_rest: approaches the exact functions far away") {
  for (const Soil& soil : {kSoils[0], kSoils[1], kSoils[4]}) {
    const auto [k0, n2] = medium(soil, 14.2e6);
    for (const double elevation : {0.6, 1.0, 1.5}) {
      double last = 1.0;
      for (const double kr : {20.0, 80.0, 320.0}) {
        CAPTURE(std::string(soil.name));
        CAPTURE(elevation);
        CAPTURE(kr);
        const double r = kr / k0;
        const double rho = r * std::cos(elevation);
        const double z = r * std::sin(elevation);
        const double error =
            r * difference(plane_wave_rest(k0, n2, rho, z), reference::reflected_rest(k0, n2, rho, z));
        CHECK(error <= 8.0 / kr);
        CHECK(error <= 0.3 * last);  // a quarter each time, to leading order
        last = error;
      }
    }
  }
}

// Derived: plane waves on a perfect ground and on no ground are exact.
TEST_CASE("plane_wave_rest: exact limits") {
  const double k0 = 0.3;
  const double rho = 2.0;
  const double z = 1.5;
  CHECK(difference(plane_wave_rest(k0, 1.0, rho, z), {}) == 0.0);
  const double r = std::hypot(rho, z);
  const Complex wave = std::polar(1.0 / r, -k0 * r);
  const ReflectedRest expected{-wave, -wave, -rho / (r * (r + z)), 0.0};
  CHECK(difference(plane_wave_rest(k0, {1.0, -1e16}, rho, z), expected) <= 1e-7);
}

TEST_CASE("HalfSpaceTable: points outside the range are integrated") {
  const auto [k0, n2] = medium(kSoils[1], 7.1e6);
  const HalfSpaceTable table(k0, n2, 5.0, 0.1, 2.0);
  for (const auto& [rho, z] : {std::pair{6.0, 1.0}, std::pair{1.0, 0.05}, std::pair{1.0, 3.0}}) {
    const ReflectedRest expected = reference::reflected_rest(k0, n2, rho, z);
    CHECK(difference(table(rho, z), expected) <= 1e-10 / std::hypot(rho, z));
  }
  CHECK(table.entries() == 0);
}

TEST_CASE("HalfSpaceTable: one height, one vertical wire") {
  const auto [k0, n2] = medium(kSoils[1], 7.1e6);
  const HalfSpaceTable flat(k0, n2, 20.0, 0.012, 0.012);
  const HalfSpaceTable upright(k0, n2, 0.0, 0.012, 15.0);
  for (const double x : {0.0, 0.003, 0.2, 7.0, 20.0}) {
    CAPTURE(x);
    CHECK(difference(flat(x, 0.012), reference::reflected_rest(k0, n2, x, 0.012)) * std::hypot(x, 0.012) <=
          1e-6);
    const double z = std::clamp(x, 0.012, 15.0);
    CHECK(difference(upright(0.0, z), reference::reflected_rest(k0, n2, 0.0, z)) * z <= 1e-6);
  }
  const Complex image = (n2 - 1.0) / (n2 + 1.0);
  CHECK(std::abs(flat.image_factor() - image) <= 1e-15);
}

TEST_CASE("HalfSpaceTable: arguments outside the range are refused") {
  const Complex n2(13.0, -5.0);
  CHECK_THROWS_AS(HalfSpaceTable(0.0, n2, 1.0, 0.1, 1.0), core::Error);
  CHECK_THROWS_AS(HalfSpaceTable(1.0, {0.5, 0.0}, 1.0, 0.1, 1.0), core::Error);
  CHECK_THROWS_AS(HalfSpaceTable(1.0, {4.0, 1.0}, 1.0, 0.1, 1.0), core::Error);
  CHECK_THROWS_AS(HalfSpaceTable(1.0, n2, -1.0, 0.1, 1.0), core::Error);
  CHECK_THROWS_AS(HalfSpaceTable(1.0, n2, 1.0, 0.0, 1.0), core::Error);
  CHECK_THROWS_AS(HalfSpaceTable(1.0, n2, 1.0, 0.2, 0.1), core::Error);
  CHECK_THROWS_AS(HalfSpaceTable(1.0, n2, 1.0, 0.1, 1.0, 1e-12), core::Error);
}

}  // namespace feldspar::media
