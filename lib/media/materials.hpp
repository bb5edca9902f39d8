#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

/// Named wire materials at 20 degrees Celsius.
namespace feldspar::media {

struct Material {
  std::string name;
  double conductivity = 0.0;           ///< S/m; infinity = perfect conductor
  double relative_permeability = 1.0;  ///< [1]
  std::string source;
};

/// All named materials. Alloys vary with temper and maker by several per cent.
[[nodiscard]] const std::vector<Material>& materials();
/// The material of that name, or nothing.
[[nodiscard]] std::optional<Material> material(std::string_view name);
[[nodiscard]] std::vector<std::string> material_names();

}  // namespace feldspar::media
