#pragma once

#include <array>

#include "results/result.hpp"

namespace feldspar::report {

/// One item of a power budget with its names.
struct PowerPart {
  const char* key;   ///< in JSON and CSV
  const char* word;  ///< for people
  double results::PowerBudget::*watts;
  bool beyond_port = false;  ///< happens in the antenna, so that a known antenna's is not known
};

/// In the order of the contract, the same everywhere.
inline constexpr std::array<PowerPart, 14> kPowerParts = {{
    {"radio", "radio", &results::PowerBudget::radio},
    {"tuner", "tuner", &results::PowerBudget::tuner},
    {"line_matched", "line", &results::PowerBudget::line_matched},
    {"line_extra", "line, by mismatch", &results::PowerBudget::line_extra},
    {"stub", "stub", &results::PowerBudget::stub},
    {"transformer", "transformer", &results::PowerBudget::transformer},
    {"two_port", "measured part", &results::PowerBudget::two_port},
    {"choke", "choke", &results::PowerBudget::choke},
    {"antenna", "antenna (as given)", &results::PowerBudget::antenna},
    {"coils", "coils and resistors", &results::PowerBudget::coils, true},
    {"wires", "wires", &results::PowerBudget::wires, true},
    {"ground", "ground", &results::PowerBudget::ground, true},
    {"sky", "sky", &results::PowerBudget::sky, true},
    {"unaccounted", "unaccounted", &results::PowerBudget::unaccounted},
}};

}  // namespace feldspar::report
