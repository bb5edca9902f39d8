#include "media/earth_constants.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "../support/close.hpp"
#include "../support/table.hpp"
#include "core/error.hpp"

namespace feldspar::media {

TEST_CASE("earth_constants: agree with the published table") {
  // Source: data/published/soil_constants.csv (derived, nine digits; CODATA 2022 constants).
  for (const testing::Row& row : testing::Table("published/soil_constants.csv", 50)) {
    CAPTURE(row.text("soil"));
    CAPTURE(row.text("frequency_hz"));
    Ground ground;
    ground.kind = GroundKind::real;
    ground.relative_permittivity = row.number("relative_permittivity");
    ground.conductivity = row.number("conductivity_s_per_m");
    const EarthConstants earth = earth_constants(ground, core::Frequency{row.number("frequency_hz")});
    const auto same = [&](double found, const char* column) {
      CAPTURE(column);
      CHECK(testing::relative_error(found, row.number(column)) <= 5e-9);  // half a unit of the ninth digit
    };
    same(earth.permittivity.real(), "complex_permittivity_real");
    same(earth.permittivity.imag(), "complex_permittivity_imag");
    same(std::abs(earth.permittivity), "complex_permittivity_abs");
    same(earth.refractive_index.real(), "refractive_index_real");
    same(earth.skin_depth, "skin_depth_m");
    same(earth.wavelength, "wavelength_in_soil_m");
    same(earth.loss_tangent, "loss_tangent");
  }
}

TEST_CASE("earth_constants: without loss, in free space, and what is refused") {
  Ground ground;
  const core::Frequency f{10e6};
  CHECK(testing::relative_error(earth_constants(ground, f).wavelength, 29.9792458) <= 1e-15);
  CHECK(std::isinf(earth_constants(ground, f).skin_depth));
  ground.kind = GroundKind::real;
  ground.relative_permittivity = 4.0;
  CHECK(testing::relative_error(earth_constants(ground, f).wavelength, 29.9792458 / 2.0) <= 1e-15);
  CHECK(std::isinf(earth_constants(ground, f).skin_depth));
  CHECK(earth_constants(ground, f).loss_tangent == 0.0);
  ground.conductivity = -1.0;
  CHECK_THROWS_AS((void)earth_constants(ground, f), core::Error);
  ground.kind = GroundKind::perfect;
  CHECK_THROWS_AS((void)earth_constants(ground, f), core::Error);
}

}  // namespace feldspar::media
