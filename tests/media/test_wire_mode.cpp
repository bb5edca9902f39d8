#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <map>
#include <string>

#include "../support/close.hpp"
#include "../support/table.hpp"
#include "core/error.hpp"
#include "math/bessel.hpp"
#include "media/ground.hpp"
#include "media/wire_impedance.hpp"
#include "media/wire_mode.hpp"

namespace feldspar::media {

namespace {

using Complex = std::complex<double>;
constexpr Complex kJ{0.0, 1.0};

Complex permittivity(double relative, double conductivity, core::Frequency f) {
  return complex_permittivity({GroundKind::real, relative, conductivity, GroundMethod::exact, {}}, f);
}

LongWire bare(double radius) {
  return {radius, 0.0, 1.0, {}};
}

LongWire copper(double radius, core::Frequency f) {
  return {radius, 0.0, 1.0, internal_impedance(core::Length{radius}, 58e6, 1.0, f)};
}

Complex slowness(const LongWire& wire, double height, Complex n2, core::Frequency f) {
  return wire_mode(wire, core::Length{height}, n2, f).slowness;
}

Complex k0_of(core::Frequency f) {
  return core::angular(f) / core::kSpeedOfLight;
}

}  // namespace

TEST_CASE("wire_mode: wires above soil agree with the published table") {
  // Source: data/published/wire_near_soil.csv (derived from Wait's mode equation in the S1, S2 form; nine
  // digits).
  const std::map<std::string, std::pair<double, double>> soils = {{"very_poor", {5.0, 1e-3}},
                                                                  {"poor", {13.0, 2e-3}},
                                                                  {"average", {13.0, 5e-3}},
                                                                  {"very_good", {20.0, 30.3e-3}}};
  constexpr double kTolerance = 2e-8;  // digits printed, and the table's own integration
  int compared = 0;
  for (const testing::Row& row : testing::Table("published/wire_near_soil.csv", 175)) {
    if (row.text("case") == "interface limit") continue;
    CAPTURE(row.text("soil"));
    CAPTURE(row.text("case"));
    CAPTURE(row.number("frequency_hz"));
    CAPTURE(row.number("axis_height_m"));
    const core::Frequency f{row.number("frequency_hz")};
    const auto [relative, conductivity] = soils.at(row.text("soil"));
    const double radius = row.number("wire_radius_m");
    const LongWire wire{radius, row.number("outer_radius_m") - radius, row.number("coat_permittivity"), {}};
    const WireMode mode = wire_mode(wire, core::Length{row.number("axis_height_m")},
                                    permittivity(relative, conductivity, f), f);
    CHECK(testing::relative_error(mode.slowness.real(), row.number("slowness_re_beta_over_k0")) <=
          kTolerance);
    CHECK(testing::relative_error(mode.velocity_factor, row.number("velocity_factor")) <= kTolerance);
    CHECK(testing::relative_error(mode.attenuation_db, row.number("attenuation_db_per_m")) <= kTolerance);
    ++compared;
  }
  CHECK(compared == 160);
}

TEST_CASE("wire_mode: a bare wire that vanishes in the surface") {
  // sqrt((1 + n2) / 2), Coleman, Phil. Mag. 41 (1950) 276; slowness printed in
  // data/published/wire_near_soil.csv. The wire comes near it only as x = 1 / ln(1/radius): radii of 1e-70,
  // 1e-140 and 1e-280 m let x and x^2 be extrapolated; (|n2| x)^3 stays.
  for (const testing::Row& row : testing::Table("published/wire_near_soil.csv", 175)) {
    if (row.text("case") != "interface limit" || row.text("soil") != "average") continue;
    const core::Frequency f{row.number("frequency_hz")};
    const Complex n2 = permittivity(13.0, 5e-3, f);
    const Complex limit = std::sqrt(0.5 * (1.0 + n2));
    CHECK(testing::relative_error(limit.real(), row.number("slowness_re_beta_over_k0")) <= 1e-8);
    for (const double side : {1.0, -1.0}) {
      CAPTURE(side);
      const Complex one = slowness(bare(1e-70), side * 1e-70, n2, f);
      const Complex two = slowness(bare(1e-140), side * 1e-140, n2, f);
      const Complex four = slowness(bare(1e-280), side * 1e-280, n2, f);
      CHECK(std::abs(four - limit) < 0.6 * std::abs(two - limit));
      const Complex extrapolated = (4.0 * (2.0 * four - two) - (2.0 * two - one)) / 3.0;
      const double cube = std::pow(std::abs(n2) / (280.0 * std::log(10.0)), 3);
      CHECK(std::abs(extrapolated / limit - 1.0) <= cube);
    }
  }
}

TEST_CASE("wire_mode: over perfect ground, and far above soil, current travels as light") {
  const core::Frequency f{7.1e6};
  // Exact for any height: the field of wire and image is a plane TEM wave. What is left is the ground's
  // surface impedance, 1 / (2 k0 |n| h ln(2h/a)) of beta (line theory): 2e-7 for |n| = 1e8.
  CHECK(std::abs(slowness(bare(1e-3), 0.05, {1.0, -1e16}, f) - 1.0) <= 3e-7);
  double last = 1.0;
  for (const double height : {0.05, 0.2, 1.0, 4.0, 16.0}) {
    const double away = std::abs(slowness(bare(1e-3), height, permittivity(13.0, 5e-3, f), f) - 1.0);
    CHECK(away < last);
    last = away;
  }
  CHECK(last < 1e-2);
}

TEST_CASE("wire_mode: a bare wire deep in the soil has the soil's own wavenumber") {
  // beta^2 = k1^2 for a perfect conductor in an unbounded medium (the only solution of the mode equation);
  // what the surface adds falls with exp(-2 d / skin depth).
  struct Row {
    double relative, conductivity, mhz, depth, tolerance;
  };
  constexpr Row kRows[] = {{13.0, 5e-3, 7.1, 12.0, 1e-3},
                           {30.0, 30e-3, 14.2, 4.0, 2e-3},
                           {13.0, 5e-3, 1.85, 20.0, 2e-3},
                           {81.0, 5.0, 7.1, 1.0, 2e-3}};
  for (const Row& row : kRows) {
    CAPTURE(row.relative);
    CAPTURE(row.mhz);
    const core::Frequency f{row.mhz * 1e6};
    const Complex n2 = permittivity(row.relative, row.conductivity, f);
    CHECK(std::abs(slowness(copper(1e-3, f), -row.depth, n2, f) / std::sqrt(n2) - 1.0) <= row.tolerance);
  }
}

TEST_CASE("wire_mode: a bare buried wire is never far from the soil's wavenumber") {
  // Within 3 % from 1 m down in average soil at 7.1 MHz; nearer to the surface the air hurries it.
  const core::Frequency f{7.1e6};
  const Complex n2 = permittivity(13.0, 5e-3, f);
  CHECK(std::abs(slowness(copper(0.8e-3, f), -1.0, n2, f) / std::sqrt(n2) - 1.0) <= 0.03);
  CHECK(slowness(copper(0.8e-3, f), -0.01, n2, f).real() < 0.9 * std::sqrt(n2).real());
}

TEST_CASE("wire_mode: an insulated wire deep in the medium agrees with the insulated-wire formula") {
  // King and Smith, Antennas in Matter (1981), ch. 8 (from memory): for |k1| large against the coat's k2,
  //   k_L = k2 sqrt((ln(b/a) + F) / (ln(b/a) + (k2/k1)^2 F)),  F = H_0^(2)(k1 b) / (k1 b H_1^(2)(k1 b)).
  // Its own error is of the order (k2/k1)^2 F / ln(b/a).
  struct Row {
    double relative, conductivity, mhz, radius, thickness, coat, depth;
  };
  constexpr Row kRows[] = {{81.0, 5.0, 1.85, 0.8e-3, 0.5e-3, 2.3, 2.0},
                           {81.0, 5.0, 28.4, 0.8e-3, 0.5e-3, 2.3, 0.5},
                           {30.0, 30e-3, 1.85, 0.8e-3, 2e-3, 2.3, 20.0},
                           {20.0, 30e-3, 3.6, 1e-3, 4e-3, 1.0, 20.0},
                           {81.0, 5.0, 0.1, 0.8e-3, 1e-3, 3.0, 30.0}};
  for (const Row& row : kRows) {
    CAPTURE(row.relative);
    CAPTURE(row.mhz);
    const core::Frequency f{row.mhz * 1e6};
    const Complex n2 = permittivity(row.relative, row.conductivity, f);
    const double b = row.radius + row.thickness;
    const Complex z = std::sqrt(n2) * k0_of(f) * b;
    const math::BesselPair h = math::hankel2_scaled(z);
    const Complex field = h.order0 / (z * h.order1);
    const double coat = std::log(b / row.radius);
    const Complex closed = std::sqrt(row.coat * (coat + field) / (coat + row.coat / n2 * field));
    const Complex found = slowness({row.radius, row.thickness, row.coat, {}}, -row.depth, n2, f);
    CHECK(std::abs(found / closed - 1.0) <= 0.03);
  }
}

TEST_CASE("wire_mode: an insulated wire close below the surface agrees with the earth-return formulas") {
  // Sunde, Earth Conduction Effects in Transmission Systems (1949), ch. 5 (from memory; both logarithms
  // follow from the Bessel functions at small arguments): series inductance (mu/2 pi) ln(1.85 / (g b)) for a
  // wire close below the surface, leakage resistance 1/(pi sigma) ln(1.12 / (beta sqrt(2 b d))), g =
  // sqrt(beta^2
  // - k1^2). For |beta| << |k1|.
  struct Row {
    double conductivity, hertz, radius, thickness, depth;
  };
  constexpr Row kRows[] = {
      {5e-3, 1e3, 1e-3, 1e-3, 0.3}, {5e-3, 1e4, 1e-3, 1e-3, 0.1}, {30e-3, 1e4, 0.8e-3, 2e-3, 0.05}};
  constexpr double kCoat = 2.3;
  for (const Row& row : kRows) {
    CAPTURE(row.conductivity);
    CAPTURE(row.hertz);
    const core::Frequency f{row.hertz};
    const Complex n2 = permittivity(13.0, row.conductivity, f);
    const double b = row.radius + row.thickness;
    const double coat = std::log(b / row.radius);
    Complex s2 = 60.0;
    for (int i = 0; i < 50; ++i) {
      const Complex g = k0_of(f) * std::sqrt(s2 - n2);
      const Complex series = coat + std::log(1.8514 / (g * b));
      const Complex leakage =
          coat / kCoat + 2.0 / n2 * std::log(1.1229 / (k0_of(f) * std::sqrt(s2 * 2.0 * b * row.depth)));
      s2 = series / leakage;
    }
    const Complex found = slowness({row.radius, row.thickness, kCoat, {}}, -row.depth, n2, f);
    CHECK(std::abs(found / std::sqrt(s2) - 1.0) <= 0.03);
  }
}

TEST_CASE("wire_mode: a bare wire close below the surface agrees with its low-frequency limit") {
  // Derived from the mode equation for k0 = 0 and |k1| d << 1, both integrals in closed form:
  //   beta^2 / k1^2 = [ln(1.1229 / (g a)) + 1/2 - (beta/k1)^2 ln(beta/g)] / [2 ln(1.1229 / (beta sqrt(2 a
  //   d)))].
  // Left out: terms of the order |k1| d.
  struct Row {
    double conductivity, hertz, radius, depth;
  };
  constexpr Row kRows[] = {{5e-3, 1e3, 1e-3, 0.3}, {5e-3, 1e4, 1e-3, 0.03}, {30e-3, 1e4, 0.8e-3, 0.01}};
  for (const Row& row : kRows) {
    CAPTURE(row.conductivity);
    CAPTURE(row.hertz);
    const core::Frequency f{row.hertz};
    const Complex n2 = permittivity(13.0, row.conductivity, f);
    const double k1 = std::abs(std::sqrt(n2) * k0_of(f));
    Complex ratio = 0.5;  // (beta / k1)^2
    for (int i = 0; i < 50; ++i) {
      const Complex beta = k0_of(f) * std::sqrt(n2 * ratio);
      const Complex g = k0_of(f) * std::sqrt(n2 * (ratio - 1.0));
      const Complex series = std::log(1.1229 / (g * row.radius)) + 0.5 - ratio * std::log(beta / g);
      ratio = 0.5 * series / std::log(1.1229 / (beta * std::sqrt(2.0 * row.radius * row.depth)));
    }
    const Complex found = slowness(bare(row.radius), -row.depth, n2, f);
    CHECK(std::abs(found / std::sqrt(n2 * ratio) - 1.0) <= k1 * row.depth);
  }
}

TEST_CASE("wire_mode: a coat without thickness or of air is none") {
  const core::Frequency f{14.1e6};
  const Complex n2 = permittivity(13.0, 5e-3, f);
  CHECK(slowness({1e-3, 0.0, 3.0, {}}, 0.02, n2, f) == slowness(bare(1e-3), 0.02, n2, f));
  // Above soil the coat of air only moves the radius at which the field is taken: (radius / height)^2.
  CHECK(std::abs(slowness({1e-3, 1e-3, 1.0, {}}, 0.05, n2, f) / slowness(bare(1e-3), 0.05, n2, f) - 1.0) <=
        1e-3);
}

TEST_CASE("wire_mode: scaling (lengths x k, frequency / k, conductivity / k)") {
  constexpr double k = 3.0;
  const core::Frequency f{7.1e6};
  for (const double height : {0.02, 0.5, -0.02, -0.5}) {
    const Complex one = slowness({1e-3, 5e-4, 2.3, {}}, height, permittivity(13.0, 5e-3, f), f);
    const core::Frequency slow{f.si / k};
    const Complex other =
        slowness({k * 1e-3, k * 5e-4, 2.3, {}}, k * height, permittivity(13.0, 5e-3 / k, slow), slow);
    CHECK(std::abs(other / one - 1.0) <= 1e-9);
  }
}

TEST_CASE("wire_mode: changes steadily with height on either side, from dry sand to sea water") {
  struct Soil {
    double relative, conductivity;
  };
  for (const Soil& soil : {Soil{4.0, 1e-3}, Soil{13.0, 2e-3}, Soil{13.0, 5e-3}, Soil{20.0, 30e-3},
                           Soil{30.0, 30e-3}, Soil{80.0, 3e-3}, Soil{81.0, 5.0}})
    for (const double mhz : {0.1, 1.85, 7.1, 14.1, 28.4, 52.0})
      for (const double side : {1.0, -1.0}) {
        CAPTURE(soil.relative);
        CAPTURE(soil.conductivity);
        CAPTURE(mhz);
        CAPTURE(side);
        const core::Frequency f{mhz * 1e6};
        const Complex n2 = permittivity(soil.relative, soil.conductivity, f);
        Complex last;
        for (double height = 0.002; height < std::min(1.0, 0.06 * core::wavelength(f)); height *= 1.3) {
          CAPTURE(height);
          const WireMode mode = wire_mode(copper(0.8e-3, f), core::Length{side * height}, n2, f);
          CHECK(mode.slowness.real() > 0.95);
          CHECK(mode.attenuation_db >= 0.0);
          if (last != 0.0) CHECK(std::abs(mode.slowness / last - 1.0) <= 0.2);
          last = mode.slowness;
        }
      }
}

TEST_CASE("wire_mode: what is refused") {
  const core::Frequency f{7.1e6};
  const Complex n2 = permittivity(13.0, 5e-3, f);
  CHECK_THROWS_WITH_AS((void)wire_mode(bare(1e-3), core::Length{5e-4}, n2, f),
                       "the wire's axis is 0.0005 m from the surface, nearer than its outer radius 0.001 m",
                       core::Error);
  CHECK_THROWS_AS((void)wire_mode({1e-3, 1e-3, 2.0, {}}, core::Length{-1.5e-3}, n2, f), core::Error);
  CHECK_THROWS_AS((void)wire_mode(bare(0.0), core::Length{0.1}, n2, f), core::Error);
  CHECK_THROWS_AS((void)wire_mode(bare(1e-3), core::Length{0.1}, 1.0, f), core::Error);
  CHECK_THROWS_AS((void)wire_mode(bare(1e-3), core::Length{0.1}, {13.0, 1.0}, f), core::Error);
  CHECK_THROWS_AS((void)wire_mode(bare(1e-3), core::Length{0.1}, n2, core::Frequency{0.0}), core::Error);
  CHECK_THROWS_AS((void)wire_mode({1e-3, -1e-3, 1.0, {}}, core::Length{0.1}, n2, f), core::Error);
  CHECK_THROWS_AS((void)wire_mode({1e-3, 1e-3, 0.5, {}}, core::Length{0.1}, n2, f), core::Error);
}

}  // namespace feldspar::media
