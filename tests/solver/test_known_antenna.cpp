#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "../support/close.hpp"
#include "circuit/line.hpp"
#include "circuit/line_types.hpp"
#include "circuit/transformer.hpp"
#include "solver/solve.hpp"

namespace feldspar {

namespace {

using Complex = std::complex<double>;

model::Model known(Complex impedance) {
  model::Model model;
  model.name = "known";
  model.antenna = circuit::KnownAntenna{impedance, {}};
  return model;
}

circuit::Line cable(double length) {
  circuit::Line line = *circuit::line_type("RG-58");
  line.length = length;
  return line;
}

/// All but `radio`.
double sum(const results::PowerBudget& p) {
  return p.tuner + p.line_matched + p.line_extra + p.stub + p.transformer + p.two_port + p.choke + p.antenna +
         p.coils + p.wires + p.ground + p.sky + p.unaccounted;
}

}  // namespace

TEST_CASE("solve: a known antenna through feeds; watts add up to 1e-9, nothing about fields is made up") {
  const std::vector<std::vector<circuit::FeedPart>> feeds = {
      {},
      {cable(13.7)},
      {circuit::make_transformer(9.0, 0.5)},
      {circuit::make_transformer(49.0, {}), cable(20.0), circuit::make_transformer(0.25, 0.0), cable(3.0)}};
  for (const Complex z :
       {Complex{13.6, -1000.0}, Complex{50.0, 0.0}, Complex{4000.0, 800.0}, Complex{1e-3, 2.0}})
    for (const auto& feed : feeds)
      for (const double f : {1.85e6, 7e6, 29e6, 146e6}) {
        model::Model model = known(z);
        model.feed.parts = feed;
        model.feed.power = 73.0;
        const results::FrequencyResult result = solver::solve(model, core::Frequency{f});
        REQUIRE(result.ports.size() == 1);
        CHECK(result.ports[0].impedance == z);
        CHECK(result.power.radio == 73.0);
        CHECK(std::abs(sum(result.power) - 73.0) <= 1e-9 * 73.0);
        CHECK(result.power.antenna > 0.0);
        for (const double part :
             {result.power.coils, result.power.wires, result.power.ground, result.power.sky})
          CHECK(part == 0.0);
        CHECK_FALSE(result.gain_dbi);
        CHECK_FALSE(result.gain_from_radio_dbi);
        CHECK_FALSE(result.radiation_efficiency);
        CHECK(result.gain_at_elevation.empty());
        CHECK_FALSE(result.ground_by_difference);
        CHECK(result.unknowns == 0);
        CHECK(result.impedance_error_relative == 0.0);
        CHECK(result.resistance_error == 0.0);
      }
}

TEST_CASE("solve: a known antenna's impedance at the radio is that of the line alone") {
  model::Model model = known({13.6, -1000.0});
  model.feed.parts = {cable(13.7)};
  const core::Frequency f{7e6};
  const circuit::LineConstants line = circuit::line_constants(cable(0.0), f);
  const results::FrequencyResult result = solver::solve(model, f);
  CHECK(testing::relative_error(result.radio_impedance, circuit::line_input(line, 13.7, {13.6, -1000.0})) <=
        1e-12);
  // What the antenna takes, from the line's loss by another way: 10^(-dB/10).
  const double share = std::pow(10.0, -0.1 * circuit::line_loss_db(line, 13.7, {13.6, -1000.0}));
  CHECK(testing::relative_error(result.power.antenna, 100.0 * share) <= 1e-9);
}

TEST_CASE("solve: an antenna by table, inside it and outside") {
  model::Model model = known({});
  model.antenna->table = circuit::NetworkData{1, {7e6, 8e6}, {{0.5}, {1.0}}, {50.0, 50.0}, "loop.s1p"};
  CHECK(testing::relative_error(solver::solve(model, core::Frequency{7e6}).ports[0].impedance, 150.0) <=
        1e-14);
  CHECK_THROWS_WITH_AS((void)solver::solve(model, core::Frequency{9e6}), doctest::Contains("from 7 to 8 MHz"),
                       core::Error);
  const auto open = solver::solve(model, core::Frequency{8e6});  // S = 1
  CHECK(open.warnings.size() == 1);
  CHECK(open.warnings[0].code == "nearly-open");
  model.antenna->table->s[1] = {-1.0};
  const auto shorted = solver::solve(model, core::Frequency{8e6});
  REQUIRE(shorted.warnings.size() == 1);
  CHECK(shorted.warnings[0].code == "no-resistance");
}

TEST_CASE("solve: rows too far apart to be interpolated are warned of, the antenna's and a part's") {
  const auto has = [](const results::FrequencyResult& result) {
    return std::any_of(result.warnings.begin(), result.warnings.end(),
                       [](const core::Warning& warning) { return warning.code == "sparse-table"; });
  };
  model::Model model = known({});
  model.antenna->table = circuit::NetworkData{1, {7e6, 8e6}, {{0.6}, {-0.6}}, {50.0, 50.0}, "loop.s1p"};
  CHECK(has(solver::solve(model, core::Frequency{7.5e6})));
  model.antenna->table->s[1] = {0.5};
  CHECK_FALSE(has(solver::solve(model, core::Frequency{7.5e6})));
  circuit::MeasuredPart part;  // a line that turns by half a turn from row to row
  part.data = {2, {7e6, 8e6}, {{0.0, 1.0, 1.0, 0.0}, {0.0, -1.0, -1.0, 0.0}}, {50.0, 50.0}, "line.s2p"};
  model.feed.parts = {part};
  CHECK(has(solver::solve(model, core::Frequency{7.3e6})));
}

TEST_CASE("check: a known antenna says where its table does not reach, and nothing of geometry") {
  model::Model model = known({50.0, 0.0});
  CHECK(solver::check(model, core::Frequency{7e6}).warnings.empty());
  model.antenna->table = circuit::NetworkData{1, {7e6, 8e6}, {{0.5}, {0.5}}, {50.0, 50.0}, "loop.s1p"};
  CHECK(solver::check(model, core::Frequency{7.5e6}).warnings.empty());
  const auto report = solver::check(model, core::Frequency{3.5e6});
  REQUIRE(report.warnings.size() == 1);
  CHECK(report.warnings[0].code == "antenna-table");
  CHECK(report.wires.empty());
  CHECK(report.unknowns == 0);
  CHECK_THROWS_AS((void)solver::check(model, core::Frequency{-1.0}), core::Error);
}

}  // namespace feldspar
