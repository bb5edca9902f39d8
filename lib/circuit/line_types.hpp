#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "circuit/line_data.hpp"

/// Coaxial cables and parallel lines by name: nominal data, new and dry, at 20 degrees Celsius.
namespace feldspar::circuit {

/// One type of line. Matched loss per metre = k1 sqrt(f) + k2 f with f in MHz; fails below about 1 MHz, where
/// the centre conductor is thinner than a few skin depths. Other makers' figures for the same cable differ by
/// less than 10 % as a rule, by 27 % at worst of those compared. Parallel lines: loss of copper wires alone
/// and a dielectric share; wet, dirty or near other things they lose several times as much, and with
/// copper-clad steel more below about 4 MHz.
struct LineType {
  std::string_view name;
  double z0 = 50.0;              ///< ohm, nominal
  double velocity_factor = 1.0;  ///< nominal
  double k1 = 0.0;               ///< dB / m / sqrt(MHz)
  double k2 = 0.0;               ///< dB / m / MHz
  std::string_view source;       ///< where the row comes from, for people
  /// m, outside of the braid, from memory within about 10 %; 0 for a parallel line. The braid as a wire of
  /// the antenna hardly depends on it (logarithm).
  double braid_diameter = 0.0;
  [[nodiscard]] bool is_coax() const noexcept { return braid_diameter > 0.0; }
};

/// Every type known by name: 50 ohm coax, 75 ohm coax, parallel lines.
[[nodiscard]] const std::vector<LineType>& line_types();

/// A line of that type with length 0; empty when the name is not known. Capital letters, hyphens, spaces and
/// slashes do not matter: "rg58" is "RG-58".
[[nodiscard]] std::optional<Line> line_type(std::string_view name);

/// The names that line_type() knows, for messages.
[[nodiscard]] std::vector<std::string> line_type_names();

}  // namespace feldspar::circuit
