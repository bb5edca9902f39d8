#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "model/dimension.hpp"

/// The units that a model file knows. SI prefixes stand only where the table has them.
namespace feldspar::model {

/// One unit as a value: 1 ft = 0.3048 m. Foot and inch are the international ones (exact, 1959).
[[nodiscard]] std::optional<Value> unit(std::string_view name);

[[nodiscard]] const std::vector<std::string>& unit_names();

/// What a mistyped or spelled-out unit was probably meant to be ("mhz", "feet", "M"), or empty.
[[nodiscard]] std::string likely_unit(std::string_view wrong);

}  // namespace feldspar::model
