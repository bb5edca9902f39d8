#include "circuit/core_transformer.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "core/constants.hpp"
#include "core/error.hpp"

namespace feldspar::circuit {
namespace {

void transformer_needs(bool fine, const char* what, double found) {
  if (!fine) {
    throw core::Error(core::ErrorKind::usage, fmt::format("a transformer needs {}, not {:g}", what, found));
  }
}

bool above_zero(double value) {
  return std::isfinite(value) && value > 0.0;
}

bool not_negative(double value) {
  return std::isfinite(value) && value >= 0.0;
}

void validate(std::span<const Permeability> material) {
  if (material.empty()) {
    throw core::Error(core::ErrorKind::usage,
                      "the core's material needs at least one row of frequency, mu' and mu''");
  }
  double last = 0.0;
  for (const Permeability& row : material) {
    transformer_needs(above_zero(row.frequency) && row.frequency > last,
                      "permeability at frequencies above 0 Hz that rise", row.frequency);
    transformer_needs(above_zero(row.real), "mu' above 0", row.real);
    transformer_needs(not_negative(row.imaginary), "mu'' of 0 or more", row.imaginary);
    last = row.frequency;
  }
}

void validate(const CoreTransformer& t, core::Frequency f) {
  transformer_needs(above_zero(f.si), "a frequency above 0 Hz", f.si);
  transformer_needs(above_zero(t.impedance_ratio), "an impedance ratio above 0", t.impedance_ratio);
  transformer_needs(t.magnetising_inductance > 0.0, "a magnetising inductance above 0 H",
                    t.magnetising_inductance);
  transformer_needs(not_negative(t.shunt_conductance), "a shunt conductance of 0 S or more",
                    t.shunt_conductance);
  transformer_needs(not_negative(t.leakage_inductance), "a leakage inductance of 0 H or more",
                    t.leakage_inductance);
  transformer_needs(not_negative(t.winding_capacitance), "a winding capacitance of 0 F or more",
                    t.winding_capacitance);
  transformer_needs(not_negative(t.winding_resistance), "a winding resistance of 0 ohm or more",
                    t.winding_resistance);
  transformer_needs(not_negative(t.resistance_frequency), "a frequency of its resistance of 0 Hz or more",
                    t.resistance_frequency);
  if (!t.core) return;
  if (std::isfinite(t.magnetising_inductance) || t.shunt_conductance > 0.0) {
    throw core::Error(core::ErrorKind::usage,
                      "a transformer has either a core or a magnetising inductance and shunt conductance; "
                      "leave one of the two out");
  }
  transformer_needs(above_zero(t.core->area), "a core area above 0 m2", t.core->area);
  transformer_needs(above_zero(t.core->path_length), "a magnetic path above 0 m", t.core->path_length);
  transformer_needs(above_zero(t.core->turns), "more than 0 turns", t.core->turns);
}

/// `share` of the way from one value to the other: on their logarithms where both have one.
double between(double from, double to, double share) {
  if (from > 0.0 && to > 0.0) return from * std::pow(to / from, share);
  return from + (to - from) * share;
}

// Generic, from memory, of no particular product. 49:1 is case 4 of the published two-ports: 400 ohm and 8 uH
// in shunt, 0.1 uH leakage. Its capacitance is left out because builders compensate it on the radio side.
struct Ready {
  std::string_view name;
  double ratio;
  double shunt_resistance;  // ohm
  double magnetising;       // H
  double leakage;           // H
  double resistance;        // ohm at 7 MHz
};
constexpr std::array kReady = {
    Ready{"1:1", 1.0, 1400.0, 25e-6, 0.05e-6, 0.10}, Ready{"4:1", 4.0, 1400.0, 20e-6, 0.05e-6, 0.10},
    Ready{"9:1", 9.0, 1000.0, 16e-6, 0.06e-6, 0.10}, Ready{"49:1", 49.0, 400.0, 8e-6, 0.10e-6, 0.0},
    Ready{"64:1", 64.0, 400.0, 8e-6, 0.12e-6, 0.0},
};
constexpr double kReadyResistanceFrequency = 7e6;  // Hz

}  // namespace

Complex complex_permeability(std::span<const Permeability> material, core::Frequency f) {
  validate(material);
  transformer_needs(above_zero(f.si), "a frequency above 0 Hz", f.si);
  const auto upper = std::lower_bound(material.begin(), material.end(), f.si,
                                      [](const Permeability& row, double at) { return row.frequency < at; });
  if (upper == material.begin()) return {upper->real, -upper->imaginary};
  const auto lower = upper - 1;
  if (upper == material.end()) return {lower->real, -lower->imaginary};
  const double share = std::log(f.si / lower->frequency) / std::log(upper->frequency / lower->frequency);
  return {between(lower->real, upper->real, share), -between(lower->imaginary, upper->imaginary, share)};
}

bool outside_material_table(const CoreTransformer& transformer, core::Frequency f) {
  if (!transformer.core) return false;
  const std::vector<Permeability>& material = transformer.core->material;
  validate(material);
  return f.si < material.front().frequency || f.si > material.back().frequency;
}

Complex magnetising_admittance(const CoreTransformer& transformer, core::Frequency f) {
  validate(transformer, f);
  const Complex j{0.0, 1.0};
  const double omega = core::angular(f);
  if (!transformer.core) {
    return {transformer.shunt_conductance, -1.0 / (omega * transformer.magnetising_inductance)};
  }
  const MagneticCore& core = *transformer.core;
  const double geometry = core::kVacuumPermeability * core.turns * core.turns * core.area / core.path_length;
  return 1.0 / (j * omega * geometry * complex_permeability(core.material, f));
}

TwoPort core_transformer_two_port(const CoreTransformer& transformer, core::Frequency f) {
  const Complex magnetising = magnetising_admittance(transformer, f);
  const double omega = core::angular(f);
  const double growth =
      transformer.resistance_frequency > 0.0 ? std::sqrt(f.si / transformer.resistance_frequency) : 1.0;
  const Complex series{transformer.winding_resistance * growth, omega * transformer.leakage_inductance};
  const TwoPort radio_side = cascade(shunt_admittance(magnetising), series_impedance(series));
  const TwoPort antenna_side = cascade(ideal_transformer(1.0 / std::sqrt(transformer.impedance_ratio)),
                                       shunt_admittance({0.0, omega * transformer.winding_capacitance}));
  return cascade(radio_side, antenna_side);
}

std::optional<CoreTransformer> ready_transformer(std::string_view name) {
  const auto found =
      std::find_if(kReady.begin(), kReady.end(), [&](const Ready& ready) { return ready.name == name; });
  if (found == kReady.end()) return std::nullopt;
  CoreTransformer part;
  part.type = std::string(found->name);
  part.impedance_ratio = found->ratio;
  part.magnetising_inductance = found->magnetising;
  part.shunt_conductance = 1.0 / found->shunt_resistance;
  part.leakage_inductance = found->leakage;
  part.winding_resistance = found->resistance;
  part.resistance_frequency = kReadyResistanceFrequency;
  part.generic = true;
  return part;
}

std::vector<std::string> ready_transformer_names() {
  std::vector<std::string> names;
  for (const Ready& ready : kReady) names.emplace_back(ready.name);
  return names;
}

}  // namespace feldspar::circuit
