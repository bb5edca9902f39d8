#pragma once

#include <string>

#include "results/band_table.hpp"
#include "results/result.hpp"

namespace feldspar::report {

/// Two digits: soil, heights and bends of the wire allow no more; "<1" below a volt.
[[nodiscard]] std::string two_digit_volts(double volts);

/// "radial (1) and 3 like it, ends at 20 mm".
[[nodiscard]] std::string end_name(const results::WireEnd& end);

/// Voltage across the feed point and at the wire ends, of these the largest first and six at most, those
/// within reach marked in words; empty without any. @param power W, from the radio
[[nodiscard]] std::string voltages_text(const results::FrequencyResult& result, double power, bool colour);

/// The highest voltage over the bands, and the highest within reach where that is another one.
[[nodiscard]] std::string highest_voltage_text(const results::BandTable& table, bool colour);

}  // namespace feldspar::report
