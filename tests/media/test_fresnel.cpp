#include "media/fresnel.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <map>
#include <string>

#include "../support/close.hpp"
#include "../support/table.hpp"
#include "core/error.hpp"

namespace feldspar::media {
namespace {

constexpr double kDegree = core::kPi / 180.0;
constexpr double kNineDigits = 5e-9;  // half a unit of the ninth digit, relative at worst

Ground soil_ground(double permittivity, double conductivity) {
  Ground ground;
  ground.kind = GroundKind::real;
  ground.relative_permittivity = permittivity;
  ground.conductivity = conductivity;
  return ground;
}

/// Constants of the soils in the published tables (their own page lists them beside the pseudo-Brewster
/// angles).
Ground published_soil(const std::string& name) {
  static const std::map<std::string, Ground> soils = {{"very_poor", soil_ground(5.0, 0.001)},
                                                      {"poor", soil_ground(13.0, 0.002)},
                                                      {"average", soil_ground(13.0, 0.005)},
                                                      {"very_good", soil_ground(20.0, 0.0303)},
                                                      {"salt_water", soil_ground(81.0, 5.0)}};
  return soils.at(name);
}

}  // namespace

TEST_CASE("fresnel: both coefficients agree with the published table") {
  // Source: data/published/fresnel.csv (derived; five soils, four frequencies, eleven elevations).
  for (const testing::Row& row : testing::Table("published/fresnel.csv", 220)) {
    const core::Frequency f{row.number("frequency_hz")};
    const double elevation = row.number("elevation_deg");
    CAPTURE(row.text("soil"));
    CAPTURE(f.si);
    CAPTURE(elevation);
    const FresnelCoefficients r =
        fresnel(published_soil(row.text("soil")), f, core::Angle{elevation * kDegree});
    const std::complex<double> vertical{row.number("vertical_real"), row.number("vertical_imag")};
    const std::complex<double> horizontal{row.number("horizontal_real"), row.number("horizontal_imag")};
    CHECK(std::abs(r.vertical - vertical) <= 2e-9);  // eight to nine decimals printed
    CHECK(std::abs(r.horizontal - horizontal) <= 2e-9);
    CHECK(testing::relative_error(std::abs(r.vertical), row.number("vertical_abs")) <= kNineDigits);
    CHECK(std::abs(std::arg(r.horizontal) / kDegree - row.number("horizontal_phase_deg")) <= 1e-6);
  }
}

TEST_CASE("fresnel: limits") {
  const core::Frequency f{7.1e6};
  const Ground ground = soil_ground(13.0, 0.005);
  const FresnelCoefficients grazing = fresnel(ground, f, core::Angle{0.0});
  CHECK(grazing.vertical == -1.0);
  CHECK(grazing.horizontal == -1.0);
  const FresnelCoefficients zenith = fresnel(ground, f, core::Angle{90.0 * kDegree});
  CHECK(std::abs(zenith.vertical + zenith.horizontal) <= 1e-15);
  Ground perfect;
  perfect.kind = GroundKind::perfect;
  CHECK(fresnel(perfect, f, core::Angle{0.3}).vertical == 1.0);
  CHECK(fresnel(perfect, f, core::Angle{0.3}).horizontal == -1.0);
  CHECK(fresnel({}, f, core::Angle{0.0}).vertical == 0.0);
  // An ever better conductor tends to the perfect one: error about 2 |1/n| / sin psi, |n| = 3.6e5.
  const FresnelCoefficients metal = fresnel(soil_ground(1.0, 5.8e7), f, core::Angle{0.3});
  CHECK(std::abs(metal.vertical - 1.0) < 1e-4);
  CHECK(std::abs(metal.horizontal + 1.0) < 1e-4);
}

TEST_CASE("fresnel: no passive ground reflects more than it gets") {
  for (const double permittivity : {1.0, 3.0, 13.0, 81.0}) {
    for (const double conductivity : {1e-5, 1e-3, 5.0}) {
      for (int degrees = 0; degrees <= 90; degrees += 5) {
        const FresnelCoefficients r = fresnel(soil_ground(permittivity, conductivity), core::Frequency{3.6e6},
                                              core::Angle{degrees * kDegree});
        CHECK(std::abs(r.vertical) <= 1.0 + 1e-15);
        CHECK(std::abs(r.horizontal) <= 1.0 + 1e-15);
      }
    }
  }
}

TEST_CASE("pseudo_brewster: angle, magnitude and quarter phase agree with the published table") {
  // Source: data/published/pseudo_brewster.csv (derived, nine digits).
  for (const testing::Row& row : testing::Table("published/pseudo_brewster.csv", 20)) {
    CAPTURE(row.text("soil"));
    CAPTURE(row.text("frequency_hz"));
    const core::Frequency f{row.number("frequency_hz")};
    const PseudoBrewster found = pseudo_brewster(published_soil(row.text("soil")), f);
    // The table's angle is that of a minimum, which a search finds to the root of the rounding only: 1e-7
    // relative.
    CHECK(testing::relative_error(found.elevation.si / kDegree, row.number("min_reflection_elevation_deg")) <=
          1e-7);
    CHECK(testing::relative_error(found.magnitude, row.number("min_reflection_abs")) <= kNineDigits);
    CHECK(testing::relative_error(found.quarter_phase.si / kDegree, row.number("phase_90_elevation_deg")) <=
          kNineDigits);
  }
}

TEST_CASE("pseudo_brewster: without loss it is Brewster's angle") {
  // tan(psi) = 1 / sqrt(eps_r) (Brewster 1815).
  for (const double permittivity : {1.5, 4.0, 81.0}) {
    const PseudoBrewster found = pseudo_brewster(soil_ground(permittivity, 0.0), core::Frequency{1e7});
    CAPTURE(permittivity);
    CHECK(std::abs(found.elevation.si - std::atan(1.0 / std::sqrt(permittivity))) <= 1e-14);
    CHECK(std::abs(found.quarter_phase.si - found.elevation.si) <= 1e-14);
    CHECK(found.magnitude <= 1e-14);
  }
}

TEST_CASE("pseudo_brewster: it is a minimum, and the phase there is -90 degrees") {
  for (const double permittivity : {1.0, 1.5, 5.0, 30.0, 81.0}) {
    for (const double conductivity : {1e-5, 1e-4, 1e-2, 1.0, 1e4}) {
      const Ground ground = soil_ground(permittivity, conductivity);
      const core::Frequency f{1.85e6};
      CAPTURE(permittivity);
      CAPTURE(conductivity);
      const PseudoBrewster found = pseudo_brewster(ground, f);
      for (const double factor : {0.5, 0.9, 0.999, 1.001, 1.1, 1.5}) {
        CHECK(std::abs(fresnel(ground, f, core::Angle{found.elevation.si * factor}).vertical) >
              found.magnitude);
      }
      const std::complex<double> r = fresnel(ground, f, found.quarter_phase).vertical;
      CHECK(std::abs(r.real()) <= 1e-12);
      CHECK(r.imag() < 0.0);
    }
  }
}

TEST_CASE("fresnel: refused numbers") {
  const core::Frequency f{7e6};
  const Ground ground = soil_ground(13.0, 0.005);
  CHECK_THROWS_WITH_AS((void)fresnel(ground, f, core::Angle{-0.1}),
                       "the elevation must lie between 0 and 90 degrees, not -5.72958 degrees", core::Error);
  CHECK_THROWS_AS((void)fresnel(ground, core::Frequency{0.0}, core::Angle{0.1}), core::Error);
  CHECK_THROWS_AS((void)fresnel(soil_ground(0.5, 0.0), f, core::Angle{0.1}), core::Error);
  CHECK_THROWS_AS((void)pseudo_brewster({}, f), core::Error);
}

}  // namespace feldspar::media
