#include "model/units.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace feldspar::model;

namespace {

struct Row {
  const char* name;
  double factor;
  Dimension dimension;
};

// SI prefixes and units: SI brochure (9th edition, 2019); inch, foot, yard and mile: international yard and
// pound agreement (1959), exact.
const Row kRows[] = {
    {"m", 1.0, dimension::kLength},         {"cm", 0.01, dimension::kLength},
    {"mm", 0.001, dimension::kLength},      {"km", 1000.0, dimension::kLength},
    {"in", 0.0254, dimension::kLength},     {"ft", 0.3048, dimension::kLength},
    {"yd", 0.9144, dimension::kLength},     {"mi", 1609.344, dimension::kLength},
    {"Hz", 1.0, dimension::kFrequency},     {"kHz", 1e3, dimension::kFrequency},
    {"MHz", 1e6, dimension::kFrequency},    {"GHz", 1e9, dimension::kFrequency},
    {"ohm", 1.0, dimension::kResistance},   {"kohm", 1e3, dimension::kResistance},
    {"uH", 1e-6, dimension::kInductance},   {"nH", 1e-9, dimension::kInductance},
    {"pF", 1e-12, dimension::kCapacitance}, {"nF", 1e-9, dimension::kCapacitance},
    {"W", 1.0, dimension::kPower},          {"mW", 1e-3, dimension::kPower},
    {"mS", 1e-3, dimension::kConductance},  {"dB", 1.0, dimension::kLevel},
    {"rad", 1.0, dimension::kAngle},        {"deg", 3.14159265358979323846 / 180.0, dimension::kAngle},
};

}  // namespace

TEST_CASE("unit: factors are those of the standards") {
  for (const Row& row : kRows) {
    CAPTURE(row.name);
    const auto found = unit(row.name);
    REQUIRE(found.has_value());
    CHECK(found->si == doctest::Approx(row.factor).epsilon(1e-15));
    CHECK(found->dimension == row.dimension);
  }
}

TEST_CASE("unit: capital and small letters differ, and no other name is a unit") {
  for (const char* name : {"mhz", "MHZ", "M", "metre", "feet", "", "db", "AWG"}) {
    CAPTURE(name);
    CHECK_FALSE(unit(name).has_value());
  }
}

TEST_CASE("unit: derived units fit together") {
  // ohm = V / A, W = V A, H = ohm s, F = s / ohm, S = 1 / ohm, Hz = 1 / s
  CHECK(dimension::kVoltage / dimension::kCurrent == dimension::kResistance);
  CHECK(dimension::kVoltage * dimension::kCurrent == dimension::kPower);
  CHECK(dimension::kResistance * dimension::kTime == dimension::kInductance);
  CHECK(dimension::kTime / dimension::kResistance == dimension::kCapacitance);
  CHECK(power(dimension::kResistance, -1) == dimension::kConductance);
  CHECK(dimension::kConductance / dimension::kLength == dimension::kConductivity);
  CHECK(power(dimension::kTime, -1) == dimension::kFrequency);
}

TEST_CASE("likely_unit: habits of writing are understood") {
  CHECK(likely_unit("mhz") == "MHz");
  CHECK(likely_unit("MHZ") == "MHz");
  CHECK(likely_unit("mHz") == "MHz");
  CHECK(likely_unit("feet") == "ft");
  CHECK(likely_unit("Meters") == "m");
  CHECK(likely_unit("Ohm") == "ohm");
  CHECK(likely_unit("DB") == "dB");
  CHECK(likely_unit("xyzzy").empty());
}
