#include "circuit/feed.hpp"
#include "circuit/network_parameters.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
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
  return r.tuner + r.transformer + r.stub + r.two_port + r.line_matched + r.line_extra + r.antenna;
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
      const double which = unit(random);
      if (which < 0.15) {
        const CoreTransformer t = *ready_transformer(ready_transformer_names()[static_cast<std::size_t>(
            unit(random) * static_cast<double>(ready_transformer_names().size()))]);
        parts.emplace_back(t);
        chain = cascade(core_transformer_two_port(t, f), chain);
      } else if (which < 0.3) {
        const Stub stub{cable("RG-213", 0.1 + 12.0 * unit(random)), unit(random) < 0.5, unit(random) < 0.3};
        parts.emplace_back(stub);
        chain = cascade(stub_two_port(stub, f), chain);
      } else if (which < 0.5) {
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
    CHECK(r.stub >= 0.0);
    CHECK(r.line_matched >= 0.0);
    CHECK(r.line_matched + r.line_extra >= -1e-15);
    CHECK(r.swr_at_radio >= 1.0);
    CHECK(r.swr_on_line >= 1.0);
    const Complex input = input_impedance(chain, load);
    CHECK(std::abs(r.radio_impedance - input) <= 1e-9 * std::abs(input));
    CHECK(testing::relative_error(r.antenna, power_ratio(chain, load)) <= 1e-8);
    CHECK(testing::relative_error(r.loss_db, -10.0 * std::log10(r.antenna)) <= 1e-9);
    if (has_line) {
      const auto last =
          std::find_if(parts.rbegin(), parts.rend(), [](const FeedPart& p) { return p.index() == 1; });
      CHECK(testing::relative_error(r.swr_on_line, swr(line_load, std::get<Line>(*last).z0)) <= 1e-8);
    } else {
      CHECK(r.swr_on_line == r.swr_at_radio);
    }
  }
}

TEST_CASE("feed: each part's stage says what hangs on it, what enters and what is lost") {
  const core::Frequency f{7.1e6};
  const Complex load{12.0, -180.0};
  const std::vector<FeedPart> parts{*ready_transformer("4:1"), cable("RG-58", 8.0), Tuner{}};
  const FeedResult r = run_feed(parts, f, load, 50.0);
  REQUIRE(r.stages.size() == 3);
  CHECK(r.stages[0].load == load);
  CHECK(r.stages[1].load == r.stages[0].input);
  CHECK(r.stages[2].load == r.stages[1].input);
  CHECK(r.stages[2].entering == 1.0);
  CHECK(r.stages[1].entering == r.stages[2].entering - r.stages[2].lost);
  CHECK(r.stages[0].entering == r.stages[1].entering - r.stages[1].lost);
  CHECK(std::abs(r.antenna - (r.stages[0].entering - r.stages[0].lost)) <= 1e-15);
  CHECK(r.tuner == r.stages[2].lost);
  CHECK(r.transformer == r.stages[0].lost);
}

TEST_CASE("feed: a tuner within its range shows its reference resistance, another is passed by") {
  const core::Frequency f{7.1e6};
  Tuner tuner;
  tuner.largest_swr = 10.0;
  const FeedResult near = run_feed(std::vector<FeedPart>{tuner}, f, {20.0, 60.0}, 50.0);
  CHECK(std::abs(near.radio_impedance - 50.0) <= 1e-6);
  CHECK(near.tuner > 0.0);
  CHECK(near.stages[0].works);
  const Complex far_load{2.0, -800.0};
  const FeedResult far = run_feed(std::vector<FeedPart>{tuner}, f, far_load, 50.0);
  CHECK_FALSE(far.stages[0].works);
  CHECK(far.radio_impedance == far_load);
  CHECK(far.tuner == 0.0);
}

TEST_CASE("feed: a part measured as a line is that line, either way round") {
  const core::Frequency f{7.1e6};
  const Complex load{30.0, 40.0};
  CoreTransformer transformer = *ready_transformer("9:1");
  const auto s = scattering(core_transformer_two_port(transformer, f), PortReferences{}).value();
  MeasuredPart part;
  part.data.ports = 2;
  part.data.frequencies = {f.si};
  part.data.s = {s};
  part.transformer = true;
  const FeedResult known = run_feed(std::vector<FeedPart>{transformer}, f, load, 50.0);
  const FeedResult measured = run_feed(std::vector<FeedPart>{part}, f, load, 50.0);
  CHECK(std::abs(measured.radio_impedance - known.radio_impedance) <=
        1e-12 * std::abs(known.radio_impedance));
  CHECK(std::abs(measured.transformer - known.transformer) <= 1e-12);
  part.data.s = {{s[3], s[2], s[1], s[0]}};
  part.antenna_first = true;
  part.transformer = false;
  const FeedResult turned = run_feed(std::vector<FeedPart>{part}, f, load, 50.0);
  CHECK(std::abs(turned.radio_impedance - known.radio_impedance) <= 1e-12 * std::abs(known.radio_impedance));
  CHECK(std::abs(turned.two_port - known.transformer) <= 1e-12);
}

TEST_CASE("feed: an error of the load shows at the radio as the derivative says") {
  // Source: difference quotient, the tuner left out since a changed load would set it anew.
  const core::Frequency f{14.1e6};
  const Complex load{300.0, -500.0};
  const Stub stub{cable("RG-213", 2.0), true, false};
  const std::vector<FeedPart> chains[] = {{*ready_transformer("9:1")},
                                          {cable("RG-58", 17.0)},
                                          {make_transformer(4.0, {}), cable("RG-59", 300.0)},
                                          {*ready_transformer("4:1"), stub, cable("RG-58", 10.0)}};
  for (const std::vector<FeedPart>& parts : chains) {
    const Complex h{1e-3, 1e-3};
    const FeedResult at = run_feed(parts, f, load, 50.0);
    const Complex change = run_feed(parts, f, load + h, 50.0).radio_impedance -
                           run_feed(parts, f, load - h, 50.0).radio_impedance;
    CHECK(at.sensitivity == doctest::Approx(std::abs(change / (2.0 * h))).epsilon(1e-6));
  }
  // A lossless match takes an error relative to R, not to |Z|: |dZ| / R of the load is that of the radio.
  Tuner tuner;
  tuner.coil_q = tuner.capacitor_q = tuner.largest_swr = std::numeric_limits<double>::infinity();
  const FeedResult matched = run_feed(std::vector<FeedPart>{tuner}, f, {0.5, -5320.0}, 50.0);
  CHECK(matched.sensitivity / 50.0 == doctest::Approx(1.0 / 0.5).epsilon(1e-6));
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
