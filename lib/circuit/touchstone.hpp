#pragma once

#include <array>
#include <string>
#include <string_view>
#include <vector>

#include "circuit/two_port.hpp"
#include "core/quantity.hpp"

/// Touchstone files: measured or computed one- and two-ports as text [touchstone2009]. Text in, data out.
namespace feldspar::circuit {

/// Scattering parameters of a one- or two-port over frequency.
struct NetworkData {
  int ports = 1;                            ///< 1 or 2
  std::vector<double> frequencies;          ///< Hz, >= 0, rising
  std::vector<std::array<Complex, 4>> s;    ///< s11, s12, s21, s22, a row per frequency; a one-port uses [0]
  std::array<double, 2> reference{50, 50};  ///< ohm, > 0, of each port
  std::string name;                         ///< where it came from, for messages
};

/// How a file is written.
struct TouchstoneFormat {
  enum class Numbers { real_imaginary, magnitude_angle, decibel_angle };  ///< RI, MA, DB; angles in degrees
  enum class Unit { hz, khz, mhz, ghz };
  int version = 1;  ///< 1 (two references on the option line when they differ, as 1.1 allows) or 2 (2.0)
  Numbers numbers = Numbers::real_imaginary;
  Unit unit = Unit::mhz;
  std::vector<std::string> comments = {};  ///< lines at the top, after "! "
};

/// Ports by the end of a file's name: 1 for .s1p, 2 for .s2p, 0 where it does not tell (.ts, anything else).
/// @throws core::Error{usage} for .s3p and above
[[nodiscard]] int touchstone_ports(std::string_view file_name);

/// Reads Touchstone 1.0, 1.1, 2.0 and 2.1 text.
///
/// Z, Y, H and G become S; version 1 has them normalised to the reference, version 2 not. Noise data are
/// skipped. A row begins on a line of its own and may go on over more lines, between pairs.
/// @param file_name  for messages; becomes NetworkData::name
/// @param ports  what the file must have, 1 or 2; 0: what its name or its text says
/// @throws core::Error{model} with file, line and column for a text that is not right: unknown words, counts
/// that do not fit, numbers that are none or not finite, frequencies that do not rise, a reference that is
/// not above zero, no [End] in version 2, more than two ports, mixed modes; {usage} when nothing tells the
/// number of ports
[[nodiscard]] NetworkData read_touchstone(std::string_view text, const std::string& file_name, int ports = 0);

/// Text of a file with S parameters; reading it back returns every number within 1e-12.
/// @throws core::Error{usage} for data that are no network (ports, counts, order, references)
[[nodiscard]] std::string write_touchstone(const NetworkData& data, const TouchstoneFormat& format = {});

/// Whether the rows reach the frequency [Hz], within 1e-9 relative at the ends.
[[nodiscard]] bool covers(const NetworkData& data, double f) noexcept;

/// S between the rows: the cubic through the four rows around f, fewer where rows are lacking or lie much
/// closer together than those beside f. For a curve that turns by p radians a row the error is about
/// 0.023 p^4 inside and 0.04 p^4 beside the ends (p = 10 degrees: 2e-5). Where the cubic would
/// leave what is passive though both rows beside f are passive, it is scaled back; so is a row that makes
/// power by no more than a file's rounding (kPassiveTolerance).
/// @throws core::Error{usage} outside the rows; the message names their range
[[nodiscard]] std::array<Complex, 4> scattering_at(const NetworkData& data, core::Frequency f);

/// Largest change of an S parameter from the row below f to the row above; 0 on a row and outside them. From
/// about 1 on the cubic is wrong by some percent (0.023 p^4 for a turn by p radians).
[[nodiscard]] double step_around(const NetworkData& data, core::Frequency f) noexcept;

/// Impedance of a one-port, ohm, Re >= 0 for a passive one; an open end gives 1e12 times the reference.
/// @throws core::Error{usage} for a two-port, or outside the rows
[[nodiscard]] Complex one_port_impedance(const NetworkData& data, core::Frequency f);

/// Chain matrix from port 1 to port 2 of the file, or from 2 to 1 when it is turned round.
/// @throws core::Error{usage} for a one-port, outside the rows, or where nothing passes that way
[[nodiscard]] TwoPort two_port_at(const NetworkData& data, core::Frequency f, bool turned_round = false);

/// How far above 1 the largest singular value of S may be in a file of a passive network: files are rounded.
inline constexpr double kPassiveTolerance = 1e-3;

/// @throws core::Error{model} naming the first frequency at which the network makes power: the largest
/// singular value of S (power waves of real references) exceeds 1 + kPassiveTolerance
void check_passive(const NetworkData& data);

}  // namespace feldspar::circuit
