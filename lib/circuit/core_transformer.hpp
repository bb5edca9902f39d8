#pragma once

#include <limits>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "circuit/two_port.hpp"
#include "core/quantity.hpp"

/// Transformers with a real core: magnetising current, core loss, leakage and winding capacitance.
namespace feldspar::circuit {

/// One row of a material's complex relative permeability mu' - j mu''.
struct Permeability {
  double frequency = 0.0;  ///< Hz, > 0
  double real = 1.0;       ///< mu' > 0
  double imaginary = 0.0;  ///< mu'' >= 0: loss
};

/// A closed core of one material and the winding on the radio side.
struct MagneticCore {
  std::vector<Permeability> material;  ///< rows of rising frequency, at least one
  double area = 0.0;                   ///< m2, effective cross-section of all cores in the stack together
  double path_length = 0.0;            ///< m, effective magnetic path
  double turns = 0.0;                  ///< of the winding on the radio side, > 0
};

/// A transformer as a part, seen from the radio: the magnetising admittance in shunt, winding resistance and
/// leakage inductance in series, an ideal transformer, and the winding capacitance in shunt on the antenna
/// side. The magnetising admittance comes from inductance and conductance, or from `core`, not from both.
///
/// Whether it is a balun or an un-un is a matter of its connection: the two-port is the same. It carries the
/// current that goes out on one antenna terminal and comes back on the other. An un-un joins the common ends
/// of both windings, so any current on the outside of the coax has its way back through that join; a balun
/// leaves the antenna side floating, and the current through the winding-to-winding capacitance is not
/// modelled. Neither keeps current off the coax by itself: that is a choke's work.
struct CoreTransformer {
  std::string type;              ///< a ready part's name, or empty
  double impedance_ratio = 1.0;  ///< antenna side over radio side, > 0
  double magnetising_inductance = std::numeric_limits<double>::infinity();  ///< H > 0, from the radio side
  double shunt_conductance = 0.0;                                           ///< S >= 0, from the radio side
  std::optional<MagneticCore> core;                                         ///< instead of the two above
  double leakage_inductance = 0.0;    ///< H >= 0, in series on the radio side
  double winding_capacitance = 0.0;   ///< F >= 0, across the antenna side
  double winding_resistance = 0.0;    ///< ohm >= 0, both windings as seen from the radio side
  double resistance_frequency = 0.0;  ///< Hz of it; grows with the root of f; 0: constant
  bool generic = false;               ///< values of no particular product
};

/// Complex relative permeability mu' - j mu'' at a frequency, log mu over log f between the rows (where a row
/// has mu'' = 0: mu'' itself over log f); the nearest row outside them.
/// @throws core::Error{usage} for no rows, rows that do not rise, or numbers out of range
[[nodiscard]] Complex complex_permeability(std::span<const Permeability> material, core::Frequency f);

/// The core's material has no row on one side of f, so that the nearest row stands for it. False without a
/// core. @throws as complex_permeability
[[nodiscard]] bool outside_material_table(const CoreTransformer& transformer, core::Frequency f);

/// Magnetising admittance seen from the radio side, S; real part: core loss. Of a core 1/Z with
///   Z = j w mu0 (mu' - j mu'') n^2 A / l
/// (closed magnetic circuit, uniform flux, no saturation [snelling1988, ch. 2]).
/// @throws core::Error{usage} for numbers out of range
[[nodiscard]] Complex magnetising_admittance(const CoreTransformer& transformer, core::Frequency f);

/// Chain matrix with port 1 towards the radio. Reciprocal and passive. About 1e-15 relative.
/// @throws core::Error{usage} for numbers out of range
[[nodiscard]] TwoPort core_transformer_two_port(const CoreTransformer& transformer, core::Frequency f);

/// A part by its ratio, "1:1", "4:1", "9:1", "49:1" or "64:1" (antenna side over radio side), for 50 ohm on
/// the radio side; empty for another name. Generic, from memory, of no particular product: a core loss of
/// 0.15 to 0.52 dB into a matched load, and less and less use below about 2 MHz.
[[nodiscard]] std::optional<CoreTransformer> ready_transformer(std::string_view name);

/// The names that ready_transformer() knows, for messages.
[[nodiscard]] std::vector<std::string> ready_transformer_names();

}  // namespace feldspar::circuit
