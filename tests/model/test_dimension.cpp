#include "model/dimension.hpp"

#include <doctest/doctest.h>

using namespace feldspar::model;

namespace {

struct Row {
  Value value;
  const char* text;
};

const Row kRows[] = {
    {{0.02, dimension::kLength}, "20 mm"},
    {{0.001, dimension::kLength}, "1 mm"},
    {{0.0005, dimension::kLength}, "500 um"},
    {{0.5, dimension::kLength}, "0.5 m"},
    {{0.0, dimension::kLength}, "0 m"},
    {{-8.0, dimension::kLength}, "-8 m"},
    {{5200.0, dimension::kLength}, "5200 m"},
    {{1e5, dimension::kLength}, "100 km"},
    {{7.1e6, dimension::kFrequency}, "7.1 MHz"},
    {{7.1, dimension::kFrequency}, "7.1 Hz"},
    {{18e-6, dimension::kInductance}, "18 uH"},
    {{0.0, dimension::kInductance}, "0 H"},
    {{100e-12, dimension::kCapacitance}, "100 pF"},
    {{0.005, dimension::kConductivity}, "5 mS/m"},
    {{58e6, dimension::kConductivity}, "58 MS/m"},
    {{100.0, dimension::kPower}, "100 W"},
    {{1.57079632679489662, dimension::kAngle}, "90 deg"},
    {{13.0, dimension::kNumber}, "13"},
    {{2.0, Dimension{{3, 0, 0, 0, 0, 0}}}, "2 m^3"},
};

}  // namespace

TEST_CASE("format: values are written as people write them") {
  for (const Row& row : kRows) CHECK(format(row.value) == row.text);
}

TEST_CASE("describe and key_suffix name the kind") {
  CHECK(describe(dimension::kLength) == "a length");
  CHECK(describe(dimension::kInductance) == "an inductance");
  CHECK(describe(dimension::kNumber) == "a plain number");
  CHECK(describe(Value{7.1e6, dimension::kFrequency}) == "the frequency 7.1 MHz");
  CHECK(describe(Dimension{{3, 0, -1, 0, 0, 0}}) == "a quantity in m^3 s^-1");
  CHECK(key_suffix(dimension::kLength) == "_m");
  CHECK(key_suffix(dimension::kFrequency) == "_hz");
  CHECK(key_suffix(dimension::kAngle) == "_deg");
  CHECK(key_suffix(dimension::kConductivity) == "_s_per_m");
  CHECK(key_suffix(dimension::kNumber).empty());
}
