#pragma once

#include <string>

/// Numbers as people read them: no more digits than the error supports.
namespace feldspar::report {

/// Unit of the last digit worth printing: the smallest power of ten that is at least a third of the error,
/// and never below `finest`. An error of 0.2 supports tenths, one of 0.4 does not.
/// @param error  >= 0, in the unit of the value   @param finest a power of ten
[[nodiscard]] double digit_unit(double error, double finest);

/// The value rounded to that unit: (51.27, 0.1) -> "51.3", (4837, 100) -> "4800"; "-" when it is not finite.
/// Never "-0".
[[nodiscard]] std::string format_number(double value, double unit);

/// The same with its sign always: "+0.3", "-12".
[[nodiscard]] std::string format_signed(double value, double unit);

/// An SWR with its error from the relative error of the impedance behind it, e (S^2 + 1) / 2 (derived from
/// dS = 2 |dGamma| / (1 - |Gamma|)^2 with |dGamma| <= e (1 + |Gamma|^2) / 2). Two decimals below 2, one below
/// 10, none above; ">99" from there.
[[nodiscard]] std::string format_swr(double swr, double impedance_error_relative);

/// Percent of a fraction: no decimals from 10 %, one below ("9.3"), without the sign.
/// @param error of the fraction
[[nodiscard]] std::string format_percent(double fraction, double error);

/// "7.1 MHz": frequency in MHz without trailing zeros, to the hertz.
[[nodiscard]] std::string format_frequency(double frequency);

/// "5.20 m (17 ft 1 in)": where a tape measure is used. @param length m
[[nodiscard]] std::string format_length(double length);

}  // namespace feldspar::report
