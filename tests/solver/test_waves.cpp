#include <doctest/doctest.h>

#include <complex>

#include "media/wire_impedance.hpp"
#include "media/wire_mode.hpp"
#include "rigs.hpp"

namespace feldspar {

namespace {

using namespace testing;
using Line = results::CheckReport::WaveLine;

/// A level wire of perfect metal, 10 m.
model::Model level(double height, double fall = 0.0, double radius = 7.5e-4) {
  return model_of({wire("low", {{0, 0, height + 0.5 * fall}, {10, 0, height - 0.5 * fall}}, radius)},
                  {port("feed", 0, 5.0)}, average_soil());
}

std::vector<Line> waves(const model::Model& model, core::Frequency f = kFrequency) {
  return solver::check(model, f).waves;
}

}  // namespace

TEST_CASE("check: the wave along a low wire is that of the mode equation at its mean height") {
  for (const double height : {0.02, 0.3}) {
    CAPTURE(height);
    const auto lines = waves(level(height));
    REQUIRE(lines.size() == 1);
    const media::WireMode mode =
        media::wire_mode({7.5e-4, 0.0, 1.0, {}}, core::Length{height},
                         media::complex_permittivity(average_soil(), kFrequency), kFrequency);
    CHECK(lines[0].wire == "low");
    CHECK(lines[0].copies == 1);
    CHECK(lines[0].leg == 0);
    CHECK(lines[0].length == doctest::Approx(10.0));
    CHECK(lines[0].height == doctest::Approx(height));
    CHECK(lines[0].velocity_factor == doctest::Approx(mode.velocity_factor).epsilon(1e-12));
    CHECK(lines[0].attenuation_db == doctest::Approx(mode.attenuation_db).epsilon(1e-12));
    // length over (velocity factor times the wavelength in air)
    CHECK(lines[0].wavelengths ==
          doctest::Approx(10.0 / (mode.velocity_factor * core::wavelength(kFrequency))).epsilon(1e-12));
  }
}

TEST_CASE("check: wires that are low, level and long enough, and others") {
  CHECK(waves(level(0.5)).size() == 1);
  CHECK(waves(level(1.2)).empty());  // above a twentieth of 21.3 m
  CHECK(waves(level(1.2), core::Frequency{7.1e6}).size() == 1);
  CHECK(waves(level(0.9, 1.7)).size() == 1);
  CHECK(waves(level(1.0, 1.9), core::Frequency{7.1e6}).size() == 1);
  CHECK(waves(level(1.5, 2.6), core::Frequency{7.1e6}).empty());  // steeper than 1:4
  CHECK(waves(level(3.5), core::Frequency{1.85e6}).empty());      // shorter than three heights
  CHECK(waves(level(3.0), core::Frequency{1.85e6}).size() == 1);
  CHECK(waves(dipole(0.5)).empty());
  CHECK(waves(dipole(0.5, perfect_ground())).empty());
}

TEST_CASE("check: copies are counted, stretches of a bent wire named, coat and metal heeded") {
  const auto radials = waves(whip(0.02, average_soil()));
  REQUIRE(radials.size() == 1);
  CHECK(radials[0].wire == "radial (1)");
  CHECK(radials[0].copies == 4);
  model::Model bent = model_of({wire("down", {{0, 0, 2}, {0, 0, 0.02}, {5, 0, 0.02}, {5, 3, 0.05}})},
                               {port("feed", 0, 1.0)}, average_soil());
  auto lines = waves(bent);
  REQUIRE(lines.size() == 2);
  CHECK(lines[0].leg == 2);
  CHECK(lines[1].leg == 3);
  CHECK(lines[1].height == doctest::Approx(0.035));
  CHECK_FALSE(lines[0].insulated);
  const double plain = lines[0].velocity_factor;
  const double fading = lines[0].attenuation_db;
  bent.structure.wires[0].coat = {1e-3, 3.0};
  lines = waves(bent);
  CHECK(lines[0].insulated);
  CHECK(lines[0].velocity_factor < plain);  // insulation slows
  bent.structure.wires[0].coat = {};
  bent.structure.wires[0].conductor.conductivity = 1e5;
  CHECK(waves(bent)[0].attenuation_db > fading);
}

TEST_CASE("check: buried wires as well, a coat makes them carry further") {
  model::Model buried = level(-0.1);
  buried.structure.wires.push_back(wire("mast", {{0, 0, -0.1}, {0, 0, 4}}));
  buried.structure.ports = {port("feed", 1, 1.0)};
  auto lines = waves(buried);
  REQUIRE(lines.size() == 1);
  CHECK(lines[0].height == doctest::Approx(-0.1));
  // sqrt(13 - 6.4j), the soil's free wave, less what the air nearby takes off
  const std::complex<double> n = std::sqrt(media::complex_permittivity(average_soil(), kFrequency));
  CHECK(lines[0].velocity_factor > 1.0 / n.real());
  CHECK(lines[0].velocity_factor < 1.2 / n.real());
  const double bare = lines[0].attenuation_db;
  buried.structure.wires[0].coat = {2e-3, 2.3};
  lines = waves(buried);
  CHECK(lines[0].attenuation_db < bare);
}

}  // namespace feldspar
