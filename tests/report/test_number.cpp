#include "report/number.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>

using namespace feldspar::report;

TEST_CASE("digit_unit: the last digit is worth at least a third of the error") {
  struct Row {
    double error;
    double finest;
    double unit;
  };
  // Source: derived from the rule; 0.2 -> 0.1 is the example of the house style.
  constexpr Row kRows[] = {{0.2, 0.1, 0.1},    {0.3, 0.1, 0.1}, {0.31, 0.1, 1.0},
                           {0.02, 0.01, 0.01}, {3.0, 0.1, 1.0}, {3.1, 0.1, 10.0},
                           {0.001, 0.1, 0.1},  {0.0, 0.1, 0.1}, {120.0, 0.1, 100.0}};
  for (const Row& row : kRows) {
    CAPTURE(row.error);
    CHECK(digit_unit(row.error, row.finest) == doctest::Approx(row.unit).epsilon(1e-12));
  }
}

TEST_CASE("format_number: rounded to the unit, no false digits and no minus zero") {
  CHECK(format_number(51.2734, 0.1) == "51.3");
  CHECK(format_number(4837.0, 100.0) == "4800");
  CHECK(format_number(-0.04, 0.1) == "0.0");
  CHECK(format_number(-12.5, 0.1) == "-12.5");
  CHECK(format_number(0.6, 1.0) == "1");
  CHECK(format_number(std::nan(""), 0.1) == "-");
  CHECK(format_number(std::numeric_limits<double>::infinity(), 0.1) == "-");
  CHECK(format_signed(0.04, 0.1) == "+0.0");
  CHECK(format_signed(-3.14, 0.1) == "-3.1");
}

TEST_CASE("format_swr: fewer digits the higher it is and the less is known") {
  CHECK(format_swr(1.0734, 1e-4) == "1.07");
  CHECK(format_swr(1.0734, 0.2) == "1.1");  // 0.1 (1.07^2 + 1) = 0.22
  CHECK(format_swr(3.26, 1e-4) == "3.3");
  CHECK(format_swr(17.4, 1e-4) == "17");
  CHECK(format_swr(47.0, 0.01) == "50");  // 0.005 (47^2 + 1) = 11
  CHECK(format_swr(240.0, 1e-4) == ">99");
  CHECK(format_swr(std::numeric_limits<double>::infinity(), 0.0) == ">99");
  CHECK(format_swr(std::nan(""), 0.0) == ">99");
}

TEST_CASE("percent, gain, frequency, length, bearing and error as people write them") {
  CHECK(format_percent(0.4404, 0.001) == "44");
  CHECK(format_percent(0.0934, 0.001) == "9.3");
  CHECK(format_percent(0.0934, 0.02) == "9");
  CHECK(format_percent(0.0002, 0.0) == "<0.1");
  CHECK(format_percent(0.0, 0.0) == "0.0");
  CHECK(format_percent(-0.0002, 0.0) == "0.0");
  CHECK(format_gain(2.14, 0.001) == "+2.1");
  CHECK(format_gain(2.14, 0.1) == "+2");
  CHECK(format_gain(-290.0, 0.0) == "<-40");
  CHECK(format_frequency(7.1e6) == "7.1 MHz");
  CHECK(format_frequency(14e6) == "14.0 MHz");
  CHECK(format_frequency(5.3515e6) == "5.3515 MHz");
  CHECK(format_frequency(136e3) == "0.136 MHz");
  CHECK(format_length(5.2) == "5.20 m (17 ft 1 in)");  // 5.2 / 0.0254 = 204.7 in
  CHECK(format_length(3.048) == "3.05 m (10 ft)");
  CHECK(format_length(0.02) == "20 mm (1 in)");
  CHECK(format_length(0.002) == "2 mm");
  CHECK(format_length(-0.35) == "-0.35 m (1 ft 2 in)");  // 13.8 in below the ground
  CHECK(format_length_briefly(-0.05) == "-50 mm (2\")");
  CHECK(format_length_briefly(5.2) == "5.20 m (17'1\")");
  CHECK(format_length_briefly(0.02) == "20 mm (1\")");
  CHECK(format_length_briefly(0.002) == "2 mm");
  CHECK(format_bearing(359.7) == "0");
  CHECK(format_bearing(90.2) == "90");
  CHECK(format_bearing(-10.0) == "350");
  CHECK(format_error(0.0031) == "0.3 %");
  CHECK(format_error(0.44) == "40 %");
  CHECK(format_error(0.00002) == "below 0.1 %");
  CHECK(format_error(std::nan("")) == "unknown");
}

TEST_CASE("share_error: a share near 0 or 1 is known better than one in the middle") {
  CHECK(share_error(0.5, 0.1) == doctest::Approx(0.025));
  CHECK(share_error(0.98, 0.1) == doctest::Approx(0.00196));
  CHECK(share_error(-0.01, 0.1) == 0.0);
  // Source: derived. p = a / (a + b); a 1 % change of a / b.
  const double p = 0.3;
  const double ratio = p / (1.0 - p) * 1.01;
  CHECK(share_error(p, 0.01) == doctest::Approx(ratio / (1.0 + ratio) - p).epsilon(0.01));
}
