#include <doctest/doctest.h>

#include <cmath>

#include "solver/solve.hpp"
#include "wire_cases.hpp"

// Source of every number: tests/data/wire-cases.toml and buried-cases.toml, an independent converged solver;
// tolerances are the files' own at the default setting, and the rule of WireCase::fine_resistance() at
// `fine`.
namespace feldspar::validation {

namespace {

results::FrequencyResult run(const WireCase& c, solver::Accuracy accuracy) {
  solver::Options options;
  options.accuracy = accuracy;
  return solver::solve(c.model, core::Frequency{c.frequency}, options);
}

void check_two_ports(const WireCase& c, const results::FrequencyResult& result, double relative) {
  for (std::size_t i = 0; i < c.z_matrix.size(); ++i)
    for (std::size_t j = 0; j < c.z_matrix.size(); ++j)
      CHECK(std::abs(result.z_matrix[i][j] - c.z_matrix[i][j]) <= relative * std::abs(c.z_matrix[i][j]));
}

void check_fields(const WireCase& c, const results::FrequencyResult& result) {
  constexpr double kGainDb = 0.05;      // the figure
  constexpr double kEfficiency = 0.01;  // the figure; below kSmall relative
  constexpr double kSmall = 0.05;
  constexpr double kOfSmall = 0.02;
  if (c.gain_dbi) {
    REQUIRE(result.gain_dbi.has_value());
    CHECK(std::abs(*result.gain_dbi - *c.gain_dbi) <= kGainDb);
  }
  if (c.efficiency) {
    REQUIRE(result.radiation_efficiency.has_value());
    const double allowed = *c.efficiency < kSmall ? kOfSmall * *c.efficiency : kEfficiency;
    CHECK(std::abs(*result.radiation_efficiency - *c.efficiency) <= allowed);
  }
}

void check_default(const std::vector<WireCase>& cases) {
  for (const WireCase& c : cases) {
    CAPTURE(c.id);
    const results::FrequencyResult result = run(c, solver::Accuracy::normal);
    check_fields(c, result);
    CHECK(result.unknowns <= c.budget);
    if (c.two_ports()) {
      check_two_ports(c, result, 0.005);
      continue;
    }
    const std::complex<double> error = result.ports.front().impedance - c.impedance;
    CHECK(std::abs(error.real()) <= c.resistance_tolerance);
    CHECK(std::abs(error.imag()) <= c.reactance_tolerance);
  }
}

void check_fine(const std::vector<WireCase>& cases) {
  for (const WireCase& c : cases) {
    CAPTURE(c.id);
    const results::FrequencyResult result = run(c, solver::Accuracy::fine);
    check_fields(c, result);
    CHECK(std::abs(result.power.unaccounted) <= 1e-3 * result.power.radio);  // the project's figure for tests
    if (c.two_ports()) {
      check_two_ports(c, result, 0.0005);
      continue;
    }
    const std::complex<double> error = result.ports.front().impedance - c.impedance;
    CHECK(std::abs(error.real()) <= c.fine_resistance());
    CHECK(std::abs(error.imag()) <= c.fine_reactance());
  }
}

}  // namespace

TEST_CASE("reference cases at the default setting: impedance, gain, efficiency, unknowns") {
  check_default(wire_cases());
}

TEST_CASE("reference cases below and through the surface at the default setting") {
  check_default(buried_cases());
}

TEST_CASE(
    "reference cases at fine: impedance within the narrow rule, budget closed by the flux through the "
    "ground") {
  check_fine(wire_cases());
}

TEST_CASE("reference cases below and through the surface at fine") {
  check_fine(buried_cases());
}

}  // namespace feldspar::validation
