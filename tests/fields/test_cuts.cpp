#include "fields/cuts.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <functional>

#include "core/constants.hpp"
#include "core/error.hpp"
#include "fields/gain.hpp"
#include "fields/power.hpp"
#include "prescribed_current.hpp"

namespace feldspar::fields {
namespace {

constexpr double kPi = core::kPi;
constexpr double kDegree = kPi / 180.0;
constexpr core::Frequency kF{14.2e6};
constexpr core::Angle kEast{0.5 * kPi};  // +x
const double kK = core::wavenumber(kF);
const double kLambda = core::wavelength(kF);

results::PatternView seen(const moment::Currents& currents, const media::Ground& ground,
                          const results::PatternRequest& request = {}) {
  const Pattern pattern(currents, ground, kF);
  const auto seen = view(pattern, core::Power{sky_power(pattern)}, kEast, request);
  REQUIRE(seen.has_value());
  return *seen;
}

media::Ground perfect() {
  media::Ground ground;
  ground.kind = media::GroundKind::perfect;
  return ground;
}

/// cos((pi/2) cos t) / sin t of a half-wave dipole, squared; t from its axis.
double half_wave(double t) {
  const double s = std::sin(t);
  return std::abs(s) < 1e-12 ? 0.0 : std::pow(std::cos(0.5 * kPi * std::cos(t)) / s, 2);
}

}  // namespace

// Source: exact; sin^2 of a short dipole: half at 45 degrees from the axis.
TEST_CASE("cuts: short dipole along x in free space, +x to the east") {
  const results::PatternView v = seen(testing::short_dipole({0, 0, 3}, {1, 0, 0}, 1e-4), {});
  CHECK(std::abs(v.gain_dbi - 10.0 * std::log10(1.5)) < 1e-5);
  const results::PatternView::Level& level = v.level;
  const double weakest = 1.0 - std::pow(std::cos(level.elevation_deg * kDegree), 2);  // toward the axis
  CHECK(level.round == (-10.0 * std::log10(weakest) < kRoundDb));
  for (std::size_t i = 0; i < level.cut.angle_deg.size(); ++i) {
    // angle to the axis: the axis lies at bearing 90, elevation 0
    const double along = std::cos(level.elevation_deg * kDegree) * std::sin(level.cut.angle_deg[i] * kDegree);
    const double expected = 10.0 * std::log10(1.5 * (1.0 - along * along));
    CAPTURE(level.cut.angle_deg[i]);
    if (expected > -60.0) CHECK(std::abs(level.cut.gains[i].total_dbi - expected) < 1e-4);
  }
  CHECK(level.front_to_back_db < 1e-3);
  CHECK(std::abs(std::fmod(level.null_bearing_deg, 180.0) - 90.0) < 0.2);  // off the wire's ends
  CHECK(v.elevation_cut.angle_deg.front() == -179.0);
  CHECK(v.elevation_cut.angle_deg.back() == 180.0);
}

// Source: exact, over a perfect plane: a short vertical's gain 3 cos^2 e, half at 45 degrees, cut off by the
// horizon; a quarter-wave one's |cos(pi/2 sin e) / cos e|^2.
TEST_CASE("cuts: verticals on perfect ground") {
  SUBCASE("short") {
    const results::PatternView v =
        seen(testing::short_dipole({0, 0, 5e-5}, {0, 0, 1}, 1e-4), perfect(), {0.0, {0.0, 30.0, 60.0}});
    CHECK(std::abs(v.gain_dbi - 10.0 * std::log10(3.0)) < 1e-5);
    CHECK(v.level.round);
    REQUIRE(v.elevation_beam.has_value());
    CHECK(v.elevation_beam->from_deg == 0.0);
    CHECK(std::abs(v.elevation_beam->to_deg - 45.0) < 0.01);
    CHECK_FALSE(v.level.beam.has_value());
    REQUIRE(v.at_elevations.size() == 3);
    for (const results::GainAtElevation& at : v.at_elevations)
      CHECK(std::abs(at.gain_dbi -
                     10.0 * std::log10(3.0 * std::pow(std::cos(at.elevation_deg * kDegree), 2))) < 1e-4);
  }
  SUBCASE("quarter wave") {
    moment::Currents currents;
    testing::add_wire(currents, {0, 0, 0}, {0, 0, 0.25 * kLambda}, 3,
                      [](double s) { return std::sin(kK * (0.25 * kLambda - s)); });
    const results::PatternView v = seen(currents, perfect());
    for (std::size_t i = 0; i < v.elevation_cut.angle_deg.size(); ++i) {
      const double expected =
          10.0 * std::log10(3.281845 * half_wave(0.5 * kPi - v.elevation_cut.angle_deg[i] * kDegree));
      if (expected > -60.0) CHECK(std::abs(v.elevation_cut.gains[i].total_dbi - expected) < 1e-4);
      CHECK(v.elevation_cut.gains[i].horizontal_dbi < -100.0);
      CHECK(v.elevation_cut.gains[i].vertical_dbi == doctest::Approx(v.elevation_cut.gains[i].total_dbi));
    }
  }
}

// Source: exact, over a perfect plane: what the half-wave dipole's own pattern is multiplied with is
// 4 sin^2(k h sin e). Low: the maximum is overhead, and the bearings are looked at 60 degrees up, where along
// the wire (vertical) the own pattern is that of 60 degrees off its end, across it (horizontal) full.
TEST_CASE("cuts: low level dipole over perfect ground") {
  const double height = 0.1 * kLambda;
  const results::PatternView v =
      seen(testing::sinusoidal_dipole({0, 0, height}, {1, 0, 0}, 0.5 * kLambda, kK), perfect());
  CHECK(std::abs(v.elevation_deg - 90.0) < 0.1);
  CHECK(v.level.elevation_deg == results::kSteepest);
  CHECK_FALSE(v.level.round);
  const double across = v.level.bearing_deg;  // north or south
  CHECK((std::min(std::abs(across - 0.0), std::abs(across - 360.0)) < 0.5 || std::abs(across - 180.0) < 0.5));
  CHECK(v.bearing_deg == v.level.bearing_deg);
  const double ratio = half_wave(60.0 * kDegree);
  CHECK(std::abs(v.level.front_to_side_db + 10.0 * std::log10(ratio)) < 1e-4);
  CHECK(std::abs(v.level.null_depth_db - v.level.front_to_side_db) < 1e-4);
  CHECK(v.level.front_to_back_db < 1e-4);
  const auto lift = [&](double e) { return std::pow(std::sin(kK * height * std::sin(e)), 2); };
  for (std::size_t i = 1; i < v.elevation_cut.angle_deg.size() - 1; ++i) {
    const double e = v.elevation_cut.angle_deg[i] * kDegree;
    CHECK(std::abs(v.elevation_cut.gains[i].total_dbi - v.gain_dbi -
                   10.0 * std::log10(lift(e) / lift(0.5 * kPi))) < 1e-3);
  }
  REQUIRE(v.elevation_beam.has_value());
  CHECK(std::abs(lift(v.elevation_beam->from_deg * kDegree) / lift(0.5 * kPi) - 0.5) < 1e-4);
  CHECK(std::abs(v.elevation_beam->from_deg + v.elevation_beam->to_deg - 180.0) < 0.01);
}

// Source: the definition of gain: its integral over the sphere is 4 pi times the efficiency, here 1; midpoint
// rule in azimuth, which is exact for so small a structure, and trapezoids in elevation of 1 degree, 1e-4.
TEST_CASE("cuts: the sphere holds the radiated power") {
  const results::PatternView v =
      seen(testing::sinusoidal_dipole({0, 0, 5}, {0.6, 0, 0.8}, 0.5 * kLambda, kK), perfect(), {1.0, {}});
  REQUIRE(v.sphere.has_value());
  const results::Sphere& sphere = *v.sphere;
  CHECK(sphere.elevation_deg.size() == 91);
  CHECK(sphere.bearing_deg.size() == 360);
  double sum = 0.0;
  for (std::size_t e = 0; e < sphere.elevation_deg.size(); ++e)
    for (std::size_t b = 0; b < sphere.bearing_deg.size(); ++b) {
      const results::Gains& gains = sphere.gains[e * sphere.bearing_deg.size() + b];
      const double weight = e == 0 || e + 1 == sphere.elevation_deg.size() ? 0.5 : 1.0;
      const double total = std::pow(10.0, gains.total_dbi / 10.0);
      CHECK(std::abs(total - std::pow(10.0, gains.vertical_dbi / 10.0) -
                     std::pow(10.0, gains.horizontal_dbi / 10.0)) < 1e-12 * (1.0 + total));
      sum += weight * total * std::cos(sphere.elevation_deg[e] * kDegree) * kDegree * kDegree;
    }
  CHECK(std::abs(sum / (4.0 * kPi) - 1.0) < 2e-4);
}

TEST_CASE("cuts: a sphere's step divides 90 degrees") {
  const Pattern pattern(testing::short_dipole({0, 0, 3}, {1, 0, 0}, 1e-4), {}, kF);
  for (const double step : {-5.0, 7.0, 100.0})
    CHECK_THROWS_AS((void)view(pattern, core::Power{1.0}, kEast, {step, {}}), core::Error);
}

}  // namespace feldspar::fields
