#pragma once

#include <array>

#include "results/result.hpp"

namespace feldspar::results {

/// One item of a power budget with its names.
struct PowerPart {
  const char* key;   ///< in JSON and CSV
  const char* word;  ///< for people
  double PowerBudget::*watts;
  bool beyond_port = false;  ///< happens in the antenna, so that a known antenna's is not known
};

/// In the order of the contract, the same everywhere.
inline constexpr std::array<PowerPart, 14> kPowerParts = {{
    {"radio", "radio", &PowerBudget::radio},
    {"tuner", "tuner", &PowerBudget::tuner},
    {"line_matched", "line", &PowerBudget::line_matched},
    {"line_extra", "line, by mismatch", &PowerBudget::line_extra},
    {"stub", "stub", &PowerBudget::stub},
    {"transformer", "transformer", &PowerBudget::transformer},
    {"two_port", "measured part", &PowerBudget::two_port},
    {"choke", "choke", &PowerBudget::choke},
    {"antenna", "antenna (as given)", &PowerBudget::antenna},
    {"coils", "coils and resistors", &PowerBudget::coils, true},
    {"wires", "wires", &PowerBudget::wires, true},
    {"ground", "ground", &PowerBudget::ground, true},
    {"sky", "sky", &PowerBudget::sky, true},
    {"unaccounted", "unaccounted", &PowerBudget::unaccounted},
}};

}  // namespace feldspar::results
