#include "study/dips.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <vector>

using namespace feldspar;

namespace {

// Source: derived. A valley of SWR, lowest at `f0`, that has risen by 1 at f0 (1 +- half).
double valley(double f, double f0, double lowest, double half) {
  const double x = (f / f0 - 1.0) / half;
  return lowest + x * x;
}

}  // namespace

TEST_CASE("find_dips: every valley, at its bottom, and nothing at the ends") {
  const auto curve = [](double f) {
    return std::min({valley(f, 7.05e6, 1.3, 0.004), valley(f, 21.3e6, 3.6, 0.01), 30.0 - f / 54e6});
  };
  const auto dips = study::find_dips(curve, study::fine_grid(1.8e6, 54e6));
  REQUIRE(dips.size() == 2);
  CHECK(std::abs(dips[0].frequency - 7.05e6) < 7.05);
  CHECK(dips[0].swr == doctest::Approx(1.3).epsilon(1e-6));
  CHECK(std::abs(dips[1].frequency - 21.3e6) < 21.3);
  CHECK(dips[1].swr == doctest::Approx(3.6).epsilon(1e-6));
  CHECK(study::find_dips([](double f) { return f / 1e6; }, study::fine_grid(1.8e6, 54e6)).empty());
}

TEST_CASE("find_dips: ripple is no dip, and a dip above the ceiling is none") {
  const auto grid = study::fine_grid(1.8e6, 54e6);
  CHECK(study::find_dips([](double f) { return 3.0 + 0.1 * std::sin(f / 1e6); }, grid).empty());
  CHECK(study::find_dips([](double f) { return 15.0 + 4.0 * std::sin(f / 1e6); }, grid).empty());
  CHECK(study::find_dips([](double f) { return 5.0 + 2.0 * std::sin(f / 1e6); }, grid).size() ==
        8);  // 52.2 / 2 pi
}

TEST_CASE("find_extremes and width_below: inside the band, cut at its edges") {
  struct Row {
    double f0;
    double lowest;
    double half;
    double width;  // below 2 within 7.0 .. 7.2 MHz
  };
  // Source: derived from the valley's formula.
  constexpr Row kRows[] = {
      {7.10e6, 1.2, 0.005, 71e3},    // inside: 2 half f0
      {7.00e6, 1.2, 0.005, 35e3},    // bottom at the edge: half of it
      {7.18e6, 1.2, 0.005, 55.9e3},  // reaches over the upper edge: half f0 + 20 kHz
      {7.10e6, 1.2, 0.05, 200e3},    // the whole band
      {7.10e6, 2.5, 0.005, 0.0},     // never below
  };
  for (const Row& row : kRows) {
    CAPTURE(row.f0);
    CAPTURE(row.lowest);
    const auto curve = [&](double f) {
      const double x = (f / row.f0 - 1.0) / row.half;
      return row.lowest + (row.lowest < 2.0 ? 2.0 - row.lowest : 1.0) * x * x;
    };
    const auto grid = study::fine_grid(7.0e6, 7.2e6);
    const auto found = study::find_extremes(curve, grid);
    CHECK(std::abs(found.lowest.frequency - row.f0) < 100.0);
    CHECK(found.lowest.swr == doctest::Approx(row.lowest).epsilon(1e-5));
    CHECK(found.largest.swr == doctest::Approx(std::max(curve(7.0e6), curve(7.2e6))).epsilon(1e-9));
    CHECK(std::abs(study::width_below(curve, grid, found.lowest.frequency, 2.0) - row.width) < 1.0);
  }
}
