// Writes the table of docs/validation.md: reference cases at the default setting and at fine.

#include <fmt/format.h>

#include <cmath>

#include "solver/solve.hpp"
#include "wire_cases.hpp"

namespace feldspar::validation {

namespace {

results::FrequencyResult run(const WireCase& c, solver::Accuracy accuracy) {
  solver::Options options;
  options.accuracy = accuracy;
  return solver::solve(c.model, core::Frequency{c.frequency}, options);
}

std::string impedance(std::complex<double> z) {
  return fmt::format("{:.6g} {} j{:.6g}", z.real(), z.imag() < 0.0 ? "−" : "+", std::abs(z.imag()));
}

double largest_relative_error(const WireCase& c, const results::FrequencyResult& result) {
  double largest = 0.0;
  for (std::size_t i = 0; i < c.z_matrix.size(); ++i)
    for (std::size_t j = 0; j < c.z_matrix.size(); ++j)
      largest =
          std::max(largest, std::abs(result.z_matrix[i][j] - c.z_matrix[i][j]) / std::abs(c.z_matrix[i][j]));
  return largest;
}

void print_row(const WireCase& c) {
  const results::FrequencyResult normal = run(c, solver::Accuracy::normal);
  const results::FrequencyResult fine = run(c, solver::Accuracy::fine);
  const std::string gain = c.gain_dbi ? fmt::format("{:+.3f}", *normal.gain_dbi - *c.gain_dbi) : "";
  const std::string efficiency = fmt::format("{:+.4f}", *normal.radiation_efficiency - *c.efficiency);
  if (c.two_ports()) {
    fmt::print(
        "| {} | {} | two ports | every element within {:.2g} % | | | every element within {:.2g} % | | {} | "
        "{} | {} | {:.0f} |\n",
        c.id, c.title, 100.0 * largest_relative_error(c, normal), 100.0 * largest_relative_error(c, fine),
        gain, efficiency, normal.unknowns, c.budget);
    return;
  }
  const std::complex<double> dn = normal.ports.front().impedance - c.impedance;
  const std::complex<double> df = fine.ports.front().impedance - c.impedance;
  fmt::print("| {} | {} | {} | {} | {:.2f} | {:.2f} | {:.2f} | {:.2f} | {} | {} | {} | {:.0f} |\n", c.id,
             c.title, impedance(c.impedance), impedance(normal.ports.front().impedance),
             std::abs(dn.real()) / c.resistance_tolerance, std::abs(dn.imag()) / c.reactance_tolerance,
             std::abs(df.real()) / c.fine_resistance(), std::abs(df.imag()) / c.fine_reactance(), gain,
             efficiency, normal.unknowns, c.budget);
}

void print_table(const std::vector<WireCase>& cases) {
  fmt::print(
      "| case | antenna | reference, Ω | computed, Ω | ΔR / tolerance | ΔX / tolerance | fine: ΔR / allowed "
      "| "
      "fine: ΔX / allowed | Δ gain, dB | Δ efficiency | unknowns | allowed |\n");
  fmt::print("|---|---|---|---|---|---|---|---|---|---|---|---|\n");
  double unknowns = 0.0;
  for (const WireCase& c : cases) {
    print_row(c);
    unknowns += run(c, solver::Accuracy::normal).unknowns;
  }
  fmt::print("\nMean number of unknowns at the default setting: {:.1f}.\n\n",
             unknowns / static_cast<double>(cases.size()));
}

}  // namespace

}  // namespace feldspar::validation

int main() {
  using namespace feldspar::validation;
  print_table(wire_cases());
  print_table(buried_cases());
}
