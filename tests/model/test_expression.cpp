#include "model/expression.hpp"

#include <doctest/doctest.h>
#include <muParser.h>

#include <cmath>
#include <limits>
#include <random>
#include <string>

using namespace feldspar::model;

namespace {

constexpr double kPi = 3.14159265358979323846;
constexpr double kRounding = 4 * std::numeric_limits<double>::epsilon();

/// A few parameters, as a file would declare them.
Scope parameters() {
  Scope scope;
  scope.names = {"mast_height", "radial_count", "design_frequency", "slope"};
  scope.find = [](std::string_view name) -> std::optional<Value> {
    if (name == "mast_height") return Value{8.0, dimension::kLength};
    if (name == "radial_count") return Value{16.0, dimension::kNumber};
    if (name == "design_frequency") return Value{7.1e6, dimension::kFrequency};
    if (name == "slope") return Value{kPi / 6, dimension::kAngle};
    return std::nullopt;
  };
  return scope;
}

struct Good {
  const char* text;
  double value;  // SI
  Dimension dimension;
};

// Derived by hand. Foot and inch: 0.3048 m and 0.0254 m exactly (1959); speed of light 299 792 458 m/s
// exactly.
const Good kGood[] = {
    {"5.2 m", 5.2, dimension::kLength},
    {"5.2m", 5.2, dimension::kLength},
    {"  5.2  m ", 5.2, dimension::kLength},
    {"17 ft + 3 in", 17 * 0.3048 + 3 * 0.0254, dimension::kLength},
    {"7.1MHz", 7.1e6, dimension::kFrequency},
    {"7100 kHz", 7.1e6, dimension::kFrequency},
    {"0.25 * wavelength(7.1 MHz)", 0.25 * 299792458.0 / 7.1e6, dimension::kLength},
    {"wavelength(design_frequency) / 2", 299792458.0 / 7.1e6 / 2, dimension::kLength},
    {"mast_height - 0.5 m", 7.5, dimension::kLength},
    {"mast_height / 2 + mown_grass", 4.02, dimension::kLength},
    {"bare_soil", 0.002, dimension::kLength},
    {"mown_grass", 0.020, dimension::kLength},
    {"long_grass", 0.050, dimension::kLength},
    {"radial_count", 16.0, dimension::kNumber},
    {"radial_count + 1", 17.0, dimension::kNumber},
    {"radial_count > 4", 1.0, dimension::kNumber},
    {"radial_count == 15", 0.0, dimension::kNumber},
    {"mast_height <= 800 cm", 1.0, dimension::kNumber},
    {"4", 4.0, dimension::kNumber},
    {"-2^2", -4.0, dimension::kNumber},    // the sign is weaker than the power
    {"2^3^2", 512.0, dimension::kNumber},  // powers group to the right
    {"2^-1", 0.5, dimension::kNumber},
    {"2 - -3", 5.0, dimension::kNumber},
    {"8 / 4 / 2", 1.0, dimension::kNumber},  // quotients group to the left
    {"1 + 2 * 3", 7.0, dimension::kNumber},
    {"(1 + 2) * 3 m", 9.0, dimension::kLength},
    {"(1/2) m", 0.5, dimension::kLength},
    {"2 m^2", 2.0, dimension::kArea},  // the power belongs to the unit
    {"(2 m)^2", 4.0, dimension::kArea},
    {"2 cm^2", 2e-4, dimension::kArea},
    {"sqrt(9 m^2)", 3.0, dimension::kLength},
    {"3 m * 4 m / 2 m", 6.0, dimension::kLength},
    {"hypot(3 m, 4 m)", 5.0, dimension::kLength},
    {"min(3 m, 400 cm)", 3.0, dimension::kLength},
    {"max(3 m, 400 cm, 1 ft)", 4.0, dimension::kLength},
    {"abs(-2 m)", 2.0, dimension::kLength},
    {"5 mS/m", 0.005, dimension::kConductivity},
    {"35 MS/m", 35e6, dimension::kConductivity},
    {"4.9 dB / 100 m", 0.049, dimension::kAttenuation},
    {"4.9 dB/100m", 0.049, dimension::kAttenuation},
    {"0.5 dB", 0.5, dimension::kLevel},
    {"18 uH", 18e-6, dimension::kInductance},
    {"18 \u00b5H", 18e-6, dimension::kInductance},  // micro sign
    {"18 \u03bcH", 18e-6, dimension::kInductance},  // Greek mu
    {"50 \u03a9", 50.0, dimension::kResistance},
    {"2 * pi * 7.1 MHz * 18 uH", 2 * kPi * 7.1e6 * 18e-6, dimension::kResistance},
    {"1 / (2 * pi * sqrt(10 uH * 50 pF))", 1 / (2 * kPi * std::sqrt(10e-6 * 50e-12)), dimension::kFrequency},
    {"90 deg", kPi / 2, dimension::kAngle},
    {"45\u00b0", kPi / 4, dimension::kAngle},
    {"10 m * sin(slope)", 5.0, dimension::kLength},
    {"10 m * sin(30 deg)", 5.0, dimension::kLength},
    {"10 m * cos(pi / 3)", 5.0, dimension::kLength},  // a plain number is radians
    {"tan(45 deg)", 1.0, dimension::kNumber},
    {"asin(0.5)", kPi / 6, dimension::kAngle},
    {"acos(0.5)", kPi / 3, dimension::kAngle},
    {"atan(1)", kPi / 4, dimension::kAngle},
    {"atan2(1 m, -1 m)", 3 * kPi / 4, dimension::kAngle},
    {"2 m * 90 deg + 1 m", kPi + 1, dimension::kLength},  // an arc is a length
    {"ln(exp(2))", 2.0, dimension::kNumber},
    {"log10(1000)", 3.0, dimension::kNumber},
    {"floor(2.7) + ceil(2.2) + round(2.5)", 8.0, dimension::kNumber},
    {"speed_of_light / 1 MHz", 299.792458, dimension::kLength},
    {"1e3 m", 1000.0, dimension::kLength},
    {"0.2e-1 m", 0.02, dimension::kLength},
};

struct Bad {
  const char* text;
  std::size_t offset;
  const char* fragment;
};

const Bad kBad[] = {
    {"", 0, "empty"},
    {"   ", 0, "empty"},
    {"5.2 m +", 7, "ends too early"},
    {"8 m + 7 MHz", 4, "cannot add the length 8 m and the frequency 7 MHz"},
    {"mast_height - 2", 12, "cannot subtract the length 8 m and the plain number 2"},
    {"mast_heigth", 0, "did you mean 'mast_height'?"},
    {"wavelenght(7 MHz)", 0, "did you mean 'wavelength'?"},
    {"wavelength(7.1)", 0, "needs a frequency such as 7.1 MHz, found the plain number 7.1"},
    {"wavelength(7 m)", 0, "needs a frequency such as 7.1 MHz, found the length 7 m"},
    {"wavelength(0 MHz)", 0, "must be positive"},
    {"wavelength", 0, "needs brackets"},
    {"m", 0, "a number is missing before the unit m"},
    {"5 feet", 2, "did you mean ft?"},
    {"7.1 mhz", 4, "did you mean MHz?"},
    {"7.1 mHz", 4, "did you mean MHz?"},
    {"5 M", 2, "did you mean m?"},
    {"5 parsec", 2, "there is no unit 'parsec'"},
    {"17 ft 3 in", 6, "17 ft + 3 in"},
    {"17' 3\"", 2, "17 ft + 3 in"},
    {"2 mast_height", 2, "an operator is missing before 'mast_height'"},
    {"5,2 m", 1, "decimals are written with a point"},
    {"7.1.2 m", 3, "one decimal point"},
    {"1e400 m", 0, "too large"},
    {"0x10", 1, "there is no unit 'x10'"},
    {"1 m / 0", 4, "division by zero"},
    {"sqrt(-1)", 0, "no root of a negative number"},
    {"ln(0)", 0, "must be positive"},
    {"asin(2)", 0, "between -1 and 1"},
    {"(-8)^0.5", 4, "cannot be raised"},
    {"10^400", 2, "cannot be raised"},
    {"2^(1 m)", 1, "an exponent must be a plain number"},
    {"(2 m", 0, "never closed"},
    {"min(2 m", 0, "never closed"},
    {"2 m)", 3, "did not expect ')'"},
    {"sin(2 m)", 0, "needs an angle such as 30 deg, found the length 2 m"},
    {"exp(2 m)", 0, "needs a plain number"},
    {"min(1 m, 1 Hz)", 0, "one kind"},
    {"hypot(1 m)", 0, "takes 2 values, found 1"},
    {"inf", 0, "there is no parameter or constant 'inf'"},
    {"nan", 0, "there is no parameter or constant 'nan'"},
    {"1e308 * 10", 0, "not a finite number"},
    {"5 m $", 4, "did not expect '$'"},
    {"3 \u2212 2", 2, "plain hyphen"},
    {"2 m^0.5", 4, "whole number"},
};

}  // namespace

