#pragma once

#include <optional>
#include <string>
#include <vector>

#include "model/model.hpp"

/// The independent reference cases of tests/data/wire-cases.toml and buried-cases.toml; the files' headers
/// explain the fields.
namespace feldspar::validation {

struct WireCase {
  std::string id;
  std::string title;
  double frequency = 0.0;  ///< Hz
  model::Model model;
  std::complex<double> impedance;       ///< ohm; unused with two ports
  double resistance_uncertainty = 0.0;  ///< ohm: numerical, treatment of bends and kind of end together
  double reactance_uncertainty = 0.0;
  double resistance_tolerance = 0.0;  ///< the file's r_tol, x_tol
  double reactance_tolerance = 0.0;
  std::vector<std::vector<std::complex<double>>> z_matrix;  ///< with two ports
  std::vector<std::vector<double>> z_uncertainty;           ///< |dZ| per element
  std::optional<double> gain_dbi;
  std::optional<double> efficiency;
  double budget = 0.0;  ///< most unknowns at the default setting

  [[nodiscard]] bool two_ports() const { return !z_matrix.empty(); }
  /// What `fine` is held to: min(tolerance, uncertainty + 0.0005 R + 1e-5 |Z|) and min(.., .. + 0.0005 |Z|).
  [[nodiscard]] double fine_resistance() const;
  [[nodiscard]] double fine_reactance() const;
};

[[nodiscard]] std::vector<WireCase> wire_cases();    ///< wires above the surface
[[nodiscard]] std::vector<WireCase> buried_cases();  ///< wires below and through it

}  // namespace feldspar::validation
