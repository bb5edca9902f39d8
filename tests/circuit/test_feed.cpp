#include "circuit/feed.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

#include "../support/close.hpp"
#include "circuit/line.hpp"
#include "circuit/line_types.hpp"
#include "circuit/transformer.hpp"
#include "core/error.hpp"

namespace feldspar::circuit {
namespace {

Line cable(const char* type, double length) {
  Line line = *line_type(type);
  line.length = length;
  return line;
}

double sum(const FeedResult& r) {
  return r.transformer + r.line_matched + r.line_extra + r.antenna;
}

}  // namespace

TEST_CASE("feed: no parts") {
  const FeedResult r = run_feed({}, core::Frequency{7.1e6}, {25.0, 10.0}, 50.0);
  CHECK(r.radio_impedance == Complex{25.0, 10.0});
  CHECK(r.swr_on_line == r.swr_at_radio);
  CHECK(r.swr_at_radio == swr({25.0, 10.0}, 50.0));
  CHECK(r.antenna == 1.0);
  CHECK(r.line_loss_db == 0.0);
}

TEST_CASE("feed: a mismatched coax splits its exact loss into matched and extra") {
  // Source: published check values, line with complex z0 (derived): loss and matched loss in dB.
  const struct {
    double f, length;
    Complex load;
    double matched, loss;
  } rows[] = {{1.85e6, 3.0, {2.0, 0.0}, 0.0574517163, 1.26558804},
              {1.85e6, 3.0, {1000.0, 0.0}, 0.0574517163, 0.0197708756},
              {7.1e6, 2.0, {500.0, -1000.0}, 0.0767165048, 0.338558882},
              {3.6e6, 30.48, {25.0, -100.0}, 0.82421712, 2.96701418}};
  for (const auto& row : rows) {
    CAPTURE(row.load);
    const std::vector<FeedPart> parts{cable("RG-58", row.length)};
    const FeedResult r = run_feed(parts, core::Frequency{row.f}, row.load, 50.0);
    CHECK(std::abs(r.line_matched - (1.0 - std::pow(10.0, -0.1 * row.matched))) <= 2e-9);
    CHECK(std::abs(r.line_matched + r.line_extra - (1.0 - std::pow(10.0, -0.1 * row.loss))) <= 2e-9);
    CHECK(std::abs(r.line_loss_db - row.loss) <= 1e-8);
    CHECK(std::abs(sum(r) - 1.0) <= 1e-12);
    CHECK(r.swr_on_line == swr(row.load, 50.0));
    CHECK((r.line_extra < 0.0) == (row.loss < row.matched));
  }
}

TEST_CASE("feed: random chains agree with the product of chain matrices and never make power") {
  std::mt19937_64 random(42);
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  for (int i = 0; i < 2000; ++i) {
    std::vector<FeedPart> parts;
    TwoPort chain;  // the independent route: one matrix for everything
    const core::Frequency f{1.8e6 * std::pow(30.0, unit(random))};
    const int count = static_cast<int>(unit(random) * 5.0);
    Complex line_load = 0.0;
    bool has_line = false;
    const Complex load{std::pow(10.0, 4.0 * unit(random) - 1.0), 3000.0 * (unit(random) - 0.5)};
    for (int k = 0; k < count; ++k) {
      if (unit(random) < 0.4) {
        const Transformer t{std::pow(10.0, 2.0 * unit(random) - 0.5), unit(random) < 0.3 ? 0.0 : unit(random),
                            false};
        parts.emplace_back(t);
        chain = cascade(transformer_two_port(t, 50.0), chain);
      } else {
        const Line line =
            cable(unit(random) < 0.5 ? "RG-58" : "RG-59", unit(random) < 0.1 ? 0.0 : 25.0 * unit(random));
        line_load = input_impedance(chain, load);
        has_line = true;
        parts.emplace_back(line);
        chain = cascade(line_two_port(line_constants(line, f), line.length), chain);
      }
    }
    CAPTURE(i);
    CAPTURE(load);
    const FeedResult r = run_feed(parts, f, load, 50.0);
    CHECK(std::abs(sum(r) - 1.0) <= 1e-12);
    CHECK(r.antenna <= 1.0);
    CHECK(r.antenna > 0.0);
    CHECK(r.transformer >= 0.0);
    CHECK(r.line_matched >= 0.0);
    CHECK(r.line_matched + r.line_extra >= -1e-15);
    CHECK(r.swr_at_radio >= 1.0);
    CHECK(r.swr_on_line >= 1.0);
    const Complex input = input_impedance(chain, load);
    CHECK(std::abs(r.radio_impedance - input) <= 1e-9 * std::abs(input));
    CHECK(testing::relative_error(r.antenna, power_ratio(chain, load)) <= 1e-8);
    CHECK(testing::relative_error(feed_loss_db(parts, f, load, 50.0), -10.0 * std::log10(r.antenna)) <= 1e-9);
    if (has_line) {
      const auto last =
          std::find_if(parts.rbegin(), parts.rend(), [](const FeedPart& p) { return p.index() == 1; });
      CHECK(testing::relative_error(r.swr_on_line, swr(line_load, std::get<Line>(*last).z0)) <= 1e-8);
    } else {
      CHECK(r.swr_on_line == r.swr_at_radio);
    }
  }
}

TEST_CASE("feed: loads at the edge") {
  const std::vector<FeedPart> parts{make_transformer(9.0, {}), cable("RG-58", 10.0)};
  const core::Frequency f{7.1e6};
  const FeedResult nothing = run_feed(parts, f, {0.0, -300.0}, 50.0);
  CHECK(nothing.antenna == 0.0);
  CHECK(std::abs(sum(nothing) - 1.0) <= 1e-12);
  CHECK(nothing.swr_at_radio > 1.0);
  const std::vector<FeedPart> lossless{make_transformer(9.0, 0.0)};
  const FeedResult open = run_feed(lossless, f, {0.0, -300.0}, 50.0);
  CHECK(open.antenna == 1.0);
  CHECK(std::isinf(open.swr_at_radio));
  CHECK_THROWS_AS((void)run_feed(parts, f, {-1.0, 0.0}, 50.0), core::Error);
  CHECK_THROWS_AS((void)run_feed(parts, f, {NAN, 0.0}, 50.0), core::Error);
  CHECK_THROWS_AS((void)run_feed(parts, f, {50.0, 0.0}, 0.0), core::Error);
}

}  // namespace feldspar::circuit
