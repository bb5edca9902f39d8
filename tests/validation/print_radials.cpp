// Writes the tables of docs/validation.md on the radials measured in 1937 and on the compensation theorem.
// Arguments: `grid` (all soils, some minutes), `soil EPS SIGMA` (one soil, figure by figure), `compensation`.

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <limits>
#include <string>
#include <vector>

#include "compensation.hpp"
#include "radials_1937.hpp"

namespace feldspar::validation {

namespace {

constexpr double kPermittivities[] = {4, 6, 8, 10, 13, 16, 20};
constexpr double kConductivities[] = {1e-3, 1.5e-3, 2e-3, 2.5e-3, 3e-3, 3.5e-3, 4e-3, 4.5e-3, 5e-3};

media::Ground soil(double permittivity, double conductivity) {
  media::Ground ground;
  ground.kind = media::GroundKind::real;
  ground.relative_permittivity = permittivity;
  ground.conductivity = conductivity;
  return ground;
}

bool every(const Compared&) {
  return true;
}
bool two_radials(const Compared& c) {
  return c.measured.count == 2;
}
bool main_table(const Compared& c) {
  return c.measured.reading == Reading::mast_75_degrees;
}
bool without_short_radials(const Compared& c) {
  return c.measured.wavelengths > 0.2;
}

void print_grid() {
  std::vector<double> nearest;
  fmt::print("| permittivity | mS/m | all figures | mast of 75° | two radials | without 0.137 λ |\n");
  fmt::print("|---|---|---|---|---|---|\n");
  for (const double permittivity : kPermittivities)
    for (const double conductivity : kConductivities) {
      const std::vector<Compared> figures = compare_1937(soil(permittivity, conductivity));
      fmt::print("| {} | {} | {:.3f} | {:.3f} | {:.3f} | {:.3f} |\n", permittivity, 1e3 * conductivity,
                 rms_error(figures, every), rms_error(figures, main_table), rms_error(figures, two_radials),
                 rms_error(figures, without_short_radials));
      std::fflush(stdout);
      nearest.resize(figures.size(), std::numeric_limits<double>::infinity());
      for (std::size_t i = 0; i < figures.size(); ++i)
        if (std::abs(figures[i].error_db()) < std::abs(nearest[i])) nearest[i] = figures[i].error_db();
    }
  double sum = 0.0;
  for (const double error : nearest) sum += error * error;
  fmt::print("\nLeast error of each figure with a soil of its own:\n");
  const auto measured = measured_1937();
  for (std::size_t i = 0; i < nearest.size(); ++i)
    fmt::print("{} radials of {} λ, {} mV/m: {:+.2f} dB\n", measured[i].count, measured[i].wavelengths,
               std::round(measured[i].field), nearest[i]);
  fmt::print("r.m.s. {:.3f} dB\n", std::sqrt(sum / static_cast<double>(nearest.size())));
}

/// Errors when the radials' part in launching the ground wave is counted in: their mean, and their spread
/// about it.
void print_launched(const std::vector<Compared>& figures, int least) {
  std::vector<double> errors;
  for (const Compared& c : figures)
    if (c.measured.count >= least) errors.push_back(c.error_db() + 20.0 * std::log10(c.launching));
  const auto count = static_cast<double>(errors.size());
  double mean = 0.0;
  for (const double error : errors) mean += error / count;
  double spread = 0.0;
  for (const double error : errors) spread += (error - mean) * (error - mean) / count;
  fmt::print(
      "With the launching of the ground wave, {} or more radials: mean error {:+.2f} dB, r.m.s. about "
      "it {:.2f} dB\n",
      least, mean, std::sqrt(spread));
}

void print_soil(double permittivity, double conductivity) {
  const std::vector<Compared> figures = compare_1937(soil(permittivity, conductivity), 1000, true);
  fmt::print(
      "| mast | radials | length, λ | measured, mV/m | computed | error, dB | Z, Ω | launching, dB |\n");
  fmt::print("|---|---|---|---|---|---|---|---|\n");
  for (const Compared& c : figures)
    fmt::print("| {} | {} | {} | {:.0f} | {:.1f} | {:+.2f} | {:.2f} {} j{:.2f} | {:+.2f} |\n",
               main_table(c) ? "75°" : "90°", c.measured.count, c.measured.wavelengths, c.measured.field,
               c.field, c.error_db(), c.impedance.real(), c.impedance.imag() < 0.0 ? "−" : "+",
               std::abs(c.impedance.imag()), 20.0 * std::log10(c.launching));
  fmt::print(
      "\nr.m.s. error, dB: all figures {:.3f}, mast of 75° {:.3f}, two radials {:.3f}, without 0.137 λ "
      "{:.3f}\n",
      rms_error(figures, every), rms_error(figures, main_table), rms_error(figures, two_radials),
      rms_error(figures, without_short_radials));
  print_launched(figures, 2);
  print_launched(figures, 15);
}

void print_compensation() {
  fmt::print(
      "| soil | mast, λ | radials | length, λ | theory, ΔR + jΔX, Ω | computed | difference of ΔR | "
      "first-order limit |\n");
  fmt::print("|---|---|---|---|---|---|---|---|\n");
  for (const CompensationRow& row : compensation_rows()) {
    if (row.frequency.si != 3e6 || (row.count != 60 && row.count != 113)) continue;
    const CompensationResult result = compensation(row);
    fmt::print("| {} | {} | {} | {} | {:.2f} {:+.2f}j | {:.2f} {:+.2f}j | {:+.2f} | {:.2f} |\n", row.soil,
               row.height, row.count, row.radial, row.change.real(), row.change.imag(), result.change.real(),
               result.change.imag(), result.change.real() - row.change.real(), result.allowed);
  }
}

}  // namespace

}  // namespace feldspar::validation

int main(int argc, char** argv) {
  using namespace feldspar::validation;
  const std::string what = argc > 1 ? argv[1] : "";
  if (what == "grid")
    print_grid();
  else if (what == "soil" && argc == 4)
    print_soil(std::strtod(argv[2], nullptr), std::strtod(argv[3], nullptr));
  else if (what == "compensation")
    print_compensation();
  else
    fmt::print("print_radials grid | soil PERMITTIVITY CONDUCTIVITY | compensation\n");
}
