#include <doctest/doctest.h>

#include <cmath>

#include "../support/close.hpp"
#include "media/ground.hpp"

namespace feldspar::media {

namespace {

Ground dispersive() {
  Ground ground;
  ground.kind = GroundKind::real;
  ground.relative_permittivity = 99.0;  // not to be used beside a table
  ground.conductivity = 9.0;
  ground.table = {{1e6, {30.0, 2e-3}}, {4e6, {20.0, 8e-3}}, {30e6, {15.0, 20e-3}}};
  return ground;
}

}  // namespace

TEST_CASE("soil_constants: a table is met at its rows, halfway between them and beyond them") {
  struct Row {
    double frequency, permittivity, conductivity;
  };
  // Halfway in the logarithm of the frequency: mean permittivity, geometric mean of the conductivities.
  const Row rows[] = {{1e6, 30.0, 2e-3},
                      {2e6, 25.0, 4e-3},
                      {4e6, 20.0, 8e-3},
                      {30e6, 15.0, 20e-3},
                      {1e5, 30.0, 2e-3},
                      {150e6, 15.0, 20e-3},
                      {std::sqrt(120.0) * 1e6, 17.5, std::sqrt(160.0) * 1e-3}};
  for (const Row& row : rows) {
    CAPTURE(row.frequency);
    const SoilConstants soil = soil_constants(dispersive(), core::Frequency{row.frequency});
    CHECK(testing::relative_error(soil.relative_permittivity, row.permittivity) <= 1e-14);
    CHECK(testing::relative_error(soil.conductivity, row.conductivity) <= 1e-14);
  }
}

TEST_CASE("complex_permittivity: takes the table's numbers") {
  const core::Frequency f{2e6};
  const std::complex<double> n2 = complex_permittivity(dispersive(), f);
  CHECK(n2.real() == doctest::Approx(25.0).epsilon(1e-14));
  CHECK(n2.imag() == doctest::Approx(-4e-3 / (core::angular(f) * core::kVacuumPermittivity)).epsilon(1e-14));
}

TEST_CASE("outside_table: only with a table, and only beyond its ends") {
  for (const double inside : {1e6, 2e6, 30e6})
    CHECK_FALSE(outside_table(dispersive(), core::Frequency{inside}));
  for (const double outside : {0.99e6, 30.1e6}) CHECK(outside_table(dispersive(), core::Frequency{outside}));
  CHECK_FALSE(outside_table(Ground{}, core::Frequency{1.0}));
}

TEST_CASE("in_sector: clockwise from the first bearing to the second, also across north") {
  const double degree = core::kPi / 180.0;
  struct Row {
    double from, to, bearing;
    bool inside;
  };
  constexpr Row kRows[] = {{90, 180, 90, true},  {90, 180, 180, true},  {90, 180, 135, true},
                           {90, 180, 45, false}, {90, 180, 270, false}, {90, 180, 135 + 360, true},
                           {300, 60, 0, true},   {300, 60, 330, true},  {300, 60, 59, true},
                           {300, 60, 61, false}, {300, 60, 299, false}, {300, 60, -30, true}};
  for (const Row& row : kRows) {
    CAPTURE(row.from);
    CAPTURE(row.bearing);
    FarSoil far;
    far.all_round = false;
    far.from_bearing = row.from * degree;
    far.to_bearing = row.to * degree;
    CHECK(in_sector(far, row.bearing * degree) == row.inside);
    far.all_round = true;
    CHECK(in_sector(far, row.bearing * degree));
  }
}

}  // namespace feldspar::media
