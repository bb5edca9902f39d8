#include "fields/gain.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "../support/close.hpp"
#include "../support/table.hpp"
#include "core/error.hpp"
#include "fields/power.hpp"
#include "prescribed_current.hpp"

namespace feldspar::fields {

using testing::relative_error;
using testing::Table;

namespace {

constexpr double kPi = core::kPi;
constexpr core::Frequency kF{14.2e6};
const double kK = core::wavenumber(kF);
const double kLambda = core::wavelength(kF);

double degrees(core::Angle a) {
  return a.si * 180.0 / kPi;
}

media::Ground perfect() {
  media::Ground g;
  g.kind = media::GroundKind::perfect;
  return g;
}

/// Largest directivity: all the power goes to the sky.
GainMaximum directivity(const Pattern& pattern) {
  const auto maximum = maximum_gain(pattern, core::Power{sky_power(pattern)});
  REQUIRE(maximum.has_value());
  return *maximum;
}

}  // namespace

// Source: exact; Hertzian dipole 3/2.
TEST_CASE("gain: short dipole's directivity in any position") {
  for (const geometry::Vec3& d :
       {geometry::Vec3(0, 0, 1), geometry::Vec3(1, 0, 0), geometry::Vec3(0.36, 0.48, 0.8)}) {
    const auto maximum = directivity(Pattern(testing::short_dipole({0, 0, 0}, d, 1e-4), {}, kF));
    CHECK(relative_error(maximum.gain, 1.5) < 1e-6);
  }
}

// Source: tests/data/published/dipole_directivity.csv, pattern integral of the sinusoidal current (Balanis,
// Antenna Theory 3e, sec. 4.5); 1e-6 because nine digits are printed and the elevation is refined to 0.001
// degree.
TEST_CASE("gain: sinusoidal dipoles in free space, directivity and radiation resistance") {
  for (const auto& row : Table("published/dipole_directivity.csv", 12)) {
    const double length = row.number("length_wavelengths") * kLambda;
    const Pattern pattern(testing::sinusoidal_dipole({0, 0, 2}, {0, 0, 1}, length, kK), {}, kF);
    CAPTURE(length / kLambda);
    const auto maximum = directivity(pattern);
    CHECK(relative_error(maximum.gain, row.number("max_directivity")) < 1e-6);
    CHECK(maximum.round);
    const double from_axis = 90.0 - std::abs(degrees(maximum.direction.elevation));
    CHECK(std::abs(from_axis - row.number("angle_from_axis_deg")) < 0.01);
    CHECK(relative_error(2.0 * sky_power(pattern),
                         row.number("radiation_resistance_at_current_maximum_ohm")) < 1e-6);
  }
}

// Source: tests/data/published/monopole_perfect_ground.csv (derived: image theory).
TEST_CASE("gain: sinusoidal monopoles on perfect ground") {
  for (const auto& row : Table("published/monopole_perfect_ground.csv", 6)) {
    const double height = row.number("height_wavelengths") * kLambda;
    moment::Currents currents;
    testing::add_wire(currents, {0, 0, 0}, {0, 0, height}, 4,
                      [&](double s) { return std::sin(kK * (height - s)); });
    const Pattern pattern(currents, perfect(), kF);
    const double power = sky_power(pattern);
    CAPTURE(height / kLambda);
    const auto maximum = directivity(pattern);
    CHECK(relative_error(maximum.gain, row.number("max_directivity")) < 1e-6);
    CHECK(relative_error(gain(pattern, {}, core::Power{power}), row.number("horizon_directivity")) < 1e-6);
    CHECK(relative_error(2.0 * power, row.number("radiation_resistance_at_current_maximum_ohm")) < 1e-6);
    // Field along the ground 1 km away, mV/m rms, for 1 kW: |r E| = sqrt(2 eta U).
    const double peak =
        std::sqrt(2.0 * core::kVacuumImpedance * intensity(pattern.at(Direction{})) * 1000.0 / power);
    CHECK(relative_error(peak / std::sqrt(2.0), row.number("field_1kw_1km_mv_per_m")) < 1e-6);
  }
}

// Source: tests/data/published/horizontal_dipole_perfect_ground.csv (derived; R there is Carter's, found here
// from the sky's power).
TEST_CASE("gain: level half-wave dipole over perfect ground against height") {
  for (const auto& row : Table("published/horizontal_dipole_perfect_ground.csv", 16)) {
    const double height = row.number("height_wavelengths") * kLambda;
    const Pattern pattern(testing::sinusoidal_dipole({0, 0, height}, {1, 0, 0}, 0.5 * kLambda, kK), perfect(),
                          kF);
    const double power = sky_power(pattern);
    CAPTURE(height / kLambda);
    CHECK(relative_error(2.0 * power, row.number("resistance_ohm")) < 1e-6);
    const auto maximum = directivity(pattern);
    const double elevation = row.number("first_max_elevation_deg");
    // The table's lobe lies in the plane across the wire (+y); the first is the highest there.
    const Direction lobe{core::Angle{elevation * kPi / 180.0}, core::Angle{0.5 * kPi}};
    const double printed = row.number("broadside_plane_max_gain_dbi");
    CHECK(std::abs(to_dbi(gain(pattern, lobe, core::Power{power})) - printed) < 1e-5);
    CHECK(to_dbi(maximum.gain) > printed - 1e-5);
    if (height < 0.75 * kLambda &&
        height > 0.26 * kLambda) {  // one lobe in that plane, and no larger one elsewhere
      CHECK(std::abs(degrees(maximum.direction.elevation) - elevation) < 0.01);
      CHECK(std::abs(to_dbi(maximum.gain) - printed) < 1e-5);
      CHECK(std::abs(std::abs(std::sin(maximum.direction.azimuth.si)) - 1.0) < 1e-6);
    }
    const double zenith = gain(pattern, {core::Angle{0.5 * kPi}, core::Angle{0.0}}, core::Power{power});
    if (row.text("zenith_gain_dbi") == "-inf") {
      CHECK(zenith < 1e-20);
    } else {
      CHECK(std::abs(to_dbi(zenith) - row.number("zenith_gain_dbi")) < 1e-5);
    }
  }
}

// Source: tests/data/published/vertical_dipole_perfect_ground.csv (derived, as above).
TEST_CASE("gain: upright half-wave dipole over perfect ground against height") {
  for (const auto& row : Table("published/vertical_dipole_perfect_ground.csv", 14)) {
    const double height = row.number("centre_height_wavelengths") * kLambda;
    const Pattern pattern(testing::sinusoidal_dipole({0, 0, height}, {0, 0, 1}, 0.5 * kLambda, kK), perfect(),
                          kF);
    const double power = sky_power(pattern);
    CHECK(relative_error(2.0 * power, row.number("resistance_ohm")) < 1e-6);
    CHECK(std::abs(to_dbi(gain(pattern, Direction{}, core::Power{power})) - row.number("horizon_gain_dbi")) <
          1e-5);
  }
}

// Derived: a travelling wave exp(-jks) on a long wire has its main lobe where the pattern
// sin(theta) sin(kL(1 - cos theta)/2)/(1 - cos theta) is largest; here that is found by a fine scan.
TEST_CASE("gain: the maximum of a sharp slanted pattern is found to 0.01 degree") {
  const double length = 6.3 * kLambda;
  const geometry::Vec3 axis = geometry::Vec3(std::cos(0.5), std::sin(0.5), 0.0);
  moment::Currents currents;
  testing::add_wire(currents, {0, 0, 0}, length * axis, 14,
                    [&](double s) { return std::exp(std::complex<double>(0, -kK * s)); });
  double best = 0.0;
  double best_theta = 0.0;
  for (double theta = 0.001; theta < kPi; theta += 1e-5) {
    const double t =
        std::sin(theta) * std::sin(0.5 * kK * length * (1.0 - std::cos(theta))) / (1.0 - std::cos(theta));
    if (t * t > best) {
      best = t * t;
      best_theta = theta;
    }
  }
  const Pattern pattern(currents, {}, kF);
  const auto maximum = maximum_gain(pattern, core::Power{1.0});
  REQUIRE(maximum.has_value());
  const double e = maximum->direction.elevation.si;
  const double a = maximum->direction.azimuth.si;
  const double theta = std::acos(std::cos(e) * std::cos(a - 0.5));
  CHECK(std::abs(theta - best_theta) < 0.01 * kPi / 180.0);
  CHECK(relative_error(maximum->gain, 4 * kPi * core::kVacuumImpedance / (8 * kPi * kPi) * best) < 1e-6);
}

TEST_CASE("gain: round or not, and the gain at given elevations that follows") {
  // Two upright dipoles along x, the second lagging: an end-fire pair, strongest towards +x.
  moment::Currents pair = testing::sinusoidal_dipole({0, 0, 10}, {0, 0, 1}, 0.5 * kLambda, kK);
  const Pattern single(pair, perfect(), kF);
  moment::Currents second = testing::sinusoidal_dipole({0.25 * kLambda, 0, 10}, {0, 0, 1}, 0.5 * kLambda, kK);
  for (auto& e : second) {
    e.coefficients *= std::complex<double>(0.0, -1.0);
    pair.push_back(e);
  }
  const Pattern pattern(pair, perfect(), kF);
  const core::Power power{100.0};
  const auto maximum = maximum_gain(pattern, power);
  const auto round = maximum_gain(single, power);
  REQUIRE(maximum.has_value());
  REQUIRE(round.has_value());
  CHECK(round->round);
  CHECK_FALSE(maximum->round);
  const double azimuth = degrees(maximum->direction.azimuth);
  CHECK(std::min(azimuth, 360.0 - azimuth) < 0.01);
  const core::Angle elevations[] = {core::Angle{0.2}, core::Angle{0.5 * kPi}};
  const auto gains = gain_at_elevations(pattern, *maximum, elevations, power);
  REQUIRE(gains.size() == 2);
  CHECK(relative_error(gains[0], gain(pattern, {core::Angle{0.2}, maximum->direction.azimuth}, power)) <
        1e-12);
  CHECK(gains[1] < 1e-20);  // upright wires do not radiate upwards
  const auto partial = partial_gain(pattern, {core::Angle{0.2}, core::Angle{1.0}}, power);
  CHECK(partial.horizontal == 0.0);
  CHECK(relative_error(partial.vertical, gain(pattern, {core::Angle{0.2}, core::Angle{1.0}}, power)) < 1e-12);
}

TEST_CASE("gain: bearings turn clockwise from north") {
  const auto deg = [](double d) { return core::Angle{d * kPi / 180.0}; };
  CHECK(std::abs(degrees(bearing(deg(0), deg(90))) - 90.0) < 1e-9);  // +x east
  CHECK(std::abs(degrees(bearing(deg(90), deg(90))) - 0.0) < 1e-9);  // then +y is north
  CHECK(std::abs(degrees(bearing(deg(200), deg(90))) - 250.0) < 1e-9);
  CHECK(std::abs(degrees(bearing(deg(10), deg(355))) - 345.0) < 1e-9);
}

TEST_CASE("gain: nothing radiated, nothing accepted") {
  moment::Currents silent = testing::short_dipole({0, 0, 1}, {0, 0, 1}, 0.1);
  silent.front().coefficients.setZero();
  const Pattern pattern(silent, perfect(), kF);
  CHECK_FALSE(maximum_gain(pattern, core::Power{1.0}).has_value());
  CHECK_THROWS_AS(static_cast<void>(maximum_gain(pattern, core::Power{0.0})), core::Error);
}

}  // namespace feldspar::fields