TEST_CASE("evaluate: expressions have the values worked out by hand") {
  const Scope scope = parameters();
  for (const Good& row : kGood) {
    CAPTURE(row.text);
    try {
      const Value value = evaluate(row.text, scope).value;
      CHECK(std::abs(value.si - row.value) <= kRounding * std::abs(row.value));
      CHECK(value.dimension == row.dimension);
    } catch (const ExpressionError& error) {
      FAIL_CHECK(error.message);
    }
  }
}

TEST_CASE("evaluate: wrong expressions are refused at the right place with the remedy") {
  const Scope scope = parameters();
  for (const Bad& row : kBad) {
    CAPTURE(row.text);
    try {
      (void)evaluate(row.text, scope);
      FAIL_CHECK("accepted");
    } catch (const ExpressionError& error) {
      CAPTURE(error.message);
      CHECK(error.offset == row.offset);
      CHECK(error.message.find(row.fragment) != std::string::npos);
    }
  }
}

TEST_CASE("evaluate: only a lone number is bare") {
  const Scope scope = parameters();
  for (const char* text : {"4", "-4.5", " 1e-3 ", "+2"}) {
    CAPTURE(text);
    CHECK(evaluate(text, scope).bare_number);
  }
  for (const char* text : {"2 * 2", "4 m", "(4)", "radial_count", "pi"}) {
    CAPTURE(text);
    CHECK_FALSE(evaluate(text, scope).bare_number);
  }
}

