#pragma once

#include <complex>
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

/// A gain in dB with its sign, to a tenth or as the relative error of its power allows; "<-40" in a null,
/// which only an ideal antenna over an ideal lawn has.
[[nodiscard]] std::string format_gain(double gain_dbi, double power_error_relative);

/// Error of a share p of a sum, relative error e of its ratio to the rest: e p (1 - p) (derived). @param
/// share any
[[nodiscard]] double share_error(double share, double relative);

/// An error estimate in percent, one digit: "0.3 %", "40 %"; "below 0.1 %".
[[nodiscard]] std::string format_error(double relative);

/// Percent of a fraction: no decimals from 10 %, one below ("9.3"), "<0.1" for a little
/// more than nothing; without the sign.
/// @param error of the fraction
[[nodiscard]] std::string format_percent(double fraction, double error);

/// "7.1 MHz": frequency in MHz without trailing zeros, to the hertz.
[[nodiscard]] std::string format_frequency(double frequency);

/// To so many digits, without exponents: (1234.5, 2) -> "1200", (2.718, 2) -> "2.7". @param value finite
[[nodiscard]] std::string format_digits(double value, int digits);

/// To a tenth below 10, whole above: watts and volts in a table.
[[nodiscard]] std::string format_tenths(double value);

/// A transformer's impedance ratio to so many digits: "9:1", "1:4"; as given with 4.
[[nodiscard]] std::string format_ratio(double ratio, int digits);

/// An impedance to three digits of its larger part: "1610 + j1730".
[[nodiscard]] std::string format_impedance(std::complex<double> z);

/// A true bearing in whole degrees, 0 to 359.
[[nodiscard]] std::string format_bearing(double degrees);

/// "5.20 m (17 ft 1 in)": where a tape measure is used. @param length m
[[nodiscard]] std::string format_length(double length);
/// The same for a table: "5.20 m (17'1\")".
[[nodiscard]] std::string format_length_briefly(double length);

}  // namespace feldspar::report
