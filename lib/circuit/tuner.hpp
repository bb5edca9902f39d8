#pragma once

#include <array>
#include <complex>
#include <limits>

#include "circuit/two_port.hpp"
#include "core/quantity.hpp"

/// Matching networks whose parts have losses.
namespace feldspar::circuit {

/// What a tuner is made of and how far it reaches. Networks are those that are commonly built from one coil
/// and one or two capacitors (common practice, no source):
///   l   one coil and one capacitor, one in series and one in shunt, either way round; the shunt part at the
///       radio or at the load;
///   t   two capacitors in series, a shunt coil between them;
///   pi  a series coil between two shunt capacitors.
struct Tuner {
  enum class Network { l, t, pi };
  Network network = Network::l;
  double coil_q = 100.0;  ///< w L / R of the coil, > 0; infinite = no loss. Common practice, no source
  double capacitor_q =
      1000.0;                 ///< w C / G of a capacitor, > 0; infinite = no loss. Common practice, no source
  double largest_swr = 10.0;  ///< of the load, against the reference resistance; infinite = unlimited
  double largest_inductance = std::numeric_limits<double>::infinity();   ///< H
  double largest_capacitance = std::numeric_limits<double>::infinity();  ///< F, of each capacitor
};

/// How the tuner is set. A part whose value is 0 is not in the circuit (a series one bridged, a shunt one
/// open).
struct TunerSetting {
  bool matched = false;  ///< false: out of range or not possible; then the two-port goes straight through
  TwoPort two_port;      ///< port 1 to the radio
  bool coil_in_series = true;           ///< and capacitors in shunt; false the other way round
  double inductance = 0.0;              ///< H
  std::array<double, 2> capacitance{};  ///< F, at the radio's side and at the load's side of the coil
  double loss_db = 0.0;                 ///< of the two-port with this load, >= 0
};

/// Finds the parts of the network with which the input is the reference resistance (|rho| < 1e-9) and the
/// least power is lost.
///
/// A coil is w L (j + 1/Q) ohm, a capacitor w C (j + 1/Q) siemens, Q the same at every frequency. With two
/// unknown parts the condition is bilinear in their reactances; what makes both real is a quadratic, so that
/// an L is found in closed form, its losses included. A T or a pi has one part to choose, which goes through
/// its whole range; without a limit on the capacitors its least loss is often that of an L, which it then
/// becomes. Leads, stray capacitance and a balun are not counted.
/// @param load ohm; Re load <= 0 is never matched   @param reference_resistance > 0 [ohm]
/// @note A load within |rho| = 1e-9 of the reference is matched without parts.
/// @throws core::Error{usage} for a quality factor or limit that is not above 0, or a frequency that is not
[[nodiscard]] TunerSetting match(const Tuner& tuner, core::Frequency f, std::complex<double> load,
                                 double reference_resistance);

}  // namespace feldspar::circuit