TEST_CASE("evaluate: hostile texts end in an error, not in a crash") {
  const Scope scope;
  for (const std::string& text :
       {std::string(200, '('), std::string(900, '-') + "1", std::string(5000, '1'),
        "sin(" + std::string(300, '(') + "1", std::string("1") + std::string(499, '^') + "1",
        std::string("2^2^2^2^2^2^2^2^2^2^2"), std::string("\0 1", 3), std::string("\xff\xfe"),
        std::string("1 \xc2")}) {
    CAPTURE(text);
    CHECK_THROWS_AS((void)evaluate(text, scope), ExpressionError);
  }
}

// Independent computation: muParser 2.3 evaluates the same plain-number expressions. Both work in double
// precision and may round differently in pow and in long sums.
TEST_CASE("evaluate: random plain-number expressions agree with another evaluator") {
  std::mt19937 random(20240229);
  const auto pick = [&](int n) { return static_cast<int>(random() % static_cast<unsigned>(n)); };
  const auto write = [&](const auto& self, int depth) -> std::string {
    if (depth == 0 || pick(4) == 0) return std::to_string(1 + pick(9)) + "." + std::to_string(pick(100));
    switch (pick(7)) {
      case 0:
        return self(self, depth - 1) + " + " + self(self, depth - 1);
      case 1:
        return self(self, depth - 1) + " - " + self(self, depth - 1);
      case 2:
        return self(self, depth - 1) + " * " + self(self, depth - 1);
      case 3:
        return self(self, depth - 1) + " / " + self(self, depth - 1);
      case 4:
        return "(" + self(self, depth - 1) + ")";
      case 5:
        return "-" + self(self, depth - 1);
      default:
        return "sin(" + self(self, depth - 1) + ")";
    }
  };
  mu::Parser other;
  int compared = 0;
  for (int i = 0; i < 2000; ++i) {
    const std::string text = write(write, 5);
    CAPTURE(text);
    double expected = 0.0;
    try {
      other.SetExpr(text);
      expected = other.Eval();
    } catch (const mu::Parser::exception_type&) {
      continue;  // it refuses signs after operators, which are allowed here
    }
    if (!std::isfinite(expected)) continue;
    double value = 0.0;
    try {
      value = evaluate(text, {}).value.si;
    } catch (const ExpressionError& error) {
      FAIL_CHECK(error.message);
      continue;
    }
    // cancellation in nested differences enlarges rounding; sin() of it is not enlarged further
    CHECK(std::abs(value - expected) <= 1e-9 * std::max(1.0, std::abs(expected)));
    ++compared;
  }
  CHECK(compared > 1000);
}
