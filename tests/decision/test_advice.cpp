#include "decision/advice.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace feldspar::decision {

TEST_CASE("tuner_advice: limits 2, 3 and 10 belong to the better side") {
  struct Row {
    double swr;
    Tuner tuner;
    const char* key;
    const char* word;
  };
  // Source: the promise to users (2, 3 and 10); common practice, no literature.
  const Row rows[] = {
      {1.0, Tuner::none, "none", "none"},
      {2.0, Tuner::none, "none", "none"},
      {std::nextafter(2.0, 3.0), Tuner::radio, "radio", "radio's own"},
      {3.0, Tuner::radio, "radio", "radio's own"},
      {std::nextafter(3.0, 4.0), Tuner::wide_range, "wide-range", "wide-range"},
      {10.0, Tuner::wide_range, "wide-range", "wide-range"},
      {std::nextafter(10.0, 11.0), Tuner::out_of_range, "out-of-range", "out of range"},
      {INFINITY, Tuner::out_of_range, "out-of-range", "out of range"},
      {NAN, Tuner::out_of_range, "out-of-range", "out of range"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.swr);
    CHECK(tuner_advice(row.swr) == row.tuner);
    CHECK(tuner_key(row.tuner) == row.key);
    CHECK(tuner_word(row.tuner) == row.word);
  }
  CHECK(tuner_text(Tuner::radio, 3.0) == "radio's own");
  CHECK(tuner_text(Tuner::out_of_range, 7.44) ==
        "out of range for a tuner at the radio (line would lose 7.4 dB)");
  CHECK(tuner_text(Tuner::out_of_range, {}) == "out of range for a tuner at the radio");
}

TEST_CASE("low_swr_comes_from_loss: SWR below 2 and less than 20 % to the sky") {
  results::PowerBudget power;
  power.radio = 50.0;
  power.sky = 9.99;
  CHECK(low_swr_comes_from_loss(1.99, power));
  CHECK_FALSE(low_swr_comes_from_loss(2.0, power));
  CHECK_FALSE(low_swr_comes_from_loss(NAN, power));
  power.sky = 10.0;
  CHECK_FALSE(low_swr_comes_from_loss(1.1, power));
  power.sky = 5.0;
  CHECK(low_swr_comes_from_loss(1.1, power));
  power.tuner = 5.0;  // a tuner of the model's own makes the match
  CHECK_FALSE(low_swr_comes_from_loss(1.1, power));
  CHECK_FALSE(low_swr_comes_from_loss(1.1, {}));  // nothing was computed
}

TEST_CASE("largest_losses: order, names and what is left out") {
  results::PowerBudget power;
  power.radio = 200.0;
  power.line_matched = 10.0;
  power.line_extra = -4.0;  // a short line into a high resistance
  power.transformer = 20.0;
  power.wires = 0.1;  // 0.05 %
  power.ground = 90.0;
  power.sky = 83.9;
  const std::vector<Loss> two = largest_losses(power);
  REQUIRE(two.size() == 2);
  CHECK(two[0].name == "ground");
  CHECK(two[0].power == 90.0);
  CHECK(two[0].share == 0.45);
  CHECK(two[1].name == "transformer");
  const std::vector<Loss> all = largest_losses(power, 9);
  REQUIRE(all.size() == 3);
  CHECK(all[2].name == "line");
  CHECK(all[2].power == 6.0);
  CHECK(largest_losses(power, 0).empty());
  CHECK(largest_losses({}).empty());
}

TEST_CASE("largest_losses: no part of the budget is forgotten") {
  struct Row {
    double results::PowerBudget::*watts;
    const char* name;
  };
  using P = results::PowerBudget;
  const Row rows[] = {
      {&P::tuner, "tuner"},  {&P::line_matched, "line"},         {&P::line_extra, "line"},
      {&P::stub, "stub"},    {&P::transformer, "transformer"},   {&P::two_port, "measured part"},
      {&P::choke, "choke"},  {&P::coils, "coils and resistors"}, {&P::wires, "wires"},
      {&P::ground, "ground"}};
  for (const Row& row : rows) {
    CAPTURE(row.name);
    results::PowerBudget power;
    power.radio = 100.0;
    power.*row.watts = 60.0;
    power.sky = 40.0;
    const std::vector<Loss> losses = largest_losses(power, 9);
    REQUIRE(losses.size() == 1);
    CHECK(losses[0].name == row.name);
    CHECK(losses[0].share == 0.6);
  }
}

TEST_CASE("touch_range: wide only when it shows on a meter and is more than error") {
  const auto end = [](double swr, double error) {
    results::TouchEnd one;
    one.swr_at_radio = swr;
    one.radio_error_relative = error;
    return one;
  };
  constexpr double kInfinite = std::numeric_limits<double>::infinity();
  struct Row {
    double open, operated, earthed, error;
    bool wide;
  };
  // The error e of the impedance makes one of e (S^2 + 1) / 2 in the SWR (derived, report/number.hpp).
  const Row rows[] = {{1.5, 1.6, 1.7, 1e-3, false},     // 1.13
                      {1.5, 1.81, 1.7, 1e-3, true},     // 1.207
                      {1.81, 1.6, 1.5, 1e-3, true},     //
                      {20.0, 25.0, 20.0, 1e-3, true},   // 1.25, 5 +- 0.5
                      {20.0, 25.0, 20.0, 0.02, false},  // 1.25, 5 +- 10
                      {kInfinite, 30.0, 31.0, 0.0, true}, {kInfinite, kInfinite, kInfinite, 0.0, false}};
  for (const Row& row : rows) {
    CAPTURE(row.operated);
    const TouchRange range =
        touch_range({end(row.open, row.error), end(row.operated, row.error), end(row.earthed, row.error)});
    CHECK(range.ends == 3);
    CHECK(range.lowest == std::min({row.open, row.operated, row.earthed}));
    CHECK(range.largest == std::max({row.open, row.operated, row.earthed}));
    CHECK(range.line_is_antenna == row.wide);
  }
  const TouchRange two = touch_range({end(3.0, 0.0), {}, end(2.0, 0.0)});
  CHECK(two.ends == 2);
  CHECK(two.line_is_antenna);
  const TouchRange one = touch_range({{}, end(3.0, 0.0), {}});
  CHECK(one.ends == 1);
  CHECK_FALSE(one.line_is_antenna);
  CHECK(touch_range({}).ends == 0);
}

TEST_CASE("advise: a band's row") {
  results::BandRow row;
  row.largest.swr = 24.0;
  row.line_loss_at_largest = 4.26;
  row.at_middle.swr_at_radio = 1.4;
  row.at_middle.power.radio = 100.0;
  row.at_middle.power.ground = 85.0;
  row.at_middle.power.sky = 15.0;
  const BandAdvice advice = advise(row);
  CHECK(advice.tuner == Tuner::out_of_range);
  CHECK(advice.tuner_text == "out of range for a tuner at the radio (line would lose 4.3 dB)");
  CHECK(advice.low_swr_from_loss);
  REQUIRE(advice.losses.size() == 1);
  CHECK(advice.losses[0].name == "ground");
  row.line_loss_at_largest = 0.0;
  CHECK(advise(row).tuner_text == "out of range for a tuner at the radio");
}

}  // namespace feldspar::decision
