#include <doctest/doctest.h>

#include <cmath>

#include "core/error.hpp"
#include "fields/rotation_detail.hpp"
#include "fields/sources_detail.hpp"
#include "fields/spectrum_detail.hpp"
#include "prescribed_current.hpp"

namespace feldspar::fields::detail {

using testing::add_wire;

namespace {

constexpr double kK0 = 0.3;

/// A bent structure with level, upright and slanted parts; 1 A leaves it at one end.
moment::Currents mixed(double radius) {
  moment::Currents c;
  const auto current = [](double s) { return Complex(1.0 - 0.08 * s * s, 0.06 * s + 0.001 * s * s * s); };
  add_wire(c, {0, 0, 0.1}, {0, 0, 5}, 4, current, radius);
  add_wire(c, {0, 0, 0.1}, {4, 3, 0.1}, 4, current, radius);
  add_wire(c, {4, 3, 0.1}, {7, -1, 1}, 3, current, 2.0 * radius);
  add_wire(c, {0, 0, 0.1}, {-1, 2, 0.1}, 2, current);
  return c;
}

/// Sums over the elements one by one.
Spectrum one_by_one(const moment::Currents& currents, double kx, double ky, Complex g) {
  Spectrum sum;
  for (const Element& e : prepare(currents)) {
    const SpectrumPair v = spectrum_pair(e, kx, ky, g, kK0);
    sum.x += v.current * e.tangent.x();
    sum.y += v.current * e.tangent.y();
    sum.z += v.current * e.tangent.z();
    sum.slope += v.slope;
    sum.lift += v.lift;
    sum.arm_x += v.arm * e.tangent.x();
    sum.arm_y += v.arm * e.tangent.y();
    sum.arm_z += v.arm * e.tangent.z();
  }
  for (const EndCharge& p : end_charges(currents)) {
    const Complex charge = p.out * std::exp(Complex(0.0, kx * p.at.x() + ky * p.at.y()) - g * p.at.z());
    sum.slope -= charge;
    sum.lift -= p.at.z() * charge;
  }
  return sum;
}

}  // namespace

TEST_CASE("spectrum: the transform of dI/ds is -j k times that of I t plus the ends (integration by parts)") {
  const moment::Currents currents = mixed(0.0);  // a tube's ends are rings, not points
  for (const double lambda : {0.1, 0.29, 0.7, 4.0, 30.0}) {
    const Complex g = std::sqrt(Complex(lambda * lambda - kK0 * kK0));
    const double kx = 0.6 * lambda;
    const double ky = -0.8 * lambda;
    const Spectrum s = one_by_one(currents, kx, ky, g);
    const Complex k_dot_n = kx * s.x + ky * s.y + Complex(0.0, 1.0) * g * s.z;
    CAPTURE(lambda);
    // rounding: the two sides are sums of terms of lambda |N| and of the ends' 1 A
    CHECK(std::abs(k_dot_n - Complex(0.0, 1.0) * s.slope) < 1e-12 * (1.0 + lambda * 10.0));
  }
}

// Derived: -d/dg of the transform of I with exp(-g z) is that of z I.
TEST_CASE("spectrum: the transform of z I is the slope over g of that of I") {
  const double step = 1e-5;
  for (const Element& e : prepare(mixed(0.0))) {
    for (const Complex g : {Complex(0.3, 0.0), Complex(0.2, 1.1), Complex(4.0, -3.0)}) {
      const Complex slope =
          (spectrum(e, 0.5, -0.2, g + step, kK0) - spectrum(e, 0.5, -0.2, g - step, kK0)) / (2.0 * step);
      // third derivative and rounding of the difference
      CHECK(std::abs(spectrum_pair(e, 0.5, -0.2, g, kK0).arm + slope) < 1e-8 * e.length);
    }
  }
}

TEST_CASE("sources: tables and runs agree with the elements one by one") {
  const moment::Currents currents = mixed(1e-3);
  const Sources sources(currents, end_charges(currents), kK0, 40.0);
  const auto alive = sources.up_to(1e300);
  CHECK(sources.elements(alive).size() == currents.size());
  double largest = 0.0;
  for (const double lambda : {1e-3, 0.1, 0.29, 0.7, 4.0, 39.9}) {
    const Complex g = std::sqrt(Complex(lambda * lambda - kK0 * kK0));
    const Sources::Ring ring(sources, alive, lambda, g);
    for (double azimuth = 0.0; azimuth < 6.3; azimuth += 0.37) {
      const double c = std::cos(azimuth);
      const double s = std::sin(azimuth);
      const Spectrum found = ring.at(c, s);
      const Spectrum wanted = one_by_one(currents, lambda * c, lambda * s, g);
      largest = std::max({largest, std::abs(found.x - wanted.x), std::abs(found.y - wanted.y),
                          std::abs(found.z - wanted.z), std::abs(found.slope - wanted.slope),
                          std::abs(found.lift - wanted.lift), std::abs(found.arm_x - wanted.arm_x),
                          std::abs(found.arm_y - wanted.arm_y), std::abs(found.arm_z - wanted.arm_z)});
    }
  }
  CAPTURE(largest);
  CHECK(largest <
        1e-7 * 5.0);  // the table's stated error times the integral of |I| over the longest level run, 5 A m
}

TEST_CASE("end_charges: only where currents do not add up to zero") {
  moment::Currents closed;
  add_wire(closed, {0, 0, 1}, {1, 0, 1}, 2, [](double s) { return std::sin(core::kPi * s); });
  CHECK(end_charges(closed).empty());
  const auto ends = end_charges(mixed(1e-3));
  REQUIRE(ends.size() ==
          5);  // the hub, where all currents leave, the bend, where they differ, and three free ends
}

TEST_CASE("end_charges: a thin wire's joints within a thick one's tube are no ends") {
  moment::Currents c;
  add_wire(
      c, {0, 0, 0}, {0, 0, 0.08}, 8, [](double s) { return 1.0 - s / 0.08; }, 1e-3);
  add_wire(
      c, {0, 0, -0.3}, {0, 0, 0}, 10, [](double s) { return s / 0.3; }, 0.05);
  CHECK(end_charges(c).empty());
  // ends that meet within the tube, not at one point, still do
  moment::Currents offset;
  add_wire(
      offset, {0, 0.04, 0}, {0, 0.04, 1}, 4, [](double s) { return 1.0 - s; }, 1e-3);
  add_wire(
      offset, {0, 0, -1}, {0, 0, 0}, 4, [](double s) { return s; }, 0.05);
  CHECK(end_charges(offset).empty());
}

TEST_CASE("rotation_order: equal copies round the z axis and nothing else") {
  const auto star = [](int count, double last_scale) {
    moment::Currents c;
    add_wire(c, {0, 0, 1}, {0, 0, 4}, 2, [](double) { return 1.0; });
    for (int i = 0; i < count; ++i) {
      const double a = 2.0 * core::kPi * i / count + 0.3;
      const double scale = i + 1 == count ? last_scale : 1.0;
      add_wire(c, {0, 0, 1}, {3 * std::cos(a), 3 * std::sin(a), 0.5}, 3,
               [&](double s) { return scale * (3.0 - s); });
    }
    return c;
  };
  CHECK(rotation_order(star(4, 1.0)) == 4);
  CHECK(rotation_order(star(120, 1.0)) == 120);
  CHECK(rotation_order(star(3, 1.001)) == 1);
  moment::Currents pair = star(2, 1.0);
  CHECK(rotation_order(pair) == 2);
  pair.front().start.x() += 0.01;
  CHECK(rotation_order(pair) == 1);
}

TEST_CASE("prepare: elements that cannot radiate are refused") {
  moment::ElementCurrent e;
  e.start = {0, 0, 0};
  e.end = {0, 0, 1};
  CHECK_THROWS_AS(static_cast<void>(prepare({e})), core::Error);
  e.coefficients = Eigen::VectorXcd::Ones(2);
  e.end = e.start;
  CHECK_THROWS_AS(static_cast<void>(prepare({e})), core::Error);
}

}  // namespace feldspar::fields::detail
