#include "media/soils.hpp"

namespace feldspar::media {

namespace {
constexpr const char* kHandbook =
    "table of common types of earth in amateur antenna handbooks (frequency-independent)";
constexpr const char* kCommonPractice = "common practice, no single source";
}  // namespace

const std::vector<Soil>& soils() {
  static const std::vector<Soil> table = {
      {"dry sand", 4.0, 0.001, kCommonPractice},
      {"poor", 13.0, 0.002, kHandbook},
      {"average", 13.0, 0.005, kHandbook},
      {"rich", 20.0, 0.030, kHandbook},  // printed there as 30.3 mS/m
      {"wet", 30.0, 0.030, kCommonPractice},
      {"fresh water", 80.0, 0.003, "ITU-R P.527-3 (1992), figure 1 (from memory)"},
      {"sea", 81.0, 5.0, kHandbook},
  };
  return table;
}

std::optional<Soil> soil(std::string_view name) {
  for (const Soil& candidate : soils())
    if (candidate.name == name) return candidate;
  return std::nullopt;
}

std::vector<std::string> soil_names() {
  std::vector<std::string> names;
  for (const Soil& candidate : soils()) names.push_back(candidate.name);
  return names;
}

}  // namespace feldspar::media
