#include "fields/far_field.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "../support/close.hpp"
#include "core/error.hpp"
#include "fields/power.hpp"
#include "prescribed_current.hpp"

namespace feldspar::fields {

using Complex = std::complex<double>;
using testing::relative_error;
using testing::Vec3;

namespace {

constexpr double kPi = core::kPi;
constexpr double kEta = core::kVacuumImpedance;
constexpr core::Frequency kF{14.2e6};
const double kK = core::wavenumber(kF);

Direction direction(double elevation_deg, double azimuth_deg) {
  return {core::Angle{elevation_deg * kPi / 180.0}, core::Angle{azimuth_deg * kPi / 180.0}};
}

media::Ground soil(double permittivity, double conductivity) {
  media::Ground g;
  g.kind = media::GroundKind::real;
  g.relative_permittivity = permittivity;
  g.conductivity = conductivity;
  return g;
}

}  // namespace

// Source: E_theta = j eta k Il sin(theta) exp(-jkr) / 4 pi r of a z-directed element (Balanis, Antenna Theory
// 3e, eq. 4-26a); sin(theta) is the cosine of the elevation.
TEST_CASE("far field: short vertical and level dipole in free space, amplitude, phase and sign") {
  const Pattern vertical(testing::short_dipole({0, 0, 0}, {0, 0, 1}, 1e-4), {}, kF);
  const Pattern level(testing::short_dipole({0, 0, 0}, {1, 0, 0}, 1e-4), {}, kF);
  const Complex unit(0.0, kEta * kK / (4.0 * kPi));
  for (const double elevation : {-90.0, -35.0, 0.0, 12.0, 60.0, 90.0}) {
    const double e = elevation * kPi / 180.0;
    const FarField v = vertical.at(direction(elevation, 33.0));
    CHECK(std::abs(v.theta - unit * std::cos(e)) < 1e-8 * std::abs(unit));  // (k length)^2 / 24
    CHECK(std::abs(v.phi) < 1e-14 * std::abs(unit));
    // x-directed: the field is -(x - (x.r) r): theta component -sin(el) cos(az), phi component +sin(az).
    const FarField h = level.at(direction(elevation, 33.0));
    const double a = 33.0 * kPi / 180.0;
    CHECK(std::abs(h.theta + unit * std::sin(e) * std::cos(a)) < 1e-8 * std::abs(unit));
    CHECK(std::abs(h.phi - unit * std::sin(a)) < 1e-8 * std::abs(unit));
  }
}

// Source: Fresnel reflection of the dipole's own wave, written out for one element (e.g. Balanis, Antenna
// Theory 3e, sec. 4.8): vertical  cos(el)(exp(jkh sin el) + R_v exp(-jkh sin el)), level along x        phi:
// sin(az)(exp + R_h exp), theta: sin(el) cos(az)(exp - R_v exp).
TEST_CASE("far field: short dipoles over soil against the hand-written formula") {
  const Complex unit(0.0, kEta * kK / (4.0 * kPi));
  for (const auto& ground : {soil(13, 0.005), soil(3, 1e-4), soil(81, 5), soil(4, 0)}) {
    const Complex n2 = media::complex_permittivity(ground, kF);
    for (const double height : {0.02, 1.0, 8.0, 40.0}) {
      const Pattern vertical(testing::short_dipole({0, 0, height}, {0, 0, 1}, 1e-4), ground, kF);
      const Pattern level(testing::short_dipole({0, 0, height}, {1, 0, 0}, 1e-4), ground, kF);
      const Pattern slanted(testing::short_dipole({0, 0, height}, {0.6, 0, 0.8}, 1e-4), ground, kF);
      for (const double elevation : {0.0, 1.0, 7.0, 30.0, 88.0, 90.0}) {
        const double s = std::sin(elevation * kPi / 180.0);
        const double c = std::cos(elevation * kPi / 180.0);
        const double a = 33.0 * kPi / 180.0;
        const Complex root = std::sqrt(n2 - c * c);
        const Complex rv = (n2 * s - root) / (n2 * s + root);
        const Complex rh = (s - root) / (s + root);
        const Complex up = std::exp(Complex(0.0, kK * height * s));
        const Complex down = std::conj(up);
        const Complex v_theta = unit * c * (up + rv * down);
        const Complex h_theta = -unit * s * std::cos(a) * (up - rv * down);
        const Complex h_phi = unit * std::sin(a) * (up + rh * down);
        CAPTURE(height);
        CAPTURE(elevation);
        const double tolerance = 2e-8 * std::abs(unit);  // (k length)^2 / 24, twice for two waves
        CHECK(std::abs(vertical.at(direction(elevation, 33)).theta - v_theta) < tolerance);
        CHECK(std::abs(level.at(direction(elevation, 33)).theta - h_theta) < tolerance);
        CHECK(std::abs(level.at(direction(elevation, 33)).phi - h_phi) < tolerance);
        CHECK(std::abs(slanted.at(direction(elevation, 33)).theta - 0.6 * h_theta - 0.8 * v_theta) <
              tolerance);
        CHECK(std::abs(slanted.at(direction(elevation, 33)).phi - 0.6 * h_phi) < tolerance);
      }
      CHECK(intensity(vertical.at(direction(-5, 0))) == 0.0);
    }
  }
}

// Source: image theory (derived): over a perfect ground the field is that of the currents and their images in
// free space, level parts reversed and upright parts kept.
TEST_CASE("far field: perfect ground equals free space with images, for a bent wire") {
  moment::Currents above;
  const auto current = [](double s) { return Complex(std::sin(0.2 * s), 0.4 * std::cos(0.1 * s)); };
  testing::add_wire(above, {0, 0, 0}, {1, 2, 7}, 3, current, 1e-3);
  testing::add_wire(above, {1, 2, 7}, {9, -3, 4}, 3, current, 1e-3);
  moment::Currents both = above;
  for (const moment::ElementCurrent& e : above) {
    moment::ElementCurrent image = e;
    image.start.z() *= -1.0;
    image.end.z() *= -1.0;
    image.coefficients *=
        -1.0;  // the mirrored tangent keeps the level part: turn it, then the upright part is kept
    both.push_back(image);
  }
  media::Ground perfect;
  perfect.kind = media::GroundKind::perfect;
  const Pattern over(above, perfect, kF);
  const Pattern free(both, {}, kF);
  for (const double elevation : {0.0, 5.0, 45.0, 90.0}) {
    for (const double azimuth : {0.0, 100.0, 290.0}) {
      const FarField a = over.at(direction(elevation, azimuth));
      const FarField b = free.at(direction(elevation, azimuth));
      CHECK(std::abs(a.theta - b.theta) < 1e-11);  // rounding; the fields are tens of volts
      CHECK(std::abs(a.phi - b.phi) < 1e-11);
    }
  }
}

TEST_CASE("far field: cutting a wire into more elements changes nothing, nor does the batch call") {
  const auto few = testing::sinusoidal_dipole({0, 0, 6}, {0.6, 0, 0.8}, 9.0, kK, 2);
  const auto many = testing::sinusoidal_dipole({0, 0, 6}, {0.6, 0, 0.8}, 9.0, kK, 9);
  const Pattern a(few, soil(13, 0.005), kF);
  const Pattern b(many, soil(13, 0.005), kF);
  const std::vector<Direction> directions = {direction(3, 10), direction(40, 200), direction(85, 77)};
  const auto batch = a.at(directions);
  for (std::size_t i = 0; i < directions.size(); ++i) {
    CHECK(relative_error(b.at(directions[i]).theta, batch[i].theta) <
          1e-9);  // degree 8 on half of 9 m at 0.3 rad/m
    CHECK(a.at(directions[i]).phi == batch[i].phi);
  }
}

// Source: a current spread evenly round a tube radiates J0(k a sin chi) of what it does on the axis
// (derived).
TEST_CASE("far field: a thick tube's factor") {
  moment::Currents thin = testing::short_dipole({0, 0, 0}, {0, 0, 1}, 1e-4);
  moment::Currents thick = thin;
  thick.front().radius = 0.5;
  const Direction d = direction(30, 0);
  const double factor = std::cyl_bessel_j(0.0, kK * 0.5 * std::cos(30 * kPi / 180.0));
  CHECK(relative_error(Pattern(thick, {}, kF).at(d).theta, factor * Pattern(thin, {}, kF).at(d).theta) <
        1e-12);
}

// Source: reciprocity with the refracted plane wave, written with Snell's angle t in the soil, cos t = w / n:
// amplitude 2 sin psi / (sin psi + n cos t) across the plane of incidence and 2 n sin psi / (n^2 sin psi + n
// cos t) in it, its direction turned to the angle t (e.g. Balanis, Advanced Engineering Electromagnetics 2e,
// secs 5.3.1, 5.3.2); on the way down exp(-j k n cos t depth).
TEST_CASE("far field: short dipoles below the surface against the hand-written formula") {
  const Complex unit(0.0, kEta * kK / (4.0 * kPi));
  for (const auto& ground : {soil(13, 0.005), soil(3, 1e-4), soil(81, 5), soil(4, 0)}) {
    const Complex n = std::sqrt(media::complex_permittivity(ground, kF));
    for (const double depth : {0.001, 0.05, 1.0}) {
      const double length = 1e-4 * std::min(depth, 0.1);
      const Pattern vertical(testing::short_dipole({0, 0, -depth}, {0, 0, 1}, length), ground, kF);
      const Pattern level(testing::short_dipole({0, 0, -depth}, {1, 0, 0}, length), ground, kF);
      const Pattern slanted(testing::short_dipole({0, 0, -depth}, {0.6, 0, 0.8}, length), ground, kF);
      for (const double elevation : {0.0, 1.0, 7.0, 30.0, 88.0, 90.0}) {
        const double s = std::sin(elevation * kPi / 180.0);
        const double c = std::cos(elevation * kPi / 180.0);
        const double a = 33.0 * kPi / 180.0;
        const Complex sin_t = c / n;
        const Complex cos_t = std::sqrt(1.0 - sin_t * sin_t);
        const Complex fade = unit * std::exp(Complex(0.0, -kK * depth) * n * cos_t);
        const Complex across = 2.0 * s / (s + n * cos_t);
        const Complex in_plane = 2.0 * n * s / (n * n * s + n * cos_t);
        const Complex v_theta = fade * in_plane * sin_t;
        const Complex h_theta = -fade * in_plane * cos_t * std::cos(a);
        const Complex h_phi = fade * across * std::sin(a);
        CAPTURE(depth);
        CAPTURE(elevation);
        const double tolerance = 1e-8 * std::abs(fade);  // (|k1| length)^2 / 24
        CHECK(std::abs(vertical.at(direction(elevation, 33)).theta - v_theta) < tolerance);
        CHECK(std::abs(level.at(direction(elevation, 33)).theta - h_theta) < tolerance);
        CHECK(std::abs(level.at(direction(elevation, 33)).phi - h_phi) < tolerance);
        CHECK(std::abs(slanted.at(direction(elevation, 33)).theta - 0.6 * h_theta - 0.8 * v_theta) <
              tolerance);
      }
      CHECK(intensity(vertical.at(direction(-5, 0))) == 0.0);
    }
  }
}

// Law (reciprocity with the continuity of the tangential electric and the normal displacement field): a level
// current radiates alike just above and just below the surface, an upright one n^2 times less below.
TEST_CASE("far field: a short dipole just above and just below the surface") {
  const double gap = 1e-7;
  for (const auto& ground : {soil(13, 0.005), soil(81, 5), soil(4, 0)}) {
    const Complex n2 = media::complex_permittivity(ground, kF);
    for (const double elevation : {3.0, 40.0, 90.0}) {
      const auto at = [&](const Vec3& axis, double z) {
        return Pattern(testing::short_dipole({2, 1, z}, axis, 1e-8), ground, kF).at(direction(elevation, 70));
      };
      const FarField level_above = at({0.6, 0.8, 0}, gap);
      const FarField level_below = at({0.6, 0.8, 0}, -gap);
      const FarField upright_above = at({0, 0, 1}, gap);
      const FarField upright_below = at({0, 0, 1}, -gap);
      // 2 |k1| gap; of the strongest wave of this elevation
      const double tolerance = 2.0 * std::sqrt(std::abs(n2)) * kK * gap * kEta * kK;
      CHECK(std::abs(level_below.theta - level_above.theta) < tolerance);
      CHECK(std::abs(level_below.phi - level_above.phi) < tolerance);
      CHECK(std::abs(n2 * upright_below.theta - upright_above.theta) < tolerance * std::abs(n2));
    }
  }
}

TEST_CASE("far field: soil like air changes nothing, for a bent wire through the surface") {
  moment::Currents currents;
  const auto current = [](double s) { return Complex(std::sin(0.2 * s), 0.4 * std::cos(0.1 * s)); };
  testing::add_wire(currents, {1, 2, 7}, {0, 0, 0}, 3, current, 1e-3);
  testing::add_wire(currents, {0, 0, 0}, {0, 0, -3}, 2, current, 0.3);
  testing::add_wire(currents, {0, 0, -3}, {9, -3, -4}, 3, current, 1e-3);
  const Pattern free(currents, {}, kF);
  const Pattern air(currents, soil(1, 0), kF);
  const Pattern nearly_air(currents, soil(1.0 + 1e-9, 0), kF);
  for (const double elevation : {0.0, 5.0, 45.0, 90.0}) {
    for (const double azimuth : {0.0, 100.0, 290.0}) {
      const FarField a = free.at(direction(elevation, azimuth));
      const FarField b = air.at(direction(elevation, azimuth));
      CHECK(std::abs(a.theta - b.theta) < 1e-11);  // rounding; the fields are tens of volts
      CHECK(std::abs(a.phi - b.phi) < 1e-11);
      if (elevation == 0.0) continue;  // where any soil extinguishes the wave
      const FarField c = nearly_air.at(direction(elevation, azimuth));
      CHECK(std::abs(a.theta - c.theta) < 1e-5);  // reflection (n^2 - 1) / 4 sin^2 5 deg = 3e-8 of them
      CHECK(std::abs(a.phi - c.phi) < 1e-5);
    }
  }
  CHECK(air.vertical_extent() >= free.vertical_extent());
}

TEST_CASE("far field: cutting a wire below the surface into more elements changes nothing") {
  const Complex k1 = kK * std::sqrt(media::complex_permittivity(soil(13, 0.005), kF));
  const auto cut = [&](int count) {
    moment::Currents c;
    testing::add_wire(
        c, {0, 0, -0.05}, {3, 1, -1}, count, [&](double s) { return std::exp(Complex(0, -1) * k1 * s); },
        4e-3, 12);
    testing::add_wire(
        c, {0, 0, 0}, {0, 0, -2}, count, [&](double s) { return std::exp(Complex(0, -1) * k1 * s); }, 4e-3,
        12);
    return c;
  };
  const Pattern few(cut(3), soil(13, 0.005), kF);
  const Pattern many(cut(7), soil(13, 0.005), kF);
  for (const double elevation : {3.0, 40.0, 85.0}) {
    const FarField a = few.at(direction(elevation, 10));
    const FarField b = many.at(direction(elevation, 10));
    CHECK(relative_error(a.theta, b.theta) < 1e-10);  // degree 12 on a third of 3.3 m at 1.2 rad/m
    CHECK(relative_error(a.phi, b.phi) < 1e-10);
  }
}

TEST_CASE("far field: what cannot be computed is refused") {
  const auto buried = testing::short_dipole({0, 0, -1}, {1, 0, 0}, 0.1);
  const auto through = testing::short_dipole({0, 0, 0.01}, {0, 0, 1}, 0.1);
  media::Ground perfect;
  perfect.kind = media::GroundKind::perfect;
  CHECK_THROWS_AS(Pattern(buried, perfect, kF), core::Error);
  CHECK_THROWS_AS(Pattern(through, soil(13, 0.005), kF), core::Error);
  CHECK_NOTHROW(Pattern(buried, soil(13, 0.005), kF));
  CHECK_NOTHROW(Pattern(buried, {}, kF));
  CHECK_THROWS_AS(Pattern(buried, {}, core::Frequency{0.0}), core::Error);
  const Pattern nothing({}, {}, kF);
  CHECK(intensity(nothing.at(direction(10, 10))) == 0.0);
  CHECK(sky_power(nothing) == 0.0);
}

}  // namespace feldspar::fields
