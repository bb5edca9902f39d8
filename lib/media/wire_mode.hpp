#pragma once

#include <complex>

#include "core/quantity.hpp"

/// How fast current travels along a long wire near soil, and how fast it fades.
namespace feldspar::media {

/// A long straight round wire, bare or with a coat without loss.
struct LongWire {
  double radius = 0.0;                      ///< m, > 0, of the metal
  double coat_thickness = 0.0;              ///< m, >= 0; 0 = bare
  double coat_permittivity = 1.0;           ///< relative, >= 1
  std::complex<double> internal_impedance;  ///< ohm/m of the metal, media/wire_impedance.hpp
};

/// Current that varies as exp(-j beta x), time factor exp(+jwt).
struct WireMode {
  std::complex<double> slowness;  ///< beta / k0: real part above 1 is slower than light, imaginary part <= 0
  double velocity_factor = 1.0;   ///< 1 / Re slowness
  double attenuation_db = 0.0;    ///< dB per metre
};

/// The current mode of a wire parallel to the flat surface of a uniform soil, above it or in it: the beta at
/// which the thin-wire mode equation Z'(beta) + Z_internal = 0 holds [wait1972]. Z' is the axial field at the
/// wire's surface of its own current, direct wave plus the half-space's reflection, as the infinite wire's
/// transform of the potentials of half_space.hpp and through_surface.hpp; the coat enters as its own field
/// between a and b (thin against every wavelength). Of several solutions the one that line theory leads to is
/// taken. Where the current outruns the free wave of a soil with little loss, waves leave it into the soil;
/// then the solution with outgoing waves is meant.
///
/// Limits: far above, or over perfect ground, beta = k0; a bare wire of vanishing thickness in the surface
/// itself, beta = k0 sqrt((1 + n2) / 2) [coleman1950]; a bare wire deep below, beta = k1, the soil's own
/// wavenumber.
///
/// @param height  of the axis above the surface; negative below it. At least the outer radius away from 0.
/// @param n2      complex permittivity of the soil relative to air, Im <= 0, |n2 - 1| > 1e-3
/// @param f       > 0
/// @throws core::Error{usage} outside these ranges, Error{numerics} when no solution is found (known for
///         wires that are metres deep in fresh water at VHF)
/// @note Of the mode equation: 1e-8 relative, 5e-6 for bare wires several soil wavelengths deep (integrals
/// halved
///       in step, eight soils, 10 kHz to 150 MHz, 2 mm to 3 m on either side). The equation takes
///       the current as uniform round the wire: for wires nearer to the surface than about two radii it is a
///       good estimate, not more. Of finite wires only the stretch away from ends and feed behaves so.
[[nodiscard]] WireMode wire_mode(const LongWire& wire, core::Length height, std::complex<double> n2,
                                 core::Frequency f);

}  // namespace feldspar::media
