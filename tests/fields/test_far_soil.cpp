#include <doctest/doctest.h>

#include <cmath>

#include "../support/close.hpp"
#include "core/error.hpp"
#include "fields/far_field.hpp"
#include "fields/gain.hpp"
#include "fields/power.hpp"
#include "prescribed_current.hpp"

namespace feldspar::fields {

namespace {

constexpr double kPi = core::kPi;
constexpr core::Frequency kF{14.2e6};
const double kK = core::wavenumber(kF);
constexpr core::Angle kEast{0.5 * kPi};  // of +x
constexpr double kHeight = 10.0;         // m, middle of the dipole

Direction direction(double elevation_deg, double azimuth_deg) {
  return {core::Angle{elevation_deg * kPi / 180.0}, core::Angle{azimuth_deg * kPi / 180.0}};
}

media::Ground soil(double permittivity, double conductivity) {
  return {media::GroundKind::real, permittivity, conductivity, media::GroundMethod::exact, {}, {}};
}
media::Ground near_soil() {
  return soil(13.0, 5e-3);
}

media::FarSoil sea(double begins) {
  media::FarSoil far;
  far.ground = soil(81.0, 5.0);
  far.begins = begins;
  return far;
}
media::FarSoil sea_between(double begins, double from_deg, double to_deg) {
  media::FarSoil far = sea(begins);
  far.all_round = false;
  far.from_bearing = from_deg * kPi / 180.0;
  far.to_bearing = to_deg * kPi / 180.0;
  return far;
}

moment::Currents upright() {
  return testing::sinusoidal_dipole({0, 0, kHeight}, {0, 0, 1}, 9.0, kK);
}

bool same(const FarField& a, const FarField& b) {
  return std::abs(a.theta - b.theta) <= 1e-14 * std::abs(b.theta) &&
         std::abs(a.phi - b.phi) <= 1e-14 * (1.0 + std::abs(b.phi));
}

}  // namespace

TEST_CASE(
    "far soil: low rays are reflected by it, steep ones by the near soil; the border is where the ray "
    "lands") {
  // A symmetric current: its mean height is the dipole's middle, so the border lies at atan(10 m / 50 m)
  // = 11.31 degrees.
  const Pattern both(upright(), near_soil(), kF, sea(50.0), kEast);
  const Pattern over_near(upright(), near_soil(), kF);
  const Pattern over_sea(upright(), sea(0.0).ground, kF);
  const auto region = both.far_region();
  REQUIRE(region.has_value());
  CHECK(region->below.si == doctest::Approx(std::atan(0.2)).epsilon(1e-12));
  CHECK_FALSE(over_near.far_region().has_value());
  for (const double azimuth : {0.0, 77.0, 200.0}) {
    for (const double low : {1.0, 5.0, 11.3})
      CHECK(same(both.at(direction(low, azimuth)), over_sea.at(direction(low, azimuth))));
    for (const double steep : {11.4, 30.0, 90.0})
      CHECK(same(both.at(direction(steep, azimuth)), over_near.at(direction(steep, azimuth))));
  }
}

TEST_CASE("far soil: bearings are true and clockwise, azimuths count the other way from +x") {
  // +x points east: bearing 90 is azimuth 0, bearing 0 (north) azimuth 90, bearing 180 azimuth -90.
  const Pattern over_near(upright(), near_soil(), kF);
  const Pattern over_sea(upright(), sea(0.0).ground, kF);
  struct Row {
    double from, to, azimuth;
    bool sea;
  };
  constexpr Row kRows[] = {{45, 135, 0, true},    {45, 135, 90, false},  {45, 135, 44, true},
                           {45, 135, 46, false},  {45, 135, -44, true},  {45, 135, -46, false},
                           {45, 135, 360, true},  {300, 60, 90, true},   {300, 60, 31, true},
                           {300, 60, 29, false},  {300, 60, 149, true},  {300, 60, 151, false},
                           {180, 270, -91, true}, {180, 270, -89, false}};
  for (const Row& row : kRows) {
    CAPTURE(row.from);
    CAPTURE(row.azimuth);
    const Pattern both(upright(), near_soil(), kF, sea_between(50.0, row.from, row.to), kEast);
    const Direction d = direction(5.0, row.azimuth);
    CHECK(same(both.at(d), (row.sea ? over_sea : over_near).at(d)));
  }
}

TEST_CASE("far soil: the same soil far away changes nothing, one from the foot on is everywhere") {
  media::FarSoil like = sea(30.0);
  like.ground = near_soil();
  const Pattern plain(upright(), near_soil(), kF);
  CHECK(testing::relative_error(sky_power(Pattern(upright(), near_soil(), kF, like, kEast)),
                                sky_power(plain)) <= 2e-7);
  const Pattern at_sea(upright(), near_soil(), kF, sea(0.0), kEast);
  CHECK(testing::relative_error(sky_power(at_sea), sky_power(Pattern(upright(), sea(0.0).ground, kF))) <=
        2e-7);
  const Pattern beyond(upright(), near_soil(), kF, sea(1e9), kEast);
  CHECK(testing::relative_error(sky_power(beyond), sky_power(plain)) <= 1e-6);  // all but the horizon
}

TEST_CASE("far soil: power to the sky adds up from its parts") {
  // Each ring of a round pattern is shared between near and far soil as the sector's width says; the border
  // in elevation by brute force, 2e5 midpoints in the sine of the elevation.
  const Pattern over_near(upright(), near_soil(), kF);
  const Pattern over_sea(upright(), sea(0.0).ground, kF);
  const double below = std::sin(std::atan(0.2));
  const auto part = [&](const Pattern& pattern, double from, double to) {
    constexpr int kPoints = 100000;
    double sum = 0.0;
    for (int i = 0; i < kPoints; ++i) {
      const double s = from + (to - from) * (i + 0.5) / kPoints;
      sum += intensity(pattern.at({core::Angle{std::asin(s)}, core::Angle{0.3}}));
    }
    return 2.0 * kPi * sum * (to - from) / kPoints;
  };
  const double steep = part(over_near, below, 1.0);
  const double low_near = part(over_near, 0.0, below);
  const double low_sea = part(over_sea, 0.0, below);
  CHECK(low_sea > 1.5 * low_near);
  CHECK(testing::relative_error(sky_power(Pattern(upright(), near_soil(), kF, sea(50.0), kEast)),
                                steep + low_sea) <= 1e-6);
  const double share = 100.0 / 360.0;
  CHECK(testing::relative_error(
            sky_power(Pattern(upright(), near_soil(), kF, sea_between(50.0, 300.0, 40.0), kEast)),
            steep + share * low_sea + (1.0 - share) * low_near) <= 1e-6);
}

TEST_CASE("far soil: a shore on one side gives the pattern a side") {
  const Pattern shore(upright(), near_soil(), kF, sea_between(20.0, 45.0, 135.0), kEast);
  const auto maximum = maximum_gain(shore, core::Power{1.0});
  REQUIRE(maximum.has_value());
  CHECK_FALSE(maximum->round);
  CHECK(std::cos(maximum->direction.azimuth.si) >= std::cos(kPi / 4.0) - 1e-6);  // towards the water
}

TEST_CASE("far soil: goes with real grounds only") {
  media::Ground perfect;
  perfect.kind = media::GroundKind::perfect;
  CHECK_THROWS_AS((void)Pattern(upright(), perfect, kF, sea(10.0), kEast), core::Error);
  media::FarSoil far = sea(10.0);
  far.ground = perfect;
  CHECK_THROWS_AS((void)Pattern(upright(), near_soil(), kF, far, kEast), core::Error);
}

}  // namespace feldspar::fields
