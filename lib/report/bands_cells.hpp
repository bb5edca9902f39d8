#pragma once

#include <optional>
#include <string>
#include <vector>

#include "decision/advice.hpp"
#include "report/number.hpp"
#include "report/text_table.hpp"
#include "results/band_table.hpp"

/// Cells that the tables of `bands` share, narrow and wide (private to this module).
namespace feldspar::report {

[[nodiscard]] Colour tuner_colour(decision::Tuner tuner);

/// Share of the radio's power that reaches the sky; or an antenna of which no more than its impedance is
/// known.
[[nodiscard]] double sky_share(const results::FrequencyResult& result);

/// Relative error of a gain, an efficiency or a loss: that of the resistance, to which power belongs.
[[nodiscard]] double power_error(const results::FrequencyResult& result);

/// |dZ|/|Z| of the impedance anywhere in a band.
[[nodiscard]] double error_inside(const results::BandRow& row, const results::BandTable& table);

/// Unit of the last digit worth printing of a resistance or reactance that is exact, ohm.
[[nodiscard]] double finest_ohm(double value);

/// Kilohertz of the stretch below SWR 2: "all", "-", "120".
[[nodiscard]] std::string width_text(const results::BandRow& row);

/// A frequency inside a band, MHz.
[[nodiscard]] std::string megahertz(double f);

/// @param error of `watts`
[[nodiscard]] std::string watts_text(double watts, double error);

/// The gain of a band's middle: columns with their cells.
[[nodiscard]] std::vector<Column> signal_columns();
[[nodiscard]] std::vector<Cell> signal_cells(const results::BandRow& row);

/// "-" where there is none.
[[nodiscard]] std::string gain_text(const std::optional<double>& gain,
                                    const results::FrequencyResult& result);

}  // namespace feldspar::report
