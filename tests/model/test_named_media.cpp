#include <doctest/doctest.h>

#include <cmath>

#include "media/materials.hpp"
#include "media/soils.hpp"

using namespace feldspar::media;

namespace {

struct SoilRow {
  const char* name;
  double permittivity;
  double conductivity;
};

// The figures promised to users. Handbook table: poor, average, rich (printed 30.3 mS/m), sea; ITU-R P.527-3
// figure 1 (from memory): fresh water; the others are common practice without a single source.
constexpr SoilRow kSoils[] = {{"dry sand", 4, 1e-3}, {"poor", 13, 2e-3}, {"average", 13, 5e-3},
                              {"rich", 20, 30e-3},   {"wet", 30, 30e-3}, {"fresh water", 80, 3e-3},
                              {"sea", 81, 5.0}};

}  // namespace

TEST_CASE("soil: the named soils have the promised numbers and a source each") {
  REQUIRE(soils().size() == std::size(kSoils));
  for (const SoilRow& row : kSoils) {
    CAPTURE(row.name);
    const auto found = soil(row.name);
    REQUIRE(found.has_value());
    CHECK(found->relative_permittivity == row.permittivity);
    CHECK(found->conductivity == row.conductivity);
    CHECK_FALSE(found->source.empty());
  }
  CHECK_FALSE(soil("Average").has_value());
  CHECK_FALSE(soil("perfect").has_value());
}

TEST_CASE("material: conductivities at 20 degrees Celsius") {
  // IEC 60028 (1925): annealed copper 1/58 ohm mm2/m. Resistivity tables at 20 C: aluminium 2.82e-8,
  // stainless 6.9e-7 ohm m, here rounded to 35 and 1.45 MS/m, less than 2 % from the reciprocals.
  CHECK(material("copper")->conductivity == 58e6);
  CHECK(material("aluminium")->conductivity == doctest::Approx(1 / 2.82e-8).epsilon(0.02));
  CHECK(material("stainless steel")->conductivity == doctest::Approx(1 / 6.9e-7).epsilon(0.02));
  CHECK(std::isinf(material("perfect")->conductivity));
  CHECK_FALSE(material("gold").has_value());
  CHECK(material_names().size() == materials().size());
}
