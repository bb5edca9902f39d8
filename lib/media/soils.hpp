#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

/// Named soils: round numbers for a first answer, constant with frequency through HF.
namespace feldspar::media {

struct Soil {
  std::string name;
  double relative_permittivity = 1.0;  ///< [1]
  double conductivity = 0.0;           ///< S/m
  std::string source;                  ///< where the two numbers come from
};

/// All named soils, from dry to sea.
[[nodiscard]] const std::vector<Soil>& soils();
/// The soil of that name, or nothing.
[[nodiscard]] std::optional<Soil> soil(std::string_view name);
[[nodiscard]] std::vector<std::string> soil_names();

}  // namespace feldspar::media
