#include "circuit/line_types.hpp"

#include <cctype>
#include <cmath>

#include "circuit/line.hpp"
#include "core/constants.hpp"

namespace feldspar::circuit {
namespace {

constexpr double kHundredFeet = 30.48;  // m

/// The law k1 sqrt(f) + k2 f through the losses at 30 and 150 MHz, both in dB per 100 ft.
LineType through_two_points(std::string_view name, double z0, double velocity_factor, double at_30,
                            double at_150, double braid_diameter, std::string_view source) {
  LineType type{name, z0, velocity_factor, 0.0, 0.0, source, braid_diameter};
  const auto law = loss_law_through(core::Frequency{30e6}, at_30 / kHundredFeet, core::Frequency{150e6},
                                    at_150 / kHundredFeet);
  type.k1 = law.value().k1;
  type.k2 = law.value().k2;
  return type;
}

/// Two copper wires side by side: R = 2 Rs / (pi d) of both, well-developed skin effect, no proximity effect
/// (1 % at a spacing of seven diameters), matched loss R / (2 z0) nepers per metre. What the plastic loses
/// comes on top. @param wire_diameter m   @param dielectric dB per 100 ft at 1 MHz, proportional to f
LineType two_wires(std::string_view name, double z0, double velocity_factor, double wire_diameter,
                   double dielectric, std::string_view source) {
  constexpr double kCopper = 58.0e6;  // S/m, annealed
  constexpr double kMegahertz = 1e6;
  const double surface = std::sqrt(core::kPi * kMegahertz * core::kVacuumPermeability / kCopper);  // ohm
  const double resistance = 2.0 * surface / (core::kPi * wire_diameter);                           // ohm/m
  return {
      name,  z0, velocity_factor, core::kDecibelPerNeper * resistance / (2.0 * z0), dielectric / kHundredFeet,
      source};
}

// Losses at 30 and 150 MHz: errata table of a national amateur society's licence manual (maker's on-line
// data), quoted. 50 ohm of RG-58 and RG-213: MIL-C-17 slash sheets /28 and /74, quoted. Velocity factor 0.66
// of RG-58, RG-174 and RG-59: a builder's data sheet, quoted; the other impedances and velocity factors are
// common practice, from memory. Diameters of the braid's outside: from memory, dielectric plus braid or
// jacket less its wall; within about 10 %.
constexpr std::string_view kManual = "maker's data as printed in a licence manual (30 and 150 MHz), nominal";
constexpr std::string_view kMemory = "typical values, from memory";
// Wires of 0.81, 1.02 and 2.05 mm; impedance, velocity factor and the plastic's loss are from memory.
constexpr std::string_view kParallel = "loss of copper wires by formula; the rest typical, from memory";

std::string plain(std::string_view text) {
  std::string out;
  for (const char c : text) {
    if (c == '-' || c == ' ' || c == '_' || c == '/') continue;
    out += static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
  }
  return out;
}

}  // namespace

const std::vector<LineType>& line_types() {
  static const std::vector<LineType> table = {
      through_two_points("RG-58", 50.0, 0.66, 2.47, 5.63, 3.5e-3, kManual),
      through_two_points("RG-8X", 50.0, 0.80, 1.96, 4.53, 4.7e-3, kManual),
      through_two_points("RG-174", 50.0, 0.66, 4.56, 10.3, 2.1e-3, kManual),
      through_two_points("RG-213", 50.0, 0.66, 1.08, 2.53, 8.1e-3, kManual),
      through_two_points("RG-8", 52.0, 0.66, 1.08, 2.53, 8.1e-3, kManual),
      through_two_points("RG-59", 75.0, 0.66, 1.79, 4.11, 4.6e-3, kManual),
      // Least squares (relative) through 0.2, 0.6, 1.4, 2.0, 2.8 dB per 100 ft at 1, 10, 50, 100, 200 MHz,
      // which were written down from memory; the law meets them within 3.3 %.
      {"RG-6", 75.0, 0.82, 0.19518 / kHundredFeet, 0.000258 / kHundredFeet, kMemory, 5.5e-3},
      two_wires("300 ohm ribbon", 300.0, 0.82, 0.81e-3, 0.005, kParallel),
      two_wires("450 ohm window line", 450.0, 0.91, 1.02e-3, 0.0006, kParallel),
      two_wires("600 ohm open-wire line", 600.0, 0.97, 2.05e-3, 0.0, kParallel),
  };
  return table;
}

std::optional<Line> line_type(std::string_view name) {
  const std::string wanted = plain(name);
  for (const LineType& type : line_types()) {
    if (plain(type.name) != wanted) continue;
    Line line;
    line.type = std::string(type.name);
    line.z0 = type.z0;
    line.velocity_factor = type.velocity_factor;
    line.k1 = type.k1;
    line.k2 = type.k2;
    line.is_coax = type.is_coax();
    line.braid_diameter = type.braid_diameter;
    return line;
  }
  return std::nullopt;
}

std::vector<std::string> line_type_names() {
  std::vector<std::string> names;
  for (const LineType& type : line_types()) names.emplace_back(type.name);
  return names;
}

}  // namespace feldspar::circuit
