#include "study/solved_curve.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>
#include <string>

#include "io/model_file.hpp"
#include "study/solve_model.hpp"

using namespace feldspar;

namespace {

struct Row {
  const char* name;
  std::vector<model::Setting> settings;
  int max_solves;
};

/// Whips up to 6 m: 16 solves; up to 30 m of wire: 36.
std::vector<Row> rows() {
  return {{"whip-ground-radials", {}, 16}, {"whip-short", {{"coil_q", "300", {}}}, 16},
          {"whip-stake-alone", {}, 16},    {"dipole", {}, 36},
          {"inverted-v", {}, 36},          {"sloping-wire", {}, 36}};
}

double relative(std::complex<double> a, std::complex<double> right) {
  return std::abs(a - right) / std::abs(right);
}

}  // namespace

TEST_CASE("solved curve: every point within 0.1 % of its own solve, from few solves") {
  for (const Row& row : rows()) {
    CAPTURE(std::string(row.name));
    const model::Model model = io::load_family(row.name).instantiate(row.settings);
    const auto curve = study::curves_of(model)(1.8e6, 54e6);
    const study::SolveFunction solve = study::solver_for(model);
    CHECK(curve->converged);
    CHECK(curve->solves <= row.max_solves);
    std::mt19937 random(20261126);
    std::uniform_real_distribution<double> uniform(0.0, 1.0);
    double worst = 0.0;
    for (int i = 0; i < 24; ++i) {  // half of them evenly, half by octaves
      const double share = uniform(random);
      const double f = i % 2 == 0 ? 1.8e6 + 52.2e6 * share : 1.8e6 * std::pow(30.0, share);
      const results::FrequencyResult own = solve(core::Frequency{f}, false);
      worst = std::max(worst, relative(curve->impedance(f), own.ports[0].impedance));
    }
    MESSAGE(std::string(row.name) << ": " << curve->solves << " solves, worst " << worst);
    CHECK(worst < 1e-3);
  }
}

TEST_CASE("solved curve: fields, power and voltages between the solves are those of a solve") {
  for (const Row& row : rows()) {
    CAPTURE(std::string(row.name));
    const model::Model model = io::load_family(row.name).instantiate(row.settings);
    const auto curve = study::curves_of(model)(1.8e6, 54e6);
    const study::SolveFunction solve = study::solver_for(model);
    for (const double f : {2.31e6, 8.87e6, 26.3e6}) {
      CAPTURE(f);
      const results::FrequencyResult own = solve(core::Frequency{f}, true);
      const results::FrequencyResult between = curve->result(core::Frequency{f}, true);
      CHECK(between.unknowns == own.unknowns);
      REQUIRE(between.gain_dbi.has_value());
      CHECK(std::abs(*between.gain_dbi - *own.gain_dbi) < 0.05);  // dB
      CHECK(std::abs(*between.radiation_efficiency / *own.radiation_efficiency - 1.0) < 0.01);
      CHECK(std::abs(between.power.ground - own.power.ground) < 0.005 * own.power.radio);
      CHECK(std::abs(between.power.coils - own.power.coils) < 0.005 * own.power.radio);
      CHECK(relative(between.ports[0].impedance, own.ports[0].impedance) < 1e-3);
      REQUIRE(between.wire_ends.size() == own.wire_ends.size());
      for (std::size_t i = 0; i < own.wire_ends.size(); ++i)
        CHECK(std::abs(between.wire_ends[i].voltage - own.wire_ends[i].voltage) <
              0.005 * own.wire_ends[0].voltage);
      CHECK(between.impedance_error_relative > 0.0);
    }
  }
}

TEST_CASE("solved curve: a soil whose numbers change with frequency does not spoil it") {
  // Wet loam from a table with corners at its rows (invented numbers of the usual size: permittivity falls,
  // conductivity rises).
  model::Model model = io::load_family("whip-ground-radials").instantiate({});
  model.ground.table = {
      {1e6, 45.0, 0.012}, {3e6, 30.0, 0.014}, {10e6, 22.0, 0.019}, {30e6, 18.0, 0.028}, {100e6, 16.0, 0.05}};
  const auto curve = study::curves_of(model)(1.8e6, 54e6);
  const study::SolveFunction solve = study::solver_for(model);
  double worst = 0.0;
  for (double f = 1.83e6; f < 54e6; f *= 1.17)
    worst =
        std::max(worst, relative(curve->impedance(f), solve(core::Frequency{f}, false).ports[0].impedance));
  MESSAGE(curve->solves << " solves, worst " << worst);
  CHECK(worst < 1e-3);
  CHECK(curve->converged);
  CHECK(curve->solves <= 20);
}

TEST_CASE("solve_range: many frequencies come from a curve, few from solves; threads make no difference") {
  const model::Model model = io::load_family("dipole").instantiate({});
  std::vector<study::SolveRequest> requests;
  for (int i = 0; i <= 100; ++i) requests.push_back({core::Frequency{7e6 + 0.05e6 * i}, false});
  const auto one = study::solve_range(model, requests, solver::Accuracy::normal, 1);
  const auto two = study::solve_range(model, requests, solver::Accuracy::normal, 2);
  const auto few = study::solve_range(model, std::span(requests).first(7), solver::Accuracy::normal, 1);
  const study::SolveFunction solve = study::solver_for(model);
  REQUIRE(one.size() == requests.size());
  for (std::size_t i = 0; i < one.size(); ++i) {
    CHECK(one[i].frequency == requests[i].frequency.si);
    CHECK(relative(two[i].ports[0].impedance, one[i].ports[0].impedance) <= 1e-12);
  }
  for (std::size_t i = 0; i < few.size(); ++i) {
    const auto own = solve(requests[i].frequency, false).ports[0].impedance;
    CHECK(few[i].ports[0].impedance == own);
    CHECK(relative(one[i].ports[0].impedance, own) < 1e-3);
  }
}
