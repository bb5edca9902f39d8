#include "results/sweep.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace feldspar::results;

namespace {

SweepLayout layout(std::vector<double> heights, std::vector<std::string> soils) {
  SweepLayout layout;
  layout.cases = {{"height", heights.size(), {{"height", "m", "", std::move(heights), {}}}},
                  {"soil", soils.size(), {{"soil", "", "", {}, std::move(soils)}}}};
  layout.spectrum = {{"frequency", 2, {{"frequency", "Hz", "", {7e6, 14e6}, {}}}}};
  layout.frequencies = {7e6, 14e6};
  return layout;
}

}  // namespace

TEST_CASE("cases are counted with the last axis fastest") {
  const SweepLayout plan = layout({1, 2, 3}, {"poor", "rich"});
  CHECK(plan.count() == 6);
  CHECK(plan.split(0) == std::vector<std::size_t>{0, 0});
  CHECK(plan.split(3) == std::vector<std::size_t>{1, 1});
  CHECK(plan.split(4) == std::vector<std::size_t>{2, 0});
}

TEST_CASE("cases of a smaller layout are found in a larger one, wherever the new values stand") {
  const SweepLayout before = layout({1, 3}, {"poor", "rich"});
  const SweepLayout now = layout({1, 2, 3}, {"rich", "wet", "poor"});
  const CaseMap map(before, now);
  CHECK(map.complete());
  for (std::size_t i = 0; i < now.count(); ++i) {
    const auto along = now.split(i);
    const double height = now.cases[0].coordinates[0].numbers[along[0]];
    const std::string soil = now.cases[1].coordinates[0].words[along[1]];
    const std::size_t there = map.before(i);
    CHECK((there < before.count()) == (height != 2 && soil != "wet"));
    if (there >= before.count()) continue;
    CHECK(before.cases[0].coordinates[0].numbers[before.split(there)[0]] == height);
    CHECK(before.cases[1].coordinates[0].words[before.split(there)[1]] == soil);
  }
  CHECK_FALSE(CaseMap(now, before).complete());
}

TEST_CASE("values of a case stand where their quantities say, and NaN where there are none") {
  SweepLayout plan = layout({1}, {"poor"});
  set_quantities(plan, {true, true, true}, {"whip", "radial"});
  FrequencyResult result;
  result.ports = {{"feed", {50.0, -3.0}}};
  result.swr_at_radio = 1.5;
  result.power.sky = 42.0;
  result.unknowns = 7;
  result.pattern_dbi.assign(kPatternElevations * kPatternBearings, 1.0);
  result.pattern_dbi[kPatternBearings + 2] = 9.0;
  result.currents = {{"radial (1)", std::vector<std::complex<double>>(kCurrentPlaces, {2.0, 3.0})},
                     {"radial (2)", std::vector<std::complex<double>>(kCurrentPlaces, {5.0, 5.0})}};
  FrequencyResult bare;
  const std::vector<double> values = sweep_values(plan, {bare, result}, 12.5);
  REQUIRE(values.size() == plan.values());
  const auto first = [&](const std::string& name) {
    std::size_t at = 0;
    for (const Quantity& quantity : plan.quantities) {
      if (quantity.name == name) return at;
      at += plan.values(quantity);
    }
    FAIL(name);
    return at;
  };
  CHECK(std::isnan(values[first("resistance")]));
  CHECK(values[first("resistance") + 1] == 50.0);
  CHECK(values[first("reactance") + 1] == -3.0);
  CHECK(values[first("swr_at_radio") + 1] == 1.5);
  CHECK(std::isnan(values[first("gain") + 1]));
  CHECK(values[first("power_sky") + 1] == 42.0);
  CHECK(std::isnan(values[first("power_sky")]));  // a known antenna's is not known
  const std::size_t directions = kPatternElevations * kPatternBearings;
  CHECK(std::isnan(values[first("pattern")]));
  CHECK(values[first("pattern") + directions + kPatternBearings + 2] == 9.0);
  CHECK(values[first("current_real") + 2 * kCurrentPlaces + kCurrentPlaces] == 2.0);
  CHECK(values[first("current_imaginary") + 4 * kCurrentPlaces - 1] == 3.0);
  CHECK(std::isnan(values[first("current_real") + 2 * kCurrentPlaces]));  // no whip
  CHECK(values[first("total_wire")] == 12.5);
  CHECK(values[first("unknowns")] == 7.0);
  CHECK(first_copy("radial (1)") == "radial");
  CHECK(first_copy("radial (12)").empty());
  CHECK(first_copy("whip") == "whip");
}
