#pragma once

#include <string>

#include "model/model.hpp"
#include "report/text_table.hpp"
#include "results/band_table.hpp"

/// What terminal and page say of an operating table in the same words and digits (private to this module).
namespace feldspar::report {

/// "No tuner needed on 20m; the radio's own tuner on 15m, 10m; ..."
[[nodiscard]] std::string verdict(const model::Model& model, const results::BandTable& table);

/// What the radio sees, where the watts go, where the signal goes: a row for each band.
[[nodiscard]] TextTable radio_table(const results::BandTable& table);
[[nodiscard]] TextTable watts_table(const model::Model& model, const results::BandTable& table);
[[nodiscard]] TextTable signal_table(const results::BandTable& table);

/// "Dips of the SWR at the radio from 1.8 to 54 MHz: 14.028 MHz (1.31)."
[[nodiscard]] std::string dips_sentence(const results::BandTable& table);

/// The calculation's own error over all bands.
[[nodiscard]] std::string error_sentence(const results::BandTable& table);

}  // namespace feldspar::report
