#include "media/through_table.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <cstring>
#include <limits>
#include <random>
#include <string>
#include <string_view>
#include <thread>
#include <vector>

#include "core/error.hpp"
#include "core/quantity.hpp"
#include "soils.hpp"

namespace feldspar::media {

namespace {

using Complex = std::complex<double>;
using testing::kSoils;
using testing::medium;
using testing::Medium;
using testing::Soil;

// The ranges of a table.
struct Range {
  double rho;
  double height;
  double depth;
};

struct Points {
  std::vector<double> rho;
  std::vector<double> height;
  std::vector<double> depth;
  [[nodiscard]] std::size_t size() const { return rho.size(); }
};

// Each coordinate by turns 0, evenly spread and spread in ratio, so that near, far, grazing and vertical are
// all met. Not both of height and depth are 0.
Points random_points(std::size_t n, const Range& range, unsigned seed) {
  std::mt19937_64 generator(seed);
  const auto uniform = [&] { return static_cast<double>(generator() >> 11U) * 0x1p-53; };
  const auto draw = [&](double largest) {
    const double kind = uniform();
    const double u = uniform();
    return kind < 0.1 ? 0.0 : kind < 0.5 ? largest * u : largest * std::pow(1e-5, u);
  };
  Points points;
  for (std::size_t i = 0; i < n; ++i) {
    points.rho.push_back(draw(range.rho));
    points.height.push_back(draw(range.height));
    points.depth.push_back(std::max(draw(range.depth), 1e-4));
  }
  return points;
}

double difference(const ReflectedRest& a, const ReflectedRest& b) {
  return std::max(std::max(std::abs(a.a_h - b.a_h), std::abs(a.a_v - b.a_v)),
                  std::max(std::abs(a.a_m - b.a_m), std::abs(a.p - b.p)));
}

double difference(const AcrossRest& a, const AcrossRest& b) {
  return std::max(std::abs(a.a - b.a), std::max(std::abs(a.a_m - b.a_m), std::abs(a.p - b.p)));
}

template <class Rest>
bool same_bits(const std::vector<Rest>& a, const std::vector<Rest>& b) {
  return a.size() == b.size() && std::memcmp(a.data(), b.data(), a.size() * sizeof(Rest)) == 0;
}

// The two kinds of table under one name, so that one test serves both.
struct Below {
  using Rest = ReflectedRest;
  BelowTable table;

  Below(const Medium& m, const Range& range, double tolerance = 1e-6)
      : table(m.k0, m.n2, range.rho, range.depth, tolerance) {}
  [[nodiscard]] Rest look_up(const Points& at, std::size_t i) const { return table(at.rho[i], at.depth[i]); }
  void look_up_all(const Points& at, std::vector<Rest>& out) const { table.evaluate(at.rho, at.depth, out); }
  static Rest direct(const Medium& m, const Points& at, std::size_t i) {
    return reference::below_rest(m.k0, m.n2, at.rho[i], at.depth[i]);
  }
  static double distance(const Points& at, std::size_t i) { return std::hypot(at.rho[i], at.depth[i]); }
};

struct Across {
  using Rest = AcrossRest;
  AcrossTable table;

  Across(const Medium& m, const Range& range, double tolerance = 1e-6)
      : table(m.k0, m.n2, range.rho, range.height, range.depth, tolerance) {}
  [[nodiscard]] Rest look_up(const Points& at, std::size_t i) const {
    return table(at.rho[i], at.height[i], at.depth[i]);
  }
  void look_up_all(const Points& at, std::vector<Rest>& out) const {
    table.evaluate(at.rho, at.height, at.depth, out);
  }
  static Rest direct(const Medium& m, const Points& at, std::size_t i) {
    return reference::across_rest(m.k0, m.n2, at.rho[i], at.height[i], at.depth[i]);
  }
  static double distance(const Points& at, std::size_t i) {
    return std::hypot(at.rho[i], at.height[i] + at.depth[i]);
  }
};

// Largest difference from direct integration relative to 1 / R.
template <class Kind>
double largest_error(const Kind& kind, const Medium& m, const Points& points) {
  double largest = 0.0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    CAPTURE(points.rho[i]);
    CAPTURE(points.height[i]);
    CAPTURE(points.depth[i]);
    const double error =
        Kind::distance(points, i) * difference(kind.look_up(points, i), Kind::direct(m, points, i));
    CHECK(std::isfinite(error));
    largest = std::max(largest, error);
  }
  return largest;
}

// A point far below in sea water is as good as any; the ranges are those of an antenna of the band.
Range range_at(double f) {
  const double wavelength = core::wavelength(core::Frequency{f});
  return {std::min(200.0, 3.0 * wavelength), std::min(60.0, wavelength), 6.0};
}

template <class Kind>
void compare_at_random_points(double tolerance, std::size_t points_each) {
  for (const Soil& soil : kSoils) {
    double largest = 0.0;
    double measured = 0.0;
    for (const double f : {1e4, 4.75e5, 3.6e6, 14.1e6, 50e6, 150e6}) {
      CAPTURE(std::string(soil.name));
      CAPTURE(f);
      const Medium m = medium(soil, f);
      const Range range = range_at(f);
      const Kind kind(m, range, tolerance);
      const Points points = random_points(points_each, range, static_cast<unsigned>(f));
      const double error = largest_error(kind, m, points);
      CHECK(error <= tolerance);
      CHECK(kind.table.measured_error() > 0.0);
      CHECK(kind.table.measured_error() <= tolerance);
      largest = std::max(largest, error);
      measured = std::max(measured, kind.table.measured_error());
    }
    MESSAGE(std::string(soil.name), ": largest error ", largest, ", measured by the table ", measured);
  }
}

}  // namespace

