#pragma once

#include <array>
#include <optional>

#include "circuit/two_port.hpp"

/// The forms of a linear two-port and the ways between them; passivity and reciprocity.
///
/// Impedance (Z), admittance (Y) and scattering (S) parameters take both currents into the two-port; the
/// chain matrix (ABCD, circuit/two_port.hpp) takes the second one out of it, into the load. A form that does
/// not exist is an empty optional, never infinite numbers.
namespace feldspar::circuit {

/// {11, 12, 21, 22}; port 1 faces the radio, port 2 the antenna.
using Parameters = std::array<Complex, 4>;

/// Reference impedances of scattering parameters, ohm, Re > 0.
struct PortReferences {
  Complex radio{50.0};    ///< of port 1
  Complex antenna{50.0};  ///< of port 2
};

/// Z from the chain matrix, ohm; empty where c = 0 (nothing in shunt).
[[nodiscard]] std::optional<Parameters> impedance_parameters(const TwoPort& two_port) noexcept;
/// Y from the chain matrix, S; empty where b = 0 (nothing in series).
[[nodiscard]] std::optional<Parameters> admittance_parameters(const TwoPort& two_port) noexcept;

/// Chain matrix from Z; empty where z21 = 0 (nothing passes to the antenna).
[[nodiscard]] std::optional<TwoPort> chain_from_impedance(const Parameters& z) noexcept;
/// Chain matrix from Y; empty where y21 = 0.
[[nodiscard]] std::optional<TwoPort> chain_from_admittance(const Parameters& y) noexcept;

/// Y from Z or Z from Y; empty for a matrix that is singular within 1e-14.
[[nodiscard]] std::optional<Parameters> inverse_parameters(const Parameters& m) noexcept;

/// Scattering parameters for power waves [kurokawa1965]: with the port's reference z,
///   a = (V + z I) / (2 sqrt(Re z)),  b = (V - conj(z) I) / (2 sqrt(Re z)),
/// |a|^2 - |b|^2 is the power into the port (r.m.s. V and I). With a real reference they are the common
/// travelling waves; with a complex one they are not the waves on a line of that impedance, and S does not
/// turn by exp(-2 gamma l) when a plane moves: go through the chain matrix for that.
/// Empty where the waves do not fix the two-port (never with a passive one).
/// Formulas by chain matrix: [frickey1994].
/// @throws core::Error{usage} for a reference without a resistance above zero
[[nodiscard]] std::optional<Parameters> scattering(const TwoPort& two_port, const PortReferences& references);
[[nodiscard]] std::optional<Parameters> scattering_from_impedance(const Parameters& z,
                                                                  const PortReferences& references);
[[nodiscard]] std::optional<Parameters> scattering_from_admittance(const Parameters& y,
                                                                   const PortReferences& references);

/// Back. Chain matrix: empty where s21 = 0; Z and Y: empty where 1 - S or conj(z) + z S is singular within
/// 1e-14 (a part without anything in shunt has no Z, one without anything in series has no Y).
/// @throws core::Error{usage} as scattering
[[nodiscard]] std::optional<TwoPort> chain_from_scattering(const Parameters& s,
                                                           const PortReferences& references);
[[nodiscard]] std::optional<Parameters> impedance_from_scattering(const Parameters& s,
                                                                  const PortReferences& references);
[[nodiscard]] std::optional<Parameters> admittance_from_scattering(const Parameters& s,
                                                                   const PortReferences& references);

/// The same two-port with other references; empty where it has no S there. Works with s21 = 0 as well.
/// @throws core::Error{usage} as scattering
[[nodiscard]] std::optional<Parameters> with_references(const Parameters& s, const PortReferences& from,
                                                        const PortReferences& to);

/// What undoes a two-port in a cascade: {d, -b, -c, a} / (a d - b c). Takes a known part or a piece of line
/// off a measured chain, which moves the reference plane. a d - b c != 0.
[[nodiscard]] TwoPort undoing(const TwoPort& two_port) noexcept;

/// Most power that comes out of both ports together over the power of the waves going in, whatever they are:
/// the largest eigenvalue of S^H S. At most 1 for a passive two-port with any references; above 1 it makes
/// power for some source and load. About 1e-15 relative.
[[nodiscard]] double largest_power_ratio(const Parameters& s) noexcept;
/// The same from the chain matrix; references of 50 ohm. Above 1 with one reference is above 1 with all.
[[nodiscard]] double largest_power_ratio(const TwoPort& two_port);

/// largest_power_ratio <= 1 + tolerance. Rounding of exact parts stays below 1e-9; measured S of nearly
/// lossless parts need about 1e-2.
[[nodiscard]] bool is_passive(const Parameters& s, double tolerance = 1e-9) noexcept;
[[nodiscard]] bool is_passive(const TwoPort& two_port, double tolerance = 1e-9);

/// s12 = s21 (power waves; or z12 = z21, y12 = y21), relative to the largest parameter.
[[nodiscard]] bool is_reciprocal(const Parameters& parameters, double tolerance = 1e-9) noexcept;
/// a d - b c = 1, relative to 1 + |a d| + |b c|; false where they are not finite.
[[nodiscard]] bool is_reciprocal(const TwoPort& two_port, double tolerance = 1e-9) noexcept;

}  // namespace feldspar::circuit
