#include "media/materials.hpp"

#include <limits>

namespace feldspar::media {

const std::vector<Material>& materials() {
  static const std::vector<Material> table = {
      {"copper", 58.0e6, 1.0, "annealed copper at 20 C, 1/58 ohm mm2/m (IEC 60028:1925)"},
      {"aluminium", 35.0e6, 1.0, "resistivity tables at 20 C, 2.82e-8 ohm m, rounded"},
      {"stainless steel", 1.45e6, 1.0,
       "austenitic 18-8 steel, resistivity tables at 20 C, 6.9e-7 ohm m, rounded"},
      {"perfect", std::numeric_limits<double>::infinity(), 1.0, "definition"},
  };
  return table;
}

std::optional<Material> material(std::string_view name) {
  for (const Material& candidate : materials())
    if (candidate.name == name) return candidate;
  return std::nullopt;
}

std::vector<std::string> material_names() {
  std::vector<std::string> names;
  for (const Material& candidate : materials()) names.push_back(candidate.name);
  return names;
}

}  // namespace feldspar::media