// Two independent methods: polynomials on cells from whole-cell contours, and adaptive integration point by
// point, which is below 1e-9 / R. The tolerance is what the constructor was asked for.
TEST_CASE_TEMPLATE("through tables: within 1e-6 / R of direct integration", Kind, Below, Across) {
  compare_at_random_points<Kind>(1e-6, 24);
}

TEST_CASE_TEMPLATE("through tables: within 1e-8 / R of direct integration", Kind, Below, Across) {
  compare_at_random_points<Kind>(1e-8, 6);
}

TEST_CASE_TEMPLATE("through tables: order of look-ups and number of threads change nothing", Kind, Below,
                   Across) {
  using Rest = typename Kind::Rest;
  const Medium m = medium(kSoils[1], 21.2e6);
  const Range range{10.0, 4.0, 1.0};
  const Points points = random_points(1500, range, 1);
  const std::size_t n = points.size();
  const Kind first(m, range);
  CHECK(first.table.measured_error() == 0.0);
  CHECK(first.table.entries() == 0);
  std::vector<Rest> forward(n);
  first.look_up_all(points, forward);
  CHECK(first.table.entries() > 0);

  const Kind second(m, range);
  std::vector<Rest> backward(n);
  for (std::size_t i = n; i-- > 0;) backward[i] = second.look_up(points, i);
  CHECK(same_bits(forward, backward));
  CHECK(first.table.entries() == second.table.entries());
  CHECK(first.table.measured_error() == second.table.measured_error());

  const Kind third(m, range);
  std::vector<Rest> parallel(n);
  std::vector<std::thread> threads;
  for (std::size_t t = 0; t < 4; ++t) {
    threads.emplace_back([&, t] {
      for (std::size_t i = t; i < n; i += 4) parallel[i] = third.look_up(points, i);
    });
  }
  for (std::thread& thread : threads) thread.join();
  CHECK(same_bits(forward, parallel));
  CHECK(first.table.entries() == third.table.entries());
  CHECK(first.table.measured_error() == third.table.measured_error());
}

// Derived: the functions do not know where the table ends.
TEST_CASE_TEMPLATE("through tables: a wider range gives the same within both errors", Kind, Below, Across) {
  const Medium m = medium(kSoils[2], 7.1e6);
  const Range range{4.0, 3.0, 0.7};
  const Kind narrow(m, range);
  const Kind wide(m, {50.0, 30.0, 5.0});
  const Points points = random_points(60, range, 7);
  for (std::size_t i = 0; i < points.size(); ++i)
    CHECK(Kind::distance(points, i) * difference(narrow.look_up(points, i), wide.look_up(points, i)) <= 2e-6);
}

// What the header promises: beyond the edge by rounding, the value at the edge.
TEST_CASE_TEMPLATE("through tables: arguments beyond the range are taken at its edge", Kind, Below, Across) {
  const Medium m = medium(kSoils[1], 14.1e6);
  const Kind kind(m, {8.0, 2.0, 1.0});
  const Points edge{{8.0, 8.0, 0.5}, {2.0, 1.0, 2.0}, {1.0, 0.2, 1.0}};
  const Points past{{8.0 + 1e-9, 1e3, 0.5}, {2.0 + 1e-9, 1.0, 1e3}, {1.0 + 1e-9, 0.2, 1e3}};
  for (std::size_t i = 0; i < edge.size(); ++i)
    CHECK(difference(kind.look_up(edge, i), kind.look_up(past, i)) <= 1e-8);
  CHECK(largest_error(kind, m, edge) <= 1e-6);
}

