#include <doctest/doctest.h>

#include <cmath>

#include "../support/close.hpp"
#include "rigs.hpp"

namespace feldspar::solver {

using testing::relative_error;

namespace {

const results::WireEnd* end_of(const results::FrequencyResult& result, const std::string& wire, bool start) {
  for (const results::WireEnd& end : result.wire_ends)
    if (end.wire == wire && end.start == start) return &end;
  return nullptr;
}

}  // namespace

TEST_CASE("wire ends: a half-wave dipole at 100 W") {
  // Derived: each half is an open line of the mean characteristic impedance 60 (ln(2h/a) - 1) ohm, a quarter
  // wave long; the port's current is sqrt(P/R). A mean for an impedance that grows to the end: 10 %
  // (tests/moment/test_end_potential.cpp).
  const model::Model model = testing::dipole(0.0);
  const results::FrequencyResult result = solve(model, testing::kFrequency);
  const double z = 60.0 * (std::log(2.0 * 5.15 / 7.5e-4) - 1.0);
  const double current = std::sqrt(100.0 / result.ports.front().impedance.real());
  REQUIRE(result.wire_ends.size() == 2);
  for (const results::WireEnd& end : result.wire_ends) {
    CHECK(relative_error(end.voltage, z * current) <= 0.1);
    CHECK(end.copies == 1);
    CHECK_FALSE(end.within_reach);  // no ground to stand on
  }
  CHECK(relative_error(result.wire_ends[0].voltage, result.wire_ends[1].voltage) <= 1e-9);
}

TEST_CASE("wire ends: voltage goes with the root of the power that reaches the port") {
  model::Model model = testing::dipole(6.0, testing::average_soil());
  const double before = solve(model, testing::kFrequency).wire_ends.front().voltage;
  model.feed.power = 25.0;
  CHECK(relative_error(solve(model, testing::kFrequency).wire_ends.front().voltage, 0.5 * before) <= 1e-9);
  model.feed.parts = {circuit::Transformer{1.0, 3.0, false}};
  const results::FrequencyResult result = solve(model, testing::kFrequency);
  const double kept = 1.0 - result.power.transformer / 25.0;
  CHECK(kept < 0.51);
  CHECK(relative_error(result.wire_ends.front().voltage, 0.5 * std::sqrt(kept) * before) <= 1e-9);
}

TEST_CASE("wire ends: copies stand together, and low ones are within reach") {
  const results::FrequencyResult result =
      solve(testing::whip(0.02, testing::average_soil()), testing::kFrequency);
  REQUIRE(result.wire_ends.size() == 2);
  const results::WireEnd* whip = end_of(result, "whip", false);
  const results::WireEnd* radial = end_of(result, "radial (1)", false);
  REQUIRE(whip != nullptr);
  REQUIRE(radial != nullptr);
  CHECK(radial->copies == 4);
  CHECK(radial->z == 0.02);
  CHECK(radial->x == 5.0);
  CHECK(radial->within_reach == (radial->voltage > 50.0));
  CHECK(whip->z == doctest::Approx(5.12));
  CHECK_FALSE(whip->within_reach);
  CHECK(result.wire_ends.front().voltage >= result.wire_ends.back().voltage);

  // Derived: |Z| sqrt(P / R) across the port, which is at the height of the whip's foot and half the gap.
  const std::complex<double> z = result.ports.front().impedance;
  REQUIRE(result.feed_point.has_value());
  CHECK(relative_error(result.feed_point->voltage, std::abs(z) * std::sqrt(100.0 / z.real())) <= 1e-9);
  CHECK(relative_error(result.feed_point->z, 0.023) <= 1e-9);
  CHECK(result.feed_point->within_reach == (result.feed_point->voltage > 50.0));

  // The same rig's tip within reach: a whip of 1.5 m with 100 W.
  model::Model small = testing::whip(0.02, testing::average_soil());
  small.structure.wires[0].path[1].z() = 1.52;
  const results::FrequencyResult low = solve(small, testing::kFrequency);
  REQUIRE(end_of(low, "whip", false) != nullptr);
  CHECK(end_of(low, "whip", false)->within_reach);
  CHECK(end_of(low, "whip", false)->voltage > 500.0);
}

TEST_CASE("wire ends: copies at different voltages stand apart, and ends in the soil are left out") {
  model::Model model = testing::whip(0.5, testing::average_soil());
  model.structure.wires.push_back(testing::wire("mast", {{3, 1, 0.1}, {3, 1, 6}}));  // breaks the symmetry
  int ends = 0;
  for (const results::WireEnd& end : solve(model, testing::kFrequency).wire_ends) {
    ends += end.copies;
    if (end.wire.starts_with("radial")) CHECK(end.copies < 4);
  }
  CHECK(ends == 7);
  model::Model stake = testing::model_of({testing::wire("whip", {{0, 0, -0.4}, {0, 0, 5}}, 3e-3)},
                                         {testing::port("feed", 0, 0.6, 0.01)}, testing::average_soil());
  const results::FrequencyResult result = solve(stake, testing::kFrequency);
  REQUIRE(result.wire_ends.size() == 1);
  CHECK(result.wire_ends.front().z == 5.0);
}

TEST_CASE("wire ends: none without fields") {
  Options options;
  options.fields = false;
  CHECK(solve(testing::dipole(6.0), testing::kFrequency, options).wire_ends.empty());
}

}  // namespace feldspar::solver
