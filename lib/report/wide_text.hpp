#pragma once

#include <string>

#include "model/model.hpp"
#include "results/band_table.hpp"

/// The tables of `bands --wide`: one line per band, as wide as they come. Values of the middle of the band
/// unless a heading says otherwise.
namespace feldspar::report {

/// Impedance and SWR, and what a tuner at the radio meets.
[[nodiscard]] std::string wide_radio_block(const results::BandTable& table, bool colour);
/// Watts and percent of everything that takes some on any band.
[[nodiscard]] std::string wide_watts_block(const model::Model& model, const results::BandTable& table,
                                           bool colour);
/// What each part between antenna and radio loses and bears; "" without parts.
[[nodiscard]] std::string wide_parts_block(const model::Model& model, const results::BandTable& table,
                                           bool colour);
/// Voltages on the antenna and current on the outside of the line.
[[nodiscard]] std::string wide_voltage_block(const results::BandTable& table, bool colour);
/// Gain, and the calculation's own error.
[[nodiscard]] std::string wide_signal_block(const results::BandTable& table, bool colour);

}  // namespace feldspar::report