// What the header promises: constant nearer than 1e-4 / |k1|. The functions change by R |k1|^2 there, so that
// their error relative to 1 / R is below (1e-4)^2 times a number near 1.
TEST_CASE_TEMPLATE("through tables: finite and right at the image itself", Kind, Below, Across) {
  for (const Soil& soil : kSoils) {
    const Medium m = medium(soil, 7.1e6);
    const Kind kind(m, {1.0, 1.0, 1.0});
    const double near = 1e-5 / (m.k0 * std::sqrt(std::abs(m.n2)));
    const Points points{{near, 0.0, 0.0, near}, {0.0, near, 0.0, near}, {near, near, near, 0.1 * near}};
    CHECK(largest_error(kind, m, points) <= 1e-6);
    const Points image{{0.0}, {0.0}, {0.0}};
    CHECK(std::isfinite(difference(kind.look_up(image, 0), typename Kind::Rest{})));
  }
}

// A radial wire lies at one depth, a rod at rho = 0: tables with an axis of no extent.
TEST_CASE("through tables: one vertical line, one level") {
  const Medium m = medium(kSoils[1], 7.1e6);
  const BelowTable rod(m.k0, m.n2, 0.0, 3.0);
  const AcrossTable staked(m.k0, m.n2, 0.0, 8.0, 2.0);
  const AcrossTable from_surface(m.k0, m.n2, 12.0, 0.0, 0.4);
  const AcrossTable to_surface(m.k0, m.n2, 12.0, 6.0, 0.0);
  for (const double x : {0.001, 0.03, 0.4, 1.0, 1.9}) {
    CAPTURE(x);
    CHECK(x * difference(rod(0.0, x), reference::below_rest(m.k0, m.n2, 0.0, x)) <= 1e-6);
    CHECK(3.0 * x *
              difference(staked(0.0, 2.0 * x, x), reference::across_rest(m.k0, m.n2, 0.0, 2.0 * x, x)) <=
          1e-6);
    const double depth = std::min(x, 0.4);
    CHECK(std::hypot(3.0 * x, depth) * difference(from_surface(3.0 * x, 0.0, depth),
                                                  reference::across_rest(m.k0, m.n2, 3.0 * x, 0.0, depth)) <=
          1e-6);
    CHECK(std::hypot(3.0 * x, x) *
              difference(to_surface(3.0 * x, x, 0.0), reference::across_rest(m.k0, m.n2, 3.0 * x, x, 0.0)) <=
          1e-6);
  }
}

// Derived: no contrast, no reflection; what passes is the wave of air, 1 / R taken away.
TEST_CASE("through tables: soil that is air") {
  const double k0 = 0.5;
  const BelowTable below(k0, 1.0, 20.0, 10.0);
  const AcrossTable across(k0, 1.0, 20.0, 10.0, 10.0);
  for (const double rho : {0.0, 0.02, 1.0, 15.0}) {
    for (const double d : {0.01, 0.5, 8.0}) {
      CAPTURE(rho);
      CAPTURE(d);
      CHECK(std::hypot(rho, d) * difference(below(rho, d), {}) <= 1e-6);
      const double r = std::hypot(rho, 1.5 * d);
      const Complex rest = (std::exp(Complex(0.0, -k0 * r)) - 1.0) / r;
      CHECK(r * difference(across(rho, 0.5 * d, d), {rest, 0.0, rest}) <= 1e-6);
    }
  }
}

TEST_CASE("through tables: arguments outside the range are refused") {
  const Complex n2(13.0, -5.0);
  const double nan = std::numeric_limits<double>::quiet_NaN();
  CHECK_THROWS_AS(BelowTable(0.0, n2, 1.0, 1.0), core::Error);
  CHECK_THROWS_AS(BelowTable(1.0, {0.5, 0.0}, 1.0, 1.0), core::Error);
  CHECK_THROWS_AS(BelowTable(1.0, {4.0, 1.0}, 1.0, 1.0), core::Error);
  CHECK_THROWS_AS(BelowTable(1.0, n2, -1.0, 1.0), core::Error);
  CHECK_THROWS_AS(BelowTable(1.0, n2, nan, 1.0), core::Error);
  CHECK_THROWS_AS(BelowTable(1.0, n2, 1.0, 1.0, 1e-12), core::Error);
  CHECK_THROWS_AS(BelowTable(1.0, n2, 1.0, 1.0, 0.1), core::Error);
  CHECK_THROWS_AS(AcrossTable(1.0, n2, 1.0, -1.0, 1.0), core::Error);
  CHECK_THROWS_AS(AcrossTable(1.0, n2, 1.0, 1.0, -1.0), core::Error);
  CHECK_THROWS_AS(AcrossTable(nan, n2, 1.0, 1.0, 1.0), core::Error);
}

}  // namespace feldspar::media
